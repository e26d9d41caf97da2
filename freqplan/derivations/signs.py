"""The signs that formulas are written in, each with its meaning, and the two equations that all begin with."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Literal

import sympy
from sympy import Symbol

Unit = Literal["hertz", "kHz", "number", "dB", "angle", "us"]


@dataclass(frozen=True)
class Sign:
    """A sign, and what it stands for.

    Attributes
    ----------
    symbol : sympy.Symbol
        As it stands in formulas.
    latex : str
        The same for LaTeX.
    unit : str
        ``"hertz"`` (in hertz, written in the unit of the band), ``"kHz"`` (in kilohertz: notes, and what the
        demodulator gives), ``"dB"``, ``"us"``, ``"angle"``, or ``"number"`` for what has none.
    meaning : str
        In a few words.
    """

    symbol: Symbol
    latex: str
    unit: Unit
    meaning: str


WHOLE = frozenset({"e", "s", "s1", "s2", "h", "m", "n", "k", "q"})
"""Signs of whole numbers, which melt into the factor in front of a term when they are put in."""

EITHER_SIGN = frozenset(
    {
        "e",
        "s",
        "s1",
        "s2",
        "n",
        "q",
        "rho",
        "o",
        "b",
        "g3",
        "theta",
        "phi",
        "v",
        "y",
        "u",
        "dX",
        "X",
        "K",
        "P0",
        "PW",
        "GA",
    }
)
"""Signs of what may be negative."""


def _sign(name: str, latex: str, unit: Unit, meaning: str) -> Sign:
    whole = {"integer": True} if name in WHOLE else {"real": True}
    either_sign = {} if name in EITHER_SIGN else {"positive": True}
    return Sign(Symbol(name, **whole, **either_sign), latex, unit, meaning)


_ALL = (
    _sign("e", "e", "number", "+1 or -1: which way round the difference is taken"),
    _sign("s", "s", "number", "+1 oscillator above the signal, -1 below"),
    _sign("s1", "s_1", "number", "+1 first oscillator above the signal, -1 below"),
    _sign("s2", "s_2", "number", "+1 second oscillator above the first IF, -1 below"),
    _sign("h", "h", "number", "harmonic of another set's oscillator"),
    _sign("m", "m", "number", "harmonic of the signal"),
    _sign("n", "n", "number", "harmonic of the oscillator"),
    _sign("k", "k", "number", "harmonic of the IF"),
    _sign("q", "q", "number", "harmonic of the later oscillator or of the reference"),
    _sign("fL", "f_L", "hertz", "oscillator"),
    _sign("fL2", "f_{L2}", "hertz", "second oscillator"),
    _sign("fT", "f_T", "hertz", "dial setting"),
    _sign("F1", "F_1", "hertz", "lower end of the band"),
    _sign("F2", "F_2", "hertz", "upper end of the band"),
    _sign("fX", "f_X", "hertz", "the other signal"),
    _sign("A", "A", "hertz", "first station"),
    _sign("B", "B", "hertz", "second station"),
    _sign("C", "C", "hertz", "third station"),
    _sign("fC", "f_C", "hertz", "clock"),
    _sign("fR", "f_R", "hertz", "reference of the synthesiser"),
    _sign("fQ", "f_Q", "kHz", "reference of the synthesiser"),
    _sign("fI", "f_I", "hertz", "intermediate frequency"),
    _sign("fI2", "f_{I2}", "hertz", "second intermediate frequency"),
    _sign("fN", "f_N", "hertz", "nominal IF"),
    _sign("fS", "f_S", "hertz", "where it lands: the dial setting or an IF"),
    _sign("fD", "f_D", "hertz", "dial setting of the other set"),
    _sign("fJ", "f_J", "hertz", "IF of the other set"),
    _sign("fZ", "f_Z", "kHz", "carrier in the stereo decoder"),
    _sign("b", "b", "kHz", "beat: the note heard"),
    _sign("o", "o", "hertz", "offset from the middle of the IF"),
    _sign("d", "d", "kHz", "distance of two carriers"),
    _sign("W", "W", "hertz", "half the IF filter"),
    _sign("V", "V", "hertz", "width on the dial"),
    _sign("D", "D", "kHz", "peak deviation of the programme"),
    _sign("f0", "f_0", "hertz", "where it just leaves the band"),
    _sign("dX", r"\Delta", "hertz", "how far it lies from the dial setting"),
    _sign("S", "S", "hertz", "how far its spot moves"),
    _sign("t", "t", "hertz", "how far the real IF may lie from the nominal one"),
    _sign("rho", r"\rho", "number", "tuning slope: movement in the IF against that of the wanted station"),
    _sign("R", "R", "number", "beat rate: kHz of pitch per kHz of tuning"),
    _sign("N", "N", "number", "tuned circuits"),
    _sign("Q", "Q", "number", "loaded Q"),
    _sign("y", "y", "number", "how far a circuit is off tune"),
    _sign("L", "L", "dB", "lost in the tuned circuits"),
    _sign("LT", "L_T", "dB", "lost there by the station on the dial setting"),
    _sign("K", "K", "dB", "rejection: how much stronger it must be for equal output"),
    _sign(
        "X", "X", "dB", "how far the mixer's product lies below that of the station, at its reference level"
    ),
    _sign("P0", "P_0", "dB", "reference level of the mixer, in dB(uV)"),
    _sign("PW", "P_W", "dB", "level of the station at the aerial, in dB(uV)"),
    _sign("GA", "G_A", "dB", "gain from aerial to mixer"),
    _sign("P", "P", "dB", "pad in the aerial lead"),
    _sign("G", "G", "dB", "what the pad takes off the product"),
    _sign("H", "H", "dB", "what it takes off against the station, which the limiter holds"),
    _sign("r", "r", "number", "voltage of the weak carrier over that of the wanted one"),
    _sign("a", "a", "number", "amplitude of the signal"),
    _sign("c", "c", "number", "amplitude of the strong station"),
    _sign("g", "g", "number", "gain left, of 1"),
    _sign("g3", "g_3", "number", "cubic coefficient of the device"),
    _sign("x", "x", "number", "highest over lowest oscillator"),
    _sign("z", "z", "number", "highest over lowest capacitance"),
    _sign("zS", "z_S", "number", "highest over lowest capacitance of the signal circuits"),
    _sign("u", "u", "number", "trimmer across the oscillator section over its least capacitance"),
    _sign("theta", r"\theta", "angle", "angle between the two carriers"),
    _sign("phi", r"\varphi", "angle", "phase of their sum"),
    _sign("v", "v", "kHz", "deviation that the demodulator gives"),
    _sign("M", "M", "dB", "loudness against full programme"),
    _sign("E", "E", "dB", "de-emphasis"),
    _sign("tau", r"\tau", "us", "time constant of the de-emphasis"),
)
SIGNS: Mapping[str, Sign] = {sign.symbol.name: sign for sign in _ALL}
"""Every sign by its name, in the order in which they stand in a product and in a list of signs."""

RANK: Mapping[Symbol, int] = {sign.symbol: place for place, sign in enumerate(_ALL)}


def sign(name: str) -> Symbol:
    """Return a sign by its name."""
    return SIGNS[name].symbol


def signs(names: str) -> tuple[Symbol, ...]:
    """Return several signs by their names, parted by blanks."""
    return tuple(map(sign, names.split()))


e, s, m, n, k, fL, fT, fX, fI = signs("e s m n k fL fT fX fI")

EQUATION = sympy.Eq(e * (n * fL - m * fX), fI)
"""A product of the m-th harmonic of a signal and the n-th of the oscillator falls on the IF; IEC 60050-161:2016, entry
161-06-06, with the sign written out."""

TURNED = sympy.Eq(n * fL - m * fX, e * fI)
"""The same with both sides times e, for e*e is 1."""


@cache
def solved_for(unknown: Symbol, equation: sympy.Eq) -> sympy.Expr:
    """Return the one solution of an equation; the same few are solved again and again."""
    (solution,) = sympy.solve(equation, unknown)
    return solution


def oscillator(side: str) -> sympy.Expr:
    """Return the oscillator in terms of dial and IF: fT + s*fI, or fI - fT in a sum converter."""
    return fI - fT if side == "sum" else fT + s * fI
