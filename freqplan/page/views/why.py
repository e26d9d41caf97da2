"""Why a row of a table is there: its picture and its derivation."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import AbstractContextManager
from typing import TYPE_CHECKING, Any

from freqplan.errors import ModelRangeError
from freqplan.page.visit import Download, Page, Reply, View, Visit

if TYPE_CHECKING:
    from freqplan.lessons import Lesson
    from freqplan.results import Result


def show(visit: Visit) -> Reply:
    """Show where the sum behind a row comes from."""
    from freqplan.mechanisms import explained

    with _asked(visit) as result:
        lesson = _lesson(visit, result)
        own = {name: visit.one(name) for name in ("table", "row", "dial")}
        return Page(
            "why.html",
            {
                "lesson": lesson,
                "steps": list(lesson.steps.rows()),
                "signs": [text.split(": ", 1) for text in lesson.sections.get("Signs", ())],
                "words": next(iter(explained([lesson.topic]).rows()), None),
                "pictured": lesson.chart() is not None,
                "of": visit.parts["of"],
                "back": _back(visit, own),
                **own,
            },
        )


def picture(visit: Visit) -> Reply:
    """Hand over the sum of a row as a picture."""
    with _asked(visit) as result:
        chart = _lesson(visit, result).chart()
    if chart is None:
        raise ModelRangeError("no picture of this row: no sum makes it, or there is nothing to draw with")
    return Download(chart.to_svg(), "image/svg+xml; charset=utf-8")


def _asked(visit: Visit) -> AbstractContextManager[Result]:
    from freqplan import questions

    if visit.parts["of"] == "survey":
        return visit.answers.survey(visit.here, visit.carried)
    plan = visit.answers.plan(visit.here, visit.carried)
    dial_hz = questions.read_dial(visit.one("dial"), plan).dial_hz
    return visit.answers.channel(visit.here, visit.carried, dial_hz)


def _lesson(visit: Visit, result: Result) -> Lesson:
    from freqplan.explanations import explain

    return explain(result, visit.one("row"), visit.one("table") or None)


def _back(visit: Visit, own: Mapping[str, Any]) -> str:
    if visit.parts["of"] == "survey":
        return visit.link(f"table/{own['table'] or 'check_list'}")
    return visit.link(f"channel#{own['table'] or 'responses'}", dial=own["dial"])


VIEWS = (
    View("why/<any(survey, channel):of>", show),
    View("why/<any(survey, channel):of>.svg", picture),
)
