"""A TOML file as people keep it: read within limits, its faults in plain words and on their lines."""

from __future__ import annotations

import os
import re
import sys
import tomllib
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from decimal import Decimal, InvalidOperation
from functools import cached_property
from pathlib import Path
from typing import IO, Any

from freqplan.errors import Fault, InputError, shortened
from freqplan.toml_lines import key_lines, too_deep

LARGEST_FILE = 1_000_000
"""Bytes or characters; what a person writes has some thousands."""

TRUTHS = {"yes": "true", "true": "true", "no": "false", "false": "false"}
"""What people write, in any case, and what TOML wants."""

TomlSource = str | os.PathLike[str] | IO[str] | IO[bytes]

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


@dataclass(frozen=True)
class Origin:
    """Where tables were read; any two are equal, for that is no part of what the tables say.

    Attributes
    ----------
    source : str
        What messages call it: file name, ``<stdin>``, or empty when the tables came from Python.
    text : str
        TOML with plain line feeds, or empty.
    """

    source: str = field(default="", compare=False)
    text: str = field(default="", compare=False, repr=False)

    @cached_property
    def _lines(self) -> dict[str, int]:
        return key_lines(self.text)

    def line_of(self, key: str) -> int | None:
        """Return the line of a dotted key or, where it is absent or inside an inline table, of what holds it."""
        while key and key not in self._lines:
            key = key[: max(key.rfind("."), key.rfind("["), 0)]
        return self._lines.get(key)

    def placed(self, faults: Iterable[Fault]) -> list[Fault]:
        """Return `faults` with file and line, in the order of the file, those without a line last."""
        placed = [
            replace(fault, source=self.source, line=self.line_of(fault.key), key=shortened(fault.key, 80))
            for fault in faults
        ]
        return sorted(placed, key=lambda fault: (fault.line is None, fault.line or 0))


@dataclass(frozen=True)
class TomlFile:
    """What a file holds.

    Attributes
    ----------
    tables : dict
        Nested tables as `tomllib` gives them, decimals exact; never empty.
    origin : Origin
        Where they stand.
    title : str
        Name of the file without folder and ending; empty for standard input.
    """

    tables: dict[str, Any]
    origin: Origin
    title: str


def read_toml(source: TomlSource, *, content: str, beginning: str, refusal: type[InputError]) -> TomlFile:
    """Read a TOML file.

    Parameters
    ----------
    source : str, path or open file
        A text or binary file, or its name; ``"-"`` is standard input.
    content : str
        What the file should hold, for messages, such as ``"plan"``.
    beginning : str
        What to write into an empty file, for messages.
    refusal : type of InputError
        What to raise.

    Returns
    -------
    TomlFile
        The tables, not yet looked at.

    Raises
    ------
    InputError
        Of the class `refusal`, with the one fault that keeps the file from being read.
    """
    name, title = _names(source)
    try:
        text = _text(_content(source))
        tables = _tables(text)
        if not tables:
            raise _UnreadableError("no {content} in it", beginning)
    except _UnreadableError as error:
        fault = error.fault
        what, hint = (part.replace("{content}", content) for part in (fault.what, fault.hint))
        raise refusal([replace(fault, what=what, hint=hint, source=name)]) from None
    return TomlFile(tables, Origin(name, text), title)


class _UnreadableError(Exception):
    """The file holds no TOML; carries the one fault that says why, ``{content}`` for what it should hold."""

    def __init__(self, what: str, hint: str, *, line: int | None = None, found: str = "") -> None:
        self.fault = Fault(what=what, hint=hint, line=line, found=found)


def _names(source: TomlSource) -> tuple[str, str]:
    """Return the name to use in messages and the title to fall back on."""
    if source == "-":
        return "<stdin>", ""
    name = source if isinstance(source, str | os.PathLike) else getattr(source, "name", None)
    if not isinstance(name, str | bytes | os.PathLike):
        return "<file>", ""
    text = os.fsdecode(name)
    return text, Path(text).stem


def _content(source: TomlSource) -> str | bytes:
    try:
        if source == "-":
            return _read(getattr(sys.stdin, "buffer", sys.stdin))
        if isinstance(source, str | os.PathLike):
            with open(source, "rb") as file:
                return _read(file)
        return _read(source)
    except IsADirectoryError:
        raise _UnreadableError("a directory, not a file", "name the {content} file in it") from None
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
        raise _UnreadableError("larger than 1 MB", "check that this is the {content} file")
    return content


def _text(content: str | bytes) -> str:
    """Return the text with plain line feeds and without a byte order mark."""
    text = _decoded(content) if isinstance(content, bytes) else content
    if "\0" in text:
        raise _UnreadableError("not a text file", "check that this is the {content} file, saved as UTF-8")
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
        return tomllib.loads(text, parse_float=Decimal)
    except tomllib.TOMLDecodeError as error:
        raise _not_toml(str(error), text) from None
    except RecursionError:
        raise _UnreadableError("brackets nested too deeply", "two levels are enough") from None
    except (ValueError, InvalidOperation):
        raise _UnreadableError("a number too long to be read", "shorten it") from None


def _not_toml(message: str, text: str) -> _UnreadableError:
    """Return tomllib's finding in plain words, with its line."""
    lines = text.split("\n")
    match = _PLACE.search(message)
    line = int(match.group(1)) if match and match.group(1) else len(text.rstrip("\n").split("\n"))
    reason = _PLACE.sub("", message)
    plain = (words for start, words in _IN_PLAIN_WORDS.items() if reason.startswith(start))
    what, hint = next(plain, (f"not TOML ({reason[:1].lower()}{reason[1:]})", "correct this line"))
    if hint == _QUOTES and (bare := _WITHOUT_QUOTES.fullmatch(lines[line - 1][:200])):
        key, value = bare.groups()
        written = TRUTHS.get(value.lower()) or f'"{value}"'
        hint = f"write {key} = {written}"
    return _UnreadableError(what, hint, line=line, found=lines[line - 1].strip())
