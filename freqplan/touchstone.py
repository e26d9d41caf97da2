"""The points of a measured response: Touchstone files of one or two ports, read by scikit-rf."""

from __future__ import annotations

import io
import re
import warnings
from collections.abc import Iterator
from contextlib import redirect_stdout
from typing import Any

import numpy as np

from freqplan.decibel import Float64
from freqplan.errors import MissingExtraError
from freqplan.hertz import HIGHEST_HZ
from freqplan.sweepfile import LARGEST_DB, NUMBER, Trace, numbered

DATA_NEEDED = {
    1: "each line holds the frequency and 2 numbers of S11",
    2: "each line holds the frequency and 8 numbers, two for each of S11 S21 S12 S22",
}
OPTIONS_NEEDED = "check the option line, such as # MHz S DB R 50"
_NUMBER = re.compile(NUMBER, re.ASCII)
_DECIMAL_COMMA = re.compile(r"[0-9],[0-9]", re.ASCII)
_PORTS = re.compile(r"\[number of ports\]\s*([0-9]+)", re.ASCII)
_NUMBERS_OF_NOISE = 5


def read_touchstone(text: str, trace: Trace, *, ports: int) -> None:
    """Add the points of a Touchstone file to `trace`: S21, or the one trace of a file of one port.

    Parameters
    ----------
    text : str
        The whole content.
    trace : Trace
        Takes the points, faults and remarks.
    ports : int
        1 or 2, as the suffix of the file says.

    Raises
    ------
    MissingExtraError
        scikit-rf is not installed.

    Notes
    -----
    The lines are looked through first, because a misplaced number makes a reader take levels for frequencies.
    """
    lines = _data_lines(text, trace, ports)
    if trace.faults:
        return
    if not lines:
        trace.fault("no points", DATA_NEEDED[ports])
        return
    options = _option_line(text)
    if options is None:
        trace.remarks.append("no option line (#): taken as GHz, magnitude and angle, as the format lays down")
    frequency_hz, level_db = _read(text, trace, ports=ports, options=options)
    if len(frequency_hz) != len(lines) and not trace.faults:
        trace.fault("lines of data outside the network data", "delete what does not belong to the sweep")
    if not trace.faults:
        _add_points(lines, frequency_hz, level_db, trace)
    if ports == 1:
        trace.remarks.append("one port: its trace taken as a transmission, as scalar instruments save it")


def _data_lines(text: str, trace: Trace, ports: int) -> list[int]:
    """Return the lines that hold a point each; what is wrong with one becomes a fault."""
    lines: list[int] = []
    latest, width = -np.inf, 1 + 2 * ports**2
    for line, values in _values(text, trace, ports):
        if not _are_numbers(line, values, trace):
            continue
        if ports == 2 and len(values) == _NUMBERS_OF_NOISE and lines and float(values[0]) < latest:
            break  # Noise parameters follow the network data, and begin again at a lower frequency.
        if len(values) != width:
            hint = f"{DATA_NEEDED[ports]}: {width} numbers"
            trace.fault(f"{len(values)} numbers", hint, line=line, found=" ".join(values))
        elif float(values[0]) < latest:
            trace.fault("lower than the frequency before", "sort the lines", line=line, found=values[0])
        else:
            latest = float(values[0])
            lines.append(line)
    return lines


def _values(text: str, trace: Trace, ports: int) -> Iterator[tuple[int, list[str]]]:
    """Yield line and fields of the network data; in version 2 it stands between two keywords."""
    inside = True
    for line, content in numbered(_without_remarks(text)):
        keyword = content.lower()
        if keyword.startswith("["):
            if keyword.startswith(("[version]", "[noise data]", "[end]")):
                inside = False
            elif keyword.startswith("[network data]"):
                inside = True
            _check_keyword(line, keyword, trace, ports)
        elif content and inside and not content.startswith("#"):
            yield line, content.split()


def _check_keyword(line: int, keyword: str, trace: Trace, ports: int) -> None:
    match = _PORTS.match(keyword)
    if match and match[1].lstrip("0") != str(ports):
        hint = f"a file of one port ends in .s1p, of two in .s2p; this one ends in .s{ports}p"
        trace.fault("another number of ports than the suffix says", hint, line=line, found=match[1])
    if keyword.startswith("[matrix format]") and keyword.split()[2:] != ["full"]:
        trace.fault("only half of the matrix", "save the full matrix", line=line, found=keyword)


def _are_numbers(line: int, values: list[str], trace: Trace) -> bool:
    # Minus infinity is how programs write the decibels of nothing, such as the way back through an amplifier.
    wrong = next(
        (
            text
            for i, text in enumerate(values)
            if not _NUMBER.fullmatch(text) and (i == 0 or text.lower() != "-inf")
        ),
        None,
    )
    if wrong is None:
        return True
    if _DECIMAL_COMMA.search(wrong):
        what, hint = "decimal comma", "write decimals with a point, and blanks between the numbers"
    elif re.fullmatch(r"[+-]?(nan|inf|infinity)", wrong, re.IGNORECASE):
        what, hint = "not a finite number", "delete the line, or write an ordinary number"
    else:
        what, hint = "not a number", "write numbers with blanks between them; remarks begin with !"
    trace.fault(what, hint, line=line, found=wrong)
    return False


def _without_remarks(text: str) -> str:
    """Return the lines up to their exclamation marks: what some programs write behind it is read as data."""
    return "\n".join(line.partition("!")[0] for _, line in numbered(text))


def _option_line(text: str) -> int | None:
    return next((line for line, content in numbered(text) if content.startswith("#")), None)


def _read(text: str, trace: Trace, *, ports: int, options: int | None) -> tuple[Float64, Float64]:
    """Return frequency [Hz] and level [dB] of every point, each (k,); empty where it cannot be read."""
    # Text, never the file's name: given a name, scikit-rf first tries to run the file as a pickle.
    stream = io.StringIO(_without_remarks(text))
    stream.name = f"sweep.s{ports}p"
    # Quiet: it warns of numbers that are judged here, and as it is imported may print that it cannot draw.
    with warnings.catch_warnings(), np.errstate(all="ignore"), redirect_stdout(io.StringIO()):
        warnings.simplefilter("ignore")
        network_class = _network_class(trace.source)
        try:
            network = network_class(stream)
            level_db = 20 * np.log10(np.abs(network.s[:, ports - 1, 0]))
            return np.asarray(network.f, dtype=np.float64), np.asarray(level_db, dtype=np.float64)
        except Exception as error:  # The numbers are sound, so that only options or keywords can be amiss.
            reason = " ".join(str(error).removeprefix("ERROR:").split()) or type(error).__name__
            trace.fault(f"not readable as Touchstone ({reason})", OPTIONS_NEEDED, line=options)
            return np.empty(0), np.empty(0)


def _network_class(source: str) -> Any:
    try:
        import skrf
    except ImportError as error:
        raise MissingExtraError(
            f"{source}: reading Touchstone files needs scikit-rf; install freqplan[touchstone], "
            "or save the sweep as a two-column CSV"
        ) from error
    return skrf.Network


def _add_points(lines: list[int], frequency_hz: Float64, level_db: Float64, trace: Trace) -> None:
    if np.all(np.isneginf(level_db)):
        trace.fault("nothing comes through: every value is zero", "was S21 measured, and not S12?")
        return
    for line, hertz, level in zip(lines, frequency_hz.tolist(), level_db.tolist(), strict=True):
        if not 0 <= hertz <= HIGHEST_HZ:
            what = "negative frequency" if hertz < 0 else "above 300 GHz"
            trace.fault(what, OPTIONS_NEEDED, line=line, found=f"{hertz:.12g} Hz")
        elif round(hertz) > 0:  # A level at zero frequency says nothing of a radio signal.
            # Zero, minus infinity in dB, is less than the instrument could see.
            trace.add(line, round(hertz), LARGEST_DB if level == -np.inf else -level, key="")
