"""Tables to TOML text that reads back as the same tables."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from datetime import date, time
from decimal import Decimal
from typing import Any

LONGEST_LINE = 100
"""A list that is longer than this has each of its values on a line of its own."""

_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+", re.ASCII)
_ESCAPES = {'"': '\\"', "\\": "\\\\", "\b": "\\b", "\t": "\\t", "\n": "\\n", "\f": "\\f", "\r": "\\r"}
_SURROGATES = re.compile("[\ud800-\udfff]")


def toml_text(tables: Mapping[str, Any]) -> str:
    """Write nested tables as TOML.

    Parameters
    ----------
    tables : mapping
        As `tomllib` gives them: texts, whole numbers, floats or `Decimal`, true and false, dates and times, lists,
        tables.  Tables and lists of tables get headers of their own; what is nested deeper is written inline.

    Returns
    -------
    str
        What is invisible, such as a mark that turns the direction of writing, is escaped, so that it shows.  Half of a
        surrogate pair, which TOML cannot hold, becomes U+FFFD.
    """
    blocks = ["".join(_lines((key, value) for key, value in tables.items() if not _has_header(value)))]
    for key, value in tables.items():
        if _has_header(value):
            opening, closing = ("[", "]") if isinstance(value, Mapping) else ("[[", "]]")
            rows = [value] if isinstance(value, Mapping) else value
            blocks += [f"{opening}{_key(key)}{closing}\n{''.join(_lines(row.items()))}" for row in rows]
    return "\n".join(block for block in blocks if block)


def _has_header(value: object) -> bool:
    several = isinstance(value, list | tuple) and value and all(isinstance(row, Mapping) for row in value)
    return isinstance(value, Mapping) or bool(several)


def _lines(items: Any) -> Iterator[str]:
    for key, value in items:
        line = f"{_key(key)} = {_value(value)}"
        if len(line) > LONGEST_LINE and isinstance(value, list | tuple):
            inner = "".join(f"    {_value(one)},\n" for one in value)
            line = f"{_key(key)} = [\n{inner}]"
        yield f"{line}\n"


def _key(key: str) -> str:
    return key if _BARE_KEY.fullmatch(key) else _quoted(key)


def _value(value: object) -> str:
    match value:
        case bool():
            return "true" if value else "false"
        case str():
            return _quoted(value)
        case int():
            return str(value)
        case float() | Decimal():
            return _number(value)
        case date() | time():
            return value.isoformat()
        case Mapping():
            pairs = ", ".join(f"{_key(key)} = {_value(one)}" for key, one in value.items())
            return f"{{ {pairs} }}" if pairs else "{}"
        case Sequence():
            return f"[{', '.join(map(_value, value))}]"
        case _:
            raise TypeError(f"no value that TOML can hold: {type(value).__name__}")


def _number(value: float | Decimal) -> str:
    """Write a number so that it reads back as no whole number."""
    if not Decimal(value).is_finite():
        sign = "-" if Decimal(value).is_signed() else ""
        return f"{sign}nan" if Decimal(value).is_nan() else f"{sign}inf"
    text = str(value)
    return text if any(sign in text for sign in ".eE") else f"{text}.0"


def _quoted(text: str) -> str:
    return '"' + "".join(map(_escaped, _SURROGATES.sub("\N{REPLACEMENT CHARACTER}", text))) + '"'


def _escaped(sign: str) -> str:
    if sign in _ESCAPES:
        return _ESCAPES[sign]
    if sign.isprintable():
        return sign
    code = ord(sign)
    return f"\\u{code:04X}" if code <= 0xFFFF else f"\\U{code:08X}"
