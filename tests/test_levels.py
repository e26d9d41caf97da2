"""Levels of products: the relations that define them, their laws, and two routes to the same number."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from freqplan import channel, survey
from freqplan.decibel import dbuv_of_dbm
from freqplan.fields import dipole_dbuv, field_dbuvm
from freqplan.levels import levels_of
from freqplan.plan import Band, Conversion, FrontEnd, Mixer, Orders, Plan, RfStage, Suppression
from freqplan.preselectors import tuned_circuits_db
from freqplan.stations import StationList

HUNDREDTH_DB = 0.01
TENTH_DB = 0.1
FM_HZ = {"low_hz": 87_500_000, "high_hz": 108_000_000}
FIGURES = tuple(
    Suppression(m=m, n=n, db=db) for m, n, db in [(1, 2, 32.0), (2, 0, 50.0), (2, 2, 55.0), (3, 1, 70.0)]
)
MEASURED = Mixer(kind="measured", reference_dbm=-30.0, suppression=FIGURES)
FRONT = {"circuits_before_rf_stage": 1, "circuits_before_mixer": 2, "loaded_q": 45.0, "gain_db": 20.0}


def plan(*, mixer=MEASURED, rf_stage=None, orders=(5, 5), side="high", **front_end):
    return Plan(
        band=Band(**FM_HZ),
        conversion=(Conversion(intermediate_hz=10_700_000, oscillator=side),),
        front_end=FrontEnd(**(FRONT | front_end)),
        mixer=mixer,
        rf_stage=rf_stage,
        orders=Orders(signal=orders[0], oscillator=orders[1]),
    )


def one(m, n):
    return np.array([m]), np.array([n])


def rejection(some, m, n, signal_hz, dial_hz, wanted_dbuv):
    found = levels_of(some).rejection_db(
        *one(m, n), signal_hz=signal_hz, dial_hz=dial_hz, wanted_dbuv=wanted_dbuv
    )
    return float(found[0])


def equivalent(some, m, n, signal_hz, dial_hz, level_dbuv):
    found = levels_of(some).equivalent_dbuv(
        *one(m, n), signal_hz=signal_hz, dial_hz=dial_hz, level_dbuv=level_dbuv
    )
    return float(found[0])


def circuits(signal_hz, dial_hz, count=3, q=45.0):
    return float(tuned_circuits_db(np.float64(signal_hz), np.float64(dial_hz), count, q))


# Definitions

order = st.sampled_from([(1, 1), (1, 2), (2, 2), (2, 0), (3, 1)])
signals = st.integers(1_000_000, 400_000_000)
dials = st.integers(87_500_000, 108_000_000)
some_level = st.floats(0, 120)


@given(order, signals, dials, some_level)
def test_a_signal_above_the_wanted_one_by_its_rejection_comes_out_as_strong(pair, signal_hz, dial_hz, wanted):
    above = rejection(plan(), *pair, signal_hz, dial_hz, wanted)
    found = equivalent(plan(), *pair, signal_hz, dial_hz, wanted + above)
    assert found == pytest.approx(min(wanted, itself(pair, signal_hz, dial_hz, wanted + above)), abs=1e-6)


def itself(pair, signal_hz, dial_hz, level):
    """Return the level of the signal itself behind the front end, which no product of its harmonics exceeds."""
    own = levels_of(plan()).selectivity
    return math.inf if pair[0] == 1 else level - float(own.loss_db(signal_hz, dial_hz))


@given(order, signals, dials, some_level, st.floats(0, 40))
def test_a_pad_lowers_a_product_by_its_order(pair, signal_hz, dial_hz, level, pad):
    fall = equivalent(plan(), *pair, signal_hz, dial_hz, level) - equivalent(
        plan(), *pair, signal_hz, dial_hz, level - pad
    )
    stretched = equivalent(plan(), *pair, signal_hz, dial_hz, level) == itself(
        pair, signal_hz, dial_hz, level
    )
    assert fall == pytest.approx(pair[0] * pad, abs=1e-6) or stretched


@given(dials)
def test_image_rejection_is_that_of_the_circuits_alone_whatever_the_mixer(dial_hz):
    for mixer in (Mixer(), MEASURED, Mixer(kind="exponential", oscillator_drive=3.0)):
        found = rejection(plan(mixer=mixer, floor_db=300), 1, 1, dial_hz + 21_400_000, dial_hz, 54)
        assert found == pytest.approx(circuits(dial_hz + 21_400_000, dial_hz), abs=1e-6)


@given(dials, some_level)
def test_half_if_is_half_the_distance_to_the_single_tone_intercept(dial_hz, wanted):
    # IIP2 = P0 + S(2,2) at the mixer, so P0 + S - G at the aerial; rejection = (IIP2 - Pw)/2 + A(fX).
    near = dial_hz + 5_350_000
    intercept = dbuv_of_dbm(-30.0 + 55.0, 75.0) - 20.0
    expected = (intercept - wanted) / 2 + circuits(near, dial_hz)
    assert rejection(plan(), 2, 2, near, dial_hz, wanted) == pytest.approx(expected, abs=1e-6)


def test_a_front_end_off_tune_counts_the_loss_of_the_wanted_station_once():
    some = plan(detuning_hz=500_000)
    lost = circuits(98_000_000, 98_500_000)
    image = circuits(119_400_000, 98_500_000)
    assert rejection(some, 1, 1, 119_400_000, 98_000_000, 54) == pytest.approx(
        min(image, 80) - lost, abs=1e-6
    )
    near = circuits(103_350_000, 98_500_000)
    mixer = (55 + (dbuv_of_dbm(-30, 75) - 54 - 20)) / 2
    assert rejection(some, 2, 2, 103_350_000, 98_000_000, 54) == pytest.approx(
        mixer + near - lost / 2, abs=1e-6
    )


def test_the_handbook_figure_through_the_whole_program():
    # One circuit of Q 50 at 98.1 MHz, IF 10.7 MHz above: 25.97 dB at the image, 14.66 dB at half-IF (exact).
    some = plan(circuits_before_rf_stage=0, circuits_before_mixer=1, loaded_q=50.0, mixer=Mixer())
    rows = {
        row["mechanism"]: row for row in channel(some, 98_100_000).responses.rows() if row["m"] == row["n"]
    }
    assert rows["image"]["rejection_db"] == pytest.approx(25.97, abs=0.005)
    assert rows["half-if"]["rejection_db"] is None


# What is unknown stays unknown


def test_no_front_end_no_level():
    bare = Plan(band=Band(**FM_HZ), conversion=(Conversion(intermediate_hz=10_700_000, oscillator="high"),))
    assert levels_of(bare) is None
    assert set(survey(bare).responses.values("rejection_db")) == {None}


@pytest.mark.parametrize(
    ("changes", "known"),
    [
        ({"mixer": Mixer()}, {(1, 1)}),
        ({"gain_db": None}, {(1, 1), (1, 2)}),
        ({"mixer": Mixer(kind="switching")}, {(1, 1), (1, 3), (1, 5)}),
        ({"mixer": Mixer(kind="square-law", oscillator_drive=0.2)}, {(1, 1), (2, 0)}),
        ({}, {(1, 1), (1, 2), (2, 0), (2, 2), (3, 1)}),
    ],
)
def test_only_products_with_a_figure_have_a_rejection(changes, known):
    rows = survey(plan(**changes)).responses.rows()
    assert {(row["m"], row["n"]) for row in rows if row["rejection_db"] is not None} == known


# Smallest over the dial


@given(st.integers(-400_000, 400_000), st.integers(1, 3), st.floats(5, 200))
def test_the_smallest_rejection_is_that_of_the_worst_channel_and_no_more(detuning_hz, count, q):
    some = plan(
        detuning_hz=detuning_hz,
        circuits_before_rf_stage=0,
        circuits_before_mixer=count,
        loaded_q=q,
        orders=(3, 3),
    )
    own = levels_of(some)
    dial = np.arange(87_500_000, 108_000_001, 10_000)
    for row in survey(some).responses.rows():
        if row["rejection_db"] is None:
            continue
        signal = (row["n"] * (dial + 10_700_000) - row["e"] * 10_700_000) / row["m"]
        pair = np.array([row["m"]]), np.array([row["n"]])
        judged = own.rejection_db(*pair, signal_hz=signal, dial_hz=dial, wanted_dbuv=54.0).min()
        assert row["rejection_db"] == pytest.approx(judged, abs=HUNDREDTH_DB)


# Several signals


def test_two_tone_intercepts_of_the_rf_stage():
    # 2 PA + PB - 2 IIP3 and PA + PB - IIP2 in dBm; 6.02 dB more for A + B - C. On tune nothing is lost.
    some = plan(
        circuits_before_rf_stage=0,
        circuits_before_mixer=0,
        loaded_q=None,
        rf_stage=RfStage(iip2_dbm=20.0, iip3_dbm=-5.0),
    )
    own = levels_of(some)
    a, b, c = (dbuv_of_dbm(level, 75.0) for level in (-20.0, -30.0, -25.0))
    hz = (98_900_000, 100_700_000, 102_000_000)
    at = {"product_hz": 97_100_000, "dial_hz": 97_100_000}
    third = own.rf_stage_product_dbuv((2, -1), hz[:2], (a, b), **at)
    assert third == pytest.approx(dbuv_of_dbm(2 * -20 - 30 + 10, 75), abs=1e-6)
    three = own.rf_stage_product_dbuv((1, 1, -1), hz, (a, b, c), **at)
    assert three == pytest.approx(dbuv_of_dbm(-20 - 30 - 25 + 10, 75) + 20 * math.log10(2), abs=1e-6)
    second = own.rf_stage_product_dbuv((1, -1), hz[:2], (a, b), **at)
    assert second == pytest.approx(dbuv_of_dbm(-20 - 30 - 20, 75), abs=1e-6)


def test_what_is_born_in_the_rf_stage_passes_the_second_group_where_it_falls():
    some = plan(rf_stage=RfStage(iip2_dbm=20.0, iip3_dbm=-5.0), floor_db=300.0)
    own = levels_of(some)
    a, b = 91_200_000, 101_900_000
    dial = 98_000_000
    found = own.rf_stage_product_dbuv((1, -1), (a, b), (80.0, 80.0), product_hz=b - a, dial_hz=dial, n=1)
    at_stage = 160.0 - circuits(a, dial, 1) - circuits(b, dial, 1) - dbuv_of_dbm(20.0, 75.0)
    assert found == pytest.approx(at_stage - circuits(b - a, dial, 2), abs=1e-6)
    # In the mixer instead both stations pass all three circuits, and the product passes none.
    mixed = own.mixer_product_dbuv((1, -1), (a, b), (80.0, 80.0), n=0, dial_hz=dial)
    direct = (
        160.0
        - circuits(a, dial)
        - circuits(b, dial)
        - (50.0 + dbuv_of_dbm(-30.0, 75.0) - 20.0)
        + 20 * math.log10(2)
    )
    assert mixed == pytest.approx(direct, abs=1e-6)
    assert mixed != pytest.approx(found, abs=5)


def test_unknown_intercepts_make_no_level():
    own = levels_of(plan())
    at = {"product_hz": 97_100_000, "dial_hz": 97_100_000}
    assert math.isnan(own.rf_stage_product_dbuv((2, -1), (98_900_000, 100_700_000), (80.0, 80.0), **at))
    assert math.isnan(
        own.mixer_product_dbuv((2, -1), (98_900_000, 100_700_000), (80.0, 80.0), n=2, dial_hz=97_100_000)
    )


@given(st.floats(20, 80), dials)
def test_pair_half_if_is_6_db_above_each_alone(level, dial_hz):
    own = levels_of(plan(circuits_before_rf_stage=0, circuits_before_mixer=0, loaded_q=None))
    near = dial_hz + 5_350_000
    alone = float(own.equivalent_dbuv(*one(2, 2), signal_hz=near, dial_hz=dial_hz, level_dbuv=level)[0])
    pair = own.mixer_product_dbuv(
        (1, 1), (near - 100_000, near + 100_000), (level, level), n=2, dial_hz=dial_hz
    )
    assert pair - alone == pytest.approx(20 * math.log10(2), abs=1e-6)


@pytest.mark.parametrize(
    "times", [[1], [2], [3], [1, 1], [2, 1], [1, 2], [1, 1, 1], [3, 1], [2, 2], [2, 1, 1]]
)
@pytest.mark.parametrize("n", [0, 1, 2])
def test_several_signals_in_a_sampled_power_law(times, n):
    # Independent judge: v^(m+n) of several small cosines and the oscillator, and its FFT.
    m = sum(times)
    samples = 2**14
    phase = 2 * np.pi * np.arange(samples) / samples
    bins, oscillator = [97, 211, 389][: len(times)], 1543
    strong, small = 0.5, 0.01

    def line(amplitudes, place):
        wave = strong * np.cos(oscillator * phase) + sum(
            amplitude * np.cos(hz * phase) for amplitude, hz in zip(amplitudes, bins, strict=True)
        )
        return abs(np.fft.rfft(wave ** (m + n))[abs(place)])

    several = line(
        [small] * len(times), n * oscillator + sum(t * hz for t, hz in zip(times, bins, strict=True))
    )
    single = line([small, *[0.0] * (len(times) - 1)], n * oscillator + m * bins[0])
    expected = 20 * math.log10(math.factorial(m) / math.prod(math.factorial(t) for t in times))
    assert 20 * math.log10(several / single) == pytest.approx(expected, abs=TENTH_DB)


# Stations


def test_free_space_field_of_one_kilowatt_at_one_kilometre():
    # 106.9 dB(uV/m): Rec. ITU-R P.525 (from memory); 222 mV/m from sqrt(30 * 1.64 * 1000 W) / 1000 m (exact).
    assert field_dbuvm(np.array([1.0]), np.array([1.0]))[0] == pytest.approx(106.9, abs=0.05)
    volts_per_metre = math.sqrt(30 * 1.64 * 1000) / 1000
    assert field_dbuvm(np.array([1.0]), np.array([1.0]))[0] == pytest.approx(
        20 * math.log10(volts_per_metre / 1e-6), abs=0.05
    )
    assert field_dbuvm(np.array([10.0]), np.array([10.0]))[0] == pytest.approx(106.9 + 10 - 20, abs=0.05)


def test_a_matched_dipole_hands_over_a_sixth_of_a_wavelength():
    # A half-wave dipole is in effect a wavelength over pi long; matched, half is left: 0.487 m at 98 MHz (exact).
    level = dipole_dbuv(np.array([100.0]), np.array([98_000_000]), 73.0)[0]
    assert level == pytest.approx(100 + 20 * math.log10(299.792458 / 98 / math.pi / 2), abs=1e-9)
    # The same power at another impedance: U^2/R stays.
    higher = dipole_dbuv(np.array([100.0]), np.array([98_000_000]), 300.0)[0]
    assert higher - level == pytest.approx(10 * math.log10(300 / 73), abs=1e-9)


def test_listed_levels_go_before_reckoned_ones_and_missing_stays_missing():
    some = StationList(
        source="", names=("a", "b", "c", "d"), frequency_hz=np.array([98_000_000, 98_000_000, 98_000_000, 1_000_000]),
        level_dbuv=np.array([50, np.nan, np.nan, np.nan]), erp_kw=np.array([1, 1, np.nan, 1]),
        distance_km=np.array([1, 10, 5, 1]),
    )  # fmt: skip
    level = some.terminal_dbuv(73.0)
    assert level[0] == 50
    assert level[1] == pytest.approx(106.9 - 20 - 6.25, abs=0.05)
    assert np.isnan(level[2:]).all()
    assert some.reckoned.tolist() == [False, True, False, False]
    weaker = some.weakened(np.array([10.0, 10.0, 10.0, 10.0]), 73.0)
    assert weaker.terminal_dbuv(73.0)[:2].tolist() == pytest.approx([40, level[1] - 10])
    assert np.isnan(weaker.terminal_dbuv(73.0)[2:]).all()
