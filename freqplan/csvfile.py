"""Lists in CSV as people really keep them: how one is opened, split into fields, and its header understood."""

from __future__ import annotations

import csv
import difflib
import io
import os
import sys
from abc import ABC, abstractmethod
from collections.abc import Iterable, Iterator, Sequence
from typing import IO, ClassVar

import numpy as np

from freqplan.errors import LONGEST_NAME, MOST_FAULTS, Fault, InputError
from freqplan.hertz import EXAMPLE, HIGHEST_HZ, QuantityError, parse_hertz, quoted

LARGEST_LIST = 5_000_000
"""Bytes: every licensed station of a continent fits, a wrong file picked by mistake does not."""

UNKNOWN = frozenset({"", "-", "?", "unknown", "n/a", "na"})

READ_AS_LATIN = "not UTF-8, read as Latin-1: check the accents in the names"

MOST_COLUMNS, MOST_HEADS_NAMED = 1_000, 8

Source = str | os.PathLike[str] | IO[str] | IO[bytes]


class CsvFile(ABC):
    """The columns, faults and remarks of one list; what its rows mean is for the class that is made from it.

    Parameters
    ----------
    data : bytes or str
        The whole content.
    source : str
        What messages call it.
    """

    known: ClassVar[tuple[str, ...]]
    """Columns that are read; every other one is ignored with a remark."""

    needed: ClassVar[str]
    """What the header row must name, as a hint."""

    doubt: ClassVar[str]
    """What to think of a file that is too large."""

    def __init__(self, data: bytes | str, source: str) -> None:
        self.source = source
        self.faults: list[Fault] = []
        self.remarks: list[str] = []
        self.columns: dict[str, int] = {}
        self._width = 0
        text = self._decoded(data)
        if not self.faults:
            self._read(text)

    def fault(self, what: str, hint: str, *, line: int | None = None, key: str = "", found: str = "") -> None:
        """Note one thing wrong; see `Fault`."""
        self.faults.append(Fault(what, hint, key=key, found=found, source=self.source, line=line))

    @abstractmethod
    def check_header(self, line: int, fields: list[str], strange: list[str]) -> None:
        """Note what is missing among `columns`; `strange` are heads that are not known."""

    @abstractmethod
    def read_row(self, line: int, cells: dict[str, str]) -> None:
        """Take in one row, its cells by column."""

    @abstractmethod
    def finish(self) -> None:
        """Remark on the whole once all rows are read."""

    def no_column(self, what: str, line: int, fields: list[str], strange: list[str]) -> None:
        """Note that a column is missing, and which head was perhaps meant to be one."""
        meant = [text for text in self._named(strange) if text.endswith("?)")]
        found = ", ".join(field.strip() for field in fields[: MOST_HEADS_NAMED + 1])
        self.fault(
            what if self.columns else "no known column",
            "; ".join([self.needed, *meant]),
            line=line,
            found=found,
        )

    def hertz(self, line: int, key: str, cell: str, *, unit: str, example: str) -> int | None:
        """Return a frequency above zero; None where there is none, which is noted.

        Parameters
        ----------
        line : int
            Where it stands.
        key : str
            Its column.
        cell : str
            As written, with or without a unit.
        unit : str
            Of a bare number; empty where one is not enough.
        example : str
            What a right one looks like.
        """
        found = cell.strip()
        if found.lower() in UNKNOWN:
            self.fault(
                "no frequency",
                f"write it, such as {example}, or delete the row",
                line=line,
                key=key,
                found=found,
            )
            return None
        try:
            hertz = parse_hertz(f"{found} {unit}" if unit and is_bare(found) else found)
        except QuantityError as error:
            hint = error.hint.replace(EXAMPLE, f"{example} {unit or 'MHz'}")
            self.fault(error.what, hint, line=line, key=key, found=found)
            return None
        if hertz == 0:
            hint = f"write it in {unit or 'MHz'}, such as {example}"
            self.fault("zero is not a frequency", hint, line=line, key=key, found=found)
            return None
        return hertz

    def name(self, line: int, key: str, cell: str) -> str:
        """Return what something is called, as written; a name that no line can hold is noted."""
        if len(cell) > LONGEST_NAME:
            self.fault(f"longer than {LONGEST_NAME} signs", "shorten it", line=line, key=key, found=cell)
        return cell

    def _decoded(self, data: bytes | str) -> str:
        if len(data) > LARGEST_LIST:
            self.fault("larger than 5 MB", self.doubt)
        elif (b"\0" if isinstance(data, bytes) else "\0") in data:  # type: ignore[operator]
            self.fault("not a text file", "save the list as CSV, in UTF-8")
        if self.faults:
            return ""
        if isinstance(data, str):
            return data.removeprefix("\ufeff")
        text, remark = text_of(data)
        self.remarks += [remark] if remark else []
        return text

    def _read(self, text: str) -> None:
        records = self._records(text)
        header = next(records, None)
        if header is None:
            if not self.faults:
                self.fault("the list is empty", self.needed)
            return
        self._read_header(*header)
        if not self.faults:
            for line, fields in records:
                self._read_fields(line, fields)
                if len(self.faults) >= MOST_FAULTS:
                    self.fault(f"{MOST_FAULTS} faults or more", "mend these first", line=line)
                    return
            self.finish()

    def _records(self, text: str) -> Iterator[tuple[int, list[str]]]:
        """Yield each record that is not blank with the line it starts on."""
        # Strict, because a lenient reader swallows every row after a quotation mark left open.
        delimiter = _delimiter(text, self.known)
        reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
        line = 1
        try:
            for fields in reader:
                if any(field.strip() for field in fields):
                    yield line, fields
                line = reader.line_num + 1
        except csv.Error as error:
            hint = "close every quotation mark; inside a quoted name write it twice"
            self.fault(f"cannot be split into fields ({error})", hint, line=line)

    def _read_header(self, line: int, fields: list[str]) -> None:
        self._width = len(fields)
        if self._width > MOST_COLUMNS:
            self.fault(f"more than {MOST_COLUMNS} columns", self.doubt, line=line)
            return
        strange = []
        for index, field in enumerate(fields):
            column = _column(field)
            if column in self.columns:
                self.fault("column given twice", "keep one of them", line=line, key=column)
            elif column in self.known:
                self.columns[column] = index
            elif column:
                strange.append(field.strip())
        self.check_header(line, fields, strange)
        if strange:
            ignored = listed([*self._named(strange), *strange[MOST_HEADS_NAMED:]], MOST_HEADS_NAMED)
            self.remarks.append(f"columns ignored: {ignored}")

    def _read_fields(self, line: int, fields: list[str]) -> None:
        surplus = [field for field in fields[self._width :] if field.strip()]
        if surplus:
            hint = (
                "a decimal comma, or the delimiter inside a name? write 98.5 with a point and quote the name"
            )
            what, found = "more fields than the header has columns", " ".join(surplus)
            self.fault(what, hint, line=line, found=found)
            return
        self.read_row(
            line, {column: fields[i] if i < len(fields) else "" for column, i in self.columns.items()}
        )

    def _named(self, strange: list[str]) -> list[str]:
        return [self._with_suggestion(field) for field in strange[:MOST_HEADS_NAMED]]

    def _with_suggestion(self, field: str) -> str:
        column = _column(field)[:40]
        # A name without its unit, such as "level", is too short to be close.
        unitless = [known for known in self.known if known.startswith(f"{column}_")]
        close = unitless or difflib.get_close_matches(column, self.known, n=1, cutoff=0.7)
        return f"{quoted(field)} (meant to be {close[0]}?)" if close else quoted(field)


def text_of(data: bytes) -> tuple[str, str]:
    """Return the text of a list, and what is to be remarked where it is not UTF-8; else nothing."""
    try:
        return data.decode("utf-8-sig"), ""
    except UnicodeDecodeError:
        return data.decode("latin-1"), READ_AS_LATIN


def is_bare(text: str) -> bool:
    """Return whether a quantity is written without a unit."""
    return not any(sign.isalpha() for sign in text)


def listed(items: list[str], limit: int = 8) -> str:
    """Write the first of many things and count the rest."""
    more = f" and {len(items) - limit} more" if len(items) > limit else ""
    return ", ".join(items[:limit]) + more


def hertz_faults(column: str, values: Iterable[object]) -> list[Fault]:
    """Return a fault for each value given from Python that is no frequency in whole hertz."""
    hint = "give whole hertz above 0 and up to 300 GHz, such as 98_100_000"
    return [
        Fault("not a frequency", hint, key=f"{column}[{index}]", found=repr(value))
        for index, value in enumerate(values)
        if not _is_hertz(value)
    ]


def _is_hertz(value: object) -> bool:
    if isinstance(value, bool) or not isinstance(value, int | np.integer):
        return False
    return 0 < int(value) <= HIGHEST_HZ


def content(path_or_file: Source, error: type[InputError]) -> tuple[str, bytes | str]:
    """Return what messages call a list, and its content, cut off beyond `LARGEST_LIST`.

    Parameters
    ----------
    path_or_file : str, path or open file
        ``-`` is standard input.
    error : type of InputError
        What is raised where it cannot be read.
    """
    if path_or_file == "-":
        if sys.stdin is None:
            raise error([Fault("standard input is closed", "name a file", source="<stdin>")])
        return "<stdin>", getattr(sys.stdin, "buffer", sys.stdin).read(LARGEST_LIST + 1)
    if not isinstance(path_or_file, str | os.PathLike):
        name = getattr(path_or_file, "name", "")
        return name if isinstance(name, str) else "", path_or_file.read(LARGEST_LIST + 1)
    source = os.fspath(path_or_file)
    try:
        with open(source, "rb") as file:
            return source, file.read(LARGEST_LIST + 1)
    except (OSError, ValueError) as caught:
        raise error([_unreadable(source, caught)]) from caught


def _unreadable(source: str, error: OSError | ValueError) -> Fault:
    if isinstance(error, FileNotFoundError):
        return Fault("there is no such file", "check the name and the folder", source=source)
    if isinstance(error, IsADirectoryError):
        return Fault("this is a folder", "name the CSV file inside it", source=source)
    reason = (getattr(error, "strerror", None) or str(error)).lower()
    return Fault(f"cannot be read ({reason})", "check the name and the permissions", source=source)


def _delimiter(text: str, known: Sequence[str]) -> str:
    """Return the delimiter under which the first row that is not blank shows most known columns."""
    header = next((line for line in io.StringIO(text, newline=None) if line.strip(' \t,;"\n')), "")

    def known_and_all(delimiter: str) -> tuple[int, int]:
        fields = [_column(field.strip(' "')) for field in header.split(delimiter)]
        return sum(field in known for field in fields), len(fields)

    return max((",", ";", "\t"), key=known_and_all)


def _column(field: str) -> str:
    return field.strip().casefold()
