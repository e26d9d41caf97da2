"""The points of a measured response: CSV in two columns, as instruments and people write it."""

from __future__ import annotations

import csv
import difflib
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from decimal import Decimal

from freqplan.errors import Fault
from freqplan.hertz import HIGHEST_HZ, HZ_IN, LONGEST_QUANTITY, QuantityError, parse_hertz, quoted

LARGEST_SWEEP = 5_000_000
"""Bytes: a hundred thousand points fit, a wrong file picked by mistake does not."""

LARGEST_DB = 300.0
"""Neither way does an instrument show more."""

LEAST_LOSS_DB = 3.0
"""Levels that start above this and are never negative are rather the gain of an amplifier than a loss."""

UNIT_OF = {"frequency_mhz": "MHz", "frequency_khz": "kHz", "frequency_hz": "Hz", "frequency": ""}
"""The unit of a bare number; empty where the name does not tell it."""

SIGN_OF = {"gain_db": -1, "s21_db": -1, "loss_db": 1, "attenuation_db": 1, "db": 0}
"""What turns a level into a loss; 0 where the name does not tell which it is."""

NEEDED = "write rows of a frequency and a level, under a header row such as frequency_mhz,gain_db"
COLUMNS_NEEDED = (
    "name the first column frequency_mhz, frequency_khz, frequency_hz or frequency, the second gain_db, "
    "s21_db, loss_db or attenuation_db, and begin remarks with #"
)
NUMBER = r"[+-]?(?:[0-9]{1,20}(?:\.[0-9]{0,20})?|\.[0-9]{1,20})(?:[eE][+-]?[0-9]{1,3})?"
_NUMBER_AND_UNIT = re.compile(rf"({NUMBER})\s*([A-Za-z/]*)", re.ASCII)
_LEVEL = re.compile(rf"({NUMBER})\s*(?:dB)?", re.ASCII | re.IGNORECASE)
_DECIMAL_COMMA = re.compile(r"([+-]?[0-9]+),([0-9]+)", re.ASCII)
_NOT_FINITE = re.compile(r"[+-]?(nan|inf|infinity)", re.IGNORECASE)
_NEW_LINE = re.compile(r"\r\n|\r|\n")


@dataclass(frozen=True)
class Point:
    """One point as read: the line it stands on, its frequency, and the loss against any reference."""

    line: int
    frequency_hz: int
    loss_db: float


@dataclass
class Trace:
    """What reading a file has brought so far."""

    source: str
    points: list[Point] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)

    def fault(self, what: str, hint: str, *, line: int | None = None, key: str = "", found: str = "") -> None:
        """Note one thing wrong; see `Fault`."""
        self.faults.append(Fault(what, hint, key=key, found=found, source=self.source, line=line))

    def add(self, line: int, frequency_hz: int, loss_db: float, *, key: str) -> None:
        """Note one point, or the fault that its level is beyond what can be measured."""
        if abs(loss_db) <= LARGEST_DB:
            self.points.append(Point(line, frequency_hz, loss_db))
        else:
            what = f"a level beyond {LARGEST_DB:g} dB cannot be measured"
            self.fault(what, "check the number", line=line, key=key, found=f"{abs(loss_db):g} dB")


def decoded(data: bytes, trace: Trace) -> str:
    """Return the text of a file, empty where it is none, which then is a fault."""
    if len(data) > LARGEST_SWEEP:
        trace.fault("larger than 5 MB", "is this a sweep? save fewer points")
    elif b"\0" in data:
        trace.fault("not a text file", "save the sweep as CSV, in UTF-8")
    elif not data.strip(b"\xef\xbb\xbf \t\r\n"):
        trace.fault("the file is empty", "save the sweep again, as Touchstone or as a two-column CSV")
    if trace.faults:
        return ""
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("latin-1")  # Only remarks hold accents, and they are skipped.


def numbered(text: str) -> Iterator[tuple[int, str]]:
    """Yield the number and the content of each line."""
    for index, line in enumerate(_NEW_LINE.split(text)):
        yield index + 1, line.strip()


def read_csv(text: str, trace: Trace) -> None:
    """Add the points of a file in two columns to `trace`.

    Parameters
    ----------
    text : str
        The whole content.
    trace : Trace
        Takes the points, faults and remarks.
    """
    rows = list(_rows(text, trace))
    columns = Columns()
    if rows and not _is_data(rows[0][1][0]):
        columns = _header(*rows.pop(0), trace)
    if not rows and not trace.faults:
        trace.fault("no points", NEEDED)
    if trace.faults:
        return
    for line, fields in rows:
        _read_row(line, fields, columns, trace)
    if columns.unit == "" and not all(fields[0][-1:].isalpha() for _, fields in rows):
        trace.remarks.append("frequencies without a unit taken as MHz")
    _turn_into_losses(columns.level, trace)


@dataclass(frozen=True)
class Columns:
    """What the header row calls the two columns."""

    frequency: str = "first column"
    level: str = "second column"

    @property
    def unit(self) -> str:
        """Return the unit of a bare number, or empty where the column does not tell."""
        return UNIT_OF.get(self.frequency, "")


def _rows(text: str, trace: Trace) -> Iterator[tuple[int, list[str]]]:
    """Yield the line and the fields, at least two, of each row."""
    delimiter = ""
    for line, content in numbered(text):
        if not content.strip(",; \t") or content[0] in "#!":
            continue
        delimiter = delimiter or _delimiter(content)
        try:
            fields = [part.strip() for part in next(csv.reader([content], delimiter=delimiter))]
        except csv.Error as error:
            trace.fault(f"cannot be split into fields ({error})", NEEDED, line=line)
            continue
        yield line, fields + [""] * (2 - len(fields))


def _delimiter(content: str) -> str:
    """Return the delimiter that leaves more than one field; a comma last, for it may be a decimal one."""
    for delimiter in ("\t", ";"):
        if sum(bool(part.strip()) for part in content.split(delimiter)) > 1:
            return delimiter
    return ","


def _is_data(text: str) -> bool:
    return bool(re.match(r"[+-]?[.,]?[0-9]", text) or _NOT_FINITE.fullmatch(text))


def _header(line: int, fields: list[str], trace: Trace) -> Columns:
    if any(fields[2:]):
        hint = "keep the frequency and one level in dB"
        trace.fault("more than two columns", hint, line=line, found=", ".join(fields))
        return Columns()
    # So that "Frequency (MHz)" is known as well as frequency_mhz.
    names = [re.sub(r"[^a-z0-9]+", "_", title.casefold()).strip("_") for title in fields]
    for title, name, known in zip(fields, names, (tuple(UNIT_OF), tuple(SIGN_OF)), strict=False):
        if name not in known:
            what = "unknown column" if title else "no second column"
            close = difflib.get_close_matches(name[:40], known, n=1, cutoff=0.7)
            meant = f"; {quoted(title)} is meant to be {close[0]}?" if close else ""
            trace.fault(what, COLUMNS_NEEDED + meant, line=line, found=title)
    return Columns(names[0], names[1])


def _read_row(line: int, fields: list[str], columns: Columns, trace: Trace) -> None:
    if any(fields[2:]):
        hint = "a decimal comma? write 98.5 with a point, and only the frequency and one level in a row"
        trace.fault("more than two fields", hint, line=line, found=", ".join(fields))
        return
    frequency_hz = level_db = None
    try:
        frequency_hz = whole_hertz_of(fields[0], columns.unit)
    except QuantityError as error:
        trace.fault(error.what, error.hint, line=line, key=columns.frequency, found=fields[0])
    try:
        level_db = _level(fields[1])
    except QuantityError as error:
        trace.fault(error.what, error.hint, line=line, key=columns.level, found=fields[1])
    if frequency_hz is not None and level_db is not None:
        trace.add(line, frequency_hz, level_db, key=columns.level)


def whole_hertz_of(text: str, unit: str) -> int:
    """Return a frequency above zero, rounded to whole hertz: a sweep gives levels, and decides no frequency.

    Parameters
    ----------
    text : str
        Number, in scientific notation too, with or without a unit.
    unit : str
        Of a bare number; empty is MHz.

    Raises
    ------
    QuantityError
        It is none, or not above zero, or above 300 GHz.
    """
    match = _NUMBER_AND_UNIT.fullmatch(text)
    if match is None or len(text) > LONGEST_QUANTITY or (match[2] and match[2] not in HZ_IN):
        _refuse_not_finite(text)
        bare = not any(sign.isalpha() for sign in text)
        parse_hertz(f"{text} {unit or 'MHz'}" if text and bare else text)
        raise QuantityError("not a frequency", "write a number, such as 98.5")
    hertz = Decimal(match[1]) * HZ_IN[match[2] or unit or "MHz"]
    if hertz > HIGHEST_HZ:
        given = match[2] or unit
        raise QuantityError(
            "above 300 GHz", "check the unit" if given else "name the column frequency_hz or frequency_khz"
        )
    if hertz <= 0:
        raise QuantityError("not above zero", "write the frequency, such as 98.5")
    if round(hertz) == 0:
        raise QuantityError("less than one hertz", "check the unit")
    return round(hertz)


def _level(text: str) -> float:
    match = _LEVEL.fullmatch(text)
    if match is not None:
        return float(match[1])
    _refuse_not_finite(text)
    comma = _DECIMAL_COMMA.match(text)
    if comma:
        raise QuantityError("decimal comma", f'write "{comma[1]}.{comma[2]}" with a point')
    if not text:
        raise QuantityError("no level", "write it in dB, or delete the row")
    raise QuantityError("not a number", "write the level in dB, such as -3.2")


def _refuse_not_finite(text: str) -> None:
    if _NOT_FINITE.fullmatch(text):
        raise QuantityError("not a finite number", "delete the row, or write an ordinary number")


def _turn_into_losses(level: str, trace: Trace) -> None:
    """Give every point its loss, as the name of the column says, or else the numbers themselves."""
    given_db = [point.loss_db for point in trace.points]
    sign = SIGN_OF.get(level, 0)
    if not given_db:
        return
    if sign == 0:
        sign = 1 if 0 <= min(given_db) < LEAST_LOSS_DB else -1
        taken, other = (
            ("loss", "gain_db if less is weaker") if sign > 0 else ("gain", "loss_db if more is weaker")
        )
        trace.remarks.append(f"levels taken as {taken}; name the column {other}")
    elif sign > 0 and max(given_db) < 0:
        trace.remarks.append(f"every {level} is negative; name the column gain_db if less is weaker")
    trace.points = [Point(point.line, point.frequency_hz, sign * point.loss_db) for point in trace.points]
