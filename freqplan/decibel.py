"""Levels and times: text with a unit to a float, with the same kind of messages as `hertz`.

A name says which reference a level has: ``_db`` a ratio, ``_dbm`` against one milliwatt, ``_dbuv`` against
one microvolt.  Levels are floats, since they are measured; frequencies never are.
"""

from __future__ import annotations

import math
import re

from freqplan.hertz import LONGEST_QUANTITY, QuantityError

MICROSECOND_SIGNS = ("us", "\N{MICRO SIGN}s", "\N{GREEK SMALL LETTER MU}s")
"""Ways to write a microsecond; keyboards differ in which mu they offer."""

_NUMBER_AND_UNIT = re.compile(r"([+-]?[0-9]+(?:\.[0-9]+)?)\s*(\S*)", re.ASCII)
_DECIMAL_COMMA = re.compile(r"[+-]?[0-9]+,[0-9]+\s*\S*", re.ASCII)


def parse_decibel(text: str, unit: str = "dB") -> float:
    """Read a level written with its unit.

    Parameters
    ----------
    text : str
        Such as ``"80 dB"`` or ``"-30 dBm"``; letter case counts, ASCII digits.
    unit : str
        The one unit allowed, such as ``"dB"`` or ``"dBm"``.

    Returns
    -------
    float
        The level in `unit`.

    Raises
    ------
    QuantityError
        Unit missing, misspelt or another one, decimal comma, or not a number.
    """
    return _parse(text, (unit,), "level")


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


def _parse(text: str, units: tuple[str, ...], what: str) -> float:
    stripped = text.strip()
    if len(stripped) > LONGEST_QUANTITY:
        raise QuantityError(f"too long to be a {what}", f'write for example "50 {units[0]}"')
    if _DECIMAL_COMMA.fullmatch(stripped):
        raise QuantityError("decimal comma", f'write "{stripped.replace(",", ".")}" with a point')
    match = _NUMBER_AND_UNIT.fullmatch(stripped)
    if match is None:
        raise QuantityError(f"not a {what}", f'write for example "50 {units[0]}"')
    number, unit = match.groups()
    if unit not in units:
        fault = f'unit "{unit}" where {units[0]} is needed' if unit else "unit missing"
        raise QuantityError(fault, f'write "{number} {units[0]}"')
    return float(number)


def finite(value: float) -> float:
    """Return `value`, or raise QuantityError where it is infinite or not a number."""
    if not math.isfinite(value):
        raise QuantityError("not a finite number", "write an ordinary number")
    return value
