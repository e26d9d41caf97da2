"""Laws of a diagnosis that hold for any set, any evidence and any list of stations."""

from __future__ import annotations

import json

import pytest
from evidence_strategies import (
    TRUTHS,
    WORDS,
    benches,
    demo_set,
    demo_town,
    every_plan,
    evidence,
    keys_of,
    towns,
)
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from strategies import AM, FM, SHORT_WAVE, UP_CONVERTING, plans
from thoroughness import examples

from freqplan import Evidence, EvidenceError, StationList, Symptom, diagnose
from freqplan.evidence import SetKnowledge
from freqplan.mechanisms import catalogue
from freqplan.plan_faults import spelt

SAME = 1e-9
"""Probabilities that differ by rounding only."""

few = settings(max_examples=examples(25))


def shares(result):
    """Return the probability of every mechanism, symptom by symptom."""
    return [{cause.mechanism: cause.probability for cause in found.causes} for found in result.findings]


def farthest(one, other):
    """Return by how much two answers differ at most."""
    assert [set(each) for each in one] == [set(each) for each in other]
    pairs = zip(one, other, strict=True)
    return max(abs(before[name] - after[name]) for before, after in pairs for name in before)


def rows_of(answer, number):
    """Return the causes of one symptom, counted from 1; with one symptom its number is not told."""
    return [row for row in answer["causes"] if row.get("symptom", 1) == number]


# Shape


@few
@given(benches())
def test_the_causes_of_each_symptom_are_shares_of_one_best_first(bench):
    result = diagnose(*bench)
    answer = result.to_dict()
    for number, found in enumerate(result.findings, 1):
        assert sum(cause.probability for cause in found.causes) == pytest.approx(1, abs=SAME)
        told = [row["probability"] for row in rows_of(answer, number)]
        assert min(told) >= 0
        assert sum(told) == pytest.approx(1, abs=SAME)
        assert told == sorted(told, reverse=True)


@few
@given(benches())
def test_each_cause_is_a_mechanism_of_the_catalogue_once_for_each_symptom(bench):
    answer = diagnose(*bench).to_dict()
    for number in range(1, len(answer["symptoms"]) + 1):
        names = [row["mechanism"] for row in rows_of(answer, number)]
        assert len(names) == len(set(names))
        assert set(names) <= set(catalogue())


@few
@given(benches())
def test_verdicts_and_undecided_are_what_the_probabilities_say(bench):
    result = diagnose(*bench)
    answer = result.to_dict()
    for number, found in enumerate(result.findings, 1):
        for cause, row in zip(found.causes, rows_of(answer, number), strict=True):
            p, against = cause.probability, row["against"]
            assert len(against) == len(cause.against)
            assert (row["verdict"] == "proved") == (p >= 0.95 and not against)
            assert {
                "proved": True,
                "fits": p >= 0.3,
                "possible": p < 0.3,
                "ruled-out": p < 0.3 and against != [],
            }[row["verdict"]]
        first, second = found.causes[:2]
        assert answer["symptoms"][number - 1]["undecided"] == (first.probability < 3 * second.probability)
    assert answer["undecided"] == any(one["undecided"] for one in answer["symptoms"])


@few
@given(benches())
def test_the_answer_is_json_without_gaps_and_a_page_of_text(bench):
    result = diagnose(*bench)
    answer = json.loads(json.dumps(result.to_dict(), allow_nan=False))
    assert (answer["schema"], answer["command"]) == (1, "diagnose")
    assert {"causes", "tests", "undecided", "next_test", "assumptions", "cautions"} <= set(answer)
    assert {"mechanism", "probability", "verdict", "sum", "stations", "m", "n", "e", "k", "oscillator",
            "intermediate_hz", "against"} <= set(answer["causes"][0])  # fmt: skip
    assert sum(answer["oscillator_sides"].values()) == pytest.approx(1, abs=1e-5)
    for title, lines in result.sections.items():
        assert title
        assert all(line.strip() for line in lines)
    assert result.mechanisms.values("mechanism")[0] in catalogue()


@few
@given(benches())
def test_causes_name_stations_and_sides_that_there_are(bench):
    plan, observed, stations = bench
    result = diagnose(*bench)
    for row in result.to_dict()["causes"]:
        assert len(row["stations"]) <= 3
        assert set(row["stations"]) <= set(result.scene.cast.names)
        assert row["oscillator"] in (None, *result.scene.sides)
    assert stations is None or result.scene.cast.names[: len(stations.names)] == stations.names
    told = observed.set.oscillator or plan.conversion[0].oscillator
    assert told == "unknown" or result.scene.sides == (told,)


# What must make no difference


@few
@given(benches())
def test_asked_again_it_answers_the_same(bench):
    one, other = (diagnose(*bench) for _ in range(2))
    assert one.to_dict() == other.to_dict()
    assert one.sections == other.sections


@few
@given(benches(most=2), st.randoms(use_true_random=False))
def test_the_order_of_stations_makes_no_difference(bench, random):
    plan, observed, stations = bench
    assume(stations is not None)
    order = list(range(len(stations.names)))
    random.shuffle(order)
    turned = StationList.from_frequencies(
        stations.frequency_hz[order].tolist(),
        [stations.names[place] for place in order],
        level_dbuv=stations.level_dbuv[order].tolist(),
    )
    one, other = diagnose(plan, observed, stations), diagnose(plan, observed, turned)
    assert farthest(shares(one), shares(other)) < SAME


@few
@given(benches(most=2))
def test_the_order_of_names_makes_no_difference(bench):
    plan, observed, stations = bench
    turned = [
        symptom.model_copy(
            update={
                key: getattr(symptom, key)[::-1] for key in ("programme_of", "notch_stops", "notch_keeps")
            }
        )
        for symptom in observed.symptoms
    ]
    one = diagnose(plan, observed, stations)
    other = diagnose(plan, Evidence(set=observed.set, symptoms=tuple(turned)), stations)
    assert farthest(shares(one), shares(other)) < SAME


KEYS = {
    table: [spelt(name, field, file=True) for name, field in table.model_fields.items()]
    for table in (SetKnowledge, Symptom)
}


@few
@given(st.data())
def test_unknown_says_the_same_as_leaving_a_key_out(data):
    plan = data.draw(every_plan)
    stations = data.draw(towns(plan))
    whole = keys_of(data.draw(evidence(plan, stations, most=1)))
    table = data.draw(st.sampled_from(list(KEYS)))
    # The side of the set is the one key for which "unknown" says something of its own.
    key = data.draw(st.sampled_from([key for key in KEYS[table] if key != "oscillator"]))
    given_keys = whole["set"] if table is SetKnowledge else whole["symptom"][0]
    given_keys.pop(key, None)
    without = diagnose(plan, Evidence.from_file_keys(whole), stations).to_dict()
    given_keys[key] = "unknown"
    assert diagnose(plan, Evidence.from_file_keys(whole), stations).to_dict() == without


@few
@given(benches(most=1, some=plans(kinds=(FM, AM, SHORT_WAVE, UP_CONVERTING), sides=("unknown",))))
def test_a_side_that_is_open_in_the_plan_may_be_told_to_be(bench):
    plan, observed, stations = bench
    assert plan.conversion[0].oscillator == "unknown"
    told = [
        Evidence(set=observed.set.model_copy(update={"oscillator": side}), symptoms=observed.symptoms)
        for side in (None, "unknown")
    ]
    one, other = (diagnose(plan, each, stations) for each in told)
    assert farthest(shares(one), shares(other)) < SAME


@few
@given(st.data())
def test_of_a_symptom_that_nothing_is_known_of_nothing_is_concluded(data):
    plan = data.draw(every_plan)
    result = diagnose(plan, Evidence(symptoms=(Symptom(),)), data.draw(towns(plan)))
    answer = result.to_dict()
    assert set(answer["oscillator_sides"]) == set(plan.sides)
    assert max(answer["oscillator_sides"].values()) < 0.9 or len(plan.sides) == 1
    assert answer["intermediate_hz"] == plan.conversion[0].intermediate_hz
    assert answer["causes"][0]["verdict"] == "possible"
    assert answer["undecided"]


# Every word a symptom can be told in, alone


@pytest.mark.parametrize("key", [*WORDS, *TRUTHS])
@pytest.mark.parametrize("name", ["attic", "pantry", "shed"])
def test_each_word_alone_gives_an_answer(key, name):
    for value in WORDS.get(key, (True, False)):
        observed = Evidence(symptoms=(Symptom(**{key: value}),))
        result = diagnose(demo_set(name), observed, demo_town())
        assert sum(row["probability"] for row in result.to_dict()["causes"]) == pytest.approx(1, abs=SAME)
        assert result.findings[0].tests


# What does not go with the set


@pytest.mark.parametrize(
    ("tables", "key"),
    [
        ({"set": {"oscillator": "sum"}}, "set.oscillator"),
        ({"set": {"oscillator": "low", "intermediate": "98 MHz"}}, "set.oscillator"),
        ({"set": {"intermediate": "300 GHz"}}, "set.intermediate"),
        ({"symptom": [{"dial": "98 kHz"}]}, "symptom[0].dial"),
        ({"symptom": [{}, {"dial": "120 MHz"}]}, "symptom[1].dial"),
        ({"symptom": [{"on_station": "Tower"}]}, "symptom[0].on_station"),
        ({"symptom": [{"programme_of": ["Nobody"]}]}, "symptom[0].programme_of[0]"),
    ],
)
def test_what_this_set_cannot_have_is_refused_at_once(tables, key):
    observed = Evidence.from_file_keys({"symptom": [{"heard": "programme"}], **tables})
    with pytest.raises(EvidenceError) as caught:
        diagnose(demo_set("pantry"), observed, demo_town())
    (fault,) = caught.value.faults
    assert fault.key == key
    assert fault.found
    assert fault.hint
