"""Dial readings: images among them, pointers that have slipped, many readings, tests that tell two causes apart."""

from __future__ import annotations

import re

import numpy as np
import pytest
from dial_model import ERROR_HZ, Faulty, plan_of, readings
from hypothesis import assume, given
from hypothesis import strategies as st
from test_dial import counts_as, faulty_sets, kinds, row_of, rows

from freqplan import Band, Conversion, Plan, Readings, dial

KHZ, MHZ = 10**3, 10**6
AIRBAND = Plan(
    band=Band(low_hz=118 * MHZ, high_hz=137 * MHZ, raster_hz=25 * KHZ, modulation="am"),
    conversion=(Conversion(intermediate_hz=10_700 * KHZ, oscillator="low"),),
)
NARROW = Plan(
    band=Band(low_hz=144 * MHZ, high_hz=146 * MHZ),
    conversion=(Conversion(intermediate_hz=10_700 * KHZ, oscillator="low"),),
)
UP_CONVERTER = Plan(
    band=Band(low_hz=20 * MHZ, high_hz=30 * MHZ, modulation="am"),
    conversion=(Conversion(intermediate_hz=40 * MHZ, oscillator="sum"),),
)


# --- the pointer --------------------------------------------------------------------------------


def test_a_pointer_that_has_slipped_loses_nothing():
    # 0.4 MHz high: the capacitor turns from 87.5 to 108 MHz as ever, the pointer from 87.9 to 108.4.
    result = dial(plan_of(), readings((88.4, 88), (93.4, 93), (98.4, 98), (103.4, 103), (107.4, 107)))
    assert rows(result)[0]["kind"] == "pointer"
    assert result.to_dict()["unreachable"] == []
    assert [tuple(row.values()) for row in result.received.rows()] == [
        (87_500_000, 108_000_000, 87_900_000, 108_400_000, "high")
    ]
    assert not any("cannot be received" in line for line in result.headlines)
    # The same frequencies from the coil: there the ends of the travel have moved.
    assert row_of(result, "coil")["value"] == pytest.approx(0.7, abs=0.1)


@given(st.sampled_from([("fm", "high"), ("fm", "low"), ("am", "high")]), st.floats(-20, 20))
def test_no_slip_of_the_pointer_loses_any_part_of_the_band(which, errors):
    faulty = Faulty(*which, shift_hz=errors * ERROR_HZ[which[0]])
    band = faulty.plan.band
    result = dial(faulty.plan, faulty.readings(np.linspace(band.low_hz, band.high_hz, 5)))
    assert result.found.first.kind in ("no-fault", "pointer")
    assert result.unreachable == ()


@pytest.mark.parametrize(
    ("plan", "bound_hz"),
    [
        (plan_of(), 4_887_500),
        (plan_of("am"), 53_325),
        (AIRBAND, 4_750_000),
        (NARROW, 500_000),
    ],
)
def test_a_pointer_is_off_by_a_twentieth_of_mid_band_or_a_quarter_of_a_narrow_band_at_most(plan, bound_hz):
    low, high = plan.band.low_hz, plan.band.high_hz
    settings, more = [low, (low + high) // 2, high], bound_hz // 5
    for sign in (1, -1):
        far = dial(plan, Readings.from_pairs([(at, at + sign * (bound_hz + more)) for at in settings]))
        assert (row_of(far, "pointer")["value"], row_of(far, "pointer")["residual_hz"]) == (
            -sign * bound_hz,
            more,
        )
    near = dial(plan, Readings.from_pairs([(at, at + bound_hz) for at in settings]))
    assert (row_of(near, "pointer")["value"], row_of(near, "pointer")["residual_hz"]) == (-bound_hz, 0)


def test_a_pointer_that_would_have_to_be_farther_off_is_ruled_out_with_the_reason():
    row = row_of(dial(plan_of(), readings((88, 94), (93, 99), (98, 104), (101, 107))), "pointer")
    assert row["verdict"] == "ruled-out"
    assert "no pointer is taken to be farther than 4.8875 MHz off" in row["advice"]


# --- images -------------------------------------------------------------------------------------


def test_an_image_on_medium_wave_is_no_fault():
    # 557 + 2 x 455 = 1467.
    result = dial(plan_of("am"), readings((0.557, 1.467), (0.720, 0.720), (0.909, 0.909), (1.188, 1.188)))
    assert kinds(result) == ["no-fault"]
    assert not result.undecided
    assert result.unreachable == ()
    assert [row["oscillator"] for row in result.readings.rows()] == ["low", "high", "high", "high"]
    assert [row["error_hz"] for row in result.readings.rows()] == [0, 0, 0, 0]
    assert any("An image, from the other side of the oscillator: 1467 at 557." in x for x in result.headlines)
    assert "circuits before the mixer" in rows(result)[0]["advice"]


def test_readings_that_are_all_images_are_no_fault_and_no_wrong_side():
    # Oscillator 10.7 below the dial; the image lies 21.4 below it.
    result = dial(AIRBAND, readings((122.6, 101.2), (123.0, 101.6), (125, 103.6)))
    assert [row["kind"] for row in rows(result)] == ["no-fault"]
    assert not result.undecided
    assert result.unreachable == ()
    images = "the other side of the oscillator: 101.200 at 122.600, 101.600 at 123.000, 103.600 at 125.000."
    assert any(images in line for line in result.headlines)


def test_an_image_in_an_up_converter_is_no_fault():
    # The image of a sum converter lies on 2 x 40 less the dial setting.
    result = dial(UP_CONVERTER, readings((21, 21), (24, 24), (26, 54), (28, 28), (29, 51)))
    assert kinds(result) == ["no-fault"]
    assert not result.undecided
    assert result.unreachable == ()
    assert [row["error_hz"] for row in result.readings.rows()] == [0] * 5


def test_an_image_tells_the_side_of_the_oscillator():
    pairs = readings((0.557, 1.467), (0.720, 0.720), (0.909, 0.909), (1.188, 1.188))
    result = dial(plan_of("am", "unknown"), pairs)
    assert [(row["kind"], row["oscillator"]) for row in rows(result) if row["verdict"] == "fits"] == [
        ("no-fault", "high")
    ]
    assert not result.undecided
    assert any(line.startswith("If the scale is made for the oscillator high: ") for line in result.headlines)


def test_a_core_out_of_place_is_still_found_with_an_image_among_the_readings():
    settings = np.array([540e3, 700e3, 1000e3, 1300e3, 1580e3])
    right, image = Faulty("am", q=0.99), Faulty("am", q=0.99, image=True)
    heard = np.where(settings < 600e3, image.plays_hz(settings), right.plays_hz(settings))
    result = dial(plan_of("am"), Readings(settings.astype(np.int64), heard.round().astype(np.int64)))
    assert kinds(result) == ["coil", "oscillator-scaled"]
    assert rows(result)[0]["value"] == pytest.approx(2.03, abs=0.02)
    assert not result.undecided
    assert any("An image, from the other side of the oscillator: 14" in line for line in result.headlines)


def test_a_line_names_six_images_at_most():
    result = dial(AIRBAND, readings(*((at, at - 21.4) for at in range(120, 129))))
    (line,) = [line for line in result.headlines if "Images" in line]
    assert line.endswith("103.600 at 125.000 and 3 more.")


@given(faulty_sets(), st.lists(st.booleans(), min_size=8, max_size=8))
def test_the_true_cause_fits_as_well_with_images_among_the_readings(case, chosen):
    kind, faulty, given_readings, noise_hz = case
    assume(kind != "wrong-side")
    band, settings = faulty.plan.band, given_readings.reads_hz.astype(float)
    other = Faulty(**{**vars(faulty), "image": True}).plays_hz(settings)
    noise = given_readings.is_hz - faulty.plays_hz(settings)
    there = (other > band.low_hz / 2 + ERROR_HZ[faulty.modulation]) & (other < 1.9 * band.high_hz)
    heard = np.where(there & np.array(chosen[: len(settings)]), other + noise, given_readings.is_hz)
    result = dial(faulty.plan, Readings(given_readings.reads_hz, heard.round().astype(np.int64)))
    fitting = [row for row in rows(result) if row["verdict"] == "fits"]
    if fitting[0]["kind"] != "no-fault":
        assert next(row for row in fitting if counts_as(kind, row))["residual_hz"] <= noise_hz + 100


# --- many readings ------------------------------------------------------------------------------


def many(faulty, count, spread_hz, seed=3):
    """Return readings all over the dial, off evenly by up to the spread."""
    band, random = faulty.plan.band, np.random.default_rng(seed)
    settings = np.linspace(band.low_hz + MHZ, band.high_hz - MHZ, count)
    return faulty.readings(settings, random.uniform(-spread_hz, spread_hz, count))


def test_fifty_readings_tell_coil_from_pointer_where_five_do_not():
    faulty = Faulty(q=0.99)
    five, fifty = (dial(plan_of(), many(faulty, count, 65 * KHZ)) for count in (5, 50))
    for result in (five, fifty):
        assert rows(result)[0]["kind"] == "coil"
        assert row_of(result, "pointer")["residual_hz"] < 100 * KHZ
    assert five.undecided
    assert "pointer" in kinds(five)
    assert not fifty.undecided
    assert row_of(fifty, "pointer")["verdict"] == "roughly"
    assert any("50 settings" in line for line in fifty.assumptions)
    assert not any("settings" in line for line in five.assumptions)


def test_the_same_few_settings_read_over_and_over_do_not_count_as_many():
    pairs = many(Faulty(q=0.99), 5, 65 * KHZ)
    again = Readings(np.tile(pairs.reads_hz, 10), np.tile(pairs.is_hz, 10))
    assert dial(plan_of(), again).undecided


def test_a_dial_that_is_nowhere_off_by_more_than_the_reading_error_is_right():
    settings = 88 + 0.4 * np.arange(50)
    # 0.06 MHz low and read to 0.07: fifty readings prove it, and nobody could read it.
    right = dial(
        plan_of(), readings(*zip(settings, settings + 0.06 + 0.07 * (-1) ** np.arange(50), strict=True))
    )
    assert kinds(right) == ["no-fault"]
    assert not right.undecided
    # Right at the low end, 0.15 MHz off at the high end: as root mean square 0.09.
    wrong = dial(plan_of(), readings(*zip(settings, settings + 0.15 * np.arange(50) / 49, strict=True)))
    assert row_of(wrong, "no-fault")["residual_hz"] < 100 * KHZ
    assert row_of(wrong, "no-fault")["verdict"] == "roughly"
    assert rows(wrong)[0]["kind"] == "trimmer"


@given(faulty_sets(), st.integers(7, 50))
def test_few_readings_rule_nothing_out_that_leaves_no_more_than_the_reading_error(case, count):
    _, faulty, given_readings, _ = case
    few = dial(faulty.plan, Readings(given_readings.reads_hz[:6], given_readings.is_hz[:6])).found
    assert all(few.fits(one) == (one.residual_hz <= few.error_hz) for one in few.ranked)
    # Of many the best one still fits, and whatever fits leaves no more than six squared errors more.
    band = faulty.plan.band
    settings = np.linspace(band.low_hz, band.high_hz, count)
    assume(
        faulty.plays_hz(settings).min() > band.low_hz / 2
        and faulty.plays_hz(settings).max() < 2 * band.high_hz
    )
    found = dial(faulty.plan, faulty.readings(settings)).found
    squares = [float(one.errors_hz @ one.errors_hz) for one in found.ranked]
    for one, left in zip(found.ranked, squares, strict=True):
        if found.fits(one) and one.kind != "no-fault":
            assert left - min(squares) <= 6.01 * found.error_hz**2


# --- the next test ------------------------------------------------------------------------------


@given(faulty_sets())
def test_a_next_test_reads_differently_for_the_two_it_separates(case):
    _, faulty, given_readings, _ = case
    test = dial(faulty.plan, given_readings).next_test
    if test is None:
        return
    assert test.predicted[0] != test.predicted[1]
    numbers = [re.findall(r"\d+\.?\d*", text.split(" with the dial")[0]) for text in test.predicted]
    unit = KHZ if faulty.modulation == "am" else MHZ
    if "end mark" in test.what:
        (off,) = (float(found[0]) for found in numbers if found)
        assert off * unit >= 0.99 * ERROR_HZ[faulty.modulation]
    elif all(numbers):
        least = min(abs(float(a) - float(b)) for a in numbers[0] for b in numbers[1])
        assert least * unit > 0.25 * ERROR_HZ[faulty.modulation]


def test_where_no_test_tells_two_apart_it_is_said():
    # Off by 0.084 MHz on the average and a little more than 0.1 MHz as root mean square, so that no-fault does not fit.
    pairs = ((88.8, 88.88), (96.1, 96.14), (98.6, 98.78), (99.4, 99.5), (101.1, 101.12))
    result = dial(plan_of(), readings(*pairs))
    assert result.undecided
    assert kinds(result)[:2] == ["pointer", "if-off-centre"]
    assert result.next_test is None
    assert "No reading of this dial and no frequency of its oscillator tells them apart" in result.reason
    assert any("tells them apart" in line for line in result.headlines)
    assert not any(line.startswith("Next: ") for line in result.headlines)


def test_two_that_are_less_than_a_reading_error_apart_take_many_readings():
    # A trimmer of 0.4 % against a coil: 0.05 MHz at the end of the scale.
    result = dial(plan_of(), readings((88.06, 87.99), (95.89, 95.73), (98.77, 98.56), (102.95, 102.71)))
    assert {"trimmer", "coil"} < set(kinds(result))
    what = "The two are 0.05 MHz apart at most, too little for one reading: take many"
    assert result.next_test.what.startswith(what)
    assert result.next_test.predicted[0] != result.next_test.predicted[1]
