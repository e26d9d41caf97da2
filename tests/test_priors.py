"""How often each cause is met: the weights and the catalogue speak of the same causes."""

from __future__ import annotations

import pytest

from freqplan.diagnosis.priors import NONE, UNWEIGHTED, WEIGHTS, weight
from freqplan.mechanisms import catalogue


def test_every_mechanism_of_the_catalogue_has_a_weight_and_no_other():
    assert set(WEIGHTS) == set(catalogue())


def test_what_stands_for_all_the_rest_comes_last_and_says_so():
    assert list(catalogue())[-1] == NONE
    assert catalogue()[NONE].title == "none of these"


@pytest.mark.parametrize("mechanism", catalogue())
def test_a_weight_is_above_nothing(mechanism):
    assert weight(mechanism) > 0


def test_a_mechanism_from_outside_counts_as_one_among_many():
    assert weight("locked-marker") == UNWEIGHTED
    assert min(WEIGHTS.values()) < UNWEIGHTED < max(WEIGHTS.values())
