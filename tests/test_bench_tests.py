"""The tests that a diagnosis proposes: what they tell, which comes first, and where a generator may be used at all."""

from __future__ import annotations

import math
from collections import defaultdict
from dataclasses import replace

import numpy as np
import pytest
from evidence_strategies import benches, demo_set, demo_town
from hypothesis import given, settings
from hypothesis import strategies as st
from thoroughness import examples

from freqplan import Evidence, Plan, Symptom, diagnose
from freqplan.diagnosis.bench_tests import BenchTest, Way
from freqplan.diagnosis.generator import feed
from freqplan.mechanisms.own_if import OPEN_SET
from freqplan.remarks import BENCH_CAUTION
from freqplan.services import AERONAUTICAL_HZ, safety_ranges_hz

few = settings(max_examples=examples(25))

AS_GOOD, SLIGHTLY_LESS = 0.9, 0.03
"""A test that tells so much of what the best one tells, or so many bits less, is as good."""

DEAR = 4
"""Effort from which a test is put off for a cheaper one that tells half as much."""


def plan_in(plan, region):
    return Plan(**plan.given() | {"region": region})


def joint_table(found, test):
    """Return the probability of every mechanism together with every outcome, candidate by candidate."""
    joint = defaultdict(float)
    for cause in found.causes:
        for row in cause.rows.tolist():
            for outcome, share in enumerate(test.shares[row].tolist()):
                joint[cause.mechanism, outcome] += float(found.probability[row]) * share
    return joint


def mutual_information(joint):
    """Return what one of the two tells of the other [bit], by its definition."""
    mechanism, outcome = defaultdict(float), defaultdict(float)
    for (name, which), share in joint.items():
        mechanism[name] += share
        outcome[which] += share
    return sum(
        share * math.log2(share / mechanism[name] / outcome[which])
        for (name, which), share in joint.items()
        if share > 0
    )


# What tests tell


@few
@given(benches(most=2))
def test_the_information_is_that_of_the_joint_table(bench):
    for found in diagnose(*bench).findings:
        for test in found.tests:
            assert test.shares.min() >= 0
            assert test.shares.sum(axis=1) == pytest.approx(1)
            assert test.bits == pytest.approx(mutual_information(joint_table(found, test)), abs=1e-7)


@few
@given(benches(most=2))
def test_what_a_test_should_read_is_its_likeliest_outcome(bench):
    for found in diagnose(*bench).findings:
        for test in found.tests:
            joint = joint_table(found, test)
            for cause in found.leaders:
                if cause.probability < 1e-6:
                    continue
                shares = [joint[cause.mechanism, outcome] for outcome in range(len(test.way.readings))]
                told = test.way.readings.index(test.reading(cause, found.probability))
                assert shares[told] == pytest.approx(max(shares), rel=1e-4)


@few
@given(benches(most=2))
def test_no_test_is_proposed_that_was_done(bench):
    for found in diagnose(*bench).findings:
        for test in found.tests:
            assert getattr(found.symptom, test.key, None) in (None, ()), test.key
            if test.key == "fall":
                assert found.symptom.pad_db is None or found.symptom.fell_db is None
            if test.key.startswith("notch "):
                name = test.key.removeprefix("notch ")
                assert name not in (*found.symptom.notch_stops, *found.symptom.notch_keeps)
        keys = [test.key for test in found.tests]
        assert len(keys) == len(set(keys))


# Which comes first


@few
@given(benches(most=2))
def test_where_any_test_parts_the_leaders_the_next_one_does(bench):
    for found in diagnose(*bench).findings:
        parts = [test.separates(*found.leaders, found.probability) for test in found.tests]
        # Those that do not part them come after those that do.
        assert parts == sorted(parts, reverse=True)
        proposed = found.next_test
        if proposed is None:
            assert not found.tests
            continue
        first, second = (cause.mechanism for cause in found.leaders)
        assert proposed["separates"][0] == first
        assert (proposed["separates"] == [first, second]) or not any(parts)
        one, other = (proposed["predicted"][name] for name in proposed["separates"])
        # Where no test tells the leaders apart, the first is told from another; where none tells it from any, so be it.
        reads_otherwise = (
            found.tests[0].separates(found.causes[0], each, found.probability) for each in found.causes[1:]
        )
        assert (one != other) == any(reads_otherwise)
        assert set(proposed["predicted"].values()) <= set(found.tests[0].way.readings)


@few
@given(benches(most=2))
def test_of_about_equals_the_cheapest_comes_first(bench):
    for found in diagnose(*bench).findings:
        parts = [test.separates(*found.leaders, found.probability) for test in found.tests]
        for place, test in enumerate(found.tests):
            left = [
                other
                for other, parting in zip(found.tests[place:], parts[place:], strict=True)
                if parting == parts[place]
            ]
            best = max(left, key=lambda other: other.bits)
            cheaper = [other.bits for other in left if other.way.effort < DEAR]
            dear = best.way.effort >= DEAR and max(cheaper, default=0) >= best.bits / 2
            most = max(cheaper) if dear else best.bits
            as_good = [other for other in left if other.bits >= min(AS_GOOD * most, most - SLIGHTLY_LESS)]
            assert test in as_good
            assert test.way.effort == min(other.way.effort for other in as_good)


@few
@given(benches(most=2))
def test_the_table_of_tests_lists_what_tells_anything(bench):
    result = diagnose(*bench)
    told = [(number, test) for number, found in enumerate(result.findings, 1) for test in found.tests]
    rows = list(result.tests.rows())
    assert [row["what"] for row in rows] == [test.way.what for _, test in told if test.bits > 0]
    assert all(row["effort"] in range(1, 6) for row in rows)


def half_if():
    """Return what is found of the half-IF of one station, where no other is on the air."""
    symptom = Symptom(dial_hz=95_850_000, heard="programme", programme_of=("101.2 MHz",))
    return diagnose(demo_set("pantry"), Evidence(symptoms=(symptom,))).findings[0]


def test_a_test_of_the_hands_goes_before_a_generator():
    found = half_if()
    assert found.tests[0].way.effort < 4
    assert any(test.way.effort == 4 for test in found.tests)


def test_a_counter_waits_for_a_test_that_tells_half_as_much():
    evidence = Evidence(
        symptoms=(
            Symptom(dial_hz=95_900_000, heard="whistle", pitch="moves", aerial_out="goes", by_ear="better"),
        )
    )
    (found,) = diagnose(demo_set("pantry"), evidence, demo_town()).findings
    (counted,) = (test for test in found.tests if test.key == "pitch_rate")
    assert counted.way.effort == DEAR
    assert found.tests[0].way.effort < DEAR
    assert counted.bits / 2 <= found.tests[0].bits < counted.bits


def test_a_test_that_reads_alike_for_all_is_told_of_the_leaders():
    found = half_if()
    alike = BenchTest(
        "wait", Way(1, "Wait.", ("soon", "late")), np.tile([0.9, 0.1], (len(found.probability), 1))
    )
    told = replace(found, tests=(alike,)).next_test
    assert told["separates"] == [cause.mechanism for cause in found.leaders]
    assert set(told["predicted"].values()) == {"soon"}


HARMONIC_OR_CLOCK = Symptom(dial_hz=96_300_000, heard="whistle", aerial_out="stays", pitch="moves")


def test_a_pitch_that_is_counted_tells_a_harmonic_of_the_if_from_a_clock():
    answer = diagnose(demo_set("loft"), Evidence(symptoms=(HARMONIC_OR_CLOCK,))).to_dict()
    assert answer["next_test"]["predicted"] == {
        "if-harmonic": "by 5 kHz or more",
        "internal-clock": "by 2 kHz",
    }
    assert answer["cautions"].count(OPEN_SET) == 1
    assert BENCH_CAUTION not in answer["cautions"]


def test_what_an_am_set_has_not_is_not_asked_for():
    for name, has in (("loft", True), ("attic", False)):
        plan = demo_set(name)
        asked = Evidence(symptoms=(Symptom(heard="whistle", dial_hz=plan.middle_channel_hz),))
        (found,) = diagnose(plan, asked).findings
        texts = [test.way.what for test in found.tests if test.key in ("pitch", "pitch_rate")]
        assert len(texts) == 2
        assert all(("AFC" in text) == has and text[0].isupper() for text in texts)


# The generator


@st.composite
def benches_of_every_region(draw):
    plan, observed, stations = draw(benches(most=1))
    region = draw(st.sampled_from([1, 2, 3]))
    return plan_in(plan, region), observed, stations


def feeds(bench):
    """Yield what would be fed in to find each cause, whether it leads or not, as told: cause, dial and signal."""
    result = diagnose(*bench)
    for found in result.findings:
        for cause in found.causes:
            fed = feed(found.weighed, cause)
            if fed is not None:
                yield result, cause, fed.dial_hz, fed.signal_hz


@settings(max_examples=examples(60))
@given(benches_of_every_region())
def test_no_generator_is_asked_for_where_lives_depend_on_the_frequency(bench):
    ranges = [*safety_ranges_hz(region=bench[0].region), AERONAUTICAL_HZ]
    for _, _, _, signal_hz in feeds(bench):
        assert not any(low <= signal_hz <= high for low, high in ranges), signal_hz


@given(benches_of_every_region())
def test_the_generator_stays_clear_of_every_station_and_of_the_dial(bench):
    plan = bench[0]
    clear = 2 * plan.band.raster_hz
    for result, _, dial_hz, signal_hz in feeds(bench):
        assert plan.band.low_hz <= dial_hz <= plan.band.high_hz
        assert dial_hz in plan.channels_hz
        assert abs(signal_hz - dial_hz) > clear
        for station_hz in result.scene.cast.frequency_hz.tolist():
            assert abs(station_hz - dial_hz) >= clear
            assert abs(station_hz - signal_hz) >= clear


@given(benches_of_every_region())
def test_what_the_generator_feeds_in_is_received_to_the_hertz(bench):
    for _, cause, dial_hz, signal_hz in feeds(bench):
        m, n, e = (cause.told.integers[name] for name in "mne")
        if m is None:
            continue  # a fixed step beside the dial; held below
        own_if = cause.told.intermediate_hz
        own = {"high": dial_hz + own_if, "low": dial_hz - own_if, "sum": own_if - dial_hz}[
            cause.told.tuning.side
        ]
        assert e * (n * own - m * signal_hz) == own_if


@given(benches_of_every_region())
def test_a_generator_is_received_by_its_own_cause_and_by_no_other_sum(bench):
    for found in diagnose(*bench).findings:
        some = found.case.some
        for test in found.tests:
            if not test.key.startswith("generator "):
                continue
            (cause,) = (one for one in found.causes if f"generator {one.mechanism}" == test.key)
            own = cause.told.some
            rows = zip(some.mechanism, some.side, some.a, some.b, strict=True)
            same = [row == (own.mechanism[0], own.side[0], own.a[0], own.b[0]) for row in rows]
            assert (test.shares[:, 0] > 0.5).tolist() == same


def test_of_a_second_image_the_generator_is_two_second_ifs_away():
    steps = [
        abs(signal_hz - fed_hz)
        for dial_hz in range(120_000_000, 150_000_000, 5_555_000)
        for _, cause, fed_hz, signal_hz in feeds((demo_set("shed"), heard_at(dial_hz), None))
        if cause.mechanism == "second-image"
    ]
    assert set(steps) == {2 * 455_000}


def heard_at(dial_hz):
    return Evidence(symptoms=(Symptom(dial_hz=dial_hz, heard="speech"),))


@pytest.mark.parametrize("region", [1, 2, 3])
def test_on_an_airband_set_nothing_is_fed_in_inside_the_aeronautical_bands(region):
    plan = plan_in(demo_set("balcony"), region)
    asked = 0
    for dial_hz in range(118_000_000, 137_000_001, 3_800_000):
        for _, _, _, signal_hz in feeds((plan, heard_at(dial_hz), demo_town())):
            asked += 1
            assert not AERONAUTICAL_HZ[0] <= signal_hz <= AERONAUTICAL_HZ[1]
    assert asked


def test_a_generator_goes_by_cable_with_the_aerial_out_so_that_nothing_is_radiated():
    found = half_if()
    (words, *_) = [test.way.what for test in found.tests if test.key.startswith("generator")]
    assert words.startswith("Aerial out; ")
    assert "by cable and a pad into the aerial socket" in words
