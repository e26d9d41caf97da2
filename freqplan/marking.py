"""Mark answers to an exercise: full points at the rounding asked for, part of them where a usual mistake was made."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, Any, ClassVar

from freqplan.csvfile import listed
from freqplan.errors import AnswersError, Fault, shortened
from freqplan.findings import Findings
from freqplan.hertz import QuantityError
from freqplan.problems.asked import ListAsked, NumberAsked
from freqplan.problems.parts import Part, points_text
from freqplan.results import Result

if TYPE_CHECKING:
    from freqplan.answers import Answers
    from freqplan.answersfile import AnswerRow
    from freqplan.exercises import Exercise

TOTALS = ("student", "points", "of_points", "points_share")
MARKS = ("student", "problem", "answer", "points", "of_points", "mark_remark")
MISTAKES = ("problem", "wrong_method", "times_made", "reason")
RIGHT = "right"
LONGEST_SHOWN = 60
_BESIDE_A_NUMBER = re.compile(r"[\s.)(:]+")


@dataclass(frozen=True)
class Mark:
    """What one answer is given.

    Attributes
    ----------
    points : int
        Points given.
    remark : str
        Why, and what to do.
    wrong_method : str or None
        Name of the usual mistake that it is; None for any other.
    """

    points: int
    remark: str
    wrong_method: str | None = None


@dataclass(frozen=True)
class Marking(Result):
    """The marks of one or several students.

    Attributes
    ----------
    sheet : Exercise
        What was asked.
    answers : Answers
        What was answered.
    """

    command: ClassVar[str] = "exercise"
    table_names: ClassVar[tuple[str, ...]] = ("totals", "mistakes", "marks")

    sheet: Exercise = field(kw_only=True)
    answers: Answers = field(kw_only=True)

    @cached_property
    def _rows(self) -> list[dict[str, Any]]:
        return [
            {
                "student": student or None,
                "problem": one.label,
                "answer": shortened(written, LONGEST_SHOWN) or None,
                "points": mark.points,
                "of_points": one.part.points,
                "mark_remark": mark.remark,
                "wrong_method": mark.wrong_method,
            }
            for student, given in self._by_student.items()
            for one in self.sheet.labelled
            for written in [given.get(one.label, "")]
            for mark in [mark_of(one.part, written)]
        ]

    @cached_property
    def _by_student(self) -> dict[str, dict[str, str]]:
        found: dict[str, dict[str, str]] = {}
        for row in self.answers.rows:
            found.setdefault(row.student, {})[label_of(row.problem)] = row.answer
        return found

    @cached_property
    def marks(self) -> Findings:
        """One row for each answer that was asked for, of each student."""
        return Findings.of_rows("Marks", self._rows, MARKS)

    @cached_property
    def totals(self) -> Findings:
        """One row for each student."""
        of_points = self.sheet.points
        given = dict.fromkeys(self._by_student, 0)
        for row in self._rows:
            given[row["student"] or ""] += row["points"]
        rows = [
            {
                "student": student or None,
                "points": points,
                "of_points": of_points,
                "points_share": points / of_points,
            }
            for student, points in given.items()
        ]
        return Findings.of_rows("Points", rows, TOTALS)

    @cached_property
    def mistakes(self) -> Findings:
        """One row for each usual mistake that was made, the most frequent first: what to go over with the class."""
        made = Counter(
            (row["problem"], row["wrong_method"]) for row in self._rows if row["wrong_method"] is not None
        )
        reasons = {
            (one.label, wrong.method): wrong.reason for one in self.sheet.labelled for wrong in one.part.wrong
        }
        rows = [
            {"problem": label, "wrong_method": method, "times_made": times, "reason": reasons[label, method]}
            for (label, method), times in made.most_common()
        ]
        return Findings.of_rows("Usual mistakes that were made", rows, MISTAKES)

    @property
    def headlines(self) -> tuple[str, ...]:
        """Return the set, the sheet, and how many students."""
        students = len(self._by_student)
        who = "1 student" if students == 1 else f"{students} students"
        source = f" from {self.answers.source}" if self.answers.source else ""
        return (*self.sheet.headlines[:2], f"{len(self.answers.rows)} answers{source}, {who}")

    @property
    def heading(self) -> Mapping[str, Any]:
        """Return what the sheet was asked for with."""
        return self.sheet.heading

    @property
    def assumptions(self) -> tuple[str, ...]:
        """Return how answers are marked."""
        return self.sheet.assumptions[:1]

    @property
    def cautions(self) -> tuple[str, ...]:
        """Return none: this is work on paper."""
        return ()


def marked(sheet: Exercise, answers: Answers) -> Marking:
    """Mark answers; see `Exercise.marked`."""
    faults = list(_misplaced(sheet, answers))
    if faults:
        raise AnswersError(faults)
    return Marking(sheet.plan, sheet=sheet, answers=answers)


def _misplaced(sheet: Exercise, answers: Answers) -> Iterator[Fault]:
    """Yield a fault for each answer to a problem that is not on the sheet, and for each but the first to one."""
    labels = [one.label for one in sheet.labelled]
    known = frozenset(labels)
    first: dict[tuple[str, str], AnswerRow] = {}
    for row in answers.rows:
        label = label_of(row.problem)
        before = first.setdefault((row.student, label), row)
        what = hint = ""
        if label not in known:
            what, hint = "no such problem on this sheet", (
                f"there are {listed(labels, 12)}; seed, level, count and kinds must be those of the sheet"
            )  # fmt: skip
        elif before is not row:
            where = f" on line {before.line}" if before.line is not None else ""
            what, hint = "answered twice", f"the first answer is{where or ' above'}; keep one of them"
        if what:
            yield Fault(what, hint, key="problem", found=row.problem, source=answers.source, line=row.line)


def label_of(text: str) -> str:
    """Return the number of a problem as the sheet has it, such as 1a for "1 A)"."""
    return _BESIDE_A_NUMBER.sub("", text).casefold()


def mark_of(part: Part, written: str) -> Mark:
    """Mark one answer as it was written; empty where there is none."""
    try:
        given = part.asked.read(written)
    except QuantityError as error:
        return Mark(0, f"{error.what}; {error.hint}")
    if part.is_right(given):
        return Mark(part.points, RIGHT)
    wrong = part.wrong_as(given)
    if wrong is not None:
        kept = f" {points_text(wrong.points)} for what is right." if wrong.points else ""
        return Mark(wrong.points, f"{wrong.reason}{kept}", wrong.method)
    if isinstance(part.asked, ListAsked):
        return _part_of_a_list(part, given)
    near = isinstance(part.asked, NumberAsked) and _is_near(part, given)
    return Mark(0, f"near: round the result only, {part.asked.words}" if near else "not right; see the key")


def _part_of_a_list(part: Part, given: Any) -> Mark:
    assert isinstance(part.asked, ListAsked)
    right = part.right[0]
    assert isinstance(right, tuple)
    hits = part.asked.hits(given, right)
    surplus = len(given) - hits
    points = part.asked.part_points(given, right, part.points)
    too_much = f", {surplus} that {'is' if surplus == 1 else 'are'} not" if surplus else ""
    return Mark(points, f"{hits} of {len(right)} right{too_much}; see the key")


def _is_near(part: Part, given: Any) -> bool:
    """Return whether it would be right with one decimal less."""
    asked = part.asked
    assert isinstance(asked, NumberAsked)
    coarse = NumberAsked(asked.unit, max(0, asked.decimals - 1))
    return asked.decimals > 0 and any(coarse.same(given, one) for one in part.right)
