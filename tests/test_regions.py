"""The ITU Region of a plan: how it is read, the option that replaces it, and that everything asks for it."""

from __future__ import annotations

import io
import json

import pytest
from commandline import FM, call, refused, write_inputs
from plantables import faults_of, file_faults, tables

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
)
from freqplan import hearing as hearing_module
from freqplan import services as services_module
from freqplan.changes import Trial
from freqplan.plan_reading import REGIONS
from freqplan.services import allocations
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


def fm(*, oscillator="high", **more):
    conversion = Conversion(intermediate_hz=10_700_000, oscillator=oscillator)
    return Plan(band=Band(low_hz=87_500_000, high_hz=108_000_000), conversion=(conversion,), **more)


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

    monkeypatch.setattr(services_module, "allocation_edges", recorded(services_module.allocation_edges))
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
