"""One explanation of dial readings: its name, its values, and what follows from them exactly."""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from functools import cached_property
from math import isqrt
from typing import TYPE_CHECKING

import numpy as np

from freqplan.decibel import Float64
from freqplan.mixing import Tuning
from freqplan.plan_tables import FM_FROM_HZ
from freqplan.readings import BEYOND

if TYPE_CHECKING:
    from freqplan.plan import Plan

NO_FAULT, WRONG_SIDE, SCALED, IF_OFF, POINTER, TRIMMER, COIL = (
    "no-fault", "wrong-side", "oscillator-scaled", "if-off-centre", "pointer", "trimmer", "coil",
)  # fmt: skip

FARTHEST_IF_HZ = {"fm": 300_000, "am": 10_000}
"""No filter that works is farther off than this; common practice, no source."""

POINTER_PART = 20
"""A pointer or a scale is off by this part of the band's middle at most, a twentieth; common practice, no source."""


def usual_error_hz(plan: Plan) -> int:
    """Return how well a dial is read [Hz]: 0.1 MHz from 30 MHz upwards, below a thousandth of the band's middle.

    At least 2 kHz.  Common practice, no source.
    """
    if plan.band.low_hz >= FM_FROM_HZ:
        return 100_000
    return max(2_000, (plan.band.low_hz + plan.band.high_hz) // 2_000)


def farthest_if_hz(plan: Plan) -> int:
    """Return how far the real IF can be from the nominal one [Hz], or as far as the plan says."""
    return max(FARTHEST_IF_HZ[plan.band.modulation], plan.conversion[0].tolerance_hz)


def farthest_pointer_hz(plan: Plan) -> int:
    """Return how far a pointer or a scale can be off [Hz]: 5 % of the band's middle.

    On a narrow band no farther than a scale goes beyond it.
    """
    low, high = plan.band.low_hz, plan.band.high_hz
    return min((low + high) // (2 * POINTER_PART), (high - low) // BEYOND)


@dataclass(frozen=True, eq=False)
class Explanation:
    """One way in which the readings could have come about, with the values that fit them best.

    Attributes
    ----------
    kind : str
        Its name.
    tuning : Tuning
        The oscillator that the scale was made for.
    top_hz : int
        The highest frequency of that one.
    parameters : int
        How many values were fitted.
    shift_hz : int
        What plays less what the scale shows, by the scale alone.
    intermediate_hz : int
        The real IF.
    ratio, tau : Fraction
        q and tau of the circuit.
    sides : tuple of str
        How each reading is received: ``"high"``, oscillator above the station, ``"low"``, below it, or ``"sum"``.
    errors_hz : (k,) float64 [Hz]
        What plays at each reading, less what should play by this explanation.
    """

    kind: str
    tuning: Tuning
    top_hz: int
    parameters: int
    intermediate_hz: int
    shift_hz: int = 0
    ratio: Fraction = Fraction(1)
    tau: Fraction = Fraction(0)
    sides: tuple[str, ...] = ()
    errors_hz: Float64 = field(default_factory=lambda: np.zeros(0), repr=False)

    @cached_property
    def residual_hz(self) -> int:
        """Root mean square of the errors [Hz]."""
        return round(float(np.sqrt(np.mean(self.errors_hz**2))))

    @property
    def is_swapped(self) -> bool:
        """Return whether some readings come in above the oscillator and others below it."""
        return len(set(self.sides)) > 1

    @property
    def has_images(self) -> bool:
        """Return whether some readings come in on the other side of the oscillator than the scale is made for."""
        return any(side != self.tuning.side for side in self.sides)

    @property
    def receives(self) -> tuple[str, ...]:
        """Return on which sides of the oscillator stations come in.

        On the one that the set is made for, unless the oscillator itself is on the other, and on those that the
        readings show: an image that none of them was taken on may be kept out by the front end.
        """
        own = () if self.kind == WRONG_SIDE else (self.tuning.side,)
        return tuple(dict.fromkeys((*own, *self.sides)))

    def travel_hz(self, plan: Plan) -> tuple[int, int]:
        """Return what the dial reads [Hz] with the capacitor at either end of its travel, the low end first.

        A pointer that has slipped stands beside the end marks of its scale; the capacitor turns as far as ever.
        """
        return plan.band.low_hz - self.shift_hz, plan.band.high_hz - self.shift_hz

    def nominal_hz(self, dial_hz: int) -> int:
        """Return the oscillator frequency [Hz] the scale was made for."""
        return self.tuning.oscillator_hz(dial_hz)

    def oscillator_hz(self, dial_hz: int) -> Fraction:
        """Return the oscillator frequency [Hz] by this explanation; whole hertz where a trimmer has a part in it."""
        own = self.ratio * self.nominal_hz(dial_hz + self.shift_hz)
        if not self.tau:
            return own
        return Fraction(_root(own**2 / (1 + self.tau * (own / self.ratio / self.top_hz) ** 2)))

    def dial_hz(self, oscillator_hz: Fraction) -> Fraction:
        """Return the reading [Hz] at which the oscillator is on a frequency: the reverse of `oscillator_hz`."""
        own = oscillator_hz / self.ratio
        if self.tau:
            own = Fraction(_root(own**2 / (1 - self.tau * (own / self.top_hz) ** 2)))
        return self.tuning.sigma * (own - self.tuning.t * self.tuning.intermediate_hz) - self.shift_hz

    def plays_hz(self, dial_hz: int, side: str) -> Fraction:
        """Return what plays [Hz] at a reading, received on one side of the oscillator."""
        return station_hz(self.oscillator_hz(dial_hz), self.intermediate_hz, side)


def station_hz(oscillator_hz: Fraction, intermediate_hz: int, side: str) -> Fraction:
    """Return the station [Hz] that an oscillator above it, below it, or a sum converter brings to the IF."""
    if side == "sum":
        return intermediate_hz - oscillator_hz
    return oscillator_hz - intermediate_hz if side == "high" else oscillator_hz + intermediate_hz


def _root(square: Fraction) -> int:
    """Return the square root of a positive number to the nearest whole one, without floats."""
    return (isqrt(4 * square.numerator // square.denominator) + 1) // 2
