"""Two and three stations: what a square and a cubic term make of them, and how their sum is received."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

import sympy

from freqplan.derivations.one_signal import begun
from freqplan.derivations.signs import EQUATION, TURNED, e, fI, fL, fT, fX, m, n, s, signs, solved_for
from freqplan.derivations.steps import Case, Step
from freqplan.derivations.tuned import falls, moves
from freqplan.station_sums import TIMES, order_of

A, B, C, o, dX = signs("A B C o dX")
STATIONS = (A, B, C)


def summed(kind: str) -> sympy.Expr:
    """Return the sum of stations of a kind such as ``"2A-B"``."""
    return sum(
        (times * station for times, station in zip(TIMES[kind], STATIONS, strict=False)), sympy.Integer(0)
    )


def coefficient(times: tuple[int, ...]) -> sympy.Rational:
    """Return how strong a curved characteristic makes a sum of signals of amplitude 1, at the order of the sum.

    Each signal (z + 1/z)/2 turns once around in its own period; what multiplies z to the powers of the sum, twice, is
    the amplitude of the cosine.
    """
    turns = sympy.symbols(f"z1:{len(times) + 1}")
    order = sum(map(abs, times))
    term = sympy.expand(sum((z + 1 / z) / 2 for z in turns) ** order)
    for z, power in zip(turns, times, strict=True):
        term = term.coeff(z, power)
    return 2 * term


def station_sum(case: Case) -> Iterator[Step]:
    """Yield a sum of stations: its strength, its frequency, how it is received, how it falls."""
    kind = case.row["kind"]
    order = order_of(kind)
    made = "second" if order == 2 else "third"
    strength = coefficient(TIMES[kind])
    part = "" if strength == 1 else f"{strength} of "
    outside = case.row["mechanism"] == "third-order-outside"
    where = "A corroded joint or a transmitter's output has" if outside else "Every stage has"
    yield Step(
        f"{where} a curved characteristic. Its term of the {made} power holds, beside others, the cosine of "
        f"{kind}, with {part}"
        "the product of the amplitudes, each as often as its station is taken."
    )
    yield Step(
        "Its frequency is the sum, which is received like a signal fX:",
        sympy.Eq(fX, summed(kind)),
        case.values,
    )
    yield from _received(case)
    yield from moves(case)
    if outside:
        yield Step("It is made outside the set and comes in like a station: a pad takes off just its dB.")
    yield from falls(case, 1 if outside else order)


def _received(case: Case) -> Iterator[Step]:
    yield from begun(case)
    values = case.having(m=1)
    turned = sympy.Eq(TURNED.lhs.subs(m, 1), TURNED.rhs)
    yield Step("Both sides times e, with m = 1, for the sum is one signal:", turned)
    if s in values:
        way = values[e] * values[s]
        turned = turned.subs(e, way * s)
        told = f" with e = {'' if way > 0 else '-'}s"
    else:
        turned, told = turned.subs(e, values[e]), ""
    in_dial = turned.subs({n: values[n], fL: case.oscillator, fX: summed(case.row["kind"])})
    if fT not in in_dial.free_symbols:
        yield Step(
            "n = 0: the oscillator takes no part, and the sum falls into the IF wherever the dial stands.",
            sympy.Eq(o, sympy.expand(in_dial.lhs - in_dial.rhs) * (-1)),
            {**values, o: values[fX] - values[fI]},
        )
        return
    solved = sympy.expand(solved_for(fT, in_dial))
    yield Step(
        f"n = {values[n]:d}, the oscillator and the sum put in{told}, and solved for the dial:",
        sympy.Eq(fT, solved),
        values,
    )
    yield Step("Put back into the equation, it falls on the IF:", EQUATION, values)


def pair_one_if_apart(case: Case) -> Iterator[Step]:
    """Yield the three causes that two stations an IF apart bring with them."""
    apart = sympy.Eq(o, A - B - fI)
    offset = case.values[A] - case.values[B] - case.values[fI]
    yield Step(
        "The term of the second power in a characteristic holds the difference of two stations. It falls into "
        "the IF, so far "
        "beside its middle:",
        apart,
        case.having(o=offset),
    )
    yield Step("The dial has no part in that: both are heard on every setting.")
    own = solved_for(fT, sympy.Eq(A, case.oscillator))
    values = dict(case.values)
    values[fT] = Fraction(own.subs({**values}))
    values[fL] = values[A]
    yield Step("The set's own oscillator stands on A with the dial on:", sympy.Eq(fT, own), values)
    yield Step(
        "And another set of the same kind, tuned there, puts its oscillator on A as well.",
        sympy.Eq(fL, case.oscillator),
        values,
    )
    yield from falls(case, 2)


def pair_half_if(case: Case) -> Iterator[Step]:
    """Yield the half-IF response of two stations: the same sum with A + B for 2*fX."""
    yield from begun(case)
    turned = sympy.Eq(TURNED.lhs.subs({m: 2, n: 2}), TURNED.rhs)
    yield Step("The half-IF response takes the second harmonics of both:", turned)
    pair = sympy.Eq(2 * fL - A - B, e * fI)
    yield Step(
        "In the place of the second harmonic of one signal stands the sum of two: it is as strong as both half-IF "
        "responses together where the two are equal, 6 dB above either.",
        pair,
        case.values,
    )
    way = case.values[e] * case.values[s] if s in case.values else None
    put_in = pair.subs(e, way * s) if way else pair.subs(e, case.values[e])
    solved = sympy.expand(solved_for(fT, put_in.subs(fL, case.oscillator)))
    told = f", with e = {'' if way > 0 else '-'}s" if way else ""
    yield Step(f"The oscillator put in, and solved for the dial{told}:", sympy.Eq(fT, solved), case.values)
    yield from moves(case)
    yield from falls(case, 2)


def transmitter_harmonic(case: Case) -> Iterator[Step]:
    """Yield the harmonic that a transmitter itself radiates."""
    yield Step(
        "The transmitter radiates its m-th harmonic, which is received like a station on the dial:",
        sympy.Eq(fT, m * fX),
        case.values,
    )
    yield Step("Nothing is made in the set:")
    yield from falls(case, 1)
    made_inside = case.values[m]
    yield Step(
        f"The same harmonic made in the set would fall {made_inside} times the dB of the pad: that tells them apart."
    )
