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
    return _chosen(stations, setting_hz, rows, who, order=np.lexsort((distance, rows)), level_dbuv=None)


def on_air(levels: Levels, stations: StationList, setting_hz: Int64) -> Wanted:
    """Return who is heard at each setting: the strongest station behind the IF filter, if it rises out of the noise.

    A strong station beside the setting is heard through the skirts of the filter, and a ghost must stand up to it.
    A station of unknown level between the -20 dB points of the filter leaves that open: then it is taken, with
    its unknown level, the nearest one first.
    """
    plan = levels.plan
    rows, who, distance = _near(stations, setting_hz, HEARD_BESIDE * plan.if_filter.bandwidth_hz)
    level = levels.at_aerial(stations)
    behind = level[who] - filter_db(plan, distance)
    open_ = np.isnan(behind) & (2 * distance <= plan.if_filter.skirts_hz)
    keep = open_ | (behind >= levels.sensitivity_dbuv)
    rows, who, distance = rows[keep], who[keep], distance[keep]
    strength = np.where(open_, np.inf, behind)[keep]
    return _chosen(
        stations, setting_hz, rows, who, order=np.lexsort((distance, -strength, rows)), level_dbuv=level
    )


def _near(stations: StationList, setting_hz: Int64, twice_reach_hz: int) -> tuple[Int64, Int64, Int64]:
    """Return pairs of setting and station no farther apart than the reach: their places, and the distance [Hz]."""
    places, hertz = stations.rising
    first = np.searchsorted(2 * hertz, 2 * setting_hz - twice_reach_hz, side="left")
    count = np.searchsorted(2 * hertz, 2 * setting_hz + twice_reach_hz, side="right") - first
    rows, steps = spread(count)
    who = places[first[rows] + steps]
    return rows, who, np.abs(stations.frequency_hz[who] - setting_hz[rows])


def _chosen(
    stations: StationList,
    setting_hz: Int64,
    rows: Int64,
    who: Int64,
    *,
    order: Int64,
    level_dbuv: Float64 | None,
) -> Wanted:
    """Return the first station of each setting in the order of the pairs (h,)."""
    leading = order[np.flatnonzero(np.diff(rows[order], prepend=-1))]
    place = np.full(len(setting_hz), -1, dtype=np.int64)
    place[rows[leading]] = who[leading]
    # Place -1 takes the entry put behind the last station: nobody.
    frequency = np.where(place >= 0, np.append(stations.frequency_hz, 0)[place], setting_hz)
    known = np.full(len(stations), np.nan) if level_dbuv is None else level_dbuv
    return Wanted(place, frequency, np.append(known, np.nan)[place])


def filter_db(plan: Plan, offset_hz: Int64) -> Float64:
    """Return the loss of the plan's IF filter at offsets (k,) [dB]."""
    own = plan.if_filter
    return filter_loss_db(offset_hz, bandwidth_hz=own.bandwidth_hz, bandwidth_20db_hz=own.skirts_hz)
