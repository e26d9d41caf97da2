"""The command line: exit codes, what goes where, options, whole processes."""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys

import pytest
from commandline import AM, DEMO, FM, ROOT, STATIONS, call, process, refused, write_inputs

from freqplan.starters import KINDS


@pytest.fixture(autouse=True)
def folder(tmp_path, monkeypatch):
    """A folder with two plans and a station list, which the commands are run from."""
    write_inputs(tmp_path)
    monkeypatch.chdir(tmp_path)
    return tmp_path


def type_in(monkeypatch, text):
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(text.encode()), encoding="utf-8"))


# What goes where


@pytest.mark.parametrize(
    "words",
    [
        ("survey", "fm.toml"),
        ("survey", "fm.toml", "--stations", "town.csv"),
        ("channel", "fm.toml", "98.1 MHz", "--stations", "town.csv"),
        ("channel", "am.toml", "936 kHz"),
        ("compare", "fm.toml", "--intermediate", "8.3 MHz", "--intermediate", "21.4 MHz"),
        ("start",),
        ("start", "fm"),
        ("--help",),
        ("--version",),
        ("survey", "--help"),
    ],
)
def test_an_answer_is_data_alone(words):
    answer = call(*words)
    assert answer.code == 0
    assert answer.out.endswith("\n")
    assert answer.err == ""


def test_remarks_go_to_standard_error_and_leave_the_data_clean(folder):
    (folder / "odd.csv").write_text("name;frequency_mhz;mood\nLower Fen;90.5;good\n", encoding="latin-1")
    answer = call("survey", "fm.toml", "--stations", "odd.csv", "--format", "json")
    assert answer.code == 0
    assert "columns ignored" in answer.err
    assert "mood" in answer.err
    assert json.loads(answer.out)["command"] == "survey"


def test_the_plan_comes_from_standard_input(monkeypatch):
    type_in(monkeypatch, FM)
    answer = call("channel", "-", "98.1 MHz", "--format", "json")
    assert answer.code == 0
    assert json.loads(answer.out)["oscillator_hz"] == 108_800_000


def test_the_stations_come_from_standard_input(monkeypatch):
    type_in(monkeypatch, STATIONS)
    answer = call("survey", "fm.toml", "--stations", "-", "--format", "json")
    assert answer.code == 0
    assert json.loads(answer.out)["stations_used"] == 4


@pytest.mark.parametrize(
    ("word", "hint"),
    [
        ("survy", 'did you mean "survey"?'), ("RANGES", 'did you mean "if-ranges"?'), ("frog", "--help lists them"),
        ("x\u202e\n" * 3000, "--help lists them"),
    ],
)  # fmt: skip
def test_a_command_that_there_is_not(word, hint):
    answer = call(word)
    refused(answer, "There is no command", hint)
    assert len(answer.err) < 400
    assert answer.err.replace("\n", "").isprintable()


def test_completion_by_the_shell_says_nothing_behind_a_command_that_there_is_not():
    asked = {"_FREQPLAN_COMPLETE": "bash_complete", "COMP_WORDS": "freqplan survy ", "COMP_CWORD": "2"}
    answer = process(**asked)
    assert b"Traceback" not in answer.stderr
    assert b"no command" not in answer.stderr


@pytest.mark.parametrize("words", [("survey", "-"), ("channel", "-", "98.1")])
def test_both_from_standard_input_are_refused_before_either_is_read(words, monkeypatch):
    type_in(monkeypatch, FM)
    refused(call(*words, "--stations", "-"), "PLAN and --stations cannot both come from standard input")
    assert sys.stdin.read() == FM


# Dial settings


@pytest.mark.parametrize(
    ("plan", "text", "taken", "hertz"),
    [
        ("fm.toml", "98.1", "98.1 MHz", 98_100_000),
        ("fm.toml", "98100", "98100 kHz", 98_100_000),
        ("fm.toml", "87.5", "87.5 MHz", 87_500_000),
        ("am.toml", "936", "936 kHz", 936_000),
        ("am.toml", "0.936", "0.936 MHz", 936_000),
    ],
)
def test_a_bare_dial_setting_is_taken_by_the_band_with_a_remark(plan, text, taken, hertz):
    answer = call("channel", plan, text, "--format", "json")
    assert answer.code == 0
    assert answer.err == f"freqplan: dial setting {text} taken as {taken}\n"
    assert json.loads(answer.out)["dial_hz"] == hertz


@pytest.mark.parametrize(("text", "hertz"), [("98.1 MHz", 98_100_000), ("98.1 Mc/s", 98_100_000)])
def test_a_dial_setting_with_its_unit_needs_no_remark(text, hertz):
    answer = call("channel", "fm.toml", text, "--format", "json")
    assert (answer.code, answer.err) == (0, "")
    assert json.loads(answer.out)["dial_hz"] == hertz


# Options


@pytest.mark.parametrize(("side", "oscillator_hz"), [("high", 108_800_000), ("low", 87_400_000)])
def test_the_oscillator_side_is_overridden(side, oscillator_hz):
    answer = call("channel", "fm.toml", "98.1 MHz", "--oscillator", side, "--format", "json")
    assert json.loads(answer.out)["oscillator_hz"] == oscillator_hz


def test_the_if_is_overridden():
    answer = call("channel", "fm.toml", "98.1 MHz", "--intermediate", "10.67 MHz", "--format", "json")
    assert json.loads(answer.out)["oscillator_hz"] == 108_770_000


def test_the_orders_are_overridden():
    answer = call("survey", "fm.toml", "--orders", "2,3", "--format", "json")
    rows = json.loads(answer.out)["responses"]
    assert max(row["m"] for row in rows) == 2
    assert max(row["n"] for row in rows) == 3


@pytest.mark.parametrize(
    "words", [("survey", "unknown.toml"), ("survey", "fm.toml", "--oscillator", "unknown")]
)
def test_an_unknown_side_is_answered_for_both_and_every_row_says_which(words):
    answer = call(*words, "--stations", "town.csv", "--format", "json")
    result = json.loads(answer.out)
    for table in ("responses", "birdies", "ghosts", "oscillators"):
        assert {row["oscillator"] for row in result[table]} == {"high", "low"}
    assert {row["oscillator"] for row in result["check_list"]} <= {"high", "low", "either"}
    assert "Oscillator side not given: answered for high and low." in result["assumptions"]


def test_several_conversions_are_said_in_the_assumptions(folder):
    two = FM + '\n[[conversion]]\nintermediate = "455 kHz"\nfixed_oscillator = "10.245 MHz"\n'
    (folder / "two.toml").write_text(two, encoding="utf-8")
    answer = call("survey", "two.toml", "--format", "json")
    assumptions = json.loads(answer.out)["assumptions"]
    assert "Later conversions: oscillator 2 low on 10.245 MHz; they do not tune." in assumptions


# start


def test_start_lists_every_kind():
    answer = call("start")
    assert [line.split()[0] for line in answer.out.splitlines()] == [kind.name for kind in KINDS]


@pytest.mark.parametrize("kind", [kind.name for kind in KINDS])
def test_what_start_writes_can_be_surveyed_as_it_is(kind, folder):
    assert call("start", kind, "-o", "new.toml") == (0, "", "")
    assert call("survey", "new.toml").code == 0
    assert (folder / "new.toml").read_text("utf-8") == call("start", kind).out


def test_start_leaves_a_file_that_exists_alone(folder):
    refused(call("start", "fm", "-o", "am.toml"), "am.toml: is there already")
    assert (folder / "am.toml").read_text("utf-8") == AM


def test_start_with_an_unknown_kind_names_the_kinds():
    refused(call("start", "fn"), '"fn"', *(kind.name for kind in KINDS))


def test_start_without_a_kind_writes_no_file(folder):
    refused(call("start", "-o", "new.toml"), "--output needs a KIND")
    assert not (folder / "new.toml").exists()


# Whole processes


def test_data_on_standard_output_and_faults_on_standard_error_of_a_process():
    good = process("survey", str(DEMO / "pantry.toml"), "--format", "json")
    assert (good.returncode, good.stderr) == (0, b"")
    assert json.loads(good.stdout)["schema"] == 1
    bad = process("survey", "no-such-plan.toml")
    assert (bad.returncode, bad.stdout) == (2, b"")
    assert bad.stderr == b"freqplan: no-such-plan.toml: no such file; check the name\n"


def test_a_plan_through_a_pipe():
    answer = process("survey", "-", "--format", "json", stdin=FM.encode())
    assert json.loads(answer.stdout)["plan"]["title"] == "Kitchen set"


def test_a_reader_that_leaves_early_causes_no_traceback():
    # The answer has to be larger than what a pipe holds, lest it be written before the reader leaves.
    command = (
        f"{sys.executable} -m freqplan survey plans_demo/pantry.toml --orders 25,25 --format json | head -1"
    )
    shell = subprocess.run(["bash", "-c", command], capture_output=True, cwd=ROOT, timeout=60, check=False)
    assert shell.stdout == b"{\n"
    assert shell.stderr == b""


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="needs /dev/full")
def test_a_full_disk_behind_standard_output_is_told():
    command = f"{sys.executable} -m freqplan survey plans_demo/pantry.toml > /dev/full"
    shell = subprocess.run(["bash", "-c", command], capture_output=True, cwd=ROOT, timeout=60, check=False)
    assert shell.returncode == 2
    assert shell.stderr.startswith(b"freqplan: ")
    assert b"No space left" in shell.stderr
    assert b"Traceback" not in shell.stderr


ASCII_ONLY = {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"}


@pytest.mark.parametrize(
    ("environment", "form"),
    [
        *((ASCII_ONLY, form) for form in ("table", "json", "csv", "html")),
        ({"LC_ALL": "C"}, "table"),
        *(({"PYTHONIOENCODING": signs}, "table") for signs in ("ascii", "latin-1", "cp1252")),
    ],
)
def test_a_terminal_that_knows_few_signs_gets_an_answer(environment, form):
    words = ("survey", "plans_demo/pantry.toml", "--stations", "plans_demo/orvessa.csv", "--format", form)
    answer = process(*words, **environment)
    assert (answer.returncode, answer.stderr) == (0, b"")
    if form == "table":
        # The name is in each of these sets of signs; the minus sign (U+2212) is escaped where it is not.
        assert "Feldùna".encode(known_signs(environment)) in answer.stdout
        assert any(sign in answer.stdout for sign in ("\N{MINUS SIGN}".encode(), b"\\u2212"))
    else:
        assert "Feldùna Rock" in answer.stdout.decode("utf-8")
    if form == "json":
        assert "Feldùna Rock" in {row["station"] for row in json.loads(answer.stdout)["ghosts"]}


def known_signs(environment):
    """Return the encoding of the screen; where only ASCII is promised, click writes UTF-8."""
    promised = environment.get("PYTHONIOENCODING", "ascii")
    return "utf-8" if promised == "ascii" else promised


def test_a_file_name_that_is_no_text_still_makes_a_title(folder):
    name = os.fsdecode(b"k\xff.toml")
    (folder / name).write_text(FM.replace('title = "Kitchen set"\n', ""), encoding="utf-8")
    assert call("survey", name, "-o", "answer.json", "--format", "json") == (0, "", "")
    assert json.loads((folder / "answer.json").read_text("utf-8"))["plan"]["title"] == "k\udcff"
