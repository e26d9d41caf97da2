"""Many choices in many towns: one set against the survey and a second model, draws, towns, ranking."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hearing_model import CLOSE_DB, every_ghost, is_known, listed
from hearing_strategies import TOWN, kitchen, sets_with_towns
from hypothesis import given, settings
from hypothesis import strategies as st
from thoroughness import examples

from freqplan import ModelRangeError, Plan, StationList, StationsError, channel, survey, sweep
from freqplan.plan import Conversion, FrontEnd, Mixer
from freqplan.scores import COUNTS, on_harmonics, score
from freqplan.sweep_choices import Choice, Deviation

BY_HAND = ("image", "half-if")


# --- one set in one town ------------------------------------------------------------------------


def carriers(plan, stations):
    return [hz for hz in stations.frequency_hz.tolist() if plan.band.low_hz <= hz <= plan.band.high_hz]


@given(sets_with_towns())
@settings(max_examples=examples(80))
def test_a_score_is_what_a_second_model_hears_station_by_station(drawn):
    plan, stations = drawn
    found = score(plan, stations)
    # Of the model each ghost at each setting; a station counts where it is the one tuned in.
    heard = [one for _, each in every_ghost(plan, listed(plan, stations)) for one in each]
    on_stations = [one for one in heard if one.wanted is not None]
    disturbed = {one.wanted for one in on_stations if one.margin_db < 0}
    assert found.disturbed == len(disturbed)
    margins = [one.margin_db for one in on_stations if is_known(one.margin_db)]
    assert found.margin_db == pytest.approx(min(margins, default=math.nan), abs=CLOSE_DB, nan_ok=True)
    harmonic = {name for name, on in zip(stations.names, on_harmonics(plan, stations), strict=True) if on}
    assert found.affected == len(disturbed | harmonic)
    unknown = {one.wanted for one in on_stations if not is_known(one.margin_db)} - disturbed - harmonic
    assert found.unknown >= len(unknown)


@given(sets_with_towns())
@settings(max_examples=examples(60))
def test_a_score_counts_the_ghosts_of_the_survey(drawn):
    plan, stations = drawn
    found, rows = score(plan, stations), list(survey(plan, stations).ghosts.rows())
    heard = [row for row in rows if row["margin_db"] is not None and row["margin_db"] < 0]
    assert found.ghosts == len(heard)
    counts = tuple(sum(row["mechanism"] == name for row in heard) for name in BY_HAND)
    assert (found.images, found.half_ifs) == counts


@given(sets_with_towns())
@settings(max_examples=examples(60))
def test_stations_on_a_harmonic_are_those_whose_channel_says_so(drawn):
    plan, stations = drawn
    told = [
        plan.band.low_hz <= hz <= plan.band.high_hz
        and any(row["mechanism"] == "if-harmonic" for row in channel(plan, hz, stations).birdies.rows())
        for hz in stations.frequency_hz.tolist()
    ]
    assert on_harmonics(plan, stations).tolist() == told


@given(sets_with_towns())
@settings(max_examples=examples(30))
def test_without_a_front_end_nothing_is_heard_and_what_lands_is_unknown(drawn):
    plan, stations = drawn
    bare = Plan(**plan.given() | {"front_end": None})
    found = score(bare, stations)
    assert (found.disturbed, found.ghosts, found.sums) == (0, 0, 0)
    assert math.isnan(found.margin_db)
    # Whatever lands on a carrier, and whatever is a harmonic of the IF, leaves the station there open.
    landing = [(row["dial_low_hz"], row["dial_high_hz"]) for row in survey(bare, stations).ghosts.rows()]
    met = {hz for hz in carriers(bare, stations) if any(low <= hz <= high for low, high in landing)}
    assert bool(found.unknown + found.affected) >= bool(met)
    assert found.unknown <= len(stations) if met else found.unknown == 0


def test_sums_of_stations_count_where_asked_for():
    alone, with_sums = score(kitchen(), TOWN), score(kitchen(), TOWN, sums=True)
    assert alone.sums == 0
    rows = survey(kitchen(), TOWN).products.rows()
    heard = [row for row in rows if row["margin_db"] is not None and row["margin_db"] < 0]
    assert with_sums.sums == len(heard) > 0
    on = {row["wanted"] for row in survey(kitchen(), TOWN).ghosts.rows() if (row["margin_db"] or 0) < 0}
    assert with_sums.disturbed >= len({row["wanted"] for row in heard} - {None})
    assert with_sums.disturbed >= alone.disturbed >= len(on - {None})


# --- many -----------------------------------------------------------------------------------------

FENS = StationList.from_frequencies(
    [98_000_000, 119_400_000], ["Lower Fen", "Approach"], level_dbuv=[40.0, 100.0]
)
PLAIN = StationList.from_frequencies([90_500_000], ["Plain"], level_dbuv=[50.0])


def open_set(**changed):
    """A set with one circuit and an ideal switch for a mixer: all it hears can be worked out by hand."""
    own = {"circuits_before_mixer": 1, "loaded_q": 30.0, "gain_db": 0.0} | changed
    return Plan(
        band={"low_hz": 87_500_000, "high_hz": 108_000_000},
        conversion=(Conversion(intermediate_hz=10_700_000, tolerance_hz=30_000),),
        front_end=FrontEnd(**own),
        mixer=Mixer(kind="switching", unbalance=0.0),
    )


def rows_of(result, table="choices"):
    return list(result.table(table).rows())


def test_a_strong_station_on_the_image_speaks_for_the_other_side():
    # 98.0 + 2 x 10.7 = 119.4 on the high side; on the low side the image is 76.6, where nobody is.
    result = sweep(
        open_set(),
        intermediates_hz=[10_700_000],
        circuits=[0],
        towns={"Fens": FENS, "Plain": PLAIN},
        goal="quiet",
    )
    low, high = rows_of(result)
    assert (low["oscillator"], low["place"], low["affected"], low["quiet"], low["quiet_towns"]) == (
        "low",
        1,
        0,
        2,
        2,
    )
    assert (high["oscillator"], high["place"], high["affected"], high["quiet"]) == ("high", 2, 1, 1)
    assert (high["worst_town"], high["quiet_towns"], high["images"]) == ("Fens", 1, 1)
    assert result.sections["Which serves all"][0] == (
        "Every town stays quiet with 1 of the choices: 10.7 MHz low, 0 circuits."
    )


def test_circuits_take_the_image_off():
    # One circuit of Q 30 takes 10 lg(1 + (30 x (119.4/98 - 98/119.4))^2) = 21.6 dB off; six of them more than 60 dB.
    result = sweep(
        open_set(), intermediates_hz=[10_700_000], sides=["high"], circuits=[0, 1, 6], towns=[FENS]
    )
    margins = [row["margin_db"] for row in rows_of(result)]
    assert [row["circuits"] for row in rows_of(result)] == [0, 1, 6]
    assert margins == sorted(margins)
    assert [row["affected"] for row in rows_of(result)] == [1, 1, 0]
    assert result.sections["Which serves all"][0].endswith("choices: 10.7 MHz high, 6 circuits.")


def test_equal_choices_share_a_place_and_keep_the_order_asked_for():
    result = sweep(
        open_set(),
        intermediates_hz=[10_700_000, 10_600_000, 10_650_000],
        towns={"Plain": PLAIN},
        goal="quiet",
    )
    rows = rows_of(result)
    assert {row["place"] for row in rows} == {1}
    asked = [10_700_000, 10_700_000, 10_600_000, 10_600_000, 10_650_000, 10_650_000]
    assert [row["intermediate_hz"] for row in rows] == asked


def test_nothing_is_ranked_without_a_goal():
    result = sweep(open_set(), intermediates_hz=[10_700_000], towns={"Fens": FENS})
    assert [row["oscillator"] for row in rows_of(result)] == ["high", "low"]
    assert {row["place"] for row in rows_of(result)} == {None}


def test_a_row_is_what_the_survey_says_of_that_plan():
    base = kitchen()
    result = sweep(
        base, intermediates_hz=[10_650_000, 10_700_000], circuits=[None, 1, 3], towns={"Town": TOWN}
    )
    for choice, row in zip(result.work.choices, rows_of(result, "draws"), strict=True):
        made = choice.made(base, choice.nominal())
        heard = [one["margin_db"] for one in survey(made, TOWN).ghosts.rows() if one["margin_db"] is not None]
        assert row["ghosts"] == sum(margin < 0 for margin in heard)
        assert made.conversion[0].intermediate_hz == row["intermediate_hz"] == row["real_hz"]
        assert made.sides == (row["oscillator"],)
        own = made.front_end
        assert own.circuits_before_rf_stage + own.circuits_before_mixer == row["circuits"]
        assert (own.loaded_q, own.detuning_hz) == (base.front_end.loaded_q, 0)
        assert made.orders.if_harmonic == 25


def test_circuits_before_the_rf_stage_stay_as_far_as_there_are_so_many():
    base = open_set(circuits_before_rf_stage=2, circuits_before_mixer=3)
    split = {}
    for number in (1, 2, 4):
        own = Choice(10_700_000, "high", number).made(base, Deviation(10_700_000, 7_000)).front_end
        split[number] = (own.circuits_before_rf_stage, own.circuits_before_mixer)
        assert own.detuning_hz == 7_000
    assert split == {1: (1, 0), 2: (2, 0), 4: (2, 2)}


# --- draws -----------------------------------------------------------------------------------------


def draws_of(**asked):
    towns = asked.pop("towns", {"Fens": FENS, "Plain": PLAIN})
    return sweep(open_set(), towns=towns, tracking_hz=200_000, **asked)


def by_key(result):
    naming = ("town", "intermediate_hz", "oscillator", "circuits", "draw")
    return {tuple(row[name] for name in naming): row for row in rows_of(result, "draws")}


def test_draws_lie_within_tolerance_and_tracking_and_the_first_is_nominal():
    rows = by_key(draws_of(intermediates_hz=[10_700_000], draws=60)).values()
    for row in rows:
        assert abs(row["real_hz"] - row["intermediate_hz"]) <= 30_000
        assert abs(row["detuning_hz"]) <= 200_000
        if row["draw"] == 0:
            assert (row["real_hz"], row["detuning_hz"]) == (10_700_000, 0)
    drawn = [row["real_hz"] for row in rows if row["draw"]]
    # 236 draws: that a third of the range stays empty has a chance of (2/3)^236.
    assert len(set(drawn)) > 200
    counts, _ = np.histogram(drawn, bins=3, range=(10_670_000, 10_730_000))
    assert counts.min() > 0


def test_draws_do_not_depend_on_what_else_is_asked():
    whole = by_key(draws_of(intermediates_hz=[10_600_000, 10_700_000], circuits=[1, 2], draws=3, seed=5))
    part = by_key(
        draws_of(intermediates_hz=[10_700_000], circuits=[2], draws=2, seed=5, towns={"Plain": PLAIN})
    )
    assert part
    assert {key: whole[key] for key in part} == part
    other = by_key(
        draws_of(intermediates_hz=[10_700_000], circuits=[2], draws=2, seed=6, towns={"Plain": PLAIN})
    )
    assert [row["real_hz"] for row in part.values()] != [row["real_hz"] for row in other.values()]


@given(st.permutations(["Fens", "Plain", "Town"]))
@settings(max_examples=examples(6))
def test_the_order_of_towns_changes_nothing(order):
    towns = {"Fens": FENS, "Plain": PLAIN, "Town": TOWN}
    asked = {"intermediates_hz": [10_700_000, 10_650_000], "draws": 2, "goal": "quiet"}
    usual, turned = (
        draws_of(towns=towns, **asked),
        draws_of(towns={name: towns[name] for name in order}, **asked),
    )
    assert rows_of(usual) == rows_of(turned)
    assert by_key(usual) == by_key(turned)


@given(st.data())
def test_the_choices_table_is_made_of_the_draws(data):
    counts = {"min_value": 0, "max_value": 3}
    result = draws_of(intermediates_hz=[10_700_000], draws=2)
    rows = result.rows.copy()
    for name in COUNTS:
        flat = data.draw(st.lists(st.integers(**counts), min_size=rows.size, max_size=rows.size))
        rows[name] = np.array(flat).reshape(rows.shape)
    drawn = type(result)(result.plan, work=result.work, rows=rows, goal="quiet")
    sets = rows_of(drawn, "draws")
    for row in rows_of(drawn):
        own = [one for one in sets if one["oscillator"] == row["oscillator"]]
        assert row["sets"] == len(own) == 4
        assert row["quiet"] == sum(one["affected"] == 0 for one in own)
        assert row["affected_mean"] == sum(one["affected"] for one in own) / 4
        assert row["quiet_share"] == row["quiet"] / 4
        for name in ("affected", "disturbed", "on_harmonic", "unknown", "ghosts", "images", "half_ifs"):
            assert row[name] == max(one[name] for one in own)
        worst = [one["town"] for one in own if one["affected"] == row["affected"] > 0]
        assert row["worst_town"] == (min(worst) if worst else None)
        loud = {one["town"] for one in own if one["affected"]}
        assert row["quiet_towns"] == 2 - len(loud)
    keys = [(row["affected"], row["unknown"]) for row in rows_of(drawn)]
    assert keys == sorted(keys)
    assert [row["place"] for row in rows_of(drawn)] == [
        1 + sum(other < key for other in keys) for key in keys
    ]


# --- what is refused -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ({"sides": ["up"]}, 'oscillator side "up"'),
        ({"draws": 0}, "0 draws"),
        ({"seed": -1}, "seed -1"),
        ({"goal": "loud"}, 'goal "loud"'),
        ({"circuits": [21]}, "21 circuits"),
        ({"circuits": [2.5]}, "2.5 circuits"),
        ({"tracking_hz": 200_000_000, "draws": 2}, "no choice is possible"),
        ({"tracking_hz": -1}, "tracking -1 Hz"),
        ({"towns": {}}, "no town"),
        ({"intermediates_hz": []}, "nothing to compute"),
        ({"intermediates_hz": [10.5]}, "no whole number of hertz"),
        ({"intermediates_hz": 10_700_000}, r"intermediates_hz 10700000: give a list, such as .10700000."),
        ({"sides": "high"}, "sides 'high': give a list"),
        ({"circuits": 2}, "circuits 2: give a list"),
        ({"intermediates_hz": [10_000]}, "10 kHz high .the tolerance of 30 kHz is larger than the IF."),
        ({"intermediates_hz": [30_000]}, "the tolerance of 30 kHz is as large as the IF"),
        ({"intermediates_hz": [0]}, "intermediate_hz: zero; write a frequency above zero"),
        ({"draws": 600_000}, "1,200,000 sets, more than 1,000,000"),
        ({"intermediates_hz": range(1, 10_000_000)}, "more than 1,000,000 IFs: take a wider step"),
        ({"intermediates_hz": [200_000_000], "sides": ["low"]}, "no choice is possible: 200 MHz low"),
    ],
)
def test_what_cannot_be_swept_is_refused_before_it_starts(asked, words):
    usual = {"intermediates_hz": [10_700_000], "towns": {"Fens": FENS}}
    with pytest.raises(ModelRangeError, match=words):
        sweep(open_set(), **usual | asked)


def test_circuits_need_a_front_end_that_has_some():
    asked = {"intermediates_hz": [10_700_000], "towns": {"Fens": FENS}}
    bare = Plan(**open_set().given() | {"front_end": None})
    with pytest.raises(ModelRangeError, match=r"has no .front_end.: numbers of circuits"):
        sweep(bare, circuits=[2], **asked)
    with pytest.raises(ModelRangeError, match=r"has no .front_end.: a front end that stands off"):
        sweep(bare, tracking_hz=1, **asked)
    with pytest.raises(ModelRangeError, match="need loaded_q"):
        sweep(Plan(**bare.given() | {"front_end": FrontEnd()}), circuits=[2], **asked)
    result = sweep(bare, **asked)
    assert "no level is known" in result.sections["Which serves all"][0]


def test_an_impossible_choice_is_left_out_with_its_reason():
    result = sweep(open_set(), intermediates_hz=[10_700_000, 95_000_000], towns={"Plain": PLAIN})
    assert [choice.in_words for choice in result.work.choices] == [
        "10.7 MHz high",
        "10.7 MHz low",
        "95 MHz high",
    ]
    assert any(
        text.startswith("Left out, for there is no such set: 95 MHz low") for text in result.assumptions
    )


def test_generators_are_taken_and_what_comes_twice_counts_once():
    usual = sweep(
        open_set(), intermediates_hz=[10_700_000], sides=["high"], circuits=[2], towns={"fens": FENS}
    )
    drawn = sweep(
        open_set(),
        intermediates_hz=(10_700_000 for _ in range(3)),
        sides=iter(["high", "high"]),
        circuits=iter([2, 2]),
        towns=(one for one in [StationList("fens.csv", *columns(FENS))]),
        draws=1,
    )
    assert rows_of(drawn) == rows_of(usual)


def test_the_size_is_that_without_what_comes_twice():
    twice = sweep(
        open_set(), intermediates_hz=[10_700_000] * 1_000_001, sides=["high"], towns={"Plain": PLAIN}
    )
    assert len(twice.work) == 1


@pytest.mark.parametrize(
    ("towns", "words"),
    [
        ({"Fens": "fens.csv"}, "towns..Fens..: no station list, found 'fens.csv'"),
        ([FENS, None], "towns.1.: no station list, found None"),
        ("fens.csv", "towns: no towns by name"),
        (FENS, "towns: no towns by name"),
    ],
)
def test_what_is_no_town_is_refused(towns, words):
    with pytest.raises(StationsError, match=words):
        sweep(open_set(), intermediates_hz=[10_700_000], towns=towns)


def test_two_towns_of_one_name_are_refused():
    with pytest.raises(StationsError, match="two towns are called"):
        sweep(
            open_set(),
            intermediates_hz=[10_700_000],
            towns=[StationList("a/fens.csv", *columns(FENS)), StationList("b/fens.csv", *columns(FENS))],
        )


def columns(stations):
    return (stations.names, stations.frequency_hz, stations.level_dbuv, stations.erp_kw, stations.distance_km)
