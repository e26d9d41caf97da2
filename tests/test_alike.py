"""Mechanisms that behave alike on tuning and behind a pad: the table of the physics, and laws of likeness."""

from __future__ import annotations

import pytest
from pictures import EVERY_PLAN, demo

from freqplan.alike import Signature, signatures, taken_for
from freqplan.mechanisms import catalogue

# Tuning slope and level law as derived on paper: e n s and m for a product of one signal, the total order for sums of
# stations, 1 for what is made outside the set, 0 for what is made inside it.
ON_PAPER = {
    "image": {(-1, 1)},
    "if-breakthrough": {(0, 1)},
    "half-if": {(2, 2), (-2, 2)},
    "fractional-if": {(3, 3), (-3, 3)},
    "oscillator-harmonic": {(2, 1), (-2, 1)},
    "signal-harmonic": {(1, 2), (-1, 2)},
    "if-spaced-pair": {(0, 2)},
    "second-order": {(1, 2)},
    "third-order": {(1, 3)},
    "third-order-outside": {(1, 1)},
    "pair-half-if": {(2, 2), (-2, 2)},
    "internal-clock": {(1, 0)},
    "other-receiver": {(1, 1)},
}


@pytest.mark.parametrize("side", ["high", "low", "unknown"])
@pytest.mark.parametrize("mechanism", ON_PAPER)
def test_a_signature_is_that_derived_on_paper_on_either_side(mechanism, side):
    found = signatures(demo("pantry").with_changes(oscillator=side))
    assert {tuple(one) for one in found[mechanism]} == ON_PAPER[mechanism]


def test_two_conversions_and_a_synthesiser_bring_theirs():
    found = signatures(demo("shed"))
    assert found["second-image"] == {Signature(-1, 1)}
    assert found["synthesiser-sideband"] == {Signature(1, 1)}


def test_what_is_taken_for_an_image_is_the_second_image_only_where_there_is_one():
    assert dict(taken_for(demo("pantry"), "image")) == {}
    assert dict(taken_for(demo("shed"), "image")) == {
        "second-image": "as wide as a station, meter backwards, a 10 dB pad takes 10 dB off"
    }


def test_half_if_of_one_and_of_two_stations_are_taken_for_each_other():
    assert dict(taken_for(demo("pantry"), "half-if")) == {
        "pair-half-if": "half as wide as a station, meter normal, a 10 dB pad takes 20 dB off; or "
        "half as wide as a station, meter backwards, a 10 dB pad takes 20 dB off"
    }


@pytest.mark.parametrize("plan", EVERY_PLAN)
def test_likeness_is_mutual_and_nothing_is_like_itself(plan):
    like = {mechanism: taken_for(plan, mechanism) for mechanism in catalogue()}
    for mechanism, others in like.items():
        assert mechanism not in others
        for other, how in others.items():
            assert like[other][mechanism] == how
    assert any(like.values())


@pytest.mark.parametrize(
    ("slope", "law", "said"),
    [
        (0, 2, "the same all over the dial, a 10 dB pad takes 20 dB off"),
        (1, 0, "as wide as a station, meter normal, a pad leaves it as it is"),
        (-3, 3, "a third as wide as a station, meter backwards, a 10 dB pad takes 30 dB off"),
        (5, 5, "1/5 as wide as a station, meter normal, a 10 dB pad takes 50 dB off"),
    ],
)
def test_a_signature_is_told_in_words(slope, law, said):
    assert Signature(slope, law).words == said
