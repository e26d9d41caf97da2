"""What follows once it is known where something lands: how it moves, how wide it is, how it falls, what reaches in."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

import sympy

from freqplan.derivations.signs import EQUATION, e, fI, fL, fX, m, n, signs
from freqplan.derivations.steps import Case, Step
from freqplan.words import setting

rho, R, V, W, G, H, P, o = signs("rho R V W G H P o")

USUAL_PAD_DB = 10


def moves(case: Case) -> Iterator[Step]:
    """Yield tuning slope, beat rate and width on the dial of a product with n and e."""
    own = sympy.diff(EQUATION.lhs, fL) / sympy.diff(case.wanted.lhs, fL)
    slope = int(own.subs(case.values))
    values = case.having(rho=slope, R=abs(slope - 1))
    yield Step(
        "Move the oscillator by 1 kHz, fX staying where it is: the product moves in the IF by e*n kHz, the wanted "
        f"station by {'1' if case.tuning.side == 'sum' else 's'} kHz. {_way(slope)}",
        sympy.Eq(rho, own),
        values,
    )
    yield Step(
        "Against a wanted carrier, which moves by 1, the pitch of a whistle changes by the difference, kHz per kHz.",
        sympy.Eq(R, sympy.Abs(rho - 1)),
        values,
    )
    if case.values[n]:
        half = Fraction(case.plan.if_filter.bandwidth_hz, 2)
        width = 2 * half / abs(case.values[n])
        yield Step(
            "It stays inside the IF filter over this much of the dial: the station itself over the whole width of the "
            "filter, the n-th harmonic of the oscillator runs through it n times as fast.",
            sympy.Eq(V, 2 * W / sympy.Abs(n)),
            case.having(W=half, V=width),
        )


def _way(slope: int) -> str:
    if slope == 0:
        return "It stands still: it is there all over the dial, and an AFC has no hold on it."
    if slope < 0:
        return "It moves the other way: tuning meter and AFC act backwards."
    return "It moves the same way: tuning meter and AFC act as on a station."


def falls(case: Case, law: int) -> Iterator[Step]:
    """Yield what a pad takes off a product of so many signals, each as often as it is taken."""
    order = sympy.Integer(law)
    left = sympy.Symbol("left", positive=True)
    pad = sympy.Symbol("pad", real=True)
    # The amplitude left behind a pad, to the power of the law, in dB again.
    factor = sympy.simplify(-20 * sympy.log((left**order).subs(left, 10 ** (-pad / 20))) / sympy.log(10))
    fall = sympy.expand(sympy.expand_log(factor, force=True))
    values = case.having(P=USUAL_PAD_DB, G=int(fall.subs(pad, USUAL_PAD_DB)))
    yield Step(
        f"Its amplitude goes with the {_power(law)} of what comes from the aerial: a pad of P dB takes this off it.",
        sympy.Eq(G, fall.subs(pad, P)),
        values,
    )
    yield Step(
        "The limiter or the AGC holds the wanted station, which falls by P itself: as a whistle on it the product "
        f"{_against(law)}.",
        sympy.Eq(H, G - P),
        {**values, H: values[G] - USUAL_PAD_DB},
    )


def _power(law: int) -> str:
    return {1: "first power", 2: "square", 3: "cube"}.get(law, f"{law}th power")


def _against(law: int) -> str:
    return "stays as it is" if law == 1 else "gets softer by the difference" if law > 1 else "gets louder"


def caught(case: Case) -> Iterator[Step]:
    """Yield how far a listed signal lands from the middle of the IF at a dial setting, and whether that is heard.

    The row has ``listed_hz``, its carrier, ``listed_at_hz``, the setting, and ``listed_name``.
    """
    row, plan = case.row, case.plan
    values = case.at(row["listed_at_hz"])
    values[fX] = Fraction(row["listed_hz"])
    offset = values[e] * (values[n] * values[fL] - values[m] * values[fX]) - values[fI]
    half = Fraction(plan.if_filter.bandwidth_hz, 2)
    yield Step(
        f"{row['listed_name']} with the dial on {setting(row['listed_at_hz'], plan.rounding)} lands so far from "
        "the middle "
        f"of the IF. The filter reaches {plan.rounding.fine(half)} to either side: {_reach(case, abs(offset), half)}.",
        sympy.Eq(o, EQUATION.lhs - EQUATION.rhs),
        {**values, o: offset},
    )


def _reach(case: Case, offset: Fraction, half: Fraction) -> str:
    if offset <= half:
        return "it sits in"
    if offset <= half + case.values[m] * case.plan.band.deviation_hz:
        return f"it reaches in with its deviation only, {case.values[m]} times that of its programme: bursts"
    return "it misses"
