"""The README: its commands and examples run, and it speaks of everything there is."""

from __future__ import annotations

import re
import shlex
import shutil
import subprocess
import sys

import click
import pytest
from commandline import ROOT, call

from freqplan.cli import commands
from freqplan.columns import COLUMNS
from freqplan.compare_columns import CHOICE_COLUMNS
from freqplan.diagnosis_columns import DIAGNOSIS_COLUMNS
from freqplan.dial_columns import DIAL_COLUMNS
from freqplan.evidence import SetKnowledge, Symptom
from freqplan.evidencefile import load_evidence
from freqplan.mechanisms import catalogue
from freqplan.plan_faults import spelt
from freqplan.planfile import load_plan
from freqplan.range_columns import RANGE_COLUMNS
from freqplan.sweep_columns import SWEEP_COLUMNS
from freqplan.terms import TERM_COLUMNS

README = (ROOT / "README.md").read_text("utf-8")
BLOCKS = re.findall(r"^```(\w+)\n(.*?)^```", README, re.DOTALL | re.MULTILINE)
COMMANDS = [
    line
    for language, block in BLOCKS
    if language == "sh"
    for line in block.replace("\\\n", " ").splitlines()
    if line.startswith("freqplan ")
]
EXAMPLES = [block for language, block in BLOCKS if language == "python"]
TOMLS = [block for language, block in BLOCKS if language == "toml"]
PLANS = [block for block in TOMLS if "[band]" in block]
EVIDENCE = [block for block in TOMLS if block not in PLANS]


@pytest.fixture(autouse=True)
def folder(tmp_path, monkeypatch):
    """A folder with the demonstrations, as a newcomer has it."""
    shutil.copytree(ROOT / "plans_demo", tmp_path / "plans_demo")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_every_block_is_closed_and_there_is_one_of_each_kind():
    assert len(re.findall(r"^```", README, re.MULTILINE)) == 2 * len(BLOCKS)
    assert len(COMMANDS) >= 4
    assert EXAMPLES
    assert PLANS
    assert EVIDENCE


@pytest.mark.parametrize("line", COMMANDS)
def test_a_command_of_the_readme_runs(line):
    words = shlex.split(line, comments=True)
    # What a shell would treat otherwise than as plain words is run by one.
    if {"|", ">", "<", "&&", ";"} & set(words):
        shell = line.replace("freqplan ", f"{sys.executable} -m freqplan ")
        done = subprocess.run(["bash", "-ec", shell], capture_output=True, timeout=60, check=False)
        assert done.returncode == 0, done.stderr
    else:
        answer = call(*words[1:])
        assert answer.code == 0, answer.err
        assert answer.out or "-o" in words or "--output" in words


@pytest.mark.parametrize("example", EXAMPLES)
def test_a_python_example_of_the_readme_runs(example):
    done = subprocess.run(
        [sys.executable, "-c", example], capture_output=True, text=True, timeout=60, check=False
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout
    assert done.stderr == ""


@pytest.mark.parametrize("plan", PLANS)
def test_a_plan_of_the_readme_loads(plan, folder):
    (folder / "shown.toml").write_text(plan, encoding="utf-8")
    assert load_plan(folder / "shown.toml").band.low_hz > 0


@pytest.mark.parametrize("observed", EVIDENCE)
def test_evidence_of_the_readme_loads(observed, folder):
    (folder / "shown.toml").write_text(observed, encoding="utf-8")
    assert load_evidence(folder / "shown.toml").remarks == ()


def test_the_readme_explains_every_key_of_evidence():
    explained = " ".join(
        row[0] for head in ("key of `\\[set\\]`", "key of `\\[\\[symptom\\]\\]`") for row in rows_under(head)
    )
    keys = {
        spelt(name, field, file=True)
        for table in (SetKnowledge, Symptom)
        for name, field in table.model_fields.items()
    }
    assert {key for key in keys if f"`{key}`" not in explained} == set()


def offered():
    """Yield every command and long option that the command line offers."""
    context = click.Context(commands)
    for name in commands.list_commands(context):
        yield f"freqplan {name}"
        command = commands.get_command(context, name)
        for parameter in [*command.params, *commands.params]:
            yield from (option for option in parameter.opts if option.startswith("--"))
    yield "--help"


@pytest.mark.parametrize("name", sorted(set(offered())))
def test_the_readme_mentions(name):
    assert re.search(rf"{re.escape(name)}(?![\w-])", README)


def test_the_readme_mentions_no_option_that_there_is_not():
    mentioned = set(re.findall(r"(?<![\w|-])--[a-z][a-z-]*", README))
    assert mentioned - {"--dist"} <= set(offered())  # that one is pytest's


def rows_under(title):
    """Return the cells of the table whose head begins with `title`."""
    table = re.search(rf"^\| {title} \|.*\n\|[-|]+\n((?:\|.*\n)+)", README, re.MULTILINE)
    assert table is not None
    return [
        [cell.strip() for cell in re.split(r"(?<!\\)\|", line)[1:-1]] for line in table.group(1).splitlines()
    ]


def test_the_glossary_is_that_of_the_columns():
    assert rows_under("column") == [[c.caption, f"`{key}`", c.meaning] for key, c in COLUMNS.items()]


def test_the_mechanisms_are_those_of_the_catalogue():
    assert rows_under("id") == [
        [f"`{one.id}`", one.title, f"`{one.formula}`" if one.formula else "", one.fingerprint, one.cure]
        for one in catalogue().values()
    ]


def test_links_and_files_of_the_readme_exist():
    named = set(re.findall(r"\b(?:plans_demo|freqplan|tests)/[\w./-]+\.\w+", README))
    assert named
    assert [name for name in sorted(named) if not (ROOT / name).exists()] == []


@pytest.mark.parametrize("name", ["README.md", "DEVELOPERS.md"])
def test_files_named_by_the_documents_exist(name):
    text = (ROOT / name).read_text("utf-8")
    links = [link for link in re.findall(r"\]\(([^)#]+)\)", text) if "://" not in link]
    assert [link for link in links if not (ROOT / link).exists()] == []
    modules = set(re.findall(r"`(?:freqplan/)?([a-z_]+\.py)`", text))
    there = {path.name for folder in ("freqplan", "tests") for path in (ROOT / folder).rglob("*.py")}
    assert modules <= there


def test_no_column_is_explained_twice():
    parts = (DIAGNOSIS_COLUMNS, DIAL_COLUMNS, RANGE_COLUMNS, CHOICE_COLUMNS, SWEEP_COLUMNS, TERM_COLUMNS)
    keys = [key for part in parts for key in part]
    assert len(keys) == len(set(keys))
    assert set(keys) <= set(COLUMNS)
