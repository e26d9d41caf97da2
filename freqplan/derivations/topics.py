"""What can be derived: every mechanism of the catalogue, and questions that a class asks."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import partial

import sympy
from sympy.parsing.sympy_parser import parse_expr

from freqplan.derivations import (
    adjusted,
    choices,
    hearing,
    one_signal,
    other_oscillators,
    overloaded,
    own,
    stations,
)
from freqplan.derivations.signs import SIGNS
from freqplan.derivations.steps import Case, Derive, Step


def unsummed(case: Case) -> Iterator[Step]:
    """Yield why there is nothing to reckon."""
    yield Step(
        "No sum of frequencies stands behind it: at every dial setting, with every IF and on either side of the "
        "oscillator it "
        "can be there or not. It is told from all others by how it shows itself, and by the test."
    )


DERIVATIONS: Mapping[str, Derive] = {
    "image": one_signal.lesson_of_response,
    "if-breakthrough": one_signal.lesson_of_response,
    "half-if": one_signal.lesson_of_response,
    "fractional-if": one_signal.lesson_of_response,
    "oscillator-harmonic": one_signal.lesson_of_response,
    "signal-harmonic": one_signal.lesson_of_response,
    "harmonic-mixing": one_signal.lesson_of_response,
    "self-mixing": one_signal.self_mixing,
    "if-harmonic": own.if_harmonic,
    "if-oscillation": own.if_oscillation,
    "oscillator-in-if": own.oscillator_in_if,
    "oscillator-on-station": own.oscillator_on_station,
    "second-order": stations.station_sum,
    "third-order": stations.station_sum,
    "third-order-outside": stations.station_sum,
    "if-spaced-pair": stations.pair_one_if_apart,
    "pair-half-if": stations.pair_half_if,
    "internal-clock": other_oscillators.clock,
    "synthesiser-sideband": other_oscillators.sideband,
    "reference-ripple": other_oscillators.ripple,
    "second-image": other_oscillators.second_image,
    "oscillator-product": other_oscillators.oscillator_product,
    "decoder-neighbour": other_oscillators.neighbour,
    "other-receiver": other_oscillators.other_set,
    "blocking": overloaded.blocking,
    "cross-modulation": overloaded.cross_modulation,
    "wrong-side": adjusted.wrong_side,
    "oscillator-off": adjusted.oscillator_off,
    "if-off-centre": adjusted.if_off_centre,
    "transmitter-harmonic": stations.transmitter_harmonic,
}
"""How each mechanism is derived; the others have no sum, see `unsummed`."""


@dataclass(frozen=True)
class Question:
    """A question that is no mechanism.

    Attributes
    ----------
    id, title : str
        Its name on the command line, and in a sentence.
    derive : callable
        (case) -> steps.
    """

    id: str
    title: str
    derive: Derive


QUESTIONS: tuple[Question, ...] = (
    Question("why-10.7", "why the IF is what it is", choices.why_this_if),
    Question("which-side", "which side of the signal the oscillator takes", choices.which_side),
    Question("tracking", "tracking, and the ratio of the oscillator", choices.tracking),
    Question("why-half-if", "why the half-IF response is at half the IF", hearing.why_half_if),
    Question("pad", "what a pad tells", hearing.pad),
    Question("whistle", "why a whistle gets louder with its pitch on FM", hearing.whistle),
)


def as_given(formula: str, case: Case) -> Iterator[Step]:
    """Yield the sum that a family from outside gives, with numbers where those of the case fulfil it."""
    signs = {name: sign.symbol for name, sign in SIGNS.items()}
    left, right = (parse_expr(side, local_dict=signs) for side in formula.split("="))
    used = (left - right).free_symbols
    known = {symbol: case.values[symbol] for symbol in used if symbol in case.values}
    is_met = len(known) == len(used) and (left - right).subs(known) == 0
    yield Step("Its family gives the sum:", sympy.Eq(left, right, evaluate=False), known if is_met else {})


def derivation_of(mechanism: str, formula: str = "") -> Derive:
    """Return how a mechanism is derived; of one that has a formula only, how that comes out."""
    if formula and mechanism not in DERIVATIONS:
        return partial(as_given, formula)
    return DERIVATIONS.get(mechanism, unsummed)
