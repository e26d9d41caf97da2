"""What every command returns: the plan, some tables of findings, what was assumed and what to beware of."""

from __future__ import annotations

import html
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, ClassVar, NamedTuple

import numpy as np

from freqplan.card import DEFAULT_LIMIT, NAME, card
from freqplan.errors import FreqplanError
from freqplan.findings import Findings
from freqplan.formulas import marked_up
from freqplan.hertz import Rounding, quoted
from freqplan.mechanisms import FAMILIES, Family
from freqplan.mixing import Tuning, tunings
from freqplan.plan_reading import hertz_text
from freqplan.remarks import assumptions, cautions
from freqplan.words import span

if TYPE_CHECKING:
    import pandas as pd

    from freqplan.plan import Plan
    from freqplan.stations import StationList

SCHEMA = 1
"""Version of the JSON; raised when a key changes its meaning."""


def _check_name(name: str, known: Sequence[str]) -> None:
    if name not in known:
        there = ", ".join(dict.fromkeys(known))
        raise FreqplanError(f"no table {quoted(name)} in this result; there are: {there}")


@dataclass(frozen=True)
class Result:
    """Base of all results.

    Attributes
    ----------
    plan : Plan
        The receiver it holds for.
    stations : StationList or None
        Who is on the air, as far as asked for.
    families : tuple of Family
        The mechanisms computed.
    """

    command: ClassVar[str]
    table_names: ClassVar[tuple[str, ...]]
    on_request: ClassVar[tuple[str, ...]] = ()
    """Tables that are long and derived from others: given by name only, and not in the JSON."""

    overview: ClassVar[Mapping[str, int]] = MappingProxyType({NAME: DEFAULT_LIMIT})
    """How many rows of a table are shown unless it, or a limit, is asked for."""

    along_the_dial: ClassVar[frozenset[str]] = frozenset()
    """Tables in the order of the dial, not of what matters: the first rows alone could all be of one mechanism."""

    told_in_sections: ClassVar[frozenset[str]] = frozenset()
    """Tables that the sections tell already: shown by name only, though they are in the JSON."""

    plan: Plan
    stations: StationList | None = None
    families: tuple[Family, ...] = field(default=FAMILIES, repr=False)

    @property
    def sides(self) -> tuple[Tuning, ...]:
        """Return how the oscillator follows the dial, on each side that is answered for."""
        return tunings(self.plan)

    @property
    def one_side(self) -> bool:
        """Return whether one oscillator side is answered for."""
        return len(self.sides) == 1

    @property
    def assumptions(self) -> tuple[str, ...]:
        """Return the defaults in force and the limits of the computation."""
        return assumptions(self.plan, self.stations, card=NAME in self.table_names)

    @property
    def cautions(self) -> tuple[str, ...]:
        """Return what can hurt."""
        return cautions(self.plan, self.sides)

    @property
    def heading(self) -> Mapping[str, Any]:
        """Return single values that belong to no table, by JSON key."""
        return {}

    @property
    def title(self) -> str:
        """Return what the result is of: the name of the set."""
        return self.plan.title

    @property
    def rounding(self) -> Rounding:
        """Return how its frequencies are written."""
        return self.plan.rounding

    @property
    def headlines(self) -> tuple[str, ...]:
        """Return in a line or two what was asked: band, IF, oscillator."""
        return (in_brief(self.plan),)

    @property
    def sections(self) -> Mapping[str, tuple[str, ...]]:
        """Return what is told in sentences before the tables, by title."""
        return {}

    def told(self, name: str, shown: Findings) -> tuple[Told, ...]:
        """Return how the rows `shown` of a table are told in sentences; none where it is read as a table."""
        return ()

    @property
    def picture(self) -> str:
        """Return a figure that belongs to it on a page, as HTML; empty for none."""
        return ""

    @classmethod
    def check_table(cls, name: str | None) -> None:
        """Refuse a table that no result of this kind has, before anything is computed; None is none asked for.

        Raises
        ------
        FreqplanError
            There is no such table; the message names those there are.
        """
        if name is not None:
            _check_name(name, (*cls.table_names, *cls.on_request))

    @property
    def names(self) -> tuple[str, ...]:
        """Return the names of the tables this result has, most wanted first."""
        return self.table_names

    @property
    def shown_names(self) -> tuple[str, ...]:
        """Return the names of the tables that are shown where none is asked for."""
        return tuple(name for name in self.names if name not in self.told_in_sections)

    def table(self, name: str) -> Findings:
        """Return one table by name.

        Raises
        ------
        FreqplanError
            When there is no such table; the message names those there are.
        """
        _check_name(name, (*self.names, *self.on_request))
        findings: Findings = getattr(self, name)
        return findings

    def to_dict(self) -> dict[str, Any]:
        """Return the whole result as a JSON object."""
        return {
            "schema": SCHEMA,
            "command": self.command,
            "plan": self.plan.to_dict(),
            "assumptions": list(self.assumptions),
            "cautions": list(self.cautions),
            **self.heading,
            **{name: self.table(name).to_dicts() for name in self.names},
        }

    def to_dataframe(self, table: str | None = None) -> pd.DataFrame:
        """Return one table, the first by default, as a pandas DataFrame; frequencies in hertz."""
        return self.table(table or self.names[0]).to_dataframe()

    def rows_shown(self, name: str, *, alone: bool, among_others: int | None = None) -> int:
        """Return how many rows of a table are shown where no limit is given; a card is short also `alone`.

        `among_others` is for tables without a limit of their own; all rows by default.
        """
        whole = len(self.table(name))
        if alone and name != NAME:
            return whole
        return self.overview.get(name, whole if among_others is None else among_others)

    def first_rows(self, name: str, most: int) -> Findings:
        """Return so many rows of a table for an overview; along the dial some of every mechanism, few ones whole."""
        return self.table(name).take(self.first_places(name, most))

    def first_places(self, name: str, most: int) -> np.ndarray:
        """Return where the rows of `first_rows` stand in the table; (k,) int64, rising."""
        findings = self.table(name)
        if name not in self.along_the_dial:
            return np.arange(min(most, len(findings)), dtype=np.int64)
        so_far: Counter[str] = Counter()
        ranks = []
        for mechanism in findings.values("mechanism"):
            ranks.append(so_far[mechanism])
            so_far[mechanism] += 1
        return np.sort(np.argsort(ranks, kind="stable")[:most])

    def readable(self, table: str | None = None, limit: int | None = None) -> Iterator[Readable]:
        """Yield the tables as a person reads them, without empty ones; details only where one table is asked for.

        Parameters
        ----------
        table : str, optional
            The one table wanted.
        limit : int, optional
            Most rows of each; by default the card is shortened and nothing else.
        """
        rounding = self.rounding
        no_table: tuple[list[str], list[list[str]]] = ([], [])
        for name in [table] if table else self.shown_names:
            findings = self.table(name)
            most = limit or self.rows_shown(name, alone=table is not None)
            shown = findings.take(slice(most)) if table else self.first_rows(name, most)
            told = self.told(name, shown)
            if told:
                heads, rows = no_table
            elif name == NAME:
                heads, rows = card(shown, rounding, one_side=self.one_side)
            else:
                heads, rows = shown.readable(rounding, overview=table is None, one_side=self.one_side)
            if rows or told:
                count = f" ({most} of {len(findings)})" if len(findings) > most else ""
                yield Readable(findings.title + count, heads, rows, told)

    def _repr_html_(self) -> str:
        lines = "".join(f"<p>{html.escape(line)}</p>" for line in self.headlines)
        told = "".join(
            f"<h4>{html.escape(title)}</h4>" + "".join(f"<p>{marked_up(text)}</p>" for text in texts)
            for title, texts in self.sections.items()
        )
        notes = "".join(f"<li>{html.escape(text)}</li>" for text in (*self.cautions, *self.assumptions))
        tables = "".join(table.to_html() for table in self.readable(limit=DEFAULT_LIMIT))
        head = f"<h3>{html.escape(self.title)}: {self.command}</h3>"
        return f"{head}{lines}{self.picture}{told}{tables}<ul>{notes}</ul>"


def in_brief(plan: Plan, *, intermediate_hz: int | None = None, sides: tuple[str, ...] = ()) -> str:
    """Write band, IF and oscillator side of a set in one line, or what is known better than from its plan."""
    rounding, band, conversion = plan.rounding, plan.band, plan.conversion[0]
    used_hz = conversion.intermediate_hz if intermediate_hz is None else intermediate_hz
    as_planned = conversion.tolerance_hz and used_hz == conversion.intermediate_hz
    tolerance = f" ± {rounding.fine(conversion.tolerance_hz)}" if as_planned else ""
    side = " or ".join(sides) or conversion.oscillator
    further = "".join(f", then {hertz_text(one.intermediate_hz)}" for one in plan.conversion[1:])
    return (
        f"{span(band.low_hz, band.high_hz, rounding)} {rounding.unit} {band.modulation.upper()}, "
        f"IF {rounding.fine(used_hz)}{tolerance} {rounding.unit}{further}, oscillator {side}"
    )


class Told(NamedTuple):
    """Rows of a table in sentences: a head, and the lines below it; one that begins with blanks stands further in."""

    head: str
    texts: tuple[str, ...]


class Readable(NamedTuple):
    """A table as a person reads it: heads and rows, or told in sentences."""

    title: str
    heads: list[str]
    rows: list[list[str]]
    told: tuple[Told, ...] = ()

    def to_html(self) -> str:
        """Return an HTML table, or what is told; every text is escaped."""
        if self.told:
            return f"<h4>{html.escape(self.title)}</h4>" + "".join(
                f"<h5>{html.escape(one.head)}</h5>"
                + "".join(f"<p>{html.escape(text)}</p>" for text in one.texts)
                for one in self.told
            )
        head = "".join(f'<th scope="col">{html.escape(text)}</th>' for text in self.heads)
        body = (
            "<tr>" + "".join(f"<td>{html.escape(cell)}</td>" for cell in row) + "</tr>" for row in self.rows
        )
        return (
            f"<table><caption>{html.escape(self.title)}</caption><thead><tr>{head}</tr></thead>"
            f"<tbody>{''.join(body)}</tbody></table>"
        )
