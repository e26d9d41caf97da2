"""The survey: what to check over the whole band, and the tables behind it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from freqplan.errors import FreqplanError
from freqplan.page.faults import faults_of
from freqplan.page.forms import instead
from freqplan.page.incoming import NOT_UTF8
from freqplan.page.views.charts import offered
from freqplan.page.visit import Page, Reply, View, Visit

if TYPE_CHECKING:
    from freqplan.surveys import Survey

MOST_ENTRIES_ALONE = 1000


def show(visit: Visit) -> Reply:
    """Show the check list, charts and the beginnings of the tables."""
    from freqplan.card import NAME
    from freqplan.page.lines import entries, shown
    from freqplan.screen import MECHANISMS

    own = visit.answers.plan(visit.here)
    content: dict[str, Any] = {"form": instead(visit, own), "result": None, "faults": ()}
    try:
        with visit.answers.survey(visit.here, visit.carried) as result:
            names = [name for name in result.names if name not in (NAME, MECHANISMS)]
            tables = [table for name in names if (table := shown(result, name))]
            content |= {"result": result, "entries": list(entries(result)), "tables": tables}
            content |= {**offered(result.plan), "remarks": _remarks(visit, result)}
            return Page("survey.html", content)
    except FreqplanError as error:
        return Page("survey.html", content | {"faults": faults_of(error)}, 422)


def _remarks(visit: Visit, result: Survey) -> tuple[str, ...]:
    """Return what was remarkable in the station list."""
    from freqplan.csvfile import READ_AS_LATIN

    told = () if result.stations is None else result.stations.remarks
    return (READ_AS_LATIN, *told) if visit.one(NOT_UTF8) else told


def table(visit: Visit) -> Reply:
    """Show one table whole, or the whole check list."""
    from freqplan.card import NAME
    from freqplan.page.lines import entries, shown

    name = visit.parts["name"]
    with visit.answers.survey(visit.here, visit.carried) as result:
        if name == NAME:
            listed = list(entries(result, most=MOST_ENTRIES_ALONE))
            return Page(
                "checklist.html",
                {"result": result, "entries": listed, "total": len(result.table(NAME)), "name": name},
            )
        return Page("table.html", {"result": result, "table": shown(result, name, alone=True), "name": name})


VIEWS = (
    View("survey", show, label="Survey"),
    View("table/<name>", table),
)
