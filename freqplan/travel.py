"""Which parts of the band an oscillator receives over the whole travel of the dial, and which it cannot."""

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
        Ends of the part of the dial on which it is received, from the lower one.
    side : str
        ``"high"``, oscillator above the station, ``"low"``, below it, or ``"sum"``.
    """

    low_hz: Fraction
    high_hz: Fraction
    dial_low_hz: Fraction
    dial_high_hz: Fraction
    side: str


def pieces(plan: Plan, one: Explanation) -> tuple[Piece, ...]:
    """Return the parts of the band that are received while the dial runs over it, lowest first.

    Parameters
    ----------
    plan : Plan
        Gives band and travel of the dial.
    one : Explanation
        Where the oscillator is. Stations are received on those sides of it that the readings show: an image that none
        of them was taken on may be kept out by the front end.
    """
    band = plan.band
    found = []
    for side in dict.fromkeys(one.sides):
        ends = sorted(one.plays_hz(hz, side) for hz in (band.low_hz, band.high_hz))
        low, high = max(ends[0], Fraction(band.low_hz)), min(ends[1], Fraction(band.high_hz))
        if low < high:
            dial = sorted(_within(one.dial_hz(_oscillator(hz, one, side)), plan) for hz in (low, high))
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


def _within(dial_hz: Fraction, plan: Plan) -> Fraction:
    """Return a setting inside the travel; the square root of a trimmer may have rounded it just beyond."""
    return min(max(dial_hz, Fraction(plan.band.low_hz)), Fraction(plan.band.high_hz))
