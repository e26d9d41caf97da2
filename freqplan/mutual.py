"""Which settings of two dials fool both sets at once: where two lines in the plane of the dials meet."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from freqplan.conflicts import Lines
from freqplan.findings import Findings

MUTUAL_COLUMNS = (
    "set", "other_set", "ways", "way", "harmonic", "back_way", "back_harmonic", "oscillator", "other_oscillator",
    "together", "dial_low_hz", "dial_high_hz", "other_dial_low_hz", "other_dial_high_hz",
    "other_at_low_hz", "other_at_high_hz",
)  # fmt: skip
DETAILS = ("way", "harmonic", "back_way", "back_harmonic", "other_at_low_hz", "other_at_high_hz")
SIDES = ("oscillator", "other_oscillator")
POINT, LINE, AREA = "point", "line", "area"


@dataclass(frozen=True)
class Box:
    """A part of one dial and a part of another, ends included [Hz]."""

    low: Fraction
    high: Fraction
    other_low: Fraction
    other_high: Fraction

    def within(self, box: Box) -> Box | None:
        """Return what two boxes have in common; None where that is nothing."""
        common = Box(
            max(self.low, box.low), min(self.high, box.high),
            max(self.other_low, box.other_low), min(self.other_high, box.other_high),
        )  # fmt: skip
        return common if common.low <= common.high and common.other_low <= common.other_high else None


@dataclass(frozen=True)
class Conflict:
    """One disturbance between two dials x and y, inside its box; p*x + q*y + r = 0 unless it is a strip.

    Attributes
    ----------
    way, harmonic : str, int
        How it comes in.
    p, q, r : int
        The line; where either p or q is 0 it is a strip, and the box says all.
    box : Box
        Where it is.
    """

    way: str
    harmonic: int
    p: int
    q: int
    r: int
    box: Box

    @property
    def is_strip(self) -> bool:
        """Return whether one of the dials has no influence."""
        return not (self.p and self.q)

    @property
    def in_words(self) -> str:
        """Return how it comes in, with the harmonic where it is not the oscillator itself."""
        return self.way if self.harmonic == 1 else f"{self.way} {self.harmonic}"

    def other(self, x: Fraction) -> Fraction:
        """Return y on the line."""
        return -(self.p * x + self.r) / self.q

    def cut(self, box: Box) -> Box | None:
        """Return the part of the line inside a box; None where it misses."""
        at_bottom, at_top = (
            -(self.q * y + self.r) / Fraction(self.p) for y in (box.other_low, box.other_high)
        )
        low, high = max(box.low, min(at_bottom, at_top)), min(box.high, max(at_bottom, at_top))
        if low > high:
            return None
        ends = sorted((self.other(low), self.other(high)))
        return Box(low, high, *ends)


def meeting(one: Conflict, back: Conflict) -> tuple[str, Box] | None:
    """Return where two conflicts hold at once, as a point, a line or an area; None where they never do."""
    box = one.box.within(back.box)
    if box is None:
        return None
    if one.is_strip and back.is_strip:
        return AREA, box
    if one.is_strip or back.is_strip:
        met = (back if one.is_strip else one).cut(box)
        return None if met is None else (_kind(met), met)
    crossing = one.p * back.q - back.p * one.q
    if crossing:
        x = Fraction(one.q * back.r - back.q * one.r, crossing)
        y = one.other(x)
        spot = Box(x, x, y, y).within(box)
        return None if spot is None else (POINT, spot)
    if one.p * back.r != back.p * one.r or one.q * back.r != back.q * one.r:
        return None
    met = one.cut(box)
    return None if met is None else (_kind(met), met)


def _kind(box: Box) -> str:
    return POINT if box.low == box.high and box.other_low == box.other_high else LINE


def mutual(lines: Sequence[Lines], *, sides: bool) -> Findings:
    """Return the settings at which two sets disturb each other, each pair of sets once.

    Parameters
    ----------
    lines : sequence of Lines
        Of every ordered pair of sets.
    sides : bool
        Whether the oscillator sides are told in an overview too.
    """
    found = {(each.culprit.name, each.victim.name, *each.sides): each for each in lines}
    rows: list[dict[str, Any]] = []
    done: set[tuple[str, str]] = set()
    for (culprit, victim, side, other), forth in found.items():
        done.add((culprit, victim))
        if (victim, culprit) not in done:
            rows += _rows(forth, found[victim, culprit, other, side])
    rows.sort(key=lambda row: (row["harmonic"] + row["back_harmonic"], row["harmonic"]))
    details = (*DETAILS, *(() if sides else SIDES))
    return Findings.of_rows("Settings that fool both sets at once", rows, MUTUAL_COLUMNS, details=details)


def _rows(forth: Lines, back: Lines) -> Iterator[dict[str, Any]]:
    returning = list(_conflicts(back, first_is_victim=True))
    for one in _conflicts(forth, first_is_victim=False):
        for other in returning:
            met = meeting(one, other)
            if met is None:
                continue
            together, box = met
            line = next((each for each in (one, other) if not each.is_strip), None)
            yield {
                "set": forth.culprit.name,
                "other_set": forth.victim.name,
                "oscillator": forth.sides[0],
                "other_oscillator": forth.sides[1],
                "ways": f"{one.in_words} / {other.in_words}",
                "way": one.way,
                "harmonic": one.harmonic,
                "back_way": other.way,
                "back_harmonic": other.harmonic,
                "together": together,
                "dial_low_hz": box.low,
                "dial_high_hz": box.high,
                "other_dial_low_hz": box.other_low,
                "other_dial_high_hz": box.other_high,
                "other_at_low_hz": line.other(box.low) if line else None,
                "other_at_high_hz": line.other(box.high) if line else None,
            }


def _conflicts(lines: Lines, *, first_is_victim: bool) -> Iterator[Conflict]:
    """Yield each line with x for the culprit's dial and y for the victim's, or the other way round."""
    some = lines.sums.combinations
    steady = some.without_signal(0)
    numbers = zip(some.c.tolist(), some.a.tolist(), steady.tolist(), strict=True)
    ends = zip(
        *(
            (Fraction(value or 0) for value in column.exact())
            for column in (lines.culprit_low, lines.culprit_high, lines.victim_low, lines.victim_high)
        ),
        strict=True,
    )
    named = zip(lines.sums.array("way").tolist(), lines.sums.array("harmonic").tolist(), strict=True)
    for (way, harmonic), (p, q, r), (low, high, from_, to) in zip(named, numbers, ends, strict=True):
        if first_is_victim:
            yield Conflict(way, harmonic, q, p, r, Box(from_, to, low, high))
        else:
            yield Conflict(way, harmonic, p, q, r, Box(low, high, from_, to))
