"""What one observation more does: Bayes' rule by hand, and what it can only raise or lower."""

from __future__ import annotations

import numpy as np
import pytest
from evidence_strategies import benches, demo_set, demo_town
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from strategies import FM, KHZ, plans_with_stations
from thoroughness import examples

from freqplan import Evidence, Symptom, diagnose
from freqplan.diagnosis.observables import OBSERVABLES
from freqplan.diagnosis.traits import trait
from freqplan.evidence import SetKnowledge

SAME = 1e-9
"""Probabilities that differ by rounding only."""

few = settings(max_examples=examples(25))

BY_TRAIT = {
    "own_place_too": "own_place",
    "anti_phase": "anti_phase",
    "other_set_off_stops": "other_set_off",
    "other_set_too": "other_set_too",
    "other_input_too": "other_input",
    "drifts": "drifts",
    "warm_up_stops": "warm_up",
    "comes_and_goes": "comes_and_goes",
    "aerial_out": "aerial_goes",
}
"""Observations that depend on the mechanism alone, with the trait behind each."""


def shares(plan, observed, stations):
    """Return the probability of each mechanism for the first symptom."""
    found = diagnose(plan, observed, stations).findings[0].causes
    return {cause.mechanism: cause.probability for cause in found}


def with_changes(observed, **changes):
    """Return evidence of one symptom with some observations changed."""
    (symptom,) = observed.symptoms
    return Evidence(set=observed.set, symptoms=(symptom.model_copy(update=changes),))


def answers(key):
    return ("goes", "stays") if key == "aerial_out" else (True, False)


# Bayes' rule


@given(benches(most=1), st.sampled_from(sorted(BY_TRAIT)), st.booleans())
def test_an_observation_multiplies_each_mechanism_by_its_own_share(bench, key, yes):
    plan, observed, stations = bench
    before = shares(plan, with_changes(observed, **{key: None}), stations)
    after = shares(plan, with_changes(observed, **{key: answers(key)[not yes]}), stations)
    expected = {}
    for mechanism, share in before.items():
        told = getattr(trait(mechanism), BY_TRAIT[key])
        wrong = OBSERVABLES[key].wrong
        expected[mechanism] = share * ((1 - wrong) * (told if yes else 1 - told) + wrong / 2)
    total = sum(expected.values())
    assert after == pytest.approx({name: share / total for name, share in expected.items()}, abs=SAME)


@given(benches(most=1), st.sampled_from(sorted(BY_TRAIT)))
def test_what_is_not_yet_observed_is_the_mean_of_what_it_may_turn_out_to_be(bench, key):
    """Before a test the probability is the expected one after it."""
    plan, observed, stations = bench
    before = diagnose(plan, with_changes(observed, **{key: None}), stations).findings[0]
    waiting = {cause.mechanism: cause.probability for cause in before.causes}
    mean, wrong = dict.fromkeys(waiting, 0.0), OBSERVABLES[key].wrong
    for answer, yes in zip(answers(key), (True, False), strict=True):
        after = shares(plan, with_changes(observed, **{key: answer}), stations)
        chance = sum(
            share * ((1 - wrong) * abs((not yes) - getattr(trait(name), BY_TRAIT[key])) + wrong / 2)
            for name, share in waiting.items()
        )
        for name, share in after.items():
            mean[name] += chance * share
    assert mean == pytest.approx(waiting, abs=SAME)


# What only raises or lowers


@given(benches(most=1))
def test_a_disturbance_that_stays_without_the_aerial_is_never_likelier_an_image(bench):
    plan, observed, stations = bench
    by_aerial = {
        word: shares(plan, with_changes(observed, aerial_out=word), stations)
        for word in ("goes", None, "stays")
    }
    for name in ("image", "half-if", "fractional-if", "signal-harmonic"):
        if name in by_aerial[None]:
            goes, unknown, stays = (by_aerial[word][name] for word in ("goes", None, "stays"))
            assert stays <= unknown + SAME
            assert unknown <= goes + SAME


@given(benches(most=1))
def test_heard_on_another_input_it_is_never_less_likely_no_radio_at_all(bench):
    plan, observed, stations = bench
    there, unknown, gone = (
        shares(plan, with_changes(observed, other_input_too=answer), stations)["audio-only"]
        for answer in (True, None, False)
    )
    assert gone <= unknown + SAME
    assert unknown <= there + SAME


@pytest.mark.parametrize("name", ["attic", "balcony", "pantry", "shed", "workshop"])
@pytest.mark.parametrize("heard", [None, "whistle", "noise", "quiet"])
@pytest.mark.parametrize(
    "further", [{}, {"aerial_out": "stays"}, {"everywhere": True}, {"other_set_too": False}]
)
def test_heard_on_another_input_it_is_no_radio_unless_a_place_speaks_against_it(name, heard, further):
    symptom = Symptom(heard=heard, other_input_too=True, **further)
    result = diagnose(demo_set(name), Evidence(symptoms=(symptom,)), demo_town())
    assert result.findings[0].causes[0].mechanism == "audio-only"


def test_a_programme_at_a_place_of_its_own_may_speak_against_no_radio():
    symptom = Symptom(
        dial_hz=95_850_000, heard="programme", programme_of=("101.2 MHz",), other_input_too=True, width="half",
        aerial_out="goes", pad_db=10.0, fell_db=20.0,
    )  # fmt: skip
    result = diagnose(demo_set("pantry"), Evidence(symptoms=(symptom,)), demo_town())
    assert result.findings[0].causes[0].mechanism == "half-if"


@given(benches(most=1))
def test_what_stops_with_another_set_off_is_never_less_likely_that_set(bench):
    plan, observed, stations = bench
    before = shares(plan, with_changes(observed, other_set_off_stops=None), stations)
    assume("other-receiver" in before)
    after = shares(plan, with_changes(observed, other_set_off_stops=True), stations)
    assert after["other-receiver"] >= before["other-receiver"] - SAME


@given(benches(most=1), st.integers(0, 3), st.integers(6, 20))
def test_a_fall_by_the_law_raises_mechanisms_of_that_law_against_those_of_others(bench, law, pad_db):
    plan, observed, stations = bench
    before = diagnose(plan, with_changes(observed, pad_db=None, fell_db=None), stations).findings[0]
    read = with_changes(observed, pad_db=float(pad_db), fell_db=float(law * pad_db))
    after = shares(plan, read, stations)
    laws = {cause.mechanism: set(before.case.some.law[cause.rows].tolist()) for cause in before.causes}
    odds = {cause.mechanism: cause.probability for cause in before.causes}
    of_the_law = [name for name, each in laws.items() if each == {law}]
    of_others = [name for name, each in laws.items() if law not in each and not np.isnan(list(each)).any()]
    for name in of_the_law:
        for other in of_others:
            assert after[name] * odds[other] >= odds[name] * after[other] * (1 - SAME)


@given(benches(most=1))
def test_a_pad_without_a_reading_says_nothing(bench):
    plan, observed, stations = bench
    without = shares(plan, with_changes(observed, pad_db=None, fell_db=None), stations)
    for alone in ({"pad_db": 10.0, "fell_db": None}, {"pad_db": None, "fell_db": 20.0}):
        assert shares(plan, with_changes(observed, **alone), stations) == without


# The error of the scale is apart


@few
@given(plans_with_stations(kinds=(FM,), sides=("high", "low", "unknown")), st.data())
def test_on_a_known_station_the_scale_may_read_what_it_likes(bench, data):
    plan, stations = bench
    band = plan.band
    listed = [hz for hz in stations.frequency_hz.tolist() if band.low_hz <= hz <= band.high_hz]
    station_hz = data.draw(st.sampled_from(listed or [band.low_hz]))
    error_hz = data.draw(st.integers(KHZ, 2 * band.raster_hz))
    known = SetKnowledge(dial_error_hz=error_hz)
    words = {
        "heard": data.draw(st.sampled_from(["whistle", "noise", "nothing"])),
        "on_station": f"{station_hz} Hz",
    }
    exact = Symptom(**words, dial_hz=station_hz)
    off = Symptom(**words, dial_hz=max(station_hz + data.draw(st.integers(-error_hz, error_hz)), 1))
    one, other = (
        diagnose(plan, Evidence(set=known, symptoms=(each,)), stations).findings[0].causes
        for each in (exact, off)
    )
    assert [cause.mechanism for cause in one] == [cause.mechanism for cause in other]
    assert [cause.probability for cause in one] == pytest.approx(
        [cause.probability for cause in other], abs=SAME
    )


def test_two_readings_on_known_stations_tell_the_error_of_the_scale_for_a_third():
    """The scale reads 150 kHz too much on two stations: then what it reads 150 kHz above a sum is that sum."""
    town, plan = demo_town(), demo_set("pantry")
    told = [
        Symptom(dial_hz=hertz + 150_000, reading_error_hz=20_000, on_station=f"{hertz} Hz", heard="whistle")
        for hertz in (96_300_000, 89_000_000)
    ]
    ghost = Symptom(
        dial_hz=96_000_000, reading_error_hz=20_000, heard="programme", programme_of=("101.2 MHz",)
    )
    alone = shares(plan, Evidence(set=SetKnowledge(dial_error_hz=200_000), symptoms=(ghost,)), town)
    result = diagnose(plan, Evidence(set=SetKnowledge(dial_error_hz=200_000), symptoms=(*told, ghost)), town)
    together = {cause.mechanism: cause.probability for cause in result.findings[2].causes}
    assert together["half-if"] > alone["half-if"]
