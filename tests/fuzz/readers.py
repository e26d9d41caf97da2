"""What is fuzzed: each reader as a function of bytes that may raise nothing but the package's own errors.

Besides crashes it is a fault when a message is not short and printable, or when what was read does not
stand a simple law, such as reading back what was written.
"""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from hostile import acting

from freqplan.answers import load_answers
from freqplan.decibel import parse_decibel, parse_microseconds, parse_ohms
from freqplan.diagnoses import diagnose
from freqplan.dials import dial
from freqplan.errors import FreqplanError, SweepError
from freqplan.evidencefile import load_evidence
from freqplan.hertz import QuantityError, parse_hertz
from freqplan.lengths import millimetre_text, parse_micrometres
from freqplan.plan import Plan
from freqplan.plan_reading import hertz_text
from freqplan.planfile import load_plan
from freqplan.questions import read_dial, read_loss, read_orders, read_trial
from freqplan.readings import load_readings
from freqplan.stations import load_stations
from freqplan.surveys import survey
from freqplan.sweepfile import Trace, decoded, read_csv
from freqplan.tables import render

DEMO = Path(__file__).resolve().parents[2] / "plans_demo"
LONGEST_LINE = 600
"""Signs of one line of a message at most."""

FEW_ORDERS = 3
"""Orders of plans that are surveyed while fuzzing, so that it stays fast."""


@dataclass(frozen=True)
class Reader:
    """One entry point and texts to begin with."""

    read: Callable[[bytes], object]
    seeds: tuple[bytes, ...]
    longest: int = 4000


def checked(reader: Reader, data: bytes) -> bool:
    """Return whether `data` was read, or else refused in a proper message; anything else is raised.

    Raises
    ------
    Exception
        What came out of the reader and should not, or AssertionError for a message that is none.
    """
    try:
        reader.read(data)
    except (FreqplanError, QuantityError) as error:
        _check_message(error)
        return False
    return True


def _check_message(error: Exception) -> None:
    for line in str(error).split("\n"):
        assert 0 < len(line) <= LONGEST_LINE, f"a message of {len(line)} signs"
        assert line.isprintable(), f"a message that is not printable: {line!r}"


def _by_any(readings: tuple[Callable[[str], object], ...], data: bytes) -> None:
    """Read a text in every way there is; it counts as refused where all refuse it."""
    text, refused = data.decode("utf-8", "replace"), []
    for read in readings:
        try:
            read(text)
        except (FreqplanError, QuantityError) as error:
            _check_message(error)
            refused.append(error)
    if len(refused) == len(readings):
        raise refused[-1]


def _hertz_and_back(text: str) -> None:
    hertz = parse_hertz(text, signed=True)
    assert parse_hertz(hertz_text(hertz), signed=True) == hertz


def _length_and_back(text: str) -> None:
    length_um = parse_micrometres(text)
    assert parse_micrometres(millimetre_text(length_um)) == length_um


def _trial(text: str) -> None:
    pad, _, notches = text.partition(";")
    read_trial(pad, tuple(notches.split(";")), ("--pad", "--notch"))


def _plan(data: bytes) -> None:
    if b"response" not in data:  # It names a file, and files of this machine are no input of a fuzzer.
        load_plan(io.BytesIO(data))


def _survey(data: bytes) -> None:
    if b"response" in data:
        return
    plan = load_plan(io.BytesIO(data))
    few = (min(plan.orders.signal, FEW_ORDERS), min(plan.orders.oscillator, FEW_ORDERS))
    _shown(render(survey(plan.with_changes(orders=few), LISTED), "table"))


def _shown(text: str | bytes) -> None:
    assert not acting(str(text)), f"signs that act on a terminal: {acting(str(text))!r}"


def _evidence(data: bytes) -> None:
    _shown(render(diagnose(FM, load_evidence(io.BytesIO(data)), TOWN), "table"))


def _readings(data: bytes) -> None:
    _shown(render(dial(FM, load_readings(io.BytesIO(data))), "table"))


def _sweep(data: bytes) -> None:
    trace = Trace("sweep.csv")
    text = decoded(data, trace)
    if not trace.faults:
        read_csv(text, trace)
    if trace.faults:
        raise SweepError(trace.faults)


def _plan_of(**values: object) -> Plan:
    return Plan.from_file_keys(values)


FM = _plan_of(
    band={"low": "87.5 MHz", "high": "108 MHz"},
    conversion=[{"intermediate": "10.7 MHz", "oscillator": "high"}],
)
AM = _plan_of(
    band={"low": "526.5 kHz", "high": "1606.5 kHz", "first_channel": "531 kHz"},
    conversion=[{"intermediate": "455 kHz", "oscillator": "high"}],
)
LISTED = load_stations(DEMO / "valley.csv")
TOWN = load_stations(DEMO / "orvessa.csv")


def _files(*patterns: str) -> tuple[bytes, ...]:
    return tuple(file.read_bytes() for pattern in patterns for file in sorted(DEMO.glob(pattern)))


QUANTITIES = (
    _hertz_and_back, _length_and_back, parse_decibel, partial(parse_decibel, unit="dBm"),
    partial(parse_decibel, unit="dBuV"), parse_microseconds, parse_ohms,
)  # fmt: skip
QUESTIONS = (
    partial(read_orders, name="--orders", example='"--orders 5,5"'), partial(read_loss, name="--reject"),
    partial(read_dial, plan=FM), partial(read_dial, plan=AM), _trial,
)  # fmt: skip
_PLANS = tuple(seed for seed in _files("*.toml") if b"[band]" in seed)

READERS = {
    "quantity": Reader(
        partial(_by_any, QUANTITIES),
        (b"10.7 MHz", b"-455 kHz", b"98,1 MHz", b"10.7 Mc/s", b"54 dBuV", b"-30 dBm", b"165 mm", b"75 ohm",
         b"50 us", b"dB(\xc2\xb5V)", b"1e400 MHz", b"0.1 Hz", b"nan MHz"),
        100,
    ),
    "question": Reader(
        partial(_by_any, QUESTIONS),
        (b"98.1", b"936 kHz", b"5,5", b"10 dB", b"10 dB;101.2 MHz,30 dB", b"98,1", b"120 MHz"),
        200,
    ),
    "plan": Reader(_plan, _PLANS),
    "stations": Reader(lambda data: load_stations(io.BytesIO(data)), _files("orvessa*.csv", "valley.csv")),
    "evidence": Reader(lambda data: load_evidence(io.BytesIO(data)), _files("*-heard.toml")),
    "readings": Reader(lambda data: load_readings(io.BytesIO(data)), _files("*-readings.csv")),
    "answers": Reader(lambda data: load_answers(io.BytesIO(data)), _files("*-answers.csv")),
    "sweep": Reader(_sweep, _files("*-front-end.csv")),
    "surveyed": Reader(_survey, _PLANS, 2500),
    "diagnosed": Reader(_evidence, _files("*-heard.toml"), 2000),
    "dialled": Reader(_readings, _files("*-readings.csv"), 1000),
}  # fmt: skip
"""Entry points by name: the readers first, then what answers from what was read."""
