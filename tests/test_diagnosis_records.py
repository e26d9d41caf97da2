"""Diagnoses of invented benches, line by line as they were recorded: nothing of an answer changes unseen.

Whether an answer is right is asked elsewhere.  ``FREQPLAN_REFRESH=1 pytest tests/test_diagnosis_records.py`` writes the
record anew after an intended change; read the differences before they are kept.
"""

from __future__ import annotations

import os
import re
from pathlib import Path

import pytest
from bench_cases import case

import freqplan
from freqplan.evidence import Evidence

RECORD = Path(__file__).with_name("diagnoses.txt")
REFRESH = os.environ.get("FREQPLAN_REFRESH") == "1"
SEEDS = range(3000, 3060)
SEVERAL = 0.4
"""How many benches tell of a second disturbance."""

MOST_CAUSES, MOST_TESTS = 8, 5


def answer(seed):
    """Everything an answer says, as lines."""
    one = case(seed, SEVERAL)
    found = freqplan.diagnose(one.plan, Evidence.from_file_keys(one.evidence_tables), one.stations)
    told = found.to_dict()
    yield f"sides {told['oscillator_sides']}, IF {told['intermediate_hz']}, undecided {told['undecided']}"
    for title, lines in found.sections.items():
        yield f"{title}:"
        yield from (f"  {line}" for line in lines)
    yield from (f"caution: {text}" for text in told["cautions"])
    yield from in_order("cause", told["causes"], "probability", MOST_CAUSES)
    yield from in_order("test", told["tests"], "bits", MOST_TESTS)


def in_order(name, rows, by, most):
    """The first rows; among equals the order is that of their words, for rounding may turn it."""
    for row in sorted(rows[:most], key=lambda row: (-round(row[by], 4), str(row))):
        shown = {key: value for key, value in row.items() if value not in (None, "", [])}
        yield f"{name}: " + ", ".join(f"{key} {value}" for key, value in shown.items())


def recorded():
    """The lines of every bench in the record, by seed."""
    blocks = re.split(r"^bench (\d+)\n", RECORD.read_text(encoding="utf-8"), flags=re.MULTILINE)[1:]
    return {int(seed): text.splitlines() for seed, text in zip(blocks[::2], blocks[1::2], strict=True)}


@pytest.fixture(scope="module")
def record():
    if REFRESH:
        blocks = ["\n".join([f"bench {seed}", *answer(seed)]) for seed in SEEDS]
        RECORD.write_text("\n".join(blocks) + "\n", encoding="utf-8")
    return recorded()


@pytest.mark.parametrize("seed", SEEDS)
def test_an_answer_is_the_one_recorded(seed, record):
    assert list(answer(seed)) == record[seed]


def test_the_record_holds_every_bench_once_and_many_causes(record):
    assert list(record) == list(SEEDS)
    named = set(re.findall(r"mechanism ([\w-]+)", RECORD.read_text(encoding="utf-8")))
    assert len(named) > 30
