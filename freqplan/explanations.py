"""Why a row of a table is there: the row, turned into a case, and the derivation that belongs to it."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from freqplan.arguments import checked
from freqplan.asked_rows import EDGES, Asked, Row, asked_of, can_be_asked
from freqplan.errors import FreqplanError
from freqplan.findings import Findings
from freqplan.hertz import quoted
from freqplan.lessons import Lesson, lesson, topics
from freqplan.mechanisms import Family, catalogue
from freqplan.mixing import Tuning
from freqplan.results import Result

if TYPE_CHECKING:
    from freqplan.plan import Plan

NO_NUMBERS = "The row tells no frequencies of its own; the numbers are those of an example."


@checked
def explain(result: Result, row: str | int, table: str | None = None) -> Lesson:
    """Derive a row of a table: the sum behind it, where it comes from, and what follows from it.

    Parameters
    ----------
    result : Result
        Of any command that answers with sums.
    row : int or str
        Which row, from 1; or the id of a mechanism, for the first row by it.
    table : str, optional
        The table; by default the first of the result.

    Returns
    -------
    Lesson

    Raises
    ------
    FreqplanError
        There is no such table or row, or its rows hold no sum.
    """
    name = table or result.names[0]
    findings = result.table(name)
    place = _place(findings, name, str(row).strip())
    chosen = findings.take(slice(place, place + 1))
    told = next(chosen.rows())
    about = f"row {place + 1} of {name}: {_in_words(chosen, result)}"
    asked = asked_of(result, name, told)
    if asked is None:
        others = ", ".join(one for one in result.names if can_be_asked(result, one)) or "none"
        raise FreqplanError(
            f'row {place + 1} of table "{name}" holds no sum of frequencies; tables that do: {others}'
        )
    return _derived(asked, about, result.families)


def _place(findings: Findings, name: str, row: str) -> int:
    if row.isascii() and row.isdigit() and len(row) <= 9:
        if 1 <= int(row) <= len(findings):
            return int(row) - 1
        raise FreqplanError(f'no row {row} in table "{name}"; it has {len(findings)}')
    ids = findings.values("mechanism") if "mechanism" in findings.columns else []
    if row in ids:
        return ids.index(row)
    known = f", or one of: {', '.join(dict.fromkeys(ids))}" if ids else ""
    raise FreqplanError(
        f'no row {quoted(row)} in table "{name}"; give its number, 1 to {len(findings)}{known}'
    )


def _in_words(chosen: Findings, result: Result) -> str:
    heads, rows = chosen.readable(result.rounding, overview=True, one_side=result.one_side)
    return "; ".join(f"{head} {cell}" for head, cell in zip(heads, rows[0], strict=True) if cell)


def _derived(asked: Asked, about: str, families: tuple[Family, ...]) -> Lesson:
    from freqplan.derivations.rows import case_of_row, lacking
    from freqplan.derivations.topics import derivation_of

    row, plan = asked.row, asked.plan
    if row is None:
        return lesson(plan, asked.topic).asked_by(about)
    if asked.topic == EDGES:
        return _edges(plan, row, about)
    if lacking(row):
        taught = lesson(plan, asked.topic)
        return replace(taught.asked_by(about), remarks=(*taught.remarks, NO_NUMBERS))
    tuning = Tuning(row.get("oscillator") or plan.sides[0], plan.conversion[0].intermediate_hz)
    mechanism = catalogue(families).get(asked.topic)
    subject, formula = (mechanism.title, mechanism.formula) if mechanism else (topics()[asked.topic], "")
    case = case_of_row(plan, tuning, row, title=subject)
    return Lesson(
        plan, families=families, topic=asked.topic, subject=subject, case=case,
        derive=derivation_of(asked.topic, formula), about=about,
    )  # fmt: skip


def _edges(plan: Plan, row: Row, about: str) -> Lesson:
    from freqplan.derivations.choices import edges_of_ifs
    from freqplan.derivations.steps import case_of

    topic = row["mechanism"]
    tuning = Tuning(plan.sides[0], plan.conversion[0].intermediate_hz)
    case = case_of(plan, tuning, row, dial_hz=plan.band.low_hz, title=topics()[topic])
    return Lesson(plan, topic=topic, subject=topics()[topic], case=case, derive=edges_of_ifs, about=about)
