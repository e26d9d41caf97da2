"""No float decides over a frequency: the source texts are searched, and the search is tried on seeded faults."""

from __future__ import annotations

from collections import Counter

import pytest
from commandline import ROOT
from exactness import CLOSE_TO, COMPARED, DIVIDED, NO_TYPE, TO_FLOAT, findings

PACKAGE = ROOT / "freqplan"
SOURCES = {
    ".".join(path.relative_to(PACKAGE).with_suffix("").parts): path.read_text("utf-8")
    for path in sorted(PACKAGE.rglob("*.py"))
}

FOUND = {module: tuple(findings(text)) for module, text in SOURCES.items()}

ROUNDED = (CLOSE_TO, TO_FLOAT, DIVIDED)
LEVELS = "levels, sounds and what depends on them are floats"
WEIGHED = "a probability hangs on a distance in hertz"
FITTED = "a fit to readings, whose values are rounded once and exact from then on"
FLOATS_IN = {
    **dict.fromkeys(
        (
            "baseband", "derivations.rejection", "designs", "fields", "if_filters", "level_remarks", "preselectors",
            "problems.rejection", "sound_words", "sounds", "sweeps", "tones",
        ),
        LEVELS,
    ),
    **dict.fromkeys(("alignment", "dial_words", "explanation"), FITTED),
}  # fmt: skip
"""Modules in which hertz may become floats.  Comparing them is another matter: see `EXCEPTIONS`."""

EXCEPTIONS = {
    ("birdies", "birdies", TO_FLOAT): "sorting: quotients of whole numbers below 2**53 are rounded correctly",
    ("diagnoses", "Diagnosis._assumptions", CLOSE_TO): "a standard deviation in words",
    ("dial_words", "DialWords._rough", TO_FLOAT): "a function of that name: hertz in round figures of text",
    ("separating", "_Bench._written", TO_FLOAT): "the same function",
    ("hertz", "Rounding.drawn", TO_FLOAT): "for drawing",
    ("if_tables", "obstacle_table", CLOSE_TO): "a fraction of hertz, rounded to 0.001 as a fraction",
    ("listening", "Listening.columns", TO_FLOAT): "for levels",
    ("mixing", "Combinations.signal_about", DIVIDED): "for levels",
    ("product_search", "Threshold._below_wanted_db", DIVIDED): "a level",
    ("product_search", "Threshold.cells", TO_FLOAT): "a part of the dial, made a hertz wider than it is",
    ("product_search", "Threshold.ceiling_dbuv", TO_FLOAT): "for levels",
    ("ranking", "_shares_of_ranges.of_the_dial", DIVIDED): "width() is a fraction",
    ("responses", "_least_rejection_db", TO_FLOAT): "for levels",
    # Comparisons
    ("alignment", "Scale.explanation", COMPARED): "whole hertz as floats, exact below 2**53",
    ("alignment", "Scale.falls", COMPARED): "whole hertz as floats, exact below 2**53",
    ("charts.curve_parts", "_stretch", COMPARED): "which marks lie on a drawn stretch",
    ("diagnosis.cases", "_nearest", COMPARED): WEIGHED,
    ("diagnosis.gathering", "Near.keeps", COMPARED): WEIGHED,
    ("diagnosis.gathering", "_of_the_cast", COMPARED): WEIGHED,
    ("diagnosis.gathering", "in_band", COMPARED): WEIGHED,
    ("diagnosis.places", "off_the_band", COMPARED): "a share of the dial by common practice",
    ("sweeps", "Sweep.why_unknown", COMPARED): LEVELS,
}


def is_excused(module, found):
    if (module, found.where, found.kind) in EXCEPTIONS:
        return True
    return found.kind in ROUNDED and (module in FLOATS_IN or module.startswith(("charts.", "diagnosis.")))


@pytest.mark.parametrize("module", SOURCES)
def test_no_float_decides_over_a_frequency(module):
    assert [found for found in FOUND[module] if not is_excused(module, found)] == []


def test_every_exception_is_needed():
    """An exception nobody needs any more would hide the next fault."""
    there = {(module, found.where, found.kind) for module in SOURCES for found in FOUND[module]}
    assert set(EXCEPTIONS) <= there
    assert set(FLOATS_IN) <= {module for module, _, kind in there if kind in ROUNDED}


SEEDED = {
    "a_hz == 98.1e6": [COMPARED],
    "98.1e6 != plan.band.low_hz": [COMPARED],
    "a_hz in (98.1e6, 100)": [COMPARED],
    "a_hz <= float(text)": [COMPARED],
    "a_hz == b_hz / 2": [COMPARED, DIVIDED],
    "low_hz[0] < np.mean(values)": [COMPARED],
    "own_hz(1) >= column.rough()": [COMPARED, TO_FLOAT],
    "a_hz == b_hz.astype(float)": [COMPARED, TO_FLOAT],
    "a_hz == values.astype(np.float64)": [COMPARED],
    "spot_hz = np.linspace(0, 1, 5)\nspot_hz == 1": [COMPARED],
    "def f(a_hz: float): return a_hz == 1": [COMPARED],
    "def f(a_hz: Float64 | int): return a_hz in [1]": [COMPARED],
    "class A:\n    a_hz: Float64\n    def f(self): return self.a_hz == 1": [COMPARED],
    "def own_hz(a) -> float: return a\nown_hz(2) == 3": [COMPARED],
    "a_hz = b / 3.0\ndef f(): return a_hz == 1": [COMPARED],
    "np.isclose(a_hz, b)": [CLOSE_TO],
    "math.isclose(b, a.low_hz)": [CLOSE_TO],
    "np.allclose(a_hz, b, rtol=1e-9)": [CLOSE_TO],
    "round(a_hz, 3) in seen": [CLOSE_TO],
    "np.round(a_hz)": [CLOSE_TO],
    "x = float(a_hz)": [TO_FLOAT],
    "np.float64(a_hz)": [TO_FLOAT],
    "(2 * a_hz).astype(np.float64)": [TO_FLOAT],
    "(low_hz + high_hz) / 2": [DIVIDED],
    "1 / fields.a_hz": [DIVIDED],
    "def f(a_hz: int): return a_hz / 2": [DIVIDED],
    "np.array([low_hz, high_hz])": [NO_TYPE],
    "np.full(5, low_hz)": [NO_TYPE],
    "np.arange(low_hz, high_hz, 5)": [NO_TYPE],
    "spot_hz = np.zeros(5)": [NO_TYPE],
    "f(dial_hz=np.full(3, dial))": [NO_TYPE],
}  # fmt: skip
HARMLESS = (
    "a_hz == b_hz", "2 * a_hz <= b_hz", "a_hz is None", "a_hz // 2 == 7", "Fraction(a_hz) / 2 == b_hz",
    "Fraction(a_hz, 3) == 5", "def f(a_hz: Fraction): return a_hz / 2 == 5", "len(a_hz) == len(values)",
    "level_db == 0.5", "level_db / 2.0", "np.full(len(a_hz), 3)", "np.full(5, low_hz, dtype=np.int64)",
    "np.array([low_hz], np.int64)", "a_hz = np.linspace(0, 9, 4).astype(np.int64)\na_hz == 3",
    "np.full(len(a_hz), np.nan)",
    "spot_hz = np.zeros(5, dtype=np.int64)", "Ratios(low_hz) / 3",
)  # fmt: skip


@pytest.mark.parametrize("text", SEEDED)
def test_seeded_faults_are_found(text):
    assert sorted(found.kind for found in findings(text)) == sorted(SEEDED[text])


@pytest.mark.parametrize("text", HARMLESS)
def test_exact_arithmetic_is_left_alone(text):
    assert list(findings(text)) == []


PUT_IN = {
    "values.num < low_hz * values.den": ("reach", "values.num / values.den < float(low_hz)"),
    "distance = 2 * np.abs(offset_hz)": ("reach", "distance = np.abs(offset_hz / 0.5)"),
    "2 * np.abs(offset) <= twice_window_hz": ("mixing", "np.abs(offset) <= 0.5 * twice_window_hz"),
    "high + intermediate > HIGHEST_HZ": ("plan_checks", "high + intermediate > 1.0 * HIGHEST_HZ"),
    "hertz = stations.frequency_hz\n": ("judging", "hertz = stations.frequency_hz.astype(float)\n"),
}


@pytest.mark.parametrize("whole", PUT_IN)
def test_a_fault_put_into_the_package_is_found(whole):
    module, broken = PUT_IN[whole]
    assert whole in SOURCES[module]
    after = Counter(found.kind for found in findings(SOURCES[module].replace(whole, broken)))
    assert after - Counter(found.kind for found in FOUND[module])
