"""Which explanation of dial readings stands first, which fit as well, and whether that settles it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from freqplan.alignment import explanations
from freqplan.explanation import (
    COIL,
    NO_FAULT,
    POINTER,
    SCALED,
    TRIMMER,
    WRONG_SIDE,
    Explanation,
)
from freqplan.mixing import tunings
from freqplan.readings import Readings

if TYPE_CHECKING:
    from freqplan.plan import Plan

FEWEST = 3
"""Dial settings below which nothing is told: one value fitted, and two left to check it by."""

ROUGHLY = 3
"""Times the reading error beyond which readings do not even roughly fit."""

CIRCUIT = (COIL, SCALED, TRIMMER)
ON_EITHER_SIDE = (NO_FAULT, POINTER)
"""What is the same whatever side the oscillator is on."""


@dataclass(frozen=True, eq=False)
class Weighed:
    """Explanations, best first.

    Attributes
    ----------
    readings : Readings
        What they explain.
    error_hz : int
        How well the dial is read: what leaves no more than this unexplained (root mean square) fits.
    ranked : tuple of Explanation
        Those that fit first, the simplest before others, then by what they leave unexplained.
    """

    readings: Readings
    error_hz: int
    ranked: tuple[Explanation, ...]

    def fits(self, one: Explanation) -> bool:
        """Return whether an explanation leaves no more than the reading error."""
        return one.residual_hz <= self.error_hz

    @property
    def first(self) -> Explanation:
        """Return the explanation that stands first."""
        return self.ranked[0]

    @cached_property
    def rivals(self) -> tuple[Explanation, ...]:
        """The others that fit as well and are not the first one with something added."""
        return tuple(one for one in self.ranked[1:] if self.fits(one) and not contains(one, self.first))

    @cached_property
    def settings(self) -> int:
        """How many different settings of the dial there are readings of."""
        return len(np.unique(self.readings.reads_hz))

    @property
    def needed(self) -> int:
        """Return how many settings it takes: two more than there are values fitted, and three at least."""
        return max(FEWEST, self.first.parameters + 2)

    @property
    def others(self) -> tuple[Explanation, ...]:
        """Return what the first one is to be told from, best first: its rivals, or else all by another name."""
        return self.rivals or tuple(one for one in self.ranked if one.kind != self.first.kind)

    @property
    def is_settled(self) -> bool:
        """Return whether one explanation fits and no other."""
        return self.fits(self.first) and not self.rivals and self.settings >= self.needed


def weighed(plan: Plan, readings: Readings, error_hz: int) -> Weighed:
    """Fit every explanation on every side that a plan leaves open, and put them in order.

    Parameters
    ----------
    plan : Plan
        The set.
    readings : Readings
        What the dial reads and what plays there.
    error_hz : int
        How well the dial is read [Hz].
    """
    found: list[Explanation] = []
    for i, tuning in enumerate(tunings(plan)):
        every = explanations(plan, tuning, readings)
        found += [one for one in every if i == 0 or one.kind not in ON_EITHER_SIDE]
    # Of one or two settings nothing is told, and everything that fits is to be seen.
    if len(np.unique(readings.reads_hz)) >= FEWEST:
        found = _without_needless(found, error_hz)
    found.sort(key=lambda one: _rank(one, error_hz))
    # Of two that go by the same name the first says it all.
    kept = {(one.kind, one.tuning.side): one for one in reversed(found)}
    return Weighed(readings, error_hz, tuple(one for one in found if kept[one.kind, one.tuning.side] is one))


def _rank(one: Explanation, error_hz: int) -> tuple[int, int, int]:
    # Python sorts stably, so that what fits alike stays in the order of `explanations`.
    if one.residual_hz <= error_hz:
        return 0, one.parameters, one.residual_hz
    return 1, one.residual_hz, 0


def _without_needless(found: list[Explanation], error_hz: int) -> list[Explanation]:
    """Leave out faults of a dial that is right, and coil and trimmer together where one of them alone fits."""
    fitting = [one for one in found if one.residual_hz <= error_hz]
    if any(one.kind == NO_FAULT for one in fitting):
        return [one for one in found if one.kind in (NO_FAULT, WRONG_SIDE)]
    enough = {one.tuning.side for one in fitting if one.kind in CIRCUIT and one.parameters == 1}
    return [one for one in found if one.parameters < 2 or one.tuning.side not in enough]


def contains(one: Explanation, simpler: Explanation) -> bool:
    """Return whether an explanation is another one under a second name, or with something added to it."""
    if simpler.kind == NO_FAULT:
        return one.kind != WRONG_SIDE
    return one.kind == simpler.kind or {one.kind, simpler.kind} == {COIL, SCALED}


def suspect(plan: Plan, readings: Readings, error_hz: int) -> tuple[int, Weighed] | None:
    """Return which reading keeps everything from fitting: the one without which something fits best.

    Returns
    -------
    (int, Weighed) or None
        Its place, and what the others say without it; None where there are too few readings to tell, or where leaving
        out one does not help.
    """
    found: list[tuple[int, Weighed]] = []
    for place in range(len(readings)):
        rest = Readings(np.delete(readings.reads_hz, place), np.delete(readings.is_hz, place))
        without = weighed(plan, rest, error_hz)
        if without.fits(without.first) and without.settings >= without.needed:
            found.append((place, without))
    return min(found, key=lambda pair: _rank(pair[1].first, error_hz), default=None)
