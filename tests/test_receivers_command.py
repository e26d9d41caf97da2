"""The command receivers as its user runs it."""

from __future__ import annotations

import csv
import io
import json
import os

import pytest
from commandline import DEMO, FM, call, process, refused, write_inputs

from freqplan import load_plan, receivers


@pytest.fixture(autouse=True)
def folder(tmp_path, monkeypatch):
    """A folder with two plans and a station list, which the commands are run from."""
    write_inputs(tmp_path)
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_the_screen_names_every_set_and_its_tables():
    answer = call("receivers", "fm.toml", "am.toml", "fm.toml", "--stations", "town.csv")
    assert (answer.code, answer.err) == (0, "")
    lines = answer.out.splitlines()
    assert lines[0] == "Kitchen set and 2 other sets: receivers"
    assert lines[1] == "Kitchen set: 87.50-108.00 MHz FM, IF 10.70 MHz, oscillator high"
    assert lines[2] == "Parlour set: 526.5-1606.5 kHz AM, IF 455 ± 2 kHz, oscillator high"
    assert lines[3].startswith("Kitchen set (2): ")
    for head in ("WHOSE OSCILLATOR DISTURBS WHOM", "WHERE TO HEAR EACH OSCILLATOR", "SETTINGS THAT FOOL BOTH SETS",
                 "STATIONS ON WHICH SETS DISTURB EACH OTHER", "SAFETY SERVICES", "MECHANISMS", "CAUTIONS"):  # fmt: skip
        assert head in answer.out
    assert max(map(len, lines)) <= 100


def test_the_json_is_that_of_the_function():
    answer = call("receivers", str(DEMO / "pantry.toml"), str(DEMO / "attic.toml"), "--format", "json")
    expected = receivers([load_plan(DEMO / "pantry.toml"), load_plan(DEMO / "attic.toml")]).to_dict()
    assert json.loads(answer.out) == json.loads(json.dumps(expected))


def test_csv_gives_conflicts_and_of_a_set_alone_the_places_to_listen():
    heads = next(csv.reader(io.StringIO(call("receivers", "fm.toml", "fm.toml", "--format", "csv").out)))
    assert heads[:2] == ["culprit", "victim"]
    heads = next(csv.reader(io.StringIO(call("receivers", "fm.toml", "--format", "csv").out)))
    assert "listen_hz" in heads


def test_orders_hold_for_every_set():
    answer = call("receivers", "fm.toml", "am.toml", "--orders", "1,7", "--format", "json")
    said = json.loads(answer.out)
    assert [plan["orders"]["oscillator"] for plan in said["plans"]] == [7, 7]
    assert max(row["harmonic"] for row in said["conflicts"]) > 5


def test_one_plan_may_come_from_standard_input():
    done = process("receivers", "-", str(DEMO / "workshop.toml"), stdin=FM.encode())
    assert done.returncode == 0, done.stderr
    assert done.stdout.decode().startswith("Kitchen set and 1 other set: receivers")


def test_two_from_standard_input_are_refused():
    refused(call("receivers", "-", "fm.toml", "-"), "only one file can come from standard input")
    refused(call("receivers", "fm.toml", "-", "--stations", "-"), "cannot both come from standard input")


def test_no_plan_is_a_usage_error():
    refused(call("receivers"), "Missing argument 'PLAN...'")


def test_faults_of_every_plan_are_told_at_once_and_of_a_file_given_twice_once(folder):
    (folder / "one.toml").write_text(FM.replace("10.7 MHz", "10,7 MHz"), encoding="utf-8")
    (folder / "two.toml").write_text(FM.replace('"high"', '"above"'), encoding="utf-8")
    answer = call("receivers", "one.toml", "fm.toml", "two.toml", "none.toml", "one.toml")
    refused(answer)
    starts = [line.split(":")[1].strip() for line in answer.err.splitlines()]
    assert starts == [
        "one.toml, line 8, conversion[0].intermediate", "two.toml, line 9, conversion[0].oscillator", "none.toml",
    ]  # fmt: skip


def test_too_many_sets_are_refused_before_any_is_read():
    refused(call("receivers", *["none.toml"] * 21), "21 sets, more than 20")


def test_a_faulty_list_and_an_unknown_table_are_refused(folder):
    refused(call("receivers", "fm.toml", "--stations", "none.csv"), "none.csv: there is no such file")
    refused(call("receivers", "fm.toml", "--table", "pairs"), 'no table "pairs"', "listen_at")
    refused(call("receivers", "fm.toml", "--orders", "0,3"), "--orders")


def test_no_plan_is_overwritten(folder):
    os.link(folder / "am.toml", folder / "same.toml")
    refused(call("receivers", "fm.toml", "am.toml", "-o", "same.toml"), "stays as it is")


def test_an_output_file_is_written_whole(folder):
    assert call("receivers", "fm.toml", "fm.toml", "-o", "house.html", "--format", "html").code == 0
    assert "<title>Kitchen set and 1 other set: receivers</title>" in (folder / "house.html").read_text(
        "utf-8"
    )
