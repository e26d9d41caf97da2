"""Charts as pictures, each with a page that says in words what is to be seen."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from freqplan.page.visit import Download, Page, Reply, View, Visit

if TYPE_CHECKING:
    from freqplan.charts.chart import Chart
    from freqplan.plan import Plan


def offered(plan: Plan) -> Mapping[str, Any]:
    """Return the charts that a plan has, by name with their words, or how to get any."""
    from freqplan.charts.drawing import HOW_TO_GET, can_draw
    from freqplan.charts.gallery import KINDS, shown_unasked

    if not can_draw():
        return {"charts": (), "no_charts": HOW_TO_GET}
    named = [(name, KINDS[name].words) for name in shown_unasked(plan)]
    return {"charts": named, "no_charts": ""}


def at_setting(plan: Plan) -> str:
    """Return the name of the chart that a plan has for a dial setting; empty where it has none."""
    from freqplan.charts.drawing import can_draw
    from freqplan.charts.gallery import KINDS, shown_unasked

    if not can_draw():
        return ""
    return next((name for name in shown_unasked(plan) if KINDS[name].at_setting), "")


def show(visit: Visit) -> Reply:
    """Show a chart by itself, with all that is to be seen in words."""
    asked = {name: visit.one(name) for name in ("dial", "mechanism")}
    return Page("chart.html", {"chart": _chart(visit), "asked": asked})


def picture(visit: Visit) -> Reply:
    """Hand over a chart as a picture."""
    return Download(_chart(visit).to_svg(), "image/svg+xml; charset=utf-8")


def _chart(visit: Visit) -> Chart:
    from freqplan import questions
    from freqplan.charts.gallery import check_name

    dial_hz = None
    if visit.one("dial"):
        dial_hz = questions.read_dial(
            visit.one("dial"), visit.answers.plan(visit.here, visit.carried)
        ).dial_hz
    name, mechanism = visit.parts["name"], visit.one("mechanism") or None
    check_name(name, dial_hz=dial_hz, mechanism=mechanism)
    return visit.answers.chart(visit.here, visit.carried, name, dial_hz, mechanism)


VIEWS = (
    View("chart/<name>", show),
    View("chart/<name>.svg", picture),
)
