"""A problem with its marking key: parts that ask for one answer each, the steps to it, and usual wrong answers."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TYPE_CHECKING

from freqplan.problems.asked import Answer, Asked, ListAsked

if TYPE_CHECKING:
    from freqplan.problems.setting import Setting


class CannotBeSetError(Exception):
    """A problem of this kind cannot be set for the plan; the message says why, as a clause."""


@dataclass(frozen=True)
class Step:
    """One step of the marking key.

    Attributes
    ----------
    do : str
        What to do.
    sum : str
        The sum with its numbers.
    result : str
        What comes out, with its unit.
    points : int
        What it is worth.
    """

    do: str
    sum: str
    result: str
    points: int = 1


@dataclass(frozen=True)
class Wrong:
    """A usual wrong answer.

    Attributes
    ----------
    method : str
        Name of the wrong method.
    answer : Answer
        What it gives on the numbers of this problem.
    reason : str
        Why it is wrong.
    points : int
        Points for the steps that are right all the same.
    """

    method: str
    answer: Answer
    reason: str
    points: int = 0


@dataclass(frozen=True)
class Part:
    """One answer that is asked for.

    Attributes
    ----------
    what : str
        What is asked, such as ``"image frequency"``.
    asked : Asked
        Of which kind the answer is.
    right : tuple of Answer
        Every answer that is right, as a rule one.
    steps : tuple of Step
        How to get there.
    wrong : tuple of Wrong
        Usual wrong answers, each different from the right ones and from each other at the rounding asked for.
    """

    what: str
    asked: Asked
    right: tuple[Answer, ...]
    steps: tuple[Step, ...]
    wrong: tuple[Wrong, ...]

    @property
    def points(self) -> int:
        """Return what the answer is worth: the points of its steps."""
        return sum(step.points for step in self.steps)

    @property
    def right_text(self) -> str:
        """Return every right answer as the sheet asks for it."""
        return " or ".join(map(self.asked.text, self.right))

    def is_right(self, given: Answer) -> bool:
        """Return whether an answer is right at the rounding asked for."""
        return any(self.asked.same(given, one) for one in self.right)

    def wrong_as(self, given: Answer) -> Wrong | None:
        """Return the usual wrong answer that this one is, if any."""
        return next((one for one in self.wrong if self.asked.same(given, one.answer)), None)


@dataclass(frozen=True)
class Problem:
    """One problem: what is given, and the answers asked for.

    Attributes
    ----------
    kind : str
        Name of the kind.
    title : str
        A few words above it.
    text : str
        What is given.
    parts : tuple of Part
        What is asked.
    """

    kind: str
    title: str
    text: str
    parts: tuple[Part, ...]


@dataclass(frozen=True)
class Kind:
    """A kind of problem.

    Attributes
    ----------
    name : str
        What to ask for.
    title : str
        What it trains, in a few words.
    draw : callable
        From a setting to a problem with fresh numbers; `CannotBeSetError` where the plan allows none.
    """

    name: str
    title: str
    draw: Callable[[Setting], Problem]


def points_text(points: int) -> str:
    """Write a number of points."""
    return "1 point" if points == 1 else f"{points} points"


def part(what: str, asked: Asked, right: Answer, steps: Iterable[Step], wrong: Iterable[Wrong]) -> Part:
    """Return a part without wrong answers that are not above zero, or at this rounding the right one or another.

    A wrong list keeps the points of what is right in it.
    """
    own = Part(what, asked, (right,), tuple(steps), ())
    kept: list[Wrong] = []
    for one in wrong:
        if one.answer == () or (isinstance(one.answer, Fraction) and one.answer <= 0):
            continue
        as_written = asked.read(asked.text(one.answer))
        if own.is_right(as_written) or any(asked.same(as_written, other.answer) for other in kept):
            continue
        if isinstance(asked, ListAsked):
            one = replace(one, points=asked.part_points(as_written, right, own.points))
        kept.append(one)
    return replace(own, wrong=tuple(kept))
