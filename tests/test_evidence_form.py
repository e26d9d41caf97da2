"""What was observed as a form: every key is asked for, and an address says what a file says."""

from __future__ import annotations

import tomllib
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from test_evidence import KEYS, VALUES, toml_of

from freqplan import Evidence, SetKnowledge, Symptom
from freqplan.errors import EvidenceError
from freqplan.page.evidence_form import (
    MOST_SYMPTOMS,
    answers_of_toml,
    evidence_answers,
    evidence_form,
    evidence_tables,
    tidy,
    without,
)
from freqplan.page.evidence_words import SET_SECTION, SYMPTOM_SECTIONS
from freqplan.page.form_fields import literals
from freqplan.tomltext import toml_text

EXAMPLE = {
    "dial": ["95.9"],
    "reading_error": ["0.05 MHz"],
    "on_station": ["Zirvo Notizie"],
    "heard": ["whistle"],
    "pitch": ["moves"],
    "aerial_out": ["goes"],
    "1.pad": ["10"],
    "by_ear": ["better"],
    "set.dial_error": ["0.1 MHz"],
}
HOSTILE = ["\0", "\u202e", "x" * 10_000, "unknown", "<b>", "1e5", "-", "true", "98 MHz", "0 MHz", "3"]
answers_sent = st.dictionaries(
    st.sampled_from([*KEYS[Symptom], "2.heard", "7.dial", "set.oscillator", "set.heard", "disturbances"])
    | st.text(max_size=12),
    st.lists(st.text(max_size=30) | st.sampled_from(HOSTILE), max_size=3),
    max_size=8,
)


def rows_of(table):
    """Draw a table that says something, texts as a form can hold them."""
    return st.fixed_dictionaries({}, optional={key: VALUES.get(key, st.booleans()) for key in KEYS[table]})


files = st.fixed_dictionaries(
    {"symptom": st.lists(rows_of(Symptom), min_size=1, max_size=3)}, optional={"set": rows_of(SetKnowledge)}
)


def fields_of(answers, *args, unit="MHz"):
    form = evidence_form(answers, *args, unit=unit)
    sections = [*(section for one in form.disturbances for section in one.sections), form.about_the_set]
    return {field.name: field for section in sections for field in section.fields}, form


def read(answers):
    return Evidence.from_file_keys(evidence_tables(answers, unit="MHz"))


def refused(answers):
    with pytest.raises(EvidenceError) as caught:
        read(answers)
    return fields_of(answers, caught.value.faults)


# Laws


def test_every_key_of_evidence_is_asked_for_once_with_words_for_each_choice():
    asked = [key for _, _, keys in SYMPTOM_SECTIONS for key in keys]
    assert sorted(asked) == sorted(Symptom.model_fields)
    assert set(SET_SECTION[2]) == set(SetKnowledge.model_fields)
    for table, sections in ((Symptom, SYMPTOM_SECTIONS), (SetKnowledge, (SET_SECTION,))):
        for _, _, keys in sections:
            for attribute, words in keys.items():
                assert words.label
                assert set(words.choices) == set(literals(table.model_fields[attribute].annotation)), (
                    attribute
                )


@given(files)
def test_an_address_says_what_the_file_says(tables):
    told = [row for row in tables["symptom"] if Symptom.model_validate({}) != _symptom(row)]
    answers = answers_of_toml(toml_of(tables))
    if told:
        assert read(answers) == Evidence.from_file_keys(tables | {"symptom": told})
    else:
        assert evidence_tables(answers, unit="MHz")["symptom"] == []


def _symptom(row):
    return Evidence.from_file_keys({"symptom": [row]}).symptoms[0]


@given(files)
def test_the_file_of_an_address_says_what_the_address_says(tables):
    answers = answers_of_toml(toml_of(tables))
    written = toml_text(evidence_tables(answers, unit="MHz"))
    if "[[symptom]]" in written:
        assert answers_of_toml(written) == answers


@given(files)
def test_a_form_that_nobody_touched_sends_what_it_was_filled_in_with(tables):
    answers = answers_of_toml(toml_of(tables))
    fields, form = fields_of(answers)
    assert tidy({name: field.boxes for name, field in fields.items()}) == answers
    assert form.faults == ()


@given(answers_sent)
def test_any_answers_make_evidence_or_faults_and_never_anything_else(answers):
    try:
        tables = evidence_tables(answers, unit="MHz")
        if tables["symptom"]:
            Evidence.from_file_keys(tables)
    except EvidenceError as error:
        fields, form = fields_of(answers, error.faults)
        assert sum(len(field.faults) for field in fields.values()) + len(form.faults) == len(error.faults)
    tidied = tidy(answers)
    assert tidy(tidied) == tidied


@given(answers_sent)
def test_tidying_changes_nothing_that_is_said(answers):
    def said(some):
        try:
            return evidence_tables(some, unit="MHz")
        except EvidenceError as error:
            return error.faults

    assert said(tidy(answers)) == said(answers)


def test_questions_of_all_disturbances_have_ids_of_their_own():
    fields, _ = fields_of({"disturbances": ["3"]})
    assert len({field.id for field in fields.values()}) == len(fields) == 3 * len(KEYS[Symptom]) + 5


# Worked cases


def test_the_example_reads_as_its_file():
    assert evidence_tables(EXAMPLE, unit="MHz") == {
        "set": {"dial_error": "0.1 MHz"},
        "symptom": [
            {
                "dial": "95.9 MHz",
                "reading_error": "0.05 MHz",
                "on_station": "Zirvo Notizie",
                "heard": "whistle",
                "pitch": "moves",
                "aerial_out": "goes",
                "pad": "10 dB",
                "by_ear": "better",
            }
        ],
    }


def test_digits_alone_are_in_the_unit_of_the_dial():
    assert evidence_tables({"dial": ["936"]}, unit="kHz")["symptom"] == [{"dial": "936 kHz"}]
    assert "In kHz, unless" in fields_of({}, unit="kHz")[0]["dial"].help


def test_numbers_yes_and_no_become_what_a_file_has():
    answers = {"pitch_khz": ["3"], "pitch_rate": ["2.0"], "single": ["no"], "drifts": ["yes"]}
    row = evidence_tables(answers, unit="MHz")["symptom"][0]
    assert row == {"pitch_khz": 3, "pitch_rate": Decimal("2.0"), "single": False, "drifts": True}
    assert evidence_answers({"symptom": [row]}) == {key: tuple(value) for key, value in answers.items()}


def test_a_pad_on_trial_is_no_answer():
    assert tidy({"pad": ["10"], "oscillator": ["low"], "heard": ["noise"]}) == {"heard": ("noise",)}
    assert fields_of({"1.pad": ["10"]})[0]["1.pad"].value == "10"


def test_disturbances_are_numbered_without_gaps_and_blanks():
    answers = {
        "heard": [""],
        "3.heard": ["noise"],
        "9.heard": ["quiet"],
        "9.dial": [" "],
        "4.programme_of": ["", "A"],
    }
    assert tidy(answers) == {"heard": ("noise",), "3.heard": ("quiet",), "2.programme_of": ("A",)}


def test_one_more_disturbance_is_shown_where_it_is_asked_for():
    answers = tidy({"heard": ["noise"], "disturbances": ["2"]})
    assert answers == {"heard": ("noise",), "disturbances": ("2",)}
    assert [one.number for one in fields_of(answers)[1].disturbances] == [1, 2]
    assert tidy(answers | {"2.heard": ("quiet",)}) == {"heard": ("noise",), "2.heard": ("quiet",)}


@pytest.mark.parametrize("asked", ["", "-1", "x", "1e9", "9" * 5000, "²"])
def test_a_number_of_disturbances_that_is_none_shows_one(asked):
    assert len(fields_of({"disturbances": [asked]})[1].disturbances) == 1


def test_a_disturbance_can_be_taken_out():
    answers = {"heard": ["noise"], "2.heard": ["quiet"], "3.heard": ["whistle"], "set.oscillator": ["low"]}
    assert without(answers, 2) == {"heard": ("noise",), "2.heard": ("whistle",), "set.oscillator": ("low",)}
    assert without({"heard": ["noise"]}, 1) == {}


def test_the_side_can_be_told_to_be_unknown_and_nothing_else_can():
    answers = answers_of_toml(
        '[set]\noscillator = "unknown"\n[[symptom]]\nheard = "unknown"\ndial = "98 MHz"\n'
    )
    assert answers["set.oscillator"] == ("unknown",)
    assert read(answers).symptoms == (Symptom(dial_hz=98_000_000),)


@pytest.mark.parametrize(
    ("name", "answer", "told"),
    [
        ("dial", "95,9", "Decimal comma; write 95.9 MHz with a point."),
        ("dial", "here", "Not a frequency; write for example 10.7 MHz."),
        ("reading_error", "0.1", "Unit missing; write 0.1 MHz or 0.1 kHz."),
        ("1.pad", "-3", "Not above 0; more than 0 is needed."),
        ("pitch_khz", "high", "Not a number; write digits, such as 3 or 0.5."),
        ("single", "perhaps", "Neither true nor false; choose yes or no."),
        ("on_station", "x" * 201, "Longer than 200 signs; shorten it, or write the frequency."),
        ("2.dial", "0", "Not above 0; more than 0 is needed."),
        ("set.intermediate", "10.7", "Unit missing; write 10.7 MHz or 10.7 kHz."),
    ],
)
def test_a_fault_is_told_at_its_question_as_a_form_needs_it(name, answer, told):
    fields, form = refused({"heard": ["whistle"], name: [answer]})
    assert form.faults == ()
    assert fields[name].faults == (told,)
    assert fields[name].described_by.startswith(f"{fields[name].id}-fault")
    section = next(
        one
        for one in [*(each for d in form.disturbances for each in d.sections), form.about_the_set]
        if fields[name] in one.fields
    )
    assert section.open


def test_a_fault_of_one_name_in_a_list_belongs_to_its_question():
    fields, form = refused({"programme_of": ["A", "unknown", "B"]})
    assert fields["programme_of"].faults == ("Not a station; leave it empty.",)
    assert form.faults == ()


def test_what_is_no_question_is_told_above_the_form():
    _, form = refused({"herd": ["whistle"]})
    assert form.faults == ("symptom[0].herd: unknown key; write heard.",)


def test_a_question_answered_twice_is_refused_also_under_its_number():
    for answers in ({"dial": ["98", "99"]}, {"dial": ["98"], "1.dial": ["99"]}):
        fields, _ = refused(answers)
        assert fields["dial"].faults == ("Answered twice; keep one of them.",)


def test_too_many_disturbances_are_refused():
    _, form = refused({f"{number}.heard": ["noise"] for number in range(1, MOST_SYMPTOMS + 2)})
    assert form.faults == ("too many disturbances; at most 50 can be told of.",)


def test_a_faulty_file_is_told_with_its_lines():
    with pytest.raises(EvidenceError) as caught:
        answers_of_toml('[[symptom]]\ndial = "98"\nherd = "noise"\n')
    assert [(fault.source, fault.line) for fault in caught.value.faults] == [("", 2), ("", 3)]


def test_boxes_for_stations_are_two_or_one_more_than_are_named():
    fields, _ = fields_of({"notch_stops": ["A", "B"]})
    assert fields["notch_stops"].boxes == ("A", "B", "")
    assert fields["notch_keeps"].boxes == ("", "")


def test_what_is_written_is_toml_that_others_read():
    assert tomllib.loads(toml_text(evidence_tables(EXAMPLE, unit="MHz")))["symptom"][0]["pad"] == "10 dB"
