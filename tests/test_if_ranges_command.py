"""The command if-ranges as its user runs it."""

from __future__ import annotations

import csv
import io
import json

import pytest
from commandline import FM, call, process, refused, write_inputs

from freqplan import if_ranges, load_plan

USUAL = ("if-ranges", "fm.toml", "--from", "1 MHz", "--to", "50 MHz")
FORMS = ("table", "markdown", "csv", "json", "html", "latex")


@pytest.fixture(autouse=True)
def folder(tmp_path, monkeypatch):
    """A folder with the plans, which the commands are run from."""
    write_inputs(tmp_path)
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_the_screen_says_what_is_clear_and_what_stands_in_the_way():
    answer = call(*USUAL)
    assert (answer.code, answer.err) == (0, "")
    lines = answer.out.splitlines()
    assert lines[0] == "Kitchen set: if-ranges"
    assert lines[1].startswith(
        "87.50-108.00 MHz FM, IF from 1 MHz to 50 MHz, kept out of the band: image, half-if"
    )
    assert "Oscillator high: clear are 41.00-43.75 MHz" in lines
    for head in ("IFS CLEAR OF ALL THAT IS KEPT OUT (1)", "WHAT STANDS IN THE WAY (3)",
                 "IFS AT WHICH EACH RESPONSE IS IN THE BAND (20 of ", "WHAT IS IN THE BAND AT WHICH IF (20 of ",
                 "CAUTIONS", "ASSUMPTIONS"):  # fmt: skip
        assert head in answer.out
    assert lines[lines.index("IFS CLEAR OF ALL THAT IS KEPT OUT (1)") + 4].split() == [
        "high",
        "41.00",
        "43.75",
        "2.75",
    ]
    assert any(line.split() == ["image", "1", "1", "-1", "1.00", "10.25"] for line in lines)


@pytest.mark.parametrize(
    "options", [(), ("--keep-out", "all"), ("--oscillator", "unknown"), ("--orders", "25,25")]
)
@pytest.mark.parametrize("table", [(), ("--table", "ranges"), ("--table", "edges"), ("--table", "clear")])
def test_no_line_is_wider_than_the_screen(options, table):
    answer = call(*USUAL[:-1], "150 MHz", *options, *table, "--limit", "60")
    assert answer.code == 0
    lines = answer.out.splitlines()
    assert max(map(len, lines)) <= 100
    assert [line for line in lines if line != line.rstrip()] == []


def test_medium_wave_is_written_in_khz():
    answer = call("if-ranges", "am.toml", "--from", "100 kHz", "--to", "600 kHz", "--keep-out", "image")
    assert "Oscillator high: clear are 540-600 kHz" in answer.out


def test_the_json_is_that_of_the_function():
    said = json.loads(call(*USUAL, "--keep-out", "image", "--orders", "4,3", "--format", "json").out)
    plan = load_plan("fm.toml").with_changes(orders=(4, 3))
    assert said == json.loads(json.dumps(if_ranges(plan, 1_000_000, 50_000_000, ["image"]).to_dict()))
    assert (said["command"], said["from_hz"], said["to_hz"]) == ("if-ranges", 1_000_000, 50_000_000)
    assert said["keep_out"] == ["image"]
    assert said["clear"][0]["low_hz"] == 10_250_000
    first = said["ranges"][0]
    assert first["responses"][0] == {"mechanism": "image", "m": 1, "n": 1, "e": -1}
    assert {"mechanism": "if-harmonic", "k": 12} in [
        one for row in said["ranges"] for one in row["responses"]
    ]


def test_csv_gives_the_clear_ranges_and_names_every_response_of_a_range():
    rows = list(csv.DictReader(io.StringIO(call(*USUAL, "--format", "csv").out)))
    assert [(row["low_hz"], row["high_hz"], row["low_exact"]) for row in rows] == [
        ("41000000", "43750000", "41000000/1")
    ]
    rows = list(csv.DictReader(io.StringIO(call(*USUAL, "--format", "csv", "--table", "ranges").out)))
    assert all(len(row["responses"].split("; ")) == int(row["in_band"]) for row in rows)
    assert rows[0]["responses"].startswith("image (1,1,-1); half-if (2,2,1); half-if (2,2,-1)")


@pytest.mark.parametrize("form", FORMS)
def test_every_form_is_written(form, folder):
    answer = call(*USUAL, "--format", form, "-o", "answer")
    assert (answer.code, answer.out, answer.err) == (0, "", "")
    text = (folder / "answer").read_text("utf-8")
    assert "41" in text
    assert "{'mechanism'" not in text


def test_the_oscillator_side_of_the_plan_can_be_replaced_whatever_its_if():
    answer = call(*USUAL[:-1], "200 MHz", "--oscillator", "sum", "--format", "json")
    said = json.loads(answer.out)
    assert {row["oscillator"] for row in said["ranges"]} == {"sum"}
    assert said["ranges"][0]["low_hz"] == 108_000_000


def test_the_plan_may_come_from_standard_input():
    done = process("if-ranges", "-", *USUAL[2:], stdin=FM.encode())
    assert done.returncode == 0, done.stderr
    assert b"41.00-43.75" in done.stdout


# Bad input


@pytest.mark.parametrize(
    ("words", "parts"),
    [
        (("--from", "1 MHz"), ("--to",)),
        (("--to", "1 MHz"), ("--from",)),
        (("--from", "1", "--to", "2 MHz"), ("--from", "unit missing", '"1 MHz" or "1 kHz"')),
        (("--from", "1 MHz", "--to", "10,7 MHz"), ("--to", "decimal comma")),
        (("--from", "0 Hz", "--to", "2 MHz"), ("no range of IFs", "above zero")),
        (("--from", "2 MHz", "--to", "2 MHz"), ("no range of IFs from 2 MHz to 2 MHz", "lower one first")),
        (("--from", "3 MHz", "--to", "2 MHz"), ("no range of IFs from 3 MHz to 2 MHz",)),
        (("--from", "1 MHz", "--to", "900 GHz"), ("--to", "300 GHz")),
        (
            ("--from", "1 MHz", "--to", "2 MHz", "--keep-out", "half if"),
            ('"half if" (did you mean "half-if"?)',),
        ),
        (
            ("--from", "1 MHz", "--to", "2 MHz", "--keep-out", "imgae", "--keep-out", "\x1b[31m"),
            ('"imgae" (did you mean "image"?)', r"\x1b[31m", "harmonic-mixing"),
        ),
        (
            ("--from", "1 MHz", "--to", "2 MHz", "--oscillator", "sum"),
            ("above 108 MHz", "none from 1 MHz to 2 MHz"),
        ),
        (("--from", "88 MHz", "--to", "90 MHz", "--oscillator", "low"), ("below 87.5 MHz",)),
        (("--from", "1 MHz", "--to", "2 MHz", "--orders", "26,2"), ("--orders (signal)",)),
        (
            ("--from", "1 MHz", "--to", "2 MHz", "--table", "image"),
            ('no table "image"', "clear, obstacles, edges"),
        ),
    ],
)
def test_bad_questions_are_refused(words, parts, folder):
    before = sorted(path.name for path in folder.iterdir())
    refused(call("if-ranges", "fm.toml", *words, "-o", "answer.txt"), *parts)
    assert sorted(path.name for path in folder.iterdir()) == before


def test_the_plan_is_not_written_over():
    refused(call(*USUAL, "-o", "fm.toml"), "is read by this command")
