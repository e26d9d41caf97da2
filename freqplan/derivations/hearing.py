"""Why the half-IF is at half the IF, what a pad tells, and why a whistle on FM gets louder with its pitch."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from math import log10

import numpy as np
import sympy

from freqplan.derivations.notation import lg
from freqplan.derivations.one_signal import begun, located
from freqplan.derivations.signs import EQUATION, TURNED, e, fI, fL, fT, fX, m, n, s, signs, solved_for
from freqplan.derivations.steps import Case, Step, case_of
from freqplan.derivations.tuned import USUAL_PAD_DB
from freqplan.hertz import HZ_IN
from freqplan.tones import deemphasis_db

G, H, P, r, d, theta, phi, v, D, M, E, tau, b, fZ = signs("G H P r d theta phi v D M E tau b fZ")

PITCHES_KHZ = (1, 3, 10)


def why_half_if(case: Case) -> Iterator[Step]:
    """Yield why the second harmonics meet at half the IF, and why the signal is not at half the dial setting."""
    yield from begun(case)
    doubled = EQUATION.subs({m: 2, n: 2})
    difference = e * (fL - fX)
    times = sympy.cancel(doubled.lhs / difference)
    yield Step("Take the second harmonic of both:", sympy.Eq(e * (2 * fL - 2 * fX), fI))
    yield Step(
        "That is twice their difference. So the difference itself need only be half the IF, and doubling it does "
        "the rest:",
        sympy.Eq(difference, doubled.rhs / times),
    )
    for sense, words in ((1, "nearer"), (-1, "farther")):
        way = sense * (case.values.get(s, 1))
        signal = Fraction(2 * case.values[fL] - way * case.values[fI]) / 2
        if signal <= 0:
            continue
        there = case_of(case.plan, case.tuning, {"m": 2, "n": 2, "e": way}, dial_hz=case.values[fT], fX=signal,
                        title=f"the {words} one" if s in case.values else "one of the two")  # fmt: skip
        yield from list(located(there))[2:]
    for count in (3, 4):
        fan = sympy.expand(solved_for(fX, TURNED.subs({m: count, n: count})))
        sense = case.values.get(s, 1)
        values = case.having(e=sense)
        values[fX] = values[fL] - Fraction(sense * values[fI], count)
        yield Step(f"With {count} for 2, the difference is the IF over {count}:", sympy.Eq(fX, fan), values)
    half = case.values[fT] / 2
    yield Step(
        "It is not at half the dial setting. What comes in there is the second harmonic of the signal with the "
        "oscillator itself, "
        "m = 2 and n = 1:",
        sympy.Eq(fX, fT / 2),
        {**case.values, fX: half},
    )


def pad(case: Case) -> Iterator[Step]:
    """Yield the level law for every m, and how a whistle changes against a station that is held."""
    order = sympy.Symbol("order", positive=True, integer=True)
    left = 10 ** (-P / 20)
    fall = sympy.simplify(sympy.expand_log(-20 * sympy.log(left**order) / sympy.log(10), force=True)).subs(
        order, m
    )
    yield Step(
        "A pad of P dB leaves of an amplitude the share",
        sympy.Eq(r, left),
        case.having(P=USUAL_PAD_DB, r=10 ** (-USUAL_PAD_DB / 20)),
    )
    yield Step(
        "The m-th harmonic of a signal comes from the m-th power in the characteristic, and its amplitude goes "
        "with the m-th power "
        "of that of the signal. In dB:",
        sympy.Eq(G, fall),
    )
    yield Step(
        "The limiter or the AGC holds the wanted station, though it falls by P. Against it the product falls by:",
        sympy.Eq(H, fall - P),
    )
    for law, what in (
        (
            0,
            "what is born in the set, an IF harmonic or a clock, does not fall: its whistle gets louder against "
            "the station",
        ),
        (1, "an image, a harmonic of the oscillator, or what is made outside the set: its whistle stays"),
        (2, "a half-IF response, or a sum of two stations"),
        (3, "a third-order product, or the third harmonic of a signal"),
    ):
        values = case.having(m=law, P=USUAL_PAD_DB, G=law * USUAL_PAD_DB, H=(law - 1) * USUAL_PAD_DB)
        yield Step(f"m = {law}: {what}.", sympy.Eq(H, fall - P), values)
    yield Step(
        "So the pad gives m. The width on the dial gives n, and the meter gives e*s: together they name the sum. "
        "An RF AGC that "
        "gives back what the pad takes, or a limiter that is not reached, spoils the reading."
    )


def whistle(case: Case) -> Iterator[Step]:
    """Yield the tone that a weak carrier makes: growing with its pitch on FM, not on AM."""
    if case.plan.band.modulation == "am":
        yield from _on_am(case)
        return
    yield Step(
        "A wanted carrier of amplitude 1, and a weak one of amplitude r at the distance d. Seen from the wanted "
        "one, the weak one "
        "turns d times a second: its angle is theta. The phase of their sum is that of 1 + r*exp(i*theta), a "
        "series of sines:",
        sympy.Eq(phi, phase_series()),
    )
    deviation = sympy.expand(d * sympy.diff(phase_series(), theta))
    yield Step(
        "The demodulator gives how fast the phase turns, and theta turns d times a second:",
        sympy.Eq(v, deviation),
    )
    yield Step(
        "So the note has the peak deviation r*d: for the same carrier the farther away, the louder. Its second "
        "harmonic is r times as strong."
    )
    yield from _louder(case)
    yield from _in_stereo(case)


def phase_series() -> sympy.Expr:
    """Return the phase of 1 + r*exp(i*theta) up to the third power of r."""
    power = sympy.Symbol("w")
    series = sympy.series(sympy.log(1 + power), power, 0, 4).removeO()
    return sum(
        (series.coeff(power, count) * r**count * sympy.sin(count * theta) for count in (1, 2, 3)),
        sympy.Integer(0),
    )


def _louder(case: Case) -> Iterator[Step]:
    deviation = Fraction(case.plan.band.deviation_hz, HZ_IN["kHz"])
    constant = case.plan.stereo.deemphasis_us
    yield Step(
        "Against full programme, whose peak deviation is D, less what the de-emphasis takes off at that pitch:",
        sympy.Eq(M, 20 * lg(r * d / D) - E),
    )
    for pitch in PITCHES_KHZ:
        ratio = Fraction(1, 10)
        lost = float(deemphasis_db(np.array([pitch * HZ_IN["kHz"]], dtype=np.int64), constant)[0])
        angle = 2 * sympy.pi * b * tau / HZ_IN["kHz"]
        values = case.having(b=Fraction(pitch), d=Fraction(pitch), tau=constant, E=lost, r=ratio, D=deviation)
        values[M] = 20 * log10(float(ratio * values[d] / deviation)) - lost
        if pitch == PITCHES_KHZ[0]:
            yield Step(
                "The de-emphasis, a resistor and a capacitor of the time constant tau in microseconds:",
                sympy.Eq(E, 10 * lg(1 + angle**2)),
                values,
            )
        yield Step(
            f"r = 0.1, that is 20 dB down, at {pitch} kHz:",
            sympy.Eq(M, 20 * lg(r * d / D) - E),
            values,
        )


def _in_stereo(case: Case) -> Iterator[Step]:
    if case.plan.stereo.decoder == "none":
        return
    values = case.having(d=Fraction(30), fZ=Fraction(38), b=Fraction(8))
    yield Step(
        "Beyond 15 kHz it is not heard in mono. A stereo decoder brings what lies near 38 kHz down as well; at "
        "30 kHz, say:",
        sympy.Eq(b, sympy.Abs(d - fZ)),
        values,
    )


def _on_am(case: Case) -> Iterator[Step]:
    yield Step(
        "A wanted carrier of amplitude 1 and a weak one of amplitude r at the distance d: the envelope swings "
        "between 1 + r and 1 - r, "
        "d times a second, whatever d is.",
        sympy.Eq(b, d),
        case.having(b=Fraction(3), d=Fraction(3)),
    )
    yield Step(
        "Against full modulation its loudness is that of the carriers' ratio, at any pitch:",
        sympy.Eq(M, 20 * lg(r)),
        case.having(r=Fraction(1, 10), M=-20),
    )
    yield Step("On FM it would grow with its pitch, for the demodulator gives how fast the phase turns: r*d.")
