"""A result on the screen: the card to take to the bench first, then the tables, then what was assumed."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from freqplan.card import DEFAULT_LIMIT, NAME, place
from freqplan.findings import Findings
from freqplan.results import Result

WIDTH = 100
WIDE, NARROWEST, HEAD = 32, 18, 10
"""Texts wider than the first are wrapped in a table, table heads wider than the last; choices side by side share
the screen, but none is squeezed below the second."""


def screen(result: Result, *, table: str | None = None, limit: int | None = None) -> Iterator[str]:
    """Yield the lines of the screen; one table whole where `table` names it, else all, each at most `limit` rows."""
    yield f"{result.plan.title}: {result.command}"
    yield from result.headlines
    for name in [table] if table else result.names:
        findings = result.table(name)
        most = limit or (len(findings) if name == table and name != NAME else DEFAULT_LIMIT)
        yield ""
        yield f"{findings.title.upper()} ({_count(len(findings), most)})"
        shown = findings.take(slice(most))
        yield from _card(result, shown) if name == NAME else _table(result, shown, overview=name != table)
        if len(findings) > most:
            yield f"{len(findings) - most} more: --table {name} --limit {len(findings)}"
    if table is None:
        yield from _notes("CAUTIONS", result.cautions)
        yield from _notes("ASSUMPTIONS", result.assumptions)


def _count(total: int, most: int) -> str:
    return f"{most} of {total}" if total > most else str(total) if total else "none"


def _card(result: Result, findings: Findings) -> Iterator[str]:
    rounding = result.plan.rounding
    sides = set(findings.values("oscillator"))
    for row in findings.rows():
        side = f", oscillator {row['oscillator']}" if len(sides) > 1 else ""
        who = f": {', '.join(row['stations'])}" if row["stations"] else ""
        yield f"{row['priority']:3d}  {place(row, rounding)}  {row['mechanism']}{side}{who}"
        for text in (row["why"], row["what_to_do"]):
            yield from textwrap.wrap(text, WIDTH, initial_indent="     ", subsequent_indent="       ")


def _table(result: Result, findings: Findings, *, overview: bool) -> Iterator[str]:
    from tabulate import tabulate

    heads, rows = findings.readable(result.plan.rounding, overview=overview)
    if rows:
        wide = max(NARROWEST, (WIDTH - WIDE) // (len(heads) - 1)) if findings.sideways else WIDE
        narrow = [textwrap.fill(head, HEAD) for head in heads]
        cells = [[textwrap.fill(cell, wide) for cell in row] for row in rows]
        yield from tabulate(cells, headers=narrow, tablefmt="simple", disable_numparse=True).splitlines()


def _notes(title: str, texts: tuple[str, ...]) -> Iterator[str]:
    if texts:
        yield ""
        yield title
    for text in texts:
        yield from textwrap.wrap(text, WIDTH, initial_indent="- ", subsequent_indent="  ")
