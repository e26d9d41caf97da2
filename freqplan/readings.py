"""What the dial reads against what plays there."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from freqplan.arguments import checked
from freqplan.csvfile import Source, content, hertz_faults
from freqplan.errors import Fault, ReadingsError
from freqplan.hertz import Int64
from freqplan.mixing import tunings
from freqplan.plan_reading import hertz_text
from freqplan.readingsfile import MOST_READINGS, ReadingsFile
from freqplan.words import span

if TYPE_CHECKING:
    from freqplan.plan import Plan

BEYOND = 4
"""A scale goes beyond the band by this part of its width at most, on either side."""


@dataclass(frozen=True, eq=False)
class Readings:
    """Readings in the order of their source; the arrays are read-only.

    Attributes
    ----------
    reads_hz : (k,) int64 [Hz]
        Where the dial stands.
    is_hz : (k,) int64 [Hz]
        Carrier of the station that plays there.
    source : str
        File name, ``<stdin>``, or empty when the readings came from Python.
    remarks : tuple of str
        What was passed over or assumed while reading.
    stations : tuple of str
        What the stations are called, empty texts where nothing is written; none at all when from Python.
    lines : tuple of int
        Line of each in the source; none when from Python.

    Raises
    ------
    ReadingsError
        No readings or more than 50, arrays of unequal length, or a value that is no frequency.
    """

    reads_hz: Int64
    is_hz: Int64
    source: str = ""
    remarks: tuple[str, ...] = ()
    stations: tuple[str, ...] = ()
    lines: tuple[int, ...] = ()

    def __post_init__(self) -> None:
        faults = []
        for name in ("reads_hz", "is_hz"):
            given = list(getattr(self, name))
            faults += hertz_faults(name, given)
            if not faults:
                # Copies, so that nobody who holds the arrays given can change readings others rely on.
                values = np.array(given, dtype=np.int64)
                values.flags.writeable = False
                object.__setattr__(self, name, values)
        lengths = len(self.reads_hz), len(self.is_hz)
        if lengths[0] != lengths[1]:
            faults.append(Fault(f"{lengths[0]} dial settings for {lengths[1]} stations", "give one for each"))
        elif not 1 <= lengths[0] <= MOST_READINGS:
            faults.append(Fault(f"{lengths[0]} readings", f"give 1 to {MOST_READINGS}"))
        if faults:
            raise ReadingsError(faults)

    def __len__(self) -> int:
        return len(self.reads_hz)

    @classmethod
    def from_pairs(cls, pairs: Iterable[tuple[int, int]]) -> Readings:
        """Make readings from pairs of whole hertz, each where the dial stands and what plays there.

        Raises
        ------
        ReadingsError
            As above.
        """
        given = list(pairs)
        return cls(
            np.array([reads for reads, _ in given], dtype=object),
            np.array([is_ for _, is_ in given], dtype=object),
        )

    def place(self, index: int, column: str) -> tuple[int | None, str]:
        """Return the line and the column of a value, for a message; `column` is ``reads`` or ``is``."""
        line = self.lines[index] if self.lines else None
        return line, column if self.lines else f"{column}_hz[{index}]"


@checked
def load_readings(path_or_file: Source) -> Readings:
    """Read dial readings from CSV.

    Parameters
    ----------
    path_or_file : str, path or open file
        ``-`` is standard input. A header row names the columns ``reads_mhz`` and ``is_mhz`` (or with ``_khz``, or
        ``reads`` and ``is`` with the unit in each cell), optionally ``station``; the delimiter is a comma, a
        semicolon or a tab.

    Returns
    -------
    Readings
        Order of the file; readings that repeat others are kept, for each counts.

    Raises
    ------
    ReadingsError
        Every fault of the list at once, with line and column.
    """
    source, data = content(path_or_file, ReadingsError)
    file = ReadingsFile(data, source)
    if file.faults:
        raise ReadingsError(file.faults)
    reads, stations = ([getattr(row, name) for row in file.rows] for name in ("reads_hz", "is_hz"))
    return Readings(
        np.array(reads, dtype=np.int64),
        np.array(stations, dtype=np.int64),
        source,
        tuple(file.remarks),
        tuple(row.station for row in file.rows),
        tuple(row.line for row in file.rows),
    )


def off_the_scale(plan: Plan, readings: Readings) -> Iterator[Fault]:
    """Yield a fault for each reading beyond the scale of a set, and each station far below or above its band."""
    band, rounding = plan.band, plan.rounding
    more = (band.high_hz - band.low_hz) // BEYOND
    hint = f"check number and unit; the band is {span(band.low_hz, band.high_hz, rounding)} {rounding.unit}"
    pairs = zip(readings.reads_hz.tolist(), readings.is_hz.tolist(), strict=True)
    for i, (reads_hz, is_hz) in enumerate(pairs):
        runs = all(tuning.oscillator_hz(reads_hz) > 0 for tuning in tunings(plan))
        on_the_scale = runs and band.low_hz - more <= reads_hz <= band.high_hz + more
        possible = band.low_hz // 2 <= is_hz <= 2 * band.high_hz
        for good, hertz, column, what in (
            (on_the_scale, reads_hz, "reads", "off the scale of the set"),
            (possible, is_hz, "is", "no station that a fault could bring in"),
        ):
            if not good:
                line, key = readings.place(i, column)
                yield Fault(what, hint, key=key, found=hertz_text(hertz), source=readings.source, line=line)
