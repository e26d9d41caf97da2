"""Stations an IF apart: the channel plan of a regulation, a loop over all pairs, and the three causes by example."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import AM, CLOSE_BELOW, FM, SHORT_WAVE, UP_CONVERTING, plans
from test_neighbours import heard_there, told_of
from thoroughness import examples

from freqplan import Plan, StationList, survey
from freqplan.errors import ModelRangeError
from freqplan.if_pairs import COLUMNS, if_pairs
from freqplan.landing import MOST_LANDINGS
from freqplan.mixing import tunings
from freqplan.plan import Band, Conversion, FrontEnd

KHZ, MHZ = 1000, 1_000_000
IF_HZ = 10_700_000


def fm_set(side="high", bandwidth_khz=180, **more):
    return Plan(
        band=more.pop("band", Band(low_hz=87_500_000, high_hz=108_000_000)),
        conversion=(Conversion(intermediate_hz=IF_HZ, oscillator=side),),
        if_filter={"bandwidth_hz": bandwidth_khz * KHZ},
        **more,
    )


def pairs(plan, stations):
    return list(if_pairs(plan, tunings(plan), stations).rows())


# --- the channels of a regulation ---------------------------------------------------------------


def channel_hz(number):
    """Channels of 47 CFR 73.201: 200 kHz apart, 200 on 87.9 MHz."""
    return 87_900_000 + (number - 200) * 200_000


def test_channel_numbers():
    """47 CFR 74.1202(b)(3) and the separation table, read: 201 = 88.1, 253 = 98.5, 260 = 99.9."""
    assert [channel_hz(number) for number in (201, 253, 260)] == [88_100_000, 98_500_000, 99_900_000]


@pytest.mark.parametrize(("bandwidth_khz", "expected"), [(180, "bursts-only"), (220, "sits-in")])
def test_if_related_channels_are_53_and_54_apart_and_none_on_10_7(bandwidth_khz, expected):
    """47 CFR 73.207(b) and 73.507(c), read: the 53rd and 54th channels, 10.6 and 10.8 MHz."""
    numbers = range(200, 301)
    stations = StationList.from_frequencies(map(channel_hz, numbers), map(str, numbers))
    rows = pairs(fm_set(bandwidth_khz=bandwidth_khz), stations)
    found = sorted(tuple(map(int, row["stations"])) for row in rows)
    assert found == sorted((low, low + far) for far in (53, 54) for low in numbers if low + far <= 300)
    assert {row["difference_hz"] for row in rows} == {10_600_000, 10_800_000}
    assert {row["beat_hz"] for row in rows} == {-100_000, 100_000}
    assert {row["reach"] for row in rows} == {expected}


# --- the three causes by example ----------------------------------------------------------------


@pytest.mark.parametrize(
    ("side", "dial", "oscillator_on", "wanted", "other"),
    [("high", 91_200_000, 101_900_000, "Low", 91_200_000), ("low", 101_900_000, 91_200_000, "High", 101_900_000)],
)  # fmt: skip
def test_three_causes_of_one_pair(side, dial, oscillator_on, wanted, other):
    """A - B = IF; the own oscillator on the one while the other is tuned in; that of another set tuned to the other."""
    (row,) = pairs(fm_set(side), StationList.from_frequencies([101_900_000, 91_200_000], ["High", "Low"]))
    assert row["stations"] == ("Low", "High")
    assert (row["low_hz"], row["high_hz"], row["difference_hz"]) == (91_200_000, 101_900_000, 10_700_000)
    assert (row["beat_hz"], row["reach"], row["oscillator"]) == (0, "sits-in", side)
    assert row["everywhere"] == "101.90 − 91.20 = 10.70"
    assert (row["dial_hz"], row["oscillator_on_hz"], row["wanted"]) == (dial, oscillator_on, wanted)
    assert row["own_oscillator"] == f"dial {dial / MHZ:.1f} ({wanted} tuned in): on {oscillator_on / MHZ:.2f}"
    assert row["other_sets_hz"] == (other,)


def test_unknown_side_is_answered_for_both():
    rows = pairs(fm_set("unknown"), StationList.from_frequencies([101_900_000, 91_200_000], ["High", "Low"]))
    assert [(row["oscillator"], row["dial_hz"]) for row in rows] == [
        ("high", 91_200_000),
        ("low", 101_900_000),
    ]


def test_off_the_scale_only_the_difference_is_left():
    (row,) = pairs(fm_set(), StationList.from_frequencies([75_000_000, 64_300_000]))
    assert (row["dial_hz"], row["oscillator_on_hz"], row["wanted"]) == (None, None, None)
    assert (row["own_oscillator"], row["other_sets_hz"]) == ("off the scale", ())


def test_the_oscillator_may_stand_on_the_lower_one_while_the_higher_one_is_the_image():
    # 106.4 on the oscillator at 95.7, and 117.1 two IFs above the dial.
    stations = StationList.from_frequencies([106_400_000, 117_100_000], ["Ferry", "Tower"])
    (row,) = pairs(fm_set(), stations)
    # With the dial on Ferry the oscillator stands on Tower, and Ferry is tuned in: that comes first.
    assert (row["dial_hz"], row["oscillator_on_hz"], row["wanted"]) == (106_400_000, 117_100_000, "Ferry")
    assert row["own_oscillator"] == (
        "dial 106.4 (Ferry tuned in): on 117.10; dial 95.7 (nobody tuned in): on 106.40"
    )
    short = fm_set(band=Band(low_hz=87_500_000, high_hz=104_000_000))
    (row,) = pairs(short, stations)
    assert (row["dial_hz"], row["oscillator_on_hz"], row["wanted"]) == (95_700_000, 106_400_000, None)
    assert row["other_sets_hz"] == ()


def test_who_is_tuned_in_follows_the_levels():
    stations = StationList.from_frequencies(
        [91_200_000, 101_950_000, 91_300_000], ["Weak", "High", "Strong"], level_dbuv=[20.0, 60.0, 80.0]
    )
    (row,) = [
        row for row in pairs(fm_set(front_end=FrontEnd()), stations) if row["stations"] == ("Weak", "High")
    ]
    assert (row["dial_hz"], row["wanted"]) == (91_250_000, "Strong")


# --- all pairs ----------------------------------------------------------------------------------


@st.composite
def sets_with_pairs(draw):
    bare = draw(plans(kinds=(FM, AM, SHORT_WAVE, UP_CONVERTING, CLOSE_BELOW)))
    plan = Plan(**bare.given() | {"front_end": draw(st.none() | st.just(FrontEnd()))})
    band, intermediate = plan.band, plan.conversion[0].intermediate_hz
    edge, burst = plan.if_filter.bandwidth_hz // 2, plan.if_filter.bandwidth_hz // 2 + 2 * band.deviation_hz
    steps = [sign * away + one for sign in (1, -1) for away in (0, edge, burst) for one in (-1, 0, 1)]
    hertz = draw(st.lists(st.integers(band.low_hz // 2, band.high_hz), min_size=1, max_size=4))
    for _ in range(draw(st.integers(0, 6))):
        apart = intermediate + draw(st.sampled_from(steps) | st.integers(-2 * burst, 2 * burst))
        hertz.append(draw(st.sampled_from(hertz)) + draw(st.sampled_from([1, -1])) * apart)
    hertz += draw(st.lists(st.sampled_from(hertz), max_size=2))
    hertz = [hz for hz in hertz if hz > 0]
    levels = [draw(st.none() | st.integers(20, 100)) for _ in hertz]
    return plan, StationList.from_frequencies(
        hertz, [f"S{place}" for place in range(len(hertz))], level_dbuv=levels
    )


def oscillator_hz(side, dial, intermediate):
    return {"high": dial + intermediate, "low": dial - intermediate, "sum": intermediate - dial}[side]


def dial_for(side, oscillator, intermediate):
    return {
        "high": oscillator - intermediate,
        "low": oscillator + intermediate,
        "sum": intermediate - oscillator,
    }[side]


def causes(plan, stations, side, low, high):
    """Own settings by the carrier that the oscillator stands on, and the tuning of other sets, in plain numbers."""
    band, intermediate = plan.band, plan.conversion[0].intermediate_hz
    window = plan.if_filter.bandwidth_hz + 4 * band.deviation_hz
    own = {}
    for carrier in (low, high):
        dial = dial_for(side, carrier, intermediate)
        if band.low_hz <= dial <= band.high_hz:
            wanted, _ = heard_there(plan, stations, dial)
            own[carrier] = (dial, None if wanted is None else wanted.name)
    others = {
        mine
        for mine, met in ((low, high), (high, low))
        if band.low_hz <= mine <= band.high_hz
        and 2 * abs(oscillator_hz(side, mine, intermediate) - met) <= window
    }
    return own, others


@given(sets_with_pairs())
@settings(max_examples=examples(200))
def test_pairs_are_those_of_a_loop(drawn):
    plan, stations = drawn
    told, intermediate = told_of(plan, stations), plan.conversion[0].intermediate_hz
    half, deviation = plan.if_filter.bandwidth_hz, plan.band.deviation_hz
    expected = {}
    for tuning in tunings(plan):
        for low in told:
            for high in told:
                beat = high.hertz - low.hertz - intermediate
                if high.hertz > low.hertz and 2 * abs(beat) <= half + 4 * deviation:
                    reach = "sits-in" if 2 * abs(beat) <= half else "bursts-only"
                    expected[tuning.side, low.name, high.name] = (low, high, beat, reach)
    rows = pairs(plan, stations)
    assert len(rows) == len(expected)
    for row in rows:
        low, high, beat, reach = expected[row["oscillator"], *row["stations"]]
        assert (row["low_hz"], row["high_hz"]) == (low.hertz, high.hertz)
        assert (row["difference_hz"], row["beat_hz"], row["reach"]) == (high.hertz - low.hertz, beat, reach)
        own, others = causes(plan, told, row["oscillator"], low.hertz, high.hertz)
        assert set(row["other_sets_hz"]) == others
        assert row["own_oscillator"].count("dial") == len(own)
        if not own:
            assert row["dial_hz"] is row["oscillator_on_hz"] is row["wanted"] is None
        else:
            assert own[row["oscillator_on_hz"]] == (row["dial_hz"], row["wanted"])


@given(sets_with_pairs())
def test_those_inside_the_filter_come_first_the_nearest_before(drawn):
    plan, stations = drawn
    rank = [(row["reach"] != "sits-in", abs(row["beat_hz"])) for row in pairs(plan, stations)]
    assert rank == sorted(rank)
    if plan.band.modulation == "am":
        assert not any(outside for outside, _ in rank)


@given(sets_with_pairs())
def test_the_oscillator_stands_where_the_row_says_and_the_other_is_the_if_away(drawn):
    plan, stations = drawn
    intermediate = plan.conversion[0].intermediate_hz
    for row in pairs(plan, stations):
        if row["dial_hz"] is not None:
            on = oscillator_hz(row["oscillator"], row["dial_hz"], intermediate)
            other = row["low_hz"] + row["high_hz"] - row["oscillator_on_hz"]
            assert on == row["oscillator_on_hz"]
            assert abs(abs(other - on) - intermediate) == abs(row["beat_hz"])


# --- in the results -----------------------------------------------------------------------------


def test_the_table_follows_the_ghosts_and_is_in_the_json():
    answer = survey(fm_set(), StationList.from_frequencies([101_900_000, 91_200_000])).to_dict()
    (row,) = answer["if_pairs"]
    assert tuple(row) == COLUMNS
    assert (row["dial_hz"], row["other_sets_hz"]) == (91_200_000, [91_200_000])
    names = list(answer)
    assert names.index("if_pairs") == names.index("products") + 1


@pytest.mark.parametrize("front_end", [None, FrontEnd()])
def test_without_stations_or_pairs(front_end):
    plan = fm_set(front_end=front_end)
    assert "if_pairs" not in survey(plan).to_dict()
    for hertz in ([], [98_000_000], [98_000_000, 98_000_000]):
        answer = survey(plan, StationList.from_frequencies(hertz)).to_dict()
        assert answer["if_pairs"] == []
        assert answer["neighbours"] == []


def test_stations_on_one_carrier_are_pairs_of_their_own():
    rows = pairs(
        fm_set(), StationList.from_frequencies([91_200_000, 101_900_000, 101_900_000], ["A", "B", "C"])
    )
    assert [row["stations"] for row in rows] == [("A", "B"), ("A", "C")]


def test_an_if_below_the_deviation_pairs_nobody_with_himself_or_twice():
    plan = Plan(
        band=Band(low_hz=87_500_000, high_hz=108_000_000),
        conversion=(Conversion(intermediate_hz=100_000, oscillator="high"),),
    )
    rows = pairs(plan, StationList.from_frequencies([98_000_000, 98_050_000], ["A", "B"]))
    assert [(row["stations"], row["beat_hz"]) for row in rows] == [(("A", "B"), -50_000)]


def test_more_pairs_than_anybody_reads_are_refused():
    side = int(MOST_LANDINGS**0.5) + 1
    stations = StationList.from_frequencies([91_200_000] * side + [101_900_000] * side)
    with pytest.raises(ModelRangeError, match="shorten the station list"):
        if_pairs(fm_set(), tunings(fm_set()), stations)
