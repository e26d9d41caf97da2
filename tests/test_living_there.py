"""Who lives where a set hears or radiates: named in tables, on the card and on the screen, and the cautions for it."""

from __future__ import annotations

import re
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import dials, plans
from thoroughness import examples

from freqplan import (
    Band,
    Conversion,
    FrontEnd,
    Plan,
    StationList,
    channel,
    compare,
    render,
    survey,
)
from freqplan.mixing import tunings
from freqplan.plan_reading import REGIONS
from freqplan.remarks import BENCH_CAUTION, cautions
from freqplan.services import allocations, services_in

EVERY_REGION = pytest.mark.parametrize("region", REGIONS)


def fm(*, high_hz=108_000_000, oscillator="high", **more):
    conversion = Conversion(intermediate_hz=10_700_000, oscillator=oscillator)
    return Plan(band=Band(low_hz=87_500_000, high_hz=high_hz), conversion=(conversion,), **more)


regions = st.sampled_from(REGIONS)
plans_anywhere = st.builds(lambda plan, region: plan.with_changes(region=region), plans(), regions)


# Who lives there, in words


def names_by_a_loop(low, high, region):
    inside = [
        each.name
        for each in allocations(region)
        if (each.low_hz <= low <= each.high_hz if low == high else each.low_hz < high and low < each.high_hz)
    ]
    return tuple(dict.fromkeys(inside))


@given(plans_anywhere)
def test_every_response_over_the_band_names_who_lives_in_its_range(plan):
    for row in survey(plan).responses.rows():
        assert row["services"] == names_by_a_loop(row["low_hz"], row["high_hz"], plan.region)


@given(st.data())
def test_every_response_at_a_dial_setting_names_who_lives_there(data):
    plan = data.draw(plans_anywhere)
    for row in channel(plan, data.draw(dials(plan))).responses.rows():
        assert row["services"] == names_by_a_loop(row["response_hz"], row["response_hz"], plan.region)


@EVERY_REGION
def test_an_fm_set_meets_navigation_up_to_96_575_and_voice_above(region):
    # Exact from the equation: image 108.9-129.4, 117.975 at 96.575; the edges are read (Netherlands frequency plan
    # 2014, Canadian and Chinese table).
    plan = fm(region=region)
    (image,) = [row for row in survey(plan).responses.rows() if row["mechanism"] == "image"]
    assert image["services"] == (
        "aeronautical radionavigation", "aeronautical voice", "aeronautical distress", "aeronautical search and rescue",
    )  # fmt: skip
    for dial_hz, lives in (
        (87_500_000, ("aeronautical radionavigation",)),
        (96_574_999, ("aeronautical radionavigation",)),
        (96_575_000, ("aeronautical radionavigation", "aeronautical voice")),
        (96_575_001, ("aeronautical voice",)),
        (100_100_000, ("aeronautical voice", "aeronautical distress")),
        (108_000_000, ("aeronautical voice",)),
    ):
        (row,) = [row for row in channel(plan, dial_hz).responses.rows() if row["mechanism"] == "image"]
        assert row["services"] == lives


def test_ranges_differ_with_the_region():
    lives = {
        region: {row["oscillator"]: row for row in compare(fm(region=region)).plans.rows()} for region in REGIONS
    }  # fmt: skip
    assert "FM broadcasting (former band)" in lives[1]["low"]["services"]
    assert "television (channels 5 and 6)" in lives[2]["low"]["services"]
    assert "FM broadcasting (76 MHz band)" in lives[3]["low"]["services"]
    assert "FM broadcasting (76 MHz band)" in lives[3]["low"]["radiates_into"]
    for region in REGIONS:
        assert lives[region]["high"]["radiates_into"] == (
            "FM broadcasting", "aeronautical radionavigation", "aeronautical voice",
        )  # fmt: skip
        assert lives[region]["high"]["oscillator_in_aeronautical_hz"] == 10_700_000


@EVERY_REGION
def test_the_card_gives_words_with_edges(region):
    table = survey(fm(region=region)).check_list
    (image,) = [row for row in table.rows() if row["mechanism"] == "image"]
    assert "there: aeronautical radionavigation 108-117.975, aeronautical voice 117.975-137" in image["why"]


@pytest.mark.parametrize(
    ("region", "words"), [(1, "amateur (4 m) 70-70.5"), (2, "land mobile (low band) 72-73")]
)
def test_the_card_follows_the_region(region, words):
    # Image of 87.5-95 on the low side: 66.1-73.6.
    table = survey(fm(region=region, oscillator="low", high_hz=95_000_000)).check_list
    (image,) = [row for row in table.rows() if row["mechanism"] == "image"]
    assert words in image["why"]


@pytest.mark.parametrize(
    ("region", "test"),
    [
        (1, "generator by cable on 227.5"),
        (2, "No generator: lives depend on 227.5 (non-directional beacons)."),
        (3, "No generator: lives depend on 227.5 (non-directional beacons)."),
    ],
)
def test_no_generator_where_lives_depend_on_it_in_that_region(region, test):
    # Half the IF of 455 kHz: long wave in Region 1, beacons in the others; from memory: Radio Regulations.
    plan = Plan(
        band=Band(low_hz=531_000, high_hz=1_602_000),
        conversion=(Conversion(intermediate_hz=455_000, oscillator="high"),),
        region=region,
    )
    rows = survey(plan).check_list.rows()
    (line,) = [row for row in rows if row["frequency_hz"] == 227_500]
    assert test in line["what_to_do"]


def test_the_screen_names_them_where_there_is_room():
    shown = render(channel(fm(), 98_000_000))
    (head,) = [line for line in shown.splitlines() if line.startswith("Mechanism  ")]
    (line,) = [line for line in shown.splitlines() if line.startswith("image ")]
    assert "Lives" in head
    assert "aeronautical voice" in line
    assert max(map(len, shown.splitlines())) <= 100


def test_the_screen_leaves_them_to_the_details_where_there_is_none():
    stations = StationList.from_frequencies(
        [119_400_000, 98_000_000, 101_200_000], ["A station with a rather long name", "Nearby", "Third"],
        level_dbuv=[60.0, 50.0, 90.0],
    )  # fmt: skip
    plan = fm(front_end=FrontEnd(circuits_before_mixer=1, loaded_q=20.0))
    here = channel(plan, 98_000_000, stations)
    (head,) = [line for line in render(here).splitlines() if line.startswith("Mechanism  ")]
    assert "Lives" not in head
    assert max(map(len, render(here).splitlines())) <= 100
    assert "aeronautical voice" in render(here, table="responses")


# Cautions


def first_ends(text):
    """Return the services that the first caution names, and how many more it counts."""
    match = re.match(r"Lives depend on services such as (.+?)(?: and (\d+) more)?: never radiate", text)
    assert match is not None
    return match[1], int(match[2] or 0)


def near(plan):
    """Return the safety services near a plan: in its band, under its oscillator, image and half-IF; by fractions."""
    own_if, found = plan.conversion[0].intermediate_hz, []
    ends = (plan.band.low_hz, plan.band.high_hz)
    ranges = [ends]
    for tuning in tunings(plan):
        oscillator = [tuning.oscillator_hz(hz) for hz in ends]
        ranges.append(tuple(sorted(oscillator)))
        for n in range(1, min(plan.orders.signal, plan.orders.oscillator, 2) + 1):
            for e in (1, -1):
                signal = sorted(Fraction(n * hz - e * own_if, n) for hz in oscillator)
                if signal != sorted(map(Fraction, ends)) and signal[1] > 0:
                    ranges.append((max(signal[0], 0), signal[1]))
    for low, high in ranges:
        found += [each.name for each in services_in(low, high, region=plan.region) if each.safety]
    return set(found)


@settings(max_examples=examples(200))
@given(plans_anywhere)
def test_cautions_come_exactly_where_a_safety_service_is_near(plan):
    told, expected = cautions(plan, tunings(plan)), near(plan)
    assert len(set(told)) == len(told)
    assert told[-1] == BENCH_CAUTION
    dangerous = [text for text in told if text.startswith("Lives depend")]
    assert len(dangerous) == bool(expected)
    if expected:
        named, more = first_ends(dangerous[0])
        assert sum(name in named for name in expected) >= min(5, len(expected))
        assert more == max(0, len(expected) - 5)
        assert any("stop, log" in text for text in told)
        assert any("differs by country" in text for text in told)


def test_an_image_on_marker_beacons_is_enough():
    # Oscillator 76.8-97.3, image 66.1-86.6: only the image meets 74.8-75.2.
    plan = fm(oscillator="low")
    assert first_ends(cautions(plan, tunings(plan))[0]) == ("marker beacons", 0)


def test_a_half_if_response_on_marker_beacons_is_enough_where_it_is_followed():
    # 87.5-95 low side: oscillator 76.8-84.3, image 66.1-73.6; half-IF 71.45-78.95 meets 74.8-75.2.
    plan = fm(oscillator="low", high_hz=95_000_000)
    assert first_ends(cautions(plan, tunings(plan))[0]) == ("marker beacons", 0)
    without = plan.with_changes(orders=(1, 5))
    assert cautions(without, tunings(without)) == (BENCH_CAUTION,)


def test_a_band_on_which_lives_depend_is_enough():
    # Airband with 45 MHz: oscillator 163-165, image 208-210, half-IF 140.5-142.5 and 185.5-187.5.
    plan = Plan(
        band=Band(low_hz=118_000_000, high_hz=120_000_000, modulation="am"),
        conversion=(Conversion(intermediate_hz=45_000_000, oscillator="high"),),
        region=3,
    )
    assert first_ends(cautions(plan, tunings(plan))[0]) == ("aeronautical voice", 0)
