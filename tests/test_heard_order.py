"""Levels in the list to check and in the results: what is known, what is not, and what must never get lost."""

from __future__ import annotations

import json
import math
from dataclasses import replace

import numpy as np
import pytest
from hearing_strategies import (
    TOWN,
    ghosts,
    is_heard,
    kitchen,
    of_one,
    rounded,
    sets,
    sets_with_towns,
    towns,
    with_levels,
)
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from strategies import dials
from thoroughness import examples

from freqplan import Plan, StationList, channel, survey
from freqplan.changes import Notch, Trial

CLOSE_DB = 1e-6
MOST_NAMED = 6


# --- birdies and traps --------------------------------------------------------------------------


def changed_birdies(trial):
    rows = survey(kitchen(), with_ninth(), trial=trial).changes.rows()
    return {(row["mechanism"], row["wanted"]): row for row in rows if row["station"] is None}


def with_ninth():
    """The town with a station on 9 x 10.7 = 96.3 MHz."""
    return StationList.from_frequencies(
        [*TOWN.frequency_hz.tolist(), 96_300_000],
        [*TOWN.names, "Ninth"],
        level_dbuv=[*TOWN.level_dbuv.tolist(), 50.0],
    )


@given(rounded(1, 40))
def test_a_birdie_on_a_station_gets_worse_by_the_pad(pad_db):
    rows = changed_birdies(Trial(pad_db=pad_db))
    assert rows["if-harmonic", "Ninth"]["change_db"] == pytest.approx(pad_db)
    assert {name for _, name in rows} == {"Ninth"}


def test_a_trap_acts_within_half_the_if_filter_and_nowhere_else():
    half = kitchen().if_filter.bandwidth_hz // 2
    for beside, change in ((half, -40.0), (-half, -40.0), (half + 1, None), (-half - 1, None)):
        trial = Trial(notches=(Notch(101_200_000 + beside, 20.0),))
        rows = [
            row for row in survey(kitchen(), TOWN, trial=trial).changes.rows() if row["wanted"] == "Plain"
        ]
        told = [row["change_db"] for row in rows if (row["m"], row["n"]) == (2, 2)]
        assert told == ([] if change is None else [change])


def test_a_trap_on_the_wanted_station_makes_whistles_on_it_worse_and_on_others_nothing():
    trial = Trial(notches=(Notch(95_850_000, 6.0),))
    changed = of_one(survey(kitchen(), TOWN, trial=trial).changes.rows())
    rows = [row for row in changed if row["station"] != "Plain"]
    assert {row["wanted"] for row in rows} == {"Plain"}
    worse = {row["station"]: row for row in rows if row["heard"] in ("whistle", "noise")}
    assert set(worse) == {"Strong", "Aero"}
    for row in worse.values():
        assert row["change_db"] == 6.0
        assert row["margin_after_db"] == pytest.approx(row["margin_db"] - 6.0)


# --- the list to check --------------------------------------------------------------------------


def is_own_harmonic(plan, stations, line):
    """A harmonic of the IF within half the IF filter of a listed station, be it anywhere in its range."""
    if line["mechanism"] != "if-harmonic":
        return False
    low, high = (
        line[name] if line["frequency_hz"] is None else line["frequency_hz"] for name in ("low_hz", "high_hz")
    )
    half = plan.if_filter.bandwidth_hz
    return any(2 * low - half <= 2 * hz <= 2 * high + half for hz in stations.frequency_hz.tolist())


def urgency(plan, stations, line):
    margin = line["margin_db"]
    if is_own_harmonic(plan, stations, line):
        return (0, 0)
    return (2, 0) if margin is None else (1 if margin < 0 else 3, margin)


@given(sets_with_towns())
@settings(max_examples=examples(150))
def test_what_is_heard_comes_by_margin_then_the_unknown_then_what_is_not_heard(drawn):
    plan, stations = drawn
    ranks = [urgency(plan, stations, line) for line in survey(plan, stations).check_list.rows()]
    assert ranks == sorted(ranks)


def test_a_town_has_lines_of_every_urgency():
    ranks = [
        urgency(kitchen(), with_ninth(), line)[0]
        for line in survey(kitchen(), with_ninth()).check_list.rows()
    ]
    assert ranks == sorted(ranks)
    assert set(ranks) == {0, 1, 2, 3}


def order_of(plan, stations):
    rows = survey(plan, stations).to_dict()["check_list"]
    names = ("mechanism", "oscillator", "dial_hz", "frequency_hz", "low_hz", "high_hz", "stations")
    return [[row[name] for name in names] for row in rows]


@given(sets_with_towns())
@settings(max_examples=examples(100))
def test_without_levels_the_order_is_that_of_a_plan_without_a_front_end(drawn):
    plan, stations = drawn
    silent = with_levels(stations, np.full(len(stations), math.nan))
    bare = Plan(**{name: value for name, value in plan.given().items() if name != "front_end"})
    assert order_of(plan, silent) == order_of(bare, silent)
    assert all(row["margin_db"] is None for row in survey(bare, stations).check_list.rows())


# --- what is not known --------------------------------------------------------------------------


@given(sets_with_towns())
@settings(max_examples=examples(150))
def test_a_station_without_level_has_none_anywhere_and_is_named(drawn):
    plan, stations = drawn
    unknown = [
        name
        for name, dbuv in zip(stations.names, stations.terminal_dbuv(75.0), strict=True)
        if math.isnan(dbuv)
    ]
    result = survey(plan, stations)
    for row in result.ghosts.rows():
        if row["station"] in unknown:
            assert row["heard"] is row["level_dbuv"] is row["ratio_db"] is row["margin_db"] is None
    texts = [text for text in result.assumptions if text.startswith("Level unknown")]
    more = f" and {len(unknown) - MOST_NAMED} more" if len(unknown) > MOST_NAMED else ""
    expected = f"Level unknown, so ranked by order: {', '.join(unknown[:MOST_NAMED])}{more}."
    assert texts == ([expected] if unknown else [])


# --- stretching ---------------------------------------------------------------------------------


@given(sets_with_towns())
@settings(max_examples=examples(100))
def test_higher_orders_lose_no_ghost_and_change_none(drawn):
    plan, stations = drawn
    lower, higher = (ghosts(plan.with_changes(orders=(most, most)), stations) for most in (2, 3))
    assert {key: higher.get(key) for key in lower} == lower


@given(st.data())
@settings(max_examples=examples(200))
def test_a_stronger_station_has_no_larger_margin(data):
    plan = data.draw(sets())
    dial = data.draw(dials(plan))
    stations = data.draw(towns(plan, dial))
    # Only carriers off the channel are raised: on it they would be the wanted one.
    off = 2 * np.abs(stations.frequency_hz - dial) > plan.if_filter.bandwidth_hz
    raised = stations.weakened(np.where(off, -data.draw(rounded(0, 40)), 0.0), plan.front_end.impedance_ohm)
    weaker, stronger = (list(channel(plan, dial, some).responses.rows()) for some in (stations, raised))
    then = {key_of(row): row for row in stronger}
    for row in weaker:
        if len(row["stations"]) == 1 and row["margin_db"] is not None:
            assert_no_larger(row, then[key_of(row)])


def assert_no_larger(row, stronger):
    """Compare a row with that of a stronger station; on a station without level only being masked is known."""
    if stronger["margin_db"] is None:
        assert row["margin_db"] >= 0
        assert row["ratio_db"] is None
    else:
        assert stronger["margin_db"] <= row["margin_db"] + CLOSE_DB


def key_of(row):
    return tuple(row[name] for name in ("oscillator", "mechanism", "m", "n", "e"))


@given(sets_with_towns(), st.none() | rounded(0, 100))
@settings(max_examples=examples(150))
def test_a_new_station_where_a_ghost_was_heard_hides_no_ghost(drawn, dbuv):
    plan, stations = drawn
    before = ghosts(plan, stations)
    free = [row["heard_on_hz"] for row in before.values() if is_heard(row) and row["wanted"] is None]
    assume(free)
    joined = with_one_more(stations, free[0], math.nan if dbuv is None else dbuv)
    after = ghosts(plan, joined)
    assert set(before) <= set(after)
    for key, row in before.items():
        assert after[key]["level_dbuv"] is not None or row["level_dbuv"] is None


def with_one_more(stations, hertz, dbuv):
    return replace(
        stations,
        names=(*stations.names, "New"),
        frequency_hz=np.append(stations.frequency_hz, int(hertz)),
        level_dbuv=np.append(stations.level_dbuv, dbuv),
        erp_kw=np.append(stations.erp_kw, math.nan),
        distance_km=np.append(stations.distance_km, math.nan),
    )


# --- forms --------------------------------------------------------------------------------------


@given(st.data())
@settings(max_examples=examples(60))
def test_results_with_levels_are_strict_json(data):
    plan, stations = data.draw(sets_with_towns())
    trial = Trial(pad_db=data.draw(rounded(0, 20)))
    dial = data.draw(dials(plan))
    for result in (survey(plan, stations, trial=trial), channel(plan, dial, stations, trial=trial)):
        text = json.dumps(result.to_dict(), allow_nan=False)
        assert json.loads(text) == result.to_dict()


@pytest.mark.parametrize("name", ["heard", "changes", "ghosts"])
def test_tables_with_levels_become_frames_of_numbers(name):
    result = survey(kitchen(), TOWN, trial=Trial(pad_db=6.0))
    table, frame = result.table(name), result.to_dataframe(name)
    assert list(frame.columns) == list(table.columns)
    assert len(frame) == len(table) > 0
    for column in ("margin_db", "heard_on_hz"):
        told = [None if value != value else float(value) for value in frame[column].astype("float64")]
        expected = [None if value is None else float(value) for value in table.values(column)]
        assert told == [None if value is None else pytest.approx(value, abs=CLOSE_DB) for value in expected]
