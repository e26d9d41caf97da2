"""A result in every format: screen, markdown, csv, json, html, latex."""

from __future__ import annotations

import csv
import io
import itertools
import json
import math
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from importlib import resources

from freqplan.arguments import checked
from freqplan.errors import FreqplanError
from freqplan.formulas import Formula, marked_up
from freqplan.hertz import quoted
from freqplan.results import Result, Told
from freqplan.screen import plain, screen

_MARKDOWN_SIGNS = re.compile(r"([\\`*_\[\]|#~$])")
_RUNS_IN_A_SPREADSHEET = ("=", "+", "-", "@", "\t", "\r")
_LATEX_MACROS = {"×": r"$\times$", "−": "$-$", "≈": r"$\approx$", "±": r"$\pm$", "…": r"\ldots{}"}
_LATEX_SIGNS = {
    **{sign: f"\\{sign}" for sign in "&%$#_{}"},
    "\\": r"\textbackslash{}", "~": r"\textasciitilde{}", "^": r"\^{}",
    "<": r"\ensuremath{<}", ">": r"\ensuremath{>}",
}  # fmt: skip
_TAKEN_FOR_AN_ARGUMENT = re.compile(r"^( *)([\[*])", re.MULTILINE)
LONGEST_UNWRAPPED = 24
"""Signs of the longest cell that is not wrapped in LaTeX."""

MOST_ABREAST = 9
"""Columns of a table in the size of the text; of more it is set in smaller print."""

SMALL_PRINT = r"\begingroup\scriptsize\setlength{\tabcolsep}{3pt}"
_WIDTH_PER_SIGN, _WIDTH_PER_COLUMN = 0.0075, 0.017
"""Shares of the text width of a landscape page in small print that a sign and the gap beside a column take."""


@checked
def render(result: Result, form: str = "table", *, table: str | None = None, limit: int | None = None) -> str:
    """Write a result out.

    Parameters
    ----------
    result : Result
        What a command returned.
    form : {"table", "markdown", "csv", "json", "html", "latex"}
        The form of the answer.
    table : str, optional
        The one table to write; json always holds all of them, csv holds the first by default.
    limit : int, optional
        Most rows of each table; json is always whole.  By default a card that is read has 20 lines.

    Returns
    -------
    str
        Text that ends with a line feed.

    Raises
    ------
    FreqplanError
        There is no such form or table, or the limit is below 1.
    """
    if form not in WRITERS:
        raise FreqplanError(f"no form {quoted(form)}; there are: {', '.join(WRITERS)}")
    if limit is not None and limit < 1:
        raise FreqplanError(f"limit {limit}: give 1 or more")
    if table is not None:
        result.table(table)
    return WRITERS[form](result, table, limit)


def _screen(result: Result, table: str | None, limit: int | None) -> str:
    return "\n".join(screen(result, table=table, limit=limit)) + "\n"


def _json(result: Result, table: str | None, limit: int | None) -> str:
    return json.dumps(result.to_dict(), indent=1, ensure_ascii=False, allow_nan=False) + "\n"


def _csv(result: Result, table: str | None, limit: int | None) -> str:
    """Write one table with the JSON keys as heads and exact hertz; texts a spreadsheet would run are made harmless."""
    findings = result.table(table or result.names[0])
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(findings.columns)
    for row in findings.to_dicts()[:limit]:
        writer.writerow([_csv_cell(value) for value in row.values()])
    return out.getvalue()


def _csv_cell(value: object) -> object:
    if isinstance(value, list):
        value = "; ".join(str(part) for part in value)
    if isinstance(value, str) and value.lstrip(" ").startswith(_RUNS_IN_A_SPREADSHEET):
        return f"'{value}"
    return value


def _notes(result: Result, table: str | None) -> Mapping[str, tuple[str, ...]]:
    notes = {} if table else {"Cautions": result.cautions, "Assumptions": result.assumptions}
    return {title: texts for title, texts in notes.items() if texts}


def _sections(result: Result, table: str | None) -> Mapping[str, tuple[str, ...]]:
    return {} if table else result.sections


def _markdown(result: Result, table: str | None, limit: int | None) -> str:
    from tabulate import tabulate

    parts = [
        f"# {_markdown_text(result.title)}: {result.command}",
        *map(_markdown_text, result.headlines),
    ]
    for title, texts in _sections(result, table).items():
        parts += [f"## {title}", "\n".join(map(_markdown_line, texts))]
    for title, heads, rows, told in result.readable(table, limit):
        parts.append(f"## {title}")
        if told:
            parts += _markdown_told(told)
            continue
        cells = [[_markdown_text(cell) for cell in row] for row in rows]
        parts.append(tabulate(cells, headers=heads, tablefmt="pipe", disable_numparse=True))
    for title, texts in _notes(result, table).items():
        parts += [f"## {title}", "\n".join(f"- {_markdown_text(text)}" for text in texts)]
    return "\n\n".join(parts) + "\n"


def _markdown_line(text: str) -> str:
    return f"\n  $${text.latex}$$\n" if isinstance(text, Formula) else f"- {_markdown_text(text)}"


def _markdown_told(told: Sequence[Told]) -> Iterator[str]:
    """Yield the parts of what is told: what stands further in as a list."""
    for one in told:
        yield f"### {_markdown_text(one.head)}"
        for further_in, texts in _by_indent(one):
            lines = [("- " if further_in else "") + _markdown_text(text) for text in texts]
            yield ("\n" if further_in else "\n\n").join(lines)


def _by_indent(one: Told) -> Iterator[tuple[bool, list[str]]]:
    """Yield the lines of what is told, those that stand further in together."""
    return (
        (further_in, list(texts))
        for further_in, texts in itertools.groupby(one.texts, lambda text: text.startswith(" "))
    )


def _markdown_text(text: str) -> str:
    escaped = plain(text).replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    return _MARKDOWN_SIGNS.sub(r"\\\1", escaped)


def _latex(result: Result, table: str | None, limit: int | None) -> str:
    from tabulate import tabulate

    parts = [
        "% a fragment: the document needs \\usepackage{longtable}, and names beyond Latin need lualatex or xelatex",
        rf"\section*{{{_latex_text(result.title)}: {result.command}}}",
        *map(_latex_text, result.headlines),
    ]
    for title, texts in _sections(result, table).items():
        parts += [rf"\subsection*{{{_latex_text(title)}}}", _latex_list(texts)]
    for title, heads, rows, told in result.readable(table, limit):
        if told:
            parts += [rf"\subsection*{{{_latex_text(title)}}}", *_latex_told(told)]
            continue
        cells = [[plain(cell) for cell in row] for row in rows]
        body = tabulate(cells, headers=heads, tablefmt="latex_longtable", disable_numparse=True)
        spec = _latex_columns(heads, cells)
        small = len(heads) > MOST_ABREAST
        start = rf"\begin{{longtable}}{{{spec}}}"
        # \\ at the end of a row takes a bracket or star that begins the next one for its own.
        body = _TAKEN_FOR_AN_ARGUMENT.sub(r"\1{\2}", body[body.index("\n") :])
        table_text = f"{SMALL_PRINT}\n{start}{body}\n\\endgroup" if small else start + body
        parts += [rf"\subsection*{{{_latex_text(title)}}}", table_text]
    for title, texts in _notes(result, table).items():
        parts += [rf"\subsection*{{{title}}}", _latex_list(texts)]
    text = "\n\n".join(parts) + "\n"
    return text.translate({ord(sign): macro for sign, macro in _LATEX_MACROS.items()})


def _latex_told(told: Sequence[Told]) -> Iterator[str]:
    for one in told:
        yield rf"\subsubsection*{{{_latex_text(one.head)}}}"
        for further_in, texts in _by_indent(one):
            yield _latex_list(texts) if further_in else "\n\n".join(map(_latex_text, texts))


def _latex_list(texts: Sequence[str]) -> str:
    items = [
        rf"\[ {text.latex} \]" if isinstance(text, Formula) else rf"\item {{}}{_latex_text(text)}"
        for text in texts
    ]
    return "\n".join([r"\begin{itemize}", *items, r"\end{itemize}"])


def _latex_columns(heads: Sequence[str], cells: Sequence[Sequence[str]]) -> str:
    """Return the columns of a table; heads are wrapped, and long cells share what the others leave of the page."""
    columns = list(zip(*cells, strict=True))
    longest = [max(map(len, column)) for column in columns]
    words = [max(map(len, head.split())) for head in heads]
    short = [
        max(signs, word) if signs <= LONGEST_UNWRAPPED else 0
        for signs, word in zip(longest, words, strict=True)
    ]
    weights = [0.0 if fits else math.sqrt(signs) for fits, signs in zip(short, longest, strict=True)]
    rest = max(0.3, 1 - _WIDTH_PER_SIGN * sum(short) - _WIDTH_PER_COLUMN * len(heads))
    shares = [rest * weight / (sum(weights) or 1) for weight in weights]
    widths = [share or _WIDTH_PER_SIGN * fits for share, fits in zip(shares, short, strict=True)]
    return "".join(rf"p{{{width:.3f}\textwidth}}" for width in widths)


def _latex_text(text: str) -> str:
    # Two hyphens would become a dash, and an option of the command line something else.
    return "".join(_LATEX_SIGNS.get(sign, sign) for sign in plain(text)).replace("--", "-{}-")


def _html(result: Result, table: str | None, limit: int | None) -> str:
    from jinja2 import Environment

    source = resources.files("freqplan").joinpath("data/result.html.j2").read_text(encoding="utf-8")
    page = Environment(autoescape=True, trim_blocks=True, lstrip_blocks=True).from_string(source)
    return page.render(
        result=result, sections=_sections(result, table), tables=list(result.readable(table, limit)),
        notes=_notes(result, table), picture="" if table else result.picture, marked_up=marked_up,
        is_formula=lambda text: isinstance(text, Formula),
    ) + "\n"  # fmt: skip


WRITERS: Mapping[str, Callable[[Result, str | None, int | None], str]] = {
    "table": _screen,
    "markdown": _markdown,
    "csv": _csv,
    "json": _json,
    "html": _html,
    "latex": _latex,
}
"""Every format, by the name it has on the command line."""
