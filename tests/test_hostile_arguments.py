"""Every public function, with one argument of any kind at all: an answer, or an error of the package in short lines."""

from __future__ import annotations

import inspect
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import freqplan
from freqplan import ArgumentError, Band, Conversion, FreqplanError, Orders, Plan, StationList

LONGEST_LINE = 620

PLAN = Plan(
    band=Band(low_hz=87_500_000, high_hz=108_000_000),
    conversion=(Conversion(intermediate_hz=10_700_000, oscillator="high"),),
    orders=Orders(signal=2, oscillator=2, if_harmonic=10),
)
STATIONS = StationList.from_frequencies(
    [96_300_000, 101_200_000, 119_400_000], ["Mill", "High Moor", "Approach"]
)
READINGS = freqplan.Readings.from_pairs([(hz, hz + 200_000) for hz in (88_700_000, 96_000_000, 104_000_000)])
EVIDENCE = freqplan.Evidence.from_file_keys({"symptom": [{"dial": "107 MHz", "heard": "whistle"}]})
SURVEY = freqplan.survey(PLAN, STATIONS)
ROW = SURVEY.table("responses").to_dicts()[0]

FORM = {"plan": PLAN, "stations": STATIONS}
VALID = {
    "channel": {**FORM, "frequency_hz": 98_100_000, "trial": freqplan.Trial(), "every_product": False},
    "chart": {**FORM, "name": "spectrum", "dial_hz": 98_000_000, "mechanism": "image"},
    "circuits": {**FORM, "rejection_db": 60.0, "against": ("Mill",)},
    "compare": {**FORM, "intermediates_hz": (10_650_000,), "weights": {"image": 1}},
    "diagnose": {**FORM, "evidence": EVIDENCE},
    "dial": {"plan": PLAN, "readings": READINGS, "reading_error_hz": 100_000},
    "exercise": {"plan": PLAN, "seed": 1, "level": 1, "count": 1, "kinds": ("image",)},
    "explain": {"result": SURVEY, "row": 1, "table": "responses"},
    "if_ranges": {
        "plan": PLAN, "low_hz": 10_000_000, "high_hz": 11_000_000, "keep_out": ("image",), "oscillator": "high",
    },
    "lesson": {"plan": PLAN, "topic": "image", "dial_hz": 98_000_000},
    "levels_of": {"plan": PLAN},
    "load_answers": {"path_or_file": "missing.csv"},
    "load_evidence": {"source": "missing.toml"},
    "load_plan": {"source": "missing.toml"},
    "load_readings": {"path_or_file": "missing.csv"},
    "load_stations": {"path_or_file": "missing.csv"},
    "load_towns": {"path": "missing"},
    "receivers": {"plans": (PLAN, PLAN), "stations": STATIONS},
    "render": {"result": SURVEY, "form": "table", "table": "responses", "limit": 3},
    "report": {
        **FORM, "evidence": EVIDENCE, "readings": READINGS, "reading_error_hz": 1000, "limit": 3, "charts": False,
    },
    "row_chart": {"plan": PLAN, "row": ROW},
    "sound": {
        "plan": PLAN, "mechanism": "image", "ratio_db": -30.0, "tone_hz": 400, "seconds": 1.0, "offset_hz": 1000,
        "tuning_hz": 0,
    },
    "starter": {"kind": "fm"},
    "survey": FORM,
    "sweep": {
        "plan": PLAN, "intermediates_hz": (10_700_000,), "towns": {"Fens": STATIONS}, "sides": ("high",),
        "circuits": (2,), "draws": 1, "seed": 0, "tracking_hz": 0, "goal": "quiet", "n_jobs": None,
    },
    "whistle": {"plan": PLAN, "offset_hz": 10_000, "ratio_db": -30.0, "pitch_hz": None},
}  # fmt: skip
NOT_TRIED = {"topics"}
"""Takes nothing."""

TEXTS = ["x" * 5000, "\x1b[2J", "a\nb", "\0", "../..", "\udcff", "1e400 MHz"]
OTHERS = [10**30, -(10**30), Fraction(1, 3), Path("/nowhere"), range(3), {"a"}, PLAN, STATIONS]
VALUES = st.one_of(
    st.none(), st.booleans(), st.integers(), st.floats(), st.text(max_size=20), st.binary(max_size=5),
    st.builds(object), st.lists(st.one_of(st.none(), st.text(max_size=5), st.integers(), st.just([])), max_size=3),
    st.dictionaries(st.text(max_size=3), st.integers(), max_size=2), st.sampled_from([*TEXTS, *OTHERS]),
)  # fmt: skip


def test_every_public_function_is_tried():
    functions = {name for name in freqplan.__all__ if inspect.isfunction(getattr(freqplan, name))}
    assert functions == set(VALID) | NOT_TRIED


@pytest.mark.parametrize("name", VALID)
@given(data=st.data())
def test_any_value_for_one_argument_is_answered_or_refused_in_short_lines(name, data):
    which = data.draw(st.sampled_from(sorted(VALID[name])))
    value = data.draw(VALUES)
    try:
        getattr(freqplan, name)(**{**VALID[name], which: value})
    except FreqplanError as error:
        for line in str(error).split("\n"):
            assert 0 < len(line) <= LONGEST_LINE, line
            assert line.isprintable(), line


REFUSED = {
    "survey, plan: 'pantry.toml' is not a plan; freqplan.load_plan reads one": lambda: freqplan.survey(
        "pantry.toml"
    ),
    "survey, stations: 'town.csv' is not a station list; freqplan.load_stations reads one": (
        lambda: freqplan.survey(PLAN, "town.csv")
    ),
    "whistle, ratio_db: '-30 dB' is not a number": (
        lambda: freqplan.whistle(PLAN, offset_hz=1000, ratio_db="-30 dB")
    ),
    "circuits, against: 'Mill' is not a list of texts": lambda: freqplan.circuits(
        PLAN, STATIONS, against="Mill"
    ),
    "sweep, draws: 1.5 is not a whole number": lambda: freqplan.sweep(**VALID["sweep"] | {"draws": 1.5}),
    "is not a list of plans; freqplan.load_plan reads one": lambda: freqplan.receivers([PLAN, "b.toml"]),
    "explain, row: None is not a text or a whole number": lambda: freqplan.explain(SURVEY, None),
    "load_plan, source: 7 is not a file name or an open file": lambda: freqplan.load_plan(7),
}


@pytest.mark.parametrize("words", REFUSED)
def test_another_kind_of_argument_is_refused_by_what_is_wanted(words):
    with pytest.raises(ArgumentError) as caught:
        REFUSED[words]()
    assert words in str(caught.value)
    assert isinstance(caught.value, TypeError)
