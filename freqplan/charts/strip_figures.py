"""Figures and ticks of the dial strip, and the pieces that a long one is cut into; all exact."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from typing import TYPE_CHECKING

from freqplan.charts.labels import fits
from freqplan.hertz import HZ_IN, decimal_text
from freqplan.lengths import millimetres

if TYPE_CHECKING:
    from freqplan.charts.strip_rows import Strip

LONGEST_PIECE_UM, OVERLAP_UM = 172_000, 5_000
"""What has room between the margins of a sheet, and how far pieces overlap where they are joined."""

LEAST_GAP_MM, LETTER_MM = 0.9, 1.7
"""Between two ticks; width of a figure's letter."""

BETWEEN_FIGURES_MM = 2.5
MOST_TICKS, NEARLY_ALL = 600, 0.7


@dataclass(frozen=True)
class Figure:
    """A figure of the scale: the frequency [Hz] and how it is written."""

    hertz: int
    words: str


@dataclass(frozen=True)
class Marking:
    """What is printed along a scale.

    Attributes
    ----------
    figures : tuple of Figure
        Rising; those that stand on the real scale first of all.
    middle_hz, small_hz : tuple of int [Hz]
        Ticks of middle and small length, without those that have a figure.
    """

    figures: tuple[Figure, ...]
    middle_hz: tuple[int, ...]
    small_hz: tuple[int, ...]


@dataclass(frozen=True)
class Piece:
    """A part of the strip, both ends [um] along the scale, and the cut that the next one is laid to, if any."""

    start_um: Fraction
    end_um: Fraction
    laid_to_um: Fraction | None
    is_cut: bool


def marking(strip: Strip, unit: str) -> Marking:
    """Return figures and ticks of a strip: as many as there is room for, in round numbers of a unit."""
    low, high, step = strip.low_hz, strip.high_hz, _tick_step(strip)
    figures = _figures(strip, unit)
    taken = {figure.hertz for figure in figures}
    middle = {
        hertz for hertz in (*_marks(strip), *_multiples(_longer(step), low, high)) if hertz not in taken
    }
    small = [hertz for hertz in _multiples(step, low, high) if hertz not in taken | middle]
    return Marking(figures, tuple(sorted(middle)), tuple(small))


def _figures(strip: Strip, unit: str) -> tuple[Figure, ...]:
    """Return the figures of the real scale and, with them, the finest round ones of which nearly all find room."""
    marks, low, high = _marks(strip), strip.low_hz, strip.high_hz
    kept: list[int] = []
    for step in reversed(_steps(strip)):
        wanted = sorted(_multiples(step, low, high), key=lambda hertz: -_roundness(hertz))
        every = list(dict.fromkeys((*marks, *wanted)))
        gap = BETWEEN_FIGURES_MM + LETTER_MM * max((len(_written(hertz, unit)) for hertz in every), default=1)
        found = [every[index] for index in fits([place_mm(strip, hertz) for hertz in every], gap)]
        if not kept or len(set(wanted) & set(found)) >= NEARLY_ALL * len(wanted):
            kept = found
    return tuple(Figure(hertz, _written(hertz, unit)) for hertz in sorted(kept))


def _roundness(hertz: int) -> int:
    """Return the largest round number that divides a frequency."""
    power = int("1" + "0" * (len(str(hertz)) - len(str(hertz).rstrip("0"))))
    return power * (5 if hertz % (5 * power) == 0 else 2 if hertz % (2 * power) == 0 else 1)


def _written(hertz: int, unit: str) -> str:
    return decimal_text(hertz, unit_hz=HZ_IN[unit], decimals=0, extra=6)


def place_mm(strip: Strip, hertz: Fraction | int) -> float:
    """Return where a frequency stands along the scale [mm]."""
    return millimetres(strip.scale.at_um(hertz))


def _marks(strip: Strip) -> list[int]:
    """Return the figures of the real scale that lie in the band; the ends of the band are none."""
    ends = (strip.low_hz, strip.high_hz)
    return [hertz for hertz, _ in strip.scale.marks if ends[0] <= hertz <= ends[1] and hertz not in ends]


def _multiples(step: int, low: int, high: int) -> range:
    return range(-(-low // step) * step, high + 1, step)


def _steps(strip: Strip) -> list[int]:
    """Return the round steps to try, rising."""
    low, high = strip.low_hz, strip.high_hz
    steps = [step * 10**power for power in range(len(str(high)) + 1) for step in (1, 2, 5)]
    return [step for step in steps if (high - low) // step <= MOST_TICKS and len(_multiples(step, low, high))]


def _tick_step(strip: Strip) -> int:
    """Return the finest round step whose ticks nowhere stand too close."""
    steps = _steps(strip)
    for step in steps:
        places = [place_mm(strip, hertz) for hertz in _multiples(step, strip.low_hz, strip.high_hz)]
        if all(abs(after - before) >= LEAST_GAP_MM for before, after in pairwise(places)):
            return step
    return steps[-1]


def _longer(step: int) -> int:
    """Return the step of the ticks of middle length."""
    return step * (2 if str(step)[0] == "5" else 5)


def pieces(strip: Strip) -> tuple[Piece, ...]:
    """Return the pieces of a strip, from left to right, equally long and no longer than there is room for."""
    length, room = strip.scale.length_um, LONGEST_PIECE_UM - OVERLAP_UM
    count = max(1, -(-(length - OVERLAP_UM) // room))
    each = Fraction(length + (count - 1) * OVERLAP_UM, count)
    found = []
    for number in range(count):
        start = number * (each - OVERLAP_UM)
        found.append(
            Piece(start, start + each, start + OVERLAP_UM if number else None, is_cut=number < count - 1)
        )
    return tuple(found)
