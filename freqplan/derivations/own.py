"""What the set makes alone: harmonics of its IF, an oscillating IF strip, its oscillator in the IF or on a station."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

import sympy

from freqplan.derivations.one_signal import begun
from freqplan.derivations.signs import EQUATION, TURNED, e, fI, fL, fT, fX, m, n, s, signs, solved_for
from freqplan.derivations.steps import Case, Step

k, b, R, S, t, o, fI2 = signs("k b R S t o fI2")


def if_harmonic(case: Case) -> Iterator[Step]:
    """Yield where a harmonic of the IF meets a station, how it moves with the real IF, and how the pitch moves."""
    later = case.row.get("sources_hz")
    own = fI2 if later else fI
    values = case.having(fI2=Fraction(later[0])) if later else dict(case.values)
    yield Step(
        "What the limiter and the detector make of the IF at its k-th harmonic reaches the aerial end of the set, and "
        "is received there like any signal on its frequency:",
        sympy.Eq(fX, k * own),
        {**values, fX: values[k] * values[own]},
    )
    yield Step("It disturbs the station that is tuned in where the two meet:", sympy.Eq(fT, k * own), values)
    tolerance = case.plan.conversion[0].tolerance_hz
    if tolerance and not later:
        yield Step(
            f"If the real IF lies up to {case.plan.rounding.fine(tolerance)} {case.plan.rounding.unit} from the "
            "nominal one, "
            "the spot moves k times as far, to either side:",
            sympy.Eq(S, k * t),
            case.having(t=Fraction(tolerance), S=Fraction(tolerance) * case.values[k]),
        )
    if not later:
        yield from _pitch(case)
    yield Step(
        "No signal takes part but the carrier that is disturbed, and limiter or AGC hold the IF: a pad does not "
        "lower the "
        "whistle, it only lowers the station."
    )


def _pitch(case: Case) -> Iterator[Step]:
    """Yield the beat of a station with the harmonic of its own IF, and how it moves."""
    station_if = case.wanted.lhs
    harmonic_if = station_if.subs(fX, k * station_if)
    beat = sympy.expand(harmonic_if - station_if)
    if case.tuning.side != "sum":
        beat = sympy.collect(beat.subs(s**2, 1), s)
    meets = {**case.values, fX: case.values[fT], b: Fraction(0)}
    yield Step(
        "The IF of the station fX, times k, comes in as a signal; the note is how far its IF lies from that of "
        "the station "
        "itself, nothing where they meet:",
        sympy.Eq(b, sympy.expand(beat)),
        meets,
    )
    slope = sympy.Abs(sympy.diff(beat, fL))
    yield Step(
        "Tune the set: the note moves by so many kHz per kHz, on either side of the oscillator.",
        sympy.Eq(R, slope),
        {**meets, R: int(slope.subs(case.values))},
    )
    moved = sympy.Abs(sympy.diff(beat, fX))
    yield Step(
        "Leave the set alone and move the station, or a generator in its place: it moves by so many kHz per kHz.",
        sympy.Eq(R, moved),
        {**meets, R: int(moved.subs(case.values))},
    )


def if_oscillation(case: Case) -> Iterator[Step]:
    """Yield the beat of a strip that oscillates with every station."""
    yield Step(
        "The IF strip makes a carrier of its own on the IF, which needs no signal and does not tune. A station is "
        "received:",
        case.wanted,
        {**case.values, fX: case.values[fT]},
    )
    beat = case.wanted.lhs - fI
    yield Step("On every station it makes a note of how far its IF lies from that carrier:", sympy.Eq(b, beat), {
        **case.values, fX: case.values[fT], b: Fraction(0),
    })  # fmt: skip
    slope = sympy.Abs(sympy.diff(beat, fL))
    yield Step(
        "Tuned by 1 kHz, the note moves by", sympy.Eq(R, slope), case.having(R=int(slope.subs(case.values)))
    )
    yield Step(
        "Without a station the carrier alone is left: the noise is quiet and the meter up, all over the dial."
    )


def oscillator_in_if(case: Case) -> Iterator[Step]:
    """Yield the dial setting where a harmonic of the oscillator falls on the IF."""
    yield Step("The oscillator follows the dial:", sympy.Eq(fL, case.oscillator), case.values)
    meets = sympy.Eq(n * fL, fI)
    yield Step(
        "Its n-th harmonic falls on the IF and drives it full, without any signal:", meets, case.values
    )
    in_dial = sympy.Eq(n * case.oscillator, fI)
    solved = solved_for(fT, in_dial)
    yield Step(
        "The oscillator put in, and solved for the dial setting:",
        sympy.Eq(fT, sympy.expand(solved)),
        case.values,
    )
    yield Step("No signal takes part: with the aerial out it stays, and a pad changes nothing.")


def oscillator_on_station(case: Case) -> Iterator[Step]:
    """Yield where the oscillator stands on a station, and why a fan of ghosts closes in on that."""
    yield from begun(case)
    yield Step("It stands on the station:", sympy.Eq(fX, fL), case.values)
    solved = solved_for(fT, sympy.Eq(fX, case.oscillator))
    yield Step("The dial is then on:", sympy.Eq(fT, solved), case.values)
    fan = solved_for(fX, TURNED.subs(m, n))
    yield Step(
        "The responses of the same station with equal harmonics, m = n, lie closer and closer to that:",
        sympy.Eq(fX, sympy.expand(fan)),
    )
    yield Step(
        "for many harmonics they end on the oscillator itself:",
        sympy.Eq(fX, sympy.limit(sympy.expand(fan), n, sympy.oo)),
    )
    beat = EQUATION.lhs.subs({m: 1, n: 1})
    yield Step("What the two give together is no IF but nothing at all, zero:", sympy.Eq(o, beat), {
        **case.values, e: 1, o: Fraction(0),
    })  # fmt: skip
