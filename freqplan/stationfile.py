"""The rows of a station list: CSV as people really keep it, cell by cell."""

from __future__ import annotations

import csv
import difflib
import io
import re
from collections.abc import Iterator
from dataclasses import dataclass

from freqplan.decibel import MICROVOLT_SIGNS, dbuv_of_dbm
from freqplan.errors import Fault
from freqplan.hertz import QuantityError, parse_hertz, quoted

LARGEST_LIST = 5_000_000
"""Bytes: every licensed station of a continent fits, a wrong file picked by mistake does not."""

UNKNOWN = frozenset({"", "-", "?", "unknown", "n/a", "na"})
FREQUENCY_COLUMNS = ("frequency_mhz", "frequency")
NEEDED = "begin with a header row that names the columns name and frequency_mhz (or frequency)"
_NUMBER_AND_UNIT = re.compile(r"([+-]?[0-9]{1,12}(?:\.[0-9]{1,12})?)\s*(\S*)", re.ASCII)
_DECIMAL_COMMA = re.compile(r"([+-]?[0-9]+),([0-9]+)\s*(\S*)", re.ASCII)


@dataclass(frozen=True)
class Quantity:
    """A column of numbers above `low` and up to `high`, written with or without the unit."""

    column: str
    units: tuple[str, ...]
    low: float
    high: float
    example: str


QUANTITIES = (
    Quantity("level_dbuv", MICROVOLT_SIGNS, -100, 200, "54"),
    Quantity("erp_kw", ("kW",), 0, 100_000, "0.5"),
    Quantity("distance_km", ("km",), 0, 40_000, "12"),
)
COLUMNS = ("name", *FREQUENCY_COLUMNS, *(quantity.column for quantity in QUANTITIES))


@dataclass(frozen=True)
class Row:
    """One station as read; `quantities` stand in the order of `QUANTITIES`, None where unknown."""

    name: str
    frequency_hz: int
    quantities: tuple[float | None, ...]


class StationFile:
    """The rows, faults and remarks of one list.

    Parameters
    ----------
    data : bytes or str
        The whole content.
    source : str
        What messages call it.
    """

    def __init__(self, data: bytes | str, source: str) -> None:
        self.source = source
        self.rows: list[Row] = []
        self.faults: list[Fault] = []
        self.remarks: list[str] = []
        self._columns: dict[str, int] = {}
        self._width = 0
        self._first_line: dict[Row, int] = {}
        self._repeated: list[str] = []
        self._bare: list[str] = []
        self._without_level: list[str] = []
        text = self._decoded(data)
        if not self.faults:
            self._read(text)

    def _fault(
        self, what: str, hint: str, *, line: int | None = None, key: str = "", found: str = ""
    ) -> None:
        self.faults.append(Fault(what, hint, key=key, found=found, source=self.source, line=line))

    def _decoded(self, data: bytes | str) -> str:
        if len(data) > LARGEST_LIST:
            self._fault("larger than 5 MB", "is this a station list? cut it down to the stations heard here")
        elif (b"\0" if isinstance(data, bytes) else "\0") in data:  # type: ignore[operator]
            self._fault("not a text file", "save the list as CSV, in UTF-8")
        if self.faults:
            return ""
        if isinstance(data, str):
            return data.removeprefix("\ufeff")
        try:
            return data.decode("utf-8-sig")
        except UnicodeDecodeError:
            self.remarks.append("not UTF-8, read as Latin-1: check the accents in the names")
            return data.decode("latin-1")

    def _read(self, text: str) -> None:
        records = self._records(text)
        header = next(records, None)
        if header is None:
            if not self.faults:
                self._fault("the list is empty", NEEDED)
            return
        self._read_header(*header)
        if not self.faults:
            for line, fields in records:
                self._read_row(line, fields)
            self._remark()

    def _records(self, text: str) -> Iterator[tuple[int, list[str]]]:
        """Yield each record that is not blank with the line it starts on."""
        # Strict, because a lenient reader swallows every row after a quotation mark left open.
        reader = csv.reader(io.StringIO(text, newline=""), delimiter=_delimiter(text), strict=True)
        line = 1
        try:
            for fields in reader:
                if any(field.strip() for field in fields):
                    yield line, fields
                line = reader.line_num + 1
        except csv.Error as error:
            hint = "close every quotation mark; inside a quoted name write it twice"
            self._fault(f"cannot be split into fields ({error})", hint, line=line)

    def _read_header(self, line: int, fields: list[str]) -> None:
        self._width = len(fields)
        strange = []
        for index, field in enumerate(fields):
            column = _column(field)
            if column in self._columns:
                self._fault("column given twice", "keep one of them", line=line, key=column)
            elif column in COLUMNS:
                self._columns[column] = index
            elif column:
                strange.append(field.strip())
        self._check_columns(line, fields, strange)
        if strange:
            self.remarks.append(f"columns ignored: {', '.join(map(_with_suggestion, strange))}")

    def _check_columns(self, line: int, fields: list[str], strange: list[str]) -> None:
        present = [column for column in FREQUENCY_COLUMNS if column in self._columns]
        if len(present) == 2:
            self._fault("frequency_mhz and frequency both given", "keep one of them", line=line)
        elif not present:
            meant = [text for text in map(_with_suggestion, strange) if text.endswith("?)")]
            what = "no frequency column" if self._columns else "no known column"
            found = ", ".join(field.strip() for field in fields)
            self._fault(what, "; ".join([NEEDED, *meant]), line=line, found=found)

    def _read_row(self, line: int, fields: list[str]) -> None:
        surplus = [field for field in fields[self._width :] if field.strip()]
        if surplus:
            hint = (
                "a decimal comma, or the delimiter inside a name? write 98.5 with a point and quote the name"
            )
            what, found = "more fields than the header has columns", " ".join(surplus)
            self._fault(what, hint, line=line, found=found)
            return
        cells = {column: fields[i] if i < len(fields) else "" for column, i in self._columns.items()}
        frequency_hz = self._frequency(line, cells)
        quantities = tuple(self._number(line, each, cells.get(each.column, "")) for each in QUANTITIES)
        if frequency_hz is not None:
            self._keep(line, Row(cells.get("name", ""), frequency_hz, quantities))

    def _keep(self, line: int, row: Row) -> None:
        first = self._first_line.setdefault(row, line)
        if first != line:
            self._repeated.append(f"{line} (as {first})")
            return
        level, *path = row.quantities
        if level is None and path.count(None) == 1:
            self._without_level.append(str(line))
        self.rows.append(row)

    def _frequency(self, line: int, cells: dict[str, str]) -> int | None:
        key = next(column for column in FREQUENCY_COLUMNS if column in cells)
        found = cells[key].strip()
        if found.lower() in UNKNOWN:
            self._fault(
                "no frequency", "write it, such as 98.1, or delete the row", line=line, key=key, found=found
            )
            return None
        bare = not any(sign.isalpha() for sign in found)
        try:
            hertz = parse_hertz(f"{found} MHz" if bare else found)
        except QuantityError as error:
            self._fault(error.what, error.hint, line=line, key=key, found=found)
            return None
        if hertz == 0:
            self._fault(
                "zero is not a frequency", "write it in MHz, such as 98.1", line=line, key=key, found=found
            )
            return None
        if bare and key == "frequency":
            self._bare.append(str(line))
        return hertz

    def _number(self, line: int, quantity: Quantity, cell: str) -> float | None:
        found = cell.strip()
        if found.lower() in UNKNOWN:
            return None
        unit = quantity.units[0]
        hint = f"write the number of {unit}, such as {quantity.example}, or leave it empty where unknown"
        match = _NUMBER_AND_UNIT.fullmatch(found)
        comma = _DECIMAL_COMMA.fullmatch(found)
        if comma:
            what, hint = "decimal comma", f'write "{comma[1]}.{comma[2]}" with a point'
        elif match and match[2].lower() in ("", *(known.lower() for known in quantity.units)):
            value = float(match[1])
            if quantity.low < value <= quantity.high:
                return value
            what = f"must be above {quantity.low:g} and at most {quantity.high:g} {unit}"
        elif match and match[2][0].isalpha():
            what = f"unknown unit {quoted(match[2])}"
            if match[2] == "dBm" and unit in MICROVOLT_SIGNS:
                hint = f'in 75 ohm that is "{dbuv_of_dbm(float(match[1]), 75.0):.1f}"'
        else:
            what = "not a number"
        self._fault(what, hint, line=line, key=quantity.column, found=found)
        return None

    def _remark(self) -> None:
        if not self.rows and not self.faults:
            self.remarks.append("the list holds no stations")
        if "name" not in self._columns:
            self.remarks.append("no column name: stations are called by their frequency")
        for lines, what in (
            (self._bare, "frequencies without a unit taken as MHz"),
            (self._repeated, "repeated rows left out"),
            (self._without_level, "level unknown, because only one of erp_kw and distance_km is given"),
        ):
            if lines:
                self.remarks.append(f"{what}: line {_listed(lines)}")


def _delimiter(text: str) -> str:
    """Return the delimiter under which the first row that is not blank shows most known columns."""
    header = next((line for line in io.StringIO(text, newline=None) if line.strip(' \t,;"\n')), "")

    def known_and_all(delimiter: str) -> tuple[int, int]:
        fields = [_column(field.strip(' "')) for field in header.split(delimiter)]
        return sum(field in COLUMNS for field in fields), len(fields)

    return max((",", ";", "\t"), key=known_and_all)


def _column(field: str) -> str:
    return field.strip().casefold()


def _with_suggestion(field: str) -> str:
    column = _column(field)[:40]
    # A name without its unit, such as "level", is too short to be close.
    unitless = [known for known in COLUMNS if known.startswith(f"{column}_")]
    close = unitless or difflib.get_close_matches(column, COLUMNS, n=1, cutoff=0.7)
    return f"{quoted(field)} (meant to be {close[0]}?)" if close else quoted(field)


def _listed(items: list[str], limit: int = 8) -> str:
    more = f" and {len(items) - limit} more" if len(items) > limit else ""
    return ", ".join(items[:limit]) + more
