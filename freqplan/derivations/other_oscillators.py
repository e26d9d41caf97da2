"""Other oscillators: clocks, later conversions, the synthesiser's reference, other sets, the stereo decoder."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import Any

import sympy

from freqplan.derivations.one_signal import begun
from freqplan.derivations.signs import EQUATION, TURNED, e, fI, fL, fT, fX, m, n, s, signs, solved_for
from freqplan.derivations.steps import Case, Step
from freqplan.derivations.tuned import falls, moves
from freqplan.hertz import HZ_IN

fC, fI2, fL2, fR, fQ, fS, fZ, fD, fJ, q, h, d, b, o, rho, R = signs(
    "fC fI2 fL2 fR fQ fS fZ fD fJ q h d b o rho R"
)


def clock(case: Case) -> Iterator[Step]:
    """Yield where a harmonic of a clock is received."""
    values = case.having(fC=Fraction(case.row["sources_hz"][0]))
    if case.values[n] == 0:
        target = fI2 if str(case.row.get("lands_on", "if")) != "if" else fI
        if target is fI2:
            values[fI2] = Fraction(_later_if(case))
        yield Step(
            "The m-th harmonic of the clock falls into an IF filter; the oscillator takes no part, so that it is "
            "there all "
            "over the dial. So far from the middle of the IF:",
            sympy.Eq(o, m * fC - target),
            {**values, o: values[m] * values[fC] - values[target]},
        )
        return
    yield from begun(case)
    yield Step("The signal is the clock, fX = fC:", EQUATION.subs(fX, fC), values)
    turned = TURNED.subs({fX: fC, fL: case.oscillator})
    yield Step(
        "Both sides times e, the oscillator put in, and solved for the dial:",
        sympy.Eq(fT, sympy.expand(solved_for(fT, turned))),
        values,
    )
    yield from moves(case)
    yield Step(
        "Nothing of it comes from the aerial: a pad does not lower it, and with the aerial out it stays."
    )


def _later_if(case: Case) -> int:
    number = int(str(case.row["lands_on"]).partition("-")[2] or 1)
    return case.plan.conversion[number - 1].intermediate_hz


def oscillator_product(case: Case) -> Iterator[Step]:
    """Yield what two oscillators make together, and where it lands."""
    sources = case.row["sources_hz"]
    first = Fraction(sources[0]) if len(sources) == 2 else case.values[fL]
    values = case.having(fL=first, fL2=Fraction(sources[-1]))
    values[fS] = values[n] * first + values[q] * values[fL2]
    if len(sources) == 1:
        yield Step("The first oscillator follows the dial:", sympy.Eq(fL, case.oscillator), values)
    yield Step(
        "Where two oscillators meet in one stage, it makes the sum of the n-th harmonic of the one and the q-th "
        "of the other, "
        "below zero the difference:",
        sympy.Eq(fS, n * fL + q * fL2),
        values,
    )
    yield Step(f"That is {_place(case)}.")
    yield Step("Nothing of it comes from the aerial: with the aerial out it stays.")


def _place(case: Case) -> str:
    where = str(case.row["lands_on"])
    if where == "dial":
        return "the dial setting itself, and it is received like a station"
    if where == "image":
        return "the image of the dial setting"
    number = int(where.partition("-")[2] or 1)
    return f"the IF behind mixer {number}"


def second_image(case: Case) -> Iterator[Step]:
    """Yield the image of a later conversion."""
    later_hz = Fraction(case.row["sources_hz"][0])
    values = case.having(fI2=later_hz)
    own = case.plan.conversion
    if case.tuning.side != "sum" and len(own) == 2 and later_hz == own[1].intermediate_hz:
        yield from _second_of_two(case, values)
    else:
        yield Step(
            "A later mixer has an image of its own. Referred to the aerial, step by step through the mixers "
            "before it:",
            sympy.Eq(fX, fT + q * fI2),
            values,
        )
    yield Step(
        "Tuned, it moves at the first IF as the station does, and the mixer that it is the image of turns it "
        "over: rho "
        "is -1, tuning meter and AFC act backwards, and a whistle on a station moves by",
        sympy.Eq(R, sympy.Abs(rho - 1)),
        case.having(rho=-1, R=2),
    )
    yield from falls(case, 1)


def _second_of_two(case: Case, values: dict[sympy.Symbol, Any]) -> Iterator[Step]:
    s1, s2 = signs("s1 s2")
    values |= {s1: case.tuning.t, s2: -int(values[q]) * case.tuning.t // 2}
    values[fL2] = values[fI] + values[s2] * values[fI2]
    values[o] = 2 * values[s2] * values[fI2]
    second = fI + s2 * fI2
    yield Step(
        "The second oscillator stands one second IF beside the first IF:", sympy.Eq(fL2, second), values
    )
    in_ifs = sympy.expand((fL2 + s2 * fI2).subs(fL2, second))
    yield Step(
        "Its image lies as far on its other side, and so far from the first IF:", sympy.Eq(o, in_ifs - fI), values
    )  # fmt: skip
    yield Step(
        "The signal that the first mixer brings there, s1*(fL - fX) being the first IF of the signal fX:",
        sympy.Eq(fX, case.received(case.oscillator, in_ifs).subs(s, s1)),
        values,
    )


def sideband(case: Case) -> Iterator[Step]:
    """Yield the place of a sideband of the synthesiser."""
    values = case.having(fR=Fraction(case.row["sources_hz"][0]))
    yield Step(
        "What the reference leaves in the tuning voltage puts sidebands beside the oscillator, q references away:"
    )
    yield Step("The oscillator follows the dial:", sympy.Eq(fL, case.oscillator), values)
    beside = case.oscillator + (-1 if case.tuning.side == "sum" else 1) * q * fR
    yield Step(
        "With one of them in its place, the station that gives the IF is as far from the dial setting:",
        sympy.Eq(fX, case.received(beside, fI)),
        values,
    )
    yield from moves(case)
    yield from falls(case, 1)


def ripple(case: Case) -> Iterator[Step]:
    """Yield the note that the reference gives in the sound."""
    reference = Fraction(case.row["sources_hz"][0], HZ_IN["kHz"])
    carrier = Fraction(case.row["tone_carrier_hz"], HZ_IN["kHz"])
    values = case.having(fQ=reference, fZ=carrier, b=abs(case.values[m] * reference - carrier))
    yield Step(
        "The reference swings the oscillator, and with it every station. The demodulator gives its harmonics:"
    )
    if carrier:
        yield Step(
            "The stereo decoder beats them with its own carrier, twice the pilot or an odd multiple of that; the "
            "note is:",
            sympy.Eq(b, sympy.Abs(m * fQ - fZ)),
            values,
        )
    else:
        yield Step("Below the end of the audio band they are heard as they are:", sympy.Eq(b, m * fQ), values)
    yield Step("Tuning has no part in it: the note is the same on every station.")


def neighbour(case: Case) -> Iterator[Step]:
    """Yield the note that a station beside makes in the stereo decoder."""
    row = case.row
    distance, carrier = (Fraction(row[name], HZ_IN["kHz"]) for name in ("offset_hz", "decoder_hz"))
    values = case.having(d=distance, fZ=carrier, b=abs(distance - carrier))
    yield Step(
        "Two carriers at a distance d turn against each other d times a second: the demodulator gives a tone of "
        "that frequency."
    )
    if row.get("line") == "pilot":
        yield Step("The pilot puts lines 19 kHz beside a carrier; d is the distance of the nearer one.")
    yield Step(
        "The decoder multiplies by its own carrier, to bring the difference of left and right down; a switch "
        "holds odd "
        "harmonics of it too. What lies near one of them comes down with it:",
        sympy.Eq(b, sympy.Abs(d - fZ)),
        values,
    )
    yield Step(
        "It comes down as a difference of left and right, in anti-phase. The oscillator moves both carriers "
        "alike: tuning does not move it."
    )


def other_set(case: Case) -> Iterator[Step]:
    """Yield at which setting another set's oscillator comes in, on the dial and on the image."""
    side = case.row.get("culprit_oscillator", case.tuning.side)
    theirs = fJ - fD if side == "sum" else fD + (1 if side == "high" else -1) * fJ
    values = dict(case.values)
    yield Step(
        "The other set's oscillator, and its h-th harmonic, is a carrier at the aerial:",
        sympy.Eq(fX, h * theirs),
        values,
    )
    way = case.row.get("way", "wanted")
    if way == "wanted":
        yield Step(
            "It is received like a station where it is the dial setting:", sympy.Eq(fT, h * theirs), values
        )
    elif way == "image":
        image = sympy.expand(solved_for(fX, TURNED.subs({m: 1, n: 1, e: -s})).subs(fL, case.oscillator))
        image = image if case.tuning.side != "sum" else 2 * fI - fT
        yield Step("It comes in on the image where it is:", sympy.Eq(fX, image), values)
    else:
        yield Step("It falls into the IF itself, all over the dial:", sympy.Eq(fI, h * theirs), values)
    yield from moves(case)
    yield Step("Tune the other set: the carrier moves h times as far.")
