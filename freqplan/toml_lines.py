"""On which line of a TOML text each key stands; `tomllib` itself does not tell.

One pass over the tokens, so the time grows with the length of the text and nothing else.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

MOST_KEY_PARTS = 16
"""Longest dotted key that is looked into; a plan needs three."""

_TOKEN = re.compile(
    r'''
      """ (?: \\. | [^\\] )*? (?: """ "{0,2} | \Z )   # up to two quotation marks may stand before the closing three
    | \'\'\' .*? (?: \'\'\' '{0,2} | \Z )
    | " (?: \\. | [^"\\\n] )* "?                  # an open one ends somewhere too, lest each mark in it be tried
    | ' [^'\n]* '?
    | \#[^\n]*
    | [^"'\#\[\]{}\n]+
    | .
    ''',
    re.VERBOSE | re.DOTALL,
)
_KEY_PART = re.compile(r"""[ \t]*("(?:\\.|[^"\\\n])*"|'[^'\n]*'|[A-Za-z0-9_-]+)[ \t]*(\.?)""")


def key_lines(text: str) -> dict[str, int]:
    """Return the line of every key and table header.

    Parameters
    ----------
    text : str
        TOML with plain line feeds.

    Returns
    -------
    dict of str to int
        Line, counted from 1, for each dotted key such as ``band.low`` or ``conversion[0].intermediate``.
        What stands inside inline tables and arrays is not listed.
    """
    lines: dict[str, int] = {}
    counts: dict[str, int] = {}
    table = ""
    for line, statement in _statements(text):
        parts = _key_parts(statement.lstrip("["))
        if statement.startswith("["):
            names = [_within_arrays(parts[:depth], counts) for depth in range(1, len(parts) + 1)]
            if statement.startswith("[["):
                names[-1:] = _next_of_array(names[-1], counts)
            table = names[-1] if names else ""
        else:
            names = [_joined([table, *parts[:depth]]) for depth in range(1, len(parts) + 1)]
        for name in names:
            lines.setdefault(name, line)
    return lines


def too_deep(text: str) -> int | None:
    """Return the first line whose key has more than `MOST_KEY_PARTS` parts, or None."""
    for line, statement in _statements(text):
        if len(_key_parts(statement.lstrip("["))) > MOST_KEY_PARTS:
            return line
    return None


def _statements(text: str) -> Iterator[tuple[int, str]]:
    """Yield the first line and the text of each key with its value and of each header."""
    line = begin = 1
    depth = 0
    parts: list[str] = []
    for match in _TOKEN.finditer(text + "\n"):
        token = match.group()
        line += token.count("\n")
        if token == "\n" and depth <= 0:
            statement = "".join(parts).strip()
            if statement:
                yield begin, statement
            parts, begin, depth = [], line, 0
        elif not token.startswith("#"):
            parts.append(token)
            depth += (token in ("[", "{")) - (token in ("]", "}"))


def _key_parts(statement: str) -> list[str]:
    """Return the parts of the dotted key at the start of `statement`, as far as it is looked into."""
    parts: list[str] = []
    position = 0
    while len(parts) <= MOST_KEY_PARTS and (match := _KEY_PART.match(statement, position)):
        parts.append(_unquoted(match.group(1)))
        position = match.end()
        if not match.group(2):
            break
    return parts


def _unquoted(part: str) -> str:
    if part.startswith("'"):
        return part[1:-1]
    return re.sub(r"\\(.)", r"\1", part[1:-1]) if part.startswith('"') else part


def _joined(parts: list[str]) -> str:
    return ".".join(part for part in parts if part)


def _within_arrays(parts: list[str], counts: dict[str, int]) -> str:
    """Return the dotted key, with the newest index wherever it passes through an array of tables."""
    name = ""
    for part in parts:
        name = _joined([name, part])
        if name in counts:
            name += f"[{counts[name] - 1}]"
    return name


def _next_of_array(newest: str, counts: dict[str, int]) -> list[str]:
    """Return the array of tables and its next table; `newest` is the table before, or the array itself."""
    array = newest.rpartition("[")[0] if newest.endswith("]") else newest
    counts[array] = counts.get(array, 0) + 1
    return [array, f"{array}[{counts[array] - 1}]"]
