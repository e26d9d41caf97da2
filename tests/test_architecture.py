"""The house: which module may import which, how large things are, what must not be in the code."""

from __future__ import annotations

import ast
import io
import re
import tokenize
from graphlib import TopologicalSorter

import pytest
from commandline import ROOT

PACKAGE = ROOT / "freqplan"

LAYERS = (
    ("errors",),
    ("arguments",),
    ("files", "hertz"),
    ("decibel", "fields", "lengths"),
    ("sweepfile", "touchstone", "sweeps"),
    (
        "plan_faults",
        "plan_reading",
        "plan_tables",
        "plan_levels",
        "plan_scale",
        "scales",
        "plan_view",
        "scale_checks",
        "plan_checks",
        "plan",
        "toml_lines",
        "tomltext",
        "tomlfile",
        "planfile",
        "starters",
    ),
    ("evidence_reading", "evidence", "evidencefile"),
    ("mixing", "chains"),
    (
        "column_kinds",
        "diagnosis_columns",
        "dial_columns",
        "lesson_columns",
        "exercise_columns",
        "range_columns",
        "compare_columns",
        "sweep_columns",
        "terms",
        "columns",
        "own_words",
    ),
    ("spans", "reach", "landing", "findings", "if_filters", "formulas"),
    ("station_sums", "words"),
    ("csvfile", "stationfile", "stations", "towns", "readingsfile", "readings", "services", "witnesses"),
    ("answersfile", "answers"),
    ("mechanisms",),
    ("problems",),
    ("preselectors", "mixers", "tones", "protection"),
    ("derivations",),
    ("levels",),
    ("reception",),
    ("hearing",),
    ("judging",),
    ("product_search", "product_tables", "products"),
    (
        "oscillators",
        "level_remarks",
        "remarks",
        "range_remarks",
        "ghosts",
        "responses",
        "birdies",
        "alike",
        "if_edges",
        "if_tables",
        "neighbours",
        "if_pairs",
    ),
    ("explanation", "alignment", "weighing", "separating", "travel", "dial_words"),
    ("conflicts",),
    ("mutual", "overheard", "radiation", "station_pairs"),
    ("cardlines", "card", "changes", "product_changes", "heard"),
    ("own_lines",),
    ("dial_lines", "outside_lines", "neighbour_lines", "product_lines", "listening", "channel_rows"),
    ("checklist", "results"),
    ("questions",),
    ("diagnosis",),
    ("surveys",),
    (
        "choices",
        "ranking",
        "sweep_choices",
        "scores",
        "batches",
        "sweep_checks",
        "sweep_tables",
        "sweep_answers",
    ),
    (
        "channels",
        "comparisons",
        "if_choices",
        "designs",
        "diagnoses",
        "dials",
        "households",
        "sweeping",
        "whistles",
        "baseband",
        "beat_cases",
        "sound_words",
        "sounds",
    ),
    ("exercises", "marking"),
    ("screen", "tables"),
    ("charts",),
    ("lesson_examples", "lessons"),
    ("asked_rows", "explanations"),
    ("reports",),
    ("page",),
    ("cli",),
    ("__main__",),
)
"""Lowest first.  A module may import from its own layer and from lower ones; no imports go round in a circle."""

ONLY_INSIDE_FUNCTIONS = {
    "pandas",
    "sympy",
    "jinja2",
    "tabulate",
    "matplotlib",
    "skrf",
    "joblib",
    "flask",
    "waitress",
}
DERIVATIONS = "freqplan.derivations"
LONGEST_FILE, LONGEST_FUNCTION = 300, 40

FILES = {
    ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__"): path
    for path in sorted(PACKAGE.rglob("*.py"))
}
TREES = {name: ast.parse(path.read_text("utf-8")) for name, path in FILES.items()}
every_module = pytest.mark.parametrize("module", FILES)


def layer_of(module):
    """Return the place of a module in `LAYERS`; a folder counts as one."""
    part = module.split(".")[1]
    return next((place for place, layer in enumerate(LAYERS) if part in layer), None)


def names_imported(node, module):
    if isinstance(node, ast.Import):
        return [alias.name for alias in node.names]
    if node.level:
        raise AssertionError(f"{module}, line {node.lineno}: write imports in full")
    names = [f"{node.module}.{alias.name}" for alias in node.names]
    return [name if name in FILES else node.module for name in names]


def imports(module, *, inside_functions=True):
    """Return (imported, line) of a module, those for type checkers alone left out."""

    def walk(node):
        for child in ast.iter_child_nodes(node):
            if isinstance(child, ast.If) and ast.unparse(child.test) == "TYPE_CHECKING":
                continue
            if (
                isinstance(child, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda)
                and not inside_functions
            ):
                continue
            if isinstance(child, ast.Import | ast.ImportFrom):
                for name in names_imported(child, module):
                    yield name, child.lineno
            yield from walk(child)

    return list(walk(TREES[module]))


# Imports


def test_every_module_has_its_layer():
    missing = [name for name in FILES if name != "freqplan" and layer_of(name) is None]
    assert missing == []
    parts = {name.split(".")[1] for name in FILES if name != "freqplan"}
    assert {part for layer in LAYERS for part in layer} == parts


@every_module
def test_no_lower_layer_imports_an_upper_one(module):
    own = len(LAYERS) if module == "freqplan" else layer_of(module)
    upwards = [
        f"line {line}: {name}"
        for name, line in imports(module)
        if name.startswith("freqplan.") and layer_of(name) > own
    ]
    assert upwards == []


@every_module
def test_no_module_imports_the_package_root(module):
    assert [line for name, line in imports(module) if name == "freqplan"] == []


@pytest.mark.parametrize("inside_functions", [False, True])
def test_imports_never_go_round_in_a_circle(inside_functions):
    graph = {
        module: {name for name, _ in imports(module, inside_functions=inside_functions) if name in FILES}
        for module in FILES
    }
    assert list(TopologicalSorter(graph).static_order())


@every_module
def test_slow_libraries_are_imported_inside_functions_only(module):
    names = {name for name, _ in imports(module, inside_functions=False)}
    at_start = {name.partition(".")[0] for name in names}
    if module.startswith(DERIVATIONS):
        # They are sympy all through, and themselves imported inside functions only.
        at_start -= {"sympy"}
    else:
        assert not any(name.startswith(DERIVATIONS) for name in names)
    assert not at_start & ONLY_INSIDE_FUNCTIONS


@every_module
def test_annotations_are_not_evaluated(module):
    if functions(module):
        assert "from __future__ import annotations" in FILES[module].read_text("utf-8")


# Sizes and docstrings


def functions(module):
    return [
        node for node in ast.walk(TREES[module]) if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
    ]


@every_module
def test_no_file_is_too_long(module):
    assert len(FILES[module].read_text("utf-8").splitlines()) <= LONGEST_FILE


@every_module
def test_no_function_is_too_long(module):
    too_long = {}
    for node in functions(module):
        body = node.body[1:] if ast.get_docstring(node) is not None else node.body
        lines = body[-1].end_lineno - body[0].lineno + 1 if body else 0
        if lines > LONGEST_FUNCTION:
            too_long[node.name] = lines
    assert too_long == {}


def undocumented(node, prefix=""):
    """Yield public classes, functions and methods without a docstring."""
    for child in node.body:
        if not isinstance(child, ast.FunctionDef | ast.ClassDef) or child.name.startswith("_"):
            continue
        if ast.get_docstring(child) is None:
            yield prefix + child.name
        if isinstance(child, ast.ClassDef):
            yield from undocumented(child, f"{prefix}{child.name}.")


@every_module
def test_everything_public_has_a_docstring(module):
    assert ast.get_docstring(TREES[module]) is not None
    assert list(undocumented(TREES[module])) == []


# What must not be there


def tokens(path):
    return list(tokenize.generate_tokens(io.StringIO(path.read_text("utf-8")).readline))


POWERS_OF_TEN = {f"1e{sign}{power}" for sign in ("", "-", "+") for power in (3, 6, 9)} | {
    "1000", "1_000", "1000.0", "1000000", "1_000_000", "1000000.0", "1e-06", "1e+06",
}  # fmt: skip
MAY_SCALE = {"freqplan.hertz", "freqplan.findings"}
"""The two that turn hertz into what a person reads."""


def scalings(tree):
    """Yield lines that multiply or divide by a power of ten, as MHz in floats would be."""
    for node in ast.walk(tree):
        if isinstance(node, ast.BinOp) and isinstance(node.op, ast.Mult | ast.Div | ast.FloorDiv):
            for side in (node.left, node.right):
                thousands = isinstance(side, ast.Constant) and str(side.value) in POWERS_OF_TEN
                power = (
                    isinstance(side, ast.BinOp) and isinstance(side.op, ast.Pow) and ast.unparse(side.left) == "10"
                    and ast.unparse(side.right) in ("3", "6", "9")
                )  # fmt: skip
                if thousands or power:
                    yield node.lineno


def test_the_search_for_scaled_frequencies_finds_them():
    for text in ("f / 1e6", "f * 1e-6", "1000 * f", "f / 10**6", "f // 1_000_000", "f / 1000.0"):
        assert list(scalings(ast.parse(text))) == [1]
    assert list(scalings(ast.parse("f + 1000; f / 2"))) == []


@every_module
def test_frequencies_are_scaled_in_one_place(module):
    if module not in MAY_SCALE:
        assert list(scalings(TREES[module])) == []


UNFINISHED = re.compile(r"\b(TODO|FIXME|XXX|HACK)\b|NotImplementedError|\bplaceholder\b", re.IGNORECASE)


@every_module
def test_nothing_is_unfinished(module):
    found = [token.string for token in tokens(FILES[module]) if UNFINISHED.search(token.string)]
    assert found == []


# Put together here, so that this file does not hold them itself.
FOREIGN = [
    " ".join(parts)
    for parts in (("issue", "#"), ("ticket",), ("sand" + "box",), ("/work" + "/",), ("shared" + "/",))
]


def own_texts():
    kept = ("*.py", "*.md", "*.toml", "*.csv", "*.j2", "*.txt", "*.ipynb")
    folders = (PACKAGE, ROOT / "tests", ROOT / "plans_demo")
    inner = [path for folder in folders for pattern in kept for path in folder.rglob(pattern)]
    outer = [path for pattern in ("*.md", "*.toml") for path in ROOT.glob(pattern)]
    return [path for path in (*outer, *inner) if path.name != "test_architecture.py"]


@pytest.mark.parametrize("word", FOREIGN)
def test_the_project_speaks_of_itself_alone(word):
    assert len(own_texts()) > 60
    assert [
        str(path) for path in own_texts() if word in path.read_text("utf-8", errors="replace").lower()
    ] == []
