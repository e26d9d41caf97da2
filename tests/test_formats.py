"""json, csv and markdown can be read back, whatever stations are called."""

from __future__ import annotations

import csv
import io
import json
import math
import re

import pytest
from commandline import call
from hostile import COMMANDS, HOSTILE, write_inputs, written

from freqplan.cli.options import FORMATS
from freqplan.planfile import load_plan
from freqplan.surveys import survey
from freqplan.tables import WRITERS, render

RUNS = ("=", "+", "-", "@", "\t", "\r")


@pytest.fixture(autouse=True)
def folder(tmp_path, monkeypatch):
    """Plans and lists, one with hostile names and a hostile title."""
    write_inputs(tmp_path)
    monkeypatch.chdir(tmp_path)
    return tmp_path


every_command = pytest.mark.parametrize("words", COMMANDS.values(), ids=COMMANDS)


def parsed(words):
    def refuse(constant):
        raise AssertionError(f"{constant} is no JSON")

    return json.loads(written(words, "json"), parse_constant=refuse)


def tables_of(result):
    return {
        name: rows
        for name, rows in result.items()
        # The sets of a house, and what was observed of each symptom, are given whole beside the tables.
        if isinstance(rows, list)
        and rows
        and isinstance(rows[0], dict)
        and (result["command"], name) not in (("receivers", "plans"), ("diagnose", "symptoms"))
    }


def test_there_is_a_test_for_every_format():
    assert set(WRITERS) == {"table", "markdown", "csv", "json", "html", "latex"}


# json


@every_command
def test_json_is_one_object_with_its_schema_and_command(words):
    result = parsed(words)
    assert result["schema"] == 1
    assert result["command"] == words[0]
    assert result["plan"]["band"]
    assert all(isinstance(text, str) for text in result["assumptions"] + result["cautions"])


@every_command
def test_json_hertz_are_whole_numbers_or_hold_thousandths(words):
    def numbers(value, key=""):
        if isinstance(value, dict):
            for name, inner in value.items():
                yield from numbers(inner, name)
        elif isinstance(value, list):
            for inner in value:
                yield from numbers(inner, key)
        elif isinstance(value, int | float) and key.endswith("_hz"):
            yield value

    found = [number for rows in tables_of(parsed(words)).values() for number in numbers(rows)]
    # A problem sheet holds texts alone: its numbers are those a student is to write.
    assert found or words[0] == "exercise"
    assert all(math.isfinite(number) and number == round(number, 3) for number in found)


def test_names_come_back_unchanged_in_json():
    result = parsed(COMMANDS["survey with stations"])
    names = {row["station"] for row in result["ghosts"]}
    assert names <= set(HOSTILE)
    assert {"NA", "007", "1e5", "=cmd|' /C calc'!A0", 'quo"te, line\nand\r\nline', "مرحبا بكم"} <= names


def test_names_of_a_latin_1_list_come_back_unchanged(folder):
    (folder / "old.csv").write_bytes(
        "name;frequency_mhz\nFeldùna;101.2\nNA;103.4\n007;104.55\n".encode("latin-1")
    )
    answer = call("survey", "fm.toml", "--stations", "old.csv", "--format", "json")
    assert "Latin-1" in answer.err
    assert {row["station"] for row in json.loads(answer.out)["ghosts"]} == {"Feldùna", "NA", "007"}


def test_json_is_whole_whatever_the_limit_and_table():
    words = COMMANDS["survey with stations"]
    assert written(words, "json", "--limit", "1", "--table", "ghosts") == written(words, "json")


# csv


def flattened(value):
    """Return a JSON value as its cell reads, before texts that would run are made harmless."""
    if isinstance(value, list):
        value = "; ".join(map(str, value))
    return "" if value is None else str(value)


@every_command
def test_csv_has_the_keys_and_values_of_json(words):
    result = parsed(words)
    tables = tables_of(result)
    for name, rows in tables.items():
        head, *lines = csv.reader(
            io.StringIO(written(words, "csv", "--table", name), newline=""), strict=True
        )
        assert head == list(rows[0])
        assert len(lines) == len(rows)
        for line, row in zip(lines, rows, strict=True):
            for cell, value in zip(line, row.values(), strict=True):
                assert cell.removeprefix("'") == flattened(value) or cell == flattened(value)


@every_command
def test_csv_takes_the_first_table_by_default(words):
    first = next(iter(tables_of(parsed(words))))
    assert written(words, "csv") == written(words, "csv", "--table", first)


def test_csv_texts_that_a_spreadsheet_would_run_are_made_harmless_and_numbers_are_not_touched():
    words = COMMANDS["survey with stations"]
    text = written(words, "csv", "--table", "ghosts")
    rows = list(csv.DictReader(io.StringIO(text, newline="")))
    running = {row["station"] for row in rows if row["station"].lstrip("' ").startswith(RUNS)}
    assert {"'=cmd|' /C calc'!A0", "'+39 06", "'-Minus", "'@SUM(1)", "' =after a blank"} & running
    assert all(station.startswith("'") for station in running)
    assert any(row["beat_hz"].startswith("-") for row in rows)
    assert all(float(row["beat_hz"]) == int(row["beat_hz"]) for row in rows)
    assert 'quo"te, line\nand\r\nline' in {row["station"] for row in rows}


def test_csv_limit():
    assert len(written(COMMANDS["survey"], "csv", "--table", "responses", "--limit", "3").splitlines()) == 4


# markdown


def cells_of(line):
    return re.split(r"(?<!\\)\|", line)[1:-1]


@every_command
def test_markdown_rows_have_as_many_cells_as_their_head(words):
    blocks = [block.splitlines() for block in written(words, "markdown").split("\n\n")]
    tables = [block for block in blocks if block[0].startswith("|")]
    assert tables
    for head, rule, *rows in tables:
        assert re.fullmatch(r"[|:-]+", rule)
        assert rows
        assert {len(cells_of(row)) for row in (rule, *rows)} == {len(cells_of(head))}


def unescaped(cell):
    text = re.sub(r"\\([\\`*_\[\]|#~$])", r"\1", cell.strip())
    return text.replace("&lt;", "<").replace("&gt;", ">").replace("&amp;", "&")


def test_markdown_names_mean_only_themselves():
    text = written(COMMANDS["survey with stations"], "markdown", "--table", "ghosts")
    rows = [cells_of(line) for line in text.splitlines() if line.startswith("|")][2:]
    names = {" ".join(name.split()) for name in HOSTILE}
    assert {unescaped(row[0]) for row in rows} <= names
    assert {"[a\\b] {c} _#$%&~^ | ` *x*", "</script><img src=x onerror=alert(1)>"} <= {
        unescaped(row[0]) for row in rows
    }
    for row in rows:
        assert re.search(r"(?<!\\)[`*_\[\]|#~$]|<", row[0]) is None


def test_markdown_title_means_only_itself():
    assert written(COMMANDS["survey of a hostile title"], "markdown").splitlines()[0] == (
        r"# &lt;/title&gt;\$\_&amp;\*&lt;b&gt;: survey"
    )


# From Python


@pytest.mark.parametrize("form", WRITERS)
def test_render_writes_what_the_command_writes(form):
    result = survey(load_plan("fm.toml"))
    assert render(result, form) == written(COMMANDS["survey"], form)


def test_the_command_line_offers_every_form_there_is():
    assert tuple(WRITERS) == FORMATS
