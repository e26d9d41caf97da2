"""Forms on the page: an answer is what Python gives, an address keeps it, and nothing written brings a traceback."""

from __future__ import annotations

import html
import io
import json
import re

import pytest
from commandline import AM, DEMO, FM
from formpages import Browser, bench
from hostile import HOSTILE
from hypothesis import given, settings
from hypothesis import strategies as st
from thoroughness import examples

from freqplan import diagnose, dial, load_evidence, load_plan, load_readings, load_stations
from freqplan.page.state import Bench
from freqplan.tables import render

WHISTLE = {
    "dial": "95.9",
    "reading_error": "0.05 MHz",
    "on_station": "Zirvo Notizie",
    "heard": "whistle",
    "pitch": "moves",
    "aerial_out": "goes",
    "1.pad": "10",
    "by_ear": "better",
    "set.dial_error": "0.1 MHz",
}
"""What plans_demo/pantry-heard.toml tells."""

LOFT = DEMO / "loft-readings.csv"
NASTY = [
    "\0",
    "\u202e98 MHz",
    "x" * 10_000,
    "<script>",
    '"',
    "''",
    "{{ 7 }}",
    "\ud7ff",
    "1e99999",
    "-1 MHz",
    "0",
]
VIEWS = ("diagnosis", "readings", "set")


@pytest.fixture(scope="module")
def browser():
    return Browser()


@pytest.fixture(scope="module")
def loft():
    text = re.sub(r"\nresponse(_dial)? = .*", "", (DEMO / "loft.toml").read_text("utf-8"))
    return Browser(Bench(text))


@pytest.fixture(scope="module")
def expected():
    return diagnose(
        load_plan(DEMO / "pantry.toml"),
        load_evidence(DEMO / "pantry-heard.toml"),
        load_stations(DEMO / "orvessa.csv"),
    )


def loft_rows():
    given_ = load_readings(LOFT)
    pairs = zip(given_.reads_hz.tolist(), given_.is_hz.tolist(), given_.stations, strict=True)
    return {
        "reads": [f"{reads / 10**6:g}" for reads, _, _ in pairs],
        "is": [f"{is_ / 10**6:g}" for is_ in given_.is_hz.tolist()],
        "station": list(given_.stations),
    }


# Diagnosis


def test_the_page_says_what_python_says(browser, expected):
    got = browser.get("diagnosis", WHISTLE)
    assert got.status == 200
    said = got.page.said
    for title, texts in expected.sections.items():
        assert title in said
        assert all(" ".join(text.split()) in said for text in texts)
    assert all(text in said for text in (*expected.headlines, *expected.cautions, *expected.assumptions))


def test_the_verdict_of_the_worked_example_stands_before_the_form(browser):
    said = browser.get("diagnosis", WHISTLE).page.said
    assert said.index("Fits, 90 %: half-if, half-IF response.") < said.index("What was noticed Answer")
    assert "Put a trap for Orvessa Alta at the aerial socket. half-if: it stops. image: it goes on." in said


def test_leading_causes_link_to_their_settings(browser):
    page = browser.get("diagnosis", WHISTLE).page
    link = next(one["href"] for tag, one in page.tags if tag == "a" and "dial=95.85" in one.get("href", ""))
    assert browser.get(link).status == 200


def test_files_hold_what_the_command_gives(browser, expected):
    got = browser.get("diagnosis.json", WHISTLE)
    assert json.loads(got.text)["causes"] == json.loads(json.dumps(expected.to_dict()))["causes"]
    for table in ("causes", "tests"):
        got = browser.get("diagnosis.csv", WHISTLE | {"table": table})
        assert got.text.replace("\r\n", "\n") == render(expected, "csv", table=table).replace("\r\n", "\n")


def test_the_report_holds_what_was_noticed_and_what_was_read(browser, loft):
    got = browser.get("diagnosis-report.html", WHISTLE)
    assert (got.status, "half-IF response" in got.text) == (200, True)
    got = loft.get("readings-report.html", loft_rows())
    assert (got.status, "capacitance 23 % too high" in got.text) == (200, True)
    assert browser.get("diagnosis-report.html", {"dial": "x"}).status == 422


def test_the_evidence_goes_out_as_a_file_and_comes_back_to_the_same_address(browser):
    text = browser.get("evidence.toml", WHISTLE).text
    kept = load_evidence(io.StringIO(text))
    assert kept == load_evidence(DEMO / "pantry-heard.toml")
    sent = {name: [value] for name, value in WHISTLE.items()} | {"dial": ["95.9 MHz"], "1.pad": ["10 dB"]}
    assert browser.post("diagnosis", evidence=text).told == sent
    file = (io.BytesIO(text.encode("utf-8")), "heard.toml")
    assert browser.post("diagnosis", evidence="", evidence_file=file).told == sent


def test_a_form_as_it_is_sent_goes_on_to_an_address_without_blanks(browser):
    page = browser.get("diagnosis").page
    blank = {one["name"]: "" for tag, one in page.tags if tag == "input" and one.get("type") != "file"}
    blank.pop("token")
    got = browser.get("diagnosis", blank | WHISTLE)
    assert (got.status, got.told) == (303, {name: [value] for name, value in WHISTLE.items()})
    assert browser.get(got.to).status == 200


def test_the_form_shows_what_was_answered(browser):
    page = browser.get("diagnosis", WHISTLE).page
    assert page.named("dial")[0]["value"] == "95.9"
    taken = [one["value"] for one in page.named("heard") if "checked" in one]
    assert taken == ["whistle"]
    assert [one["value"] for one in page.named("width") if "checked" in one] == [""]


def test_a_disturbance_can_be_added_answered_and_taken_out(browser):
    got = browser.get("diagnosis", {"heard": "noise", "width": "", "disturbances": "2"})
    assert got.to.endswith("#disturbance-2")
    page = browser.get(got.to).page
    assert len(page.named("2.heard")) == 7
    got = browser.follow("diagnosis", {"heard": "noise", "2.heard": "nothing", "2.dial": ""})
    assert "Verdict 2" in got.page.said
    got = browser.get("diagnosis", {"heard": "noise", "2.heard": "nothing", "without": "1"})
    assert got.told == {"heard": ["nothing"]}


def test_enter_finds_the_cause_and_takes_nothing_out(browser):
    page = browser.get("diagnosis", {"heard": "noise", "2.heard": "nothing"}).page
    first = next(one for tag, one in page.tags if tag == "button")
    assert "name" not in first


def test_what_is_tried_in_place_of_the_plan_goes_along(browser):
    asked = WHISTLE | {"intermediate": "10.65", "oscillator": "low"}
    got = browser.get("diagnosis", asked)
    assert "IF 10.65 ± 0.03 MHz, oscillator low" in got.page.said
    assert "In place of the plan's own: IF 10.65, oscillator low." in got.page.said
    assert [one["value"] for one in got.page.named("intermediate")] == ["10.65"]
    assert '"oscillator": "low"' in browser.get("diagnosis.json", asked).text


def test_names_without_a_list_are_told_at_their_question():
    page = Browser(bench(stations="")).get("diagnosis", {"on_station": "Zirvo Notizie"}).page
    assert page.named("on_station")[0]["aria-describedby"].split()[0] == "q-on-station-fault"
    assert "write its frequency, or put a station list beside the set." in page.said


def test_what_is_known_of_the_set_alone_is_not_enough(browser):
    got = browser.get("diagnosis", {"set.dial_error": "0.1 MHz"})
    assert got.status == 422
    assert "answer at least one question" in got.page.said


def test_a_faulty_evidence_file_is_shown_again_with_its_lines(browser):
    got = browser.post("diagnosis", evidence='[[symptom]]\ndial = "98"\n')
    assert got.status == 422
    assert 'line 2, symptom[0].dial: unit missing, found "98"' in got.page.said
    assert "dial = &#34;98&#34;" in got.text


# Dial readings


def test_the_page_of_readings_says_what_python_says(loft):
    result = dial(load_plan(DEMO / "loft.toml"), load_readings(LOFT))
    got = loft.get("readings", loft_rows())
    assert got.status == 200
    for text in result.headlines[2:]:
        assert text in got.page.said
    assert "capacitance 23 % too high" in got.page.said
    told = json.loads(loft.get("readings.json", loft_rows()).text)
    assert told["explanations"] == json.loads(json.dumps(result.to_dict()))["explanations"]
    assert loft.get("readings.csv", loft_rows() | {"table": "received"}).text == render(
        result, "csv", table="received"
    )


def test_a_list_that_is_sent_becomes_an_address(loft):
    got = loft.post("readings", readings=LOFT.read_text("utf-8"))
    assert got.told["reads"][0] == "89.3 MHz"
    assert "capacitance 23 % too high" in loft.get(got.to).page.said


def test_blank_rows_are_left_out_of_the_address_and_more_can_be_shown(loft):
    got = loft.get("readings", {"reads": ["89.3", "", ""], "is": ["100.7", "", ""], "rows": "12"})
    assert got.told == {"reads": ["89.3"], "is": ["100.7"], "rows": ["12"]}
    assert len(loft.get(got.to).page.named("reads")) == 12


def test_a_fault_of_a_reading_stands_at_its_box(loft):
    page = loft.get("readings", {"reads": ["89.3", "300"], "is": ["100.7", "98"]}).page
    faulty = [one for one in page.named("reads") if one.get("aria-invalid")]
    assert [(one["id"], one["aria-describedby"]) for one in faulty] == [("q-reads-2", "q-reads-2-fault")]
    assert "Off the scale of the set" in page.said


def test_a_faulty_list_of_readings_is_shown_again(loft):
    got = loft.post("readings", readings="reads_mhz,is_mhz\n98,x\n")
    assert got.status == 422
    assert "line 2, is_mhz: not a frequency" in got.page.said


# The set by its fields


def test_fields_that_are_changed_make_another_bench(browser):
    got = browser.post("fields", **{"band.raster": "50 kHz", "front_end.gain": ""})
    assert got.status == 303
    assert got.to.endswith("/survey")
    kept = load_plan(io.StringIO(got.plan_text))
    before = load_plan(DEMO / "pantry.toml")
    assert (kept.band.raster_hz, kept.front_end.gain_db) == (50_000, None)
    assert (kept.mixer, kept.clock, kept.rf_stage) == (before.mixer, before.clock, before.rf_stage)


def test_fields_that_are_not_changed_leave_the_text_with_its_comments(browser):
    assert browser.post("fields", **{"band.raster": "100 kHz"}).plan_text == browser.bench.plan_text


def test_a_faulty_field_is_shown_again_with_its_fault(browser):
    got = browser.post("fields", **{"band.low": "109 MHz", "title": "Changed"})
    assert got.status == 422
    low = got.page.named("band.low")[0]
    assert (low["value"], low["aria-invalid"]) == ("109 MHz", "true")
    assert "The band is upside down; low must lie below high." in got.page.said
    assert got.page.named("title")[0]["value"] == "Changed"


def test_a_plan_that_is_no_toml_can_be_mended_as_text():
    got = Browser(Bench("[band")).get("set")
    assert got.status == 422
    assert "By fields" not in got.page.said
    assert "line 1" in got.page.said


def test_a_form_of_another_page_is_refused(browser):
    assert browser.post("fields", token="another").status == 403


# Every page, whatever is written


PAGES = {
    "nothing noticed": ("diagnosis", {}),
    "a cause": ("diagnosis", WHISTLE),
    "several disturbances": ("diagnosis", WHISTLE | {"2.heard": "noise", "disturbances": "4"}),
    "faults": (
        "diagnosis",
        {"dial": "x", "programme_of": ["unknown", "b"], "herd": "1", "set.dial_error": "3"},
    ),
    "nothing read": ("readings", {}),
    "readings": ("readings", {"reads": ["89.3", "92.3", "100.4"], "is": ["100.7", "103.4", "89.3"]}),
    "faulty readings": ("readings", {"reads": ["x", ""], "is": ["98", "98"], "error": "3", "rows": "50"}),
    "the set": ("set", {}),
}


@pytest.mark.parametrize(("view", "query"), PAGES.values(), ids=PAGES)
def test_every_question_can_be_found_read_and_answered(browser, view, query):
    got = browser.follow(view, query)
    assert got.status in (200, 422)
    assert list(got.page.troubles()) == []


@pytest.mark.parametrize("text", [*HOSTILE, *NASTY])
def test_nothing_that_is_written_brings_a_traceback_or_gets_into_the_page(browser, text):
    asked = [
        browser.follow("diagnosis", {"on_station": text, "dial": text, text or "x": text, "heard": text}),
        browser.follow(
            "diagnosis", {"2.programme_of": [text, text], "set.intermediate": text, "2.pad": text}
        ),
        browser.follow("readings", {"reads": [text], "is": [text], "station": [text], "error": text}),
        browser.post("fields", **{"title": text, "band.low": text, "orders.signal": text, text: text}),
        browser.post("diagnosis", evidence=text),
        browser.post("readings", readings=text),
    ]
    for got in asked:
        assert got.status in (200, 303, 414, 422)
        if got.status != 303:
            assert list(got.page.troubles()) == []
            assert not {tag for tag, _ in got.page.tags} & {"img", "b", "iframe"}


@pytest.mark.parametrize(
    "name", ["self", "path", "token", "bench", "answers", "visit", "_", "2.", ".", "set.", "0.dial"]
)
def test_names_that_are_no_questions_are_told_and_nothing_else(browser, name):
    got = browser.get("diagnosis", {name: "1", "heard": "noise"})
    assert got.status == 422
    assert "unknown key" in got.page.said


@pytest.mark.parametrize("view", ["diagnosis.json", "diagnosis.csv", "evidence.toml", "readings.json"])
def test_a_file_of_nothing_is_refused_calmly(browser, view):
    got = browser.get(view, {"dial": ["1", "2"], "table": "none"})
    assert got.status in (200, 422)
    assert "Traceback" not in got.text


@settings(max_examples=examples(25))
@given(
    st.dictionaries(
        st.sampled_from([*WHISTLE, "programme_of", "2.single", "notch_stops", "reads", "rows", "without"]),
        st.lists(st.text(max_size=12) | st.sampled_from([*NASTY[:2], "98 MHz", "yes"]), max_size=2),
        max_size=6,
    ),
    st.sampled_from(["diagnosis", "readings"]),
)
def test_any_address_is_answered(query, view):
    got = Browser(Bench(FM)).follow(view, query)
    assert got.status in (200, 422)
    assert list(got.page.troubles()) == []


def test_a_set_for_medium_wave_is_asked_in_kilohertz():
    browser = Browser(Bench(AM))
    got = browser.get("diagnosis", {"dial": "936", "heard": "whistle"})
    assert got.status == 200
    assert "at 936 kHz" in got.page.said
    assert "Numbers are in kHz" in browser.get("readings").page.said
    got = browser.get("readings", {"reads": ["ninety"], "is": ["945"], "error": ["5"]})
    assert "MHz" not in got.page.said.replace("0.1 MHz on FM", "").replace("below 30 MHz", "")


def test_hostile_names_in_the_list_are_offered_as_text():
    listed = "name,frequency_mhz\n" + "".join(
        f'"{name.replace(chr(34), chr(34) * 2)}",{98.5 + i / 5:.1f}\n' for i, name in enumerate(HOSTILE)
    )
    got = Browser(Bench(FM, listed)).get("diagnosis", {"on_station": HOSTILE[0], "heard": "whistle"})
    assert got.status == 200
    assert html.escape(HOSTILE[0]).replace("&#x27;", "&#39;") in got.text
    assert list(got.page.troubles()) == []
