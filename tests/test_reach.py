"""Windows and channels, row by row against the same rules in fractions."""

from __future__ import annotations

from fractions import Fraction
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from freqplan import Band, Conversion, IfFilter, Plan
from freqplan.hertz import Ratios
from freqplan.reach import (
    around,
    channels_around,
    channels_within,
    clipped,
    nearest_channel,
    ordered,
    reach,
    touches,
    twice_windows,
)

PLAN = Plan(
    band=Band(low_hz=87_500_000, high_hz=108_000_000, first_channel_hz=87_050_000, raster_hz=100_000),
    conversion=(Conversion(intermediate_hz=10_700_000, oscillator="high"),),
    if_filter=IfFilter(bandwidth_hz=180_001),
)
CHANNELS = range(87_550_000, 108_000_001, 100_000)
LOW_HZ, HIGH_HZ = CHANNELS[0], CHANNELS[-1]

SETTING = st.one_of(
    st.none(),
    st.integers(86_000_000, 110_000_000),
    st.sampled_from([CHANNELS[0] - 50_000, CHANNELS[5], CHANNELS[5] + 50_000, CHANNELS[-1] + 50_000]),
    st.fractions(86_000_000, 110_000_000, max_denominator=9),
)
SMALL = st.one_of(st.none(), st.integers(-6, 6), st.fractions(-6, 6, max_denominator=4))


def test_a_window_widens_by_the_deviation_of_the_product():
    assert PLAN.band.deviation_hz == 75_000
    sits, bursts = twice_windows(PLAN, np.array([1, 3]))
    assert (sits, bursts.tolist()) == (180_001, [330_001, 630_001])


def test_both_windows_hold_their_edges():
    offset = np.array([0, 90_000, -90_000, 90_001, 165_000, -165_001, 90_001])
    words = reach(PLAN, np.array([1, 1, 1, 1, 1, 1, 0]), offset)
    assert words.tolist() == ["sits-in", "sits-in", "sits-in", "bursts-only", "bursts-only", None, None]
    even = SimpleNamespace(if_filter=IfFilter(bandwidth_hz=180_000), band=PLAN.band)
    assert reach(even, np.array([1, 1, 1]), np.array([90_000, 165_000, 165_001])).tolist() == [
        "sits-in",
        "bursts-only",
        None,
    ]


@given(st.lists(st.tuples(st.integers(-(10**9), 10**9), st.integers(-6, 6), st.integers(0, 99)), min_size=1))
@example([(7, 2, 5), (7, -4, 5), (7, 0, 5), (2 * 10**16 + 1, 3, 5)])
def test_on_the_dial_a_window_is_as_much_narrower_as_the_product_moves_faster(rows):
    num, a, width = (np.array(part) for part in zip(*rows, strict=True))
    low, high = around(Ratios(num, a), width, a)
    for (top, slope, wide), least, most in zip(rows, low.exact(), high.exact(), strict=True):
        middle, half = (Fraction(top, slope), Fraction(wide, 2 * abs(slope))) if slope else (None, None)
        assert (least, most) == ((middle - half, middle + half) if slope else (None, None))


def test_around_takes_centres_in_lowest_terms():
    low, high = around(Ratios([5, 3], [1, 2]), np.array([4, 4]), np.array([-2, 4]))
    assert (low.exact(), high.exact()) == ([4, 1], [6, 2])


@given(st.lists(SMALL, min_size=1), st.integers(-3, 0), st.integers(0, 3))
def test_clipped_values_lie_inside(values, low, high):
    assert clipped(Ratios.of(values), low, high).exact() == [
        None if value is None else min(max(value, low), high) for value in values
    ]


ENDS = st.one_of(st.integers(-3, 3), st.fractions(-3, 3, max_denominator=3))


@given(st.lists(st.tuples(SMALL, SMALL), min_size=1), ENDS, ENDS)
@example([(Fraction(1, 2), 2), (-2, Fraction(-1, 2)), (1, 1)], Fraction(-1, 2), Fraction(1, 2))
def test_ranges_that_meet_share_a_point(pairs, one, other):
    start, stop = sorted((one, other))
    pairs = [(None, None) if None in pair else tuple(sorted(pair)) for pair in pairs]
    low, high = (Ratios.of(part) for part in zip(*pairs, strict=True))
    assert touches(low, high, start, stop).tolist() == [
        least is not None and max(least, start) <= min(most, stop) for least, most in pairs
    ]


@given(st.lists(st.tuples(SMALL, SMALL), min_size=1))
def test_two_columns_are_put_in_order_row_by_row(pairs):
    one, other = (Ratios.of(part) for part in zip(*pairs, strict=True))
    low, high = ordered(one, other)
    assert list(zip(low.exact(), high.exact(), strict=True)) == [
        (None, None) if None in pair else tuple(sorted(pair)) for pair in pairs
    ]


@given(st.lists(SETTING, min_size=1))
def test_the_nearest_channel_is_nearest_and_a_half_goes_up(settings):
    found = nearest_channel(PLAN, Ratios.of(settings)).tolist()
    for setting, channel in zip(settings, found, strict=True):
        assert channel == (
            LOW_HZ if setting is None else min(CHANNELS, key=lambda one: (abs(one - setting), -one))
        )


@given(st.lists(st.tuples(SETTING, SETTING), min_size=1))
def test_channels_within_a_range_are_those_it_holds(pairs):
    pairs = [tuple(sorted(pair)) for pair in pairs if None not in pair] or [(LOW_HZ, HIGH_HZ)]
    first, count = channels_within(PLAN, *(Ratios.of(part) for part in zip(*pairs, strict=True)))
    for (low, high), start, length in zip(pairs, first.tolist(), count.tolist(), strict=True):
        inside = [channel for channel in CHANNELS if low <= channel <= high]
        assert length == len(inside)
        assert not inside or start == inside[0]


@pytest.mark.parametrize("most", [1, 2, 5, len(CHANNELS), 1000])
@pytest.mark.parametrize("at_hz", [87_500_000, 87_560_000, 98_000_000, 98_010_000, 98_040_000, 108_000_000])
def test_channels_around_a_spot_come_nearest_first_and_of_two_the_lower(at_hz, most):
    nearest = sorted(CHANNELS, key=lambda channel: (abs(channel - at_hz), channel))
    assert channels_around(PLAN, at_hz, most).tolist() == nearest[:most]
