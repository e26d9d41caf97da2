"""Dial readings as rows: an address says what a list in CSV says."""

from __future__ import annotations

import pytest
from commandline import DEMO
from hypothesis import given
from hypothesis import strategies as st

from freqplan import load_readings
from freqplan.errors import ReadingsError
from freqplan.page.readings_form import (
    FEWEST_ROWS,
    MOST_READINGS,
    Row,
    reading_error_hz,
    readings,
    readings_answers,
    readings_form,
    rows_of,
    rows_of_csv,
    tidy,
)

texts = st.text(max_size=20) | st.sampled_from(
    ["98.1", "936 kHz", "?", "\0", "\u202e", "x" * 10_000, '"', ",", "\r\n"]
)
answers_sent = st.dictionaries(
    st.sampled_from(["reads", "is", "station", "error", "rows", "foo"]), st.lists(texts, max_size=7)
)
megahertz = st.integers(30_000, 300_000).map(lambda khz: f"{khz / 1000:g} MHz")
names = st.text(st.characters(exclude_categories=["C", "Z"]), max_size=10)


# Laws


@given(st.lists(st.builds(Row, megahertz, megahertz, names), min_size=1, max_size=12))
def test_rows_come_back_from_their_address(rows):
    assert rows_of(readings_answers(tuple(rows))) == tuple(rows)


@given(st.lists(st.builds(Row, megahertz, megahertz, names), min_size=1, max_size=12))
def test_readings_hold_what_the_rows_say_in_their_order(rows):
    given_ = readings(tuple(rows), unit="MHz")
    assert len(given_) == len(rows)
    assert given_.stations == tuple(row.station for row in rows)
    assert given_.reads_hz.tolist() == [round(float(row.reads.split()[0]) * 10**6) for row in rows]


@given(answers_sent)
def test_any_answers_make_readings_or_faults_and_never_anything_else(answers):
    rows = rows_of(answers)
    faults = ()
    for read in (lambda: readings(rows, unit="MHz"), lambda: reading_error_hz(answers)):
        try:
            read()
        except ReadingsError as error:
            faults += error.faults
    form = readings_form(answers, faults)
    at_boxes = [text for row in form.rows for field in row for text in field.faults]
    assert len(at_boxes) + len(form.error.faults) + len(form.faults) == len(faults)
    assert tidy(tidy(answers)) == tidy(answers)
    assert rows_of(tidy(answers)) == rows


@given(answers_sent)
def test_a_form_that_nobody_touched_sends_what_it_was_filled_in_with(answers):
    form = readings_form(answers)
    sent = {
        name: [field.value for row in form.rows for field in row if field.name == name]
        for name in ("reads", "is", "station")
    }
    assert rows_of(sent) == rows_of(answers)


@given(st.text(max_size=60))
def test_any_text_for_a_list_makes_rows_or_faults(text):
    try:
        rows = rows_of_csv(text)
    except ReadingsError:
        return
    assert readings(rows, unit="MHz").reads_hz.size == len(rows)


# Worked cases


def test_the_demo_readings_come_through_whole():
    path = DEMO / "loft-readings.csv"
    kept = readings(rows_of_csv(path.read_text("utf-8")), unit="MHz")
    loaded = load_readings(path)
    assert kept.reads_hz.tolist() == loaded.reads_hz.tolist()
    assert kept.is_hz.tolist() == loaded.is_hz.tolist()
    assert kept.stations == loaded.stations


def test_digits_alone_are_in_the_unit_of_the_dial():
    assert readings((Row("936", "0.945 MHz"),), unit="kHz").reads_hz.tolist() == [936_000]
    assert readings((Row("936", "0.945 MHz"),), unit="kHz").is_hz.tolist() == [945_000]


def test_each_fault_stands_at_its_box():
    answers = {"reads": ["88.7", "", "x"], "is": ["90.6", "", "95,1"], "station": ["", "", "two\nlines"]}
    with pytest.raises(ReadingsError) as caught:
        readings(rows_of(answers), unit="MHz")
    form = readings_form(answers, caught.value.faults)
    assert form.faults == ()
    assert form.rows[1][0].faults == ("Not a frequency; write for example 98.1 MHz.",)
    assert form.rows[1][1].faults == ("Decimal comma; write 95.1 MHz with a point.",)
    assert len({field.id for row in form.rows for field in row}) == 3 * FEWEST_ROWS


def test_a_row_with_a_name_alone_is_not_passed_over():
    with pytest.raises(ReadingsError) as caught:
        readings(rows_of({"station": ["", "A"]}), unit="MHz")
    assert [fault.key for fault in caught.value.faults] == ["reads_mhz", "is_mhz"]


def test_more_rows_are_shown_where_they_are_asked_for_up_to_fifty():
    form = readings_form({})
    assert (len(form.rows), form.more) == (6, 12)
    form = readings_form({"rows": ["12"]})
    assert (len(form.rows), form.more) == (12, 18)
    form = readings_form({"rows": ["999"]})
    assert (len(form.rows), form.more) == (MOST_READINGS, None)


@pytest.mark.parametrize("asked", ["", "-1", "x", "9" * 5000])
def test_a_number_of_rows_that_is_none_shows_six(asked):
    assert len(readings_form({"rows": [asked]}).rows) == FEWEST_ROWS


def test_the_address_holds_no_blank_rows_and_no_blank_column():
    answers = {"reads": ["88.7", "", "90"], "is": ["90.6", " ", "91"], "station": ["", "", ""], "error": [""]}
    assert tidy(answers) == {"reads": ("88.7", "90"), "is": ("90.6", "91")}


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("0.1", "Unit missing; write 0.1 MHz."),
        ("0 MHz", "Zero; more than 0 is needed, such as 0.1 MHz."),
        ("-1 kHz", "Negative; write 1 kHz."),
    ],
)
def test_a_reading_error_that_is_none_is_told_at_its_box(text, told):
    with pytest.raises(ReadingsError) as caught:
        reading_error_hz({"error": [text]})
    assert readings_form({"error": [text]}, caught.value.faults).error.faults == (told,)


def test_a_reading_error_may_be_left_out():
    assert reading_error_hz({"error": [" "]}) is None
    assert reading_error_hz({"error": ["0.2 MHz"]}) == 200_000


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("5", "Unit missing; write 5 kHz."),
        ("x", "Not a frequency; write for example 1 kHz."),
        ("0 Hz", "Zero; more than 0 is needed, such as 1 kHz."),
    ],
)
def test_examples_of_a_reading_error_fit_a_dial_in_kilohertz(text, told):
    with pytest.raises(ReadingsError) as caught:
        reading_error_hz({"error": [text]}, unit="kHz")
    error = readings_form({"error": [text]}, caught.value.faults, unit="kHz").error
    assert error.faults == (told,)
    assert "such as 1 kHz" in error.help
    with pytest.raises(ReadingsError, match='write for example "936 kHz"'):
        readings((Row("ninety", "945"),), unit="kHz")
