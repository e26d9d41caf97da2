"""Results as the page shows them: entries of the check list, tables within bounds, words of the catalogue."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from fractions import Fraction
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from freqplan.card import NAME, place, side_words
from freqplan.hertz import HZ_IN, MOST_EXTRA, decimal_text

if TYPE_CHECKING:
    from freqplan.plan import Plan
    from freqplan.results import Result

MOST_ROWS, MOST_WHOLE = 25, 1000
"""Rows of a table among others, and on a page of its own; a file holds all of them."""

MOST_ENTRIES = 20
_ASIDE = r"also by |there also |of the same station also |on the same station also "
_HEARD = r"on [0-9]|heard on |falls on |stays |oscillator on it "
_FURTHER, _HOW = re.compile(rf"; (?={_ASIDE})"), re.compile(rf"; (?={_HEARD})")


class Clause(NamedTuple):
    """Part of a reason: the sum itself, how it is heard, or what else comes in at the same place."""

    text: str
    kind: str


class Entry(NamedTuple):
    """One line of the check list; `dial` is empty where there is nothing to dial."""

    number: int
    place: str
    dial: str
    mechanism: str
    side: str
    stations: tuple[str, ...]
    why: tuple[Clause, ...]
    what_to_do: str


class Shown(NamedTuple):
    """A table on the page: `total` rows of which `rows` are shown, with their `numbers` in the whole table."""

    name: str
    title: str
    heads: list[str]
    rows: list[list[str]]
    numbers: list[int]
    total: int
    sideways: bool


def entries(result: Result, *, first: int = 0, most: int = MOST_ENTRIES) -> Iterator[Entry]:
    """Yield some entries of the check list, as they are read on the page."""
    plan, rounding = result.plan, result.rounding
    for row in result.table(NAME).take(slice(first, first + most)).rows():
        side = "" if result.one_side else side_words(row)
        yield Entry(
            row["priority"], place(row, rounding), dial_text(plan, row), row["mechanism"], side,
            row["stations"], clauses(row["why"]), row["what_to_do"],
        )  # fmt: skip


def clauses(text: str) -> tuple[Clause, ...]:
    """Return a reason in the parts that are read one by one; put together again with ``"; "`` it is the same."""
    first, *others = _FURTHER.split(text)
    said, *how = _HOW.split(first, maxsplit=1)
    heard = (Clause(part, "heard") for part in how)
    return (Clause(said, "why"), *heard, *(Clause(part, "also") for part in others))


def dial_text(plan: Plan, row: Mapping[str, Any]) -> str:
    """Return the setting to dial for a line of the check list, as the channel view reads it; empty for none."""
    spot = row["dial_hz"]
    if spot is None or row["kind"] == "outside":
        return ""
    return setting(plan, spot if isinstance(spot, int) else plan.nearest_channel_hz(spot))


def setting(plan: Plan, dial_hz: int | Fraction) -> str:
    """Return a dial setting with its unit, as exact as it is written anywhere."""
    rounding = plan.rounding
    extra = rounding.fine_decimals - rounding.dial_decimals + MOST_EXTRA
    number = decimal_text(dial_hz, unit_hz=HZ_IN[rounding.unit], decimals=rounding.dial_decimals, extra=extra)
    return f"{number} {rounding.unit}"


def shown(result: Result, name: str, *, alone: bool = False) -> Shown | None:
    """Return a table as far as the page shows it; None where it is empty.

    Parameters
    ----------
    result : Result
        What the table is of.
    name : str
        Of the table.
    alone : bool
        Whether it has the page to itself: then it has all its columns and more rows.
    """
    findings = result.table(name)
    places = np.arange(min(MOST_WHOLE, len(findings))) if alone else result.first_places(name, MOST_ROWS)
    heads, rows = findings.take(places).readable(
        result.rounding, overview=not alone, one_side=result.one_side
    )
    numbers = (places + 1).tolist()
    return (
        Shown(name, findings.title, heads, rows, numbers, len(findings), findings.sideways) if rows else None
    )
