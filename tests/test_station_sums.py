"""The search on sorted lists: no sum lost, none twice, whatever the range, the ties and the levels."""

from __future__ import annotations

from collections import Counter

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from product_model import TAKEN, every_sum
from thoroughness import examples

from freqplan import station_sums
from freqplan.station_sums import TIMES, StationSums, listing

FEW = st.integers(1, 40)
HERTZ = st.lists(FEW | st.integers(1, 2_000), max_size=9)
"""Small numbers, so that many stations share a frequency and many sums an end of the range."""

LEVEL = st.sampled_from([np.nan, 0.0, 10.0, 20.0, 20.0, 60.0, 100.0]) | st.integers(-40, 120).map(float)
ENDS = st.tuples(st.integers(-100, 6_000), st.integers(-100, 6_000))


@st.composite
def searches(draw):
    """Draw carriers, a kind and a range, often one with a sum on either end."""
    hertz = draw(HERTZ)
    kind = draw(st.sampled_from(list(TAKEN)))
    sums = [one.hertz for one in every_sum(hertz) if one.kind == kind] or [0]
    ends = draw(ENDS | st.tuples(st.sampled_from(sums), st.sampled_from(sums)))
    return np.array(hertz, dtype=np.int64), kind, *ends


def wanted(hertz, kind, low, high):
    """Every sum of a kind above zero in a range, entries that are added as a set."""
    return Counter(
        (*identity(kind, one.places), one.hertz)
        for one in every_sum(hertz.tolist())
        if one.kind == kind and one.hertz > 0 and low <= one.hertz <= high
    )


def identity(kind, places):
    added = sum(count == 1 for count in TAKEN[kind])
    return (*sorted(places[:added]), *places[added:])


def found(sums: StationSums):
    rows = zip(*(each.tolist() for each in sums.places), sums.sum_hz.tolist(), strict=True)
    return Counter((*identity(sums.kind, row[:-1]), row[-1]) for row in rows)


def small_chunks(size):
    patch = pytest.MonkeyPatch()
    patch.setattr(station_sums, "AT_ONCE", size)
    return patch


def test_the_names_say_how_often_each_station_is_taken():
    # US Army TM 11-490-5: products are named 2A-B and A+B-C; read.
    assert dict(TIMES) == TAKEN


@given(searches())
@settings(max_examples=examples(300))
def test_every_sum_in_a_range_is_found_once(drawn):
    hertz, kind, low, high = drawn
    assert found(listing(hertz).within(kind, low, high)) == wanted(*drawn)


@given(searches())
@settings(max_examples=examples(200))
def test_sums_are_counted_without_listing_them(drawn):
    hertz, kind, low, high = drawn
    listed = listing(hertz)
    count = wanted(*drawn).total()
    assert listed.count(kind, low, high) == count
    assert count == 0 or listed.can_reach(kind, low, high)


@given(searches(), st.data(), st.sampled_from([1, 2, 5, 1 << 20]))
@settings(max_examples=examples(400))
@example((np.array([5, 5, 5], dtype=np.int64), "A+B-C", 5, 5), None, 1)
def test_every_sum_that_is_strong_enough_is_found_once(drawn, data, at_once):
    hertz, kind, low, high = drawn
    size = len(hertz)
    level = (
        np.zeros(size) if data is None else np.array(data.draw(st.lists(LEVEL, min_size=size, max_size=size)))
    )
    ordered = list(every_sum(hertz.tolist()))
    strong = {
        identity(kind, one.places): sum(
            abs(t) * level[i] for t, i in zip(TAKEN[kind], one.places, strict=True)
        )
        for one in ordered
        if one.kind == kind
    }
    known = [each for each in strong.values() if not np.isnan(each)] or [0.0]
    least = 0.0 if data is None else data.draw(st.sampled_from(known) | st.integers(-100, 400).map(float))
    expected = Counter({key: count for key, count in wanted(*drawn).items() if strong[key[:-1]] >= least})
    patch = small_chunks(at_once)
    try:
        parts = list(listing(hertz).above(kind, low, high, level_db=level, least_db=least))
    finally:
        patch.undo()
    assert sum(map(found, parts), Counter()) == expected


@given(searches(), st.data())
def test_taking_and_joining_keeps_each_sum_as_it_is(drawn, data):
    hertz, kind, low, high = drawn
    sums = listing(hertz).within(kind, low, high)
    keep = np.array(data.draw(st.lists(st.booleans(), min_size=len(sums), max_size=len(sums))), dtype=bool)
    parts = [sums.take(keep), sums.take(np.flatnonzero(~keep))]
    assert found(StationSums.concatenate(kind, parts)) == found(sums)
    for row in range(len(sums)):
        of = [int(hertz[each[row]]) for each in sums.places]
        assert sum(t * hz for t, hz in zip(TAKEN[kind], of, strict=True)) == sums.sum_hz[row]
        # Where two are added the lower one is A.
        assert TAKEN[kind][1] != 1 or of[0] <= of[1]


@pytest.mark.parametrize("size", [100, 200, 40_000])
def test_places_are_as_wide_as_the_list_needs(size):
    # 127, 255 and 32,767 are where narrow integers end.
    hertz = np.arange(1, size + 1, dtype=np.int64)[::-1]
    listed = listing(hertz)
    top = listed.within("A+B", 2 * size - 1, 2 * size - 1)
    assert found(top) == Counter({(0, 1, 2 * size - 1): 1})
    least = listed.within("2A-B", 2 * size - 1, 2 * size)
    assert found(least) == Counter({(0, 1, 2 * size - (size - 1)): 1}) if size == 1 else len(least) > 0
    (low,) = listed.above(
        "2A-B", size + 1, size + 1, level_db=np.where(np.arange(size) < 2, 50.0, 0.0), least_db=150.0
    )
    assert found(low) == Counter({(0, 1, size + 1): 1})
