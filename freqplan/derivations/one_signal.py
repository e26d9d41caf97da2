"""One signal and the oscillator: from the equation to the frequency, to the dial, and back."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

import sympy

from freqplan.derivations.rejection import kept_out, rejected
from freqplan.derivations.signs import EQUATION, TURNED, e, fI, fL, fT, fX, m, n, s, signs, solved_for
from freqplan.derivations.steps import Case, Step
from freqplan.derivations.tuned import caught, falls, moves

dX, R = signs("dX R")

SAID_ONCE = (
    "The mixer makes the n-th harmonic of the oscillator less the m-th of the signal. What falls on the IF is heard, "
    "whichever of the two is higher: e is +1 where it is the oscillator's, -1 where it is the signal's."
)

STANDS = {
    "high": "The oscillator stands one IF above the dial, so that the station on it gives the IF.",
    "low": "The oscillator stands one IF below the dial, so that the station on it gives the IF.",
    "sum": "The oscillator and the station on the dial add up to the IF, so that it falls as the dial rises.",
}


def begun(case: Case) -> Iterator[Step]:
    """Yield the equation, and the oscillator."""
    yield Step(SAID_ONCE, EQUATION)
    yield Step(STANDS[case.tuning.side], sympy.Eq(fL, case.oscillator), case.values)


def received(case: Case) -> Iterator[Step]:
    """Yield the whole derivation of a response: where it lies, how it moves, how it falls, how it is kept out."""
    yield from begun(case)
    yield from located(case)
    yield from moves(case)
    yield from falls(case, case.values[m])
    yield from kept_out(case)
    yield from rejected(case)
    if "listed_hz" in case.row:
        yield from caught(case)


def located(case: Case) -> Iterator[Step]:
    """Yield the signal that lands on the IF: solved for, in terms of the dial, from it, and put back."""
    yield Step("Both sides times e, which times itself is 1:", TURNED)
    solved = solved_for(fX, TURNED)
    yield Step("Solved for the signal:", sympy.Eq(fX, solved))
    named = solved.subs({m: case.values[m], n: case.values[n]})
    told = ", ".join(f"{symbol} = {case.values[symbol]:d}" for symbol in (m, n, e))
    yield Step(
        f"{_named(case)}{told}.",
        sympy.Eq(fX, sympy.expand(named) if n not in named.free_symbols else named),
        case.values,
    )
    if case.values[n]:
        yield from _on_the_dial(case, named)
    yield Step("Put back into the equation, it falls on the IF:", EQUATION, case.values)


def _named(case: Case) -> str:
    title = case.title[:1].upper() + case.title[1:]
    return f"{title}: " if title else ""


def _on_the_dial(case: Case, solved: sympy.Expr) -> Iterator[Step]:
    """Yield fX in terms of dial and IF, the same for either side where e*s is, and how far it is from the dial."""
    if s in case.values:
        way = case.values[e] * case.values[s]
        solved, told = solved.subs(e, way * s), f", with e = {'' if way > 0 else '-'}s"
    else:
        solved, told = solved.subs(e, case.values[e]), ""
    in_dial = sympy.expand(solved.subs(fL, case.oscillator))
    yield Step(f"The oscillator put in{told}:", sympy.Eq(fX, in_dial), case.values)
    distance = case.values[fX] - case.values[fT]
    if distance:
        where = "above" if distance > 0 else "below"
        apart = sympy.Eq(dX, sympy.expand(in_dial - fT))
        yield Step(f"It lies {where} the dial setting by:", apart, case.having(dX=distance))
    else:
        yield Step("It is the dial setting itself.")


def over_the_band(case: Case) -> Iterator[Step]:
    """Yield where the response lies with the dial at either end of the band."""
    band = case.plan.band
    for end, dial_hz in (("low", band.low_hz), ("high", band.high_hz)):
        values = case.at(dial_hz)
        values[fX] = _solved(case, values)
        yield Step(
            f"With the dial at the {end} end of the band:",
            sympy.Eq(fX, solved_for(fX, TURNED).subs({m: values[m], n: values[n]})),
            values,
        )


def _solved(case: Case, values: dict[sympy.Symbol, Fraction]) -> Fraction:
    return Fraction(values[n] * values[fL] - values[e] * values[fI]) / values[m]


def lesson_of_response(case: Case) -> Iterator[Step]:
    """Yield the derivation, and the range over the band."""
    yield from received(case)
    if case.values[n]:
        yield from over_the_band(case)


def self_mixing(case: Case) -> Iterator[Step]:
    """Yield the dial setting where the station tuned in disturbs itself."""
    yield from begun(case)
    own, turned = EQUATION.subs(fX, fT), TURNED.subs(fX, fT)
    yield Step("The signal is the station tuned in itself, so that fX = fT:", own)
    yield Step("Both sides times e, which times itself is 1:", turned)
    in_dial = sympy.Eq(sympy.expand(turned.lhs.subs(fL, case.oscillator)), turned.rhs)
    yield Step("The oscillator put in:", in_dial)
    yield Step("Solved for the dial setting:", sympy.Eq(fT, _solved_for_dial(in_dial)), case.values)
    yield Step("Put back into the equation, it falls on the IF:", own, case.values)
    wanted = sympy.Integer(1) if case.tuning.side == "sum" else s
    beat = sympy.Abs(e * n - wanted)
    yield Step(
        f"Tuned by 1 kHz, the product moves by e*n in the IF and the station by {wanted}: the pitch moves by",
        sympy.Eq(R, beat),
        case.having(R=int(beat.subs(case.values))),
    )
    yield from falls(case, case.values[m])


def _solved_for_dial(equation: sympy.Eq) -> sympy.Expr:
    """Return the dial setting as the IF times one whole number over another, the larger kind of sum below positive."""
    solved = sympy.factor(solved_for(fT, equation))
    above, below = sympy.fraction(solved)
    return -above / -below if below.could_extract_minus_sign() else solved
