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

MOST_WORSE = 6
"""Squared reading errors by which the squares an explanation leaves, one to a setting, may exceed those of the best.

Up to six settings nothing within the reading error exceeds that, so that few readings rule nothing more out.  Readings
off evenly by up to an error E have a variance of E^2/3.  Against one other curve, D apart in squares, what the truth
leaves more is about normal, with mean -D and variance 4 D E^2/3; it exceeds 6 E^2 most easily at D = 6 E^2, at 4.2
standard deviations: once in 90,000 times.
"""

CIRCUIT = (COIL, SCALED, TRIMMER)
ON_EITHER_SIDE = (NO_FAULT, POINTER)
"""What is the same whatever side the oscillator is on, unless there are images among the readings."""


@dataclass(frozen=True, eq=False)
class Yardstick:
    """What counts as fitting.

    Attributes
    ----------
    error_hz : int
        How well the dial is read: what leaves more than this unexplained (root mean square) does not fit.
    settings : int
        How many different settings of the dial there are readings of; taken twice, a setting tells nothing more.
    best : Explanation
        The explanation that leaves least, however many values it takes.
    """

    error_hz: int
    settings: int
    best: Explanation

    def fits(self, one: Explanation) -> bool:
        """Return whether an explanation leaves no more than the reading error, and not too much more than the best.

        A dial that is right within the reading error wherever it was read stays right, however many readings show it
        to be off by less.
        """
        if one.residual_hz > self.error_hz:
            return False
        if one.kind == NO_FAULT and np.abs(one.errors_hz - self.best.errors_hz).max() <= self.error_hz:
            return True
        more = self.settings * (one.residual_hz**2 - self.best.residual_hz**2)
        return more <= MOST_WORSE * self.error_hz**2

    def rank(self, one: Explanation) -> tuple[int, int, int]:
        """Return what sorts those that fit first, the simplest before others, then by what they leave."""
        # Python sorts stably, so that what fits alike stays in the order of `explanations`.
        return (0, one.parameters, one.residual_hz) if self.fits(one) else (1, one.residual_hz, 0)


@dataclass(frozen=True, eq=False)
class Weighed:
    """Explanations, best first.

    Attributes
    ----------
    readings : Readings
        What they explain.
    yardstick : Yardstick
        What counts as fitting.
    ranked : tuple of Explanation
        Those that fit first, the simplest before others, then by what they leave unexplained.
    """

    readings: Readings
    yardstick: Yardstick
    ranked: tuple[Explanation, ...]

    @property
    def error_hz(self) -> int:
        """Return how well the dial is read [Hz]."""
        return self.yardstick.error_hz

    @property
    def settings(self) -> int:
        """Return how many different settings of the dial there are readings of."""
        return self.yardstick.settings

    def fits(self, one: Explanation) -> bool:
        """Return whether an explanation fits."""
        return self.yardstick.fits(one)

    def on_either_side(self, one: Explanation) -> bool:
        """Return whether an explanation stands for every side of the oscillator that the plan leaves open."""
        return one.kind in ON_EITHER_SIDE and [each.kind for each in self.ranked].count(one.kind) == 1

    @property
    def first(self) -> Explanation:
        """Return the explanation that stands first."""
        return self.ranked[0]

    @cached_property
    def rivals(self) -> tuple[Explanation, ...]:
        """The others that fit as well and are not the first one with something added."""
        return tuple(one for one in self.ranked[1:] if self.fits(one) and not contains(one, self.first))

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
    for tuning in tunings(plan):
        known = {one.kind for one in found if one.kind in ON_EITHER_SIDE and not one.has_images}
        found += [
            one for one in explanations(plan, tuning, readings) if one.has_images or one.kind not in known
        ]
    best = min(found, key=lambda one: one.residual_hz)
    yardstick = Yardstick(error_hz, len(np.unique(readings.reads_hz)), best)
    # Of one or two settings nothing is told, and everything that fits is to be seen.
    if yardstick.settings >= FEWEST:
        found = _without_needless(found, yardstick)
    found.sort(key=yardstick.rank)
    # Of two that go by the same name the first says it all.
    kept = {(one.kind, one.tuning.side): one for one in reversed(found)}
    return Weighed(readings, yardstick, tuple(one for one in found if kept[one.kind, one.tuning.side] is one))


def _without_needless(found: list[Explanation], yardstick: Yardstick) -> list[Explanation]:
    """Leave out faults of a dial that is right, and coil and trimmer together where one of them alone fits."""
    fitting = [one for one in found if yardstick.fits(one)]
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
    return min(found, key=lambda pair: pair[1].yardstick.rank(pair[1].first), default=None)
