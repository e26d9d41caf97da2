"""Hostile files in every role: an answer or one short message for each fault, no traceback, nothing left behind."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import pytest
from commandline import call, write_inputs
from hostile import acting

FILES = sorted(
    file for file in (Path(__file__).parent / "hostile").iterdir() if not file.name.startswith(".")
)
LONGEST_LINE = 620
"""Signs of a line of a message, the name of the program included."""

LONGEST_LIST = 800
"""The same where the program's own names are listed, of lessons for one."""

ROLES = {
    "plan": ("survey", "{file}"),
    "stations": ("survey", "fm.toml", "--stations", "{file}"),
    "towns": ("sweep", "fm.toml", "--towns", "{file}"),
    "evidence": ("diagnose", "fm.toml", "{file}"),
    "readings": ("dial", "fm.toml", "{file}"),
    "answers": ("exercise", "fm.toml", "--count", "1", "--check", "{file}"),
}


@pytest.fixture(autouse=True)
def folder(tmp_path, monkeypatch):
    write_inputs(tmp_path)
    monkeypatch.chdir(tmp_path)
    return tmp_path


def borne(role: str, name: str) -> int:
    """Assert that a command bears a file, to the screen and to a file, and return its exit code."""
    there = sorted(os.listdir())
    words = [word.format(file=name) for word in ROLES[role]]
    answer = call(*words)
    for code, out, err in (answer, call(*words, "-o", "out.txt")):
        assert code in (0, 2), err
        assert "Traceback" not in err
        assert code == 0 or (err and not out)
        for line in err.splitlines():
            assert 0 < len(line) <= LONGEST_LINE, line
        assert not acting(out + err)
    assert sorted(os.listdir()) == sorted([*there, *(["out.txt"] if answer.code == 0 else [])])
    return answer.code


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.name)
def test_a_hostile_file_in_every_role(file, folder):
    shutil.copy(file, folder)
    for role in ROLES:
        borne(role, file.name)
        (folder / "out.txt").unlink(missing_ok=True)


def test_hostile_files_are_refused_as_plans_unless_only_a_name_in_them_is(folder):
    """Guard against a corpus that has become harmless: what is read is known by name."""
    read = set()
    for file in FILES:
        shutil.copy(file, folder)
        if borne("plan", file.name) == 0:
            read.add(file.name)
        (folder / "out.txt").unlink(missing_ok=True)
    assert read == {
        "escapes.toml", "lines.toml", "mark-at-start.toml", "nul-escaped.toml", "right-to-left.toml", "script.toml",
    }  # fmt: skip


LARGE = {
    "line.toml": lambda: b'title = "' + b"x" * 10_000_000,
    "line.csv": lambda: b"name,frequency_mhz\n" + b"x" * 4_900_000,
    "longer-line.csv": lambda: b"x" * 10_000_000,
    "blank-lines.csv": lambda: b"\n" * 200_000,
    "blank-lines.toml": lambda: b"\n" * 200_000,
    "tables.toml": lambda: b"[[clock]]\n" * 10_000,
    "other-tables.toml": lambda: b"".join(b"[t%d]\n" % i for i in range(10_000)),
    "dotted.toml": lambda: b"".join(b"k%d.a.b.c.d=1\n" % i for i in range(10_000)),
    "one-table-dotted.toml": lambda: b"".join(b"a.b.c.d.e.k%d=1\n" % i for i in range(10_000)),
    "symptoms.toml": lambda: b"[[symptom]]\n" * 10_000,
    "list.toml": lambda: b"symptom=[" + b"{}," * 50_000 + b"]",
    "quotes.toml": lambda: b'a="' + b'\\"' * 100_000,
    "triple-quotes.toml": lambda: b'a="""' + b'\\"""' * 100_000,
    "apostrophes.toml": lambda: b"a=" + b"'''x''' " * 50_000,
    "heads.csv": lambda: b"n," * 300_000 + b"\n",
    "rows.csv": lambda: b"name,frequency_mhz,reads_mhz,is_mhz,problem,answer\n" + b"A\n" * 2_400_000,
    "quoted.csv": lambda: b'name,frequency_mhz\n"' + b"A\n" * 2_400_000,
}
"""Files too large to keep, by name; each costs far more than it shows where time grows with the square."""

READ_AS = {".toml": ("plan", "evidence"), ".csv": ("stations", "towns", "readings", "answers")}


@pytest.mark.parametrize("name", LARGE)
def test_a_large_hostile_file(name, folder):
    (folder / name).write_bytes(LARGE[name]())
    for role in READ_AS[Path(name).suffix]:
        answer = call(*(word.format(file=name) for word in ROLES[role]))
        assert answer.code == 2
        assert all(len(line) <= LONGEST_LINE for line in answer.err.splitlines())


@pytest.mark.parametrize("role", ROLES)
def test_a_folder_in_every_role(role, folder):
    (folder / "folder.toml").mkdir()
    assert borne(role, "folder.toml") == 2


@pytest.mark.parametrize("name", ["x" * 5000, "a\nb", "\x1b[2J", "a\udcffb", "../" * 1000 + "x", "-x" * 100])
@pytest.mark.parametrize("role", ROLES)
def test_a_hostile_name_that_leads_nowhere(role, name):
    assert borne(role, f"./{name}") == 2


HOSTILE_VALUES = [
    "x" * 5000,
    "\x1b[2J" * 300,
    "a\nb",
    "9" * 5000,
    "1e400",
    "nan",
    "-" * 700,
    "\u202e" * 700,
    "\0",
]


@pytest.mark.parametrize("value", HOSTILE_VALUES)
@pytest.mark.parametrize(
    "words",
    [
        ("{}",), ("survey", "fm.toml", "--{}"), ("survey", "fm.toml", "--format", "{}"),
        ("survey", "fm.toml", "--limit", "{}"), ("survey", "fm.toml", "--table", "{}"),
        ("survey", "fm.toml", "--orders", "{}"), ("survey", "fm.toml", "--intermediate", "{}"),
        ("survey", "fm.toml", "--region", "{}"), ("survey", "fm.toml", "--stations", "town.csv", "--pad", "{}"),
        ("survey", "fm.toml", "--stations", "town.csv", "--notch", "{}"), ("survey", "fm.toml", "{}"),
        ("survey", "fm.toml", "--explain", "{}"), ("channel", "fm.toml", "./{}"), ("lesson", "fm.toml", "{}"),
        ("chart", "fm.toml", "{}"), ("exercise", "fm.toml", "--seed", "./{}"), ("exercise", "fm.toml", "--kind", "{}"),
        ("compare", "fm.toml", "--weight", "{}"), ("whistle", "fm.toml", "--pitch", "{}"),
        ("sound", "fm.toml", "--mechanism", "{}", "-o", "s.wav"), ("start", "{}"), ("page", "--port", "{}"),
        ("report", "fm.toml", "--date", "{}", "-o", "r.html"), ("sweep", "fm.toml", "--circuits", "{}"),
    ],
    ids=" ".join,
)  # fmt: skip
def test_a_hostile_value_on_the_command_line(words, value):
    there = sorted(os.listdir())
    answer = call(*(word.format(value) for word in words))
    assert answer.code == 2
    assert "Traceback" not in answer.err
    assert answer.err
    assert not answer.out
    for line in answer.err.splitlines():
        assert len(line) <= LONGEST_LIST, line
    assert not acting(answer.err)
    assert sorted(os.listdir()) == there
