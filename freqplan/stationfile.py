"""The rows of a station list, cell by cell."""

from __future__ import annotations

import re
from dataclasses import dataclass

from freqplan.csvfile import UNKNOWN, CsvFile, is_bare, listed
from freqplan.decibel import MICROVOLT_SIGNS, dbuv_of_dbm
from freqplan.hertz import quoted

FREQUENCY_COLUMNS = ("frequency_mhz", "frequency")
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


@dataclass(frozen=True)
class Row:
    """One station as read; `quantities` stand in the order of `QUANTITIES`, None where unknown."""

    name: str
    frequency_hz: int
    quantities: tuple[float | None, ...]


class StationFile(CsvFile):
    """The rows, faults and remarks of one list of stations."""

    known = ("name", *FREQUENCY_COLUMNS, *(quantity.column for quantity in QUANTITIES))
    needed = "begin with a header row that names the columns name and frequency_mhz (or frequency)"
    doubt = "is this a station list? cut it down to the stations heard here"

    def __init__(self, data: bytes | str, source: str) -> None:
        self.rows: list[Row] = []
        self._first_line: dict[Row, int] = {}
        self._repeated: list[str] = []
        self._bare: list[str] = []
        self._without_level: list[str] = []
        super().__init__(data, source)

    def check_header(self, line: int, fields: list[str], strange: list[str]) -> None:
        """Ask for one column of frequencies."""
        present = [column for column in FREQUENCY_COLUMNS if column in self.columns]
        if len(present) == 2:
            self.fault("frequency_mhz and frequency both given", "keep one of them", line=line)
        elif not present:
            self.no_column("no frequency column", line, fields, strange)

    def read_row(self, line: int, cells: dict[str, str]) -> None:
        """Take in one station."""
        key = next(column for column in FREQUENCY_COLUMNS if column in cells)
        frequency_hz = self.hertz(line, key, cells[key], unit="MHz", example="98.1")
        quantities = tuple(self._number(line, each, cells.get(each.column, "")) for each in QUANTITIES)
        name = self.name(line, "name", cells.get("name", ""))
        if frequency_hz is not None:
            if key == "frequency" and is_bare(cells[key]):
                self._bare.append(str(line))
            self._keep(line, Row(name, frequency_hz, quantities))

    def _keep(self, line: int, row: Row) -> None:
        first = self._first_line.setdefault(row, line)
        if first != line:
            self._repeated.append(f"{line} (as {first})")
            return
        level, *path = row.quantities
        if level is None and path.count(None) == 1:
            self._without_level.append(str(line))
        self.rows.append(row)

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
        self.fault(what, hint, line=line, key=quantity.column, found=found)
        return None

    def finish(self) -> None:
        """Remark on what was passed over or assumed."""
        if not self.rows and not self.faults:
            self.remarks.append("the list holds no stations")
        if "name" not in self.columns:
            self.remarks.append("no column name: stations are called by their frequency")
        for lines, what in (
            (self._bare, "frequencies without a unit taken as MHz"),
            (self._repeated, "repeated rows left out"),
            (self._without_level, "level unknown, because only one of erp_kw and distance_km is given"),
        ):
            if lines:
                self.remarks.append(f"{what}: line {listed(lines)}")
