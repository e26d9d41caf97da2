"""The rows of a list of dial readings: what the dial reads, and the frequency of the station that plays there."""

from __future__ import annotations

from dataclasses import dataclass

from freqplan.csvfile import CsvFile

UNITS = {"_mhz": "MHz", "_khz": "kHz", "": ""}
"""Endings of the two columns, and the unit of a bare number in them; empty where one is not enough."""

READS, IS = "reads", "is"
STATION = "station"
MOST_READINGS = 50
"""More than anybody writes down from one dial."""


@dataclass(frozen=True)
class ReadingRow:
    """One reading as written, and the line it stands on."""

    line: int
    reads_hz: int
    is_hz: int
    station: str


class ReadingsFile(CsvFile):
    """The rows, faults and remarks of one list of readings."""

    known = (*(f"{name}{ending}" for name in (READS, IS) for ending in UNITS), STATION)
    needed = "begin with a header row that names the columns reads_mhz and is_mhz (or reads_khz and is_khz)"
    doubt = "is this a list of dial readings? three to six are enough"

    def __init__(self, data: bytes | str, source: str) -> None:
        self.rows: list[ReadingRow] = []
        self._wanted: dict[str, str] = {}
        self._count = 0
        super().__init__(data, source)

    def check_header(self, line: int, fields: list[str], strange: list[str]) -> None:
        """Ask for one column of what the dial reads and one of what it is."""
        for name in (READS, IS):
            present = [f"{name}{ending}" for ending in UNITS if f"{name}{ending}" in self.columns]
            if len(present) > 1:
                self.fault(f"{' and '.join(present)} both given", "keep one of them", line=line)
            elif not present and (self.columns or name == READS):
                self.no_column(f"no column {name}_mhz or {name}_khz", line, fields, strange)
            self._wanted[name] = next(iter(present), "")

    def read_row(self, line: int, cells: dict[str, str]) -> None:
        """Take in one reading."""
        self._count += 1
        reads_hz, is_hz = (self._hertz(line, self._wanted[name], cells) for name in (READS, IS))
        station = self.name(line, STATION, cells.get(STATION, ""))
        if reads_hz is not None and is_hz is not None:
            self.rows.append(ReadingRow(line, reads_hz, is_hz, station))

    def _hertz(self, line: int, key: str, cells: dict[str, str]) -> int | None:
        unit = UNITS[f"_{key.partition('_')[2]}" if "_" in key else ""]
        return self.hertz(line, key, cells[key], unit=unit, example="936" if unit == "kHz" else "98.1")

    def finish(self) -> None:
        """Ask for at least one reading, and for no more than anybody writes down."""
        if self._count > MOST_READINGS:
            self.fault(
                f"{self._count} readings, more than {MOST_READINGS}",
                "three to six, spread over the dial, are enough",
            )
        elif not self._count and not self.faults:
            self.fault(
                "the list holds no readings",
                "write what the dial reads and what plays there, such as 88.7,90.6",
            )
