"""What the chart of IFs draws: for each oscillator side and mechanism the exact IFs that bring it into the band."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from freqplan.if_choices import KEPT_OUT, IfRanges, if_ranges
from freqplan.mixing import Tuning
from freqplan.spans import Span, merged

if TYPE_CHECKING:
    from freqplan.plan import Plan

TITLES = {
    "image": "image",
    "half-if": "half-IF",
    "if-harmonic": "IF harmonic",
    "fractional-if": "fractional IF",
    "if-breakthrough": "IF breakthrough",
    "oscillator-harmonic": "oscillator harmonic",
    "signal-harmonic": "signal harmonic",
    "harmonic-mixing": "harmonic mixing",
}
"""What the rows are called, in their order; what is usually kept out comes first."""

STEPS = (1, 1.5, 2, 3, 4, 5, 6, 8)
"""What a person begins and ends a range with."""

WIDEST = 3
"""The usual range goes from the plan's IF over this to this times it."""


@dataclass(frozen=True)
class Bar:
    """The IFs at which one response is in the band.

    Attributes
    ----------
    low_hz, high_hz : Fraction or int [Hz]
        Both ends, as far as asked for.
    name : str
        ``"9 × IF"``, or the harmonics of signal and oscillator, such as ``"3,2"``.
    """

    low_hz: Fraction | int
    high_hz: Fraction | int
    name: str


@dataclass(frozen=True)
class BarRow:
    """All responses of one mechanism, or of its near or far half; `mechanism` is its id, `title` what it is called."""

    mechanism: str
    title: str
    bars: tuple[Bar, ...]

    @property
    def kept_out(self) -> bool:
        """Return whether a set is usually planned to be free of it."""
        return self.mechanism in KEPT_OUT


@dataclass(frozen=True)
class ClearRow:
    """Ranges without any response of some mechanisms; `but_for` is the title of one that had to be let in, or empty."""

    spans: tuple[Span, ...]
    but_for: str


@dataclass(frozen=True)
class SideBars:
    """One oscillator side.

    Attributes
    ----------
    side : str
        ``"high"``, ``"low"`` or ``"sum"``.
    low_hz, high_hz : int [Hz]
        The IFs that are possible with it.
    clear : tuple of ClearRow
        What is clear of all that is usually kept out; where nothing is, a second one without the worst obstacle.
    rows : tuple of BarRow
        Those that are not empty.
    """

    side: str
    low_hz: int
    high_hz: int
    clear: tuple[ClearRow, ...]
    rows: tuple[BarRow, ...]


@dataclass(frozen=True)
class IfBars:
    """All that is drawn: the IFs asked for, the plan's own with its tolerance [Hz], and each oscillator side."""

    low_hz: int
    high_hz: int
    own_hz: int
    tolerance_hz: int
    sides: tuple[SideBars, ...]

    def at_own(self, side: SideBars) -> tuple[str, ...]:
        """Return the titles of the rows in which something is in the band at the plan's own IF."""
        return tuple(
            row.title
            for row in side.rows
            if any(bar.low_hz <= self.own_hz <= bar.high_hz for bar in row.bars)
        )


def if_bars(plan: Plan, low_hz: int | None = None, high_hz: int | None = None) -> IfBars:
    """Gather what is drawn for IFs from `low_hz` to `high_hz` [Hz], the usual range by default."""
    usual = usual_range_hz(plan.conversion[0].intermediate_hz)
    low, high = usual[0] if low_hz is None else low_hz, usual[1] if high_hz is None else high_hz
    found = if_ranges(plan, low, high)
    own = plan.conversion[0]
    return IfBars(low, high, own.intermediate_hz, own.tolerance_hz, tuple(_sides(plan, found)))


def usual_range_hz(own_hz: int) -> tuple[int, int]:
    """Return from where to where a person would look around an IF [Hz]: about a third to three times."""
    return _nearest_step(Fraction(own_hz, WIDEST)), _nearest_step(Fraction(own_hz * WIDEST))


def _nearest_step(value: Fraction) -> int:
    power = len(str(int(value))) - 1
    steps = [int(step * 10**at) for at in (power, power + 1) for step in STEPS if step * 10**at >= 1]
    return min(steps, key=lambda step: max(step / value, value / step))


def _sides(plan: Plan, found: IfRanges) -> list[SideBars]:
    edges = list(found.edges.rows())
    sides = []
    for room in found.rooms:
        own = [row for row in edges if row["oscillator"] == room.side]
        clear = _clear(plan, found, room.side)
        sides.append(SideBars(room.side, room.low_hz, room.high_hz, clear, _rows(own, Tuning(room.side, 1))))
    return sides


def _clear(plan: Plan, found: IfRanges, side: str) -> tuple[ClearRow, ...]:
    spans = _spans(found, side)
    if spans:
        return (ClearRow(spans, ""),)
    worst = next(
        (
            row["mechanism"]
            for row in found.obstacles.rows()
            if row["oscillator"] == side and row["clear_without_hz"]
        ),
        None,
    )
    if worst is None:
        return (ClearRow((), ""),)
    others = [name for name in KEPT_OUT if name != worst]
    without = if_ranges(plan, found.low_hz, found.high_hz, others, oscillator=side)
    return ClearRow((), ""), ClearRow(_spans(without, side), TITLES[worst])


def _spans(found: IfRanges, side: str) -> tuple[Span, ...]:
    return merged((row["low_hz"], row["high_hz"]) for row in found.clear.rows() if row["oscillator"] == side)


def _rows(edges: Sequence[Mapping[str, Any]], tuning: Tuning) -> tuple[BarRow, ...]:
    groups: dict[tuple[str, str], list[Bar]] = {}
    for row in edges:
        key = row["mechanism"], _half(row, tuning)
        groups.setdefault(key, []).append(Bar(row["low_hz"], row["high_hz"], _name(row)))
    order = list(TITLES)
    ids = sorted(groups, key=lambda key: (order.index(key[0]), key[1] != NEAR))
    return tuple(BarRow(key[0], key[1] + TITLES[key[0]], tuple(groups[key])) for key in ids)


NEAR, FAR = "near ", "far "


def _half(row: Mapping[str, Any], tuning: Tuning) -> str:
    """Return whether a response with m = n lies nearer to the dial setting or farther; a sum converter has none."""
    if row["mechanism"] not in ("half-if", "fractional-if") or tuning.side == "sum":
        return ""
    return NEAR if row["e"] == tuning.wanted[2] else FAR


def _name(row: Mapping[str, Any]) -> str:
    return f"{row['k']} × IF" if row["k"] is not None else f"{row['m']},{row['n']}"
