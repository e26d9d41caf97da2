"""Lengths on a dial scale: text with a unit to whole micrometres and back; exact, so that a mark is where it is said.

A ruler reads to 0.1 mm at best: whole micrometres are finer than anybody measures, and need no float.
"""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction

from freqplan.hertz import LONGEST_QUANTITY, QuantityError, decimal_text, quoted

UM_IN = {"mm": 10**3, "cm": 10**4}
"""Micrometres in one unit."""

LONGEST_UM = 10**7
"""Ten metres: no scale is longer, and nothing on one lies farther along it."""

_NUMBER_AND_UNIT = re.compile(r"([+-]?[0-9]+(?:\.[0-9]+)?)\s*(\S*)", re.ASCII)
_DECIMAL_COMMA = re.compile(r"[+-]?[0-9]+,[0-9]+\s*\S*", re.ASCII)


def parse_micrometres(text: str) -> int:
    """Read a length written with its unit.

    Parameters
    ----------
    text : str
        Such as ``"165 mm"``, ``"70.5 mm"`` or ``"16.5 cm"``; letter case counts, ASCII digits.

    Returns
    -------
    int
        Whole micrometres.

    Raises
    ------
    QuantityError
        Unit missing or another one, decimal comma, a sign, finer than a micrometre, or above ten metres.
    """
    stripped = text.strip()
    match = _NUMBER_AND_UNIT.fullmatch(stripped) if len(stripped) <= LONGEST_QUANTITY else None
    if match is None:
        if len(stripped) <= LONGEST_QUANTITY and _DECIMAL_COMMA.fullmatch(stripped):
            raise QuantityError("decimal comma", f"write {quoted(stripped.replace(',', '.'))} with a point")
        raise QuantityError("not a length", 'write for example "165 mm"')
    number, unit = match.groups()
    if unit not in UM_IN:
        what = f"unknown unit {quoted(unit)}" if unit else "unit missing"
        raise QuantityError(what, f'write "{number} mm" or "{number} cm"')
    length = Decimal(number) * UM_IN[unit]
    if length != int(length):
        raise QuantityError("finer than one micrometre", "round to 0.1 mm")
    return checked_um(int(length))


def checked_um(length_um: int) -> int:
    """Return a length [um] that can be one on a scale.

    Raises
    ------
    QuantityError
        It is negative or above ten metres.
    """
    if length_um < 0:
        raise QuantityError("negative", "measure from the left end of the scale")
    if length_um > LONGEST_UM:
        raise QuantityError("above ten metres", "check the unit")
    return length_um


def millimetre_text(length_um: Fraction | int) -> str:
    """Write a length [um] in millimetres, such as ``165 mm`` or ``70.5 mm``; to 0.001 mm."""
    return f"{decimal_text(length_um, unit_hz=UM_IN['mm'], decimals=0, extra=3)} mm"


def millimetres(length_um: Fraction | int) -> float:
    """Return a length [um] in millimetres; for drawing only."""
    return float(Fraction(length_um, UM_IN["mm"]))
