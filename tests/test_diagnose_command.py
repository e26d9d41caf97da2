"""The command diagnose as its user runs it."""

from __future__ import annotations

import csv
import io
import json
import os
import sys

import pytest
from commandline import DEMO, FM, call, process, refused, write_inputs

from freqplan import diagnose, load_evidence, load_plan, load_stations
from freqplan.cli.options import FORMATS

HEARD = """\
[set]
dial_error = "0.1 MHz"

[[symptom]]
dial = "95.85 MHz"
heard = "programme"
programme_of = ["101.2 MHz"]
aerial_out = "goes"
pad = "10 dB"
fell = "20 dB"
"""

SEVERAL = HEARD + '\n[[symptom]]\ndial = "92.9 MHz"\nheard = "quiet"\naerial_out = "stays"\n'

ON_AM = '[[symptom]]\non_station = "910 kHz"\nheard = "whistle"\npitch = "moves"\n'

WIDE = 100
"""Columns of a terminal that a whole screen fits into."""


@pytest.fixture(autouse=True)
def folder(tmp_path, monkeypatch):
    """A folder with plans, a station list and evidence, which the commands are run from."""
    write_inputs(tmp_path)
    for name, text in {"heard": HEARD, "several": SEVERAL, "on_am": ON_AM}.items():
        (tmp_path / f"{name}.toml").write_text(text, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def type_in(monkeypatch, text):
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(text.encode()), encoding="utf-8"))


CALLS = {
    "one": ("fm.toml", "heard.toml"),
    "with stations": ("fm.toml", "heard.toml", "--stations", "town.csv"),
    "side unknown": ("unknown.toml", "several.toml", "--stations", "town.csv"),
    "am": ("am.toml", "on_am.toml"),
}
every_call = pytest.mark.parametrize("words", CALLS.values(), ids=CALLS)

# The answer


@every_call
@pytest.mark.parametrize("form", FORMATS)
def test_every_format_is_data_alone(words, form):
    answer = call("diagnose", *words, "--format", form)
    assert (answer.code, answer.err) == (0, "")
    assert answer.out.endswith("\n")


@every_call
def test_the_whole_screen_fits_into_a_terminal(words):
    lines = call("diagnose", *words).out.splitlines()
    assert max(map(len, lines)) <= WIDE
    assert not any(line != line.rstrip() for line in lines)


@pytest.mark.parametrize("name", ["attic", "balcony", "loft", "pantry", "shed", "workshop"])
def test_the_screen_of_every_demo_set_fits_too(name, folder):
    (folder / "any.toml").write_text(
        '[[symptom]]\nheard = "whistle"\naerial_out = "stays"\n', encoding="utf-8"
    )
    answer = call("diagnose", str(DEMO / f"{name}.toml"), "any.toml", "--stations", str(DEMO / "orvessa.csv"))
    assert answer.code == 0
    assert max(map(len, answer.out.splitlines())) <= WIDE


def test_the_page_goes_from_what_was_observed_to_what_to_look_at_again():
    heads = [line for line in call("diagnose", "fm.toml", "heard.toml").out.splitlines() if line.isupper()]
    expected = ["OBSERVED", "VERDICT", "NEXT TEST", "RULED OUT", "CURE", "LOOK AT AGAIN"]
    assert heads[:6] == expected
    assert heads[-1] == "ASSUMPTIONS"


def test_of_several_symptoms_each_has_its_number():
    out = call("diagnose", "fm.toml", "several.toml").out
    assert "VERDICT 1\n" in out
    assert "VERDICT 2\n" in out
    rows = list(
        csv.DictReader(io.StringIO(call("diagnose", "fm.toml", "several.toml", "--format", "csv").out))
    )
    assert {row["symptom"] for row in rows} == {"1", "2"}


@every_call
def test_the_json_is_that_of_the_function(words):
    plan, heard, *more = words
    stations = load_stations(more[1]) if more else None
    expected = diagnose(load_plan(plan), load_evidence(heard), stations).to_dict()
    told = json.loads(call("diagnose", *words, "--format", "json").out)
    assert told == json.loads(json.dumps(expected))


# Tables, limits, options


@pytest.mark.parametrize(
    ("table", "column"), [("causes", "mechanism"), ("tests", "what"), ("mechanisms", "cure")]
)
@pytest.mark.parametrize("form", FORMATS)
def test_each_table_may_be_asked_for_alone(table, column, form):
    answer = call("diagnose", "fm.toml", "heard.toml", "--table", table, "--format", form)
    assert (answer.code, answer.err) == (0, "")
    if form == "csv":
        assert column in next(csv.reader(io.StringIO(answer.out)))


def test_a_table_that_there_is_not_is_refused():
    refused(
        call("diagnose", "fm.toml", "heard.toml", "--table", "suspects"),
        'no table "suspects"', "causes, tests, mechanisms",
    )  # fmt: skip


def test_a_limit_cuts_rows_and_says_how_many_there_are():
    rows = call("diagnose", "fm.toml", "heard.toml", "--format", "csv", "--limit", "3").out.splitlines()
    assert len(rows) == 4
    screen = call("diagnose", "fm.toml", "heard.toml", "--table", "causes", "--limit", "2").out
    assert "CAUSES (2 of " in screen
    refused(call("diagnose", "fm.toml", "heard.toml", "--limit", "0"), "--limit")


def test_options_go_before_the_plan():
    told = json.loads(
        call("diagnose", "unknown.toml", "heard.toml", "--oscillator", "low", "--orders", "2,2", "--region", "2",
             "--intermediate", "10.6 MHz", "--format", "json").out
    )  # fmt: skip
    assert told["oscillator_sides"] == {"low": 1.0}
    assert told["plan"]["region"] == 2
    assert told["plan"]["conversion"][0]["intermediate_hz"] == 10_600_000
    assert told["plan"]["orders"]["signal"] == 2


def test_the_evidence_goes_before_the_options(folder):
    (folder / "side.toml").write_text(
        '[set]\noscillator = "low"\n' + HEARD.replace("[set]\n", ""), encoding="utf-8"
    )
    told = json.loads(
        call("diagnose", "fm.toml", "side.toml", "--oscillator", "high", "--format", "json").out
    )
    assert told["oscillator_sides"] == {"low": 1.0}


# Output


@pytest.mark.parametrize("form", FORMATS)
def test_the_file_holds_what_the_screen_would(form, folder):
    assert call("diagnose", "fm.toml", "heard.toml", "--format", form, "-o", "answer") == (0, "", "")
    assert (folder / "answer").read_text("utf-8") == call(
        "diagnose", "fm.toml", "heard.toml", "--format", form
    ).out


@pytest.mark.parametrize("given", ["fm.toml", "heard.toml", "town.csv"])
def test_no_input_is_overwritten(given, folder):
    os.link(folder / given, folder / "same")
    before = (folder / given).read_bytes()
    for name in (given, "same"):
        refused(
            call("diagnose", "fm.toml", "heard.toml", "--stations", "town.csv", "-o", name), "stays as it is"
        )
    assert (folder / given).read_bytes() == before


@pytest.mark.parametrize(
    "options", [("--table", "suspects"), ("--stations", "none.csv"), ("--orders", "0,0")]
)
def test_a_failure_leaves_no_file(options, folder):
    before = sorted(path.name for path in folder.iterdir())
    refused(call("diagnose", "fm.toml", "heard.toml", *options, "-o", "new.html", "--format", "html"))
    assert sorted(path.name for path in folder.iterdir()) == before


# Standard input


def test_the_evidence_may_come_from_standard_input(monkeypatch):
    type_in(monkeypatch, HEARD)
    assert call("diagnose", "fm.toml", "-") == call("diagnose", "fm.toml", "heard.toml")


def test_the_plan_may_come_from_standard_input():
    done = process("diagnose", "-", "heard.toml", stdin=FM.encode())
    assert done.returncode == 2  # run in the project's folder, where there is no such file
    assert b"heard.toml: no such file" in done.stderr
    done = process("diagnose", "-", str(DEMO / "pantry-heard.toml"), "--stations", str(DEMO / "orvessa.csv"),
                   stdin=FM.encode())  # fmt: skip
    assert (done.returncode, done.stderr) == (0, b"")
    assert done.stdout.decode().startswith("Kitchen set: diagnose")


@pytest.mark.parametrize(
    "words",
    [
        ("-", "-"),
        ("-", "heard.toml", "--stations", "-"),
        ("fm.toml", "-", "--stations", "-"),
        ("-", "-", "--stations", "-"),
    ],
)
def test_two_from_standard_input_are_refused(words):
    refused(call("diagnose", *words), "standard input")


@pytest.mark.parametrize("words", [(), ("fm.toml",), ("fm.toml", "heard.toml", "third.toml")])
def test_plan_and_evidence_are_needed_and_nothing_more(words):
    answer = call("diagnose", *words)
    assert answer.code == 2
    assert "Usage: freqplan diagnose" in answer.err
    assert answer.out == ""
