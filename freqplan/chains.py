"""The conversions behind the first: their oscillators, which do not tune, and their images.

Every later oscillator is a whole-number combination of IFs or a fixed frequency, and what lands on a later IF can be
referred back to the first one step by step, so that `mixing.Combinations` holds it like everything else.

Sign convention: the IF before a mixer is alpha times its oscillator and beta times the IF behind it, with
(alpha, beta) = (1, -1) for an oscillator above the IF before it, (1, 1) below it, and (-1, 1) where the IF behind
the mixer is the sum of both.  The signal is inverted where beta is -1.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise, product
from typing import TYPE_CHECKING, TypeAlias

if TYPE_CHECKING:
    from freqplan.plan import Conversion, Plan

ALPHA_BETA = {"high": (1, -1), "low": (1, 1), "sum": (-1, 1)}
"""The IF before the mixer in terms of its oscillator and of the IF behind it."""


@dataclass(frozen=True)
class Later:
    """A conversion behind the first, on one side of its oscillator.

    Attributes
    ----------
    number : int
        2 for the second.
    side : str
        ``"high"``, ``"low"`` or ``"sum"``.
    before_hz, after_hz : int [Hz]
        The IFs on either side of its mixer.
    fixed_hz : int or None [Hz]
        Its oscillator, where the plan gives it; else it follows from the two IFs.
    is_open : bool
        Whether other sides are answered for as well.
    """

    number: int
    side: str
    before_hz: int
    after_hz: int
    fixed_hz: int | None
    is_open: bool

    @property
    def alpha(self) -> int:
        """How many times the oscillator is taken in the IF before the mixer."""
        return ALPHA_BETA[self.side][0]

    @property
    def beta(self) -> int:
        """How many times the IF behind the mixer is taken in the IF before it; -1 where it turns signals over."""
        return ALPHA_BETA[self.side][1]

    @property
    def own_ifs(self) -> tuple[int, int]:
        """How many times its oscillator holds the IFs before and behind the mixer; (0, 0) where it is fixed."""
        return (0, 0) if self.fixed_hz is not None else (self.alpha, -self.alpha * self.beta)

    @property
    def oscillator_hz(self) -> int:
        """Its oscillator [Hz]."""
        before, after = self.own_ifs
        return (self.fixed_hz or 0) + before * self.before_hz + after * self.after_hz

    @property
    def image_step(self) -> tuple[int, int]:
        """Return how far its image lies above the IF before the mixer: so many times a frequency [Hz].

        Two IFs up or down; where the IF behind the mixer is a sum, two oscillators up.
        """
        if self.side == "sum":
            return 2, self.after_hz - self.before_hz
        return -2 * self.beta, self.after_hz

    @property
    def name(self) -> str:
        """Number of its oscillator, with the side where that decides its frequency and is not known."""
        told = self.is_open and self.fixed_hz is None
        return f"{self.number} {self.side}" if told else str(self.number)


Chain: TypeAlias = "tuple[Later, ...]"


def chains(plan: Plan) -> tuple[Chain, ...]:
    """Return the conversions behind the first, once for every combination of sides that the plan leaves open.

    Parameters
    ----------
    plan : Plan
        The receiver.

    Returns
    -------
    tuple of tuple of Later
        At least one, empty where there is but one conversion.  A side that is not given is taken from the fixed
        oscillator where that meets one exactly, else every side is answered for that the tolerances allow.
    """
    choices = []
    for number, (before, after) in enumerate(pairwise(plan.conversion), start=2):
        sides = tuple(_sides(before, after))
        choices.append(
            [
                Later(
                    number, side, before.intermediate_hz, after.intermediate_hz, after.fixed_oscillator_hz,
                    is_open=len(sides) > 1,
                )
                for side in sides
            ]
        )  # fmt: skip
    return tuple(product(*choices))


def _sides(before: Conversion, after: Conversion) -> Iterator[str]:
    """Yield the sides that the second of two conversions may have."""
    needed = {
        "high": before.intermediate_hz + after.intermediate_hz,
        "low": before.intermediate_hz - after.intermediate_hz,
        "sum": after.intermediate_hz - before.intermediate_hz,
    }
    possible = {side: hertz for side, hertz in needed.items() if hertz > 0}
    if after.oscillator != "unknown":
        yield after.oscillator
    elif after.fixed_oscillator_hz is None:
        yield from possible
    else:
        beside = {side: abs(hertz - after.fixed_oscillator_hz) for side, hertz in possible.items()}
        exact = [side for side, distance in beside.items() if distance == 0]
        slack = before.tolerance_hz + after.tolerance_hz
        yield from exact or [side for side, distance in beside.items() if distance <= slack]


def sides_told(some: Sequence[Later]) -> str:
    """Return those sides, of some conversions, that the plan leaves open, in brackets; empty where it leaves none."""
    told = [f"oscillator {one.number} {one.side}" for one in some if one.is_open]
    return f" ({', '.join(told)})" if told else ""


def narrowest_behind_hz(plan: Plan, number: int) -> int:
    """Return the width of the narrowest filter known that follows mixer `number` (1 for the first) [Hz]."""
    filters = [plan.if_filter, *(one.filter for one in plan.conversion[number - 1 :])]
    return min(one.bandwidth_hz for one in filters if one is not None)
