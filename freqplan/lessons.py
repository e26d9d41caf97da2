"""Lessons: how a formula comes about, step by step, with the numbers of a set; and why a row of a table is there."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import TYPE_CHECKING, Any, ClassVar

from freqplan.arguments import checked
from freqplan.channels import channel
from freqplan.errors import FreqplanError, ModelRangeError
from freqplan.findings import Findings, text_column
from freqplan.formulas import Formula
from freqplan.hertz import quoted
from freqplan.mechanisms import Mechanism, catalogue
from freqplan.mixing import tunings
from freqplan.results import Result

if TYPE_CHECKING:
    from freqplan.charts.chart import Chart
    from freqplan.derivations.steps import Case, Derive, Step
    from freqplan.hertz import Rounding
    from freqplan.plan import Plan

INDENT = "      "
WORDS = (("How it shows", "fingerprint"), ("Test", "test"), ("Cure", "cure"), ("Source", "source"))
SIDE_TAKEN = "The side of the oscillator is not known; the numbers are for {side}."


@dataclass(frozen=True)
class Lesson(Result):
    """A derivation with its numbers.

    Attributes
    ----------
    topic : str
        Id of a mechanism, or of a question such as ``"tracking"``.
    subject : str
        The same in words.
    remarks : tuple of str
        What of the numbers is an example.
    about : str
        The row of a table that it explains; empty in a lesson.
    """

    command: ClassVar[str] = "lesson"
    table_names: ClassVar[tuple[str, ...]] = ("steps",)
    told_in_sections: ClassVar[frozenset[str]] = frozenset(table_names)

    topic: str = field(kw_only=True)
    subject: str = field(kw_only=True)
    case: Case = field(kw_only=True, repr=False)
    derive: Derive = field(kw_only=True, repr=False)
    remarks: tuple[str, ...] = field(default=(), kw_only=True)
    about: str = field(default="", kw_only=True)

    def asked_by(self, about: str) -> Lesson:
        """Return the lesson as the answer to why a row of a table is there."""
        return replace(self, about=about)

    @cached_property
    def derivation(self) -> tuple[Step, ...]:
        """The steps."""
        return tuple(self.derive(self.case))

    @cached_property
    def steps(self) -> Findings:
        """The steps as a table: what is said, the formula, and the same with numbers, as text and for LaTeX."""
        steps, rounding = self.derivation, self.rounding
        return Findings(
            "Steps",
            {
                "step": text_column(list(range(1, len(steps) + 1))),
                "says": text_column([step.says for step in steps]),
                "formula_text": text_column([step.text() or None for step in steps]),
                "numbers": text_column([step.numbers(rounding) or None for step in steps]),
                "latex": text_column([step.latex() or None for step in steps]),
                "latex_numbers": text_column([step.latex_numbers(rounding) or None for step in steps]),
            },
        )

    @property
    def mechanism(self) -> Mechanism | None:
        """Return the mechanism that it is about; None for a question."""
        return catalogue(self.families).get(self.topic)

    def chart(self) -> Chart | None:
        """Draw the sum it is about; None where there is no sum, or nothing to draw with."""
        from freqplan.charts.drawing import can_draw
        from freqplan.charts.spectrum import row_chart

        if self.case.row.get("mechanism") not in catalogue() or not can_draw():
            return None
        try:
            return row_chart(self.case.plan, {**self.case.row, "oscillator": self.case.tuning.side})
        except ModelRangeError:
            return None

    @property
    def picture(self) -> str:
        """Return the chart of the sum as a figure."""
        chart = self.chart()
        return "" if chart is None else chart.to_html()

    @property
    def rounding(self) -> Rounding:
        """Return how frequencies are written: as the band does that the numbers belong to."""
        return self.case.plan.rounding

    @property
    def headlines(self) -> tuple[str, ...]:
        """Return the set, what it is about, and what of the numbers is an example."""
        about = f"Why: {self.about}" if self.about else f"{self.subject[:1].upper()}{self.subject[1:]}"
        return (*super().headlines, about, *self.remarks)

    @property
    def sections(self) -> Mapping[str, tuple[str, ...]]:
        """Return the derivation, its signs, and the words of the catalogue."""
        parts = {"Derivation": tuple(self._lines()), "Signs": tuple(self._signs())}
        if self.mechanism is not None:
            parts |= {title: (getattr(self.mechanism, name),) for title, name in WORDS}
        return {title: lines for title, lines in parts.items() if lines}

    def _lines(self) -> Iterator[str]:
        for number, step in enumerate(self.derivation, start=1):
            yield f"{number}. {step.says}"
            yield from formulas_of(step, self)

    def _signs(self) -> Iterator[str]:
        from freqplan.derivations.signs import SIGNS
        from freqplan.derivations.steps import used

        return (f"{symbol.name}: {SIGNS[symbol.name].meaning}" for symbol in used(self.derivation))

    @property
    def heading(self) -> Mapping[str, Any]:
        """Return the topic, and the row that is explained."""
        return {
            "topic": self.topic,
            "subject": self.subject,
            "about": self.about or None,
            "remarks": list(self.remarks),
        }

    @property
    def assumptions(self) -> tuple[str, ...]:
        """Return none: every number stands beside its formula."""
        return ()

    @property
    def cautions(self) -> tuple[str, ...]:
        """Return what can hurt in the test of the mechanism."""
        caution = "" if self.mechanism is None else self.mechanism.caution
        return (caution,) if caution else ()


def formulas_of(step: Step, lesson: Lesson) -> Iterator[Formula]:
    """Yield the formula of a step, and with its numbers."""
    if step.formula is not None:
        yield Formula(INDENT + step.text(), step.latex())
    if numbers := step.numbers(lesson.rounding):
        yield Formula(INDENT + numbers, step.latex_numbers(lesson.rounding))


def topics() -> Mapping[str, str]:
    """Return every topic with its name in words: the questions of a class, then the mechanisms.

    Returns
    -------
    mapping of str to str
        By the ids that `lesson` takes.
    """
    from freqplan.derivations.topics import QUESTIONS

    return {one.id: one.title for one in QUESTIONS} | {one.id: one.title for one in catalogue().values()}


@checked
def lesson(plan: Plan, topic: str, dial_hz: int | None = None) -> Lesson:
    """Derive a mechanism, or answer a question of a class, step by step with the numbers of a set.

    Parameters
    ----------
    plan : Plan
        The receiver; with its oscillator side unknown the first possible one is taken, and said.
    topic : str
        Id of a mechanism, or ``"why-10.7"``, ``"which-side"``, ``"tracking"``, ``"why-half-if"``, ``"pad"``,
        ``"whistle"``; see `topics`.
    dial_hz : int, optional [Hz]
        The dial setting, mid-band by default; of what has a place of its own on the dial, the one nearest to it.

    Returns
    -------
    Lesson

    Raises
    ------
    FreqplanError
        There is no such topic.
    ModelRangeError
        The dial setting is no whole number of hertz, or lies off the band.
    """
    from freqplan.derivations.steps import case_of
    from freqplan.derivations.topics import QUESTIONS, derivation_of
    from freqplan.lesson_examples import example

    known = topics()
    if topic not in known:
        raise FreqplanError(f"no lesson {quoted(topic)}; there are: {', '.join(known)}")
    dial = None if dial_hz is None else channel(plan, dial_hz).dial_hz
    tuning, *others = tunings(plan)
    remarks = (SIDE_TAKEN.format(side=tuning.side),) if others else ()
    question = next((one for one in QUESTIONS if one.id == topic), None)
    if question is not None:
        case = case_of(plan, tuning, {}, dial_hz=dial or plan.middle_channel_hz)
        return Lesson(
            plan, topic=topic, subject=question.title, case=case, derive=question.derive, remarks=remarks
        )
    shown, derive = example(plan, topic, dial), derivation_of(topic, catalogue()[topic].formula)
    return Lesson(
        plan, topic=topic, subject=known[topic], case=shown.case, derive=derive,
        remarks=(*remarks, *([shown.remark] if shown.remark else [])),
    )  # fmt: skip
