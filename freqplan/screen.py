"""A result on the screen: the card to take to the bench first, then the tables, then what was assumed."""

from __future__ import annotations

import re
import textwrap
import unicodedata
from collections.abc import Iterator, Sequence

from freqplan.card import DEFAULT_LIMIT, NAME, place, side_words
from freqplan.findings import Findings
from freqplan.results import Result

WIDTH = 100
WIDE, HEAD = range(32, 11, -1), 9
"""Texts wider than the first of these are wrapped in a table, and narrower ones too until it fits the screen;
table heads wider than the last are always wrapped."""

ROOMY = range(32, 19, -1)
"""The same where there is room for columns that an overview holds only then: none is squeezed for their sake."""

MECHANISMS, FEW = "mechanisms", 6
"""The table written as paragraphs, and how many of those an overview holds."""

ABREAST, NARROWEST = 4, 18
"""Most choices side by side, and the width that none is squeezed below."""

_NUMBER = re.compile(r"[+-]?[0-9]+(\.[0-9]+)?", re.ASCII)
_ACTS_ON_A_TERMINAL = re.compile("[\x00-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]")


def screen(result: Result, *, table: str | None = None, limit: int | None = None) -> Iterator[str]:
    """Yield the lines of the screen; one table whole where `table` names it, else all, each at most `limit` rows."""
    for line in (f"{result.title}: {result.command}", *result.headlines):
        yield from textwrap.wrap(plain(line), WIDTH, subsequent_indent="  ")
    if table is None:
        yield from _sections(result)
    for name in [table] if table else result.shown_names:
        findings = result.table(name)
        if name == MECHANISMS and name != table and len(findings) > FEW:
            yield ""
            yield f"What each of the {len(findings)} mechanisms is, its test and its cure: --table {name}"
            continue
        most = limit or result.rows_shown(name, alone=name == table, among_others=DEFAULT_LIMIT)
        if name == MECHANISMS:
            most = len(findings)
        yield ""
        yield f"{findings.title.upper()} ({_count(len(findings), most)})"
        shown = findings.take(slice(most)) if table else result.first_rows(name, most)
        if name == NAME:
            yield from _card(result, shown)
        elif name == MECHANISMS:
            yield from _explained(shown)
        else:
            yield from _table(result, shown, overview=name != table)
        if len(findings) > most:
            yield f"{len(findings) - most} more: --table {name} --limit {len(findings)}"
    if table is None:
        yield from _notes("CAUTIONS", result.cautions)
        yield from _notes("ASSUMPTIONS", result.assumptions)


def _sections(result: Result) -> Iterator[str]:
    for title, texts in result.sections.items():
        yield from ("", title.upper())
        for text in texts:
            indent = text[: len(text) - len(text.lstrip())]
            yield from textwrap.wrap(
                plain(text), WIDTH, initial_indent=indent, subsequent_indent=f"{indent}  "
            )


def plain(text: str) -> str:
    """Return `text` without the signs that would act on a terminal; other people's lists hold such."""
    return _ACTS_ON_A_TERMINAL.sub("\N{REPLACEMENT CHARACTER}", " ".join(text.split()))


def _count(total: int, most: int) -> str:
    return f"{most} of {total}" if total > most else str(total) if total else "none"


def _card(result: Result, findings: Findings) -> Iterator[str]:
    rounding = result.rounding
    for row in findings.rows():
        side = "" if result.one_side else f", {side_words(row)}"
        who = f": {', '.join(map(plain, row['stations']))}" if row["stations"] else ""
        head = f"{row['priority']:3d}  {place(row, rounding)}  {row['mechanism']}{side}{who}"
        yield from textwrap.wrap(head, WIDTH, subsequent_indent="       ")
        for text in (row["why"], row["what_to_do"]):
            yield from textwrap.wrap(plain(text), WIDTH, initial_indent="     ", subsequent_indent="       ")


def _explained(findings: Findings) -> Iterator[str]:
    said: set[str] = set()
    for row in findings.rows():
        head = f"{row['mechanism']}: {row['title']}" + (f", {row['formula']}" if row["formula"] else "")
        yield from textwrap.wrap(head, WIDTH)
        for label, column in (
            ("shows", "fingerprint"),
            ("test", "test"),
            ("cure", "cure"),
            ("caution", "caution"),
        ):
            text = row[column]
            # Many share one caution: said once, it is read.
            if text and not (column == "caution" and text in said):
                first = f"  {label:<8}"
                yield from textwrap.wrap(text, WIDTH, initial_indent=first, subsequent_indent=" " * 10)
            said.add(text)


def _table(result: Result, findings: Findings, *, overview: bool) -> Iterator[str]:
    abreast = ABREAST if findings.sideways else max(1, len(findings))
    for first in range(0, len(findings), abreast):
        if first:
            yield ""
        part = findings.take(slice(first, first + abreast))
        share = max(NARROWEST, (WIDTH - WIDE[0]) // len(part))
        widths = (share,) if findings.sideways else WIDE
        if overview and part.spare:
            lines = _laid_out(result, part, ROOMY, overview=True, roomy=True)
            if max(map(_width, lines)) <= WIDTH:
                yield from lines
                continue
        yield from _laid_out(result, part, widths, overview=overview)


def _laid_out(
    result: Result, part: Findings, widths: Sequence[int], *, overview: bool, roomy: bool = False
) -> list[str]:
    heads, rows = part.readable(result.rounding, overview=overview, one_side=result.one_side, roomy=roomy)
    return _fitting(heads, [[plain(cell) for cell in row] for row in rows], widths)


def _fitting(heads: Sequence[str], rows: Sequence[Sequence[str]], widths: Sequence[int]) -> list[str]:
    """Return the table with its texts as wide as the screen allows; one that no width fits keeps the widest."""
    narrow = [textwrap.wrap(head, HEAD) for head in heads]

    def laid_out(wide: int) -> list[str]:
        return _lay_out(narrow, [[textwrap.wrap(cell, wide) for cell in row] for row in rows])

    fitting = (lines for lines in map(laid_out, widths) if max(map(_width, lines)) <= WIDTH)
    return next(fitting, None) or laid_out(widths[0])


def _lay_out(heads: list[list[str]], rows: list[list[list[str]]]) -> list[str]:
    """Return lines of equal columns under a ruled head; columns of numbers stand flush right."""
    columns = list(zip(*rows, strict=True))
    right = [all(_NUMBER.fullmatch(" ".join(cell)) for cell in column if cell) for column in columns]
    widths = [
        max(_width(line) for cell in (head, *column) for line in cell)
        for head, column in zip(heads, columns, strict=True)
    ]

    def written(cells: Sequence[list[str]]) -> Iterator[str]:
        for i in range(max(map(len, cells))):
            texts = [cell[i] if i < len(cell) else "" for cell in cells]
            yield "  ".join(map(_padded, texts, widths, right)).rstrip()

    rule = "  ".join("-" * width for width in widths)
    return [*written(heads), rule, *(line for row in rows for line in written(row))]


def _padded(text: str, width: int, right: bool) -> str:
    blank = " " * (width - _width(text))
    return blank + text if right else text + blank


def _width(text: str) -> int:
    """Return how many places `text` takes on a terminal."""
    if text.isascii():
        return len(text)
    signs = [sign for sign in text if unicodedata.category(sign) not in ("Mn", "Me", "Cf")]
    return len(signs) + sum(unicodedata.east_asian_width(sign) in "WF" for sign in signs)


def _notes(title: str, texts: tuple[str, ...]) -> Iterator[str]:
    if texts:
        yield ""
        yield title
    for text in texts:
        yield from textwrap.wrap(plain(text), WIDTH, initial_indent="- ", subsequent_indent="  ")
