"""Sums of stations on the card, in what is heard, and with a pad or a trap."""

from __future__ import annotations

from collections import Counter

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from product_model import TAKEN
from product_strategies import amplified_with_towns
from thoroughness import examples

from freqplan import Band, Conversion, FrontEnd, Mixer, Notch, Plan, RfStage, StationList, Trial, survey
from freqplan.plan import Suppression
from freqplan.product_lines import MOST_SPOTS

SUMS = {"third-order", "second-order", "pair-half-if", "if-spaced-pair"}
A, B, C = 98_900_000, 100_700_000, 95_200_000
PAIR = StationList.from_frequencies([A, B], ["Ada", "Bo"], level_dbuv=[95.0, 95.0])


def bare(**more):
    return Plan(
        band=Band(low_hz=87_500_000, high_hz=108_000_000),
        conversion=(Conversion(intermediate_hz=10_700_000, oscillator="high"),),
        **more,
    )


def overdriven():
    """A set whose RF stage and mixer both make sums."""
    return bare(
        front_end=FrontEnd(circuits_before_rf_stage=1, circuits_before_mixer=1, loaded_q=18.0, gain_db=20.0),
        mixer=Mixer(kind="measured", reference_dbm=-30.0, suppression=(Suppression(m=2, n=2, db=55.0),)),
        rf_stage=RfStage(iip2_dbm=20.0, iip3_dbm=-5.0),
    )


def lines(plan, stations):
    return [row for row in survey(plan, stations).check_list.rows() if row["mechanism"] in SUMS]


# --- the card -----------------------------------------------------------------------------------


def test_the_card_of_two_stations_names_both_sums():
    told = {
        row["frequency_hz"]: row
        for row in lines(bare(), StationList.from_frequencies([A, B]))
        if row["mechanism"] == "third-order"
    }
    assert told.keys() == {97_100_000, 102_500_000}
    assert told[97_100_000]["stations"] == ("98.9 MHz", "100.7 MHz")
    assert "2 × 98.90 − 100.70 = 97.10" in told[97_100_000]["why"]
    assert "30 dB" in told[97_100_000]["what_to_do"]
    assert all(row["kind"] == "dial" and row["dial_hz"] == row["frequency_hz"] for row in told.values())


def test_the_card_of_eighty_stations_tells_their_sums_in_one_line_a_kind():
    raster = np.arange(87_500_000, 108_000_001, 100_000)
    hertz = np.random.default_rng(1).choice(raster, 80, replace=False).tolist()
    found = lines(bare(), StationList.from_frequencies(hertz))
    count = Counter(row["mechanism"] for row in found)
    # Of a range each pair an IF apart has its line: there it matters who they are.
    apart = sum(abs(abs(a - b) - 10_700_000) <= 90_000 for i, a in enumerate(hertz) for b in hertz[:i])
    assert count == {"third-order": 2, "pair-half-if": 1, "if-spaced-pair": apart}
    line, image = (row for row in found if row["mechanism"] == "third-order")
    assert (line["frequency_hz"], line["low_hz"], line["high_hz"]) == (None, 87_500_000, 108_000_000)
    assert "206 settings" in line["why"]  # every channel of the band
    assert "the image" in image["why"]
    assert line["stations"] == image["stations"] == ()


@pytest.mark.parametrize("extra", [0, 1])
def test_few_spots_get_a_line_each_and_more_are_told_in_one(extra):
    # Stations far apart on either end, whose 2A - B lie outside the band: only those of the low ones among each other.
    hertz = [90_000_000 + 10_000 * 3**k for k in range(5)]
    rows = [
        row
        for row in survey(bare(), StationList.from_frequencies(hertz)).products.rows()
        if row["mechanism"] == "third-order"
    ]
    spots = {row["dial_hz"] for row in rows}
    assert len(spots) > MOST_SPOTS
    told = [
        row
        for row in lines(bare(), StationList.from_frequencies(hertz[: 2 + 3 * extra]))
        if row["mechanism"] == "third-order"
    ]
    # 2A - B in one line, and A + B - C in another.
    assert len(told) == 2
    assert all((row["low_hz"] is None) == (not extra) for row in told)


def test_what_is_heard_on_one_setting_is_one_line():
    # 2 x 98.9 - 100.7 = 97.1 and 98.9 + 95.3 - 97.1 = 97.1 and 2 x 97.2 - 97.3 = 97.1.
    hertz = [A, B, 95_300_000, 97_200_000, 97_300_000]
    town = StationList.from_frequencies(hertz, level_dbuv=[95.0, 95.0, 90.0, 92.0, 91.0])
    result = survey(overdriven(), town)
    heard = [row for row in result.products.rows() if (row["margin_db"] or 0) < 0]
    settings_heard = {row["heard_on_hz"] for row in heard}
    told = [row for row in result.check_list.rows() if row["mechanism"] in SUMS and row["heard"]]
    assert len(told) == len(settings_heard) < len(heard)
    assert {row["dial_hz"] for row in told} == settings_heard
    worst = {hz: min(row["margin_db"] for row in heard if row["heard_on_hz"] == hz) for hz in settings_heard}
    assert {row["dial_hz"]: row["margin_db"] for row in told} == worst


@given(amplified_with_towns(most=7))
@settings(max_examples=examples(40))
def test_what_is_heard_tells_each_setting_once_and_the_worst_there(drawn):
    plan, stations = drawn
    result = survey(plan, stations)
    told = [row for row in result.heard.rows() if row["mechanism"] in SUMS]
    heard = [row for row in result.products.rows() if (row["margin_db"] or 0) < 0]
    worst: dict[object, float] = {}
    for row in heard:
        place = (row["oscillator"], row["heard_on_hz"])
        worst[place] = min(worst.get(place, 0.0), row["margin_db"])
    assert {(row["oscillator"], row["heard_on_hz"]): row["margin_db"] for row in told} == worst
    assert len(told) == len(worst)
    assert "third-order-outside" not in {row["mechanism"] for row in told}


# --- a pad or a trap ----------------------------------------------------------------------------


def changed(trial, plan=None, stations=PAIR):
    rows = survey(plan or overdriven(), stations, trial=trial).changes.rows()
    return {(row["mechanism"], row["station"], row["n"]): row for row in rows if row["mechanism"] in SUMS}


def test_a_pad_takes_its_decibels_off_as_often_as_there_are_signals():
    found = changed(Trial(pad_db=10.0))
    assert {name: row["change_db"] for name, row in found.items()} == {
        ("third-order", "Bo, Ada", 1): -30.0,
        ("third-order", "Ada, Bo", 1): -30.0,
        ("pair-half-if", "Ada, Bo", 2): -20.0,
    }
    for row in found.values():
        assert row["margin_after_db"] == pytest.approx(row["margin_db"] - row["change_db"], abs=1e-9)


def test_a_trap_takes_its_decibels_off_as_often_as_its_station_is_taken():
    found = changed(Trial(notches=(Notch(A, 15.0),)))
    assert {name: row["change_db"] for name, row in found.items()} == {
        ("third-order", "Ada, Bo", 1): -30.0,  # 2 x Ada
        ("third-order", "Bo, Ada", 1): -15.0,
        ("pair-half-if", "Ada, Bo", 2): -15.0,
    }
    elsewhere = changed(Trial(notches=(Notch(C, 15.0),)))
    assert elsewhere == {}


def test_a_sum_on_a_station_falls_by_what_that_does_not():
    # 2 x 98.9 - 100.7 = 97.1, where "Col" stands.
    town = StationList.from_frequencies(
        [A, B, 97_100_000], ["Ada", "Bo", "Col"], level_dbuv=[95.0, 95.0, 60.0]
    )
    key = ("third-order", "Ada, Bo", 1)
    assert changed(Trial(pad_db=10.0), stations=town)[key]["wanted"] == "Col"
    assert changed(Trial(pad_db=10.0), stations=town)[key]["change_db"] == -20.0
    assert changed(Trial(notches=(Notch(97_100_000, 20.0),)), stations=town)[key]["change_db"] == 20.0


def test_stations_of_one_name_lose_each_their_own():
    # Relays of one programme: the trap on 100.7 leaves the one on 97.1 alone, wherever either stands in the list.
    for order in ([0, 1, 2], [2, 1, 0]):
        hertz, names = [97_100_000, A, B], ["Uno", "Ada", "Uno"]
        town = StationList.from_frequencies(
            [hertz[i] for i in order],
            [names[i] for i in order],
            level_dbuv=[[60.0, 95.0, 95.0][i] for i in order],
        )
        rows = survey(overdriven(), town, trial=Trial(notches=(Notch(B, 20.0),))).changes.rows()
        found = {row["heard_on_hz"]: row for row in rows if row["station"] == "Ada, Uno" and row["n"] == 1}
        # 2 x 98.9 - 100.7 = 97.1 falls, and so does the station under 2 x 98.9 - 97.1 = 100.7.
        assert {hz: (row["wanted"], row["change_db"]) for hz, row in found.items()} == {
            97_100_000: ("Uno", -20.0),
            100_700_000: ("Uno", 20.0),
        }


@given(amplified_with_towns(most=6), st.integers(1, 30))
@settings(max_examples=examples(30))
def test_a_pad_changes_every_sum_by_its_order_or_less_at_its_ceiling(drawn, pad):
    plan, stations = drawn
    rows = [
        row
        for row in survey(plan, stations, trial=Trial(pad_db=float(pad))).changes.rows()
        if row["mechanism"] in SUMS
    ]
    for row in rows:
        order = len(row["station"].split(", "))
        taken = {sum(map(abs, times)) for times in TAKEN.values() if len(times) == order}
        laws = {each - (row["wanted"] is not None) for each in taken}
        assert -row["change_db"] / pad in laws or 0 < -row["change_db"] < pad * max(laws)
