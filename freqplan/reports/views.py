"""What stands on a report, before any of it is HTML: plain texts in the order of the page."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from freqplan.charts.chart import Chart


@dataclass(frozen=True)
class Entry:
    """One line of the heading: what it is about, and one or more sentences."""

    term: str
    lines: tuple[str, ...]


@dataclass(frozen=True)
class Check:
    """One row of the list to check."""

    number: str
    place: str
    mechanism: str
    side: str
    who: str
    why: str
    what_to_do: str


@dataclass(frozen=True)
class CheckList:
    """The list to check, and how many rows it would have."""

    rows: tuple[Check, ...]
    total: int
    more: tuple[str, ...]
    """The words of the command that writes all of them; none where nothing is left out."""


@dataclass(frozen=True)
class Head:
    """Head of a column, and how its cells are set."""

    text: str
    setting: Literal["number", "short", "plain", "broken"] = "plain"
    """Flush right; on one line; wrapped between words; wrapped wherever the column ends."""


@dataclass(frozen=True)
class Grid:
    """A table.

    Attributes
    ----------
    id : str
        What a link leads to; unique on the page.
    title : str
        What it shows, with how many rows of how many.
    heads : tuple of Head
        One for each column.
    rows : tuple of tuple of str
        The cells.
    by_row : bool
        Whether the first cell of a row is its head: the table reads across.
    more : tuple of str
        The words of the command that writes all of them; none where nothing is left out.
    """

    id: str
    title: str
    heads: tuple[Head, ...]
    rows: tuple[tuple[str, ...], ...]
    by_row: bool
    more: tuple[str, ...]


@dataclass(frozen=True)
class Line:
    """A sentence; one that is set in belongs to the one before."""

    text: str
    is_inner: bool = False


@dataclass(frozen=True)
class Told:
    """Sentences under a title."""

    title: str
    lines: tuple[Line, ...]


@dataclass(frozen=True)
class Explained:
    """A mechanism in the words of the catalogue; the caution of one explained before is named instead of repeated."""

    id: str
    title: str
    formula: str
    parts: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Page:
    """A report.

    Attributes
    ----------
    title : str
        Name of the set.
    iso_date, date : str
        For programs and for people.
    entries : tuple of Entry
        The set, and what it was answered for.
    dangers : tuple of str
        What can hurt, to be read first.
    check_list : CheckList
        What to take to the bench.
    told : tuple of Told
        The diagnosis; empty where nothing was observed.
    told_grids : tuple of Grid
        Its tables.
    dial : tuple of Line
        What dial readings say; empty where there are none.
    dial_grids : tuple of Grid
        Their tables.
    charts : tuple of Chart
        The pictures.
    no_charts : str
        Why there are none, in one line; empty where there are some, or none are wanted.
    grids : tuple of Grid
        The tables of the survey.
    empty : tuple of str
        Titles of those without a single row.
    comparison : tuple of Grid
        Side against side.
    explained : tuple of Explained
        The mechanisms.
    cautions : tuple of str
        All of them.
    assumptions : tuple of Told
        What was assumed, result by result.
    glossary : tuple of (str, str)
        Column heads with their meaning.
    """

    title: str
    iso_date: str
    date: str
    entries: tuple[Entry, ...]
    dangers: tuple[str, ...]
    check_list: CheckList
    told: tuple[Told, ...]
    told_grids: tuple[Grid, ...]
    dial: tuple[Line, ...]
    dial_grids: tuple[Grid, ...]
    charts: tuple[Chart, ...]
    no_charts: str
    grids: tuple[Grid, ...]
    empty: tuple[str, ...]
    comparison: tuple[Grid, ...]
    explained: tuple[Explained, ...]
    cautions: tuple[str, ...]
    assumptions: tuple[Told, ...]
    glossary: tuple[tuple[str, str], ...]

    @property
    def contents(self) -> Iterator[tuple[str, str]]:
        """Yield id and title of the parts there are, in their order."""
        parts = (
            ("set", "The set", True),
            ("first", "Read this first", self.dangers),
            ("check-list", "Check list", True),
            ("diagnosis", "Diagnosis", self.told),
            ("dial", "Dial readings", self.dial),
            ("charts", "Charts", self.charts or self.no_charts),
            ("tables", "Tables", True),
            ("comparison", "Side against side", self.comparison),
            ("mechanisms", "Mechanisms", self.explained),
            ("assumptions", "Assumptions and cautions", True),
            ("glossary", "Columns", self.glossary),
        )
        return ((name, title) for name, title, there in parts if there)
