"""Where the words of the dial strip go: names above the scale, labels in lanes below the marks; none on another."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from freqplan.charts.labels import spread
from freqplan.charts.sheets import width_mm

NAME_GAP_MM = 2.9
"""From one name to the next, both upright."""

FARTHEST_MM = 2.6
"""So far a name may stand beside its mark."""

BETWEEN_MM, BEFORE_MM = 1.2, 1.0
"""Between two labels of a lane; how far a label that begins at its mark begins before it."""

MOST_LANES = 3


@dataclass(frozen=True)
class Named:
    """A mark with its name: where the mark stands, where the name does [mm], and the name."""

    mark_mm: float
    name_mm: float
    words: str


@dataclass(frozen=True)
class Laned:
    """A label below a mark at `mark_mm`, in a lane counted from 0 downwards.

    Attributes
    ----------
    at_mm : float [mm]
        Where it begins, or its middle, as `align` says: ``"left"`` or ``"center"``.
    """

    mark_mm: float
    at_mm: float
    words: str
    lane: int
    align: str

    @property
    def ends_mm(self) -> tuple[float, float]:
        """Return from where to where it reaches."""
        width = width_mm(self.words)
        left = self.at_mm - (0 if self.align == "left" else width / 2)
        return left, left + width


def named(marks: Sequence[tuple[float, str]], *, low_mm: float, high_mm: float) -> tuple[Named, ...]:
    """Return the marks that get a name: the first ones, as many as can stand close to where they belong.

    Parameters
    ----------
    marks : sequence of (float [mm], str)
        Place and name, the most important first.
    low_mm, high_mm : float [mm]
        Between what the names must stand.
    """
    kept: list[tuple[float, str]] = []
    found: list[float] = []
    for mark in marks:
        tried = [*kept, mark]
        if NAME_GAP_MM * (len(tried) - 1) > high_mm - low_mm:
            break
        places = spread([at for at, _ in tried], gap=NAME_GAP_MM, low=low_mm, high=high_mm)
        if all(abs(place - at) <= FARTHEST_MM for place, (at, _) in zip(places, tried, strict=True)):
            kept, found = tried, places
    return tuple(Named(at, place, words) for place, (at, words) in zip(found, kept, strict=True))


def in_lanes(marks: Sequence[tuple[float, str]], *, low_mm: float, high_mm: float) -> tuple[Laned, ...]:
    """Return the labels that have room below their marks, as many as can be, the first marks first.

    All stand with their middle under the mark, or all begin there, whichever lets more of them in.  A label in a lower
    lane hangs on a line from its mark, on which no label above it stands.

    Parameters
    ----------
    marks : sequence of (float [mm], str)
        Place and words, the most important first.
    low_mm, high_mm : float [mm]
        Between what the labels must stand.
    """
    ways = (_kept(marks, low_mm, high_mm, begins) for begins in (False, True))
    return max(ways, key=len)


def _kept(marks: Sequence[tuple[float, str]], low: float, high: float, begins: bool) -> tuple[Laned, ...]:
    kept: list[tuple[float, str]] = []
    found: tuple[Laned, ...] = ()
    for mark in marks:
        tried = _placed(sorted([*kept, mark], reverse=True), low, high, begins)
        if tried is not None:
            kept.append(mark)
            found = tried
    return found


def _placed(
    marks: Sequence[tuple[float, str]], low: float, high: float, begins: bool
) -> tuple[Laned, ...] | None:
    """Return all of these labels, from right to left, each in the highest lane free; None if one has no room."""
    start, leader = [high + BETWEEN_MM] * MOST_LANES, [high + BETWEEN_MM] * MOST_LANES
    found = []
    for at, words in marks:
        width = width_mm(words)
        left = max(low, min(at - (BEFORE_MM if begins else width / 2), high - width))
        right = left + width
        lane = next(
            (
                lane
                for lane in range(MOST_LANES)
                if right + BETWEEN_MM <= start[lane]
                and at < min(start[:lane], default=high + 1)
                and right < min(leader[lane + 1 :], default=high + 1)
            ),
            None,
        )
        if lane is None or width > high - low:
            return None
        start[lane], leader[lane] = left, at
        found.append(
            Laned(at, left, words, lane, "left")
            if begins
            else Laned(at, left + width / 2, words, lane, "center")
        )
    return tuple(found)
