"""Which parts of the band an oscillator receives over the whole travel of the capacitor, and which it cannot."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from freqplan.explanation import Explanation

if TYPE_CHECKING:
    from freqplan.plan import Plan


@dataclass(frozen=True)
class Piece:
    """A part of the band that is received, and where on the dial.

    Attributes
    ----------
    low_hz, high_hz : Fraction [Hz]
        Its ends.
    dial_low_hz, dial_high_hz : Fraction [Hz]
        What the dial reads at its ends, the lower one first; beyond the scale where the pointer has slipped.
    side : str
        ``"high"``, oscillator above the station, ``"low"``, below it, or ``"sum"``.
    """

    low_hz: Fraction
    high_hz: Fraction
    dial_low_hz: Fraction
    dial_high_hz: Fraction
    side: str


def pieces(plan: Plan, one: Explanation) -> tuple[Piece, ...]:
    """Return the parts of the band that are received over the travel of the capacitor, lowest first.

    Parameters
    ----------
    plan : Plan
        Gives the band, from end to end of which the capacitor tunes when nothing is wrong.
    one : Explanation
        Where the oscillator is, and on which sides of it stations come in.
    """
    band, travel = plan.band, one.travel_hz(plan)
    found = []
    for side in one.receives:
        ends = sorted(one.plays_hz(hz, side) for hz in travel)
        low, high = max(ends[0], Fraction(band.low_hz)), min(ends[1], Fraction(band.high_hz))
        if low < high:
            dial = sorted(_within(one.dial_hz(_oscillator(hz, one, side)), travel) for hz in (low, high))
            found.append(Piece(low, high, dial[0], dial[1], side))
    return tuple(sorted(found, key=lambda piece: piece.low_hz))


def missing(plan: Plan, received: tuple[Piece, ...]) -> tuple[tuple[Fraction, Fraction], ...]:
    """Return the parts of the band that no piece covers [Hz], lowest first."""
    gaps, reached = [], Fraction(plan.band.low_hz)
    for piece in received:
        if piece.low_hz > reached:
            gaps.append((reached, piece.low_hz))
        reached = max(reached, piece.high_hz)
    if reached < plan.band.high_hz:
        gaps.append((reached, Fraction(plan.band.high_hz)))
    return tuple(gaps)


def _oscillator(station_hz: Fraction, one: Explanation, side: str) -> Fraction:
    """Return the oscillator frequency [Hz] that receives a station on one side."""
    own_if = one.intermediate_hz
    return own_if - station_hz if side == "sum" else station_hz + (own_if if side == "high" else -own_if)


def _within(dial_hz: Fraction, travel: tuple[int, int]) -> Fraction:
    """Return a setting inside the travel; the square root of a trimmer may have rounded it just beyond."""
    return min(max(dial_hz, Fraction(travel[0])), Fraction(travel[1]))
