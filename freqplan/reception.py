"""Who is heard at a setting of the dial: the station tuned in, or one through the skirts of the IF filter."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

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
    """

    place: Int64
    frequency_hz: Int64
    level_dbuv: Float64


def tuned_in(plan: Plan, stations: StationList, setting_hz: Int64) -> Wanted:
    """Return who stands within half the IF filter of each setting: of several the nearest, whatever the levels."""
    rows, who, distance = _near(stations, setting_hz, plan.if_filter.bandwidth_hz)
    place = _first(rows, who, np.lexsort((distance, rows)), len(setting_hz))
    return _wanted(stations, setting_hz, place, np.full(len(stations), np.nan))


def on_air(levels: Levels, stations: StationList, setting_hz: Int64) -> Wanted:
    """Return who is heard at each setting: the strongest station behind the IF filter, if it rises out of the noise.

    A strong station beside the setting is heard through the skirts of the filter, and a ghost must stand up to it.
    A station of unknown level between the -20 dB points of the filter leaves that open: then it is taken, with
    its unknown level, the nearest one first.
    """
    settings, back = np.unique(setting_hz, return_inverse=True)
    level = levels.at_aerial(stations)
    parts = np.array_split(settings, -(-len(settings) // SETTINGS_AT_ONCE) or 1)
    place = np.concatenate([_strongest(levels, stations, level, part) for part in parts])
    return _wanted(stations, setting_hz, place[back], level)


def _strongest(levels: Levels, stations: StationList, level: Float64, setting_hz: Int64) -> Int64:
    """Return the place of the station that is heard at each setting, -1 where nobody is."""
    plan = levels.plan
    rows, who, distance = _near(stations, setting_hz, HEARD_BESIDE * plan.if_filter.bandwidth_hz)
    behind = level[who] - filter_db(plan, distance)
    is_open = np.isnan(behind) & (2 * distance <= plan.if_filter.skirts_hz)
    keep = is_open | (behind >= levels.sensitivity_dbuv)
    rows, who, distance = rows[keep], who[keep], distance[keep]
    strength = np.where(is_open, np.inf, behind)[keep]
    return _first(rows, who, np.lexsort((distance, -strength, rows)), len(setting_hz))


def _near(stations: StationList, setting_hz: Int64, twice_reach_hz: int) -> tuple[Int64, Int64, Int64]:
    """Return pairs of setting and station no farther apart than the reach: their places, and the distance [Hz]."""
    places, hertz = stations.rising
    first = np.searchsorted(2 * hertz, 2 * setting_hz - twice_reach_hz, side="left")
    count = np.searchsorted(2 * hertz, 2 * setting_hz + twice_reach_hz, side="right") - first
    rows, steps = spread(count)
    who = places[first[rows] + steps]
    return rows, who, np.abs(stations.frequency_hz[who] - setting_hz[rows])


def _first(rows: Int64, who: Int64, order: Int64, length: int) -> Int64:
    """Return the first station of each of `length` settings in the order of the pairs (h,), -1 where there is none."""
    leading = order[np.flatnonzero(np.diff(rows[order], prepend=-1))]
    place = np.full(length, -1, dtype=np.int64)
    place[rows[leading]] = who[leading]
    return place


def _wanted(stations: StationList, setting_hz: Int64, place: Int64, level_dbuv: Float64) -> Wanted:
    # Place -1 takes the entry put behind the last station: nobody.
    frequency = np.where(place >= 0, np.append(stations.frequency_hz, 0)[place], setting_hz)
    return Wanted(place, frequency, np.append(level_dbuv, np.nan)[place])


def filter_db(plan: Plan, offset_hz: Int64) -> Float64:
    """Return the loss of the plan's IF filter at offsets (k,) [dB]."""
    own = plan.if_filter
    return filter_loss_db(offset_hz, bandwidth_hz=own.bandwidth_hz, bandwidth_20db_hz=own.skirts_hz)
