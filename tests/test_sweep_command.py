"""The command sweep as its user runs it."""

from __future__ import annotations

import csv
import io
import json
import os
import sys

import pytest
from commandline import FM, call, refused, write_inputs

from freqplan import load_plan, load_stations, load_towns, sweep, sweeping

FRONT = '[front_end]\ncircuits_before_mixer = 2\nloaded_q = 30\n\n[mixer]\nkind = "switching"\n'
TOWNS = "town,name,frequency_mhz,level_dbuv\nFens,Lower Fen,98.0,40\nFens,Approach,119.4,110\nHills,High Moor,92.2,60\n"
IN_TOWNS = ("--towns", "towns.csv")
RANGE = ("--from", "10.6 MHz", "--to", "10.7 MHz", "--step", "50 kHz")


@pytest.fixture(autouse=True)
def folder(tmp_path, monkeypatch):
    """A folder with a plan that has a front end, a station list and two towns."""
    write_inputs(tmp_path)
    (tmp_path / "set.toml").write_text(FM.replace("[[conv", f"{FRONT}\n[[conv"), "utf-8")
    (tmp_path / "towns.csv").write_text(TOWNS, "utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def parsed(*words):
    answer = call("sweep", *words, "--format", "json")
    assert (answer.code, answer.err) == (0, "")
    return json.loads(answer.out)


def test_the_json_is_that_of_the_function():
    told = parsed("set.toml", *RANGE, "--intermediate", "10.75 MHz", "--towns", "towns.csv", "--circuits", "1,2,3",
                  "--draws", "2", "--seed", "4", "--tracking", "200 kHz", "--goal", "quiet")  # fmt: skip
    expected = sweep(
        load_plan("set.toml"), intermediates_hz=[10_600_000, 10_650_000, 10_700_000, 10_750_000],
        towns=load_towns("towns.csv"), circuits=[1, 2, 3], draws=2, seed=4, tracking_hz=200_000, goal="quiet",
    )  # fmt: skip
    assert told == json.loads(json.dumps(expected.to_dict()))
    assert (len(told["choices"]), len(told["towns"]), told["complete"]) == (24, 48, True)
    assert "draws" not in told


def test_without_an_if_it_is_the_plans_own_and_lists_are_called_after_their_files():
    told = parsed("set.toml", "--stations", "town.csv", "--oscillator", "low")
    assert [(row["intermediate_hz"], row["oscillator"]) for row in told["choices"]] == [(10_700_000, "low")]
    assert told["towns_used"] == ["town"]
    expected = sweep(
        load_plan("set.toml"), intermediates_hz=[10_700_000], sides=["low"], towns=[load_stations("town.csv")]
    )
    assert told["choices"] == expected.choices.to_dicts()


def test_the_screen_answers_first_and_says_what_is_left_out():
    answer = call("sweep", "set.toml", *RANGE, "--towns", "towns.csv", "--circuits", "1,6", "--goal", "quiet")
    assert (answer.code, answer.err) == (0, "")
    lines = answer.out.splitlines()
    assert lines[:4] == [
        "Kitchen set: sweep", "87.50-108.00 MHz FM",
        "12 choices in 2 towns with 3 stations, 1 set each: 24 sets", "",
    ]  # fmt: skip
    assert lines[4] == "WHICH SERVES ALL"
    assert lines[5].startswith("Every town stays quiet with ")
    assert max(map(len, lines)) <= 110
    flat = " ".join(answer.out.split())
    for words in ("Sums of several stations are left out", "Goal quiet", "Every set is the nominal one"):
        assert words in flat


def test_draws_come_as_csv_by_name():
    answer = call(
        "sweep", "set.toml", "--towns", "towns.csv", "--draws", "3", "--table", "draws", "--format", "csv"
    )
    rows = list(csv.DictReader(io.StringIO(answer.out)))
    assert (answer.code, len(rows)) == (0, 12)
    assert {row["draw"] for row in rows} == {"0", "1", "2"}


def test_a_folder_and_single_lists_go_together(folder):
    (folder / "more").mkdir()
    (folder / "more" / "hills.csv").write_text("name,frequency_mhz\nHigh Moor,92.2\n", "utf-8")
    told = parsed("set.toml", "--stations", "town.csv", "--towns", "more")
    assert told["towns_used"] == ["town", "hills"]


def test_progress_is_told_line_by_line_where_it_is_asked_for():
    answer = call("sweep", "set.toml", *RANGE, "--towns", "towns.csv", "--progress")
    lines = answer.err.splitlines()
    assert lines[-1] == "freqplan: 12 of 12 sets, about 0 s left"
    assert all(line.startswith("freqplan: ") for line in lines)


def test_tracking_of_the_nominal_set_alone_is_remarked():
    answer = call("sweep", "set.toml", *IN_TOWNS, "--tracking", "100 kHz")
    assert answer.code == 0
    assert answer.err.startswith("freqplan: --tracking changes nothing")
    assert call("sweep", "set.toml", *IN_TOWNS, "--tracking", "100 kHz", "--draws", "2").err == ""


def test_jobs_without_joblib_are_remarked(monkeypatch):
    monkeypatch.setitem(sys.modules, "joblib", None)
    answer = call("sweep", "set.toml", "--towns", "towns.csv", "--jobs", "2")
    assert answer.code == 0
    assert answer.err == "freqplan: --jobs needs joblib (extra: parallel); computed by one process\n"


@pytest.mark.parametrize(
    ("words", "parts"),
    [
        (["set.toml"], ["no town", "--stations", "--towns"]),
        (["set.toml", "--towns", "town.csv"], ["town.csv", "no column town"]),
        (["set.toml", "--towns", "missing"], ["missing", "no such file"]),
        (["set.toml", *IN_TOWNS, "--from", "10 MHz"], ["belong together"]),
        (["set.toml", *IN_TOWNS, "--from", "10.7 MHz", "--to", "10.6 MHz", "--step", "1 kHz"], ["no range"]),
        (["set.toml", *IN_TOWNS, "--from", "10.6 MHz", "--to", "10.7 MHz", "--step", "0 Hz"], ["no range"]),
        (["set.toml", *IN_TOWNS, "--from", "1 Hz", "--to", "30 MHz", "--step", "1 Hz"], ["30,000,000 IFs"]),
        (["set.toml", *IN_TOWNS, "--intermediate", "10.7"], ["--intermediate"]),
        (["set.toml", *IN_TOWNS, "--circuits", "2;3"], ["--circuits", "not a list of numbers"]),
        (["set.toml", *IN_TOWNS, "--circuits", "2,99"], ["99 circuits"]),
        (["set.toml", *IN_TOWNS, "--tracking", "much"], ["--tracking"]),
        (["set.toml", *IN_TOWNS, "--draws", "0"], ["--draws"]),
        (["set.toml", *IN_TOWNS, "--goal", "loud"], ["--goal"]),
        (["fm.toml", "--towns", "towns.csv", "--circuits", "2"], ["no [front_end]", "numbers of circuits"]),
        (["-", "--stations", "-"], ["cannot both come from standard input"]),
        (["-", "--towns", "-"], ["PLAN and --towns cannot both come from standard input"]),
        (["set.toml", "--stations", "-", "--towns", "-"], ["only one station list can come from standard input"]),
        (["set.toml", "--stations", "town.csv", "--stations", "town.csv"], ["two towns are called"]),
        (["set.toml", *IN_TOWNS, "--output", "towns.csv"], ["towns.csv: is read by this command"]),
    ],
)  # fmt: skip
def test_bad_input_is_refused_in_one_message(words, parts):
    refused(call("sweep", *words), *parts)


@pytest.mark.parametrize(
    ("words", "parts"),
    [
        (["--table", "nope"], ['no table "nope"', "there are: choices, towns, draws"]),
        (["--output", "nowhere/answer.csv"], ["nowhere/answer.csv: cannot be written", "there is no folder"]),
        (["--output", "."], [".: cannot be written", "it is a directory"]),
        (["--output", ""], ["no file name"]),
    ],
)
def test_where_no_answer_could_go_nothing_is_computed(monkeypatch, words, parts):
    def computed(*_, **__):
        pytest.fail("was computed all the same")

    monkeypatch.setattr(sweeping, "computed", computed)
    refused(call("sweep", "set.toml", *IN_TOWNS, *words), *parts)


@pytest.mark.skipif(os.name != "posix" or os.geteuid() == 0, reason="root may write everywhere")
def test_a_folder_that_is_protected_is_told_before(folder):
    (folder / "kept").mkdir(mode=0o500)
    refused(
        call("sweep", "set.toml", *IN_TOWNS, "--output", "kept/answer.csv"),
        "nothing can be written in the folder",
    )


def test_faults_of_lists_and_towns_are_told_together(folder):
    (folder / "bad.csv").write_text("name,frequency_mhz\nOne,x\n", "utf-8")
    answer = call("sweep", "set.toml", "--stations", "bad.csv", "--towns", "town.csv")
    refused(answer, "bad.csv, line 2", "town.csv, line 1: no column town")


def test_no_list_in_a_folder_of_towns_is_written_onto(folder):
    (folder / "valley").mkdir()
    (folder / "valley" / "Fens.csv").write_text("name,frequency_mhz\nLower Fen,98.0\n", "utf-8")
    before = (folder / "valley" / "Fens.csv").read_bytes()
    words = (
        "set.toml",
        "--towns",
        "valley",
        "--output",
        os.path.join("valley", "Fens.csv"),
        "--format",
        "csv",
    )
    refused(call("sweep", *words), "is read by this command")
    assert (folder / "valley" / "Fens.csv").read_bytes() == before
