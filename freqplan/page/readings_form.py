"""Dial readings as rows to fill in: from an address to readings, and from a list in CSV to an address.

An address holds ``reads`` and ``is``, and ``station`` where one is named, once for each row in their order.
"""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass
from itertools import zip_longest
from typing import NamedTuple

from freqplan.errors import Fault, ReadingsError
from freqplan.hertz import EXAMPLE, QuantityError, parse_hertz
from freqplan.page.form_fields import Field, Section, in_full
from freqplan.page.visit import Values
from freqplan.plan_reading import hertz_text
from freqplan.questions import is_number
from freqplan.readings import Readings, load_readings
from freqplan.readingsfile import IS, MOST_READINGS, READS, STATION

ERROR = "error"
ROWS_SHOWN = "rows"
"""How many rows the form shows where that is more than it would."""

FEWEST_ROWS, MORE_ROWS = 6, 6

COLUMNS = {READS: "Dial reads", IS: "Station is on", STATION: "Its name"}
"""What a row holds, and what stands above."""

_ABOUT_THE_ERROR = (
    "With its unit, such as {}. Left out: 0.1 MHz on FM, a thousandth of mid-band below 30 MHz."
)
_ERROR_IN = {"MHz": "0.1 MHz", "kHz": "1 kHz"}
"""What a reading error looks like on a dial in that unit."""

FIRST_LINE = 2
"""Line of the first row in a list, below the header."""


class Row(NamedTuple):
    """One reading as it was filled in."""

    reads: str
    is_: str
    station: str = ""

    @property
    def blank(self) -> bool:
        """Return whether nothing is filled in."""
        return not any(cell.strip() for cell in self)


@dataclass(frozen=True)
class ReadingsForm:
    """The rows with what is filled in.

    Attributes
    ----------
    rows : tuple of tuple of Field
        What the dial reads, what is there, and its name, of each row.
    error : Field
        How well the dial is read.
    faults : tuple of str
        What is wrong and belongs to no box.
    """

    rows: tuple[tuple[Field, ...], ...]
    error: Field
    faults: tuple[str, ...]

    @property
    def parts(self) -> tuple[Section, ...]:
        """Return all its boxes."""
        return (*(Section("", row) for row in self.rows), Section("", (self.error,)))

    @property
    def more(self) -> int | None:
        """Return how many rows to show when more are asked for; None where there are enough."""
        shown = min(len(self.rows) + MORE_ROWS, MOST_READINGS)
        return shown if shown > len(self.rows) else None


def rows_of(answers: Values) -> tuple[Row, ...]:
    """Return the rows that are filled in, in their order."""
    columns = (answers.get(name, ()) for name in COLUMNS)
    rows = (Row(*cells) for cells in zip_longest(*columns, fillvalue=""))
    return tuple(row for row in rows if not row.blank)


def readings_answers(rows: tuple[Row, ...], error: str = "", shown: int = 0) -> dict[str, tuple[str, ...]]:
    """Return the address of rows, of the reading error where it is given, and of how many rows to show."""
    columns = dict(zip(COLUMNS, zip(*rows, strict=True), strict=True)) if rows else {}
    if not any(name.strip() for name in columns.get(STATION, ())):
        columns.pop(STATION, None)
    if error.strip():
        columns[ERROR] = (error.strip(),)
    if shown > max(FEWEST_ROWS, len(rows)):
        columns[ROWS_SHOWN] = (str(shown),)
    return columns


def tidy(answers: Values) -> dict[str, tuple[str, ...]]:
    """Return the answers without blank rows."""
    return readings_answers(rows_of(answers), "".join(answers.get(ERROR, ())), _asked_for(answers))


def readings_csv(rows: tuple[Row, ...], *, unit: str) -> str:
    """Return rows as a list in CSV; a bare number is in `unit`."""
    out = io.StringIO()
    write = csv.writer(out, lineterminator="\n").writerow
    ending = unit.lower()
    write((f"{READS}_{ending}", f"{IS}_{ending}", STATION))
    for row in rows:
        # One line for each row, so that the line of a fault tells its row.
        write(" ".join(cell.split()) for cell in row)
    return out.getvalue()


def readings(rows: tuple[Row, ...], *, unit: str) -> Readings:
    """Return the readings that rows hold.

    Raises
    ------
    ReadingsError
        Every fault, with line and column as `readings_csv` has them.
    """
    return load_readings(io.StringIO(readings_csv(rows, unit=unit)))


def rows_of_csv(text: str) -> tuple[Row, ...]:
    """Return the rows of a list in CSV.

    Raises
    ------
    ReadingsError
        Every fault of the list, with its line.
    """
    given = load_readings(io.StringIO(text))
    hertz = zip(given.reads_hz.tolist(), given.is_hz.tolist(), given.stations, strict=True)
    return tuple(Row(hertz_text(reads), hertz_text(is_), station) for reads, is_, station in hertz)


def reading_error_hz(answers: Values, *, unit: str = "MHz") -> int | None:
    """Return how well the dial is read [Hz]; None where that is left out.

    Parameters
    ----------
    answers : mapping
        What was answered.
    unit : str
        Of the dial, for examples; no bare number is read in it.

    Raises
    ------
    ReadingsError
        It is no frequency above zero, its unit included.
    """
    text = "".join(answers.get(ERROR, ())).strip()
    if not text:
        return None
    try:
        hertz = parse_hertz(text)
    except QuantityError as error:
        hint = f'write "{text} {unit}"' if is_number(text) else error.hint.replace(EXAMPLE, _ERROR_IN[unit])
        raise ReadingsError([Fault(error.what, hint, key=ERROR, found=text)]) from None
    if hertz == 0:
        hint = f"more than 0 is needed, such as {_ERROR_IN[unit]}"
        raise ReadingsError([Fault("zero", hint, key=ERROR, found=text)])
    return hertz


def readings_form(answers: Values, faults: tuple[Fault, ...] = (), *, unit: str = "MHz") -> ReadingsForm:
    """Return the rows with what is filled in, and blank ones to fill in.

    Parameters
    ----------
    answers : mapping
        What was answered.
    faults : tuple of Fault
        What is wrong with it, with line and column as `readings` gives them.
    unit : str
        Of the dial, for examples.
    """
    told = rows_of(answers)
    blank = max(FEWEST_ROWS, min(_asked_for(answers), MOST_READINGS)) - len(told)
    at_home: dict[tuple[int, str], list[Fault]] = {}
    others = []
    for fault in faults:
        column, row = fault.key.partition("_")[0], (fault.line or 1) - FIRST_LINE + 1
        if fault.key == ERROR or (column in COLUMNS and 1 <= row <= len(told)):
            at_home.setdefault((row, column), []).append(fault)
        else:
            others.append(in_full(fault))
    rows = tuple(
        tuple(
            Field(column, f"{label}, row {number}", digits=column != STATION, place=number).filled(
                (cell,), at_home.get((number, column), ())
            )
            for (column, label), cell in zip(COLUMNS.items(), row, strict=True)
        )
        for number, row in enumerate((*told, *[Row("", "")] * max(blank, 0)), start=1)
    )
    error = Field(ERROR, "How well is the dial read?", _ABOUT_THE_ERROR.format(_ERROR_IN[unit]))
    return ReadingsForm(
        rows, error.filled(answers.get(ERROR, ()), at_home.get((0, ERROR), ())), tuple(others)
    )


def _asked_for(answers: Values) -> int:
    """Return how many rows the form is asked to show; none where that cannot be read."""
    text = "".join(answers.get(ROWS_SHOWN, ()))
    return int(text) if text.isascii() and text.isdigit() and len(text) < 4 else 0
