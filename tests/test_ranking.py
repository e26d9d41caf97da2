"""Ranking by weights: scales that no rival shifts, sums that add up, orders that no scaling upsets."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise
from math import log

import pytest
from commandline import DEMO
from hypothesis import assume, given
from hypothesis import strategies as st
from strategies import plans

from freqplan import (
    Band,
    Conversion,
    FrontEnd,
    Plan,
    StationList,
    WeightsError,
    compare,
    load_plan,
)
from freqplan.ranking import checked_weights, ranking
from freqplan.terms import FULL_DB, TERM_NAMES, TERMS, WIDEST_TUNING

LAST_DECIMAL = 1e-6
BY_LEVEL = {"rejection", "heard", "worst"}
FM = Plan(
    band=Band(low_hz=87_500_000, high_hz=108_000_000),
    conversion=(Conversion(intermediate_hz=10_700_000, oscillator="high"),),
)
THREE_IFS = [8_300_000, 21_400_000]
STATIONS = StationList.from_frequencies([90_500_000, 101_200_000, 104_600_000], level_dbuv=[60.0, 95.0, 80.0])
PANTRY = load_plan(DEMO / "pantry.toml")
EVERY = compare(PANTRY, THREE_IFS, STATIONS, dict.fromkeys(TERM_NAMES, 1))

weights_of_ranges = st.dictionaries(
    st.sampled_from([name for name in TERM_NAMES if name not in BY_LEVEL]),
    st.fractions(0, 1000, max_denominator=1000),
    min_size=1,
).filter(lambda weights: any(weights.values()))
weights_of_all = st.dictionaries(
    st.sampled_from(TERM_NAMES), st.fractions(0, 1000, max_denominator=1000), min_size=1
).filter(lambda weights: any(weights.values()))


def named(row):
    return row["intermediate_hz"], row["oscillator"]


def order_of(result):
    return [(row["place"], *named(row)) for row in result.rows()]


def shares(result):
    """Return the share of every term by choice: what each adds with weights of one."""
    return {
        named(row): {term.name: row[term.column] for term in TERMS if row[term.column] is not None}
        for row in result.ranking.rows()
    }


def ranked(weights, rows=None, plan=PANTRY):
    every = list(EVERY.plans.rows()) if rows is None else rows
    return ranking(plan, every, {name: Fraction(value) for name, value in weights.items()}, listed=3)


# --- scales -----------------------------------------------------------------------------------------


def test_shares_of_an_fm_set_by_hand():
    # Exact from the ranges of 87.5-108 with IF 10.7 and 8.3: dial 20.5 wide, 108-137 aeronautical.
    names = [name for name in TERM_NAMES if name not in BY_LEVEL]
    found = shares(compare(FM, [8_300_000], None, dict.fromkeys(names, 1)))
    high, low, near = found[10_700_000, "high"], found[10_700_000, "low"], found[8_300_000, "high"]
    assert (high["image-in-band"], low["image-in-band"]) == (0, 0)
    assert near["image-in-band"] == pytest.approx(3.9 / 20.5)
    assert high["image-on-safety"] == 1
    assert near["image-on-safety"] == pytest.approx(16.6 / 20.5)
    assert high["half-if-in-band"] == low["half-if-in-band"] == pytest.approx(15.15 / 20.5)
    assert high["fractional-if-in-band"] == pytest.approx((100 + 26 / 30 - 87.5) / 20.5)
    assert (high["if-harmonics"], near["if-harmonics"]) == (2 / 5, 3 / 5)
    assert high["oscillator-in-band"] == pytest.approx(9.8 / 20.5)
    assert (high["oscillator-on-safety"], low["oscillator-on-safety"]) == (pytest.approx(10.7 / 20.5), 0)
    assert high["capacitance-ratio"] == pytest.approx(2 * log(118.7 / 98.2) / log(15), abs=LAST_DECIMAL)
    assert high["if-in-band"] == 0


def test_shares_of_levels_by_hand():
    found = shares(EVERY)
    for row in EVERY.plans.rows():
        share = found[named(row)]
        lacking = (row["needed_rejection_db"] - row["image_rejection_db"]) / FULL_DB
        assert share["rejection"] == pytest.approx(min(max(lacking, 0), 1), abs=LAST_DECIMAL)
        count = row["heard_ghosts"] + row["heard_whistles"] + row["heard_noise"]
        assert share["heard"] == pytest.approx(min(count / len(STATIONS), 1))
        worst = min(-(row["worst_margin_db"] or 0) / FULL_DB, 1)
        assert share["worst"] == pytest.approx(worst, abs=LAST_DECIMAL)
    assert len({share["worst"] for share in found.values()}) > 1


def test_an_if_inside_the_band_counts_in_full():
    medium_wave = Plan(
        band=Band(low_hz=526_500, high_hz=1_606_500),
        conversion=(Conversion(intermediate_hz=455_000, oscillator="high"),),
    )
    found = shares(compare(medium_wave, [1_000_000], None, {"if-in-band": 1, "capacitance-ratio": 1}))
    assert found[455_000, "high"]["if-in-band"] == 0
    assert found[1_000_000, "high"]["if-in-band"] == 1
    # 71.5-1151.5 kHz asks for more than any tuning capacitor gives.
    assert WIDEST_TUNING < (1151.5 / 71.5) ** 2
    assert found[455_000, "low"]["capacitance-ratio"] == 1


@given(plans(sides=("high",)))
def test_every_share_lies_between_0_and_1(plan):
    names = [name for name in TERM_NAMES if name not in BY_LEVEL]
    for share in shares(compare(plan, (), None, dict.fromkeys(names, 1))).values():
        assert set(share) == set(names)
        assert all(0 <= value <= 1 for value in share.values())


@given(weights_of_ranges, st.sampled_from([8_300_000, 9_000_000, 12_000_000, 45_000_000, 130_000_000]))
def test_another_choice_changes_nobodys_score(weights, further):
    alone = compare(FM, [8_300_000], None, weights).ranking.rows()
    among = {
        named(row): row["score"] for row in compare(FM, [8_300_000, further], None, weights).ranking.rows()
    }
    assert all(among[named(row)] == row["score"] for row in alone)


# --- sums and orders -----------------------------------------------------------------------------------


@given(weights_of_all)
def test_what_terms_add_makes_the_score_and_less_is_better(weights):
    full = shares(EVERY)
    rows = list(ranked(weights).rows())
    assert {named(row) for row in rows} == set(full)
    for row in rows:
        added = {term.name: row[term.column] for term in TERMS if row[term.column] is not None}
        assert set(added) == set(weights)
        assert row["score"] == pytest.approx(sum(added.values()))
        for name, value in added.items():
            assert value == pytest.approx(float(weights[name]) * full[named(row)][name])
    assert all(one["score"] <= other["score"] for one, other in pairwise(rows))


@given(weights_of_all, st.fractions(Fraction(1, 1000), 1000))
def test_scaling_all_weights_changes_no_order(weights, factor):
    assume(factor)
    scaled = {name: weight * factor for name, weight in weights.items()}
    assert order_of(ranked(scaled)) == order_of(ranked(weights))


@given(weights_of_all)
def test_a_dominated_choice_is_never_before_the_better_one(weights):
    full, place = shares(EVERY), {named(row): row["place"] for row in ranked(weights).rows()}
    for better, good in full.items():
        for worse, bad in full.items():
            no_worse = [name for name in weights if weights[name] and good[name] <= bad[name]]
            strictly = [name for name in no_worse if good[name] < bad[name]]
            if len(no_worse) == sum(map(bool, weights.values())):
                assert place[better] <= place[worse]
                assert not strictly or place[better] < place[worse]


@given(weights_of_all, st.randoms(use_true_random=False))
def test_the_order_of_the_choices_has_no_say(weights, random):
    rows = list(EVERY.plans.rows())
    before = {named(row): (row["place"], row["score"]) for row in ranked(weights).rows()}
    random.shuffle(rows)
    assert {named(row): (row["place"], row["score"]) for row in ranked(weights, rows).rows()} == before


def test_ties_stay_ties():
    result = compare(FM, [21_400_000], None, {"half-if-in-band": 0.1, "if-harmonics": 0.3})
    places = {named(row): row["place"] for row in result.ranking.rows()}
    # Half-IF and harmonics of the IF are the same on either side.
    assert places == {
        (21_400_000, "high"): 1, (21_400_000, "low"): 1, (10_700_000, "high"): 3, (10_700_000, "low"): 3,
    }  # fmt: skip


# --- without an answer, without weights ------------------------------------------------------------------


def test_an_unknown_rejection_counts_in_full_and_is_told(tmp_path):
    # The sweep ends below the image of the high side, so that one is unknown; that of the low side is known.
    sweep = tmp_path / "sweep.csv"
    points = "".join(f"{hertz},{min(0, hertz - 87)}\n" for hertz in range(60, 110))
    sweep.write_text(f"frequency_mhz,db\n{points}")
    front_end = FrontEnd(response=str(sweep))
    result = compare(FM.model_copy(update={"front_end": front_end}), (), None, {"rejection": 2})
    rows = {row["oscillator"]: row for row in result.ranking.rows()}
    given_db = {row["oscillator"]: row["image_rejection_db"] for row in result.plans.rows()}
    assert given_db["high"] is None
    assert given_db["low"] is not None
    assert rows["high"]["score"] == 2
    assert rows["low"]["score"] < 2
    assert any("unknown with high 10.70 MHz:" in text for text in result.assumptions)


def test_a_side_that_is_not_possible_is_not_ranked():
    short_wave = Plan(
        band=Band(low_hz=1_600_000, high_hz=30_000_000),
        conversion=(Conversion(intermediate_hz=45_000_000, oscillator="high"),),
    )
    result = compare(short_wave, (), None, {"image-in-band": 1, "oscillator-on-safety": 1})
    assert sorted(row["oscillator"] for row in result.ranking.rows()) == ["high", "sum"]
    assert len(result.plans) == 3


def test_without_weights_nothing_is_ranked():
    for weights in (None, {}):
        result = compare(FM, (), None, weights)
        assert "ranking" not in result.to_dict()
        assert "ranking" not in result.names
        assert len(result.ranking) == 0


def test_terms_without_a_weight_add_nothing_and_are_not_shown():
    row = compare(FM, (), None, {"if-harmonics": 1}).to_dict()["ranking"][0]
    assert [name for name, value in row.items() if name.startswith("term_") and value is not None] == [
        "term_if_harmonics"
    ]


# --- weights that cannot be used ------------------------------------------------------------------------


@pytest.mark.parametrize("weight", [-1, float("nan"), float("inf"), 10**7, "2", None, True])
def test_what_is_no_weight_is_refused(weight):
    with pytest.raises(WeightsError, match="not a weight"):
        compare(FM, (), None, {"if-harmonics": weight})


def test_every_fault_is_told_at_once():
    with pytest.raises(WeightsError) as caught:
        compare(FM, (), None, {"oscilator-in-band": 1, "rejection": -1, "heard": 1})
    text = str(caught.value)
    assert "nearest: oscillator-in-band" in text
    assert "weight rejection: not a weight" in text
    assert "weight rejection: needs levels" in text
    assert "weight heard: needs a station list" in text
    assert len(caught.value.faults) == len(text.splitlines()) == 5


@pytest.mark.parametrize("name", TERM_NAMES)
def test_a_misspelt_term_is_told_the_nearest(name):
    with pytest.raises(WeightsError, match=f"nearest: {name}$"):
        compare(FM, (), None, {f"{name}s": 1})


def test_a_tenth_is_a_tenth():
    assert checked_weights({"if-harmonics": 0.1}, FM, None) == {"if-harmonics": Fraction(1, 10)}
