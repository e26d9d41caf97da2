"""Ranges of the IF: worked cases, published values, and the laws that hold for any set."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest

from freqplan import Band, Conversion, ModelRangeError, Orders, Plan, compare, if_ranges
from freqplan.if_choices import EVERY, MECHANISMS
from freqplan.if_edges import Room, edges_of
from freqplan.mixing import Combinations, Tuning

KHZ, MHZ = 1000, 1_000_000
BOTH = pytest.mark.parametrize("side", ["high", "low"])


def plan_of(low, high, *, side="high", intermediate=10_700 * KHZ, orders=(5, 5), **more):
    m, n = orders
    return Plan(
        band=Band(low_hz=low, high_hz=high, **more),
        conversion=(Conversion(intermediate_hz=intermediate, oscillator=side),),
        orders=Orders(signal=m, oscillator=n, if_harmonic=13),
    )


def fm(side="high", **more):
    return plan_of(87_500 * KHZ, 108 * MHZ, side=side, **more)


def key(row):
    return tuple(row.get(name) for name in ("mechanism", "m", "n", "e", "k"))


def edges_by_name(result, **wanted):
    """Return the edges of the rows that have these values."""
    return [
        (row["low_hz"], row["high_hz"])
        for row in result.edges.rows()
        if all(row[name] == value for name, value in wanted.items())
    ]


def responses_at(result, intermediate_hz):
    """Return what the ranges that hold an IF name, and for each side."""
    found = {}
    for row in result.ranges.rows():
        if row["low_hz"] <= intermediate_hz <= row["high_hz"]:
            found.setdefault(row["oscillator"], set()).update(map(key, row["responses"]))
    return found


# Worked cases


@BOTH
def test_an_image_is_in_the_band_up_to_half_its_width(side):
    result = if_ranges(fm(side), MHZ, 50 * MHZ, ["image"])
    assert edges_by_name(result, mechanism="image") == [(MHZ, 10_250 * KHZ)]
    (clear,) = result.clear.to_dicts()
    assert (clear["low_hz"], clear["high_hz"]) == (10_250 * KHZ, 50 * MHZ)
    assert (clear["low_exact"], clear["high_exact"]) == ("10250000/1", "50000000/1")
    assert clear["width_hz"] == 39_750 * KHZ


@BOTH
@pytest.mark.parametrize(
    ("intermediate_hz", "image", "harmonics"),
    [
        (8_300 * KHZ, True, {11: 91_300, 12: 99_600, 13: 107_900}),
        (10_700 * KHZ, False, {9: 96_300, 10: 107_000}),
        (21_400 * KHZ, False, {5: 107_000}),
    ],
)
def test_three_usual_ifs(side, intermediate_hz, image, harmonics):
    (named,) = responses_at(if_ranges(fm(side), 5 * MHZ, 30 * MHZ), intermediate_hz).values()
    assert any(name == "image" for name, *_ in named) is image
    assert {k: k * intermediate_hz // KHZ for *_, k in named if k is not None} == harmonics


@pytest.mark.parametrize(
    ("side", "e", "clear_from_khz"), [("high", -1, 10_000), ("low", 1, 10_000)], ids=["high", "low"]
)
def test_88_to_108_has_images_out_of_the_band_from_10_mhz(side, e, clear_from_khz):
    # Stanley & Jeffords, Electronic Communications, ex. 5.12 (read): 88-108 and 10.7 give an oscillator on 98.7-118.7
    # or 77.3-97.3, images on 109.4-129.4 or 66.6-86.6: 1.4 MHz clear of the band, twice what 10.7 has above 10.0.
    result = if_ranges(plan_of(88 * MHZ, 108 * MHZ, side=side), 5 * MHZ, 20 * MHZ, ["image"])
    assert edges_by_name(result, mechanism="image", e=e) == [(5 * MHZ, clear_from_khz * KHZ)]
    tuning = Tuning(side, 10_700 * KHZ)
    oscillator = [tuning.oscillator_hz(dial) for dial in (88 * MHZ, 108 * MHZ)]
    expected = {"high": (98_700, 118_700, 109_400), "low": (77_300, 97_300, 86_600)}[side]
    assert oscillator == [expected[0] * KHZ, expected[1] * KHZ]
    near = oscillator[0] + 10_700 * KHZ if side == "high" else oscillator[1] - 10_700 * KHZ
    assert near == expected[2] * KHZ
    beyond = near - 108 * MHZ if side == "high" else 88 * MHZ - near
    assert beyond == 2 * (10_700 * KHZ - clear_from_khz * KHZ)


def test_harmonics_of_a_medium_wave_if():
    # Roddy & Coolen, ex. 7.3.1 (read): 550-1600 kHz with 455 kHz.  910 and 1365 kHz as the whistles of such a set:
    # common practice, no source; exact from the equation.
    plan = plan_of(550 * KHZ, 1600 * KHZ, intermediate=455 * KHZ, modulation="am")
    result = if_ranges(plan, 100 * KHZ, 600 * KHZ)
    (named,) = responses_at(result, 455 * KHZ).values()
    assert {k * 455 for *_, k in named if k is not None} == {910, 1365}
    assert edges_by_name(result, k=3) == [(Fraction(550 * KHZ, 3), Fraction(1600 * KHZ, 3))]
    assert edges_by_name(result, mechanism="image") == [(100 * KHZ, 525 * KHZ)]


def test_where_the_ninth_and_tenth_harmonic_of_the_if_meet_the_band():
    # Public engineering list discussion of a 1957 channel move, 1999 (read): the 9th of 10.7 is 96.3, and the 10th of
    # a passband of 10.625-10.775 spans 106.25-107.75.
    result = if_ranges(fm(), 8 * MHZ, 13 * MHZ)
    for k in (9, 10):
        assert edges_by_name(result, k=k) == [(Fraction(87_500 * KHZ, k), Fraction(108 * MHZ, k))]
    (named,) = responses_at(result, 10_700 * KHZ).values()
    assert {k * 10_700 for *_, k in named if k is not None} == {96_300, 107_000}
    for intermediate_hz in (10_625 * KHZ, 10_775 * KHZ):
        (named,) = responses_at(result, intermediate_hz).values()
        assert {k * intermediate_hz // KHZ for *_, k in named if k == 10} & {106_250, 107_750}


def test_half_if_is_in_the_band_up_to_twice_its_width():
    result = if_ranges(fm(), MHZ, 50 * MHZ)
    # fX = fT + fI/2 and fT + 3 fI/2 within 20.5 MHz
    assert edges_by_name(result, mechanism="half-if", e=1) == [(MHZ, 41 * MHZ)]
    assert edges_by_name(result, mechanism="half-if", e=-1) == [(MHZ, Fraction(41 * MHZ, 3))]
    # 2 fI >= 87.5 from 43.75 on, 3 fI <= 108 up to 36
    assert [(row["low_hz"], row["high_hz"]) for row in result.clear.rows()] == [(41 * MHZ, 43_750 * KHZ)]


def test_a_hertz_beyond_its_edge_a_response_is_no_longer_in_the_band():
    assert edges_by_name(if_ranges(fm(), 41 * MHZ, 50 * MHZ), mechanism="half-if", e=1) == [(41 * MHZ,) * 2]
    assert edges_by_name(if_ranges(fm(), 41 * MHZ + 1, 50 * MHZ), mechanism="half-if", e=1) == []


def test_edges_come_lowest_order_first_and_of_equals_responses_before_harmonics():
    rows = list(if_ranges(fm(), MHZ, 50 * MHZ).edges.rows())
    places = [(row["k"] or row["m"] + abs(row["n"]), row["k"] is not None) for row in rows]
    assert places == sorted(places)
    assert len(places) == 30


def test_with_every_response_up_to_orders_2_2_kept_out_nothing_is_clear():
    plan = fm(orders=(2, 2))
    result = if_ranges(plan, MHZ, 50 * MHZ, [EVERY])
    assert len(result.clear) == 0
    worst = next(result.obstacles.rows())
    assert worst["mechanism"] == "half-if"
    assert any(
        "no IF is clear; half-if forbids most, 40.00 of 49.00 MHz" in line for line in result.headlines
    )


def test_a_sum_converter_begins_above_the_band():
    plan = plan_of(500 * KHZ, 30 * MHZ, side="sum", intermediate=45 * MHZ, modulation="am")
    result = if_ranges(plan, MHZ, 100 * MHZ, ["image"])
    (clear,) = result.clear.to_dicts()
    # The image at 2 fI - fT lies above the band for every IF that is possible; the IF over two does not up to 60 MHz.
    assert (clear["low_hz"], clear["high_hz"]) == (30 * MHZ, 100 * MHZ)
    assert edges_by_name(result, mechanism="if-breakthrough", m=2) == [(30 * MHZ, 60 * MHZ)]
    assert any("must lie above 30 MHz" in text for text in result.assumptions)


def test_a_low_side_ends_at_the_band():
    result = if_ranges(fm("low"), 80 * MHZ, 100 * MHZ)
    last = list(result.ranges.rows())[-1]
    assert last["high_hz"] == 87_500 * KHZ
    assert any("must lie below 87.5 MHz" in text for text in result.assumptions)
    # The IF itself comes into the band from 87.5 MHz on, which is no possible IF.
    assert edges_by_name(result, mechanism="if-breakthrough", m=1) == []


def test_an_edge_at_the_first_if_asked_for_is_told_and_makes_no_range():
    result = if_ranges(fm(), 10_250 * KHZ, 11 * MHZ, "image")
    assert edges_by_name(result, mechanism="image") == [(10_250 * KHZ, 10_250 * KHZ)]
    assert all(row["low_hz"] < row["high_hz"] for row in result.ranges.rows())
    assert [(row["low_hz"], row["high_hz"]) for row in result.clear.rows()] == [(10_250 * KHZ, 11 * MHZ)]


def test_a_side_that_is_not_given_is_answered_for_each_that_is_possible():
    assert {row["oscillator"] for row in if_ranges(fm("unknown"), MHZ, 50 * MHZ).ranges.rows()} == {
        "high",
        "low",
    }
    result = if_ranges(fm(), MHZ, 150 * MHZ, oscillator="unknown")
    assert [room.side for room in result.rooms] == ["high", "low", "sum"]


def test_a_mechanism_beyond_the_orders_is_said_to_keep_nothing_out():
    result = if_ranges(fm().with_changes(orders=(1, 1)), MHZ, 50 * MHZ)
    assert any("Beyond the orders" in text and text.endswith("out: half-if.") for text in result.assumptions)


def test_too_many_names_are_counted_instead(monkeypatch):
    whole = if_ranges(fm(), MHZ, 50 * MHZ)
    names = sum(len(row["responses"]) for row in whole.ranges.rows())
    monkeypatch.setattr("freqplan.if_choices.MOST_NAMES", names)
    assert if_ranges(fm(), MHZ, 50 * MHZ).ranges.values("responses") == whole.ranges.values("responses")
    monkeypatch.setattr("freqplan.if_choices.MOST_NAMES", names - 1)
    short = if_ranges(fm(), MHZ, 50 * MHZ)
    assert set(short.ranges.values("responses")) == {None}
    assert short.ranges.values("in_band") == whole.ranges.values("in_band")
    assert any(f"would hold {names} names" in text for text in short.assumptions)
    assert len(short.edges) == len(whole.edges)


def test_the_highest_orders_are_answered():
    plan = Plan(
        band=Band(low_hz=100 * KHZ, high_hz=299_000 * MHZ),
        conversion=(Conversion(intermediate_hz=10 * MHZ, oscillator="high"),),
        orders=Orders(signal=25, oscillator=25, if_harmonic=100),
    )
    result = if_ranges(plan, 1, 300_000 * MHZ, [EVERY])
    assert result.ranges.values("low_hz")[0] == 1
    assert result.ranges.values("high_hz")[-1] == 300_000 * MHZ
    for row in result.edges.rows():
        if row["k"] is not None:
            assert row["low_hz"] == max(1, Fraction(100 * KHZ, row["k"]))
            assert row["high_hz"] == min(300_000 * MHZ, Fraction(299_000 * MHZ, row["k"]))


def test_edges_a_ten_thousandth_of_a_hertz_apart_are_told_apart():
    # 99 x 99,999,999 - 100 x 98,999,999 = 1, so harmonic 100 leaves the band 1/9900 Hz after harmonic 99 has come in.
    plan = Plan(
        band=Band(low_hz=98_999_999, high_hz=99_999_999),
        conversion=(Conversion(intermediate_hz=10_700 * KHZ, oscillator="high"),),
        orders=Orders(signal=1, oscillator=1, if_harmonic=100),
    )
    rows = list(if_ranges(plan, 999 * KHZ, 1001 * KHZ).ranges.rows())
    (narrow,) = [row for row in rows if row["high_hz"] - row["low_hz"] == Fraction(1, 9900)]
    assert {one["k"] for one in narrow["responses"] if "k" in one} == {99, 100}


def test_harmonics_of_a_later_if_say_nothing_about_the_first():
    one = fm()
    two = Plan(
        band=one.band,
        conversion=(*one.conversion, Conversion(intermediate_hz=1_700 * KHZ, oscillator="low")),
        orders=Orders(signal=5, oscillator=5, if_harmonic=60),
    )
    # 1.7 x 52 = 88.4 is in the band whatever the first IF is.
    result = if_ranges(two, 44 * MHZ, 50 * MHZ)
    assert {row["k"] for row in result.edges.rows()} == {None, 2}
    assert any("first is looked at" in text for text in result.assumptions)


def test_the_headline_names_the_widest_range_and_the_assumptions_what_is_not_counted():
    result = if_ranges(fm("unknown"), MHZ, 40 * MHZ, ["if-harmonic"])
    clear = [row for row in result.clear.rows() if row["oscillator"] == "high"]
    widest = max(clear, key=lambda row: row["width_hz"])
    # Harmonics 13 to 5 leave no gap from 87.5/13 to 108/5: the widest lies below, where higher ones are not followed.
    assert (widest["low_hz"], widest["high_hz"]) == (MHZ, Fraction(87_500 * KHZ, 13))
    assert f"Oscillator high: clear are 1.00-6.73 MHz, the widest of {len(clear)} ranges" in result.headlines
    told = " ".join(result.assumptions)
    assert "followed up to number 13" in told
    assert "with IFs up to 7.714285 MHz, are not counted" in told
    assert "answered for high and low" in told
    assert "number 13" not in " ".join(if_ranges(fm(), 8 * MHZ, 40 * MHZ).assumptions)


def test_compare_and_the_ranges_agree_about_images_and_harmonics():
    plan = fm("unknown")
    ifs = [8_300 * KHZ, 10_250 * KHZ, 10_250 * KHZ + 1, 10_700 * KHZ, 21_400 * KHZ]
    result = if_ranges(plan, MHZ, 40 * MHZ)
    edges = {side: list(result.edges.rows()) for side in ("high", "low")}
    for row in compare(plan, ifs).plans.rows():
        hz, side = row["intermediate_hz"], row["oscillator"]
        own = [e for e in edges[side] if e["oscillator"] == side and e["low_hz"] <= hz <= e["high_hz"]]
        assert any(e["mechanism"] == "image" for e in own) == (row["in_band_image_dial"] is not None)
        assert [e["k"] * hz for e in own if e["k"]] == list(row["if_harmonics_hz"])


BAND = "87.50-108.00 MHz FM, IF from"


@pytest.mark.parametrize(
    ("question", "lines"),
    [
        (
            (8_000_001, 50 * MHZ, ["image", "half-if"]),
            (
                f"{BAND} 8.000001 MHz to 50 MHz, kept out of the band: image, half-if",
                "clear are 41.00-50.00 MHz",
            ),
        ),
        (
            (MHZ, 40 * MHZ, ["if-harmonic"]),
            (
                f"{BAND} 1 MHz to 40 MHz, kept out of the band: if-harmonic up to number 13",
                "clear are 1.00-6.73 MHz, the widest of 4 ranges",
            ),
        ),
        (
            (MHZ, 20 * MHZ, ["half-if"]),
            (
                f"{BAND} 1 MHz to 20 MHz, kept out of the band: half-if",
                "no IF is clear; half-if forbids most, 19.00 of 19.00 MHz",
            ),
        ),
    ],
)
def test_the_answer_begins_with_what_was_asked_and_what_is_clear(question, lines):
    result = if_ranges(fm(), *question)
    assert result.headlines == (lines[0], f"Oscillator high: {lines[1]}")
    low_hz, high_hz, keep_out = question
    assert result.heading == {"from_hz": low_hz, "to_hz": high_hz, "keep_out": keep_out}
    assert result.sides == (Tuning("high", 10_700 * KHZ),)


@pytest.mark.parametrize(
    ("side", "question", "told"),
    [
        ("low", {}, "with the oscillator low the IF must lie below 87.5 MHz, or the oscillator would come down "
         "to zero; none from 90 MHz to 100 MHz does"),
        ("high", {"oscillator": "sum"}, "with the oscillator sum the IF must lie above 108 MHz, or the oscillator "
         "would come down to zero; none from 90 MHz to 100 MHz does"),
        ("high", {"oscillator": "hig"}, "oscillator 'hig': write high, low, sum or unknown"),
        ("high", {"keep_out": ["imag", "qqq"]}, 'to keep out "imag" (did you mean "image"?), "qqq" is not possible; '
         f"there are: {', '.join((*MECHANISMS, EVERY))}"),
        ("high", {"keep_out": []},
         f"to keep out nothing is not possible; there are: {', '.join((*MECHANISMS, EVERY))}"),
        ("high", {"low_hz": 0.5},
         "intermediate frequency 0.5 is no whole number of hertz; give for example 98_100_000"),
    ],
)  # fmt: skip
def test_a_bad_question_is_told_what_is_wrong_and_what_there_is(side, question, told):
    with pytest.raises(ModelRangeError) as error:
        if_ranges(fm(side), **{"low_hz": 90 * MHZ, "high_hz": 100 * MHZ, **question})
    assert str(error.value) == told


def test_the_one_if_that_the_band_ends_on_lies_inside_it():
    assert (
        if_ranges(fm(), 108 * MHZ, 120 * MHZ).cautions[0].startswith("IFs from 108 MHz to 108 MHz lie inside")
    )


@pytest.mark.parametrize(("beside_hz", "met"), [(0, True), (1, False)])
@pytest.mark.parametrize("sense", [1, -1])
def test_what_the_if_has_no_say_in_is_met_at_all_ifs_or_at_none(beside_hz, met, sense):
    # fT - fX runs from -20.5 to 20.5 MHz: a fixed part of 20.5 MHz against it is just met, at one pair of ends.
    plan, one = fm(), np.ones(1, dtype=np.int64)
    fixed = sense * (20_500 * KHZ + beside_hz) * one
    low, high = edges_of(
        plan.band, Combinations(one, 0 * one, -one, 10_700 * KHZ, fixed), Room("high", MHZ, 9 * MHZ)
    )
    assert (low.exact(), high.exact()) == (([MHZ], [9 * MHZ]) if met else ([None], [None]))


# Bad questions


@pytest.mark.parametrize(
    "ends", [(10 * MHZ, 10 * MHZ), (11 * MHZ, 10 * MHZ), (0, MHZ), (-MHZ, MHZ), (MHZ, 4 * 10**11)]
)
def test_what_is_no_range_is_refused(ends):
    with pytest.raises(ModelRangeError, match="no range of IFs"):
        if_ranges(fm(), *ends)


def test_every_unknown_mechanism_is_named_with_the_nearest():
    with pytest.raises(ModelRangeError) as error:
        if_ranges(fm(), MHZ, 50 * MHZ, ["imag", "image", "self-mixing", "qqq"])
    text = str(error.value)
    assert '"imag" (did you mean "image"?)' in text
    assert '"self-mixing"' in text
    assert '"qqq",' not in text
    assert '"qqq"' in text
    assert all(name in text for name in MECHANISMS)


@pytest.mark.parametrize("keep_out", [[], ""])
def test_nothing_to_keep_out_is_refused(keep_out):
    with pytest.raises(ModelRangeError, match="to keep out"):
        if_ranges(fm(), MHZ, 50 * MHZ, keep_out)


def test_the_range_told_in_the_headline_is_rounded_into_itself():
    """87.5 MHz / 3 is 29.1666... MHz: at 29.17 its third harmonic would be in the band again."""
    result = if_ranges(fm(), 25_000_000, 30_000_000, keep_out=["if-harmonic"])
    assert "27.00-29.16 MHz" in " ".join(result.headlines)
    assert result.clear.values("high_exact")[-1] == "87500000/3"


def test_ifs_inside_the_band_are_said_to_be_there():
    assert any("inside the tuned band" in text for text in if_ranges(fm(), 60_000_000, 150_000_000).cautions)
    assert not any(
        "inside the tuned band" in text for text in if_ranges(fm(), 5_000_000, 30_000_000).cautions
    )


def test_both_ends_of_the_widest_range_are_rounded_into_it():
    """Harmonics 7 and 6 of an IF leave 108/7 to 100/6 MHz to a band of 100-108 MHz; then 18.0-18.2 is clear as well."""
    plan = Plan(**(fm().given() | {"band": {"low_hz": 100 * MHZ, "high_hz": 108 * MHZ}}))
    result = if_ranges(plan, 15 * MHZ, 18_200 * KHZ, ["if-harmonic"])
    assert result.headlines[1] == "Oscillator high: clear are 15.43-16.66 MHz, the widest of 2 ranges"


@pytest.mark.parametrize(
    ("side", "region", "named", "not_named"),
    [
        ("high", 1, "aeronautical voice (off routes)", "emergency services"),
        ("high", 2, "emergency services", "(off routes)"),
        ("low", 1, "", "aeronautical"),
    ],
)
def test_services_are_those_of_the_region_on_the_side_of_the_oscillator(side, region, named, not_named):
    plan = Plan(**(fm(side).given() | {"region": region}))
    said = " ".join(if_ranges(plan, 45 * MHZ, 46 * MHZ, ["image"]).cautions)
    assert named in said
    assert not_named not in said
