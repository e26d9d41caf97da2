"""What the response map shows, gathered without drawing: responses, where stations meet them, who lives there."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction
from typing import TYPE_CHECKING, Any

import numpy as np

from freqplan.charts.map_parts import NAMING, Crossing, Line, Map, Side, Station
from freqplan.levels import levels_of
from freqplan.mixing import Combinations, Patterns, Tuning
from freqplan.services import services_in
from freqplan.spans import shared

if TYPE_CHECKING:
    from freqplan.surveys import Survey

MOST_SLOPING, HIGHEST_ORDER = 6, 6
"""Responses drawn on one side beside the wanted one and the IF itself, and up to which order: more cannot be told
apart."""

LEAST_APART = Fraction(1, 100)
"""Of the height of the picture: what lies nearer to a line drawn, at both ends of the dial, cannot be seen."""

FRAME = ("wanted", "image", "half-if")
"""The responses whose ranges make the height of the map."""

LEAST_SHARE = Fraction(1, 4)
"""Of the dial over which a response must lie in the picture to be drawn."""


def map_of(survey: Survey) -> Map:
    """Gather the response map of a survey.

    Raises
    ------
    ModelRangeError
        As the table of ghosts does.
    SweepError
        The measured response of the front end cannot be read.
    """
    band = survey.plan.band
    all_lines = {tuning.side: tuple(_lines(survey, tuning)) for tuning in survey.sides}
    low, high = _height(line for lines in all_lines.values() for line in lines)
    sides = []
    for side, lines in all_lines.items():
        drawn = _drawn(lines, low, high)
        left_out = tuple(line for line in lines if line not in drawn)
        sides.append(Side(side, drawn, left_out, tuple(_crossings(survey, drawn, low, high))))
    services = services_in(low, high, region=survey.plan.region)
    return Map(
        band.low_hz, band.high_hz, low, high, tuple(sides), tuple(_stations(survey, low, high)), services
    )


def _lines(survey: Survey, tuning: Tuning) -> Iterator[Line]:
    """Yield the wanted response and every other one that exists somewhere on the dial, lowest order first."""
    plan = survey.plan
    m, n, e = tuning.wanted
    own = Patterns(*(np.array([part], dtype=np.int64) for part in (m, n, e)))
    wanted = ("wanted", tuning.side, m, n, e, None, None, None)
    yield from _straight(survey, Combinations.of_patterns(tuning, own), [(wanted, 0, 1)])
    found: list[Line] = []
    for family in survey.families:
        for sums_of in (family.responses, family.station_spots):
            if sums_of is None or not len(sums := sums_of(plan, tuning)):
                continue
            rows = sums.findings("").rows()
            named = [
                (tuple(row.get(name) for name in NAMING), row["order"], row.get("tuning_slope") or 0)
                for row in rows
            ]
            found += _straight(survey, sums.combinations, named)
    # Those on the wanted station's side of the oscillator first, so that both sides of a set use the same dashes.
    yield from sorted(found, key=lambda line: (line.order, line.mechanism, -line.slope))


def _straight(
    survey: Survey, some: Combinations, named: Sequence[tuple[tuple[Any, ...], int, int]]
) -> Iterator[Line]:
    ends = survey.plan.band.low_hz, survey.plan.band.high_hz
    low, high = (some.signal(end).exact() for end in ends)
    for (key, order, slope), first, last in zip(named, low, high, strict=True):
        assert first is not None
        assert last is not None
        if max(first, last) > 0:
            yield Line(key, order, slope, ends, (first, last))


def _height(lines: Iterable[Line]) -> tuple[Fraction, Fraction]:
    """Return the part of the spectrum that the picture shows: the usual suspects with a margin, and an IF close by."""
    lines = list(lines)
    ranges = [line.range_hz for line in lines if line.mechanism in FRAME]
    low, high = min(low for low, _ in ranges), max(high for _, high in ranges)
    near = Fraction(high - low) / 10
    for line in lines:
        own_if, top = line.range_hz
        if line.is_drawable and own_if == top and (low - near <= own_if <= high + near):
            low, high = min(low, own_if), max(high, own_if)
    margin = Fraction(high - low) / 40
    return max(Fraction(0), low - margin), high + margin


def _drawn(lines: Sequence[Line], low_hz: Fraction, high_hz: Fraction) -> tuple[Line, ...]:
    """Return the wanted response, the usual suspects, and of the rest in the picture the lowest orders."""
    least = LEAST_APART * (high_hz - low_hz)
    share = {line: _share(line, low_hz, high_hz) for line in lines if line.order <= HIGHEST_ORDER}
    in_sight = [line for line, part in share.items() if part >= LEAST_SHARE and line.is_drawable]
    seen: list[Line] = []
    for line in sorted(in_sight, key=lambda line: (line.mechanism not in FRAME, line.order, -share[line])):
        too_many = line.is_sloping and sum(one.is_sloping for one in seen) > MOST_SLOPING
        if not too_many and all(_apart(line, other) > least for other in seen):
            seen.append(line)
    return tuple(line for line in lines if line in seen)


def _apart(line: Line, other: Line) -> Fraction:
    """Return how far apart two responses are at that end of the dial where they are farther apart [Hz]."""
    return max(
        abs(Fraction(one) - Fraction(two)) for one, two in zip(line.signal_hz, other.signal_hz, strict=True)
    )


def _share(line: Line, low_hz: Fraction, high_hz: Fraction) -> Fraction:
    """Return over how much of the dial a response lies in the picture, from 0 to 1."""
    low, high = sorted(line.signal_hz)
    if low == high:
        return Fraction(low_hz <= low <= high_hz)
    return shared([(low, high)], low_hz, high_hz) / (high - low)


def _crossings(
    survey: Survey, lines: Sequence[Line], low_hz: Fraction, high_hz: Fraction
) -> Iterator[Crossing]:
    """Yield the ghosts that lie in the picture, each on the line of its response."""
    if survey.ghosts is None:
        return
    place = {line.key: number for number, line in enumerate(lines)}
    for row, ghost in enumerate(survey.ghosts.rows()):
        line = place.get(tuple(ghost[name] for name in NAMING))
        if line is not None and ghost["dial_hz"] is not None and low_hz <= ghost["station_hz"] <= high_hz:
            margin = ghost["margin_db"]
            heard = None if margin is None else bool(margin < 0)
            yield Crossing(line, row, ghost["dial_hz"], ghost["station_hz"], heard)


def _stations(survey: Survey, low_hz: Fraction, high_hz: Fraction) -> Iterator[Station]:
    listed = survey.stations
    if listed is None:
        return
    known = levels_of(survey.plan)
    levels = (listed.level_dbuv if known is None else known.at_aerial(listed)).tolist()
    places, rising_hz = listed.rising
    for place, hertz in zip(places.tolist(), rising_hz.tolist(), strict=True):
        if low_hz <= hertz <= high_hz:
            # NaN is the one value that differs from itself: an unknown level.
            level = levels[place] if levels[place] == levels[place] else None
            yield Station(listed.names[place], hertz, level)
