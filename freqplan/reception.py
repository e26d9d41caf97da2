"""Who is tuned in at a setting of the dial, and what else fills the IF: noise, or a station through its skirts."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from freqplan.decibel import Float64
from freqplan.hertz import Int64
from freqplan.if_filters import filter_loss_db
from freqplan.landing import spread
from freqplan.levels import Levels

if TYPE_CHECKING:
    from freqplan.plan import Plan
    from freqplan.stations import StationList

SETTINGS_AT_ONCE = 2048
"""So many settings are looked at together: enough to be fast, and no more memory than that takes."""

HEARD_BESIDE = 10
"""Half widths of the IF filter beyond which no station is heard through its skirts: they are at the floor there."""


@dataclass(frozen=True, eq=False)
class Wanted:
    """Who is tuned in at some settings.

    Attributes
    ----------
    place : (k,) int64
        Place in the station list; -1 where nobody is.
    frequency_hz : (k,) int64 [Hz]
        Its carrier; the setting itself where nobody is.
    level_dbuv : (k,) float64 [dB(uV)]
        Its level at the aerial, NaN where unknown.
    floor_dbuv : (k,) float64 [dB(uV)]
        What else fills the IF where nobody is tuned in: noise, or a station beside through the skirts of the filter.
        NaN where one of unknown level may.
    """

    place: Int64
    frequency_hz: Int64
    level_dbuv: Float64
    floor_dbuv: Float64

    def take(self, places: Int64) -> Wanted:
        """Return the entries at some places, each as often as it is named."""
        return Wanted(
            self.place[places], self.frequency_hz[places], self.level_dbuv[places], self.floor_dbuv[places]
        )


def tuned_in(plan: Plan, levels: Levels | None, stations: StationList, setting_hz: Int64) -> Wanted:
    """Return who is tuned in at each setting: `on_air` where levels are known, else `nearest_inside`."""
    if levels is None:
        return nearest_inside(plan, stations, setting_hz)
    return on_air(levels, stations, setting_hz)


def nearest_inside(plan: Plan, stations: StationList, setting_hz: Int64) -> Wanted:
    """Return who stands within half the IF filter of each setting: of several the nearest, whatever the levels."""
    rows, who, distance = _near(stations, setting_hz, plan.if_filter.bandwidth_hz)
    place = _first(rows, who, np.lexsort((distance, rows)), len(setting_hz))
    unknown = np.full(len(stations), np.nan)
    return _wanted(stations, setting_hz, place, unknown, np.full(len(setting_hz), np.nan))


def on_air(levels: Levels, stations: StationList, setting_hz: Int64) -> Wanted:
    """Return who is tuned in at each setting, and what fills the IF where nobody is.

    Tuned in is the strongest station within half the IF filter, if behind it that rises out of the noise and above
    every station beside.  One of unknown level within half the filter leaves that open: then the nearest one there is
    taken, at an unknown level.  Beside, a station of unknown level counts up to the -20 dB points.
    """
    settings, back = np.unique(setting_hz, return_inverse=True)
    level = levels.at_aerial(stations)
    parts = np.array_split(settings, -(-len(settings) // SETTINGS_AT_ONCE) or 1)
    found = [_heard_at(levels, stations, level, part) for part in parts]
    place, is_open, floor = (np.concatenate(column) for column in zip(*found, strict=True))
    there = _wanted(stations, setting_hz, place[back], level, floor[back])
    return replace(there, level_dbuv=np.where(is_open[back], np.nan, there.level_dbuv))


def _heard_at(
    levels: Levels, stations: StationList, level: Float64, setting_hz: Int64
) -> tuple[Int64, npt.NDArray[np.bool_], Float64]:
    """Return the station tuned in (-1: nobody), whether unknown levels leave that open, and what else fills the IF."""
    plan, count = levels.plan, len(setting_hz)
    rows, who, distance = _near(stations, setting_hz, HEARD_BESIDE * plan.if_filter.bandwidth_hz)
    behind = level[who] - filter_db(plan, distance)
    inside, unknown = 2 * distance <= plan.if_filter.bandwidth_hz, np.isnan(behind)
    is_open = np.zeros(count, dtype=bool)
    is_open[rows[inside & unknown]] = True
    beside = ~inside & ~unknown
    floor = np.maximum(_most(rows[beside], behind[beside], count), levels.sensitivity_dbuv)
    # Within the filter the nearest counts where levels leave it open, else the strongest.
    strength = np.where(is_open[rows], 0.0, behind)[inside]
    order = np.lexsort((distance[inside], -strength, rows[inside]))
    place = _first(rows[inside], who[inside], order, count)
    own = _most(rows[inside & ~unknown], behind[inside & ~unknown], count)
    place = np.where(is_open | (own >= floor), place, -1)
    floor[rows[~inside & unknown & (2 * distance <= plan.if_filter.skirts_hz)]] = np.nan
    return place, is_open, floor


def _near(stations: StationList, setting_hz: Int64, twice_reach_hz: int) -> tuple[Int64, Int64, Int64]:
    """Return pairs of setting and station no farther apart than the reach: their places, and the distance [Hz]."""
    places, hertz = stations.rising
    first = np.searchsorted(2 * hertz, 2 * setting_hz - twice_reach_hz, side="left")
    count = np.searchsorted(2 * hertz, 2 * setting_hz + twice_reach_hz, side="right") - first
    rows, steps = spread(count)
    who = places[first[rows] + steps]
    return rows, who, np.abs(stations.frequency_hz[who] - setting_hz[rows])


def _most(rows: Int64, values: Float64, length: int) -> Float64:
    """Return the largest value (h,) of each of `length` settings, minus infinity where there is none; rows rise."""
    most = np.full(length, -np.inf)
    starts = np.flatnonzero(np.diff(rows, prepend=-1))
    if len(starts):
        most[rows[starts]] = np.maximum.reduceat(values, starts)
    return most


def _first(rows: Int64, who: Int64, order: Int64, length: int) -> Int64:
    """Return the first station of each of `length` settings in the order of the pairs (h,), -1 where there is none."""
    leading = order[np.flatnonzero(np.diff(rows[order], prepend=-1))]
    place = np.full(length, -1, dtype=np.int64)
    place[rows[leading]] = who[leading]
    return place


def _wanted(
    stations: StationList, setting_hz: Int64, place: Int64, level_dbuv: Float64, floor_dbuv: Float64
) -> Wanted:
    # Place -1 takes the entry put behind the last station: nobody.
    frequency = np.where(place >= 0, np.append(stations.frequency_hz, 0)[place], setting_hz)
    return Wanted(place, frequency, np.append(level_dbuv, np.nan)[place], floor_dbuv)


def filter_db(plan: Plan, offset_hz: Int64) -> Float64:
    """Return the loss of the plan's IF filter at offsets (k,) [dB]."""
    own = plan.if_filter
    return filter_loss_db(offset_hz, bandwidth_hz=own.bandwidth_hz, bandwidth_20db_hz=own.skirts_hz)
