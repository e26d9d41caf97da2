"""The one equation, each way of solving it, against the same sum in fractions."""

from __future__ import annotations

from fractions import Fraction
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from freqplan.mixing import Combinations, Patterns, Tuning, patterns, tunings

IF_HZ, DIAL_HZ, SIGNAL_HZ = 10_700_001, 98_100_000, 119_500_003
SIDES = ("high", "low", "sum")
COEFFICIENT = st.integers(-5, 5)
SUMS = st.lists(
    st.tuples(COEFFICIENT, COEFFICIENT, COEFFICIENT, st.integers(-(10**8), 10**8), st.integers(0, 1000)),
    min_size=1,
    max_size=8,
)


def sums_of(rows):
    a, b, c, fixed, slack = (np.array(part, dtype=np.int64) for part in zip(*rows, strict=True))
    return Combinations(a, b, c, IF_HZ, fixed, slack)


def over(numerator, denominator):
    return Fraction(numerator, denominator) if denominator else None


def test_the_oscillator_of_each_side_and_how_the_wanted_station_is_received():
    assert [Tuning(side, IF_HZ).oscillator_hz(DIAL_HZ) for side in SIDES] == [
        DIAL_HZ + IF_HZ,
        DIAL_HZ - IF_HZ,
        IF_HZ - DIAL_HZ,
    ]
    slopes = [Tuning(side, IF_HZ).wanted_slope for side in SIDES]
    assert (slopes, {type(slope) for slope in slopes}) == ([1, -1, 1], {int})
    for side in SIDES:
        tuning = Tuning(side, IF_HZ)
        m, n, e = tuning.wanted
        assert e * (n * tuning.oscillator_hz(DIAL_HZ) - m * DIAL_HZ) == IF_HZ
        dial, signal = np.array([DIAL_HZ, 7]), np.array([DIAL_HZ + 30, 7])
        w = tuning.wanted_slope * tuning.sigma
        assert tuning.wanted_offset(dial, signal).tolist() == [-30 * w, 0]


def test_there_is_one_tuning_for_each_side_the_plan_leaves_open():
    plan = SimpleNamespace(sides=("high", "sum"), conversion=[SimpleNamespace(intermediate_hz=IF_HZ)])
    assert tunings(plan) == (Tuning("high", IF_HZ), Tuning("sum", IF_HZ))


@pytest.mark.parametrize("side", SIDES)
def test_patterns_are_all_but_the_wanted_one_lowest_order_first(side):
    found = patterns(Tuning(side, IF_HZ), signal=3, oscillator=2)
    every = [(m, n, e) for m in (1, 2, 3) for n in range(-2, 3) for e in (1, -1)]
    every.remove(Tuning(side, IF_HZ).wanted)
    every.sort(key=lambda one: (one[0] + abs(one[1]), one[0], one[1], -one[2]))
    assert list(zip(found.m.tolist(), found.n.tolist(), found.e.tolist(), strict=True)) == every
    assert found.order.tolist() == [m + abs(n) for m, n, _ in every]
    assert {part.dtype for part in (found.m, found.n, found.e)} == {np.dtype(np.int64)}


@pytest.mark.parametrize("side", SIDES)
def test_a_pattern_is_the_sum_of_dial_if_and_signal_that_it_stands_for(side):
    tuning = Tuning(side, IF_HZ)
    some = Patterns(*(np.array(part) for part in ((1, 2, 3), (2, 0, -1), (1, -1, -1))))
    oscillator_hz = tuning.oscillator_hz(DIAL_HZ)
    found = Combinations.of_patterns(tuning, some)
    assert {part.dtype for part in (found.a, found.b, found.c)} == {np.dtype(np.int64)}
    assert found.offset(DIAL_HZ, SIGNAL_HZ).tolist() == [
        e * (n * oscillator_hz - m * SIGNAL_HZ) - IF_HZ
        for m, n, e in zip(some.m.tolist(), some.n.tolist(), some.e.tolist(), strict=True)
    ]


@given(SUMS)
def test_each_unknown_is_what_fractions_say(rows):
    some = sums_of(rows)
    assert len(some) == len(rows)
    for hertz in (DIAL_HZ, np.full(len(rows), DIAL_HZ)):
        assert some.without_signal(hertz).tolist() == [
            a * DIAL_HZ + b * IF_HZ + fixed for a, b, _, fixed, _ in rows
        ]
    assert some.offset(DIAL_HZ, SIGNAL_HZ).tolist() == [
        a * DIAL_HZ + b * IF_HZ + c * SIGNAL_HZ + fixed for a, b, c, fixed, _ in rows
    ]
    assert some.signal(DIAL_HZ).exact() == [
        over(-(a * DIAL_HZ + b * IF_HZ + fixed), c) for a, b, c, fixed, _ in rows
    ]
    assert some.dial(SIGNAL_HZ).exact() == [
        over(-(b * IF_HZ + fixed + c * SIGNAL_HZ), a) for a, b, c, fixed, _ in rows
    ]
    for used, above in ((None, 0), (455_000, 0), (None, 19_000)):
        real = IF_HZ if used is None else used
        assert some.own_dial(used, above_hz=above).exact() == [
            over(-(b * real + fixed + c * above), a + c) for a, b, c, fixed, _ in rows
        ]


@given(SUMS)
def test_the_range_of_the_sets_own_dial_is_that_of_every_if_within_tolerance(rows):
    low, high = sums_of(rows).own_range(2000)
    for (a, b, c, fixed, slack), least, most in zip(rows, low.exact(), high.exact(), strict=True):
        corners = [
            over(-(b * (IF_HZ + shift) + fixed + apart), a + c)
            for shift in (-2000, 2000)
            for apart in (-slack, slack)
        ]
        assert (least, most) == ((None, None) if a + c == 0 else (min(corners), max(corners)))


@given(SUMS)
def test_the_signal_for_levels_is_the_exact_one_rounded_once(rows):
    rows = [row for row in rows if row[2]] or [(1, 1, 1, 0, 0)]
    dial_hz = np.array([[DIAL_HZ, DIAL_HZ + 100_000]] * len(rows))
    for column, hertz in enumerate((DIAL_HZ, DIAL_HZ + 100_000)):
        exact = sums_of(rows).signal(hertz).exact()
        assert sums_of(rows).signal_about(dial_hz)[:, column].tolist() == [float(one) for one in exact]


@given(SUMS, st.integers(-3, 3), st.sampled_from(SIDES))
def test_the_oscillator_of_another_set_takes_the_place_of_the_signal(rows, harmonic, side):
    some, other, its_dial_hz = sums_of(rows), Tuning(side, 455_000), 1_404_000
    driven = some.driven_by(other, np.full(len(rows), harmonic))
    through = some.offset(DIAL_HZ, harmonic * other.oscillator_hz(its_dial_hz))
    assert driven.offset(DIAL_HZ, its_dial_hz).tolist() == through.tolist()
    assert driven.intermediate_hz == IF_HZ
    assert {part.dtype for part in (driven.a, driven.b, driven.c, driven.fixed_hz)} == {np.dtype(np.int64)}
    assert some.exchanged().offset(SIGNAL_HZ, DIAL_HZ).tolist() == some.offset(DIAL_HZ, SIGNAL_HZ).tolist()


@given(SUMS)
def test_what_is_taken_keeps_all_parts(rows):
    keep = np.arange(0, len(rows), 2)
    taken, again = sums_of(rows).take(keep), sums_of(rows[::2])
    for name in ("a", "b", "c", "fixed_hz", "slack_hz"):
        assert getattr(taken, name).tolist() == getattr(again, name).tolist()
    assert taken.intermediate_hz == IF_HZ
    plain = Combinations(again.a, again.b, again.c, IF_HZ)
    assert (plain.fixed_hz, plain.slack_hz) == (0, 0)
    assert (plain.take(np.array([0])).fixed_hz, plain.take(np.array([0])).slack_hz) == (0, 0)


def test_a_sum_is_everywhere_if_it_stands_still_within_the_window_edges_included():
    half = 100_000
    fixed = np.array([-half, half, half + 1, -half - 1, 0, 0])
    a = np.array([1, -2, 1, 0, 1, 1])
    c = np.array([-1, 2, -1, 0, 1, 0])
    b = np.array([1, 0, 0, 0, 0, 0])
    some = Combinations(a, b, c, IF_HZ, fixed - b * IF_HZ)
    assert some.everywhere(2 * half).tolist() == [True, True, False, False, False, False]
    assert some.everywhere(2 * half + 1).tolist() == some.everywhere(2 * half).tolist()
