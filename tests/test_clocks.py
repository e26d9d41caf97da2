"""Clocks inside the set: their harmonics on the dial, the image, the IF and every other response."""

from __future__ import annotations

from collections import Counter
from fractions import Fraction

import pytest
from chain_strategies import (
    chosen_sides,
    corners,
    half_behind,
    nominal,
    own,
    place_name,
    plans_with_clocks,
    plans_with_conversions,
    row_where,
)
from commandline import DEMO
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import plans
from test_brute_force import frozen, sides_of
from thoroughness import examples

from freqplan import Band, Clock, Conversion, IfFilter, Orders, Plan, StationList, channel, load_plan, survey
from freqplan.errors import ModelRangeError
from freqplan.mechanisms.clocks import MOST_HARMONIC

WANTED = {"high": (1, 1), "low": (1, -1), "sum": (-1, -1)}
IMAGE = {"high": (1, -1), "low": (1, 1), "sum": (1, -1)}


def fm(*clocks, intermediate_hz=10_700_000, side="high", tolerance_hz=0, **more):
    return Plan(
        band=Band(low_hz=87_500_000, high_hz=108_000_000),
        conversion=(Conversion(intermediate_hz=intermediate_hz, oscillator=side, tolerance_hz=tolerance_hz),),
        clock=tuple(Clock(name=name, frequency_hz=hertz) for name, hertz in clocks),
        **more,
    )


def clock_rows(plan):
    return [row for row in survey(plan).birdies.rows() if row["mechanism"] == "internal-clock"]


# --- worked by hand -----------------------------------------------------------------------------


def test_the_fourteenth_harmonic_of_seven_megahertz_stands_on_98():
    rows = [row for row in clock_rows(fm(("display", 7_000_000))) if row["lands_on"] == "dial"]
    assert [(row["m"], row["dial_hz"]) for row in rows] == [
        (13, 91_000_000),
        (14, 98_000_000),
        (15, 105_000_000),
    ]
    assert {(row["beat_rate"], row["tuning_slope"], row["level_law"]) for row in rows} == {(0, 1, 0)}


def test_the_thirtieth_harmonic_of_four_megahertz_is_the_image_of_98_6():
    plan = fm(("display", 4_000_000), tolerance_hz=30_000)
    (row,) = (row for row in clock_rows(plan) if row["lands_on"] == "image" and row["m"] == 30)
    assert (row["dial_hz"], row["dial_low_hz"], row["dial_high_hz"]) == (98_600_000, 98_540_000, 98_660_000)
    assert (row["beat_rate"], row["tuning_slope"]) == (2, -1)


def test_on_the_dial_the_tolerance_of_the_if_changes_nothing():
    for row in clock_rows(fm(("display", 4_000_000), tolerance_hz=30_000)):
        if row["lands_on"] == "dial":
            assert row["dial_low_hz"] == row["dial_hz"] == row["dial_high_hz"]


@pytest.mark.parametrize(
    ("hertz", "listed"),
    [(10_700_000, True), (10_610_000, True), (10_790_000, True), (10_609_999, False), (10_790_001, False)],
)
def test_a_clock_within_half_the_if_filter_of_the_if_is_everywhere(hertz, listed):
    rows = [row for row in clock_rows(fm(("crystal", hertz))) if row["lands_on"] == "if"]
    assert len(rows) == listed
    for row in rows:
        place = (row["dial_hz"], row["dial_low_hz"], row["dial_high_hz"])
        assert place == (None, 87_500_000, 108_000_000)
        assert (row["m"], row["n"], row["e"], row["beat_rate"], row["tuning_slope"]) == (1, 0, -1, 1, 0)


@pytest.mark.parametrize(
    ("beside_hz", "listed"), [(7_500, True), (7_501, False), (-7_500, True), (-7_501, False)]
)
def test_the_narrowest_filter_behind_the_first_mixer_decides(beside_hz, listed):
    plan = Plan(
        band=Band(low_hz=87_500_000, high_hz=108_000_000),
        conversion=(
            Conversion(intermediate_hz=10_700_000, oscillator="high", bandwidth_hz=15_000),
            Conversion(intermediate_hz=2_000_000, oscillator="low"),
        ),
        if_filter=IfFilter(bandwidth_hz=180_000),
        clock=(Clock(name="crystal", frequency_hz=10_700_000 + beside_hz),),
    )
    rows = [row for row in clock_rows(plan) if row["lands_on"] == "if" and row["name"] == "crystal"]
    assert len(rows) == listed


def test_what_is_everywhere_belongs_to_every_channel_and_gets_one_line():
    plan = fm(("crystal", 5_360_000), orders=Orders(signal=2, oscillator=2))
    for dial in (87_500_000, 95_123_456, 108_000_000):
        rows = [row for row in channel(plan, dial).birdies.rows() if row["dial_hz"] is None]
        assert [(row["name"], row["m"], row["sum"]) for row in rows] == [
            ("crystal", 2, "2 × 5.36 = 10.72, against the IF of 10.70")
        ]
    lines = [row for row in survey(plan).check_list.rows() if "against the IF" in row["why"]]
    assert [(row["dial_hz"], row["kind"]) for row in lines] == [(None, "dial")]


def test_two_clocks_on_the_if_get_a_line_each():
    card = survey(fm(("one", 10_700_000), ("other", 10_700_000), ("slow", 2_140_000))).check_list.rows()
    lines = [row for row in card if row["mechanism"] == "internal-clock" and row["dial_hz"] is None]
    assert sorted(row["why"].partition(":")[0] for row in lines) == [
        f"harmonic of a clock in the set ({name})" for name in ("one", "other", "slow")
    ]


def test_with_the_side_unknown_a_line_on_the_if_holds_for_either():
    card = survey(fm(("one", 10_700_000), side="unknown")).check_list.rows()
    lines = [row for row in card if row["mechanism"] == "internal-clock" and row["dial_hz"] is None]
    assert [row["oscillator"] for row in lines] == ["either"]


def test_a_channel_names_the_spot_within_half_the_filter_and_no_other():
    plan = fm(("display", 7_000_000), orders=Orders(signal=1, oscillator=1))
    assert "14 × 7.00 = 98.00" in channel(plan, 98_090_000).birdies.values("sum")
    assert "14 × 7.00 = 98.00" not in channel(plan, 98_090_001).birdies.values("sum")


def test_the_card_of_a_set_with_a_clock_stays_short():
    plan = load_plan(DEMO / "pantry.toml")
    lines = [row for row in survey(plan).check_list.rows() if row["mechanism"] == "internal-clock"]
    spots = [row for row in clock_rows(plan) if row["lands_on"] in ("dial", "image")]
    others = {(row["n"], row["e"]) for row in clock_rows(plan) if row["lands_on"] == "other"}
    assert len(lines) == len(spots) + len(others) < 25
    assert len(clock_rows(plan)) > 100
    assert {len(row["why"]) < 400 for row in lines} == {True}
    assert lines[0]["why"].startswith("harmonic of a clock in the set (display): ")


def test_a_slow_clock_gets_one_line_for_all_its_harmonics_on_the_dial():
    plan = fm(("watch", 32_768), orders=Orders(signal=1, oscillator=1))
    lines = [row for row in survey(plan).check_list.rows() if row["mechanism"] == "internal-clock"]
    assert len(clock_rows(plan)) > 1000
    assert len(lines) == 3  # dial, image, IF


def test_listed_stations_on_a_harmonic_are_named():
    stations = StationList.from_frequencies([98_000_000, 99_000_000], ["On it", "Beside"])
    card = survey(fm(("display", 7_000_000)), stations).check_list.rows()
    lines = [row for row in card if row["mechanism"] == "internal-clock" and row["dial_hz"] == 98_000_000]
    assert [row["stations"] for row in lines] == [("On it",)]


def test_two_clocks_of_the_same_frequency_are_two_rows():
    rows = clock_rows(fm(("one", 7_000_000), ("other", 7_000_000)))
    assert {row["name"] for row in rows} == {"one", "other"}
    assert len(rows) == 2 * len(clock_rows(fm(("one", 7_000_000))))


def test_harmonics_are_followed_up_to_a_limit_and_the_result_says_so():
    plan = fm(("tick", 20_000))
    assert max(row["m"] for row in clock_rows(plan)) == MOST_HARMONIC
    assert "Harmonics of tick are followed up to the 5,000th." in survey(plan).assumptions
    assert not any("followed up to the 5" in text for text in survey(fm(("d", 4_000_000))).assumptions)


def test_the_highest_frequencies_and_orders_do_not_overflow():
    plan = Plan(
        band=Band(low_hz=200 * 10**9, high_hz=299 * 10**9, raster_hz=10**9, modulation="am"),
        conversion=(Conversion(intermediate_hz=10**9, oscillator="high", tolerance_hz=10**8),),
        orders=Orders(signal=1, oscillator=25),
        clock=(Clock(name="c", frequency_hz=3 * 10**9 + 7), Clock(name="slow", frequency_hz=3)),
    )
    rows = clock_rows(plan)
    assert len(rows) > 1000
    for row in rows:
        own_hz = row["dial_hz"] + 10**9
        assert row["e"] * (row["n"] * own_hz - row["m"] * row["sources_hz"][0]) == 10**9


# --- nested loops -------------------------------------------------------------------------------


def tones(plan, sides):
    """Each oscillator that does not tune: name, largest n, and its frequency as a function of the real IFs."""
    for clock in plan.clock:
        yield clock.name, plan.orders.oscillator, lambda ifs, clock=clock: clock.frequency_hz
    for number in range(2, len(plan.conversion) + 1):
        open_side = plan.conversion[number - 1].oscillator == "unknown"
        fixed = plan.conversion[number - 1].fixed_oscillator_hz is not None
        told = number - 2 in several(plan) and open_side and not fixed
        name = f"oscillator {number}" + (f" {sides[number - 2]}" if told else "")
        yield name, 1, lambda ifs, number=number: own(plan, "high", sides, number, 0, ifs)


def several(plan):
    """Places of the later conversions whose side is answered for more than once."""
    every = list(chosen_sides(plan))
    return {place for place in range(len(plan.conversion) - 1) if len({sides[place] for sides in every}) > 1}


def expected(plan):
    rows = {}
    for side in sides_of(plan):
        for sides in chosen_sides(plan):
            for name, most, hertz in tones(plan, sides):
                for row in of_tone(plan, side, name, most, hertz):
                    rows[tuple(row.values())] = row
    return list(rows.values())


def of_tone(plan, side, name, most, hertz):
    blank = {"mechanism": "internal-clock", "oscillator": side, "name": name, "level_law": 0}
    least = min(hertz(ifs) for ifs in corners(plan))
    reach = (most + 2) * (plan.band.high_hz + 2 * plan.conversion[0].intermediate_hz)
    wanted = WANTED[side][0] * WANTED[side][1]
    for p in range(1, min(MOST_HARMONIC, reach // max(least, 1) + 2) + 1):
        for n in [n for n in range(-most, most + 1) if n]:
            for e in (1, -1):

                def offset(dial, ifs, n=n, e=e, p=p):
                    return e * (n * own(plan, side, (), 1, dial, ifs) - p * hertz(ifs)) - ifs[0]

                where = row_where(plan, offset)
                if where is None:
                    continue
                on = {WANTED[side]: "dial", IMAGE[side]: "image"}.get((n, e), "other")
                slope = e * n * wanted
                yield blank | where | {
                    "m": p, "n": n, "e": e, "lands_on": on, "tuning_slope": slope, "beat_rate": abs(slope - 1),
                }  # fmt: skip
        for number, target in enumerate(nominal(plan), start=1):
            distance = abs(p * hertz(nominal(plan)) - target)
            if distance <= min(half_behind(plan, number), Fraction(plan.if_filter.bandwidth_hz, 2)):
                yield blank | {
                    "dial_hz": None, "dial_low_hz": plan.band.low_hz, "dial_high_hz": plan.band.high_hz,
                    "m": p, "n": 0, "e": -1, "lands_on": place_name(number), "tuning_slope": 0, "beat_rate": 1,
                }  # fmt: skip


def held_to_nested_loops(plan):
    result = survey(plan)
    json_rows = [row for row in result.to_dict()["birdies"] if row["mechanism"] == "internal-clock"]
    wanted = expected(plan)
    keys = tuple(wanted[0]) if wanted else ("mechanism",)
    for rows, json in ((clock_rows(plan), False), (json_rows, True)):
        found = Counter(frozen(row, keys, json=json) for row in rows)
        assert found == Counter(frozen(row, keys, json=json) for row in wanted)


@given(plans_with_clocks())
@settings(max_examples=examples(80), deadline=None)
def test_harmonics_of_clocks_are_those_of_nested_loops(plan):
    held_to_nested_loops(plan)


@given(plans_with_conversions())
@settings(max_examples=examples(80), deadline=None)
def test_harmonics_of_later_oscillators_are_those_of_nested_loops(plan):
    # A later oscillator of a few kilohertz has more harmonics than a loop can follow.
    every = [own(plan, "high", sides, 2 + i, 0, ifs) for sides in chosen_sides(plan) for ifs in corners(plan)
             for i in range(len(sides))]  # fmt: skip
    if min(every) * 200 > plan.band.high_hz + 2 * plan.conversion[0].intermediate_hz:
        held_to_nested_loops(plan)


# --- laws ---------------------------------------------------------------------------------------


@given(plans_with_clocks())
def test_each_row_put_back_into_the_equation_ends_on_the_if(plan):
    intermediate = plan.conversion[0].intermediate_hz
    hertz = {clock.name: clock.frequency_hz for clock in plan.clock}
    for row in clock_rows(plan):
        if row["dial_hz"] is None:
            assert 2 * abs(row["m"] * hertz[row["name"]] - intermediate) <= plan.if_filter.bandwidth_hz
            continue
        first = own(plan, row["oscillator"], (), 1, row["dial_hz"], [intermediate])
        assert row["e"] * (row["n"] * first - row["m"] * hertz[row["name"]]) == intermediate
        assert {"dial": row["dial_hz"] == row["m"] * hertz[row["name"]]}.get(row["lands_on"], True)


@given(st.data())
def test_a_wider_order_never_loses_a_row(data):
    plan = data.draw(plans_with_clocks())
    orders = plan.orders.model_copy(
        update={"oscillator": plan.orders.oscillator + data.draw(st.integers(1, 3))}
    )
    wide = clock_rows(Plan(**plan.given() | {"orders": orders}))
    assert [row for row in wide if abs(row["n"]) <= plan.orders.oscillator] == clock_rows(plan)


@given(st.data())
def test_the_birdies_of_a_channel_are_those_of_the_survey_near_it(data):
    plan = data.draw(plans_with_clocks())
    dial = data.draw(st.integers(plan.band.low_hz, plan.band.high_hz))
    half = Fraction(plan.if_filter.bandwidth_hz, 2)
    near = [row for row in survey(plan).birdies.rows() if row["dial_hz"] is None or (
        row["dial_low_hz"] <= dial + half and row["dial_high_hz"] >= dial - half)]  # fmt: skip
    here = list(channel(plan, dial).birdies.rows())
    key = ("mechanism", "oscillator", "name", "k", "m", "n", "e", "dial_hz", "lands_on")
    assert [[row[name] for name in key] for row in here] == [[row[name] for name in key] for row in near]


@given(plans())
def test_without_clocks_there_are_no_rows(plan):
    assert clock_rows(plan) == []


def test_a_clock_far_from_all_leaves_a_set_alone():
    plan = fm(("fast", 250_000_000_000), if_filter=IfFilter(bandwidth_hz=180_000))
    assert clock_rows(plan) == []


def test_more_spots_than_anybody_reads_are_refused():
    # Sixty clocks and orders of 25: more than ten thousand spots each.
    clocks = tuple(Clock(name=f"c{i}", frequency_hz=500_000 + 10_000 * i) for i in range(60))
    plan = Plan(
        band=Band(low_hz=87_500_000, high_hz=108_000_000),
        conversion=(Conversion(intermediate_hz=10_700_000, oscillator="high"),),
        clock=clocks,
        orders=Orders(oscillator=25),
    )
    with pytest.raises(ModelRangeError, match="spots of clocks: lower the order"):
        len(survey(plan).birdies)
