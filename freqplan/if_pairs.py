"""Pairs of listed stations an IF apart: A - B = fI, and what else can come of it.

Three causes make such a pair heard, and each has its own test: the two stations mix with one another, A - B = fI; the
set's own oscillator stands on one of them; the oscillator of another set of the same kind does, which is tuned to the
other.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import numpy.typing as npt

from freqplan.findings import Findings, Values, stack, text_column
from freqplan.hertz import Int64, Ratios, Rounding
from freqplan.landing import landings
from freqplan.levels import levels_of
from freqplan.mechanisms.own_oscillator import on_a_station
from freqplan.mixing import Combinations, Tuning
from freqplan.own_words import equals
from freqplan.reach import SITS_IN, reach, twice_windows
from freqplan.reception import tuned_in
from freqplan.words import setting

if TYPE_CHECKING:
    from freqplan.plan import Plan
    from freqplan.stations import StationList

COLUMNS = (
    "stations", "low_hz", "high_hz", "difference_hz", "beat_hz", "reach", "oscillator", "everywhere", "dial_hz",
    "oscillator_on_hz", "wanted", "own_oscillator", "other_sets_hz",
)  # fmt: skip
DETAILS = ("low_hz", "high_hz", "difference_hz", "own_oscillator")
TITLE = "Stations an IF apart"
OFF_SCALE = "off the scale"
SIGNALS = 2
"""Programmes in the difference of two stations: it swings by both deviations."""


class Pair(NamedTuple):
    """Pairs of stations as equal-length arrays (k,): places in the list, carriers and A - B - fI [Hz]."""

    low: Int64
    high: Int64
    low_hz: Int64
    high_hz: Int64
    beat_hz: Int64


class Spot(NamedTuple):
    """Dial settings (k,) [Hz] at which the oscillator stands on one carrier of each pair, and who is tuned in there."""

    carrier_hz: Int64
    dial_hz: Int64
    on_scale: npt.NDArray[np.bool_]
    wanted: np.ndarray


def if_pairs(plan: Plan, sides: Sequence[Tuning], stations: StationList) -> Findings:
    """Return every pair of listed stations whose distance is the IF, as near as the filter or the deviation allows.

    Parameters
    ----------
    plan : Plan
        The receiver.
    sides : sequence of Tuning
        Oscillator sides to answer for.
    stations : StationList
        Who is on the air.

    Returns
    -------
    Findings
        One row for each pair and side, those inside the IF filter first, then by their distance from its middle.
        ``dial_hz`` is the setting at which the oscillator stands on ``oscillator_on_hz``: of two that are on the scale
        the one at which the other station of the pair is tuned in; None where both are off it.

    Raises
    ------
    ModelRangeError
        More pairs than `landing.MOST_LANDINGS`.
    SweepError
        The measured response of the front end cannot be read.
    """
    pairs = _pairs(plan, sides[0].intermediate_hz, stations)
    tables = [_table(plan, tuning, stations, pairs) for tuning in sides]
    details = DETAILS if len(sides) > 1 else (*DETAILS, "oscillator")
    table = stack(TITLE, tables, COLUMNS, details=details)
    beat = np.abs(table.array("beat_hz").astype(np.int64))
    outside = table.array("reach") != SITS_IN
    return table.take(np.lexsort((table.hertz("low_hz").num, beat, outside)))


def _pairs(plan: Plan, intermediate_hz: int, stations: StationList) -> Pair:
    """Find, for each station as the lower one, the higher ones by bisection."""
    order, sorted_hz = stations.rising
    zeros = np.zeros(len(stations), dtype=np.int64)
    difference = Combinations(zeros, zeros - 1, zeros + 1, intermediate_hz, -stations.frequency_hz)
    _, bursts = twice_windows(plan, zeros + SIGNALS)
    low, places = landings(
        difference, bursts, dial_low_hz=0, dial_high_hz=0, sorted_hz=sorted_hz, what="pairs of stations"
    )
    high = order[places]
    low_hz, high_hz = stations.frequency_hz[low], stations.frequency_hz[high]
    beat = difference.take(low).offset(0, high_hz)
    # With an IF below the deviation the window reaches over zero, where A would be B.
    above = high_hz > low_hz
    return Pair(*(part[above] for part in (low, high, low_hz, high_hz, beat)))


def _table(plan: Plan, tuning: Tuning, stations: StationList, pairs: Pair) -> Findings:
    count, rounding = len(pairs.low), plan.rounding
    higher, lower = (_spot(plan, tuning, stations, hertz) for hertz in (pairs.high_hz, pairs.low_hz))
    # The one at which the oscillator's distance from the other carrier is the IF, as that of a station tuned in is.
    first, second = (lower, higher) if tuning.side == "low" else (higher, lower)
    takes_first = first.on_scale | ~second.on_scale
    on_scale = first.on_scale | second.on_scale
    shown = np.where(on_scale, 1, 0)
    names = [stations.names_at(places) for places in (pairs.low, pairs.high)]
    columns: dict[str, Values] = {
        "stations": text_column(list(zip(*(column.tolist() for column in names), strict=True))),
        "low_hz": Ratios(pairs.low_hz),
        "high_hz": Ratios(pairs.high_hz),
        "difference_hz": Ratios(pairs.high_hz - pairs.low_hz),
        "beat_hz": pairs.beat_hz,
        "reach": reach(plan, np.full(count, SIGNALS), pairs.beat_hz),
        "oscillator": np.full(count, tuning.side, object),
        "everywhere": text_column([
            _difference(low, high, rounding)
            for low, high in zip(pairs.low_hz.tolist(), pairs.high_hz.tolist(), strict=True)
        ]),
        "own_oscillator": text_column([
            "; ".join(_standing(spot, row, rounding) for spot in (first, second) if spot.on_scale[row]) or OFF_SCALE
            for row in range(count)
        ]),
        "oscillator_on_hz": Ratios(np.where(takes_first, first.carrier_hz, second.carrier_hz), shown),
        "dial_hz": Ratios(np.where(takes_first, first.dial_hz, second.dial_hz), shown),
        "wanted": np.where(takes_first, first.wanted, second.wanted),
        "other_sets_hz": text_column(_other_sets(plan, tuning, pairs)),
    }  # fmt: skip
    return Findings(TITLE, columns)


def _spot(plan: Plan, tuning: Tuning, stations: StationList, carrier_hz: Int64) -> Spot:
    dial = on_a_station(plan, tuning).combinations.dial(carrier_hz)
    # The oscillator moves as fast as the dial, so that every setting is whole.
    dial_hz = dial.num // dial.den
    on_scale = (plan.band.low_hz <= dial_hz) & (dial_hz <= plan.band.high_hz)
    there = tuned_in(plan, levels_of(plan), stations, np.where(on_scale, dial_hz, plan.band.low_hz))
    return Spot(carrier_hz, dial_hz, on_scale, stations.names_at(np.where(on_scale, there.place, -1)))


def _other_sets(plan: Plan, tuning: Tuning, pairs: Pair) -> list[tuple[int, ...]]:
    """Return, for each pair, the station to which another set is tuned when its oscillator falls on the other one."""
    standing, band = on_a_station(plan, tuning).combinations, plan.band
    _, bursts = twice_windows(plan, np.full(len(pairs.low), SIGNALS))
    found: list[tuple[int, ...]] = [()] * len(pairs.low)
    for own_hz, met_hz in ((pairs.low_hz, pairs.high_hz), (pairs.high_hz, pairs.low_hz)):
        beside = standing.offset(own_hz, met_hz)
        meets = (2 * np.abs(beside) <= bursts) & (band.low_hz <= own_hz) & (own_hz <= band.high_hz)
        for row in np.flatnonzero(meets).tolist():
            found[row] += (int(own_hz[row]),)
    return found


def _difference(low_hz: int, high_hz: int, rounding: Rounding) -> str:
    high, low, apart = (rounding.fine(hertz) for hertz in (high_hz, low_hz, high_hz - low_hz))
    return f"{high} − {low} {equals(high_hz, low_hz, rounding=rounding)} {apart}"


def _standing(spot: Spot, row: int, rounding: Rounding) -> str:
    """Write where the oscillator stands on one station, such as ``dial 91.2 (Mill Street tuned in): on 101.90``."""
    dial, carrier = int(spot.dial_hz[row]), int(spot.carrier_hz[row])
    who = spot.wanted[row] or "nobody"
    return f"dial {setting(dial, rounding)} ({who} tuned in): on {rounding.fine(carrier)}"
