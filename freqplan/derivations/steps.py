"""What a derivation is made of: a case with its numbers, and steps that each say, show and evaluate something."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import TYPE_CHECKING, Any, TypeAlias

import sympy

from freqplan.derivations.notation import (
    LATEX,
    LATEX_NUMBERS,
    NUMBERS,
    TEXT,
    Style,
    Values,
    Writer,
    is_short,
    number,
)
from freqplan.derivations.signs import RANK, SIGNS, e, fI, fL, fT, fX, m, n, oscillator, s
from freqplan.hertz import Rounding
from freqplan.mixing import Tuning

if TYPE_CHECKING:
    from freqplan.plan import Plan

_UNITS = {"dB": " dB", "us": " us", "kHz": " kHz"}


@dataclass(frozen=True)
class Step:
    """One step of a derivation.

    Attributes
    ----------
    says : str
        What is done, in a sentence.
    formula : sympy.Eq or None
        What comes of it.
    values : mapping of Symbol to number
        The numbers that are put in, and that make the formula true; empty where it stands for itself.
    """

    says: str
    formula: sympy.Eq | None = None
    values: Values = field(default_factory=dict)

    def text(self) -> str:
        """Return the formula with its signs; empty where there is none."""
        return "" if self.formula is None else Writer(TEXT).write(self.formula)

    def latex(self) -> str:
        """Return the formula for LaTeX; empty where there is none."""
        return "" if self.formula is None else Writer(LATEX).write(self.formula)

    def numbers(self, rounding: Rounding) -> str:
        """Return the formula with numbers in it and what comes out; empty where none are put in."""
        return self._numbers(NUMBERS, rounding, unit=True)

    def latex_numbers(self, rounding: Rounding) -> str:
        """Return the same for LaTeX."""
        return self._numbers(LATEX_NUMBERS, rounding, unit=False)

    def _numbers(self, style: Style, rounding: Rounding, *, unit: bool) -> str:
        if self.formula is None or not self.values:
            return ""
        left, right = self.formula.lhs, self.formula.rhs
        writer = Writer(style, rounding, self.values)
        about = r" \approx " if style is LATEX_NUMBERS else " ≈ "
        equals = " = " if self._is_exact(rounding) else about
        if not left.is_Symbol:
            return f"{writer.write(left)}{equals}{writer.write(right)}"
        kind = SIGNS[left.name].unit
        result = number(self.values[left], kind, rounding).replace("-", style.minus)
        ending = f" {rounding.unit}" if kind == "hertz" else _UNITS.get(kind, "")
        if style is LATEX_NUMBERS:
            ending = rf" \ \mathrm{{{ending.strip()}}}" if ending else ""
        filled = writer.write(right)
        whole = f"{result}{ending}"
        name = style.name(left)
        return f"{name} = {whole}" if filled == result else f"{name} = {filled}{equals}{whole}"

    def _is_exact(self, rounding: Rounding) -> bool:
        """Return whether all numbers of the formula are written in full."""
        assert self.formula is not None
        used = [(SIGNS[symbol.name].unit, self.values[symbol]) for symbol in self.formula.free_symbols]
        return all(
            isinstance(value, (int, Fraction))
            and (rounding.is_exact(value) if unit == "hertz" else is_short(value))
            for unit, value in used
        )


@dataclass(frozen=True)
class Case:
    """What a derivation is done for.

    Attributes
    ----------
    plan : Plan
        The receiver.
    tuning : Tuning
        On which side its oscillator stands.
    values : mapping of Symbol to number
        The numbers known: fT, fI, fL and s of the set, m, n, e, fX ... of the row.
    row : mapping
        The row of a table that is asked about; of an example what it was chosen for.
    title : str
        Name of the mechanism in a sentence.
    """

    plan: Plan
    tuning: Tuning
    values: Mapping[sympy.Symbol, Any]
    row: Mapping[str, Any]
    title: str = ""

    @property
    def oscillator(self) -> sympy.Expr:
        """Return the oscillator in terms of dial and IF."""
        return oscillator(self.tuning.side)

    @property
    def wanted(self) -> sympy.Eq:
        """Return the equation by which the wanted station is received."""
        return sympy.Eq(fL + fX if self.tuning.side == "sum" else s * (fL - fX), fI)

    def received(self, own: sympy.Expr, intermediate: sympy.Expr) -> sympy.Expr:
        """Return the station that an oscillator brings to an IF: the wanted equation solved for it, s*s being 1."""
        if self.tuning.side == "sum":
            return sympy.expand(intermediate - own)
        return sympy.expand(sympy.expand(own - s * intermediate).subs(s**2, 1))

    def at(self, dial_hz: Fraction | int) -> dict[sympy.Symbol, Any]:
        """Return the values with the dial set elsewhere."""
        return {**self.values, fT: Fraction(dial_hz), fL: self.tuning.oscillator_hz(Fraction(dial_hz))}

    def having(self, **more: Any) -> dict[sympy.Symbol, Any]:
        """Return the values with others beside them, by the name of their sign."""
        return {**self.values, **{SIGNS[name].symbol: value for name, value in more.items()}}


Derive: TypeAlias = Callable[[Case], Iterator[Step]]


def case_of(
    plan: Plan, tuning: Tuning, row: Mapping[str, Any], *, dial_hz: Fraction | int, title: str = "", **more: Any
) -> Case:  # fmt: skip
    """Return a case with the set's own numbers and m, n, e, k and q of a row; `more` by the names of their signs."""
    values: dict[sympy.Symbol, Any] = {
        fT: Fraction(dial_hz),
        fI: Fraction(tuning.intermediate_hz),
        fL: tuning.oscillator_hz(Fraction(dial_hz)),
    }
    if tuning.side != "sum":
        values[s] = tuning.t
    for symbol in (m, n, e, SIGNS["k"].symbol, SIGNS["q"].symbol):
        if row.get(symbol.name) is not None:
            values[symbol] = int(row[symbol.name])
    values |= {SIGNS[name].symbol: value for name, value in more.items()}
    return Case(plan, tuning, values, row, title)


def used(steps: tuple[Step, ...]) -> list[sympy.Symbol]:
    """Return the signs that some formulas use, in the order of the list of signs."""
    found = {symbol for step in steps if step.formula is not None for symbol in step.formula.free_symbols}
    return sorted(found, key=RANK.__getitem__)
