"""A set by its fields: what is shown, what is sent back, and where a fault belongs."""

from __future__ import annotations

import copy
import tomllib
from decimal import Decimal

import pytest
from commandline import DEMO
from hypothesis import given
from hypothesis import strategies as st

from freqplan import Plan, load_plan
from freqplan.errors import PlanError
from freqplan.page.form_fields import literals, to_text
from freqplan.page.plan_form import changed_plan, path_of, plan_sections, plan_tables
from freqplan.page.plan_words import SECTIONS
from freqplan.plan_faults import inner_table

SETS = ("attic", "balcony", "loft", "pantry", "shed", "workshop")
LEAST = {"band": {"low": "87.5 MHz", "high": "108 MHz"}, "conversion": [{"intermediate": "10.7 MHz"}]}
TEXTS = st.text(max_size=40) | st.sampled_from(
    ["0", "-1", "1.5", "10.7 MHz", "455 kHz", "20 dB", "\0", "\u202e", "x" * 10_000, "high", "am", "[", '"']
)


def demo(name):
    return plan_tables((DEMO / f"{name}.toml").read_text("utf-8"))


def fields_of(tables, *args):
    sections, others = plan_sections(tables, *args)
    return {field.name: field for section in sections for field in section.fields}, others


def as_sent(tables):
    """Return what a browser sends of a form that nobody touched: every question, blank where it is blank."""
    return {name: field.boxes for name, field in fields_of(tables)[0].items()}


def refused(tables, answers):
    with pytest.raises(PlanError) as caught:
        changed_plan(tables, answers)
    return fields_of(tables, answers, caught.value.faults)


# Laws


@pytest.mark.parametrize("name", SETS)
def test_a_form_that_nobody_touched_changes_nothing(name):
    tables = demo(name)
    assert changed_plan(tables, as_sent(tables)) is None


@pytest.mark.parametrize("name", SETS)
def test_what_is_shown_is_what_the_plan_says(name):
    tables, plan = demo(name), load_plan(DEMO / f"{name}.toml")
    shown = fields_of(tables)[0]
    assert shown["title"].value == plan.title
    assert shown["band.low"].value == tables["band"]["low"]
    assert shown["conversion[0].intermediate"].value == tables["conversion"][0]["intermediate"]


@pytest.mark.parametrize("name", ["pantry", "shed", "workshop"])
def test_what_the_form_does_not_ask_for_stays(name):
    tables = demo(name)
    text = changed_plan(tables, as_sent(tables) | {"title": ["Another"]})
    assert tomllib.loads(text, parse_float=Decimal) == tables | {"title": "Another"}


@given(st.data())
def test_any_answers_make_a_good_plan_or_faults_and_never_anything_else(data):
    tables = demo(data.draw(st.sampled_from(SETS)))
    before = copy.deepcopy(tables)
    names = list(fields_of(tables)[0])
    answers = data.draw(st.dictionaries(st.sampled_from(names), st.lists(TEXTS, max_size=2), max_size=6))
    try:
        text = changed_plan(tables, answers)
    except PlanError as error:
        shown, others = fields_of(tables, answers, error.faults)
        assert sum(len(field.faults) for field in shown.values()) + len(others) == len(error.faults)
    else:
        Plan.from_file_keys(tables if text is None else tomllib.loads(text, parse_float=Decimal))
    assert tables == before


@given(st.data())
def test_what_was_changed_is_shown_afterwards(data):
    raster = f"{data.draw(st.integers(1, 5000))} kHz"
    tolerance = f"{data.draw(st.integers(0, 999))} kHz"
    q = data.draw(st.integers(1, 500))
    answers = {
        "band.raster": [raster],
        "conversion[0].tolerance": [tolerance],
        "front_end.circuits_before_mixer": ["1"],
        "front_end.loaded_q": [f"{q}"],
    }
    after = fields_of(plan_tables(changed_plan(LEAST, answers)))[0]
    assert [after[name].value for name in answers] == [raster, tolerance, "1", f"{q}"]


def test_every_question_is_a_key_of_a_plan_with_words_for_each_choice():
    for _, _, keys in SECTIONS:
        for (table, attribute), words in keys.items():
            model = inner_table(Plan.model_fields[table].annotation) if table else Plan
            choices = literals(model.model_fields[attribute].annotation)
            assert not choices or set(words.choices) == set(choices), attribute
            assert words.label


def test_no_two_questions_share_a_name_or_an_id():
    fields = fields_of(LEAST)[0]
    assert len({field.id for field in fields.values()}) == len(fields)


# Worked cases


def test_a_blank_answer_takes_its_key_out_and_its_table_with_the_last():
    text = changed_plan(
        LEAST | {"rf_stage": {"iip2": "20 dBm", "iip3": "0 dBm"}},
        {"rf_stage.iip2": [""], "rf_stage.iip3": ["  "]},
    )
    assert plan_tables(text) == LEAST


def test_a_table_that_says_nothing_stays_where_it_stood():
    tables = LEAST | {"front_end": {}}
    assert plan_tables(changed_plan(tables, {"title": ["A set"]})) == tables | {"title": "A set"}


def test_a_set_can_be_made_from_nothing():
    answers = {"band.low": ["87.5 MHz"], "band.high": ["108 MHz"], "conversion[0].intermediate": ["10.7 MHz"]}
    assert plan_tables(changed_plan(plan_tables(""), answers)) == LEAST


def test_the_filter_is_asked_for_where_this_plan_tells_of_it():
    conversion = [{"intermediate": "10.7 MHz"}, {"intermediate": "455 kHz", "bandwidth": "15 kHz"}]
    tables = LEAST | {"conversion": conversion}
    assert fields_of(tables)[0]["conversion[1].bandwidth"].value == "15 kHz"
    text = changed_plan(tables, {"conversion[1].bandwidth": ["12 kHz"]})
    assert plan_tables(text)["conversion"][1]["bandwidth"] == "12 kHz"
    assert "if_filter" not in plan_tables(text)


@pytest.mark.parametrize(
    ("name", "answer", "told"),
    [
        ("band.low", "", "Missing; such as 87.5 MHz."),
        ("band.low", "87.5", "Unit missing; write 87.5 MHz or 87.5 kHz."),
        ("band.high", "87,5 MHz", "Decimal comma; write 87.5 MHz with a point."),
        ("band.low", "109 MHz", "The band is upside down; low must lie below high."),
        ("conversion[0].intermediate", "", "Missing; such as 10.7 MHz."),
        (
            "conversion[0].oscillator",
            "sum",
            "The oscillator would be zero or negative on part of the dial; "
            "choose above the signal or below the signal.",
        ),
        ("front_end.loaded_q", "18,5", "Not a number; write digits, such as 3 or 0.5."),
        ("orders.signal", "1.5", "Not a whole number; such as 5."),
        ("orders.signal", "26", "Above 25; 25 or less is needed."),
        ("front_end.gain", "20", "Unit missing; write 20 dB."),
        ("title", "x" * 201, "Longer than 200 signs; shorten it."),
    ],
)
def test_a_fault_is_told_at_its_question_as_a_form_needs_it(name, answer, told):
    shown, others = refused(LEAST, {name: [answer]})
    assert (shown[name].faults, others) == ((told,), ())


def test_faults_of_what_is_not_asked_for_are_told_with_their_place():
    tables = LEAST | {"clock": [{"name": "display", "frequency": "4"}]}
    shown, others = refused(tables, {})
    assert others == ('clock[0].frequency: unit missing, found "4"; write "4 MHz" or "4 kHz".',)
    assert not any(field.faults for field in shown.values())


def test_all_faults_are_told_at_once():
    shown, _ = refused(LEAST, {"band.low": ["x"], "band.high": ["1", "2"], "orders.signal": ["many"]})
    assert {name for name, field in shown.items() if field.faults} == {
        "band.low",
        "band.high",
        "orders.signal",
    }
    assert shown["band.high"].faults == ("Answered twice; keep one of them.",)


def test_what_cannot_be_used_is_shown_as_it_was_sent():
    shown, _ = refused(LEAST, {"band.low": ["  x\u202e"]})
    assert shown["band.low"].value == "  x\u202e"


@pytest.mark.parametrize("strange", [[1], {"a": 1}, None])
def test_a_value_that_is_no_value_shows_as_blank(strange):
    assert to_text(strange) == ""


@pytest.mark.parametrize("text", ["[band", "a = 1\na = 2", "\0"])
def test_text_that_is_no_toml_is_refused_with_its_line(text):
    with pytest.raises(PlanError):
        plan_tables(text)


@pytest.mark.parametrize(
    "tables", [{"band": 3, "conversion": {}}, {"conversion": [3]}, {"conversion": []}, {"front_end": []}]
)
def test_a_plan_of_any_shape_can_be_shown_and_mended(tables):
    assert changed_plan(
        {key: value for key, value in tables.items() if key != "front_end"},
        {"band.low": ["87.5 MHz"], "band.high": ["108 MHz"], "conversion[0].intermediate": ["10.7 MHz"]},
    )
    assert fields_of(tables)[0]["band.low"].value == ""


def test_a_dotted_key_is_taken_apart():
    assert path_of("conversion[12].bandwidth_20db") == ("conversion", 12, "bandwidth_20db")
