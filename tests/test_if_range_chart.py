"""The chart of IFs: its bars are those of the table of edges, its clear ranges those of if-ranges."""

from __future__ import annotations

from itertools import combinations, pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pictures import EVERY_PLAN, HOSTILE, demo, size_mm, words_in

from freqplan.charts.if_bars import TITLES, WIDEST, Bar, if_bars, usual_range_hz
from freqplan.charts.if_picture import MOST_LANES, TITLES_MM, Across, lanes
from freqplan.charts.if_range import if_range_chart
from freqplan.errors import ModelRangeError
from freqplan.if_choices import KEPT_OUT, MECHANISMS, if_ranges
from freqplan.plan import Plan


def bars_of(shown):
    return {(side.side, row.mechanism, bar) for side in shown.sides for row in side.rows for bar in row.bars}


# What is drawn


def test_every_mechanism_has_a_title_and_what_is_kept_out_comes_first():
    assert set(TITLES) == set(MECHANISMS)
    assert set(list(TITLES)[: len(KEPT_OUT)]) == set(KEPT_OUT)


@pytest.mark.parametrize("plan", EVERY_PLAN)
def test_bars_are_the_rows_of_the_table_of_edges(plan):
    shown = if_bars(plan)
    table = if_ranges(plan, shown.low_hz, shown.high_hz)
    expected = []
    for row in table.edges.rows():
        name = f"{row['k']} × IF" if row["k"] is not None else f"{row['m']},{row['n']}"
        expected.append((row["oscillator"], row["mechanism"], Bar(row["low_hz"], row["high_hz"], name)))
    assert sum(len(row.bars) for side in shown.sides for row in side.rows) == len(expected)
    assert bars_of(shown) == set(expected)
    assert [side.side for side in shown.sides] == [room.side for room in table.rooms]


@pytest.mark.parametrize("plan", EVERY_PLAN)
def test_clear_ranges_hold_none_of_the_bars_kept_out_and_their_edges_are_edges_of_bars(plan):
    shown = if_bars(plan)
    for side in shown.sides:
        for clear in side.clear:
            kept = [
                row for row in side.rows if row.kept_out and not row.title.endswith(clear.but_for or "\0")
            ]
            bars = [bar for row in kept for bar in row.bars]
            edges = {side.low_hz, side.high_hz, *(end for bar in bars for end in (bar.low_hz, bar.high_hz))}
            for low, high in clear.spans:
                assert {low, high} <= edges
                assert not any(bar.low_hz < high and bar.high_hz > low for bar in bars)


def test_the_pantry_set_by_hand():
    shown = if_bars(demo("pantry"))
    assert (shown.low_hz, shown.high_hz, shown.own_hz, shown.tolerance_hz) == (
        4_000_000, 30_000_000, 10_700_000, 30_000,
    )  # fmt: skip
    (side,) = shown.sides
    rows = {row.title: row.bars for row in side.rows}
    # An image is in the band while twice the IF is no more than the band's 20.5 MHz, half-IF near always here.
    assert rows["image"][0].high_hz == 10_250_000
    assert rows["near half-IF"][0].high_hz == 30_000_000
    assert rows["far half-IF"][0].high_hz * 3 == 2 * 20_500_000
    assert [clear.but_for for clear in side.clear] == ["", "half-IF"]
    assert side.clear[1].spans[0] == (21_600_000, 21_875_000)
    assert "image" not in shown.at_own(side)
    assert {"IF harmonic", "near half-IF"} <= set(shown.at_own(side))


@pytest.mark.parametrize(("side", "near"), [("high", 41_000_000), ("low", 41_000_000)])
def test_near_is_the_half_that_goes_farther(side, near):
    (shown,) = if_bars(demo("pantry").with_changes(oscillator=side), 4_000_000, 60_000_000).sides
    rows = {row.title: row.bars for row in shown.rows}
    assert rows["near half-IF"][0].high_hz == near == 3 * rows["far half-IF"][0].high_hz


@given(st.integers(1_000, 3 * 10**9))
def test_the_usual_range_is_about_a_third_to_three_times_in_round_numbers(own_hz):
    low, high = usual_range_hz(own_hz)
    assert low < own_hz < high
    for end, wanted in ((low, own_hz / WIDEST), (high, own_hz * WIDEST)):
        assert 0.7 < end / wanted < 1.45
        assert len(str(end).rstrip("0")) <= 2


@pytest.mark.parametrize(
    ("own_hz", "ends"), [(10_700_000, (4, 30)), (455_000, (0.15, 1.5)), (45_000_000, (15, 150))]
)
def test_usual_ranges_by_hand(own_hz, ends):
    assert usual_range_hz(own_hz) == tuple(int(1_000_000 * end) for end in ends)


# How it is drawn


@given(st.lists(st.tuples(st.integers(0, 100), st.integers(1, 40)), max_size=25))
def test_bars_of_a_lane_never_touch_and_none_is_lost(some):
    bars = [Bar(low, low + width, str(place)) for place, (low, width) in enumerate(some)]
    found = lanes(bars)
    assert sorted(bar.name for lane in found for bar in lane) == sorted(bar.name for bar in bars)
    for lane in found:
        assert all(a.low_hz > b.high_hz or b.low_hz > a.high_hz for a, b in combinations(lane, 2))


@given(st.integers(1_000, 10**9), st.integers(2, 100), st.floats(0, 1), st.floats(0, 1))
def test_equal_ratios_are_equal_lengths(low_hz, times, first, second):
    across = Across(low_hz, low_hz * times)
    assert across.mm(low_hz) == TITLES_MM
    one, other = low_hz * times**first, low_hz * times**second
    middle = (one * other) ** 0.5
    assert across.mm(middle) == pytest.approx((across.mm(one) + across.mm(other)) / 2, abs=1e-6)


@pytest.mark.parametrize("plan", EVERY_PLAN)
def test_it_is_drawn_for_every_kind_of_set(plan):
    chart = if_range_chart(plan)
    (picture,) = chart.pictures
    says = [one.says for one in words_in(picture)]
    assert chart.name == "if-ranges"
    assert plan.title in chart.title
    assert "clear" in says
    assert any(words.startswith("IF ") and "Hz" in words for words in says)
    assert min(one.size_pt for one in words_in(picture)) >= 7
    assert size_mm(picture)[0] == 180
    assert size_mm(picture)[1] < 270


def test_both_sides_stand_below_each_other_when_the_side_is_not_known():
    chart = if_range_chart(demo("shed").with_changes(oscillator="unknown"))
    says = [one.says for one in words_in(chart.pictures[0])]
    assert says.index("oscillator above the dial setting") < says.index("oscillator below the dial setting")
    assert "each possible one" in chart.caption


def test_figures_along_the_axis_stand_apart():
    for plan in (demo("pantry"), demo("attic")):
        (picture,) = if_range_chart(plan).pictures
        bottom = max(one.y_mm for one in words_in(picture) if one.says.replace(".", "").isdigit())
        figures = sorted(
            (one.x_mm, float(one.says))
            for one in words_in(picture)
            if abs(one.y_mm - bottom) < 0.5 and one.says.replace(".", "").isdigit()
        )
        assert len(figures) >= 6
        assert all(right - left > 8 and b > a for (left, a), (right, b) in pairwise(figures))


def test_many_responses_are_drawn_together_and_counted():
    plan = demo("pantry").with_changes(orders=(15, 15))
    (side,) = if_bars(plan).sides
    row = next(row for row in side.rows if row.mechanism == "harmonic-mixing")
    assert len(lanes(row.bars)) > MOST_LANES
    (picture,) = if_range_chart(plan).pictures
    assert f"{len(row.bars)} responses" in [one.says for one in words_in(picture)]
    assert size_mm(picture)[1] < 270


def test_other_ranges_and_ranges_that_are_none():
    plan = demo("pantry")
    chart = if_range_chart(plan, low_hz=40_000_000, high_hz=60_000_000)
    assert not any(one.says.startswith("IF 10") for one in words_in(chart.pictures[0]))
    assert "40 MHz to 60 MHz" in chart.alt
    with pytest.raises(ModelRangeError, match="no range of IFs"):
        if_range_chart(plan, low_hz=60_000_000, high_hz=40_000_000)


def test_hostile_titles_are_only_text():
    chart = if_range_chart(Plan(**(demo("pantry").given() | {"title": (HOSTILE * 5)[:200]})))
    assert "\ud800" not in chart.title + chart.alt + chart.pictures[0]


def test_the_words_in_place_of_the_picture_hold_its_main_figures():
    alt = if_range_chart(demo("pantry")).alt
    for part in (
        "4 MHz to 30 MHz",
        "no IF is clear",
        "21.60–21.875",
        "IF 10.70 ± 0.03 MHz",
        "image: 4.00-10.25",
    ):
        assert part in alt
