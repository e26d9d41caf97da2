"""The notebook of a class: runs whole, by public names alone, and is kept without outputs."""

from __future__ import annotations

import ast
import json
import re

import pytest
from commandline import DEMO, ROOT

import freqplan

NOTEBOOK = DEMO / "class-90-minutes.ipynb"
BOOK = json.loads(NOTEBOOK.read_text("utf-8"))
CODE = ["".join(cell["source"]) for cell in BOOK["cells"] if cell["cell_type"] == "code"]
WORDS = "\n".join("".join(cell["source"]) for cell in BOOK["cells"] if cell["cell_type"] == "markdown")
LONGEST_CELL_S = 120
MAY_IMPORT = {"freqplan", "numpy"}


@pytest.fixture(scope="module")
def run(tmp_path_factory):
    """The notebook after a run in a kernel of its own."""
    nbclient = pytest.importorskip("nbclient")
    pytest.importorskip("ipykernel")
    nbformat = pytest.importorskip("nbformat")
    book = nbformat.read(NOTEBOOK, as_version=4)
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("PYTHONPATH", str(ROOT))
        patch.setenv("IPYTHONDIR", str(tmp_path_factory.mktemp("ipython")))
        client = nbclient.NotebookClient(
            book, timeout=LONGEST_CELL_S, kernel_name="python3", resources={"metadata": {"path": str(DEMO)}}
        )
        client.execute()
    return book


def outputs(book):
    return [output for cell in book.cells if cell.cell_type == "code" for output in cell.outputs]


def test_it_runs_without_an_error(run):
    assert [one for one in outputs(run) if one.output_type == "error"] == []
    assert [one.text for one in outputs(run) if one.output_type == "stream" and one.name == "stderr"] == []


def test_charts_and_sounds_are_shown(run):
    pages = [one.data.get("text/html", "") for one in outputs(run) if "data" in one]
    assert sum("<svg" in page for page in pages) == 3
    assert sum("<audio" in page for page in pages) == 3


def test_the_answers_are_those_of_the_paper(run):
    told = "\n".join(one.text for one in outputs(run) if one.output_type == "stream")
    # 102.0 and 89.3 with an IF of 10.7; half the band; 101.2 - 10.7; 96.03 / 9; the beat rates.
    for text in (
        "oscillator 112.7 MHz", "high: 100.00 MHz, on the dial", "low: 78.60 MHz, off the dial", "more than 10.25 MHz",
        "1. ", "[1]", "90.5 MHz", "9: IF 10.6700 MHz", "half-if, half-IF response", "R = 2.0", "R = 3.0", "R = 9.0",
    ):  # fmt: skip
        assert text in told


def test_every_task_has_an_answer_that_is_folded():
    tasks = re.findall(r"\*\*Task (\d+)\.\*\*", WORDS)
    folded = [cell for cell in BOOK["cells"] if "answer" in cell["metadata"].get("tags", [])]
    assert tasks == [str(number + 1) for number in range(len(folded))]
    assert len(folded) == 9
    for cell in folded:
        assert cell["metadata"]["jupyter"] == {"source_hidden": True}
        assert cell["source"][0] == "# Answer\n"


def test_the_minutes_add_up_and_are_those_of_the_sections():
    planned = re.findall(r"^\| (\d+) \| (\d+ .+) \|$", WORDS, re.MULTILINE)
    headed = re.findall(r"^## (\d+ .+) \((\d+) minutes\)$", WORDS, re.MULTILINE)
    assert planned == [(minutes, title) for title, minutes in headed]
    assert sum(int(minutes) for minutes, _ in planned) == 90


@pytest.mark.parametrize("source", CODE)
def test_a_cell_uses_public_names_alone(source):
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            assert {alias.name for alias in node.names} <= MAY_IMPORT
        assert not isinstance(node, ast.ImportFrom)
        if isinstance(node, ast.Attribute):
            assert not node.attr.startswith("_")
            if isinstance(node.value, ast.Name) and node.value.id == "freqplan":
                assert node.attr in freqplan.__all__


def test_nothing_of_a_run_and_of_a_machine_is_kept():
    cells = [cell for cell in BOOK["cells"] if cell["cell_type"] == "code"]
    assert [cell for cell in cells if cell["outputs"] or cell["execution_count"] is not None] == []
    assert BOOK["metadata"]["kernelspec"]["name"] == "python3"
    assert not re.search(r"/(home|root|tmp|Users|usr)/|[A-Z]:\\\\", NOTEBOOK.read_text("utf-8"))
    assert NOTEBOOK.name in (DEMO / "README.md").read_text("utf-8")
