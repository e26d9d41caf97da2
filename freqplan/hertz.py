"""Exact frequencies: text to whole hertz, ratios of hertz, and the trade's rounding.

Frequencies are integers (hertz) or ratios of integers; no float takes part in any of it, so that
98.1 MHz + 10.7 MHz is 108.8 MHz and equality means equality.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

import numpy as np
import numpy.typing as npt

from freqplan.errors import ModelRangeError, shortened

HZ_IN = {"Hz": 1, "kHz": 10**3, "MHz": 10**6, "GHz": 10**9, "kc/s": 10**3, "Mc/s": 10**6}
"""Hertz in one unit; kc/s and Mc/s are what older circuit diagrams print."""

HIGHEST_HZ = 300 * 10**9
"""Nothing above 300 GHz is accepted: it bounds every int64 product in `mixing`."""

LONGEST_QUANTITY = 40
EXAMPLE = "10.7 MHz"
"""What messages show of a frequency, where nothing is known that fits better."""

_NUMBER_AND_UNIT = re.compile(r"([+-]?[0-9]+(?:\.[0-9]+)?)\s*([A-Za-z/]+)", re.ASCII)
_DECIMAL_COMMA = re.compile(r"[+-]?[0-9]+,[0-9]+\s*[A-Za-z/]*", re.ASCII)
_BARE_NUMBER = re.compile(r"[+-]?[0-9]+(?:\.[0-9]+)?", re.ASCII)

Int64 = npt.NDArray[np.int64]


class QuantityError(ValueError):
    """A text is not a frequency; `what` says why and `hint` what to write."""

    def __init__(self, what: str, hint: str) -> None:
        self.what, self.hint = what, hint
        super().__init__(f"{what}; {hint}")


def parse_hertz(text: str, *, signed: bool = False) -> int:
    """Read a frequency written with its unit.

    Parameters
    ----------
    text : str
        Such as ``"10.7 MHz"``, ``"455 kHz"`` or ``"10.7 Mc/s"``; letter case counts, ASCII digits.
    signed : bool
        Whether a minus sign is allowed.

    Returns
    -------
    int
        Whole hertz.

    Raises
    ------
    QuantityError
        Unit missing or misspelt, decimal comma, a fraction of a hertz, a sign, or above 300 GHz.
    """
    stripped = text.strip()
    if len(stripped) > LONGEST_QUANTITY:
        raise QuantityError("too long to be a frequency", f'write for example "{EXAMPLE}"')
    match = _NUMBER_AND_UNIT.fullmatch(stripped)
    if match is None:
        raise _not_a_quantity(stripped)
    number, unit = match.groups()
    if unit not in HZ_IN:
        raise QuantityError(f'unknown unit "{unit}"', f'write "{number} {_nearest_unit(unit)}"')
    hertz = Decimal(number) * HZ_IN[unit]
    if hertz != int(hertz):
        raise QuantityError("finer than one hertz", "round to whole hertz")
    if hertz < 0 and not signed:
        raise QuantityError("negative", f'write "{number.lstrip("-")} {unit}"')
    if abs(hertz) > HIGHEST_HZ:
        raise QuantityError("above 300 GHz", "check the unit")
    return int(hertz)


def _not_a_quantity(text: str) -> QuantityError:
    if not text:
        return QuantityError("empty", f'write for example "{EXAMPLE}"')
    if _DECIMAL_COMMA.fullmatch(text):
        return QuantityError("decimal comma", f"write {quoted(text.replace(',', '.'))} with a point")
    if _BARE_NUMBER.fullmatch(text):
        return QuantityError("unit missing", f'write "{text} MHz" or "{text} kHz"')
    return QuantityError("not a frequency", f'write for example "{EXAMPLE}"')


def _nearest_unit(unit: str) -> str:
    close = difflib.get_close_matches(unit.lower(), [known.lower() for known in HZ_IN], cutoff=0.4)
    return next((known for known in HZ_IN if close and known.lower() == close[0]), "MHz")


def quoted(text: str) -> str:
    """Return `text` in quotation marks, short and printable, for a message."""
    return f'"{shortened(text)}"'


def whole_hertz(value: object, what: str) -> int:
    """Return `value` as an integer where it is a whole number, such as 98_100_000 or 98.1e6.

    Raises
    ------
    ModelRangeError
        It is none; the message begins with `what`.
    """
    number = int(value) if isinstance(value, np.integer) else value
    if isinstance(number, int | float | Fraction) and not isinstance(number, bool) and number % 1 == 0:
        return int(number)
    raise ModelRangeError(
        f"{what} {shortened(repr(value))} is no whole number of hertz; give for example 98_100_000"
    )


class Ratios:
    """A column of exact frequencies, each a ratio of two integers, or none.

    Parameters
    ----------
    num : (k,) array_like of int64 [Hz]
        Numerators.
    den : (k,) array_like of int64, optional
        Denominators; negative ones are turned positive, and 0 marks "no such frequency".
    """

    __slots__ = ("den", "num")

    def __init__(self, num: npt.ArrayLike, den: npt.ArrayLike = 1) -> None:
        self.num: Int64 = np.array(num, dtype=np.int64, ndmin=1)
        self.den: Int64 = np.empty_like(self.num)
        self.den[...] = den
        negative = self.den < 0
        if negative.any():
            np.negative(self.num, out=self.num, where=negative)
            np.negative(self.den, out=self.den, where=negative)
        self.num.flags.writeable = self.den.flags.writeable = False

    @classmethod
    def _ready(cls, num: Int64, den: Int64) -> Ratios:
        """Make a column from fresh int64 arrays of equal shape with no negative denominator."""
        column = object.__new__(cls)
        column.num, column.den = num, den
        num.flags.writeable = den.flags.writeable = False
        return column

    @classmethod
    def of(cls, values: Iterable[Fraction | int | None]) -> Ratios:
        """Make a column from fractions, whole hertz and None."""
        pairs = [(0, 0) if v is None else (Fraction(v).numerator, Fraction(v).denominator) for v in values]
        table = np.array(pairs, dtype=np.int64).reshape(-1, 2)
        return cls(table[:, 0], table[:, 1])

    @classmethod
    def none(cls, length: int) -> Ratios:
        """Make a column in which nothing is known."""
        return cls._ready(np.zeros(length, dtype=np.int64), np.zeros(length, dtype=np.int64))

    @classmethod
    def concatenate(cls, parts: Sequence[Ratios]) -> Ratios:
        """Put columns end to end."""
        return cls._ready(np.concatenate([p.num for p in parts]), np.concatenate([p.den for p in parts]))

    def __len__(self) -> int:
        return len(self.num)

    def __getitem__(self, index: npt.ArrayLike) -> Ratios:
        chosen = np.asarray(index)
        return Ratios._ready(self.num[chosen], self.den[chosen])

    @property
    def known(self) -> npt.NDArray[np.bool_]:
        """Return where there is a value; shape (k,)."""
        return np.not_equal(self.den, 0)

    def where(self, mask: npt.NDArray[np.bool_]) -> Ratios:
        """Return the column with "none" wherever `mask` (k,) is false."""
        return Ratios._ready(self.num.copy(), np.where(mask, self.den, 0))

    def replaced(self, mask: npt.NDArray[np.bool_], hertz: int) -> Ratios:
        """Return the column with `hertz` wherever `mask` (k,) is true."""
        return Ratios._ready(np.where(mask, hertz, self.num), np.where(mask, 1, self.den))

    def exact(self) -> list[Fraction | int | None]:
        """Return the values in hertz: whole ones as integers, others as fractions; None where there is none."""
        pairs = zip(self.num.tolist(), self.den.tolist(), strict=True)
        return [None if d == 0 else n // d if n % d == 0 else Fraction(n, d) for n, d in pairs]

    def rough(self) -> npt.NDArray[np.float64]:
        """Return the values in hertz as floats, NaN where there is none; for sorting and drawing only."""
        with np.errstate(divide="ignore", invalid="ignore"):
            return np.where(self.known, self.num / self.den, np.nan)

    def __repr__(self) -> str:
        return f"Ratios({self.exact()!r})"


def json_number(value: Fraction | None) -> int | float | None:
    """Return `value` for JSON: an integer where it is whole, else rounded to 0.001."""
    if value is None:
        return None
    return value.numerator if value.denominator == 1 else float(round(value, 3))


def decimal_text(value: Fraction | int, *, unit_hz: int, decimals: int, extra: int = 0) -> str:
    """Write an exact frequency with a fixed number of decimals, halves rounded away from zero.

    Parameters
    ----------
    value : Fraction or int [Hz]
        The frequency.
    unit_hz : int
        Hertz in the unit to write in.
    decimals : int
        Decimals always written.
    extra : int
        Decimals added when they make the text exact, so that an IF of 10.675 MHz is not shown as 10.68.

    Returns
    -------
    str
        The number without its unit.
    """
    num, den = abs(value.numerator), value.denominator * unit_hz
    for places in range(decimals, decimals + extra + 1):
        if num * 10**places % den == 0:
            decimals = places
            break
    whole = (2 * num * 10**decimals + den) // (2 * den)
    digits = str(whole).rjust(decimals + 1, "0")
    sign = "-" if value < 0 and whole else ""
    return f"{sign}{digits[:-decimals]}.{digits[-decimals:]}" if decimals else f"{sign}{digits}"


MOST_EXTRA = 3
"""Decimals that are added at most where they make a frequency exact."""


@dataclass(frozen=True)
class Rounding:
    """How a band's frequencies are written by the people who work on it.

    Attributes
    ----------
    unit : str
        ``"MHz"`` or ``"kHz"``.
    dial_decimals : int
        Decimals of a dial setting.
    fine_decimals : int
        Least decimals of every other frequency; up to three more are written where they make it exact.
    """

    unit: str
    dial_decimals: int
    fine_decimals: int

    def dial(self, value: Fraction | int) -> str:
        """Write a dial setting, such as ``96.3``."""
        return decimal_text(value, unit_hz=HZ_IN[self.unit], decimals=self.dial_decimals)

    def fine(self, value: Fraction | int) -> str:
        """Write an oscillator, IF or response frequency, such as ``108.80``."""
        return decimal_text(value, unit_hz=HZ_IN[self.unit], decimals=self.fine_decimals, extra=MOST_EXTRA)

    def inward(self, value: Fraction | int, *, up: bool) -> str:
        """Write an end of a range like `fine`, but rounded into it: `up` at its lower end, down at its upper one."""
        if self.is_exact(value):
            return self.fine(value)
        step = Fraction(HZ_IN[self.unit], 10**self.fine_decimals)
        steps = -(-value // step) if up else value // step
        return self.fine(steps * step)

    def drawn(self, hertz: npt.ArrayLike | Ratios | Sequence[Fraction | int]) -> npt.NDArray[np.float64]:
        """Return frequencies (k,) or one of them in the band's unit as floats, NaN where unknown: for drawing only."""
        rough = hertz.rough() if isinstance(hertz, Ratios) else np.asarray(hertz, dtype=np.float64)
        return rough / HZ_IN[self.unit]

    def is_exact(self, value: Fraction | int) -> bool:
        """Return whether `fine` writes a frequency without rounding it."""
        scale: int = 10 ** (self.fine_decimals + MOST_EXTRA)
        return value.numerator * scale % (value.denominator * HZ_IN[self.unit]) == 0
