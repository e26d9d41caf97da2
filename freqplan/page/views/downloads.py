"""Answers as files: the same JSON and csv as on the command line."""

from __future__ import annotations

from typing import TYPE_CHECKING

from freqplan.page.views import compare, diagnosis, readings
from freqplan.page.visit import Download, Reply, View, Visit

if TYPE_CHECKING:
    from freqplan.results import Result

KINDS = {"json": "application/json; charset=utf-8", "csv": "text/csv; charset=utf-8"}


def survey(visit: Visit) -> Reply:
    """Hand over the survey."""
    with visit.answers.survey(visit.here, visit.carried) as result:
        return _file(visit, result)


def channel(visit: Visit) -> Reply:
    """Hand over one dial setting."""
    from freqplan import questions

    plan = visit.answers.plan(visit.here, visit.carried)
    dial_hz = questions.read_dial(visit.one("dial"), plan).dial_hz
    with visit.answers.channel(visit.here, visit.carried, dial_hz) as result:
        return _file(visit, result)


def comparison(visit: Visit) -> Reply:
    """Hand over a comparison."""
    with visit.answers.comparison(visit.here, compare.changed(visit), compare.asked_hz(visit)) as result:
        return _file(visit, result)


def causes(visit: Visit) -> Reply:
    """Hand over a diagnosis."""
    with diagnosis.diagnosed(visit, diagnosis.told_by(visit)) as result:
        return _file(visit, result)


def dial(visit: Visit) -> Reply:
    """Hand over what explains dial readings."""
    with readings.explained(visit, readings.told_by(visit)) as result:
        return _file(visit, result)


def _file(visit: Visit, result: Result) -> Download:
    from freqplan.tables import render

    form = visit.parts["form"]
    table = visit.one("table") or None
    name = f"{result.command}-{table}.{form}" if table and form == "csv" else f"{result.command}.{form}"
    text = render(result, form, table=table)
    return Download(text, KINDS[form], name)


VIEWS = tuple(
    View(f"{name}.<any(json, csv):form>", show)
    for name, show in (
        ("survey", survey),
        ("channel", channel),
        ("compare", comparison),
        ("diagnosis", causes),
        ("readings", dial),
    )
)
