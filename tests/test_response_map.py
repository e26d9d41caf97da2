"""The response map: lines fulfil the equation, marks are ghosts, words cover nothing, and it is drawn for every set."""

from __future__ import annotations

import re
from collections import Counter
from fractions import Fraction

import pytest
from pictures import EVERY_PLAN, HOSTILE, SVG, demo, listed, root_of, size_mm, words_apart, words_in
from thoroughness import some

from freqplan.charts.drawing import DASHES
from freqplan.charts.map_lines import FRAME, HIGHEST_ORDER, MOST_SLOPING, map_of
from freqplan.charts.map_parts import NAMING
from freqplan.charts.map_picture import styles
from freqplan.charts.response_map import MOST_HEARD, response_map
from freqplan.plan import Band, Conversion, Plan
from freqplan.surveys import survey

ORVESSA = listed(80)
OSCILLATOR = {
    "high": lambda dial, own_if: dial + own_if,
    "low": lambda dial, own_if: dial - own_if,
    "sum": lambda dial, own_if: own_if - dial,
}
"""By hand, so that it does not come from the engine."""


def up_converting(side="sum"):
    return Plan(
        title="Tower set",
        band=Band(low_hz=150_000, high_hz=30_000_000, first_channel_hz=150_000, modulation="am"),
        conversion=(Conversion(intermediate_hz=45_000_000, oscillator=side),),
    )


PLANS = (
    *EVERY_PLAN,
    pytest.param(up_converting(), id="sum"),
    pytest.param(up_converting("unknown"), id="high-or-sum"),
)


def lines_of(shown):
    return [(side.side, line) for side in shown.sides for line in (*side.lines, *side.left_out)]


# What stands on it


@pytest.mark.parametrize("plan", PLANS)
def test_both_ends_of_every_line_fulfil_the_mixing_equation(plan):
    own_if = plan.conversion[0].intermediate_hz
    for side, line in lines_of(map_of(survey(plan))):
        mechanism, _, m, n, e, name, *_ = line.key
        for dial, signal in zip(line.dial_hz, line.signal_hz, strict=True):
            oscillator = OSCILLATOR[side](dial, own_if)
            if mechanism == "oscillator-on-station":
                assert signal == oscillator
            elif name is None:
                assert e * (n * oscillator - m * signal) == own_if


@pytest.mark.parametrize("plan", PLANS)
def test_the_wanted_line_is_the_dial_setting_itself(plan):
    for side in map_of(survey(plan)).sides:
        assert [line.signal_hz == line.dial_hz for line in side.lines] == [True] + [False] * (
            len(side.lines) - 1
        )


@pytest.mark.parametrize("plan", PLANS)
def test_drawn_and_left_out_are_together_the_table_of_responses(plan):
    answer = survey(plan)
    shown = map_of(answer)
    table = Counter(tuple(row[name] for name in NAMING) for row in answer.responses.rows())
    # What matters only where a station is listed is no row there, such as sidebands and the oscillator itself.
    named = {key[0] for key in table}
    found = Counter(line.key for _, line in lines_of(shown) if line.mechanism in named)
    assert found == table


@pytest.mark.parametrize("plan", PLANS)
def test_image_and_half_if_are_always_drawn_and_never_too_many(plan):
    for side in map_of(survey(plan)).sides:
        assert not [line.mechanism for line in side.left_out if line.mechanism in FRAME]
        assert sum(line.is_sloping for line in side.lines) <= MOST_SLOPING + 1 == len(DASHES)
        assert max(line.order for line in side.lines) <= HIGHEST_ORDER
        assert [line.order for line in side.lines] == sorted(line.order for line in side.lines)


@pytest.mark.parametrize("stations", [ORVESSA, listed(10), listed(300)], ids=["80", "10", "300"])
@pytest.mark.parametrize("plan", PLANS)
def test_every_mark_is_a_ghost_of_the_table_and_lies_on_its_line(plan, stations):
    answer = survey(plan, stations)
    shown, ghosts = map_of(answer), list(answer.ghosts.rows())
    seen = set()
    for side in shown.sides:
        for mark in side.crossings:
            line, ghost = side.lines[mark.line], ghosts[mark.row]
            assert tuple(ghost[name] for name in NAMING) == line.key
            assert (ghost["dial_hz"], ghost["station_hz"]) == (mark.dial_hz, mark.station_hz)
            assert mark.heard == (None if ghost["margin_db"] is None else ghost["margin_db"] < 0)
            (first, last), (low, high) = line.dial_hz, line.signal_hz
            assert low + Fraction(mark.dial_hz - first) * (high - low) / (last - first) == mark.station_hz
            assert shown.low_hz <= mark.station_hz <= shown.high_hz
            seen.add(mark.row)
    drawn = {line.key for side in shown.sides for line in side.lines}
    assert seen == {
        row
        for row, ghost in enumerate(ghosts)
        if tuple(ghost[name] for name in NAMING) in drawn
        and ghost["dial_hz"] is not None
        and shown.low_hz <= ghost["station_hz"] <= shown.high_hz
    }


def test_the_pantry_set_by_hand():
    shown = map_of(survey(demo("pantry"), ORVESSA))
    (side,) = shown.sides
    image = next(line for line in side.lines if line.mechanism == "image")
    assert image.range_hz == (108_900_000, 129_400_000)
    heard = [(mark.station_hz, side.lines[mark.line].mechanism) for mark in side.crossings if mark.heard]
    assert (120_650_000, "image") in heard
    assert (101_200_000, "half-if") in heard
    # Half an IF below the station.
    assert any(mark.dial_hz == 95_850_000 and mark.station_hz == 101_200_000 for mark in side.crossings)
    inside = [hertz for hertz in ORVESSA.frequency_hz.tolist() if shown.low_hz <= hertz <= shown.high_hz]
    assert [one.frequency_hz for one in shown.stations] == sorted(inside)
    assert "aeronautical voice" in [service.name for service in shown.services]


def test_an_if_just_below_the_band_is_in_the_picture_and_one_far_off_is_not():
    near, far = (map_of(survey(demo(name))) for name in ("attic", "pantry"))
    assert near.low_hz < 455_000
    assert "if-breakthrough" in [line.mechanism for line in near.sides[0].lines]
    assert far.low_hz > 80_000_000


# How it is drawn


@pytest.mark.parametrize(
    ("plan", "count"),
    some(
        [
            *(pytest.param(*one.values, count, id=f"{one.id}-{count}") for one in PLANS for count in (0, 80)),
            *((demo(name), count) for name in ("pantry", "shed", "balcony") for count in (1, 10, 300)),
        ]
    ),
)
def test_it_is_drawn_for_every_kind_of_set_and_no_words_cover_others(plan, count):
    chart = response_map(survey(plan, listed(count) if count else None))
    (picture,) = chart.pictures
    width, height = size_mm(picture)
    assert (width, height <= 250) == (180, True)
    words = list(words_in(picture))
    assert min(one.size_pt for one in words) >= 7
    assert all(0 <= one.x_mm <= width and 0 <= one.y_mm <= height for one in words)
    assert words_apart(picture) == []
    unit = plan.rounding.unit
    assert {f"Dial setting, {unit}", f"Signal received, {unit}"} <= {one.says for one in words}


@pytest.mark.parametrize("plan", PLANS)
def test_no_two_lines_of_a_side_look_alike_even_without_colour(plan):
    for side in map_of(survey(plan)).sides:
        looks = [(style["linewidth"], style.get("dashes", ())) for style in styles(side.lines)]
        assert len(looks) == len(set(looks))


def test_the_image_looks_the_same_on_either_side():
    high, low = map_of(survey(demo("pantry").with_changes(oscillator="unknown"))).sides
    for name in FRAME:
        one, other = (
            [
                style
                for line, style in zip(side.lines, styles(side.lines), strict=True)
                if line.mechanism == name
            ]
            for side in (high, low)
        )
        assert one == other


def test_what_is_heard_is_numbered_and_listed_worst_first():
    answer = survey(demo("pantry"), ORVESSA)
    says = [one.says for one in words_in(response_map(answer).pictures[0])]
    worst = next(answer.ghosts.rows())
    assert any(text.startswith(f"1: {worst['station']} 101.20 by {worst['mechanism']}") for text in says)
    numbered = [text for text in says if re.match(r"\d: ", text)]
    assert 1 <= len(numbered) <= MOST_HEARD
    assert {str(number) for number in range(1, len(numbered) + 1)} <= set(says)


def test_without_a_front_end_nothing_is_said_to_be_heard():
    plan = Plan(**(demo("pantry").given() | {"front_end": None}))
    chart = response_map(survey(plan, ORVESSA))
    assert not [one for one in words_in(chart.pictures[0]) if re.match(r"\d: ", one.says)]
    assert "it comes in, how strong is not known" in [one.says for one in words_in(chart.pictures[0])]


def test_safety_services_are_hatched():
    hatched = [one for one in root_of(response_map(survey(demo("pantry"))).pictures[0]).iter(f"{SVG}pattern")]
    assert hatched
    plain = response_map(survey(demo("pantry"))).caption
    assert "Lives depend on the services hatched on the left." in plain


def test_the_words_in_place_of_the_picture_hold_its_main_figures():
    answer = survey(demo("pantry"), ORVESSA)
    chart = response_map(answer)
    by_image = [row for row in answer.ghosts.rows() if row["mechanism"] == "image"]
    heard = sum(row["margin_db"] is not None and row["margin_db"] < 0 for row in by_image)
    assert (
        f"Image (1, 1, -1) runs from 108.90 to 129.40 MHz; {len(by_image)} of 80 stations come in by it, "
        f"{heard} heard by level."
    ) in chart.alt
    assert root_of(chart.pictures[0]).find(f"{SVG}desc").text == chart.alt


def test_the_caption_names_what_is_not_drawn_with_its_range():
    chart = response_map(survey(demo("pantry")))
    assert "Not drawn: if-breakthrough (1, 0, -1) 10.70 MHz; " in chart.caption
    assert "signal-harmonic (2, 1, +1) 43.75-54.00 MHz" in chart.caption
    (side,) = map_of(survey(demo("pantry"))).sides
    assert f"and {len(side.left_out) - 6} of higher order." in chart.caption


def test_hostile_names_are_only_text():
    plan = demo("pantry")
    stations = listed(300)
    assert stations.names[0] == HOSTILE
    chart = response_map(survey(Plan(**(plan.given() | {"title": HOSTILE})), stations))
    root = root_of(chart.pictures[0])
    assert not list(root.iter(f"{SVG}script"))
    assert "<script>" in chart.title
    assert "\x07" not in chart.title + chart.caption + chart.alt
