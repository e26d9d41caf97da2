"""What the cubic term of a device does to a weak signal beside a strong one."""

from __future__ import annotations

from collections.abc import Iterator

import sympy

from freqplan.derivations.signs import signs
from freqplan.derivations.steps import Case, Step

a, c, g, g3, G, P = signs("a c g g3 G P")


def gain_left() -> sympy.Expr:
    """Return the gain left to a weak signal beside one of amplitude c, in a device x + g3*x^3."""
    weak, strong = sympy.symbols("u1 u2")
    both = a * (weak + 1 / weak) / 2 + c * (strong + 1 / strong) / 2
    output = sympy.expand(both + g3 * both**3)
    own = 2 * output.coeff(weak, 1).coeff(strong, 0)
    # Weak: its own cube is left out.
    return sympy.expand(sympy.limit(sympy.expand(own / a), a, 0))


def blocking(case: Case) -> Iterator[Step]:
    """Yield how much gain a strong station leaves to a weak one."""
    yield from _begun()
    left = gain_left()
    values = case.having(c=sympy.Rational(1, 2), g3=sympy.Rational(-4, 3))
    values[g] = left.subs(values)
    yield Step(
        "What multiplies the weak signal is the gain left to it; g3 is below zero in a stage that limits. With a "
        "strong signal of "
        "half a unit and g3 = -4/3, say:",
        sympy.Eq(g, left),
        values,
    )
    yield Step(
        "What is lost goes with the square of the strong signal: a pad of 10 dB makes it a tenth, so that the "
        "weak one, 10 dB "
        "lower at the aerial, comes out of a blocked stage stronger."
    )


def cross_modulation(case: Case) -> Iterator[Step]:
    """Yield how a strong carrier's modulation gets onto a weak one."""
    yield from _begun()
    left = gain_left()
    slope = sympy.diff(left, c)
    yield Step("The gain left to the weak signal is:", sympy.Eq(g, left))
    yield Step(
        "The strong carrier's amplitude c swings with its programme, and the gain of every other carrier swings "
        "with it, by so "
        f"much for each unit of c: {sympy.sstr(slope).replace('**', '^')}. On FM nothing swings: its amplitude is "
        "constant."
    )
    square = 2 * P
    yield Step(
        "A swing by a share of c moves the gain by that share times the square of c: what is carried over falls, "
        "against the "
        "wanted programme, by:",
        sympy.Eq(G, square),
        case.having(P=10, G=20),
    )


def _begun() -> Iterator[Step]:
    yield Step(
        "A stage gives x + g3*x^3 for what goes in; x is the weak signal of amplitude a and the strong one of "
        "amplitude c. "
        "Multiplied out, the weak signal's own frequency comes from both terms."
    )
