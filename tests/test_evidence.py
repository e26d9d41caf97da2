"""Evidence: what can be made in Python and from tables, laws of both, and remarks."""

from __future__ import annotations

import copy
import io
import json
import pickle
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from freqplan import Evidence, EvidenceError, SetKnowledge, Symptom, load_evidence
from freqplan.plan_faults import spelt

KEYS = {
    table: [spelt(name, field, file=True) for name, field in table.model_fields.items()]
    for table in (SetKnowledge, Symptom)
}
names = st.text(st.characters(exclude_categories=["C"]), min_size=1, max_size=30).filter(
    lambda text: text.strip() not in ("", "unknown")
)
megahertz = st.integers(1, 300_000_000).map(lambda khz: f"{Decimal(khz) / 1000:f} MHz")
decibels = st.integers(1, 1500).map(lambda tenths: f"{tenths / 10} dB")
name_lists = st.lists(names, max_size=4)
VALUES = {
    "oscillator": st.sampled_from(["high", "low", "sum", "unknown"]),
    "intermediate": megahertz,
    "intermediate_known": st.sampled_from(["nominal", "dot", "measured"]),
    "intermediate_error": megahertz,
    "dial_error": megahertz,
    "dial": megahertz,
    "reading_error": megahertz,
    "heard": st.sampled_from(["programme", "speech", "whistle", "quiet", "noise", "nothing"]),
    "speech_of": st.sampled_from(["aircraft", "amateurs", "other"]),
    "on_station": names,
    "programme_of": name_lists | names,
    "aerial_out": st.sampled_from(["goes", "stays"]),
    "pitch": st.sampled_from(["still", "moves", "flicks"]),
    "pitch_khz": st.integers(1, 1000),
    "pitch_tuned_up": st.sampled_from(["rises", "falls"]),
    "pitch_rate": st.integers(0, 1000),
    "width": st.sampled_from(["full", "half", "third", "wide"]),
    "meter": st.sampled_from(["normal", "reversed"]),
    "afc": st.sampled_from(["pulls", "pushes"]),
    "pad": decibels,
    "fell": decibels,
    "by_ear": st.sampled_from(["better", "same", "worse"]),
    "notch_stops": name_lists,
    "notch_keeps": name_lists,
    "other_set_dial": megahertz,
}
"""What each key may hold; all others are true or false."""


def rows_of(table):
    return st.fixed_dictionaries({}, optional={key: VALUES.get(key, st.booleans()) for key in KEYS[table]})


tables = st.fixed_dictionaries(
    {"symptom": st.lists(rows_of(Symptom), min_size=1, max_size=3)}, optional={"set": rows_of(SetKnowledge)}
)


def toml_of(whole):
    """Write tables as TOML; JSON writes text, numbers, lists, true and false in the same way."""

    def rows(table):
        return [f"{key} = {json.dumps(value, ensure_ascii=False)}" for key, value in table.items()]

    lines = ["[set]", *rows(whole["set"])] if "set" in whole else []
    for symptom in whole["symptom"]:
        lines += ["[[symptom]]", *rows(symptom)]
    return "\n".join(lines)


# Laws


@given(tables)
def test_a_file_and_its_tables_say_the_same(whole):
    assert load_evidence(io.StringIO(toml_of(whole))) == Evidence.from_file_keys(whole)


@given(tables)
def test_what_was_read_can_be_made_again_in_python(whole):
    evidence = Evidence.from_file_keys(whole)
    again = Evidence(
        set=SetKnowledge(**evidence.set.given()), symptoms=[Symptom(**one.given()) for one in evidence.symptoms]
    )  # fmt: skip
    assert again == evidence == Evidence(**evidence.model_dump())
    assert hash(again) == hash(evidence)


@given(tables, st.data())
def test_any_keys_made_unknown_say_the_same_as_left_out(whole, data):
    unknown, without = copy.deepcopy(whole), copy.deepcopy(whole)
    for place in range(len(whole["symptom"])):
        for key in data.draw(st.sets(st.sampled_from(KEYS[Symptom]))):
            unknown["symptom"][place][key] = data.draw(st.sampled_from(["unknown", None]))
            without["symptom"][place].pop(key, None)
    assert Evidence.from_file_keys(unknown) == Evidence.from_file_keys(without)


junk = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.decimals()
    | st.text(max_size=8)
    | st.dates(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=4), inner, max_size=3),
    max_leaves=6,
)


def junk_rows(table):
    return st.dictionaries(st.sampled_from(KEYS[table]) | st.text(max_size=4), junk, max_size=8) | junk


@given(
    st.dictionaries(st.text(max_size=8), junk, max_size=2),
    junk_rows(SetKnowledge),
    st.lists(junk_rows(Symptom), max_size=3) | junk,
)
def test_any_tables_give_evidence_or_an_evidence_error(more, own, symptoms):
    try:
        evidence = Evidence.from_file_keys({**more, "set": own, "symptom": symptoms})
    except EvidenceError as error:
        assert error.faults
        assert all(fault.what for fault in error.faults)
    else:
        assert 1 <= len(evidence.symptoms) <= 3


@given(st.dictionaries(st.sampled_from(list(Symptom.model_fields)) | st.just("volume"), junk, max_size=5))
def test_any_attributes_give_a_symptom_or_an_evidence_error(values):
    try:
        symptom = Symptom(**values)
    except EvidenceError as error:
        assert {fault.key.partition("[")[0] for fault in error.faults} <= values.keys()
    else:
        assert set(symptom.given()) <= values.keys()


# Python


def test_evidence_is_made_in_python_with_plain_numbers():
    symptom = Symptom(dial_hz=98_000_000, heard="programme", pad_db=10, programme_of="Radio Sarvenna")
    evidence = Evidence(symptoms=(symptom,))
    assert evidence.symptoms[0].programme_of == ("Radio Sarvenna",)
    assert (symptom.pad_db, symptom.everywhere, symptom.notch_stops) == (10.0, None, ())
    assert evidence.set == SetKnowledge()
    assert (evidence.source, evidence.remarks[0][:35]) == ("", "symptom[0] on 98 MHz: pad without f")
    assert pickle.loads(pickle.dumps(evidence)) == evidence


def test_evidence_cannot_be_changed():
    symptom = Symptom(drifts=True)
    with pytest.raises(ValidationError):
        symptom.drifts = False


def test_unknown_and_none_are_left_out_in_python_too():
    assert Symptom(heard="unknown", dial_hz=None, notch_stops=["unknown"], programme_of=None) == Symptom()
    assert Symptom(heard="unknown", dial_hz=None).given() == {}
    assert SetKnowledge(oscillator="unknown").oscillator == "unknown"
    assert SetKnowledge(oscillator=None).given() == {}


@pytest.mark.parametrize(
    ("make", "key", "what"),
    [
        (lambda: Symptom(dial_hz=98.05), "dial_hz", "not whole hertz"),
        (lambda: Symptom(dial_hz="98 MHz"), "dial_hz", "not whole hertz"),
        (lambda: Symptom(dial_hz=0), "dial_hz", "not above 0"),
        (lambda: Symptom(dial="98 MHz"), "dial", "unknown key"),
        (lambda: Symptom(volume=None), "volume", "unknown key"),
        (lambda: Symptom(everywhere=1), "everywhere", "neither true nor false"),
        (lambda: Symptom(heard="music"), "heard", "not one of the choices"),
        (lambda: Symptom(pad_db="10 dB"), "pad_db", "not a number"),
        (lambda: Symptom(pad_db=float("inf")), "pad_db", "not a finite number"),
        (lambda: SetKnowledge(intermediate_hz=0), "intermediate_hz", "not above 0"),
        (lambda: Evidence(symptoms=()), "symptoms", "missing"),
        (lambda: Evidence(), "symptoms", "missing"),
        (lambda: Evidence(symptoms=[{"dial_hz": -1}]), "symptoms[0].dial_hz", "negative"),
        (lambda: Evidence(symptoms=[Symptom()], source="x"), "source", "unknown key"),
    ],
)
def test_faults_in_python_are_spelt_as_in_python(make, key, what):
    with pytest.raises(EvidenceError) as caught:
        make()
    (fault,) = caught.value.faults
    assert (fault.key, fault.what, fault.line, fault.source) == (key, what, None, "")


# Remarks


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ({}, "nothing is known of it"),
        ({"dial": "unknown"}, "nothing is known of it"),
        ({"fell": "20 dB"}, "fell without pad"),
        ({"pad": "10 dB"}, "pad without fell and by_ear"),
        ({"pad": "10 dB", "fell": "61 dB"}, "fell 61 dB for a pad of 10 dB"),
        ({"pitch": "still", "pitch_tuned_up": "rises"}, 'pitch_tuned_up = "rises" with pitch = "still"'),
        ({"other_set_dial": "98 MHz"}, "other_set_dial without other_set_off_stops"),
        ({"other_set_dial": "98 MHz", "other_set_off_stops": False}, "other_set_dial without other_set_off"),
    ],
)
def test_what_says_nothing_is_remarked_not_refused(row, said):
    evidence = Evidence.from_file_keys({"symptom": [{"drifts": True}, row]})
    (remark,) = evidence.remarks
    assert remark.startswith(f"symptom[1]: {said}")


@pytest.mark.parametrize(
    "row",
    [
        {"dial": "98 MHz", "everywhere": True},
        {"everywhere": True, "width": "wide"},
        {"pad": "10 dB", "fell": "60 dB"},
        {"pad": "10 dB", "fell": "0 dB"},
        {"pad": "10 dB", "by_ear": "worse"},
        {"pitch": "moves", "pitch_tuned_up": "falls"},
        {"pitch": "still"},
        {"other_set_dial": "98 MHz", "other_set_off_stops": True},
        {"everywhere": False},
    ],
)
def test_what_can_be_used_is_not_remarked(row):
    assert Evidence.from_file_keys({"symptom": [row]}).remarks == ()


def test_several_remarks_come_in_the_order_of_the_symptoms():
    rows = [{"dial": "936 kHz", "fell": "3 dB", "pitch": "still", "pitch_tuned_up": "falls"}, {"pad": "6 dB"}]
    remarks = Evidence.from_file_keys({"symptom": rows}).remarks
    places = ["symptom[0] on 936 kHz", "symptom[0] on 936 kHz", "symptom[1]"]
    assert [remark.partition(":")[0] for remark in remarks] == places
