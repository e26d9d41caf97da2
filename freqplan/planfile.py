"""A plan file (TOML) to a `Plan`; every fault with its line, its key, what was found and what to write."""

from __future__ import annotations

import os
import re
import sys
import tomllib
from dataclasses import replace
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import IO, Any

from freqplan.errors import Fault, PlanError, SweepError, shortened
from freqplan.plan import Plan
from freqplan.sweeps import load_sweep
from freqplan.toml_lines import key_lines, too_deep

LARGEST_FILE = 1_000_000
"""Bytes or characters; a plan has some thousands."""

PlanSource = str | os.PathLike[str] | IO[str] | IO[bytes]

_PLACE = re.compile(r" \(at (?:line (\d+), column \d+|end of document)\)$")
_WITHOUT_QUOTES = re.compile(r"""\s*([A-Za-z_]+)\s*=\s*([^"'\[{#\s][^"'\[{#]*?)\s*(?:#.*)?""")
_QUOTES = 'put text in quotation marks, such as low = "87.5 MHz"'
_IN_PLAIN_WORDS = {
    "Cannot overwrite a value": ("this key stands here a second time", "keep one of them"),
    "Cannot declare": ("this table stands here a second time", "keep one of them; several take [[ ]]"),
    "Cannot mutate immutable": ("this table was closed before", "write all its keys in one place"),
    "Invalid value": ("not a value", _QUOTES),
    "Expected newline or end of document": ("something follows the value", _QUOTES),
    "Expected '=' after a key": ("no = after the key", 'write key = "value"'),
    "Invalid statement": ("neither a key nor a table", 'write key = "value" or [table]'),
    "Unterminated string": ("quotation mark not closed", "close it on the same line"),
    "Illegal character '\\n'": ("quotation mark not closed", "close it on the same line"),
    "Unclosed array": ("bracket not closed", "write ]"),
    "Expected ']": ("bracket not closed", "write [table] or [[table]]"),
}


def load_plan(source: PlanSource) -> Plan:
    """Read a plan.

    Parameters
    ----------
    source : str, path or open file
        A text or binary file, or its name; ``"-"`` is standard input.

    Returns
    -------
    Plan
        Its title is the name of the file unless the file gives one.

    Raises
    ------
    PlanError
        Holds every fault found, in the order of the file.
    SweepError
        The measured response that it names cannot be used.
    """
    name, title = _names(source)
    try:
        text = _text(_content(source))
        tables = _tables(text)
    except _UnreadableError as error:
        raise PlanError([replace(error.fault, source=name)]) from None
    if title:
        tables.setdefault("title", title)
    _beside(tables, name)
    try:
        plan = Plan.from_file_keys(tables)
    except PlanError as error:
        raise PlanError(_placed(error.faults, source=name, lines=key_lines(text))) from None
    if plan.front_end is not None and plan.front_end.response is not None:
        _check_response(plan.front_end.response, source=name, lines=key_lines(text))
    return plan


def _check_response(response: str, *, source: str, lines: dict[str, int]) -> None:
    """Read a measured response, so that its faults are told with the plan; one of the whole file at the plan's key."""
    try:
        load_sweep(response)
    except SweepError as error:
        key = "front_end.response"
        line = _line_of(key, lines)
        raise SweepError(
            replace(fault, what=f"{response}: {fault.what}", source=source, line=line, key=key)
            if fault.line is None
            else fault
            for fault in error.faults
        ) from None


def _beside(tables: dict[str, Any], name: str) -> None:
    """Look for a measured response beside the plan that names it."""
    front_end = tables.get("front_end")
    if not isinstance(front_end, dict):
        return
    response = front_end.get("response")
    if isinstance(response, str) and response:
        front_end["response"] = os.path.join(os.path.dirname(name), response)


class _UnreadableError(Exception):
    """The file holds no TOML; carries the one fault that says why."""

    def __init__(self, what: str, hint: str, *, line: int | None = None, found: str = "") -> None:
        self.fault = Fault(what=what, hint=hint, line=line, found=found)


def _names(source: PlanSource) -> tuple[str, str]:
    """Return the name to use in messages and the title to fall back on."""
    if source == "-":
        return "<stdin>", ""
    name = source if isinstance(source, str | os.PathLike) else getattr(source, "name", None)
    if not isinstance(name, str | bytes | os.PathLike):
        return "<file>", ""
    text = os.fsdecode(name)
    return text, Path(text).stem


def _content(source: PlanSource) -> str | bytes:
    try:
        if source == "-":
            return _read(getattr(sys.stdin, "buffer", sys.stdin))
        if isinstance(source, str | os.PathLike):
            with open(source, "rb") as file:
                return _read(file)
        return _read(source)
    except IsADirectoryError:
        raise _UnreadableError("a directory, not a file", "name the plan file in it") from None
    except FileNotFoundError:
        raise _UnreadableError("no such file", "check the name") from None
    except UnicodeDecodeError:
        raise _UnreadableError("not text in UTF-8", "save it as UTF-8") from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise _UnreadableError(f"cannot be read ({reason})", "check the name and its permissions") from None


def _read(file: IO[Any] | None) -> str | bytes:
    content: str | bytes = b"" if file is None else file.read(LARGEST_FILE + 1)
    if len(content) > LARGEST_FILE:
        raise _UnreadableError("larger than 1 MB", "check that this is a plan file")
    return content


def _text(content: str | bytes) -> str:
    """Return the text with plain line feeds and without a byte order mark."""
    text = _decoded(content) if isinstance(content, bytes) else content
    if "\0" in text:
        raise _UnreadableError("not a text file", "check that this is a plan file, saved as UTF-8")
    return text.removeprefix("\ufeff").replace("\r\n", "\n")


def _decoded(content: bytes) -> str:
    try:
        return content.decode("utf-8")
    except UnicodeDecodeError as error:
        if b"\0" in content:
            return "\0"
        line = content.count(b"\n", 0, error.start) + 1
        raise _UnreadableError("not text in UTF-8", "save it as UTF-8", line=line) from None


def _tables(text: str) -> dict[str, Any]:
    # tomllib takes time that grows with the square of a dotted key's parts, so these are counted before.
    if (line := too_deep(text)) is not None:
        raise _UnreadableError(
            "key with too many parts", "write the keys of one table under its [table]", line=line
        )
    try:
        tables = tomllib.loads(text, parse_float=Decimal)
    except tomllib.TOMLDecodeError as error:
        raise _not_toml(str(error), text) from None
    except RecursionError:
        raise _UnreadableError("brackets nested too deeply", "a plan needs two levels") from None
    except (ValueError, InvalidOperation):
        raise _UnreadableError("a number too long to be read", "shorten it") from None
    if not tables:
        raise _UnreadableError(
            "no plan in it", "write [band] and [[conversion]]; `freqplan start` makes a plan to begin with"
        )
    return tables


def _not_toml(message: str, text: str) -> _UnreadableError:
    """Return tomllib's finding in plain words, with its line."""
    lines = text.split("\n")
    match = _PLACE.search(message)
    line = int(match.group(1)) if match and match.group(1) else len(text.rstrip("\n").split("\n"))
    reason = _PLACE.sub("", message)
    plain = (words for start, words in _IN_PLAIN_WORDS.items() if reason.startswith(start))
    what, hint = next(plain, (f"not TOML ({reason[:1].lower()}{reason[1:]})", "correct this line"))
    if hint == _QUOTES and (bare := _WITHOUT_QUOTES.fullmatch(lines[line - 1][:200])):
        hint = f'write {bare.group(1)} = "{bare.group(2)}"'
    return _UnreadableError(what, hint, line=line, found=lines[line - 1].strip())


def _placed(faults: tuple[Fault, ...], *, source: str, lines: dict[str, int]) -> list[Fault]:
    placed = [
        replace(fault, source=source, line=_line_of(fault.key, lines), key=shortened(fault.key, 80))
        for fault in faults
    ]
    return sorted(placed, key=lambda fault: (fault.line is None, fault.line or 0))


def _line_of(key: str, lines: dict[str, int]) -> int | None:
    """Return the line of `key` or, where it is absent or inside an inline table, of what holds it."""
    while key and key not in lines:
        key = key[: max(key.rfind("."), key.rfind("["), 0)]
    return lines.get(key)
