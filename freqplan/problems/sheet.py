"""Draw the problems of a sheet: every kind in turn, none twice where numbers allow it."""

from __future__ import annotations

import difflib
from collections import deque
from collections.abc import Sequence
from random import Random
from typing import TYPE_CHECKING

from freqplan.errors import ModelRangeError
from freqplan.hertz import quoted
from freqplan.problems import KINDS
from freqplan.problems.parts import CannotBeSetError, Kind, Problem
from freqplan.problems.setting import Setting

if TYPE_CHECKING:
    from freqplan.plan import Plan

REDRAWN = 20
"""So often a problem is drawn anew where the sheet holds the same one already."""


def drawn(
    plan: Plan, *, seed: int, level: int, count: int, names: Sequence[str]
) -> tuple[tuple[Problem, ...], dict[str, str]]:
    """Draw a sheet.

    Parameters
    ----------
    plan : Plan
        What it is drawn from.
    seed, level, count : int
        The same ones give the same sheet on every machine.
    names : sequence of str
        Kinds wanted; none for all.

    Returns
    -------
    problems : tuple of Problem
        As many as asked for.
    left_out : dict of str to str
        Kinds whose turn came and that cannot be set, with the reason.

    Raises
    ------
    ModelRangeError
        There is no such kind, or none of those wanted can be set.
    """
    random = Random(seed)
    turns, found, left_out = deque(_shuffled(_wanted(names), random)), list[Problem](), dict[str, str]()
    while turns and len(found) < count:
        kind = turns.popleft()
        try:
            found.append(_fresh(kind, plan, level, random, found))
            turns.append(kind)
        except CannotBeSetError as error:
            left_out[kind.name] = str(error)
    if len(found) < count:
        reasons = "; ".join(f"{name}: {reason}" for name, reason in left_out.items())
        raise ModelRangeError(f"such problems cannot be set for this plan on level {level}: {reasons}")
    return tuple(found), left_out


def _wanted(names: Sequence[str]) -> tuple[Kind, ...]:
    known = [kind.name for kind in KINDS]
    unknown = [name for name in names if name not in known]
    if unknown:
        close = difflib.get_close_matches(unknown[0][:80].lower(), known, n=1)
        meant = f' (did you mean "{close[0]}"?)' if close else ""
        raise ModelRangeError(
            f"no kind of problem {quoted(unknown[0])}{meant}; there are: {', '.join(known)}"
        )
    return tuple(kind for kind in KINDS if not names or kind.name in names)


def _shuffled(kinds: Sequence[Kind], random: Random) -> list[Kind]:
    left = list(kinds)
    return [left.pop(random.randrange(len(left))) for _ in kinds]


def _fresh(kind: Kind, plan: Plan, level: int, random: Random, found: Sequence[Problem]) -> Problem:
    """Draw a problem that is not there yet; where so few numbers fit that it comes up again and again, that one."""
    for _ in range(REDRAWN):
        side = plan.sides[random.randrange(len(plan.sides))]
        problem = kind.draw(Setting(plan, level, random, side))
        if problem not in found:
            break
    return problem
