"""What is heard along the dial and what a pad or trap changes: laws and cases."""

from __future__ import annotations

import numpy as np
import pytest
from hearing_strategies import KEY, TOWN, ghosts, is_heard, kitchen, of_one, rounded, sets_with_towns
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from thoroughness import examples

from freqplan import StationList, survey
from freqplan.changes import Notch, Trial

CLOSE_DB = 1e-6


# --- one row a cause ----------------------------------------------------------------------------


def assert_clusters(plan, stations):
    """Hold `heard` to the ghosts: side by side means a raster apart or less, of one carrier, on one side."""
    result = survey(plan, stations)
    audible = [row for row in result.ghosts.rows() if is_heard(row)]
    found = of_one(result.heard.rows())
    margins = [row["margin_db"] for row in found]
    assert margins == sorted(margins)
    inside = [[row for row in audible if belongs(row, one)] for one in found]
    assert sum(map(len, inside)) == len(audible)
    for one, rows in zip(found, inside, strict=True):
        assert one["margin_db"] == min(row["margin_db"] for row in rows) < 0
        assert set(one["stations"]) == {row["station"] for row in rows}
        assert ends(one) == (min(ends(row)[0] for row in rows), max(ends(row)[1] for row in rows))
        assert_unbroken(plan, rows)
    assert_apart(plan, found)
    return found, inside


def ends(row):
    return row["heard_low_hz"], row["heard_high_hz"]


def carrier(row):
    return row["oscillator"], row["station_hz"]


def belongs(row, one):
    return carrier(row) == carrier(one) and one["heard_low_hz"] <= ends(row)[0] <= one["heard_high_hz"]


def assert_unbroken(plan, rows):
    """From the lowest to the highest no gap is wider than a raster."""
    top = min(row["heard_low_hz"] for row in rows)
    for low, high in sorted(map(ends, rows)):
        assert low <= top + plan.band.raster_hz
        top = max(top, high)


def assert_apart(plan, found):
    """Two causes of one carrier are farther apart than a raster."""
    for one in found:
        for other in found:
            if carrier(one) == carrier(other) and one["heard_low_hz"] < other["heard_low_hz"]:
                assert other["heard_low_hz"] > one["heard_high_hz"] + plan.band.raster_hz


@given(sets_with_towns())
@settings(max_examples=examples(150))
def test_ghosts_side_by_side_are_one_cause(drawn):
    assert_clusters(*drawn)


def test_each_cause_of_a_town_is_one_row():
    found, _ = assert_clusters(kitchen(), TOWN)
    assert {row["heard"] for row in found} == {"ghost", "whistle", "noise"}
    told = [(row["mechanism"], row["heard_on_hz"], row["stations"]) for row in found]
    assert told[0] == ("half-if", 95_850_000, ("Strong",))
    assert ("image", 95_850_000, ("Aero",)) in told


def test_the_fan_of_a_strong_station_closes_into_one_row():
    fan = {(n, n): 60 for n in range(2, 16)}
    found, inside = assert_clusters(
        kitchen(15, fan), StationList.from_frequencies([101_200_000], level_dbuv=[115])
    )
    assert len(found) < sum(map(len, inside))
    joined = max(inside, key=len)
    assert len(joined) > 5
    assert {row["m"] for row in joined} >= {12, 13, 14, 15}


# --- a pad, a trap ------------------------------------------------------------------------------


def by_ratio(plan, row):
    """The margin against the wanted station alone, for rows that noise does not mask."""
    if plan.band.modulation == "am":
        tone = None if row["ratio_db"] is None else -40 - row["ratio_db"]
    else:
        tone = None if row["loudness_db"] is None else -60 - row["loudness_db"]
    return min((one for one in (tone, row["protection_margin_db"]) if one is not None), default=None)


def follows_ratio(plan, row):
    margin = by_ratio(plan, row)
    return row["margin_db"] is not None and margin == pytest.approx(row["margin_db"], abs=CLOSE_DB)


def pad_law(plan, before, after, pad_db):
    """By how much the margin must grow, at least and at most; None where noise or another setting decides."""
    if before["margin_db"] is None or before["heard_on_hz"] != after["heard_on_hz"]:
        return None
    fallen, least = before["level_dbuv"] - after["level_dbuv"], (before["m"] - 1) * pad_db
    # At its ceiling a product falls by less than the law has it.
    if fallen != pytest.approx(before["m"] * pad_db, abs=CLOSE_DB) or before["wanted"] != after["wanted"]:
        return None
    if before["wanted"] is None:
        # The noise stays, a neighbour beside falls with the pad.
        return least, least + pad_db
    same_tone = (before["loudness_db"] is None) == (after["loudness_db"] is None)
    if same_tone and follows_ratio(plan, before) and follows_ratio(plan, after):
        return least, least
    return None


def assert_pad(plan, stations, pad_db):
    padded = ghosts(plan, stations.weakened(np.full(len(stations), pad_db), plan.front_end.impedance_ohm))
    held = []
    for key, before in ghosts(plan, stations).items():
        law = pad_law(plan, before, padded[key], pad_db)
        if law is not None:
            grown = padded[key]["margin_db"] - before["margin_db"]
            assert law[0] - CLOSE_DB <= grown <= law[1] + CLOSE_DB, before
            held.append((before["wanted"] is None, before["m"]))
    return held


@given(sets_with_towns(), rounded(0, 30))
@settings(max_examples=examples(150))
def test_a_pad_raises_margins_by_the_level_law(drawn, pad_db):
    assert_pad(*drawn, pad_db)


def test_the_level_law_of_a_pad_in_a_town():
    held = assert_pad(kitchen(), TOWN, 3.0)
    assert {(True, 2), (False, 1), (False, 2)} <= set(held)


def taken_off(plan, trial, hertz):
    near = [one for one in trial.notches if 2 * abs(hertz - one.frequency_hz) <= plan.if_filter.bandwidth_hz]
    return trial.pad_db + sum(one.depth_db for one in near)


@st.composite
def trials(draw, stations):
    spots = st.sampled_from(stations.frequency_hz.tolist())
    beside = st.sampled_from([0, 1, -1, 40_000, -90_000, 150_000])
    notches = draw(
        st.lists(st.builds(Notch, st.builds(int.__add__, spots, beside), rounded(1, 40)), max_size=2)
    )
    return Trial(pad_db=draw(st.just(0.0) | rounded(0, 20)), notches=tuple(notches))


def fallen(before, after):
    """By how much the level of a product falls at one setting: less than by the law where it stood at its ceiling."""
    levels = before["level_dbuv"], after["level_dbuv"]
    if None in levels or before["heard_on_hz"] != after["heard_on_hz"]:
        return None
    return levels[0] - levels[1]


@given(st.data())
@settings(max_examples=examples(100))
def test_a_change_is_what_the_wanted_station_loses_less_the_law_times_what_the_other_loses(data):
    plan, stations = data.draw(sets_with_towns())
    trial = data.draw(trials(stations))
    assume(trial)
    hertz = dict(zip(stations.names, stations.frequency_hz.tolist(), strict=True))
    loss = {name: taken_off(plan, trial, hertz[name]) for name in stations.names}
    after = ghosts(
        plan,
        stations.weakened(np.array([loss[name] for name in stations.names]), plan.front_end.impedance_ohm),
    )
    before = ghosts(plan, stations)
    rows = [
        row
        for row in of_one(survey(plan, stations, trial=trial).changes.rows())
        if row["station"] is not None
    ]
    for row in rows:
        key = tuple(row[name] for name in KEY)
        own = 0.0 if row["wanted"] is None else loss[row["wanted"]]
        away = (
            0
            if row["wanted"] is None or row["heard_on_hz"] is None
            else abs(hertz[row["wanted"]] - row["heard_on_hz"])
        )
        assert away <= 5 * plan.if_filter.bandwidth_hz
        assert own or loss[row["station"]]
        # Two traps on one station are taken off in another order: the last bit may differ.
        for name, there in (("margin_db", before), ("margin_after_db", after)):
            assert row[name] == (there[key]["margin_db"] and pytest.approx(there[key]["margin_db"], abs=1e-9))
        if row["m"] is not None:
            law = own - row["m"] * loss[row["station"]]
            real = fallen(before[key], after[key])
            assert row["change_db"] == pytest.approx(law if real is None else own - real, abs=CLOSE_DB)
            assert law - CLOSE_DB <= row["change_db"]
    told = {tuple(row[name] for name in KEY) for row in rows}
    untold = [row for key, row in before.items() if key not in told]
    assert all(not loss[row["station"]] and not loss.get(row["wanted"], 0) for row in untold)
