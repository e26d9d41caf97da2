"""Who is on the air here and how strong: the station list as people keep it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import numpy.typing as npt

from freqplan.arguments import checked
from freqplan.csvfile import Source, content, hertz_faults
from freqplan.decibel import Float64
from freqplan.errors import Fault, StationsError
from freqplan.fields import DIPOLE_OHM, dipole_dbuv, field_dbuvm
from freqplan.hertz import Int64, decimal_text
from freqplan.stationfile import QUANTITIES, Row, StationFile


@dataclass(frozen=True, eq=False)
class StationList:
    """Stations in the order of their source, one entry each; arrays are read-only.

    Attributes
    ----------
    source : str
        File name, ``<stdin>``, or empty when the list came from Python.
    names : tuple of str
        Exactly as written; the frequency stands in for a missing name.
    frequency_hz : (k,) int64 [Hz]
        Carrier frequencies; several stations may share one.
    level_dbuv : (k,) float64 [dB(uV)]
        Level at the aerial terminal; NaN where unknown, here and below.
    erp_kw, distance_km : (k,) float64 [kW, km]
        Effective radiated power and distance of the transmitter.
    remarks : tuple of str
        What was passed over or assumed while reading.
    """

    source: str
    names: tuple[str, ...]
    frequency_hz: Int64
    level_dbuv: Float64
    erp_kw: Float64
    distance_km: Float64
    remarks: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        # Copies, so that nobody who holds the arrays given can change a list others rely on.
        for column in ("frequency_hz", *(quantity.column for quantity in QUANTITIES)):
            kind = np.int64 if column == "frequency_hz" else np.float64
            values = np.array(getattr(self, column), dtype=kind)
            values.flags.writeable = False
            object.__setattr__(self, column, values)
            if values.shape != (len(self.names),):
                what = f"{len(self.names)} names, but {column} of shape {values.shape}"
                raise StationsError([Fault(what, "give one value for each name", key=column)])

    @cached_property
    def rising(self) -> tuple[Int64, Int64]:
        """Return the places of the stations by rising frequency, and those frequencies [Hz]; each (k,)."""
        places = np.argsort(self.frequency_hz, kind="stable")
        return places, self.frequency_hz[places]

    def names_at(self, places: Int64) -> np.ndarray:
        """Return the names at some places of the list (k,), None at place -1."""
        names: np.ndarray = np.array([*self.names, None], dtype=object)[places]
        return names

    def terminal_dbuv(self, impedance_ohm: float) -> Float64:
        """Return the level at an aerial terminal of some impedance [dB(uV)], NaN where unknown; (k,).

        The one listed, or else, from 30 MHz upwards, that of a half-wave dipole in free space, matched: a ceiling.
        """
        reckoned = dipole_dbuv(field_dbuvm(self.erp_kw, self.distance_km), self.frequency_hz, impedance_ohm)
        return np.where(np.isnan(self.level_dbuv), reckoned, self.level_dbuv)

    @property
    def reckoned(self) -> npt.NDArray[np.bool_]:
        """Return where the level at the terminal comes from power and distance; (k,)."""
        known: npt.NDArray[np.bool_] = np.isnan(self.level_dbuv) & ~np.isnan(self.terminal_dbuv(DIPOLE_OHM))
        return known

    def weakened(self, by_db: Float64, impedance_ohm: float) -> StationList:
        """Return the list with every level at such a terminal lower by `by_db` (k,) [dB]."""
        return replace(self, level_dbuv=self.terminal_dbuv(impedance_ohm) - by_db)

    def __len__(self) -> int:
        return len(self.names)

    @classmethod
    def from_frequencies(
        cls,
        hz: Iterable[int],
        names: Iterable[str] | None = None,
        *,
        level_dbuv: Iterable[float | None] | None = None,
    ) -> StationList:
        """Make a list from whole hertz.

        Parameters
        ----------
        hz : iterable of int [Hz]
            Carrier frequencies, above 0 and up to 300 GHz.
        names : iterable of str, optional
            One for each; the frequencies themselves when absent.
        level_dbuv : iterable of float or None [dB(uV)], optional
            Level at the aerial terminal, None or NaN where unknown.

        Raises
        ------
        StationsError
            A frequency is not a whole number of hertz or out of range, or the lengths differ.
        """
        given = list(hz)
        heard = [] if level_dbuv is None else list(level_dbuv)
        faults = hertz_faults("frequency_hz", given)
        faults += [_level_fault(index, value) for index, value in enumerate(heard) if not _is_level(value)]
        if faults:
            raise StationsError(faults)
        unknown = np.full(len(given), np.nan)
        levels = unknown if level_dbuv is None else np.array(heard, dtype=np.float64)
        called = tuple(names) if names is not None else tuple(frequency_name(int(value)) for value in given)
        return cls("", called, np.array(given, dtype=np.int64), levels, unknown, unknown)


def _is_level(value: object) -> bool:
    if value is None:
        return True
    return isinstance(value, int | float | np.number) and not isinstance(value, bool) and not np.isinf(value)


def _level_fault(index: int, value: object) -> Fault:
    hint = "give a number of dB(uV) such as 54.0, or None where it is unknown"
    return Fault("not a level", hint, key=f"level_dbuv[{index}]", found=repr(value))


def frequency_name(frequency_hz: int) -> str:
    """Write a frequency as the name of a station that has none, such as ``101.2 MHz`` or ``531 kHz``."""
    if frequency_hz < 30_000_000:
        return decimal_text(frequency_hz, unit_hz=1000, decimals=0, extra=3) + " kHz"
    return decimal_text(frequency_hz, unit_hz=1_000_000, decimals=1, extra=5) + " MHz"


@checked
def load_stations(path_or_file: Source) -> StationList:
    """Read a station list from CSV.

    Parameters
    ----------
    path_or_file : str, path or open file
        ``-`` is standard input. A header row names the columns ``name`` and ``frequency_mhz`` (or
        ``frequency``, with unit), optionally ``level_dbuv``, ``erp_kw`` and ``distance_km``; the
        delimiter is a comma, a semicolon or a tab.

    Returns
    -------
    StationList
        Order of the file; rows that repeat an earlier one in everything are left out, with a remark.

    Raises
    ------
    StationsError
        Every fault of the list at once, with line and column.
    """
    source, data = content(path_or_file, StationsError)
    file = StationFile(data, source)
    if file.faults:
        raise StationsError(file.faults)
    return listed_stations(source, file.rows, tuple(file.remarks))


def listed_stations(source: str, rows: Sequence[Row], remarks: tuple[str, ...] = ()) -> StationList:
    """Return rows of a file as a list; the frequency stands in for a missing name."""
    levels, powers, distances = (
        np.array([row.quantities[i] for row in rows], dtype=np.float64) for i in range(len(QUANTITIES))
    )
    names = tuple(row.name if row.name.strip() else frequency_name(row.frequency_hz) for row in rows)
    frequency_hz = np.array([row.frequency_hz for row in rows], dtype=np.int64)
    return StationList(source, names, frequency_hz, levels, powers, distances, remarks)
