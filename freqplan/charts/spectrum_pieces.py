"""Where frequencies stand on the broken axes of the spectrum chart: all pieces of one axis have the same scale."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import TYPE_CHECKING, NamedTuple

from freqplan.charts.spectrum_parts import REACH, STEP, TIMES

if TYPE_CHECKING:
    from freqplan.charts.spectrum_parts import Axis

Hertz = Fraction | int

APART = Fraction(3, 2)
"""A gap longer than so many times the longest arrow is left out."""

WIDEST_BAND = 3
"""The band is shown whole where it is at most so many times as wide as the longest arrow."""

FINE = 12
"""A step less than the IF by so much is shown on a scale of its own."""

MARGIN, LEAST_SHARE = Fraction(1, 20), Fraction(1, 1000)
BREAK_MM = 5.0


class Piece(NamedTuple):
    """A part of an axis from one frequency to another, and its place across the sheet [mm]."""

    low_hz: Hertz
    high_hz: Hertz
    left_mm: float
    width_mm: float

    def across(self, hertz: Hertz) -> float:
        """Return where a frequency stands [mm]."""
        share = float(Fraction(hertz - self.low_hz) / Fraction(self.high_hz - self.low_hz))
        return self.left_mm + share * self.width_mm


class Ruler(NamedTuple):
    """The pieces of an axis from left to right."""

    pieces: tuple[Piece, ...]

    def across(self, hertz: Hertz) -> float:
        """Return where a frequency stands on the sheet [mm]; between two pieces, in the break."""
        for piece in self.pieces:
            if hertz <= piece.high_hz:
                return piece.across(max(hertz, piece.low_hz))
        return self.pieces[-1].across(self.pieces[-1].high_hz)

    def is_broken(self, low_hz: Hertz, high_hz: Hertz) -> bool:
        """Return whether a break lies between two frequencies."""
        return any(low_hz <= piece.high_hz < high_hz for piece in self.pieces)


def ruler(axis: Axis, left_mm: float, right_mm: float) -> Ruler:
    """Lay an axis out between two places on the sheet [mm]."""
    parts = _parts(axis)
    length = sum((high - low for low, high in parts), Fraction(0))
    margin = max(length * MARGIN, _least_margin(axis, length))
    parts = [(low if low == 0 else max(low - margin, low / 2), high + margin) for low, high in parts]
    total = sum((high - low for low, high in parts), Fraction(0))
    room = right_mm - left_mm - BREAK_MM * (len(parts) - 1)
    pieces, at = [], left_mm
    for low, high in parts:
        width = room * float((high - low) / total)
        pieces.append(Piece(low, high, at, width))
        at += width + BREAK_MM
    return Ruler(tuple(pieces))


def _least_margin(axis: Axis, length: Fraction) -> Fraction:
    """Return the margin where all strokes stand on one place: what is shaded about it, or a thousandth of it."""
    if length:
        return Fraction(0)
    return Fraction(max(stroke.hertz for stroke in axis.strokes)) * LEAST_SHARE


def _parts(axis: Axis) -> list[tuple[Fraction, Fraction]]:
    """Return what of the spectrum is shown, rising."""
    points = [Fraction(stroke.hertz) for stroke in axis.strokes]
    spans = [(one, one) for one in points]
    if axis.is_whole:
        ends = [*points, *(Fraction(arrow.start_hz) for arrow in axis.arrows)]
        ends += [
            Fraction(end) for shade in axis.shades if axis.is_apart or not axis.comb_hz for end in shade[:2]
        ]
        ends += [Fraction(0)] if axis.comb_hz else []
        return [(min(ends), max(ends))]
    lengths = [arrow.length_hz for arrow in axis.arrows if arrow.kind != TIMES]
    longest = Fraction(max(lengths, default=max(points) - min(points)))
    beside = [arrow.length_hz for arrow in axis.arrows if arrow.kind == STEP and arrow.length_hz]
    # Where a step is too small to be seen beside the IF, the arrows of the IF run over breaks.
    is_fine = bool(beside) and FINE * min(beside) < longest
    kept = [arrow for arrow in axis.arrows if arrow.kind in ((STEP,) if is_fine else (REACH, STEP))]
    spans += [(Fraction(min(a.start_hz, a.end_hz)), Fraction(max(a.start_hz, a.end_hz))) for a in kept]
    if is_fine:
        longest = Fraction(max(arrow.length_hz for arrow in kept)) * 4
    spans += _bands(axis, spans, longest)
    return _merged(spans, longest * APART)


def _bands(
    axis: Axis, spans: Sequence[tuple[Fraction, Fraction]], longest: Fraction
) -> list[tuple[Fraction, Fraction]]:
    """Return the shaded ranges that are narrow enough to be shown whole, and hold something."""
    return [
        (Fraction(low), Fraction(high))
        for low, high, _ in axis.shades
        if high - low <= WIDEST_BAND * longest and any(low <= one <= high for one, _ in spans)
    ]


def _merged(spans: Sequence[tuple[Fraction, Fraction]], gap: Fraction) -> list[tuple[Fraction, Fraction]]:
    """Put spans together that are nearer to each other than `gap`."""
    merged: list[tuple[Fraction, Fraction]] = []
    for low, high in sorted(spans):
        if merged and low - merged[-1][1] <= gap:
            merged[-1] = (merged[-1][0], max(merged[-1][1], high))
        else:
            merged.append((low, high))
    return merged
