"""From results to the page of a report: everything that stands on it, in its order."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Iterator

from freqplan.card import NAME
from freqplan.charts.chart import Chart
from freqplan.columns import COLUMNS
from freqplan.findings import caption
from freqplan.hertz import Rounding
from freqplan.mechanisms import explained
from freqplan.reports.about import entries
from freqplan.reports.gathered import Gathered
from freqplan.reports.grids import Tables
from freqplan.reports.views import Explained, Line, Page, Told
from freqplan.screen import MECHANISMS

LABELS = {"fingerprint": "Shows", "test": "Test", "cure": "Cure", "caution": "Caution"}
"""What the words of the catalogue are called on the page."""

TITLES = {
    "survey": "Assumptions",
    "diagnose": "Assumptions of the diagnosis",
    "dial": "Assumptions about the dial readings",
    "compare": "Assumptions of side against side",
}
"""What stands above the assumptions of each result."""


def page(
    found: Gathered, *, limit: int, date: datetime.date, charts: tuple[Chart, ...], no_charts: str
) -> Page:
    """Put a report together.

    Parameters
    ----------
    found : Gathered
        Its results.
    limit : int
        Rows of the list to check.
    date : datetime.date
        The day it bears.
    charts : tuple of Chart
        Its pictures.
    no_charts : str
        Why there are none; empty where nothing is to be said.
    """
    survey, diagnosis, dial = found.survey, found.diagnosis, found.dial
    tables = Tables(found.asked)
    names = [name for name in survey.names if name not in (NAME, MECHANISMS)]
    check_list = tables.check_list(survey, limit)
    told_grids = () if diagnosis is None else tuple(tables.of(diagnosis, diagnosis.names))
    dial_grids = () if dial is None else tuple(tables.of(dial, dial.names))
    grids = tuple(tables.of(survey, names))
    compared = found.comparison
    comparison = () if compared is None else tuple(tables.of(compared, compared.names))
    return Page(
        title=survey.title,
        iso_date=date.isoformat(),
        date=f"{date.day} {date:%B %Y}",
        entries=tuple(entries(found)),
        dangers=tuple(_dangers(found)),
        check_list=check_list,
        told=() if diagnosis is None else tuple(_told(diagnosis.sections.items())),
        told_grids=told_grids,
        dial=() if dial is None else tuple(Line(text) for text in dial.headlines[1:]),
        dial_grids=dial_grids,
        charts=charts,
        no_charts=no_charts,
        grids=grids,
        empty=tuple(survey.table(name).title for name in names if not len(survey.table(name))),
        comparison=comparison,
        explained=tuple(_explained(found)),
        cautions=_cautions(found),
        assumptions=tuple(_assumptions(found)),
        glossary=_glossary(tables.columns, survey.rounding),
    )


def _cautions(found: Gathered) -> tuple[str, ...]:
    """Return the cautions of the set; the comparison adds only those of a side that the set does not have."""
    results = (result for result in found.results if result is not found.comparison)
    return tuple(dict.fromkeys(text for result in results for text in result.cautions))


def _dangers(found: Gathered) -> Iterator[str]:
    """Yield the cautions but for those that are about figures."""
    about_figures = found.survey.plan.cautions
    return (text for text in _cautions(found) if text not in about_figures)


def _assumptions(found: Gathered) -> Iterator[Told]:
    """Yield what each result takes for granted and none before it has said."""
    said: set[str] = set()
    for result in found.results:
        new = tuple(Line(text) for text in dict.fromkeys(result.assumptions) if text not in said)
        said |= set(result.assumptions)
        if new:
            yield Told(TITLES[result.command], new)


def _told(sections: Iterable[tuple[str, tuple[str, ...]]]) -> Iterator[Told]:
    for title, texts in sections:
        yield Told(title, tuple(Line(text.strip(), is_inner=text.startswith(" ")) for text in texts))


def _explained(found: Gathered) -> Iterator[Explained]:
    """Yield every mechanism that a table or the diagnosis names; a caution that many share is written out once."""
    tables = [found.survey.mechanisms]
    if found.diagnosis is not None:
        tables.append(found.diagnosis.mechanisms)
    ids = [name for table in tables for name in table.values("mechanism")]
    first: dict[str, str] = {}
    for row in explained(ids, found.survey.families).rows():
        parts = {label: row[column] for column, label in LABELS.items() if row[column]}
        caution = row["caution"]
        if caution and first.setdefault(caution, row["mechanism"]) != row["mechanism"]:
            parts[LABELS["caution"]] = f"as for {first[caution]}."
        yield Explained(row["mechanism"], row["title"], row["formula"] or "", tuple(parts.items()))


def _glossary(shown: set[str], rounding: Rounding) -> tuple[tuple[str, str], ...]:
    """Return the columns that occur, in the order of all there are; those that share head and meaning stand once."""
    told = ((caption(name, rounding), column.meaning) for name, column in COLUMNS.items() if name in shown)
    return tuple(dict.fromkeys(told))
