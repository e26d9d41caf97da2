"""How the values of a question are read from text, whoever asks: the command line or the page."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING, NamedTuple, TypeVar

from freqplan.changes import Notch, Trial
from freqplan.csvfile import is_bare
from freqplan.decibel import parse_decibel
from freqplan.errors import FreqplanError, PlanError, shortened
from freqplan.hertz import HZ_IN, QuantityError, parse_hertz

if TYPE_CHECKING:
    from freqplan.plan import Plan

Value = TypeVar("Value")

MOST_LOSS_DB = 200
LONGEST_NUMBER = 40
_BARE = re.compile(r"[0-9]+(\.[0-9]+)?", re.ASCII)
_ORDERS = re.compile(r"\s*([0-9]{1,4})\s*,\s*([0-9]{1,4})\s*", re.ASCII)


class Dialled(NamedTuple):
    """A dial setting, and what was assumed to read it; empty where nothing was."""

    dial_hz: int
    remark: str


def is_number(text: str) -> bool:
    """Return whether a text is a number of digits without sign and unit, and of sane length."""
    return len(text) <= LONGEST_NUMBER and _BARE.fullmatch(text) is not None


def read_hertz(text: str, name: str) -> int:
    """Read a frequency written with its unit; `name` is what messages call it.

    Raises
    ------
    FreqplanError
        It is none.
    """
    return _read(parse_hertz, text, name)


def read_decibel(text: str, name: str) -> float:
    """Read a ratio written with its unit [dB]; `name` is what messages call it.

    Raises
    ------
    FreqplanError
        It is none.
    """
    return _read(parse_decibel, text, name)


def _read(parse: Callable[[str], Value], text: str, name: str) -> Value:
    try:
        return parse(text)
    except QuantityError as error:
        raise FreqplanError(f"{name} {shortened(text)!r}: {error}") from None


def read_loss(text: str, name: str) -> float:
    """Read how much something takes off [dB].

    Raises
    ------
    FreqplanError
        It is no ratio, or takes nothing off, or more than anything does.
    """
    loss = read_decibel(text, name)
    if not 0 < loss <= MOST_LOSS_DB:
        raise FreqplanError(
            f'{name} {shortened(text)!r}: must be above 0 and at most {MOST_LOSS_DB} dB; write for example "10 dB"'
        )
    return loss


def read_orders(text: str, name: str, example: str) -> tuple[int, int]:
    """Read M,N.

    Raises
    ------
    FreqplanError
        It is not two numbers.
    """
    match = _ORDERS.fullmatch(text)
    if match is None:
        raise FreqplanError(f"{name} {shortened(text)!r}: not two orders; write for example {example}")
    return int(match[1]), int(match[2])


def read_trial(pad: str | None, notches: tuple[str, ...], names: tuple[str, str]) -> Trial:
    """Read what is to be tried between aerial and set.

    Parameters
    ----------
    pad : str or None
        Loss of a pad.
    notches : tuple of str
        Frequency and depth of each trap, a comma between.
    names : (str, str)
        What messages call the two.

    Raises
    ------
    FreqplanError
        One of them cannot be read.
    """
    traps = []
    for text in notches:
        where, comma, depth = text.rpartition(",")
        if not comma:
            raise FreqplanError(
                f"{names[1]} {shortened(text)!r}: frequency and depth are needed; "
                'write for example "101.2 MHz,30 dB"'
            )
        hertz = read_hertz(where, names[1])
        if not hertz:
            raise FreqplanError(f"{names[1]} {shortened(text)!r}: zero is not a frequency")
        traps.append(Notch(hertz, read_loss(depth, names[1])))
    return Trial(read_loss(pad, names[0]) if pad is not None else 0.0, tuple(traps))


def read_dial(text: str, plan: Plan) -> Dialled:
    """Read a dial setting; a bare number is MHz or kHz, whichever lies inside the band.

    Raises
    ------
    FreqplanError
        It is no frequency, or could be MHz or kHz.
    """
    bare = text.strip()
    if not is_number(bare):
        return Dialled(read_hertz(text, "dial setting"), "")
    fitting = [unit for unit in ("MHz", "kHz") if _inside(bare, unit, plan)]
    if len(fitting) != 1:
        why = "could be MHz or kHz" if fitting else "lies inside the band neither in MHz nor in kHz"
        rounding, band = plan.rounding, plan.band
        reach = f"{rounding.fine(band.low_hz)}-{rounding.fine(band.high_hz)} {rounding.unit}"
        example = f"{rounding.dial(plan.middle_channel_hz)} {rounding.unit}"
        raise FreqplanError(
            f'dial setting {bare} {why}, {reach}; write it with its unit, such as "{example}"'
        )
    dial_hz = read_hertz(f"{bare} {fitting[0]}", "dial setting")
    return Dialled(dial_hz, f"dial setting {bare} taken as {bare} {fitting[0]}")


def _inside(number: str, unit: str, plan: Plan) -> bool:
    return plan.band.low_hz <= Fraction(number) * HZ_IN[unit] <= plan.band.high_hz


def with_unit(text: str, unit: str) -> str:
    """Return a quantity with its unit where it was written as a number alone."""
    return f"{text.strip()} {unit}" if text.strip() and is_bare(text) else text


@contextmanager
def faults_by_name(names: Mapping[str, str], orders: str) -> Iterator[None]:
    """Tell faults of a plan that somebody has changed by the names under which it was asked.

    Parameters
    ----------
    names : mapping
        From key of the plan to name.
    orders : str
        Name of the orders; which of them it is goes behind it.
    """
    try:
        yield
    except PlanError as error:
        raise PlanError(
            replace(fault, key=_name_of(fault.key, names, orders)) for fault in error.faults
        ) from None


def _name_of(key: str, names: Mapping[str, str], orders: str) -> str:
    if key.startswith("orders."):
        return f"{orders} ({key.removeprefix('orders.')})"
    return names.get(key.removesuffix("_hz"), key)
