"""The ITU Region of a plan: how it is read, that everything asks for it, and what is said of those who live there."""

from __future__ import annotations

import io
import json
import re
from fractions import Fraction

import pytest
from commandline import FM, call, refused, write_inputs
from hypothesis import given, settings
from hypothesis import strategies as st
from plantables import faults_of, file_faults, tables
from strategies import dials, plans

from freqplan import (
    Band,
    Conversion,
    FrontEnd,
    Orders,
    Plan,
    StationList,
    channel,
    compare,
    load_plan,
    render,
    survey,
)  # fmt: skip
from freqplan import hearing as hearing_module
from freqplan import services as services_module
from freqplan.changes import Trial
from freqplan.mixing import tunings
from freqplan.plan_reading import REGIONS
from freqplan.remarks import BENCH_CAUTION, cautions
from freqplan.services import allocations, services_in
from freqplan.starters import KINDS, starter
from freqplan.tables import WRITERS

EVERY_REGION = pytest.mark.parametrize("region", REGIONS)
COMMANDS = {
    "survey": ("survey", "{plan}"),
    "survey with stations": ("survey", "{plan}", "--stations", "town.csv"),
    "channel": ("channel", "{plan}", "98 MHz"),
    "compare": ("compare", "{plan}", "--intermediate", "8.3 MHz"),
}
every_command = pytest.mark.parametrize("words", COMMANDS.values(), ids=COMMANDS)


def fm(*, high_hz=108_000_000, oscillator="high", intermediate_hz=10_700_000, **more):
    conversion = Conversion(intermediate_hz=intermediate_hz, oscillator=oscillator)
    return Plan(band=Band(low_hz=87_500_000, high_hz=high_hz), conversion=(conversion,), **more)


regions = st.sampled_from(REGIONS)
plans_anywhere = st.builds(lambda plan, region: plan.with_changes(region=region), plans(), regions)


# The key


def test_the_region_is_1_unless_the_plan_says_otherwise():
    assert Plan.from_file_keys(tables()).region == 1
    assert Plan.from_file_keys(tables()).to_dict()["region"] == 1
    assert Plan.from_file_keys(tables(region=2)).to_dict()["region"] == 2


@EVERY_REGION
def test_the_assumptions_name_the_region_and_whether_it_is_stated(region):
    stated = fm(region=region)
    for result in (survey(stated), channel(stated, 98_000_000), compare(stated)):
        assert f"Services are named as in ITU Region {region}." in result.assumptions
    assert "Services are named as in ITU Region 1. The plan states no region." in survey(fm()).assumptions


@pytest.mark.parametrize(
    ("value", "what", "hint"),
    [
        ("2", "text, not a number", "write 2 without quotation marks"),
        (" 3 ", "text, not a number", "write 3 without quotation marks"),
        ("two", "not an ITU Region", "write 1 (Europe"),
        (0, "not an ITU Region", "2 (the Americas)"),
        (4, "not an ITU Region", "2 (the Americas)"),
        (-1, "not an ITU Region", "2 (the Americas)"),
        (True, "not an ITU Region", "2 (the Americas)"),
        (2.0, "not an ITU Region", "2 (the Americas)"),
        ([1], "not an ITU Region", "2 (the Americas)"),
        ({}, "not an ITU Region", "2 (the Americas)"),
    ],
)
def test_another_value_is_one_fault_with_a_hint(value, what, hint):
    for found in (file_faults(tables(region=value)), faults_of(lambda: fm(region=value))):
        assert list(found) == ["region"]
        assert found["region"].what == what
        assert hint in found["region"].hint


def test_a_fault_names_the_line_and_a_region_inside_a_table_is_told_where_it_belongs():
    with pytest.raises(ValueError, match=r"line 1.*region.*\"2\".*write 2 without quotation marks"):
        load_plan(io.StringIO('region = "2"\n' + FM))
    found = file_faults(tables(band={"low": "87.5 MHz", "high": "108 MHz", "region": 2}))
    assert "top of the plan" in found["band.region"].hint


def test_the_region_can_be_changed_and_other_changes_keep_it():
    plan = fm(region=3)
    assert plan.with_changes(region=2).region == 2
    assert plan.with_changes(oscillator="low", orders=(2, 2)).region == 3
    assert plan.with_changes(region=1) == fm(region=1)
    assert "not an ITU Region" in faults_of(lambda: plan.with_changes(region=4))["region"].what


def test_plans_to_begin_with_are_for_the_region_where_such_sets_are_at_home():
    at_home = {kind.name: load_plan(io.StringIO(starter(kind.name))).region for kind in KINDS}
    # Common practice, no source: steps of 10 kHz on medium wave in the Americas, FM from 76 MHz in Region 3.
    assert {name: region for name, region in at_home.items() if region != 1} == {"am-10": 2, "fm-76-95": 3}
    assert "\n#region = 1 " in starter("fm")


# The option


@pytest.fixture
def folder(tmp_path, monkeypatch):
    """A folder with a plan for each Region and a station list, which the commands are run from."""
    write_inputs(tmp_path)
    for region in REGIONS:
        (tmp_path / f"region-{region}.toml").write_text(
            f"region = {region}\n{FM}\n[front_end]\ncircuits_before_mixer = 2\nloaded_q = 20\n",
            encoding="utf-8",
        )
    monkeypatch.chdir(tmp_path)
    return tmp_path


def answered(words, plan, *more):
    answer = call(*(word.format(plan=plan) for word in words), "--format", "json", *more)
    assert answer.code == 0, answer.err
    return json.loads(answer.out)


@every_command
def test_the_option_puts_another_region_in_place_of_the_plan_s(words, folder):
    by_plan = [answered(words, f"region-{region}.toml") for region in REGIONS]
    for other in REGIONS:
        by_option = [answered(words, f"region-{other}.toml", "--region", str(region)) for region in REGIONS]
        assert by_option == by_plan
    assert by_plan[0] != by_plan[1] != by_plan[2] != by_plan[0]


@every_command
@pytest.mark.parametrize("value", ["4", "0", "europe", "", "1.0"])
def test_another_region_on_the_command_line_is_refused(words, value, folder):
    words = [word.format(plan="fm.toml") for word in words]
    refused(call(*words, "--region", value, "--output", "answer.txt"), "--region", "'1', '2', '3'")
    assert not (folder / "answer.txt").exists()


def test_a_text_in_the_plan_is_one_message(folder):
    (folder / "text.toml").write_text(f'region = "2"\n{FM}', encoding="utf-8")
    answer = call("survey", "text.toml")
    refused(answer, "line 1", "region", '"2"', "without quotation marks")
    assert len(answer.err.splitlines()) == 1


# Everything asks for it


def test_nothing_asks_for_another_region_than_that_of_the_plan(monkeypatch):
    asked = []

    def recorded(real):
        def call_it(region=1):
            asked.append(region)
            return real(region)

        return call_it

    monkeypatch.setattr(services_module, "_edges", recorded(services_module._edges))
    monkeypatch.setattr(hearing_module, "allocations", recorded(allocations))
    front_end = FrontEnd(circuits_before_mixer=1, loaded_q=20.0)
    plan = fm(region=3, front_end=front_end, oscillator="unknown")
    stations = StationList.from_frequencies([80_000_000, 101_400_000], level_dbuv=[100.0, 60.0])
    results = [
        survey(plan, stations, trial=Trial(10.0)),
        survey(plan),
        channel(plan, 101_400_000, stations),
        compare(plan, [8_300_000]),
    ]
    for result in results:
        before = len(asked)
        for form in WRITERS:
            render(result, form)
        assert set(asked[before:]) == {3}


@pytest.mark.parametrize(("region", "is_broadcast"), [(1, False), (2, False), (3, True)])
def test_a_station_of_a_national_fm_band_is_one_of_fm_broadcasting_in_its_region_only(region, is_broadcast):
    # 80 MHz comes in as the image of 101.4 MHz; protection ratios hold between stations of FM broadcasting.
    plan = fm(
        region=region, oscillator="low", front_end=FrontEnd(circuits_before_mixer=1, loaded_q=20.0),
        orders=Orders(signal=1, oscillator=1),
    )  # fmt: skip
    stations = StationList.from_frequencies([80_000_000, 101_400_000], level_dbuv=[100.0, 60.0])
    (row,) = [row for row in survey(plan, stations).ghosts.rows() if row["mechanism"] == "image"]
    assert (row["protection_margin_db"] is not None) == is_broadcast


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


@settings(max_examples=200)
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
