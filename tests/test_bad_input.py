"""Input that cannot be used: exit code 2 and one clear message for every fault, never a traceback."""

from __future__ import annotations

import os

import pytest
from commandline import FM, call, refused, write_inputs


@pytest.fixture(autouse=True)
def folder(tmp_path, monkeypatch):
    """A folder with two plans and a station list, which the commands are run from."""
    write_inputs(tmp_path)
    monkeypatch.chdir(tmp_path)
    return tmp_path


# Plans and lists that cannot be used


def test_every_fault_of_a_plan_is_told_on_a_line_with_file_line_and_key(folder):
    faulty = FM.replace('"87.5 MHz"', "87.5").replace('"10.7 MHz"', '"10,7 MHz"').replace('"high"', '"above"')
    (folder / "bad.toml").write_text(faulty, encoding="utf-8")
    answer = call("survey", "bad.toml")
    refused(answer)
    lines = answer.err.splitlines()
    assert len(lines) == 3
    for line, number, key in zip(
        lines, (4, 8, 9), ("band.low", "conversion[0].intermediate", "conversion[0].oscillator"), strict=True
    ):
        assert line.startswith(f"freqplan: bad.toml, line {number}, {key}: ")


def make_binary(folder):
    (folder / "it").write_bytes(bytes(range(256)))


def make_empty(folder):
    (folder / "it").write_bytes(b"")


def make_directory(folder):
    (folder / "it").mkdir()


def make_nothing(folder):
    pass


BAD_FILES = [
    (make_nothing, "no such file"), (make_directory, "a"), (make_binary, "not a text file"), (make_empty, ""),
]  # fmt: skip


@pytest.mark.parametrize(("make", "what"), BAD_FILES)
@pytest.mark.parametrize("command", [("survey",), ("channel", "98.1"), ("compare",)])
def test_a_file_that_is_no_plan(make, what, command, folder):
    make(folder)
    answer = call(command[0], "it", *command[1:])
    refused(answer, "freqplan: it: ", what, "; ")
    assert answer.err.count("\n") == 1


@pytest.mark.parametrize(("make", "what"), BAD_FILES)
def test_a_file_that_is_no_station_list(make, what, folder):
    make(folder)
    answer = call("survey", "fm.toml", "--stations", "it")
    refused(answer, "freqplan: it: ", what, "; ")
    assert answer.err.count("\n") == 1


@pytest.mark.parametrize("words", [("survey", "locked"), ("survey", "fm.toml", "--stations", "locked")])
def test_a_file_that_may_not_be_read(words, monkeypatch):
    # Permissions do not stop the superuser, so the refusal of the system is put in its place.
    def locked(name, *rest, **more):
        if os.fspath(name) == "locked":
            raise PermissionError(13, "Permission denied", name)
        return really_open(name, *rest, **more)

    really_open = open
    monkeypatch.setattr("builtins.open", locked)
    refused(call(*words), "freqplan: locked: cannot be read", "ermission denied")


def test_every_fault_of_a_station_list_is_told(folder):
    (folder / "bad.csv").write_text("name,frequency_mhz\nA,ninety\nB,90.5\nC,\n", encoding="utf-8")
    answer = call("survey", "fm.toml", "--stations", "bad.csv")
    refused(answer, "bad.csv, line 2, frequency_mhz", "bad.csv, line 4, frequency_mhz")
    assert answer.err.count("\n") == 2


# Dial settings


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("120", ["lies inside the band neither in MHz nor in kHz", "87.50-108.00 MHz", '"97.8 MHz"']),
        ("1", ["neither"]),
        ("98,1", ["decimal comma", '"98.1"']),
        ("98,1 MHz", ["decimal comma", '"98.1 MHz"']),
        ("120 MHz", ["120.00 MHz lies off the band 87.50-108.00 MHz"]),
        ("98.1 mhz", ['unknown unit "mhz"', '"98.1 MHz"']),
        ("98.0000001 MHz", ["finer than one hertz"]),
        ("ninety", ["not a frequency"]),
        ("", ["empty"]),
        ("９８", ["not a frequency"]),
        ("9" * 5000, ["too long"]),
    ],
)
def test_a_dial_setting_that_cannot_be_used(text, parts):
    refused(call("channel", "fm.toml", text), "dial setting", *parts)


def test_a_bare_dial_setting_that_fits_both_units_is_refused(folder):
    wide = FM.replace('"87.5 MHz"', '"0.1 MHz"').replace('"108 MHz"', '"200 MHz"').replace("10.7", "300")
    (folder / "wide.toml").write_text(wide, encoding="utf-8")
    refused(call("channel", "wide.toml", "150"), "could be MHz or kHz", "with its unit")


# Options


@pytest.mark.parametrize(
    ("options", "parts"),
    [
        (["--orders", "many"], ["--orders 'many'", '"--orders 5,5"']),
        (["--orders", "5"], ["--orders '5'"]),
        (["--orders=-1,2"], ["--orders '-1,2'"]),
        (["--orders", "26,1"], ["--orders (signal)", "above 25"]),
        (["--orders", "0,0"], ["--orders (signal)", "--orders (oscillator)", "1 or more"]),
        (["--limit", "0"], ["--limit"]),
        (["--limit", "some"], ["--limit"]),
        (["--format", "pdf"], ["--format", "'json'"]),
        (["--table", "ghots"], ['no table "ghots"', "check_list, oscillators, birdies, responses"]),
        (["--table", "ghosts"], ['no table "ghosts"']),
        (["--intermediate", "10.7"], ["unit missing", '"10.7 MHz"']),
        (["--intermediate", "0 MHz"], ["--intermediate: zero"]),
        (["--intermediate", "-10.7 MHz"], ["negative"]),
        (["--oscillator", "above"], ["--oscillator", "'high'"]),
        (["--oscillator", "sum"], ["--oscillator: the oscillator would be zero or negative"]),
        (["--oscillator", "low", "--intermediate", "100 MHz"], ["zero or negative", "write"]),
        (["--no-such-option"], ["No such option"]),
        (["second.toml"], ["unexpected extra argument"]),
    ],
)
def test_an_option_that_cannot_be_used(options, parts):
    refused(call("survey", "fm.toml", *options), *parts)


@pytest.mark.parametrize("text", ["10.7", "-1 MHz", "0 MHz", "10,7 MHz"])
def test_a_further_if_that_cannot_be_used(text):
    refused(call("compare", "fm.toml", "--intermediate", text))


@pytest.mark.parametrize("words", [(), ("surveys", "fm.toml"), ("survey",), ("channel", "fm.toml")])
def test_a_command_that_is_none_or_not_whole(words):
    answer = call(*words)
    assert answer.code == 2
    assert "Usage: freqplan" in answer.err
    assert answer.out == ""
