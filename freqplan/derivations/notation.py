"""Formulas as text and as LaTeX, with their signs or with numbers in their place.

Terms stand as a person writes them: positive ones first, the oscillator before the dial, the dial before the IF.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

import sympy
from sympy import Symbol

from freqplan.derivations.signs import RANK, SIGNS
from freqplan.hertz import Rounding

Values = Mapping[Symbol, Any]

SHORT = 3
"""Most decimals of a number that is written in full."""

SUM, PRODUCT, ATOM = range(3)
"""How tightly a written expression holds together."""


@dataclass(frozen=True)
class Style:
    """How the parts of a formula are put together."""

    name: Callable[[Symbol], str]
    times: Callable[[Sequence[str]], str]
    over: Callable[[str, str], str]
    power: Callable[[str, str], str]
    call: Callable[[str, Sequence[str]], str]
    brackets: Callable[[str], str]
    minus: str
    pi: str
    divides_alone: bool
    """Whether numerator and denominator need no brackets."""


def _plain(minus: str, dot: str, pi: str) -> Style:
    return Style(
        name=lambda symbol: symbol.name,
        times=dot.join,
        over=lambda above, below: f"{above}/{below}",
        power=lambda base, exponent: f"{base}^{exponent}",
        call=lambda name, inner: f"{name}({', '.join(inner)})",
        brackets=lambda text: f"({text})",
        minus=minus,
        pi=pi,
        divides_alone=False,
    )


TEXT = _plain("-", "*", "pi")
"""Formulas of signs, as the catalogue writes them."""

NUMBERS = _plain("−", " × ", "π")
"""Sums of numbers, as all tables write them."""

_LATEX_CALLS = {"sqrt": r"\sqrt{{{0}}}", "abs": r"\left|{0}\right|", "lg": r"\lg\left({0}\right)"}

LATEX = Style(
    name=lambda symbol: SIGNS[symbol.name].latex,
    times=r" \, ".join,
    over=lambda above, below: rf"\frac{{{above}}}{{{below}}}",
    power=lambda base, exponent: f"{base}^{{{exponent}}}",
    call=lambda name, inner: _LATEX_CALLS.get(name, rf"\{name}\left({{0}}\right)").format(", ".join(inner)),
    brackets=lambda text: rf"\left({text}\right)",
    minus="-",
    pi=r"\pi",
    divides_alone=True,
)
LATEX_NUMBERS = Style(**{**LATEX.__dict__, "times": r" \times ".join})


class lg(sympy.Function):  # type: ignore[misc]  # noqa: N801 - it is written like that
    """Logarithm to the base 10, kept as it is until numbers are put in."""

    nargs = 1

    def _eval_evalf(self, prec: int) -> Any:
        return (sympy.log(self.args[0]) / sympy.log(10))._eval_evalf(prec)


@dataclass(frozen=True)
class Writer:
    """Writes expressions in one style.

    Attributes
    ----------
    style : Style
        How parts are put together.
    rounding : Rounding or None
        How frequencies are written; None where no numbers are put in.
    values : mapping of Symbol to number
        What is put in the place of signs; whole numbers such as m, n and e melt into the factors beside them.
    """

    style: Style
    rounding: Rounding | None = None
    values: Values | None = None

    def write(self, expression: sympy.Basic) -> str:
        """Return an expression or equation."""
        if isinstance(expression, sympy.Eq):
            return f"{self.write(expression.lhs)} = {self.write(expression.rhs)}"
        return self._written(expression)[0]

    def _written(self, expression: Any) -> tuple[str, int]:
        if isinstance(expression, sympy.Add):
            return self._sum(expression), SUM
        if isinstance(expression, sympy.Symbol):
            return self._symbol(expression)
        if expression.is_Rational or isinstance(expression, (sympy.Mul, sympy.Pow)):
            return self._product(expression)
        if expression is sympy.pi:
            return self.style.pi, ATOM
        if expression.is_Float:
            return f"{float(expression):.4g}", ATOM
        name = {"Abs": "abs"}.get(type(expression).__name__, type(expression).__name__)
        return self.style.call(name, [self.write(inner) for inner in expression.args]), ATOM

    def _symbol(self, symbol: Symbol) -> tuple[str, int]:
        if self.values is None:
            return self.style.name(symbol), ATOM
        text = number(self.values[symbol], SIGNS[symbol.name].unit, self.rounding)
        return (f"{self.style.minus}{text[1:]}", SUM) if text.startswith("-") else (text, ATOM)

    def _sum(self, expression: sympy.Add) -> str:
        terms = [self._signed(term) for term in sorted(expression.args, key=self._place)]
        first, *others = sorted(terms, key=lambda term: term[0])
        text = (self.style.minus if first[0] else "") + first[1]
        for negative, body in others:
            text += f" {self.style.minus if negative else '+'} {body}"
        return text

    def _signed(self, term: Any) -> tuple[bool, str]:
        """Return whether a term is taken off, and the term without its sign."""
        if term.is_Symbol and self.values is not None and self._whole(term) is None:
            text, _ = self._symbol(term)
            return text.startswith(self.style.minus), text.removeprefix(self.style.minus)
        coefficient, rest = self._parts(term)
        text, binding = self._joined(abs(coefficient), rest)
        return coefficient < 0, self.style.brackets(text) if binding == SUM else text

    def _place(self, term: Any) -> tuple[int, str]:
        ranks = [RANK[symbol] for symbol in term.free_symbols if SIGNS[symbol.name].unit != "number"]
        others = [RANK[symbol] for symbol in term.free_symbols]
        return (min(ranks or others, default=-1), str(term))

    def _product(self, expression: Any) -> tuple[str, int]:
        coefficient, rest = self._parts(expression)
        text, binding = self._joined(abs(coefficient), rest)
        if coefficient >= 0:
            return text, binding
        return self.style.minus + (self.style.brackets(text) if binding == SUM else text), SUM

    def _parts(self, expression: Any) -> tuple[Fraction, list[Any]]:
        """Return the number that a product has in front, whole numbers put in, and its other factors."""
        coefficient, rest = Fraction(1), []
        for factor in sympy.Mul.make_args(expression):
            if factor.is_Rational:
                coefficient *= Fraction(int(factor.p), int(factor.q))
                continue
            base, exponent = factor.as_base_exp()
            value = self._whole(base)
            if value is not None and exponent.is_Integer:
                coefficient *= Fraction(value) ** int(exponent)
            else:
                rest.append(factor)
        return coefficient, rest

    def _whole(self, base: Any) -> int | None:
        """Return the whole number that is put in for a sign; None for anything else."""
        if self.values is None or not isinstance(base, sympy.Symbol) or not base.is_integer:
            return None
        return int(self.values[base])

    def _joined(self, coefficient: Fraction, rest: Sequence[Any]) -> tuple[str, int]:
        above, below = [], []
        for factor in sorted(rest, key=lambda one: self._factor_place(one)):
            base, exponent = factor.as_base_exp()
            if exponent.could_extract_minus_sign():
                below.append(base**-exponent)
            else:
                above.append(factor)
        over = self._factors(coefficient.numerator, above)
        if coefficient.denominator == 1 and not below:
            return over
        under = self._factors(coefficient.denominator, below)
        if self.style.divides_alone:
            return self.style.over(over[0], under[0]), ATOM
        return self.style.over(
            *(self._tight(*part, least=least) for part, least in ((over, PRODUCT), (under, ATOM)))
        ), PRODUCT

    def _factor_place(self, factor: Any) -> tuple[bool, int, str]:
        inside = [RANK[symbol] for symbol in factor.free_symbols]
        return (not factor.as_base_exp()[0].is_Symbol, min(inside, default=-1), str(factor))

    def _factors(self, number_in_front: int, factors: Sequence[Any]) -> tuple[str, int]:
        parts = [] if number_in_front == 1 and factors else [str(number_in_front)]
        written = [self._factor(factor) for factor in factors]
        if not parts and len(written) == 1:
            return written[0]
        parts += [self._tight(*one, least=PRODUCT) for one in written]
        return (parts[0], ATOM) if len(parts) == 1 else (self.style.times(parts), PRODUCT)

    def _factor(self, factor: Any) -> tuple[str, int]:
        base, exponent = factor.as_base_exp()
        if exponent == 1:
            return self._written(factor)
        if exponent == sympy.Rational(1, 2):
            return self.style.call("sqrt", [self.write(base)]), ATOM
        return self.style.power(self._tight(*self._written(base), least=ATOM), self._exponent(exponent)), ATOM

    def _exponent(self, exponent: Any) -> str:
        text, binding = self._written(exponent)
        return text if binding == ATOM or self.style.divides_alone else self.style.brackets(text)

    def _tight(self, text: str, binding: int, *, least: int) -> str:
        return text if binding >= least else self.style.brackets(text)


def number(value: Any, unit: str, rounding: Rounding | None) -> str:
    """Write a value: frequencies as the band does, decibels to a hundredth, other numbers to four figures."""
    if unit == "hertz" and rounding is not None:
        return rounding.fine(Fraction(value))
    if Fraction(value).denominator == 1:
        return str(int(value))
    if unit == "dB":
        return f"{float(value):.2f}"
    return f"{float(value):.4g}" if not is_short(value) else str(float(value))


def is_short(value: Any) -> bool:
    """Return whether a number is a decimal of few places, written in full."""
    return isinstance(value, (Fraction, int)) and round(Fraction(value), SHORT) == value
