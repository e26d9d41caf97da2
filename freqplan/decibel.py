"""Levels and times: text with a unit to a float, with the same kind of messages as `hertz`.

A name says which reference a level has: ``_db`` a ratio, ``_dbm`` against one milliwatt, ``_dbuv`` against
one microvolt.  Levels are floats, since they are measured; frequencies never are.
"""

from __future__ import annotations

import math
import re

import numpy as np
import numpy.typing as npt

from freqplan.hertz import LONGEST_QUANTITY, QuantityError, quoted

Float64 = npt.NDArray[np.float64]

MICROSECOND_SIGNS = ("us", "\N{MICRO SIGN}s", "\N{GREEK SMALL LETTER MU}s")
"""Ways to write a microsecond; keyboards differ in which mu they offer."""

MICROVOLT_SIGNS = tuple(
    form.format(mu)
    for form in ("dB{}V", "dB({}V)")
    for mu in ("u", "\N{MICRO SIGN}", "\N{GREEK SMALL LETTER MU}")
)
"""Ways to write a level against one microvolt: the usual one first, then the one of ITU texts and of the screens."""

OHM_SIGNS = ("ohm", "ohms", "\N{OHM SIGN}", "\N{GREEK CAPITAL LETTER OMEGA}")

DBUV_OF_MILLIWATT_IN_OHM = 90.0

_NUMBER_AND_UNIT = re.compile(r"([+-]?[0-9]+(?:\.[0-9]+)?)\s*(\S*)", re.ASCII)
_DECIMAL_COMMA = re.compile(r"[+-]?[0-9]+,[0-9]+\s*\S*", re.ASCII)


def parse_decibel(text: str, unit: str = "dB") -> float:
    """Read a level written with its unit.

    Parameters
    ----------
    text : str
        Such as ``"80 dB"`` or ``"-30 dBm"``; letter case counts, ASCII digits.
    unit : str
        The one unit allowed, such as ``"dB"``, ``"dBm"`` or ``"dBuV"`` (also written as dB(uV), and with a micro sign).

    Returns
    -------
    float
        The level in `unit`.

    Raises
    ------
    QuantityError
        Unit missing, misspelt or another one, decimal comma, or not a number.
    """
    return _parse(text, MICROVOLT_SIGNS if unit == MICROVOLT_SIGNS[0] else (unit,), "level")


def parse_microseconds(text: str) -> float:
    """Read a time constant such as ``"50 us"``.

    Returns
    -------
    float
        Microseconds.

    Raises
    ------
    QuantityError
        Unit missing or another one, decimal comma, or not a number.
    """
    return _parse(text, MICROSECOND_SIGNS, "time constant")


def parse_ohms(text: str) -> float:
    """Read a resistance such as ``"75 ohm"``.

    Returns
    -------
    float
        Ohms.

    Raises
    ------
    QuantityError
        Unit missing or another one, decimal comma, or not a number.
    """
    return _parse(text, OHM_SIGNS, "resistance")


def _parse(text: str, units: tuple[str, ...], what: str) -> float:
    stripped = text.strip()
    if len(stripped) > LONGEST_QUANTITY:
        raise QuantityError(f"too long to be a {what}", f'write for example "50 {units[0]}"')
    if _DECIMAL_COMMA.fullmatch(stripped):
        raise QuantityError("decimal comma", f"write {quoted(stripped.replace(',', '.'))} with a point")
    match = _NUMBER_AND_UNIT.fullmatch(stripped)
    if match is None:
        raise QuantityError(f"not a {what}", f'write for example "50 {units[0]}"')
    number, unit = match.groups()
    if unit not in units:
        fault = f"unit {quoted(unit)} where {units[0]} is needed" if unit else "unit missing"
        raise QuantityError(
            fault, _converted(float(number), unit, units[0]) or f'write "{number} {units[0]}"'
        )
    return float(number)


def _converted(number: float, unit: str, needed: str) -> str:
    """Return a hint for a level against the other reference, which the same number would falsify; or nothing."""
    if unit in MICROVOLT_SIGNS and needed == "dBm":
        return f'in 75 ohm that is "{dbm_of_dbuv(number, 75.0):.1f} dBm"'
    if unit == "dBm" and needed in MICROVOLT_SIGNS:
        return f'in 75 ohm that is "{dbuv_of_dbm(number, 75.0):.1f} {needed}"'
    return ""


def dbuv_of_dbm(level_dbm: float, impedance_ohm: float) -> float:
    """Return a power as the rms voltage it makes across a resistance.

    Parameters
    ----------
    level_dbm : float [dBm]
        The power.
    impedance_ohm : float [ohm]
        The resistance, above zero.

    Returns
    -------
    float [dB(uV)]
        From P = U^2/R: one milliwatt in one ohm is 90 dB(uV).
    """
    return level_dbm + DBUV_OF_MILLIWATT_IN_OHM + 10 * math.log10(impedance_ohm)


def dbm_of_dbuv(level_dbuv: float, impedance_ohm: float) -> float:
    """Return an rms voltage [dB(uV)] as the power [dBm] it makes in a resistance [ohm]; see `dbuv_of_dbm`."""
    return level_dbuv - DBUV_OF_MILLIWATT_IN_OHM - 10 * math.log10(impedance_ohm)


def finite(value: float) -> float:
    """Return `value`, or raise QuantityError where it is infinite or not a number."""
    if not math.isfinite(value):
        raise QuantityError("not a finite number", "write an ordinary number")
    return value
