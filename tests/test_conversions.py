"""Two and three conversions: their images, and the products of their oscillators."""

from __future__ import annotations

import re
from collections import Counter
from itertools import combinations

import numpy as np
import pytest
from chain_strategies import chosen_sides, corners, nominal, own, plans_with_conversions, row_where
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import station_lists
from test_brute_force import sides_of
from thoroughness import examples

from freqplan import (
    Band,
    Conversion,
    FrontEnd,
    IfFilter,
    Orders,
    Plan,
    StationList,
    channel,
    compare,
    survey,
)
from freqplan.chains import chains
from freqplan.if_filters import filter_loss_db

HUNDREDTH_DB = 0.01
KHZ, MHZ = 1_000, 1_000_000


def receiver(*conversions, low=88, high=108, **more):
    """A set from (IF, side) pairs or tables."""
    tables = (
        c if isinstance(c, dict) else {"intermediate_hz": c[0], "oscillator": c[1]} for c in conversions
    )
    return Plan(
        band=Band(low_hz=low * MHZ, high_hz=high * MHZ), conversion=tuple(Conversion(**t) for t in tables), **more
    )  # fmt: skip


def rows_of(table, mechanism):
    return [row for row in table.rows() if row["mechanism"] == mechanism]


def second_images(plan, dial_hz):
    return {
        row["name"]: row["response_hz"] for row in rows_of(channel(plan, dial_hz).responses, "second-image")
    }


# --- images of later conversions ----------------------------------------------------------------


def test_both_oscillators_high_and_455_khz_put_the_second_image_on_97_09():
    plan = receiver((10_700_000, "high"), (455_000, "high"))
    (row,) = rows_of(channel(plan, 98_000_000).responses, "second-image")
    assert row["response_hz"] == 97_090_000
    assert (row["m"], row["n"], row["tuning_slope"], row["beat_rate"], row["level_law"]) == (1, 1, -1, 2, 1)
    assert row["order"] == 2
    assert (row["name"], row["sum"]) == ("conversion 2", "98.00 − 2 × 0.455 = 97.09")


@pytest.mark.parametrize(
    ("first", "second", "expected"),
    [
        ("high", "high", 97_090_000),
        ("high", "low", 98_910_000),
        ("low", "high", 98_910_000),
        ("low", "low", 97_090_000),
    ],
)
def test_the_second_image_lies_on_the_side_that_the_oscillators_say(first, second, expected):
    assert second_images(receiver((10_700_000, first), (455_000, second)), 98_000_000) == {
        "conversion 2": expected
    }


def test_where_a_later_if_is_a_sum_the_image_lies_two_oscillators_away():
    # 98 + 10.7 = 108.7; 10.7 + 34.3 = 45: a signal of 79.3 at the first IF, less 34.3, is 45 as well.
    plan = receiver((10_700_000, "high"), (45_000_000, "sum"))
    assert second_images(plan, 98_000_000) == {"conversion 2": 108_700_000 - 79_300_000}


def test_an_up_converter_has_its_second_image_close_by():
    plan = receiver((45_000_000, "sum"), (455_000, "low"), low=1, high=30)
    # 45 - 10 = 35; the second oscillator on 44.545; 44.09 + 35 would be 0.455 below it, and is 9.09 on the dial.
    assert second_images(plan, 10_000_000) == {"conversion 2": 9_090_000}


def test_three_conversions_have_two_further_images():
    plan = receiver((45_000_000, "high"), (10_700_000, "low"), (455_000, "high"), low=100, high=150)
    # Third mixer: 10.7 + 2 x 0.455 = 11.61; behind the second oscillator of 34.3 that is 45.91; 45.91 from 143 + 2.
    assert second_images(plan, 100_000_000) == {
        "conversion 2": 100_000_000 + 2 * 10_700_000,
        "conversion 3": 100_000_000 - 2 * 455_000,
    }


def test_a_set_for_25_mhz_with_ifs_of_4_5_and_0_5():
    # R. Blake, Electronic Communication Systems, example 6.10 (read): oscillators on 29.5, high, and 4.0, low.
    plan = receiver((4_500_000, "high"), (500_000, "low"), low=20, high=30)
    assert channel(plan, 25_000_000).heading["oscillator_hz"] == 29_500_000
    assert [one.oscillator_hz for one in chains(plan)[0]] == [4_000_000]
    # At the second mixer 3.5 is the image of 4.5, and 29.5 - 3.5 = 26.
    assert second_images(plan, 25_000_000) == {"conversion 2": 26_000_000}


def test_a_set_for_220_to_224_mhz_with_ifs_of_10_7_and_1_5():
    # L. Frenzel, Principles of Electronic Communication Systems, example 9-2 (from memory): first oscillator
    # 230.7-234.7, second 12.2, first image 241.4-245.4, oscillators above the signal.
    plan = receiver((10_700_000, "high"), (1_500_000, "high"), low=220, high=224)
    (own_row,) = survey(plan).oscillators.rows()
    assert (own_row["oscillator_low_hz"], own_row["oscillator_high_hz"]) == (230_700_000, 234_700_000)
    (image,) = rows_of(survey(plan).responses, "image")
    assert (image["low_hz"], image["high_hz"]) == (241_400_000, 245_400_000)
    assert [one.oscillator_hz for one in chains(plan)[0]] == [12_200_000]
    # 220 - 2 x 1.5: 230.7 - 217 = 13.7, which lies as far above 12.2 as 10.7 lies below.
    (second,) = rows_of(survey(plan).responses, "second-image")
    assert (second["low_hz"], second["high_hz"]) == (217_000_000, 221_000_000)


@given(st.data())
def test_a_second_image_put_through_the_set_ends_on_the_last_if_it_passes(data):
    plan = data.draw(plans_with_conversions(fixed=False, open_sides=False))
    dial = data.draw(st.integers(plan.band.low_hz, plan.band.high_hz))
    (sides,) = chosen_sides(plan)
    ifs = nominal(plan)
    for row in rows_of(channel(plan, dial).responses, "second-image"):
        first = own(plan, row["oscillator"], sides, 1, dial, ifs)
        number = int(row["name"].split()[1])
        at = row["e"] * (row["n"] * first - row["response_hz"])
        for place in range(2, number):
            later = own(plan, row["oscillator"], sides, place, dial, ifs)
            at = {"high": later - at, "low": at - later, "sum": at + later}[sides[place - 2]]
        # At its own mixer the difference is taken the other way round.
        later = own(plan, row["oscillator"], sides, number, dial, ifs)
        turned = {"high": at - later, "low": later - at, "sum": at - later}[sides[number - 2]]
        assert turned == ifs[number - 1]
        assert at != ifs[number - 2]


def test_rejection_is_that_of_front_end_and_of_the_filter_between():
    front_end = FrontEnd(circuits_before_mixer=1, loaded_q=50.0, gain_db=20.0)
    first = {
        "intermediate_hz": 10_700_000, "oscillator": "high", "bandwidth_hz": 250_000, "bandwidth_20db_hz": 700_000,
    }  # fmt: skip
    for known in (True, False):
        table = first if known else {k: v for k, v in first.items() if k in ("intermediate_hz", "oscillator")}
        plan = receiver(table, (455_000, "high"), front_end=front_end)
        (row,) = rows_of(channel(plan, 98_000_000).responses, "second-image")
        if not known:
            assert row["rejection_db"] is None
            assert any("filter behind mixer 1 is not given" in text for text in survey(plan).assumptions)
            continue
        x = 97.09 / 98 - 98 / 97.09
        circuits = 10 * np.log10(1 + 50**2 * x**2)
        behind = filter_loss_db(np.array([910_000]), bandwidth_hz=250_000, bandwidth_20db_hz=700_000)[0]
        assert row["rejection_db"] == pytest.approx(circuits + behind, abs=HUNDREDTH_DB)
        assert behind > 20
        (over_the_band,) = rows_of(survey(plan).responses, "second-image")
        assert behind < over_the_band["rejection_db"] <= row["rejection_db"] + HUNDREDTH_DB


def test_a_station_on_the_second_image_is_a_ghost_with_its_level():
    first = {
        "intermediate_hz": 10_700_000, "oscillator": "high", "bandwidth_hz": 250_000, "bandwidth_20db_hz": 700_000,
    }  # fmt: skip
    plan = receiver(
        first, (455_000, "high"), front_end=FrontEnd(gain_db=20.0), if_filter=IfFilter(bandwidth_hz=180_000)
    )
    stations = StationList.from_frequencies([97_090_000], ["Near"], level_dbuv=[90.0])
    (ghost,) = rows_of(survey(plan, stations).ghosts, "second-image")
    assert (ghost["dial_hz"], ghost["name"]) == (98_000_000, "conversion 2")
    behind = filter_loss_db(np.array([910_000]), bandwidth_hz=250_000, bandwidth_20db_hz=700_000)[0]
    assert ghost["level_dbuv"] == pytest.approx(90 - behind, abs=HUNDREDTH_DB)
    assert ghost["rejection_db"] == pytest.approx(behind, abs=HUNDREDTH_DB)
    line = rows_of(survey(plan, stations).check_list, "second-image")[0]
    assert (line["stations"], line["dial_hz"]) == (("Near",), 98_000_000)
    assert "98.00 − 2 × 0.455 = 97.09" in line["why"]


def test_a_side_is_taken_from_the_fixed_oscillator_or_answered_for_each():
    told = {"intermediate_hz": 455_000, "fixed_oscillator_hz": 10_245_000}
    assert second_images(receiver((10_700_000, "high"), told), 98_000_000) == {"conversion 2": 98_910_000}
    plan = receiver((10_700_000, "high"), (455_000, "unknown"))
    assert second_images(plan, 98_000_000) == {
        "conversion 2 (oscillator 2 high)": 97_090_000,
        "conversion 2 (oscillator 2 low)": 98_910_000,
    }
    assert any("Side of oscillator 2 not given" in text for text in survey(plan).assumptions)


def test_only_sides_on_the_way_are_told():
    plan = receiver((10_700_000, "high"), (1_500_000, "unknown"), (455_000, "unknown"))
    two, three = ([f"oscillator {number} {side}" for side in ("high", "low")] for number in (2, 3))
    assert set(second_images(plan, 98_000_000)) == {
        *(f"conversion 2 ({one})" for one in two),
        *(f"conversion 3 ({one}, {other})" for one in two for other in three),
    }


def test_a_set_of_one_conversion_says_nothing_of_others():
    result = survey(receiver((10_700_000, "high")))
    assert not any("onversion" in text for text in result.assumptions)
    assert rows_of(result.responses, "second-image") == []
    assert rows_of(result.birdies, "oscillator-product") == []
    assert ", then" not in result.headlines[0]


def test_a_set_of_two_says_what_was_computed():
    plan = receiver((10_700_000, "high"), (455_000, "low"))
    assert not any("Only the first" in text for text in survey(plan).assumptions)
    assert "then 455 kHz" in survey(plan).headlines[0]
    assert "Compared is the first of several conversions." in compare(plan).assumptions


# --- products of two oscillators ----------------------------------------------------------------


def offsets_of(plan, side, sides):
    """Every (names, n, q, place, offset) of two oscillators, the offset as a function of dial and real IFs."""
    count, most = len(plan.conversion), plan.orders.oscillator
    steps = [step for step in range(-most, most + 1) if step]
    wanted = {"high": (1, 1), "low": (1, -1), "sum": (-1, -1)}[side]
    image = {"high": (1, -1), "low": (1, 1), "sum": (1, -1)}[side]

    def osc(number, dial, ifs):
        return own(plan, side, sides, number, dial, ifs)

    for one, other in combinations(range(1, count + 1), 2):
        for n in steps:
            for q in steps:

                def made(dial, ifs, n=n, q=q, one=one, other=other):
                    return n * osc(one, dial, ifs) + q * osc(other, dial, ifs)

                received = [("dial", wanted)] + ([("image", image)] if one > 1 else [])
                for place, (by_n, e) in received:
                    yield (
                        (one, other),
                        n,
                        q,
                        place,
                        lambda dial, ifs, made=made, by_n=by_n, e=e: (
                            e * (by_n * osc(1, dial, ifs) - made(dial, ifs)) - ifs[0]
                        ),
                    )
                for number in range(1, count + 1):
                    yield (one, other), n, q, "if" if number == 1 else f"if-{number}", (
                        lambda dial, ifs, made=made, number=number: made(dial, ifs) - ifs[number - 1]
                    )  # fmt: skip


def law_of(plan, offset):
    """The coefficients of dial and IFs in an offset, its sign taken out: what makes two spots the same one."""
    zeros = [0] * len(plan.conversion)
    units = [[int(i == j) for j in range(len(zeros))] for i in range(len(zeros))]
    law = (offset(1, zeros), *(offset(0, unit) for unit in units))
    return max(law, tuple(-part for part in law))


def alone(plan, side, sides):
    """The laws of harmonics of one oscillator: in the IF, on the dial setting and on the image."""
    most, laws = plan.orders.oscillator + 2, set()
    for n in range(-most, most + 1):
        laws.add(law_of(plan, lambda d, ifs, n=n: n * own(plan, side, sides, 1, d, ifs) - ifs[0]))
        for first in (-1, 0, 1):
            for number in range(2, len(plan.conversion) + 1):
                laws.add(
                    law_of(
                        plan,
                        lambda d, ifs, n=n, first=first, number=number: first * own(plan, side, sides, 1, d, ifs)
                        + n * own(plan, side, sides, number, d, ifs)
                        - ifs[0],
                    )
                )  # fmt: skip
    return laws


@given(plans_with_conversions(fixed=False, open_sides=False))
@settings(max_examples=examples(240), deadline=None)
def test_products_are_those_of_nested_loops_each_spot_once_by_its_lowest_orders(plan):
    (sides,) = chosen_sides(plan)
    every = [row for row in rows_of(survey(plan).birdies, "oscillator-product") if row["dial_hz"] is not None]
    for side in sides_of(plan):
        lowest, listed = {}, {}
        left_out = alone(plan, side, sides)
        for names, n, q, place, offset in offsets_of(plan, side, sides):
            law = law_of(plan, offset)
            where = row_where(plan, offset)
            if where is not None and law not in left_out:
                lowest[law] = min(lowest.get(law, 99), abs(n) + abs(q))
                listed[names, n, q, place] = (law, where)
        found = Counter()
        for row in every:
            if row["oscillator"] != side:
                continue
            names = tuple(int(word) for word in row["name"].split() if word.isdigit())
            law, where = listed[names, row["n"], row["q"], row["lands_on"]]
            assert {name: row[name] for name in where} == where
            assert row["order"] == abs(row["n"]) + abs(row["q"]) == lowest[law]
            found[law] += 1
        assert found == Counter(lowest.keys())


@given(plans_with_conversions())
@settings(deadline=None)
def test_each_product_put_back_ends_where_it_lands(plan):
    ifs = nominal(plan)
    for row in rows_of(survey(plan).birdies, "oscillator-product"):
        tuned = row["name"].split()[1] == "1"
        later = row["sources_hz"][-1]
        dial = row["dial_hz"]
        if dial is None:
            made = row["n"] * row["sources_hz"][0] + row["q"] * later
            target = ifs[int(row["lands_on"].partition("-")[2] or 1) - 1]
            assert 2 * abs(made - target) <= plan.if_filter.bandwidth_hz
            continue
        first = own(plan, row["oscillator"], (), 1, dial, ifs)
        made = row["n"] * (first if tuned else row["sources_hz"][0]) + row["q"] * later
        if row["lands_on"] == "image":
            by_n, e = {"high": (1, -1), "low": (1, 1), "sum": (1, -1)}[row["oscillator"]]
            assert e * (by_n * first - made) == ifs[0]
        else:
            place = row["lands_on"].partition("-")[2] or 1
            assert made == (dial if row["lands_on"] == "dial" else ifs[int(place) - 1])


@given(st.data())
@settings(deadline=None)
def test_wider_orders_never_lose_a_spot(data):
    plan = data.draw(plans_with_conversions(most=1))
    orders = plan.orders.model_copy(
        update={"oscillator": plan.orders.oscillator + data.draw(st.integers(1, 2))}
    )
    wide = survey(Plan(**plan.given() | {"orders": orders})).birdies

    def key(row):
        return row["oscillator"], row["name"], row["n"], row["q"], row["lands_on"], row["dial_hz"]

    wider = {key(row) for row in rows_of(wide, "oscillator-product")}
    assert {key(row) for row in rows_of(survey(plan).birdies, "oscillator-product")} <= wider


@pytest.mark.parametrize("first", ["high", "low", "sum"])
def test_a_product_on_an_if_names_the_sides_up_to_there(first):
    low, high = (1, 30) if first == "sum" else (46, 108)
    later = [(10_700_000, "unknown"), (1_680_000, "unknown")]
    plan = receiver((45_000_000, first), *later, low=low, high=high, orders=Orders(signal=1, oscillator=4))
    rows = rows_of(survey(plan).birdies, "oscillator-product")
    for row in rows:
        last = int(row["lands_on"].partition("-")[2] or 1)
        told = re.findall(r"oscillator (\d) (?:high|low)", row["name"].partition("(")[2])
        assert told == [str(number) for number in range(2, last + 1)]
    assert {"dial", "image", "if-2", "if-3"} <= {row["lands_on"] for row in rows}


@given(st.data())
@settings(max_examples=examples(600), deadline=None)
def test_beat_rate_is_a_finite_difference_against_the_wanted_station(data):
    plan = data.draw(plans_with_conversions(fixed=False, open_sides=False))
    (sides,) = chosen_sides(plan)
    ifs = nominal(plan)
    for row in rows_of(survey(plan).birdies, "oscillator-product"):
        if row["dial_hz"] is None:
            continue
        names = [int(word) for word in row["name"].split() if word.isdigit()]

        def at_last(dial, *, tone, row=row, names=names):
            """The frequency on the last IF of a signal, or of something already on the IF where it lands."""
            first = own(plan, row["oscillator"], sides, 1, dial, ifs)
            by_n, e = {"high": (1, 1), "low": (1, -1), "sum": (-1, -1)}[row["oscillator"]]
            start = {"dial": 0, "image": 0}.get(tone, int(tone.partition("-")[2] or 1))
            made = sum(
                times * own(plan, row["oscillator"], sides, number, dial, ifs)
                for times, number in zip((row["n"], row["q"]), names, strict=True)
            )
            value = row["dial_hz"] if tone == "wanted" else made
            if tone == "image":
                by_n, e = {"high": (1, -1), "low": (1, 1), "sum": (1, -1)}[row["oscillator"]]
            if start == 0 or tone == "wanted":
                value, start = e * (by_n * first - value), 1
            for number in range(start + 1, len(ifs) + 1):
                later = own(plan, row["oscillator"], sides, number, dial, ifs)
                value = {"high": later - value, "low": value - later, "sum": value + later}[sides[number - 2]]
            return value

        moves = at_last(row["dial_hz"] + 1, tone=row["lands_on"]) - at_last(
            row["dial_hz"], tone=row["lands_on"]
        )
        own_moves = at_last(row["dial_hz"] + 1, tone="wanted") - at_last(row["dial_hz"], tone="wanted")
        assert row["tuning_slope"] == moves / own_moves
        assert row["beat_rate"] == abs(moves - own_moves)


def test_a_product_of_an_up_converter():
    # 2 x 29.8483 - 44.545 = 15.1517: twice the first oscillator less the second stands on the dial setting.
    plan = receiver((45_000_000, "sum"), (455_000, "low"), low=1, high=30)
    rows = {
        (row["n"], row["q"], row["lands_on"]): row
        for row in rows_of(survey(plan).birdies, "oscillator-product")
    }
    row = rows[2, -1, "dial"]
    assert 3 * row["dial_hz"] == 90_000_000 - 44_545_000
    assert (row["name"], row["beat_rate"], row["level_law"]) == ("oscillators 1 and 2", 2, 0)


def test_high_orders_share_a_line_of_the_card():
    plan = receiver(
        (45_000_000, "sum"), (455_000, "low"), low=1, high=30, orders=Orders(signal=1, oscillator=9)
    )
    result = survey(plan)
    rows = rows_of(result.birdies, "oscillator-product")
    lines = rows_of(result.check_list, "oscillator-product")
    low = {row["dial_hz"] for row in rows if row["order"] <= 4}
    assert len(rows) > 40
    assert len(lines) <= len(low) + 1


def test_three_conversions_bring_products_of_the_later_two():
    plan = receiver((45_000_000, "high"), (10_700_000, "low"), (455_000, "low"), low=100, high=150)
    rows = rows_of(survey(plan).birdies, "oscillator-product")
    steady = {
        row["dial_hz"] for row in rows if row["name"] == "oscillators 2 and 3" and row["lands_on"] == "dial"
    }
    expected = {n * 34_300_000 + q * 10_245_000 for n in range(-5, 6) for q in range(-5, 6) if n and q}
    assert steady == {spot for spot in expected if 100_000_000 <= spot <= 150_000_000}


# --- an independent judge: two sampled mixers and their spectra ---------------------------------

SAMPLES = 2**15
FIRST_IF, SECOND_IF, LOW, HIGH = 300, 45, 405, 795
"""In bins of the spectrum, which stand for kilohertz."""

SECOND_OSCILLATOR = FIRST_IF + SECOND_IF


def tone(place):
    return np.cos(2 * np.pi * place * np.arange(SAMPLES) / SAMPLES)


def only(signal, place):
    """A filter that passes one line of the spectrum."""
    spectrum = np.fft.rfft(signal)
    kept = np.zeros_like(spectrum)
    kept[place] = spectrum[place]
    return np.fft.irfft(kept, SAMPLES)


def on_the_last_if(dial, signal=None, leak=0.0):
    """Amplitude on the second IF of a set with an exponential first mixer that the second oscillator leaks into."""
    own_part = 0.8 * tone(dial + FIRST_IF)
    received = 0 if signal is None else 1e-3 * tone(signal)
    first = only(np.exp(own_part + received + leak * tone(SECOND_OSCILLATOR)), FIRST_IF)
    return 2 * np.abs(np.fft.rfft(first * tone(SECOND_OSCILLATOR))[SECOND_IF]) / SAMPLES


def behind_a_wide_filter(dial, signal):
    """The same without a leak, the first IF as wide as it takes to let the second image through."""
    product = (1e-3 * tone(signal)) * tone(dial + FIRST_IF)
    spectrum = np.fft.rfft(product)
    spectrum[: FIRST_IF - 100] = spectrum[FIRST_IF + 100 :] = 0
    return (
        2
        * np.abs(np.fft.rfft(np.fft.irfft(spectrum, SAMPLES) * tone(SECOND_OSCILLATOR))[SECOND_IF])
        / SAMPLES
    )


def sampled_plan(order):
    return Plan(
        band=Band(low_hz=LOW * KHZ, high_hz=HIGH * KHZ, raster_hz=KHZ, modulation="am"),
        conversion=(
            Conversion(intermediate_hz=FIRST_IF * KHZ, oscillator="high"),
            Conversion(intermediate_hz=SECOND_IF * KHZ, oscillator="high"),
        ),
        if_filter=IfFilter(bandwidth_hz=1 * KHZ),
        orders=Orders(signal=1, oscillator=order),
    )


def test_a_sampled_chain_hears_the_wanted_signal_and_the_second_image_and_nothing_else_near():
    dial = 600
    told = second_images(sampled_plan(1), dial * KHZ)["conversion 2"] // KHZ
    heard = {signal for signal in range(dial - 99, dial + 100) if behind_a_wide_filter(dial, signal) > 1e-6}
    assert heard == {dial, told}


def test_a_sampled_chain_goes_quiet_where_products_of_its_oscillators_are_told():
    names = ("oscillator-product", "internal-clock", "oscillator-in-if")
    rows = [row for row in survey(sampled_plan(8)).birdies.rows() if row["mechanism"] in names]
    told = {row["dial_hz"] for row in rows if row["dial_hz"] is not None}
    heard = {dial * KHZ for dial in range(LOW, HIGH + 1) if on_the_last_if(dial, leak=0.8) > 1e-7}
    assert heard <= told
    # Of low orders all must be there: those of whole kilohertz, which the spectrum can hold.
    low = {row["dial_hz"] for row in rows if row["mechanism"] == names[0] and row["order"] <= 5}
    assert {spot for spot in low if spot % KHZ == 0} <= heard
    assert len(heard) >= 5
    assert any(spot % KHZ == 0 for spot in low)


# --- everything else holds with more conversions too --------------------------------------------


@given(st.data())
@settings(deadline=None)
def test_ghosts_of_second_images_meet_the_band_and_the_window(data):
    plan = data.draw(plans_with_conversions())
    stations = data.draw(station_lists(plan))
    result = survey(plan, stations)
    steps = {
        (row["oscillator"], row["name"]): row["q"] * row["sources_hz"][0]
        for row in rows_of(result.responses, "second-image")
    }
    twice = plan.if_filter.bandwidth_hz + 2 * plan.band.deviation_hz
    wanted = {
        (side, name, who, hertz - step)
        for (side, name), step in steps.items()
        for who, hertz in zip(stations.names, stations.frequency_hz.tolist(), strict=True)
        if 2 * (hertz - step) + twice >= 2 * plan.band.low_hz
        and 2 * (hertz - step) - twice <= 2 * plan.band.high_hz
    }
    rows = rows_of(result.ghosts, "second-image")
    found = {(row["oscillator"], row["name"], row["station"], row["dial_hz"]) for row in rows}
    # A response that lies below zero over the whole dial is left out of the responses.
    assert {one for one in found if one[:2] in steps} == wanted
    assert len(corners(plan)) > 1


@given(plans_with_conversions())
@settings(deadline=None)
def test_every_table_and_the_card_are_written(plan):
    result = survey(plan)
    assert result.to_dict()["check_list"] is not None
    assert all(row["why"] for row in result.check_list.rows())
    here = channel(plan, plan.band.low_hz)
    assert all(row["sum"] for row in (*here.responses.rows(), *here.birdies.rows()))


@pytest.mark.parametrize(("bandwidth_hz", "listed"), [(None, True), (80_000, True), (79_999, False)])
def test_a_product_of_the_later_two_on_an_if_is_everywhere_if_its_filter_passes_it(bandwidth_hz, listed):
    # Oscillators on 35 and 8.32: 35 - 3 x 8.32 = 10.04, beside the second IF of 10.
    second = {"intermediate_hz": 10_000_000, "oscillator": "low"}
    second |= {} if bandwidth_hz is None else {"bandwidth_hz": bandwidth_hz}
    plan = receiver((45_000_000, "high"), second, (1_680_000, "low"), low=100, high=150)
    rows = [row for row in rows_of(survey(plan).birdies, "oscillator-product") if row["dial_hz"] is None]
    told = [(row["n"], row["q"], row["lands_on"], row["dial_low_hz"], row["beat_rate"]) for row in rows]
    assert told == [(1, -3, "if-2", 100_000_000, 1)] * listed
    if listed:
        lines = rows_of(survey(plan).check_list, "oscillator-product")
        assert any("35.00 − 3 × 8.32 = 10.04, on the second IF" in line["why"] for line in lines)


def test_harmonics_of_every_if_stand_on_the_dial():
    # An up-converting set: 4 x 455 = 1820, 8 x 1 kHz of tolerance at 8 x 455; the first IF has none in the band.
    later = Conversion(intermediate_hz=455_000, oscillator="low", tolerance_hz=1_000)
    plan = Plan(
        band=Band(low_hz=1_600_000, high_hz=30_000_000),
        conversion=(Conversion(intermediate_hz=45_000_000, oscillator="sum"), later),
    )
    rows = [row for row in survey(plan).birdies.rows() if row["mechanism"] == "if-harmonic"]
    found = {row["k"]: (row["dial_low_hz"], row["dial_hz"], row["dial_high_hz"]) for row in rows}
    assert found == {k: (k * 454_000, k * 455_000, k * 456_000) for k in range(4, 13)}
    assert {(row["name"], row["sources_hz"]) for row in rows} == {("conversion 2", (455_000,))}
    assert all(row["beat_rate"] == row["k"] for row in rows)
