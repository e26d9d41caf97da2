"""Where to set a second radio to hear a set's oscillator: the test that needs no generator."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import permutations
from typing import TYPE_CHECKING, Any

import numpy as np

from freqplan.conflicts import Lines, Receiver, lines_between
from freqplan.findings import Findings
from freqplan.hertz import Int64, Rounding
from freqplan.mechanisms.other_sets import WANTED
from freqplan.reach import channels_within
from freqplan.services import safety_ranges_hz
from freqplan.words import setting

if TYPE_CHECKING:
    from freqplan.plan import Plan
    from freqplan.stations import StationList

LISTEN_COLUMNS = (
    "set", "radio", "harmonic", "oscillator", "set_dial_hz", "listen_hz", "stations", "fingerprint",
)  # fmt: skip
MOST_EXAMPLES, FEWEST_EXAMPLES, MOST_ROWS = 9, 3, 20
"""Examples of each pair of sets: as many as keep the table short, between the first two."""

MOST_TRIED = 2000
"""Channels of a set that are looked at, evenly spread where a fine raster has more."""

ANOTHER = "another radio"
"""The radio to listen with where only one set is given: any other of its band."""

STEP = 10
"""Rasters by which the set is tuned away in the example: 1 MHz on FM."""


def pairs_to_listen(sets: Sequence[Receiver]) -> list[tuple[Receiver, Receiver]]:
    """Return who is heard on whose dial: every ordered pair, or with one set that set on another like it."""
    if len(sets) == 1:
        return [(sets[0], replace(sets[0], name=ANOTHER))]
    return list(permutations(sets, 2))


def listen_at(sets: Sequence[Receiver], stations: StationList | None, rounding: Rounding) -> Findings:
    """Return settings of a set and the places on another radio's dial where its oscillator is then heard.

    Of each pair and side the lowest harmonic that reaches the radio's band is taken, on channels of the set, spread
    over the part of its dial that works; never a place on which lives may depend, and clear of listed
    stations where there are such.

    Parameters
    ----------
    sets : sequence of Receiver
        The house.
    stations : StationList, optional
        Who is on the air.
    rounding : Rounding
        How the frequencies in the sentences are written.
    """
    found = [spots for each, radio in pairs_to_listen(sets) for spots in spots_of(each, radio)]
    examples = max(FEWEST_EXAMPLES, min(MOST_EXAMPLES, MOST_ROWS // max(1, len(found))))
    rows = [row for spots in found for row in _rows(spots, stations, rounding, examples)]
    rows.sort(key=lambda row: int(row["harmonic"]))
    details = ("stations",) if any(len(each.tunings) > 1 for each in sets) else ("stations", "oscillator")
    return Findings.of_rows("Where to hear each oscillator", rows, LISTEN_COLUMNS, details=details)


@dataclass(frozen=True, eq=False)
class Spots:
    """Channels of a set on which one harmonic of its oscillator is heard on a radio's dial.

    Attributes
    ----------
    lines : Lines
        The one line of that harmonic.
    dial_hz, listen_hz : (k,) int64 [Hz]
        Channels of the set, rising, and the radio's dial setting for each.
    has_gaps : bool
        Whether some between the first and the last are left out because lives depend on the frequency.
    """

    lines: Lines
    dial_hz: Int64
    listen_hz: Int64
    has_gaps: bool = False

    @property
    def harmonic(self) -> int:
        """Return which harmonic of the oscillator it is."""
        return int(self.lines.sums.array("harmonic")[0])

    def heard_at(self, dial_hz: Int64) -> Int64:
        """Return the radio's dial setting for settings of the set; (k,) [Hz]."""
        # Whole hertz: a carrier on the dial is taken once, so nothing is divided.
        return self.lines.sums.combinations.dial(dial_hz).num


def spots_of(each: Receiver, radio: Receiver) -> Iterator[Spots]:
    """Yield, for each oscillator side of a set, where the lowest harmonic that can be is heard on a radio."""
    for tuning in each.tunings:
        lines = lines_between(each, radio, tuning, radio.tunings[0])
        for place in np.flatnonzero(lines.sums.array("way") == WANTED).tolist():
            found = _spots(_one(lines, place))
            if len(found.dial_hz):
                yield found
                break


def _one(lines: Lines, place: int) -> Lines:
    keep = np.array([place])
    ends = (lines.culprit_low, lines.culprit_high, lines.victim_low, lines.victim_high)
    return Lines(
        lines.culprit, lines.victim, lines.sides, lines.sums.take(keep), *(column[keep] for column in ends)
    )


def _spots(line: Lines) -> Spots:
    plan = line.culprit.plan
    first, count = channels_within(plan, line.culprit_low, line.culprit_high)
    tried = np.unique(np.linspace(0, count[0] - 1, min(int(count[0]), MOST_TRIED)).astype(np.int64))
    dial = first[0] + plan.band.raster_hz * tried
    all_of_them = Spots(line, dial, dial)
    listen = all_of_them.heard_at(dial)
    safe = np.flatnonzero(is_safe(listen, region=plan.region))
    has_gaps = bool((np.diff(safe) > 1).any())
    return Spots(line, dial[safe], listen[safe], has_gaps)


def is_safe(frequency_hz: Int64, *, region: int = 1) -> np.ndarray:
    """Return where no safety service lives in an ITU Region, edges included; (k,) bool."""
    taken = np.zeros(len(frequency_hz), dtype=bool)
    for low, high in safety_ranges_hz(region=region):
        taken |= (low <= frequency_hz) & (frequency_hz <= high)
    return ~taken


def _rows(
    found: Spots, stations: StationList | None, rounding: Rounding, examples: int
) -> Iterator[dict[str, Any]]:
    each, radio = found.lines.culprit, found.lines.victim
    for place in _chosen(found, stations, examples):
        dial, listen = int(found.dial_hz[place]), int(found.listen_hz[place])
        heard = _what_is_heard(listen, radio.plan, stations)
        yield {
            "set": each.name,
            "radio": radio.name,
            "harmonic": found.harmonic,
            "oscillator": found.lines.sides[0],
            "set_dial_hz": dial,
            "listen_hz": listen,
            "stations": _near(listen, radio.plan.if_filter.skirts_hz, stations),
            "fingerprint": f"{heard}; {_where_it_moves(found, dial, rounding)}",
        }


def _chosen(found: Spots, stations: StationList | None, examples: int) -> Int64:
    """Return the places of the examples, spread over the part that works; (k,).

    With stations the part is cut into as many pieces, of each the place farthest from any station is taken, and those
    that have a station between the -20 dB points of the radio's IF filter are left out unless there is nothing else.
    """
    number = len(found.dial_hz)
    if stations is None or not len(stations):
        return np.unique(np.linspace(0, number - 1, min(number, examples)).astype(np.int64))
    _, listed = stations.rising
    after = np.searchsorted(listed, found.listen_hz)
    above, below = listed[np.minimum(after, len(listed) - 1)], listed[np.maximum(after - 1, 0)]
    distance = np.minimum(np.abs(above - found.listen_hz), np.abs(below - found.listen_hz))
    pieces = np.array_split(np.arange(number), min(number, examples))
    best = np.array([piece[np.argmax(distance[piece])] for piece in pieces])
    clear = 2 * distance[best] > found.lines.victim.plan.if_filter.skirts_hz
    return best[clear] if clear.any() else best


def _near(listen_hz: int, width_hz: int, stations: StationList | None) -> tuple[str, ...]:
    """Return the listed stations inside a width about a place [Hz], the nearest first."""
    if stations is None:
        return ()
    twice = 2 * np.abs(stations.frequency_hz - listen_hz)
    by_distance = np.argsort(twice, kind="stable")
    return tuple(dict.fromkeys(stations.names[place] for place in by_distance if twice[place] <= width_hz))


def _what_is_heard(listen_hz: int, radio: Plan, stations: StationList | None) -> str:
    """Write how a bare carrier shows on a radio, on a station or beside one too."""
    on = _near(listen_hz, radio.if_filter.bandwidth_hz, stations)
    if on:
        return f"a whistle on {on[0]}"
    beside = _near(listen_hz, radio.if_filter.skirts_hz, stations)
    return f"quiet, meter up, beside {beside[0]}" if beside else "quiet, meter up"


def _where_it_moves(found: Spots, dial_hz: int, rounding: Rounding) -> str:
    """Write where the carrier goes when the set is tuned away."""
    raster_hz = found.lines.culprit.plan.band.raster_hz
    away: np.ndarray = np.array([dial_hz + sign * STEP * raster_hz for sign in (1, -1)], dtype=np.int64)
    moved = found.heard_at(away)
    low, high = (column.exact()[0] or 0 for column in (found.lines.culprit_low, found.lines.culprit_high))
    stays = (low <= away) & (away <= high) & is_safe(moved)
    if not stays.any():
        return "set tuned away: gone"
    place = int(np.argmax(stays))
    to, then = setting(int(away[place]), rounding), setting(int(moved[place]), rounding)
    return f"set to {to}: moves to {then}"
