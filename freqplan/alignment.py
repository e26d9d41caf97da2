"""What can put a dial wrong, each fitted to readings: pointer, IF, coil, trimmer, the whole oscillator, its side.

The scale was made for an oscillator on fL0(d) = sigma d + t fI at a reading d.  Where the circuit has changed it is on
q fL0 / sqrt(1 + tau (fL0/top)^2) instead, and what plays lies one IF above or below that.

Notes
-----
A tuned circuit has fL^-2 proportional to L C.  Inductance or total capacitance changed by a factor gives
fL = q fL0 with the factor 1/q^2; capacitance added beside the tuning capacitor (a trimmer) adds a constant to
fL^-2.  To the first order the error grows as fL with the first and as fL^3 with the second.  `top` is the highest
oscillator frequency the scale was made for, so that tau is the capacitance added, against the total where it is least.

Fits are by least squares in what plays, every reading counting alike.  They are floats; the values found are
rounded once, and everything that follows from them is exact.

A station two IFs from where it reads is an image, and a set with nothing wrong receives it: whatever is fitted,
readings next to their image are tried as images too.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property
from typing import TYPE_CHECKING, TypeAlias

import numpy as np
import numpy.typing as npt

from freqplan.decibel import Float64
from freqplan.explanation import (
    COIL,
    IF_OFF,
    NO_FAULT,
    POINTER,
    SCALED,
    TRIMMER,
    WRONG_SIDE,
    Explanation,
    farthest_if_hz,
    farthest_pointer_hz,
)
from freqplan.mixing import Tuning

if TYPE_CHECKING:
    from freqplan.plan import Plan
    from freqplan.readings import Readings

Mask: TypeAlias = npt.NDArray[np.bool_]

CORE_RANGE = Fraction(3, 100)
"""A core moves the oscillator about this far; what is farther off has a wrong part. Common practice, no source."""

LEAST_TAU, MOST_TAU = -0.7, 2.0
"""Trimmer capacitance looked for, against the total where that is least: all of a large trimmer missing, or the least
capacitance trebled."""

DECIMALS = 6
"""Of a ratio and of a share of capacitance: a hundred hertz on FM."""


@dataclass(frozen=True, eq=False)
class Scale:
    """Readings against one oscillator that the scale may have been made for.

    Attributes
    ----------
    tuning : Tuning
        That oscillator.
    top_hz : int
        Its highest frequency over the band.
    farthest_hz : int
        How far its pointer can be off.
    reads_hz, is_hz : (k,) float64 [Hz]
        The readings.
    """

    tuning: Tuning
    top_hz: int
    farthest_hz: int
    reads_hz: Float64
    is_hz: Float64

    @classmethod
    def of(cls, plan: Plan, tuning: Tuning, readings: Readings) -> Scale:
        """Set readings against the oscillator of a plan."""
        ends = (tuning.oscillator_hz(plan.band.low_hz), tuning.oscillator_hz(plan.band.high_hz))
        given = (readings.reads_hz.astype(np.float64), readings.is_hz.astype(np.float64))
        return cls(tuning, max(ends), farthest_pointer_hz(plan), *given)

    @cached_property
    def nominal(self) -> Float64:
        """Oscillator that the scale was made for, at each reading [Hz]; (k,)."""
        return self.tuning.sigma * self.reads_hz + float(self.tuning.t * self.tuning.intermediate_hz)

    @cached_property
    def share(self) -> Float64:
        """Capacitance where it is least against that at each reading; (k,)."""
        share: Float64 = (self.nominal / self.top_hz) ** 2
        return share

    @cached_property
    def above(self) -> Float64:
        """The oscillator frequency that receives each station from above [Hz]; (k,)."""
        return self.is_hz + self.tuning.intermediate_hz

    @cached_property
    def below(self) -> Float64:
        """The one that receives it from below, or as a sum converter [Hz]; (k,)."""
        return np.abs(self.is_hz - self.tuning.intermediate_hz)

    @cached_property
    def turn(self) -> Float64:
        """The frequency [Hz] midway: an oscillator higher than this is nearer to `above`; (k,)."""
        return (self.above + self.below) / 2

    @cached_property
    def wanted(self) -> Mask:
        """Whether each station comes in from above when it comes in as it should; (k,)."""
        return np.full(len(self.is_hz), self.tuning.side == "high")

    @cached_property
    def likely(self) -> Mask:
        """The same, those stations taken as images that a pointer can be off from the image of their reading; (k,)."""
        nearer = self.nominal > self.turn
        return np.where(abs(self.off(nearer)) <= self.farthest_hz, nearer, self.wanted)

    @property
    def are_images(self) -> bool:
        """Return whether all of them are images."""
        return bool((self.likely != self.wanted).all())

    def falls(self, high: Mask) -> Mask:
        """Return where what plays falls as the oscillator rises, as in a sum converter; (k,)."""
        return ~high & (self.is_hz < self.tuning.intermediate_hz)

    def needed(self, high: Mask) -> Float64:
        """Return the oscillator frequencies that the readings ask for [Hz], where `high` is true from above."""
        return np.where(high, self.above, self.below)

    def off(self, high: Mask) -> Float64:
        """Return by how much [Hz] they lie above those that the scale was made for; (k,)."""
        return self.needed(high) - self.nominal

    def explanation(
        self, kind: str, high: Mask, missing_hz: Float64, *, parameters: int, ratio: Fraction = Fraction(1),
        tau: Fraction = Fraction(0), shift_hz: int = 0, intermediate_hz: int | None = None,
    ) -> Explanation:  # fmt: skip
        """Put an explanation together; `missing_hz` is what its oscillator frequencies lack, shape (k,)."""
        own_if = self.tuning.intermediate_hz
        under = np.where(self.is_hz > own_if, "low", "sum")
        return Explanation(
            kind, self.tuning, self.top_hz, parameters, own_if if intermediate_hz is None else intermediate_hz,
            shift_hz, ratio, tau, tuple(np.where(high, "high", under).tolist()),
            np.where(self.falls(high), -missing_hz, missing_hz),
        )  # fmt: skip

    def of_circuit(self, kind: str, high: Mask, q: float, tau: float, *, parameters: int) -> Explanation:
        """Put together an explanation in which the circuit has changed; q and tau are rounded."""
        ratio, added = (
            Fraction(round(value, DECIMALS)).limit_denominator(10**DECIMALS) for value in (q, tau)
        )
        own = float(ratio) * self.nominal / np.sqrt(1 + float(added) * self.share)
        missing = self.needed(high) - own
        return self.explanation(kind, high, missing, parameters=parameters, ratio=ratio, tau=added)


def explanations(plan: Plan, tuning: Tuning, readings: Readings) -> Iterator[Explanation]:
    """Yield every explanation with its best fit, those with fewest values first.

    Parameters
    ----------
    plan : Plan
        The set.
    tuning : Tuning
        The oscillator that the scale was made for.
    readings : Readings
        What the dial reads and what plays there.

    Yields
    ------
    Explanation
        A ratio has two names, coil and total capacitance, the likelier by its size first; two circuits changed at
        once are named after the larger part.
    """
    scale = Scale.of(plan, tuning, readings)
    ways = [scale.wanted, scale.likely]
    yield _best(_no_fault(scale, high) for high in ways)
    yield _best(_pointer(scale, high) for high in ways)
    yield _best(_if_off_centre(scale, high, farthest_if_hz(plan)) for high in ways)
    ratio = _ratio(scale)
    small = abs(ratio.ratio - 1) <= CORE_RANGE
    yield from (replace(ratio, kind=kind) for kind in ((COIL, SCALED) if small else (SCALED,)))
    trimmer = _trimmer(scale)
    yield trimmer
    may_be_below = tuning.side == "high" and tuning.intermediate_hz < plan.band.low_hz
    if not scale.are_images and (tuning.side == "low" or may_be_below):
        yield _at_one_ratio(scale, WRONG_SIDE, ~scale.wanted)
    ways += [np.array(one.sides) == "high" for one in (ratio, trimmer) if one.is_swapped]
    yield _best(_coil_and_trimmer(scale, high) for high in {high.tobytes(): high for high in ways}.values())


def _best(fits: Iterable[Explanation]) -> Explanation:
    """Return the fit that leaves least, of equal ones the first."""
    return min(fits, key=lambda one: float(one.errors_hz @ one.errors_hz))


def _no_fault(scale: Scale, high: Mask) -> Explanation:
    return scale.explanation(NO_FAULT, high, scale.off(high), parameters=0)


def _pointer(scale: Scale, high: Mask) -> Explanation:
    """Fit a pointer that is off by c: fL = fL0(d + c)."""
    off, sigma, farthest = scale.off(high), scale.tuning.sigma, scale.farthest_hz
    own = round(float(np.clip(np.mean(sigma * off), -farthest, farthest)))
    return scale.explanation(POINTER, high, off - sigma * own, parameters=1, shift_hz=own)


def _if_off_centre(scale: Scale, high: Mask, farthest_hz: int) -> Explanation:
    """Fit the real IF, which puts every reading wrong alike: reads - is = real - nominal on the high side."""
    off, nominal = scale.off(high), scale.tuning.intermediate_hz
    rises = np.where(high | scale.falls(high), -1, 1)
    own = round(float(np.clip(np.mean(rises * off), -min(farthest_hz, nominal - 1), farthest_hz)))
    return scale.explanation(IF_OFF, high, off - rises * own, parameters=1, intermediate_hz=nominal + own)


def _at_one_ratio(scale: Scale, kind: str, high: Mask) -> Explanation:
    """Fit fL = q fL0 with the side of each reading known."""
    q = float(scale.needed(high) @ scale.nominal / (scale.nominal @ scale.nominal))
    return scale.of_circuit(kind, high, q, 0.0, parameters=1)


def _ratio(scale: Scale) -> Explanation:
    """Fit fL = q fL0, all readings received as they should be, or each on whichever side is nearer.

    As q grows, one reading after the other turns from below to above, so there are k + 1 ways to share them out. All
    of them on the wrong side is another explanation, unless that makes images of them.
    """
    wanted, are_images = scale.wanted, scale.are_images
    turns = scale.turn / scale.nominal
    place = np.argsort(np.argsort(turns, kind="stable"), kind="stable")
    ways = [place < count for count in range(len(turns) + 1)]
    shared = [_at_one_ratio(scale, SCALED, high) for high in ways if are_images or (high == wanted).any()]
    nearer = [one for one in shared if ((float(one.ratio) > turns) == (np.array(one.sides) == "high")).all()]
    return _best([_at_one_ratio(scale, SCALED, wanted), *nearer])


def _trimmer(scale: Scale) -> Explanation:
    """Fit fL^-2 = fL0^-2 + a constant, each reading received on whichever side is nearer."""

    def squares(tau: Float64) -> Float64:
        own = scale.nominal / np.sqrt(1 + tau[:, None] * scale.share)
        missing = np.where(own > scale.turn, scale.above, scale.below) - own
        total: Float64 = np.sum(missing**2, axis=1)
        return total

    tau = _least(squares)
    high = scale.nominal / np.sqrt(1 + tau * scale.share) > scale.turn
    return scale.of_circuit(TRIMMER, high, 1.0, tau, parameters=1)


def _coil_and_trimmer(scale: Scale, high: Mask) -> Explanation:
    """Fit fL^-2 = (fL0^-2 + a constant) / q^2 with the side of each reading known."""
    needed = scale.needed(high)

    def shape(tau: Float64) -> Float64:
        own: Float64 = scale.nominal / np.sqrt(1 + tau[:, None] * scale.share)
        return own

    def best_q(own: Float64) -> Float64:
        q: Float64 = own @ needed / np.sum(own**2, axis=1)
        return q

    def squares(tau: Float64) -> Float64:
        own = shape(tau)
        total: Float64 = np.sum((best_q(own)[:, None] * own - needed) ** 2, axis=1)
        return total

    tau = _least(squares)
    q = float(best_q(shape(np.array([tau])))[0])
    coil = abs(q**-2 - 1) >= abs(tau) * float(np.mean(scale.share))
    return scale.of_circuit(COIL if coil else TRIMMER, high, q, tau, parameters=2)


def _least(squares: Callable[[Float64], Float64]) -> float:
    """Return the tau at which a sum of squares is least: over the whole range first, then ever closer."""
    low, high, points = LEAST_TAU, MOST_TAU, 1201
    while True:
        tau = np.linspace(low, high, points)
        best = int(np.argmin(squares(tau)))
        step = (high - low) / (points - 1)
        if step < 10.0 ** -(DECIMALS + 2):
            return float(tau[best])
        low, high, points = max(LEAST_TAU, tau[best] - step), min(MOST_TAU, tau[best] + step), 41
