"""What a sweep may claim: of all towns only what was computed there, of quiet only what levels can tell."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from thoroughness import examples

from freqplan import FreqplanError, Plan, StationList, batches, sweep
from freqplan.plan import Conversion, FrontEnd, Mixer
from freqplan.sweep_choices import Choice

STRONG = StationList.from_frequencies([98_000_000, 119_400_000], level_dbuv=[40.0, 100.0])
"""The second stands on the image of the first, with the oscillator high and an IF of 10.7 MHz."""

LONELY = StationList.from_frequencies([90_500_000], level_dbuv=[50.0])


def a_set(**changed):
    own = {
        "band": {"low_hz": 87_500_000, "high_hz": 108_000_000},
        "conversion": (Conversion(intermediate_hz=10_700_000, tolerance_hz=30_000),),
        "front_end": FrontEnd(circuits_before_mixer=1, loaded_q=30.0),
        "mixer": Mixer(kind="switching", unbalance=0.0),
    }
    return Plan(**own | changed)


def rows_of(result, table="choices"):
    return list(result.table(table).rows())


def said(result):
    return " ".join(result.sections["Which serves all"])


def stopped_after(sets, **asked):
    """A sweep of which only so many sets were computed."""
    whole = sweep(a_set(), towns={"Lonely": LONELY, "Strong": STRONG}, goal="quiet", **asked)
    rows = whole.rows.copy()
    left = np.arange(rows.size).reshape(rows.shape) >= sets
    rows[left] = np.zeros((), dtype=rows.dtype)
    return type(whole)(whole.plan, work=whole.work, rows=rows, goal="quiet")


# --- stopped before the end -----------------------------------------------------------------------


def test_choices_tried_in_one_town_only_are_never_quiet_in_every_town():
    result = stopped_after(2, intermediates_hz=[10_700_000])
    assert "Every town" not in said(result)
    assert "2 of 4 sets" in said(result)
    assert "nothing can be said of all towns" in said(result)
    assert [row["place"] for row in rows_of(result)] == [None, None]
    assert [row["concerns"] for row in rows_of(result)] == [("1 of 2 sets are missing",)] * 2


def test_of_finished_choices_is_told_what_holds_and_the_others_come_last():
    # High is computed in both towns and hears its image; low, which would be quiet, is not.
    result = stopped_after(3, intermediates_hz=[10_700_000])
    assert [(row["oscillator"], row["place"]) for row in rows_of(result)] == [("high", 1), ("low", None)]
    assert "1 of 2 choices have all of their sets" in said(result)
    assert "With no finished choice does every town stay quiet." in said(result)
    assert "low" not in said(result)


@given(st.integers(0, 16))
@settings(max_examples=examples(17))
def test_whatever_is_missing_places_are_those_of_whole_choices_alone(sets):
    result = stopped_after(sets, intermediates_hz=[10_700_000, 10_650_000], draws=2)
    whole = result.rows["done"].all(axis=(0, 2)).sum()
    placed = [row["place"] is not None for row in rows_of(result)]
    assert placed == [True] * whole + [False] * (4 - whole)
    assert all(row["sets"] == 4 for row, own in zip(rows_of(result), placed, strict=True) if own)


# --- an IF in the band -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("intermediate_hz", "inside"),
    [
        # Half the filter is 90 kHz, the tolerance 30 kHz.
        (87_379_999, False), (87_380_000, True), (98_000_000, True), (108_120_000, True), (108_120_001, False),
    ],
)  # fmt: skip
def test_an_if_is_in_the_band_up_to_half_its_filter_and_its_tolerance(intermediate_hz, inside):
    assert Choice(intermediate_hz, "high").in_band(a_set()) is inside


def test_an_if_in_the_band_is_never_quiet_and_stands_last():
    result = sweep(
        a_set(),
        intermediates_hz=[98_000_000, 10_700_000],
        sides=["high"],
        towns={"Strong": STRONG, "Lonely": LONELY},
        goal="quiet",
    )
    usual, inside = rows_of(result)
    assert (usual["intermediate_hz"], usual["place"], usual["concerns"]) == (10_700_000, 1, ())
    assert (inside["place"], inside["quiet"], inside["quiet_share"], inside["quiet_towns"]) == (2, 0, 0.0, 0)
    assert inside["concerns"] == ("IF in the band",)
    assert said(result).endswith("passes the mixer at every dial setting: 98 MHz high.")
    assert {row["quiet"] for row in rows_of(result, "towns") if row["intermediate_hz"] == 98_000_000} == {0}


def test_where_every_if_is_in_the_band_none_is_called_best():
    result = sweep(a_set(), intermediates_hz=[98_000_000], sides=["high"], towns=[LONELY], goal="quiet")
    assert len(result.sections["Which serves all"]) == 1
    assert "Every town" not in said(result)


# --- no level known -------------------------------------------------------------------------------


def test_without_levels_nothing_is_called_quiet():
    result = sweep(a_set(front_end=None), intermediates_hz=[10_700_000], towns={"Lonely": LONELY})
    assert "no level is known: nothing is called quiet" in said(result)
    assert "stay" not in said(result)
    for table in ("choices", "towns"):
        assert {(row["quiet"], row["quiet_share"]) for row in rows_of(result, table)} == {(None, None)}
    assert {row["quiet_towns"] for row in rows_of(result)} == {None}


# --- processes ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("jobs", "words"),
    [
        (0, "jobs 0: give how many processes"), (-1, "jobs -1: give how many processes"),
        (1.5, "n_jobs: 1.5 is not a whole number"), ("2", "n_jobs: '2' is not a whole number"),
        ("all", "n_jobs: 'all' is not a whole number"),
    ],
)  # fmt: skip
def test_what_is_no_number_of_processes_is_refused(jobs, words):
    with pytest.raises(FreqplanError, match=words):
        sweep(a_set(), intermediates_hz=[10_700_000], towns=[LONELY], n_jobs=jobs)


def test_no_more_processes_than_processors_and_batches_are_started(monkeypatch):
    joblib = pytest.importorskip("joblib")
    asked = []

    class Here(joblib.Parallel):
        def __init__(self, n_jobs, **more):
            asked.append(n_jobs)
            super().__init__(n_jobs=1, **more)

    monkeypatch.setattr(joblib, "Parallel", Here)
    monkeypatch.setattr(batches.os, "cpu_count", lambda: 3)
    for seconds, draws in ((1e-9, 20), (1e-9, 5), (1000.0, 20)):
        monkeypatch.setattr(batches, "BATCH_S", seconds)
        wanted = {"sides": ["high"], "draws": draws, "n_jobs": 1_000_000}
        assert sweep(a_set(), intermediates_hz=[10_700_000], towns=[LONELY], **wanted).complete
    # 11 batches of one set are left, then none, then one of 11 sets.
    assert asked == [3, 1, 1]
