"""The dial strip: what stands on it by the engine, where by the ruler, and that no words cover others."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pictures import EVERY_PLAN, HOSTILE, TENTH_MM, demo, lines_in, listed, size_mm, words_in
from thoroughness import THOROUGH, examples

from freqplan.charts.dial_strip import dial_strip
from freqplan.charts.sheets import width_mm
from freqplan.charts.strip_figures import LONGEST_PIECE_UM, OVERLAP_UM, marking, pieces, place_mm
from freqplan.charts.strip_labels import FARTHEST_MM, MOST_LANES, NAME_GAP_MM, in_lanes, named
from freqplan.charts.strip_picture import Heights, Layout
from freqplan.charts.strip_rows import strip_of
from freqplan.plan import Plan, Scale
from freqplan.scales import scale_of
from freqplan.surveys import survey

HUNDREDTH_MM = 0.01
ORVESSA = listed(80)


def with_scale(plan, scale):
    return Plan(**(plan.given() | {"scale": scale}))


def rows_of(strip):
    return {row.kind: row for row in strip.rows}


def pantry():
    return survey(demo("pantry"), ORVESSA)


# What stands on it


def test_the_pantry_set_has_what_its_owner_notices():
    rows = rows_of(strip_of(pantry()))
    birdies = {spot.dial_hz: spot for spot in rows["birdies"].spots}
    assert (birdies[96_300_000].words, birdies[107_000_000].words) == ("9 × IF", "10 × IF")
    # The tolerance of 30 kHz, nine times.
    assert (birdies[96_300_000].low_hz, birdies[96_300_000].high_hz) == (96_030_000, 96_570_000)
    # The clock of 4 MHz: a whistle where a station stands, else a quiet spot.
    on_dial = {88_000_000 + 4_000_000 * step for step in range(6)}
    quiet = {spot.dial_hz for spot in rows["quiet"].spots if spot.words == "display"}
    assert quiet == {92_000_000, 96_000_000, 104_000_000}
    assert on_dial - quiet <= set(birdies)
    assert rows["dead"].spots[0].words == "Orvessa Alta"
    assert rows["dead"].spots[0].dial_hz == 101_200_000 - 10_700_000
    assert any(spot.dial_hz == 95_900_000 and spot.words == "14 kHz" for spot in rows["whistles"].spots)


def test_every_row_that_is_heard_is_on_the_strip_once():
    answer = pantry()
    rows = rows_of(strip_of(answer))
    for word, kind in (("ghost", "ghosts"), ("whistle", "whistles"), ("noise", "noise")):
        expected = {row["heard_on_hz"] for row in answer.heard.rows() if row["heard"] == word}
        found = rows[kind]
        assert {spot.dial_hz for spot in found.spots} <= expected
        places = {(spot.dial_hz, spot.low_hz, spot.high_hz) for spot in found.spots}
        assert len(places) == len(found.spots)
        if not found.left_out:
            assert {spot.dial_hz for spot in found.spots} == expected


def test_quiet_spots_are_own_carriers_with_nobody_within_half_the_filter():
    answer = pantry()
    hertz = answer.stations.frequency_hz.tolist()
    half = Fraction(answer.plan.if_filter.bandwidth_hz, 2)
    rows = rows_of(strip_of(answer))
    for spot in rows["quiet"].spots:
        assert all(not spot.low_hz - half <= one <= spot.high_hz + half for one in hertz)
    for spot in rows["birdies"].spots:
        if spot.words.startswith("display"):
            assert any(spot.low_hz - half <= one <= spot.high_hz + half for one in hertz)


def test_the_strongest_oscillator_spots_come_first_and_the_others_are_counted():
    answer = pantry()
    row = rows_of(strip_of(answer))["dead"]
    meets = [
        ghost
        for ghost in answer.ghosts.rows()
        if ghost["mechanism"] == "oscillator-on-station" and 87_500_000 <= ghost["dial_hz"] <= 108_000_000
    ]
    assert len(row.spots) + row.left_out == len({ghost["dial_hz"] for ghost in meets})
    level = dict(zip(answer.stations.frequency_hz.tolist(), answer.stations.terminal_dbuv(73.0), strict=True))
    levels = [level[int(spot.dial_hz) + 10_700_000] for spot in row.spots]
    assert levels == sorted(levels, reverse=True)


def test_without_levels_ghosts_of_the_lowest_orders_stand_there_as_possible():
    plan = Plan(**(demo("workshop").given() | {"front_end": None}))
    answer = survey(plan, listed(80))
    row = rows_of(strip_of(answer))["possible"]
    assert row.spots[0].words == "Marker Orvessa, image"
    assert len(row.spots) == 12 < row.left_out


def test_without_stations_own_carriers_are_neither_quiet_spots_nor_birdies():
    rows = rows_of(strip_of(survey(demo("pantry"))))
    assert set(rows) == {"birdies", "own"}
    assert {spot.words for spot in rows["birdies"].spots} == {"9 × IF", "10 × IF"}


def test_what_holds_on_both_sides_is_one_spot_without_a_side():
    plan = demo("pantry").with_changes(oscillator="unknown")
    spots = rows_of(strip_of(survey(plan)))["birdies"].spots
    assert [(spot.words, spot.side) for spot in spots] == [("9 × IF", ""), ("10 × IF", "")]
    own = rows_of(strip_of(survey(plan)))["own"].spots
    assert {spot.side for spot in own} == {"", "high", "low"}


@pytest.mark.parametrize("plan", EVERY_PLAN)
@pytest.mark.parametrize("count", [None, 80])
def test_everything_lies_inside_the_band(plan, count):
    strip = strip_of(survey(plan, None if count is None else listed(count)))
    band = plan.band
    for row in strip.rows:
        assert row.spots
        for spot in row.spots:
            assert band.low_hz <= spot.low_hz <= spot.dial_hz <= spot.high_hz <= band.high_hz
            assert spot.words
    assert all(band.low_hz <= hertz <= band.high_hz for hertz, _ in strip.stations)


# Figures, ticks, pieces


@pytest.mark.parametrize(
    ("name", "words"),
    [("pantry", [str(mhz) for mhz in range(88, 109)]), ("shed", [str(mhz) for mhz in range(118, 151, 2)])],
)
def test_figures_are_those_of_a_dial(name, words):
    plan = demo(name)
    found = marking(strip_of(survey(plan)), plan.rounding.unit)
    assert [figure.words for figure in found.figures] == words


def test_figures_of_the_real_scale_come_first():
    plan = demo("attic")
    found = marking(strip_of(survey(plan)), "kHz")
    assert {mark.reads_hz for mark in plan.scale.marks} <= {figure.hertz for figure in found.figures}


@pytest.mark.parametrize("plan", EVERY_PLAN)
@pytest.mark.parametrize("length_um", [20_000, 165_000, 1_000_000])
def test_figures_and_ticks_stand_apart(plan, length_um):
    plan = with_scale(plan, Scale(length_um=length_um))
    strip = strip_of(survey(plan))
    found = marking(strip, plan.rounding.unit)
    assert found.figures
    places = [(place_mm(strip, figure.hertz), width_mm(figure.words, 8.0)) for figure in found.figures]
    for (left, first), (right, second) in pairwise(places):
        assert left + first / 2 < right - second / 2
    every = sorted({*(figure.hertz for figure in found.figures), *found.middle_hz, *found.small_hz})
    assert len(every) == len(found.figures) + len(found.middle_hz) + len(found.small_hz)
    assert all(
        place_mm(strip, right) - place_mm(strip, left) >= 0.9 - 1e-9 for left, right in pairwise(every)
    )


@given(st.integers(20_000, 1_000_000))
def test_pieces_cover_the_scale_overlap_by_five_millimetres_and_fit_a_sheet(length_um):
    strip = strip_of(survey(with_scale(demo("loft"), Scale(length_um=length_um))))
    found = pieces(strip)
    assert (found[0].start_um, found[-1].end_um) == (0, length_um)
    assert all(piece.end_um - piece.start_um <= LONGEST_PIECE_UM for piece in found)
    assert all(left.end_um - right.start_um == OVERLAP_UM for left, right in pairwise(found))
    assert all(left.end_um == right.laid_to_um for left, right in pairwise(found))
    assert [piece.is_cut for piece in found] == [True] * (len(found) - 1) + [False]
    assert len(found) == 1 or length_um > LONGEST_PIECE_UM


# Words that do not cover each other

marks = st.lists(
    st.tuples(st.floats(5, 175, allow_nan=False), st.text("abcdef", min_size=1, max_size=30)), max_size=25
)


@given(marks)
def test_labels_cover_neither_each_other_nor_a_line_from_a_mark(some):
    found = in_lanes(some, low_mm=1, high_mm=179)
    for one in found:
        low, high = one.ends_mm
        assert low - 1 >= -1e-9
        assert high <= 179 + 1e-9
        assert 0 <= one.lane < MOST_LANES
        assert low - 1e-9 <= one.mark_mm <= high + 1e-9
        for other in found:
            if other is one:
                continue
            start, stop = other.ends_mm
            if other.lane == one.lane:
                assert high < start or stop < low
            elif other.lane > one.lane:
                assert not low < other.mark_mm < high


@given(marks)
def test_a_label_that_has_room_by_itself_is_there_and_the_first_of_all_is(some):
    fitting = [(at, words) for at, words in some if width_mm(words) < 178]
    found = in_lanes(some, low_mm=1, high_mm=179)
    if fitting:
        assert (fitting[0][0], fitting[0][1]) in [(one.mark_mm, one.words) for one in found]


@given(marks)
def test_names_stand_apart_close_to_their_marks_and_the_strongest_have_them(some):
    found = named(some, low_mm=4, high_mm=176)
    places = sorted(one.name_mm for one in found)
    assert all(right - left >= NAME_GAP_MM - 1e-6 for left, right in pairwise(places))
    assert all(abs(one.name_mm - one.mark_mm) <= FARTHEST_MM + 1e-9 for one in found)
    if some:
        assert (found[0].mark_mm, found[0].words) == some[0]


# The picture


@pytest.mark.parametrize("name", ["pantry", "attic"])
def test_marks_of_the_picture_stand_where_a_ruler_would_find_them(name):
    answer = survey(demo(name), listed(80))
    (picture,) = dial_strip(answer).pictures
    strip = strip_of(answer)
    figures = marking(strip, answer.rounding.unit).figures
    found = {one.says: one.x_mm for one in words_in(picture) if one.size_pt == 8.0}
    assert list(found) == [figure.words for figure in figures]
    scale = scale_of(answer.plan)
    for first, second in pairwise(figures):
        apart = scale.at_um(second.hertz) - scale.at_um(first.hertz)
        assert found[second.words] - found[first.words] == pytest.approx(
            float(apart / 1000), abs=HUNDREDTH_MM
        )


@pytest.mark.parametrize("length_um", [165_000, 420_000])
def test_the_line_to_check_the_print_is_fifty_millimetres(length_um):
    chart = dial_strip(survey(with_scale(demo("pantry"), Scale(length_um=length_um))))
    for picture in chart.pictures:
        (words,) = [one for one in words_in(picture) if one.says == "50 mm: print at 100 %"]
        beside = [
            right[0] - left[0]
            for left, right in lines_in(picture)
            if abs(left[1] - right[1]) < TENTH_MM and abs(left[1] - words.y_mm) < 2 and right[0] > left[0]
        ]
        assert pytest.approx(50, abs=HUNDREDTH_MM) in beside
        assert size_mm(picture)[0] == 180


def test_a_long_scale_comes_in_pieces_of_one_height_with_cuts():
    chart = dial_strip(survey(with_scale(demo("pantry"), Scale(length_um=420_000)), listed(80)))
    assert len(chart.pictures) == 3
    assert len({size_mm(picture) for picture in chart.pictures}) == 1
    says = [[one.says for one in words_in(picture)] for picture in chart.pictures]
    assert ["cut here" in words for words in says] == [True, True, False]
    assert ["the cut comes here" in words for words in says] == [False, True, True]
    assert "3 pieces" in chart.caption


@given(st.integers(175_000, 1_000_000))
@settings(deadline=None, max_examples=examples(10))
def test_a_station_at_a_cut_has_its_name_on_one_of_the_pieces_all_the_same(length_um):
    strip = strip_of(survey(with_scale(demo("pantry"), Scale(length_um=length_um)), ORVESSA))
    layouts = [Layout(strip, piece) for piece in pieces(strip)]
    for layout in layouts:
        low, high = layout.free_mm
        assert all(low <= one.name_mm <= high for one in layout.names)
        assert all(
            low - 1e-9 <= at and to <= high + 1e-9
            for row in layout.labels
            for at, to in [one.ends_mm for one in row]
        )
    strongest = {name for _, name in strip.stations[:8]}
    assert strongest <= {one.words for layout in layouts for one in layout.names}


def test_a_scale_from_right_to_left_is_drawn_that_way():
    plan = demo("attic")
    scale = plan.scale
    turned = Scale(
        length_um=scale.length_um,
        marks=[{"reads_hz": mark.reads_hz, "at_um": scale.length_um - mark.at_um} for mark in scale.marks],
    )
    (picture,) = dial_strip(survey(with_scale(plan, turned), listed(80))).pictures
    found = [one.x_mm for one in words_in(picture) if one.size_pt == 8.0]
    assert found == sorted(found, reverse=True)


@pytest.mark.parametrize("plan", EVERY_PLAN)
def test_it_is_drawn_for_every_kind_of_set(plan):
    chart = dial_strip(survey(plan, listed(80)))
    assert chart.name == "dial-strip"
    assert plan.title in chart.title
    assert "50 mm" in chart.caption
    assert ("no [scale]" in chart.caption) == (plan.scale is None)
    for picture in chart.pictures:
        assert min(one.size_pt for one in words_in(picture)) >= 7
        assert size_mm(picture)[1] < 270


@pytest.mark.parametrize("count", [0, 10, 300 if THOROUGH else 120])
def test_few_and_many_stations(count):
    answer = survey(Plan(**(demo("workshop").given() | {"rf_stage": None})), listed(count))
    (picture,) = dial_strip(answer).pictures
    layout = Layout(strip_of(answer), pieces(strip_of(answer))[0])
    upright = [one.says for one in words_in(picture) if one.turned]
    assert upright == [one.words for one in layout.names]
    assert {0: 0, 10: 10}.get(count, 45) <= len(upright) <= count
    assert size_mm(picture)[1] == Heights.of([layout]).whole_mm


def test_hostile_names_are_only_text_and_long_ones_are_cut():
    (picture,) = dial_strip(survey(demo("workshop"), listed(10))).pictures
    assert HOSTILE not in picture
    assert any(one.says.startswith("Radio </text>") and one.says.endswith("…") for one in words_in(picture))
    chart = dial_strip(survey(Plan(**(demo("workshop").given() | {"title": (HOSTILE * 5)[:200]}))))
    assert "\ud800" not in chart.title + chart.alt + chart.pictures[0]


def test_the_words_in_place_of_the_picture_hold_its_main_figures():
    alt = dial_strip(pantry()).alt
    for part in (
        "scale 160 mm long",
        "60 stations",
        "Orvessa Alta 101.2",
        "96.3 9 × IF",
        "92.0 display",
        "90.5",
    ):
        assert part in alt
