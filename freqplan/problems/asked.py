"""What a problem asks for, and how an answer to it is read, compared and written: a number, a list, or a word."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Protocol, TypeAlias

from freqplan.csvfile import UNKNOWN
from freqplan.hertz import HZ_IN, QuantityError, decimal_text

Answer: TypeAlias = Fraction | str | tuple[Fraction, ...]
"""A number in hertz, dB or by itself; a word; or several numbers."""

LONGEST_ANSWER = 400
LONGEST_NUMBER = 40
_NUMBER = re.compile(r"([+-]?[0-9]+(?:\.[0-9]+)?)\s*([A-Za-z/]*)", re.ASCII)
_IN_A_LIST = re.compile(r"([+-]?[0-9]+(?:\.[0-9]+)?)(?:\s*([A-Za-z/]+))?(?:\s*;\s*|,\s+|\s+|$)", re.ASCII)
_DECIMAL_COMMA = re.compile(r"[0-9],[0-9]", re.ASCII)
_WORD_BREAK = re.compile(r"[\s_-]+")


class Asked(Protocol):
    """What is asked for, whatever its kind."""

    @property
    def unit(self) -> str:
        """Unit of a number; empty where there is none."""

    @property
    def decimals(self) -> int | None:
        """Decimals to give; None where no number is asked for."""

    @property
    def words(self) -> str:
        """What to write, for the sheet."""

    @property
    def choices(self) -> tuple[str, ...]:
        """Words to choose from, if any."""

    def text(self, answer: Answer) -> str:
        """Write an answer as the sheet asks for it."""

    def read(self, text: str) -> Answer:
        """Read an answer; `QuantityError` where it is none."""

    def same(self, given: Answer, right: Answer) -> bool:
        """Return whether a given answer is the right one at the rounding asked for."""


@dataclass(frozen=True)
class NumberAsked:
    """One number, rounded to so many decimals.

    Attributes
    ----------
    unit : str
        ``"MHz"``, ``"kHz"``, ``"dB"``, or empty for a count.
    decimals : int
        Decimals to give.
    """

    unit: str
    decimals: int

    @property
    def words(self) -> str:
        """What to write, for the sheet."""
        exact = {0: "a whole number", 1: "to 1 decimal"}.get(self.decimals, f"to {self.decimals} decimals")
        return f"in {self.unit}, {exact}" if self.unit else exact

    @property
    def choices(self) -> tuple[str, ...]:
        """None."""
        return ()

    @property
    def _scale(self) -> int:
        return HZ_IN.get(self.unit, 1)

    def text(self, answer: Answer) -> str:
        """Write a number without its unit, halves rounded away from zero."""
        assert isinstance(answer, Fraction)
        return decimal_text(answer, unit_hz=self._scale, decimals=self.decimals)

    def read(self, text: str) -> Answer:
        """Read a number; without a unit it is in the one asked for, and another unit of frequency is reckoned over.

        Raises
        ------
        QuantityError
            It is none, or in a unit that cannot be meant.
        """
        stripped = _ready(text, self._example)
        match = _NUMBER.fullmatch(stripped) if len(stripped) <= LONGEST_NUMBER else None
        if match is None:
            raise QuantityError("not a number", f"write it {self.words}, such as {self._example}")
        return self.in_unit(*match.groups())

    def in_unit(self, number: str, unit: str) -> Fraction:
        """Return a number written in `unit`, or in the one asked for where that is empty.

        Raises
        ------
        QuantityError
            The unit cannot be meant.
        """
        known = {**HZ_IN} if self.unit in HZ_IN else {self.unit: 1} if self.unit else {}
        if unit and unit not in known:
            hint = f"give it in {self.unit}" if self.unit else "give a bare number"
            raise QuantityError(f'wrong unit "{unit}"', hint)
        return Fraction(number) * (known[unit] if unit else self._scale)

    @property
    def _example(self) -> str:
        return f"{'98.125'[: 3 + self.decimals] if self.decimals else '98'} {self.unit}".strip()

    def same(self, given: Answer, right: Answer) -> bool:
        """Return whether the number lies within half of the last decimal asked for."""
        assert isinstance(given, Fraction)
        assert isinstance(right, Fraction)
        # In whole numbers: lists are compared number by number, and fractions would cancel each time.
        below = given.denominator * right.denominator
        apart = given.numerator * right.denominator - right.numerator * given.denominator
        within: bool = 2 * abs(apart) * 10**self.decimals <= self._scale * below
        return within


@dataclass(frozen=True)
class ListAsked:
    """Several numbers in any order.

    Attributes
    ----------
    each : NumberAsked
        What each of them is.
    """

    each: NumberAsked

    @property
    def unit(self) -> str:
        """Unit of each."""
        return self.each.unit

    @property
    def decimals(self) -> int:
        """Decimals of each."""
        return self.each.decimals

    @property
    def words(self) -> str:
        """What to write, for the sheet."""
        return f"a list, each {self.each.words}"

    @property
    def choices(self) -> tuple[str, ...]:
        """None."""
        return ()

    def text(self, answer: Answer) -> str:
        """Write the numbers, rising, a blank between."""
        assert isinstance(answer, tuple)
        return " ".join(self.each.text(one) for one in sorted(answer))

    def read(self, text: str) -> Answer:
        """Read numbers with blanks or semicolons between, or a comma and a blank; each may have its unit.

        Raises
        ------
        QuantityError
            Something in it is no number, or in a unit that cannot be meant.
        """
        hint = f'write {self.words}, a blank or ";" between'
        stripped = _ready(text, "98.1").strip(";").strip()
        found, at = [], 0
        while at < len(stripped):
            match = _IN_A_LIST.match(stripped, at)
            if match is None or len(match[1]) > LONGEST_NUMBER:
                raise QuantityError("not a list of numbers", hint)
            found.append(self.each.in_unit(match[1], match[2] or ""))
            at = match.end()
        if not found:
            raise QuantityError("no number in it", hint)
        return tuple(found)

    def same(self, given: Answer, right: Answer) -> bool:
        """Return whether each right number is given once and nothing else."""
        assert isinstance(given, tuple)
        assert isinstance(right, tuple)
        return len(given) == len(right) and self.hits(given, right) == len(right)

    def part_points(self, given: Answer, right: Answer, points: int) -> int:
        """Return the share of right numbers, less one for each that is too much, rounded down."""
        assert isinstance(given, tuple)
        assert isinstance(right, tuple)
        hits = self.hits(given, right)
        return max(0, (2 * hits - len(given)) * points // len(right))

    def hits(self, given: Sequence[Fraction], right: Sequence[Fraction]) -> int:
        """Return how many of the right numbers are given."""
        return sum(any(self.each.same(one, wanted) for one in given) for wanted in right)


@dataclass(frozen=True)
class WordAsked:
    """One word of several.

    Attributes
    ----------
    choices : tuple of str
        Those to choose from.
    """

    choices: tuple[str, ...]

    @property
    def unit(self) -> str:
        """No unit."""
        return ""

    @property
    def decimals(self) -> None:
        """No decimals."""
        return None

    @property
    def words(self) -> str:
        """What to write, for the sheet."""
        return f"{', '.join(self.choices[:-1])} or {self.choices[-1]}"

    def text(self, answer: Answer) -> str:
        """Return the word."""
        assert isinstance(answer, str)
        return answer

    def read(self, text: str) -> Answer:
        """Read a word; letter case, blanks and hyphens do not matter.

        Raises
        ------
        QuantityError
            It is none of those to choose from.
        """
        stripped = _WORD_BREAK.sub("-", _ready(text, self.choices[0], comma=False)).casefold()
        found = next((choice for choice in self.choices if choice.casefold() == stripped), None)
        if found is None:
            raise QuantityError("none of the words to choose from", f"write {self.words}")
        return found

    def same(self, given: Answer, right: Answer) -> bool:
        """Return whether it is the same word."""
        return given == right


def _ready(text: str, example: str, *, comma: bool = True) -> str:
    """Return an answer without blanks around it.

    Raises
    ------
    QuantityError
        There is none, it is too long, or has a decimal comma.
    """
    stripped = text.strip()
    if stripped.lower() in UNKNOWN:
        raise QuantityError("no answer", f"write one, such as {example}")
    if len(stripped) > LONGEST_ANSWER:
        raise QuantityError("too long to be an answer", f"write for example {example}")
    if comma and _DECIMAL_COMMA.search(stripped):
        raise QuantityError("decimal comma", f"write a point instead, such as {example}")
    return stripped
