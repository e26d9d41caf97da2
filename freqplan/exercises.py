"""exercise: a problem sheet from a plan, with its marking key and the reasons of usual wrong answers."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from string import ascii_lowercase
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, ClassVar, NamedTuple

from freqplan.arguments import checked
from freqplan.errors import ModelRangeError, shortened
from freqplan.findings import Findings
from freqplan.problems.parts import Part, Problem, points_text
from freqplan.problems.sheet import drawn
from freqplan.results import Result, Told

if TYPE_CHECKING:
    from freqplan.answers import Answers
    from freqplan.marking import Marking
    from freqplan.plan import Plan

LEVELS = (1, 2, 3)
MOST_PROBLEMS, LARGEST_SEED = 50, 10**15
TABLES = ("problems", "key", "wrong_answers")
WHOLE = 10_000
"""More rows than a sheet has: half a key is no use."""

BLANK = "_" * 16
SHEET = ("problem", "kind", "task", "asked", "answer_unit", "decimals", "answer_choices", "points")
KEY = ("problem", "kind", "step", "step_text", "sum", "result", "points", "answer")
WRONG = ("problem", "answer", "wrong_method", "reason", "points")


class Labelled(NamedTuple):
    """One answer that is asked for, with its number on the sheet."""

    label: str
    problem: Problem
    part: Part


@dataclass(frozen=True)
class Exercise(Result):
    """A problem sheet with its key.

    Attributes
    ----------
    seed, level, count : int
        What the sheet was asked for with; the same ones give the same sheet on every machine.
    kinds : tuple of str
        Kinds asked for; empty for all.
    tasks : tuple of Problem
        The problems.
    left_out : mapping of str to str
        Kinds whose turn came and that cannot be set for this plan and level, each with the reason.
    """

    command: ClassVar[str] = "exercise"
    overview: ClassVar[Mapping[str, int]] = MappingProxyType(dict.fromkeys(TABLES, WHOLE))
    table_names: ClassVar[tuple[str, ...]] = TABLES

    seed: int = field(kw_only=True)
    level: int = field(kw_only=True)
    count: int = field(kw_only=True)
    kinds: tuple[str, ...] = field(default=(), kw_only=True)
    tasks: tuple[Problem, ...] = field(kw_only=True)
    left_out: Mapping[str, str] = field(default_factory=dict, kw_only=True)

    @cached_property
    def labelled(self) -> tuple[Labelled, ...]:
        """Every answer asked for, in the order of the sheet."""
        return tuple(
            Labelled(f"{number}{letter}" if len(problem.parts) > 1 else str(number), problem, part)
            for number, problem in enumerate(self.tasks, 1)
            for letter, part in zip(ascii_lowercase, problem.parts, strict=False)
        )

    @property
    def points(self) -> int:
        """Return the points that can be had."""
        return sum(one.part.points for one in self.labelled)

    @cached_property
    def problems(self) -> Findings:
        """One row for each answer asked for: what is given, what is asked, what it is worth."""
        rows = [
            {
                "problem": one.label,
                "kind": one.problem.kind,
                "task": one.problem.text,
                "asked": one.part.what,
                "answer_unit": one.part.asked.unit or None,
                "decimals": one.part.asked.decimals,
                "answer_choices": one.part.asked.choices or None,
                "points": one.part.points,
            }
            for one in self.labelled
        ]
        return Findings.of_rows("Problems", rows, SHEET)

    @cached_property
    def key(self) -> Findings:
        """One row for each step of the marking key."""
        return Findings.of_rows("Marking key", list(self._key_rows()), KEY)

    def _key_rows(self) -> Iterator[dict[str, Any]]:
        for one in self.labelled:
            for number, step in enumerate(one.part.steps, 1):
                last = number == len(one.part.steps)
                yield {
                    "problem": one.label,
                    "kind": one.problem.kind,
                    "step": number,
                    "step_text": step.do,
                    "sum": step.sum,
                    "result": step.result,
                    "points": step.points,
                    "answer": one.part.right_text if last else None,
                }

    @cached_property
    def wrong_answers(self) -> Findings:
        """One row for each usual wrong answer, with the reason and the points that it keeps."""
        rows = [
            {
                "problem": one.label,
                "answer": one.part.asked.text(wrong.answer),
                "wrong_method": wrong.method,
                "reason": wrong.reason,
                "points": wrong.points,
            }
            for one in self.labelled
            for wrong in one.part.wrong
        ]
        return Findings.of_rows("Usual wrong answers", rows, WRONG)

    def told(self, name: str, shown: Findings) -> tuple[Told, ...]:
        """Return sheet and key as problems to read, the wrong answers as a table."""
        if name == "problems":
            return tuple(self._sheet(shown))
        return tuple(self._solutions(shown)) if name == "key" else ()

    def _by_problem(self, shown: Findings) -> Iterator[tuple[str, Problem, list[dict[str, Any]]]]:
        """Yield number, problem and rows of each problem of which some are shown."""
        for number, rows in itertools.groupby(
            shown.rows(), lambda row: row["problem"].rstrip(ascii_lowercase)
        ):
            yield number, self.tasks[int(number) - 1], list(rows)

    def _sheet(self, shown: Findings) -> Iterator[Told]:
        words = {one.label: one.part.asked.words for one in self.labelled}
        for number, problem, rows in self._by_problem(shown):
            worth = points_text(sum(part.points for part in problem.parts))
            lines = [
                f"  {row['problem']}  {_capital(row['asked'])} ({words[row['problem']]}): {BLANK}"
                + (f" [{row['points']}]" if len(problem.parts) > 1 else "")
                for row in rows
            ]
            yield Told(f"{number}. {problem.title} ({worth})", (problem.text, *lines))

    def _solutions(self, shown: Findings) -> Iterator[Told]:
        parts = {one.label: one.part for one in self.labelled}
        for number, problem, rows in self._by_problem(shown):
            lines: list[str] = []
            for label, steps in itertools.groupby(rows, lambda row: row["problem"]):
                part = parts[label]
                unit = f" {part.asked.unit}" if part.asked.unit else ""
                lines.append(
                    f"{label}  {_capital(part.what)}: {part.right_text}{unit} ({points_text(part.points)})"
                )
                lines += [f"  [{row['points']}] {row['step_text']}: {_worked(row)}" for row in steps]
            yield Told(f"{number}. {problem.title}", tuple(lines))

    def marked(self, answers: Answers) -> Marking:
        """Mark answers to this sheet.

        Parameters
        ----------
        answers : Answers
            Of one or several students.

        Returns
        -------
        Marking

        Raises
        ------
        AnswersError
            An answer is to a problem that is not on this sheet, or one is answered twice.
        """
        from freqplan.marking import marked

        return marked(self, answers)

    @property
    def headlines(self) -> tuple[str, ...]:
        """Return the set, what gives the same sheet again, and how to write answers."""
        number = "1 problem" if self.count == 1 else f"{self.count} problems"
        kinds = "".join(f" --kind {name}" for name in self.kinds)
        return (
            *super().headlines,
            f"{number}, {points_text(self.points)}; the same sheet again: --seed {self.seed} --level {self.level} "
            f"--count {self.count}{kinds}",
            "Round results only, to the decimals asked for. high: the oscillator is above the signal, low: below it.",
        )

    @property
    def heading(self) -> Mapping[str, Any]:
        """Return what was asked for, the points in all, and what was left out."""
        return {
            "seed": self.seed,
            "level": self.level,
            "count": self.count,
            "kinds": list(self.kinds),
            "points": self.points,
            "left_out": dict(self.left_out),
        }

    @property
    def assumptions(self) -> tuple[str, ...]:
        """Return how answers are marked, and which kinds are left out."""
        left_out = [f"No problem of the kind {name}: {reason}." for name, reason in self.left_out.items()]
        return (
            "An answer is right within half of the last decimal asked for; a usual wrong one keeps the points of the "
            "steps that are right. Of a list each right number counts its share, and each that is too much takes one "
            "off.",
            *left_out,
        )

    @property
    def cautions(self) -> tuple[str, ...]:
        """Return none: this is work on paper."""
        return ()


def _capital(text: str) -> str:
    """Return a text with a capital, but a sign such as m or n as it is."""
    return text if len(text) == 1 else text[0].upper() + text[1:]


def _worked(row: Mapping[str, Any]) -> str:
    """Write the sum of a step, and its result where that is not the end of the sum."""
    words = row["result"].split()
    ends = any(f" {row['sum']}".endswith(f" {word}") for word in (words[0], words[-1]))
    return row["sum"] if ends else f"{row['sum']}: {row['result']}"


@checked
def exercise(
    plan: Plan, *, seed: int = 1, level: int = 1, count: int = 6, kinds: str | Sequence[str] = ()
) -> Exercise:
    """Set problems for a class from a plan, with marking key and reasons of usual wrong answers.

    Parameters
    ----------
    plan : Plan
        Band, raster, IF and side of the problems; an unknown side is stated anew in each.
    seed : int
        The same one gives the same sheet on every machine.
    level : {1, 2, 3}
        One step; two or three; several, with a real IF that is not the printed one.
    count : int
        Problems on the sheet, 1 to 50.
    kinds : sequence of str
        Kinds of problem, such as ``"image"``; all by default.

    Returns
    -------
    Exercise

    Raises
    ------
    ModelRangeError
        Seed, level or count out of range, a kind that there is not, or none that can be set for this plan.
    """
    _check("seed", seed, range(LARGEST_SEED + 1))
    _check("level", level, LEVELS)
    _check("count", count, range(1, MOST_PROBLEMS + 1))
    asked = tuple(dict.fromkeys((kinds,) if isinstance(kinds, str) else kinds))
    tasks, left_out = drawn(plan, seed=seed, level=level, count=count, names=asked)
    return Exercise(plan, seed=seed, level=level, count=count, kinds=asked, tasks=tasks, left_out=left_out)


def _check(name: str, value: object, allowed: Sequence[int]) -> None:
    if isinstance(value, bool) or not isinstance(value, int) or value not in allowed:
        text = f"{allowed[0]} to {allowed[-1]}"
        raise ModelRangeError(f"{name} {shortened(repr(value))}: give a whole number from {text}")
