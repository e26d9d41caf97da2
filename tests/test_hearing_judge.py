"""What is heard, against a second model that goes station by station and setting by setting."""

from __future__ import annotations

import math

import pytest
from hearing_model import CLOSE_DB, against_dbuv, every_ghost, hear, is_known, listed, rejection_db
from hearing_strategies import sets, sets_with_towns, towns
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import dials
from test_brute_force import answering, families, off_if, sides_of, window
from thoroughness import examples

from freqplan import channel, survey

LEVELS = ("level_dbuv", "rejection_db", "ratio_db", "loudness_db", "protection_margin_db", "margin_db")


@st.composite
def dialled(draw):
    plan = draw(sets())
    dial = draw(dials(plan))
    return plan, draw(towns(plan, dial)), dial


def same(found, expected):
    if found is None or not is_known(expected):
        return found is None and not is_known(expected)
    return found == pytest.approx(expected, abs=CLOSE_DB)


def assert_row(row, expected, *, levels=LEVELS):
    """Hold one row of the program to what the model says of the same setting."""
    told = {name: (row[name], getattr(expected, name)) for name in levels}
    wrong = {name: pair for name, pair in told.items() if not same(*pair)}
    assert (wrong, row["pitch_hz"], row["heard"]) == ({}, expected.pitch_hz, expected.heard), (row, expected)


def least(found):
    """The least margin where it is heard; else unknown if one setting is unknown, for it may be heard there."""
    known = [one.margin_db for one in found if is_known(one.margin_db)]
    margin = min(known, default=math.nan)
    return margin if len(known) == len(found) or margin < 0 else math.nan


def best_of(found, margin_db):
    """The settings on which it is heard best; where that is unknown, those nearest to the middle of the IF."""
    if is_known(margin_db):
        return [one for one in found if is_known(one.margin_db) and one.margin_db <= margin_db + CLOSE_DB]
    unknown = [one for one in found if not is_known(one.margin_db)]
    nearest = min(abs(one.offset) for one in unknown)
    return [one for one in unknown if abs(one.offset) == nearest]


# --- over the whole dial ------------------------------------------------------------------------


def assert_ghost(row, found):
    margin = least(found)
    assert same(row["margin_db"], margin), (row, found)
    here = [one for one in best_of(found, margin) if one.setting == row["heard_on_hz"]]
    assert here, (row, found)
    assert_row(row, here[0])
    assert row["wanted"] == here[0].wanted
    heard = [one.setting for one in found if one.margin_db < 0]
    assert (row["heard_low_hz"], row["heard_high_hz"]) == (min(heard, default=None), max(heard, default=None))


@given(sets_with_towns())
@settings(max_examples=examples(300))
def test_ghosts_are_heard_as_station_by_station(drawn):
    plan, stations = drawn
    expected = dict(every_ghost(plan, listed(plan, stations)))
    rows = [row for row in survey(plan, stations).ghosts.rows() if row["m"] is not None]
    keys = [tuple(row[name] for name in ("oscillator", "m", "n", "e", "station")) for row in rows]
    assert sorted(keys) == sorted(expected)
    for key, row in zip(keys, rows, strict=True):
        assert_ghost(row, expected[key])


# --- one place of the dial ----------------------------------------------------------------------


def here(plan, stations, side, product, dial):
    """What the model says of every station inside the window of a product."""
    intermediate = plan.conversion[0].intermediate_hz
    return [
        hear(plan, stations, side, product, one, dial)
        for one in stations
        if abs(off_if(side, *product, dial, one.hertz, intermediate)) <= window(plan, product[0])
    ]


@given(dialled())
@settings(max_examples=examples(300))
def test_a_channel_is_heard_as_station_by_station(drawn):
    plan, stations, dial = drawn
    rows = {
        (row["oscillator"], row["m"], row["n"], row["e"]): row
        for row in channel(plan, dial, stations).responses.rows()
        if row["m"] is not None
    }
    told = listed(plan, stations)
    for side in sides_of(plan):
        for product in families(plan, side):
            row = rows.get((side, *product))
            if row is not None:
                assert_here(plan, told, row, here(plan, told, side, product, dial), dial)


def assert_here(plan, stations, row, found, dial):
    m, n, e, side = row["m"], row["n"], row["e"], row["oscillator"]
    signal = answering(side, m, n, e, dial, plan.conversion[0].intermediate_hz)
    usual = against_dbuv(plan, stations, dial)
    assert same(row["rejection_db"], rejection_db(plan, m, n, float(signal), dial, usual))
    if not found:
        assert row["margin_db"] is row["heard"] is row["level_dbuv"] is None
        return
    margin = least(found)
    assert same(row["margin_db"], margin), (row, found)
    levels = [name for name in LEVELS if name != "rejection_db"]
    errors = []
    for one in best_of(found, margin):
        try:
            return assert_row(row, one, levels=levels)
        except AssertionError as error:
            errors.append(error)
    raise errors[0]
