"""Loss before the mixer: published examples, the laws of tuned circuits, and scipy as an independent judge."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import signal as filters

from freqplan.designs import needed_q
from freqplan.plan import Band, Conversion, FrontEnd, Plan
from freqplan.preselectors import Preselector, circuits_detuning, preselector, tuned_circuits_db

TENTH_DB = 0.1
HUNDREDTH_DB = 0.01


def loss(signal_hz, tuned_hz, q, circuits=1):
    return float(tuned_circuits_db(np.float64(signal_hz), np.float64(tuned_hz), circuits, q))


def alpha(signal_hz, tuned_hz, q):
    """Return the voltage ratio that handbooks call alpha."""
    return 10 ** (loss(signal_hz, tuned_hz, q) / 20)


# Published values


def test_kennedy_davis_7_1a():
    # Kennedy & Davis, Electronic Communication Systems, example 7.1a (read): 1000 kHz, IF 455 kHz, Q 100.
    assert float(circuits_detuning(np.float64(1910e3), np.float64(1000e3))) == pytest.approx(1.386, abs=0.001)
    assert alpha(1910e3, 1000e3, 100) == pytest.approx(138.6, abs=0.1)


def test_kennedy_davis_7_1b():
    # Same, example 7.1b (read): 25 MHz, IF 0.455 MHz, Q 100.
    assert float(circuits_detuning(np.float64(25.91e6), np.float64(25e6))) == pytest.approx(0.0715, abs=1e-4)
    assert alpha(25.91e6, 25e6, 100) == pytest.approx(7.22, abs=0.01)


def test_kennedy_davis_7_2():
    # Same, example 7.2 (read): a second circuit that brings 7.22 to 138.6 has Q 268; or one circuit and IF 11.375.
    detuning = float(circuits_detuning(np.float64(25.91e6), np.float64(25e6)))
    assert needed_q(20 * math.log10(138.6 / 7.22), 1, detuning) == pytest.approx(268, abs=1)
    assert alpha(25e6 + 2 * 11.375e6, 25e6, 100) == pytest.approx(138.6, abs=0.1)


def test_blake_6_5():
    # Blake, Electronic Communication Systems, example 6.5 (read): 590 kHz, IF 455 kHz, Q 40: image 1500 kHz.
    assert loss(1500e3, 590e3, 40) == pytest.approx(38.687, abs=0.001)


def test_roddy_coolen_7_6_1():
    # Roddy & Coolen, Electronic Communications, example 7.6.1 (read): 1000 kHz, IF 465 kHz, Q 50.
    assert loss(1930e3, 1000e3, 50) == pytest.approx(36.98, abs=0.01)


def test_blake_6_1():
    # Same book, example 6.1 (read): 10 kHz wide at 540 kHz; with Q growing as the root of f, 17.743 kHz at 1700 kHz.
    q = 540e3 / 10e3 * math.sqrt(1700 / 540)
    width = 1700e3 / q
    assert width == pytest.approx(17.743e3, abs=1)
    half_width_hz = np.float64(1700e3 + width / 2)
    assert loss(half_width_hz, 1700e3, q) == pytest.approx(3.01, abs=0.03)


def test_wrong_values_in_circulation_are_not_given():
    # Exact from the equation: 98.1 MHz, IF 10.7 MHz, Q 50. From Q df/f without the factor 2 come 20.75 or 20.79 dB.
    right = loss(119.5e6, 98.1e6, 50)
    assert right == pytest.approx(25.97, abs=0.005)
    for wrong in (20.75, 20.79):
        assert abs(right - wrong) > 5
    assert loss(103.45e6, 98.1e6, 50) == pytest.approx(14.66, abs=0.005)


# Laws

hertz = st.floats(1e5, 1e9)
q_factors = st.floats(1, 500)


@given(hertz, hertz, q_factors, st.integers(0, 6))
def test_circuits_add_up(signal_hz, tuned_hz, q, count):
    assert loss(signal_hz, tuned_hz, q, count) == pytest.approx(
        count * loss(signal_hz, tuned_hz, q), abs=1e-6
    )


@given(hertz, st.floats(1.0001, 50), q_factors)
def test_as_much_above_as_below_by_ratio(tuned_hz, ratio, q):
    assert loss(tuned_hz * ratio, tuned_hz, q) == pytest.approx(loss(tuned_hz / ratio, tuned_hz, q), rel=1e-6)


@given(st.floats(0.1, 200), st.integers(1, 6), st.floats(1e-3, 100))
def test_the_q_asked_for_gives_the_loss_asked_for(needed_db, count, detuning):
    q = needed_q(needed_db, count, detuning)
    assert 10 * count * math.log10(1 + (q * detuning) ** 2) == pytest.approx(needed_db, rel=1e-6)


def test_nothing_is_needed_and_nothing_helps():
    assert needed_q(0, 1, 0.1) == 0
    assert needed_q(60, 3, 0) == math.inf


# scipy as judge: a resonator is w0/Q s over s^2 + w0/Q s + w0^2


@given(st.floats(5e5, 2e8), st.floats(0.2, 5), q_factors, st.integers(1, 4))
def test_scipy_finds_the_same_response(tuned_hz, ratio, q, count):
    w0 = 1.0
    _, one = filters.freqs([w0 / q, 0], [1, w0 / q, w0**2], worN=[ratio])
    judged = -20 * count * math.log10(abs(one[0]))
    assert loss(tuned_hz * ratio, tuned_hz, q, count) == pytest.approx(judged, abs=HUNDREDTH_DB)


# The preselector of a plan


def plan(**front_end):
    return Plan(
        band=Band(low_hz=87_500_000, high_hz=108_000_000),
        conversion=(Conversion(intermediate_hz=10_700_000, oscillator="high"),),
        front_end=FrontEnd(**front_end) if front_end else None,
    )


def of(**front_end) -> Preselector:
    found = preselector(plan(**front_end))
    assert found is not None
    return found


def test_a_plan_that_tells_nothing_has_none():
    assert preselector(plan()) is None


def test_the_mixer_sees_both_groups_and_each_group_its_own():
    some = of(circuits_before_rf_stage=1, circuits_before_mixer=2, loaded_q=45)
    one = loss(119.5e6, 98.1e6, 45)
    assert some.before_rf_stage_db(119.5e6, 98.1e6) == pytest.approx(one)
    assert some.before_mixer_db(119.5e6, 98.1e6) == pytest.approx(2 * one)
    assert some.loss_db(119.5e6, 98.1e6) == pytest.approx(3 * one)


def test_never_more_than_the_floor_also_far_away():
    some = of(circuits_before_mixer=3, loaded_q=45, floor_db=50)
    assert some.loss_db([0.0, 1e6, 10.7e6, 300e6], 98.1e6).tolist() == [50, 50, 50, 50]
    assert of(circuits_before_mixer=3, loaded_q=45).loss_db(0.0, 98.1e6) == 80


def test_a_front_end_that_does_not_track_loses_on_tune():
    some = of(circuits_before_mixer=1, loaded_q=50, detuning_hz=1_000_000)
    assert some.loss_db(98.1e6, 98.1e6) == pytest.approx(loss(98.1e6, 99.1e6, 50))
    assert some.loss_db(98.1e6, 98.1e6) > 2
    assert some.loss_db(99.1e6, 98.1e6) == 0


def test_without_circuits_nothing_is_lost():
    some = of(gain_db=10)
    assert some.loss_db([0.0, 98e6, 5e9], 98e6).tolist() == [0, 0, 0]
