"""Which sums of stations are heard: against a second model, and the search for the strong ones against all of them."""

from __future__ import annotations

from collections import Counter

import pytest
from hearing_model import listed
from hypothesis import given, settings
from hypothesis import strategies as st
from product_model import hear, landings, named
from product_model import settings as settings_of
from product_strategies import amplified_with_towns, sweeps
from strategies import dials
from test_hearing_judge import assert_row, best_of, least, same
from thoroughness import examples

from freqplan import channel, levels, products, survey
from freqplan.preselectors import Preselector

LEVELS = ("level_dbuv", "ratio_db", "loudness_db", "protection_margin_db", "margin_db")
OUTSIDE = "third-order-outside"


def keyed(table):
    """Rows made in the set; those of entries that are alike share a key."""
    found = {}
    for row in table.rows():
        if row["mechanism"] != OUTSIDE:
            key = (
                row["oscillator"],
                row["kind"],
                row["n"],
                row["e"],
                named(row["kind"], row["stations"], row["stations_hz"]),
            )
            found.setdefault(key, []).append(row)
    return found


def expected(plan, stations, dial=None):
    told, found = listed(plan, stations), {}
    for one, side, n, e in landings(plan, stations.frequency_hz.tolist(), dial):
        names = [told[i].name for i in one.places]
        key = (side, one.kind, n, e, named(one.kind, names, [told[i].hertz for i in one.places]))
        places = [dial] if dial is not None else settings_of(plan, told, one, side, n, e)
        found[key] = [hear(plan, told, one, side, n, e, hz) for hz in places]
    return found


# --- a second model -----------------------------------------------------------------------------


@given(amplified_with_towns(most=6))
@settings(max_examples=examples(40))
def test_sums_are_heard_as_one_by_one(drawn):
    plan, stations = drawn
    told = expected(plan, stations)
    rows = keyed(survey(plan, stations, every_product=True).products)
    assert rows.keys() == told.keys()
    for key, found in told.items():
        (row,) = rows[key]
        margin = least(found)
        assert same(row["margin_db"], margin), (row, found)
        here = [one for one in best_of(found, margin) if one.setting == row["heard_on_hz"]]
        assert here, (row, found)
        assert_row(row, here[0], levels=LEVELS)
        heard = [one.setting for one in found if one.margin_db < 0]
        assert (row["heard_low_hz"], row["heard_high_hz"]) == (
            min(heard, default=None),
            max(heard, default=None),
        )


@given(st.data())
@settings(max_examples=examples(40))
def test_sums_on_a_channel_are_heard_as_one_by_one(data):
    plan, stations = data.draw(amplified_with_towns(most=6))
    inside = [hz for hz in stations.frequency_hz.tolist() if plan.band.low_hz <= hz <= plan.band.high_hz]
    dial = data.draw(dials(plan) | st.sampled_from(inside or [plan.band.low_hz]))
    told = expected(plan, stations, dial)
    rows = keyed(channel(plan, dial, stations, every_product=True).products)
    assert told.keys() <= rows.keys()
    for key, (found,) in told.items():
        (row,) = rows[key]
        assert_row(row, found, levels=LEVELS)
        assert row["wanted"] == found.wanted
    for key in rows.keys() - told.keys():
        # Farther off than half the filter only what is heard, or may be.
        (row,) = rows[key]
        assert row["reach"] == "bursts-only"
        assert row["margin_db"] is None or row["margin_db"] < 0


# --- the search for strong ones -----------------------------------------------------------------


def heard_rows(table):
    """What is heard by its level, row by row with all its columns."""
    return Counter(
        tuple(row.items()) for row in table.rows() if row["margin_db"] is not None and row["margin_db"] < 0
    )


def named_row(row):
    return tuple(row[name] for name in products.COLUMNS if name not in products.HEARD_COLUMNS)


def all_and_pruned(ask):
    """The same question with every product listed, and with the search for those that matter."""
    every = ask(True)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(products, "MOST_LISTED", 0)
        pruned = ask(False)
        for result in (every, pruned):
            assert result.products is not None  # tables are computed when they are asked for
        return every, pruned


def assert_nothing_heard_is_left_out(plan, stations):
    every, pruned = all_and_pruned(lambda whole: survey(plan, stations, every_product=whole))
    assert heard_rows(pruned.products) == heard_rows(every.products)
    assert pruned.heading["products_total"] == every.heading["products_total"]
    # What else is listed is among all of them, each once.
    assert not Counter(map(named_row, pruned.products.rows())) - Counter(
        map(named_row, every.products.rows())
    )
    return every, pruned


@given(amplified_with_towns(most=9))
@settings(max_examples=examples(40))
def test_nothing_that_is_heard_is_left_out(drawn):
    assert_nothing_heard_is_left_out(*drawn)


@given(st.data())
@settings(max_examples=examples(40))
def test_nothing_that_is_heard_on_a_channel_is_left_out(data):
    plan, stations = data.draw(amplified_with_towns(most=9))
    inside = [hz for hz in stations.frequency_hz.tolist() if plan.band.low_hz <= hz <= plan.band.high_hz]
    dial = data.draw(dials(plan) | st.sampled_from(inside or [plan.band.low_hz]))
    every, pruned = all_and_pruned(lambda whole: channel(plan, dial, stations, every_product=whole))
    assert heard_rows(pruned.products) == heard_rows(every.products)
    assert pruned.heading["products_total"] == every.heading["products_total"]


@given(amplified_with_towns(most=9), st.data())
@settings(max_examples=examples(40))
def test_nothing_that_is_heard_behind_a_measured_response_is_left_out(drawn, data):
    plan, stations = drawn
    own = plan.front_end.model_copy(update={"response_dial_hz": data.draw(st.none() | dials(plan))})
    selectivity = Preselector(own, data.draw(sweeps(plan)))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(levels, "preselector", lambda _: selectivity)
        assert_nothing_heard_is_left_out(plan, stations)
