"""Labels along an axis: no overlap, order kept, moved as little as can be."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from freqplan.charts.labels import fits, spread

PLACES = st.lists(st.floats(-50, 150), max_size=12)
CLOSE = 1e-6


@given(places=PLACES, gap=st.floats(0, 8))
def test_labels_stand_apart_inside_the_axis_and_in_order(places, gap):
    moved = spread(places, gap=gap, low=0, high=100)
    assert len(moved) == len(places)
    assert all(-CLOSE <= place <= 100 + CLOSE for place in moved)
    pairs = itertools.combinations(sorted(zip(places, range(len(places)), moved, strict=True)), 2)
    assert all(after - before >= gap - CLOSE for (_, _, before), (_, _, after) in pairs)


@given(places=st.lists(st.integers(0, 30), min_size=1, max_size=4), gap=st.integers(0, 4))
def test_no_other_way_to_stand_apart_moves_them_less(places, gap):
    def moved_by(found):
        return sum((new - old) ** 2 for new, old in zip(found, places, strict=True))

    rising = sorted(range(len(places)), key=places.__getitem__)
    best = moved_by(spread(places, gap=gap, low=0, high=14))
    for tried in itertools.combinations_with_replacement(range(15), len(places)):
        if all(after - before >= gap for before, after in itertools.pairwise(tried)):
            found = [0] * len(places)
            for place, index in zip(tried, rising, strict=True):
                found[index] = place
            assert best <= moved_by(found) + CLOSE


def test_labels_with_room_stay_where_they_are():
    assert spread([10, 50, 30], gap=5, low=0, high=100) == [10, 50, 30]


def test_two_on_one_place_move_by_half_the_gap_each():
    assert spread([50, 50], gap=6, low=0, high=100) == [47, 53]


def test_at_the_end_of_the_axis_they_move_inwards():
    assert spread([99, 100], gap=6, low=0, high=100) == [94, 100]


def test_too_many_stand_evenly_from_end_to_end():
    assert spread([7, 7, 7, 7, 7], gap=50, low=0, high=100) == [0, 25, 50, 75, 100]


def test_no_label_is_nowhere():
    assert spread([], gap=1, low=0, high=1) == []
    assert fits([], 1) == []


@given(places=PLACES, gap=st.floats(0, 8))
def test_what_is_kept_stands_apart_and_what_is_left_out_had_no_room(places, gap):
    kept = fits(places, gap)
    assert kept == sorted(set(kept))
    for one, other in itertools.combinations(kept, 2):
        assert abs(places[one] - places[other]) >= gap
    for index in set(range(len(places))) - set(kept):
        assert any(abs(places[index] - places[other]) < gap for other in kept if other < index)


@pytest.mark.parametrize(("places", "kept"), [([5, 6, 9], [0, 2]), ([6, 5, 9, 7], [0, 2]), ([1, 1, 1], [0])])
def test_the_most_important_label_comes_first(places, kept):
    assert fits(places, 3) == kept
