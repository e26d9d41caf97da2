"""Sets out of adjustment: what the scale reads when the oscillator or the IF is not where it was made for."""

from __future__ import annotations

from collections.abc import Iterator

import sympy

from freqplan.derivations.signs import e, fI, fL, fT, fX, s, signs, solved_for
from freqplan.derivations.steps import Case, Step

fN, dX, x, z = signs("fN dX x z")


def wrong_side(case: Case) -> Iterator[Step]:
    """Yield what a scale reads when the oscillator stands on the other side of the station."""
    values = dict(case.values)
    if case.tuning.side == "sum":
        yield Step("A sum converter has one side only: the other solution of its equation is its image.")
        return
    yield Step("The scale was made for an oscillator at", sympy.Eq(fL, fT + s * fI), values)
    yield Step(
        "On that very frequency it also stands one IF from the station on its other side:",
        sympy.Eq(fL, fX - s * fI),
        values,
    )
    reads = solved_for(fX, sympy.Eq(fT + s * fI, fX - s * fI))
    yield Step("So where the scale reads fT, the station is:", sympy.Eq(fX, reads), values)
    yield Step(
        "In the equation that is m = n = 1 with the other e:", sympy.Eq(fX, fL - e * fI), {**values, e: -case.tuning.t}
    )  # fmt: skip
    yield Step(
        "That is the place of the image. Seen from a strong station its half-IF ghosts have changed sides as "
        "well, and an AFC "
        "made for the right side pushes instead of pulling."
    )


def oscillator_off(case: Case) -> Iterator[Step]:
    """Yield what a scale reads when the oscillator is off by a factor."""
    yield Step("The scale was made for an oscillator at", sympy.Eq(fL, case.oscillator), case.values)
    received = case.received(x * case.oscillator, fI)
    yield Step(
        "Off by a factor x it receives, where the scale reads fT:", sympy.Eq(fX, received), case.values
    )
    capacitance = solved_for(z, sympy.Eq(x, z ** sympy.Rational(-1, 2)))
    yield Step(
        "The frequency of a circuit goes with one over the root of its capacitance; so many times as large as it "
        "should be is "
        "the whole of it:",
        sympy.Eq(z, capacitance),
        case.values,
    )
    yield Step(
        "Off by a constant: the pointer. Growing with the oscillator: its coil or all its capacitance. With its "
        "cube: the trimmer."
    )


def if_off_centre(case: Case) -> Iterator[Step]:
    """Yield the error of the scale when the IF is not the nominal one."""
    values = dict(case.values)
    if case.tuning.side == "sum":
        values[fL] = values[fN] - values[fT]
        yield Step("The scale was made for the nominal IF:", sympy.Eq(fL, fN - fT), values)
        yield Step(
            "The station that gives the real IF:",
            sympy.Eq(fX, solved_for(fX, sympy.Eq(fL + fX, fI))),
            values,
        )
        yield Step(
            "The scale reads more than the station has, by:",
            sympy.Eq(dX, fN - fI),
            {**values, dX: values[fT] - values[fX]},
        )
        return
    values[fL] = values[fT] + values[s] * values[fN]
    yield Step("The scale was made for the nominal IF:", sympy.Eq(fL, fT + s * fN), values)
    station = fL - s * fI
    yield Step("The station that gives the real IF:", sympy.Eq(fX, station), values)
    error = sympy.expand(fT - station.subs(fL, fT + s * fN))
    yield Step(
        "The scale reads more than the station has, everywhere alike, by:",
        sympy.Eq(dX, sympy.factor(error)),
        {**values, dX: values[fT] - values[fX]},
    )
