"""What a front end loses against frequency, as measured on the bench."""

from __future__ import annotations

import os
import re
import stat
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
import numpy.typing as npt

from freqplan.errors import Fault, SweepError
from freqplan.hertz import HZ_IN, Int64, decimal_text
from freqplan.sweepfile import LARGEST_SWEEP, Point, Trace, decoded, read_csv
from freqplan.touchstone import read_touchstone

COARSE_DB = 1.0
"""Between points where a straight line may be off by more than this, the loss is unknown."""

NOISE_DB = 70.0
"""From here down instruments show mostly their own noise, whose bends mean nothing."""

LEAST_POINTS = 3
MOST_FAULTS = 50
"""A wrong setting spoils every line of a long file; this many show it."""

Float64 = npt.NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Sweep:
    """A measured response, its points by rising frequency; arrays are read-only.

    Attributes
    ----------
    source : str
        File name, or empty when the points came from Python.
    frequency_hz : (p,) int64 [Hz]
        At least three, rising.
    loss_db : (p,) float64 [dB]
        Against the least loss of the sweep, where it is 0.
    remarks : tuple of str
        What was passed over or assumed while reading.

    Raises
    ------
    SweepError
        The arrays break one of these rules.
    """

    source: str
    frequency_hz: Int64
    loss_db: Float64
    remarks: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        # Copies, so that nobody who holds the arrays given can change a sweep others rely on.
        frequency_hz = np.array(self.frequency_hz, dtype=np.int64)
        loss_db = np.array(self.loss_db, dtype=np.float64)
        what = _broken_rule(frequency_hz, loss_db)
        if what:
            raise SweepError([Fault(what, "give points by rising frequency", source=self.source)])
        frequency_hz.flags.writeable = loss_db.flags.writeable = False
        object.__setattr__(self, "frequency_hz", frequency_hz)
        object.__setattr__(self, "loss_db", loss_db)

    def at(self, signal_hz: npt.ArrayLike) -> Float64:
        """Return the loss, by straight lines in dB between neighbouring points.

        Parameters
        ----------
        signal_hz : array_like of any shape [Hz]
            Floats will do, for nothing is decided by them.

        Returns
        -------
        float64 array of the same shape [dB]
            NaN below the first point, above the last one, and inside an interval that is too coarse; on a
            point itself always what was measured.
        """
        signal = np.asarray(signal_hz, dtype=np.float64)
        loss = np.interp(signal, self.frequency_hz, self.loss_db, left=np.nan, right=np.nan)
        return np.where(self._between_coarse(signal), np.nan, loss)

    def least_db(self, low_hz: Float64, high_hz: Float64) -> Float64:
        """Return the least loss between two frequencies, by straight lines, coarse intervals or not; (k,) [dB].

        Beyond its ends the sweep goes on as it ends there.
        """
        least = np.minimum(*(np.interp(each, self.frequency_hz, self.loss_db) for each in (low_hz, high_hz)))
        first = np.searchsorted(self.frequency_hz, low_hz)
        last = np.searchsorted(self.frequency_hz, high_hz, side="right")
        # Index pairs (first, last): the least of what lies between, or what stands there where that is nothing.
        pairs = np.stack([first, last], axis=-1).ravel()
        between = np.minimum.reduceat(np.append(self.loss_db, np.inf), pairs)[::2]
        return np.minimum(least, np.where(first < last, between, np.inf))

    def why_unknown(self, signal_hz: float) -> str:
        """Return why there is no loss at a frequency [Hz], as one clause; empty where there is one."""
        first, last = int(self.frequency_hz[0]), int(self.frequency_hz[-1])
        if signal_hz > last:
            return f"the sweep ends at {_named(last)}"
        if not signal_hz >= first:
            return f"the sweep begins at {_named(first)}"
        if not self._between_coarse(np.asarray(signal_hz, dtype=np.float64)):
            return ""
        place = int(self._interval(signal_hz))
        low, high = (int(hertz) for hertz in self.frequency_hz[place : place + 2])
        return f"the sweep is too coarse, with points {_named(high - low)} apart from {_named(low)}"

    @cached_property
    def coarse(self) -> npt.NDArray[np.bool_]:
        """Return which intervals between neighbouring points are too coarse; (p - 1,).

        Notes
        -----
        A straight line over an interval h is off by at most ``h^2/8 max |f''|`` (any text on numerical analysis;
        from memory).  f'' is estimated by divided second differences at both ends of the interval, and the larger
        counts; the first and the last interval have one only.  It is an estimate: one tuned circuit measured each
        f0/Q passes, with a peak up to 3 dB too low, and of a much narrower one the points show nothing.
        An interval with both ends in the noise is not judged.
        """
        step = np.diff(self.frequency_hz).astype(np.float64)
        slope = np.diff(self.loss_db) / step
        bend = np.pad(np.abs(2 * np.diff(slope) / (step[1:] + step[:-1])), 1)
        error_db = step**2 / 8 * np.maximum(bend[1:], bend[:-1])
        noise = np.minimum(self.loss_db[1:], self.loss_db[:-1]) > NOISE_DB
        too_coarse: npt.NDArray[np.bool_] = (error_db > COARSE_DB) & ~noise
        return too_coarse

    def _interval(self, signal_hz: npt.ArrayLike) -> npt.NDArray[np.intp]:
        """Return in which interval a frequency lies, or else the nearest; the shape of `signal_hz`."""
        places = np.searchsorted(self.frequency_hz, signal_hz, side="right") - 1
        return np.clip(places, 0, len(self.frequency_hz) - 2)

    def _between_coarse(self, signal: Float64) -> npt.NDArray[np.bool_]:
        place = self._interval(signal)
        on_point = (signal == self.frequency_hz[place]) | (signal == self.frequency_hz[place + 1])
        between: npt.NDArray[np.bool_] = self.coarse[place] & ~on_point
        return between


def _broken_rule(frequency_hz: Int64, loss_db: Float64) -> str:
    if frequency_hz.ndim != 1 or frequency_hz.shape != loss_db.shape:
        return f"frequencies of shape {frequency_hz.shape}, but losses of shape {loss_db.shape}"
    if len(frequency_hz) < LEAST_POINTS:
        return f"a sweep needs at least {LEAST_POINTS} points"
    if frequency_hz[0] <= 0 or np.any(np.diff(frequency_hz) <= 0):
        return "frequencies must be above zero and rise"
    if not np.isfinite(loss_db).all() or loss_db.min() != 0:
        return "losses must be finite, and the least of them 0"
    return ""


def _named(frequency_hz: int) -> str:
    unit = "MHz" if frequency_hz >= HZ_IN["MHz"] else "kHz"
    return decimal_text(frequency_hz, unit_hz=HZ_IN[unit], decimals=0, extra=6) + f" {unit}"


def load_sweep(path: str | os.PathLike[str]) -> Sweep:
    """Read a measured response.

    Parameters
    ----------
    path : str or path
        ``.s1p`` and ``.s2p`` are Touchstone files, read by scikit-rf; any other is CSV in two columns:
        ``frequency_mhz`` (``_khz``, ``_hz``, or ``frequency`` with unit) and ``gain_db`` (``s21_db``) or
        ``loss_db`` (``attenuation_db``), the delimiter a comma, a semicolon or a tab.

    Returns
    -------
    Sweep
        By rising frequency, each rounded to whole hertz.  Content that has not changed is worked through once.

    Raises
    ------
    SweepError
        Every fault of the file at once, with line and column; beyond fifty, how many more.
    MissingExtraError
        A Touchstone file, and scikit-rf is not installed.
    """
    source = os.fspath(path)
    return _parsed(source, _content(source))


def _content(source: str) -> bytes:
    try:
        kind = os.stat(source).st_mode
        if stat.S_ISDIR(kind):
            raise SweepError([Fault("this is a folder", "name the file inside it", source=source)])
        if not stat.S_ISREG(kind):
            raise SweepError([Fault("not an ordinary file", "save the sweep as a file", source=source)])
        with open(source, "rb") as file:
            return file.read(LARGEST_SWEEP + 1)
    except SweepError:
        raise
    except (OSError, ValueError) as error:
        raise SweepError([_unreadable(source, error)]) from error


@lru_cache(maxsize=4)
def _parsed(source: str, data: bytes) -> Sweep:
    """Return the sweep; kept by its content, since dates of files are too coarse to show every change."""
    trace = Trace(source)
    text = decoded(data, trace)
    ports = re.search(r"\.s([0-9]+)p$", source.lower(), re.ASCII)
    if ports and ports[1] not in ("1", "2"):
        trace.fault("more ports than a response has", "save S21 as .s2p, or as a two-column CSV")
    elif ports and not trace.faults:
        read_touchstone(text, trace, ports=int(ports[1]))
    elif not trace.faults:
        read_csv(text, trace)
    return _sweep(trace)


def _unreadable(source: str, error: OSError | ValueError) -> Fault:
    if isinstance(error, FileNotFoundError):
        return Fault("there is no such file", "check the name and the folder", source=source)
    reason = (getattr(error, "strerror", None) or str(error)).lower()
    return Fault(f"cannot be read ({reason})", "check the name and the permissions", source=source)


def _sweep(trace: Trace) -> Sweep:
    """Return the sweep of the points read, or raise what is wrong with them."""
    points = _rising(trace)
    if len(points) < LEAST_POINTS and not trace.faults:
        hint = "measure more, close together around the resonance"
        trace.fault(f"a sweep needs at least {LEAST_POINTS} points", hint, found=str(len(points)))
    if trace.faults:
        faults = sorted(trace.faults, key=lambda fault: fault.line or 0)
        rest = len(faults) - MOST_FAULTS
        more = [Fault(f"{rest} more faults", "mend these first", source=trace.source)] if rest > 0 else []
        raise SweepError([*faults[:MOST_FAULTS], *more])
    loss_db = np.array([point.loss_db for point in points])
    frequency_hz = np.array([point.frequency_hz for point in points], dtype=np.int64)
    return Sweep(trace.source, frequency_hz, loss_db - loss_db.min(), tuple(trace.remarks))


def _rising(trace: Trace) -> list[Point]:
    """Return the points by rising frequency, each once; two levels at one frequency are a fault."""
    kept: dict[int, Point] = {}
    repeated = 0
    for point in trace.points:
        first = kept.setdefault(point.frequency_hz, point)
        if first.loss_db != point.loss_db:
            what = f"the frequency of line {first.line} with another level"
            trace.fault(what, "keep one of them", line=point.line, found=_named(point.frequency_hz))
        elif first is not point:
            repeated += 1
    if repeated:
        trace.remarks.append(f"repeated points left out: {repeated}")
    return sorted(kept.values(), key=lambda point: point.frequency_hz)
