"""The spectrum of one sum: worked cases, laws in fractions, what stands where by the ruler, words."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pictures import (
    EVERY_PLAN,
    HOSTILE,
    SVG,
    TENTH_MM,
    demo,
    lines_in,
    listed,
    root_of,
    size_mm,
    words_apart,
    words_in,
)
from thoroughness import some

import freqplan
from freqplan.charts.drawing import DASHES, MARKERS
from freqplan.charts.spectrum import PICTURED, row_chart, spectra, spectrum
from freqplan.charts.spectrum_examples import FINDERS, examples
from freqplan.charts.spectrum_parts import REACH, STEP, TIMES, WANTED
from freqplan.charts.spectrum_picture import LOOKS
from freqplan.charts.spectrum_pieces import ruler
from freqplan.charts.spectrum_row import row_of
from freqplan.charts.spectrum_sums import axes_of
from freqplan.errors import FreqplanError, ModelRangeError
from freqplan.mechanisms import catalogue
from freqplan.plan import Plan
from freqplan.surveys import survey

MHZ = 1_000_000
PANTRY = demo("pantry")
ORVESSA = listed(80)
every_mechanism = pytest.mark.parametrize("mechanism", PICTURED)


def gathered(plan, mechanism, dial_hz=None, stations=None):
    return spectra(survey(plan, stations), mechanism, dial_hz)[0]


def at(one, axis=0):
    """Return the frequencies on an axis by sign [Hz]."""
    return {stroke.sign: stroke.hertz for stroke in one.axes[axis].strokes}


def reaches(one):
    """Return the length of each heavy arrow of the first axis [Hz]."""
    return [arrow.length_hz for arrow in one.axes[0].arrows if arrow.kind == REACH]


# Worked cases

# FM, high side, IF 10.7: dial 98.00, oscillator 108.70; computed by hand from fX = (n fL - e fI) / m.
WORKED = {
    "image": [{"fX": 119.40, "fL": 108.70, "fT": 98.00}],
    "half-if": [
        {"fX": 103.35, "2·fX": 206.70, "2·fL": 217.40},
        {"fX": 114.05, "2·fX": 228.10, "2·fL": 217.40},
    ],
    "oscillator-harmonic": [{"fX": 206.70, "2·fL": 217.40}, {"fX": 228.10, "2·fL": 217.40}],
    "signal-harmonic": [{"fX": 49.00, "2·fX": 98.00}, {"fX": 59.70, "2·fX": 119.40}],
    "if-breakthrough": [{"fX": 10.70}],
    "harmonic-mixing": [
        {"fX": 157.70, "2·fX": 315.40, "3·fL": 326.10},
        {"fX": 168.40, "2·fX": 336.80, "3·fL": 326.10},
    ],
    "oscillator-on-station": [{"fX": 108.70}],
    "wrong-side": [{"fX": 119.40}],
    "transmitter-harmonic": [{"fX": 49.00, "2·fX": 98.00}],
    "synthesiser-sideband": [{"fX": 98.10, "fL + fR": 108.80}],
    "second-image": [{"fX": 97.09}],
}


@pytest.mark.parametrize("mechanism", WORKED)
def test_places_are_those_computed_by_hand(mechanism):
    found = gathered(PANTRY, mechanism, 98 * MHZ)
    assert len(found) == len(WORKED[mechanism])
    for one, places in zip(found, WORKED[mechanism], strict=True):
        assert {sign: at(one)[sign] for sign in places} == {
            sign: Fraction(str(mhz)) * MHZ for sign, mhz in places.items()
        }


def test_fractions_of_hertz_are_kept_and_said_to_be_rounded():
    near, far = gathered(PANTRY, "fractional-if", 98 * MHZ)
    assert at(near)["fX"] == 108_700_000 - Fraction(10_700_000, 3)
    assert at(far)["fX"] == 108_700_000 + Fraction(10_700_000, 3)
    assert at(near)["3·fX"] == 315_400_000
    assert "≈ 105.13 MHz" in near.alt
    assert "fL on 108.70 MHz" in near.alt


# Spots of the set's own: 9 x 10.7, 24 x 4; the lowest self-mixing in the band is (9, 8, -1); all by hand.
@pytest.mark.parametrize(
    ("mechanism", "dial_mhz", "places"),
    [
        ("if-harmonic", "96.3", {"fI": 10.7, "9·fI": 96.3, "fL": 107.0}),
        ("internal-clock", "96", {"fC": 4.0, "24·fC": 96.0, "fL": 106.7}),
        ("self-mixing", "96.3", {"9·fT": 866.7, "8·fL": 856.0}),
    ],
)
def test_what_has_a_place_of_its_own_is_drawn_there(mechanism, dial_mhz, places):
    (one,) = gathered(PANTRY, mechanism)
    assert one.row.dial_hz == Fraction(dial_mhz) * MHZ
    assert {sign: at(one)[sign] for sign in places} == {
        s: Fraction(str(mhz)) * MHZ for s, mhz in places.items()
    }


def test_the_comb_of_an_if_holds_every_multiple():
    (one,) = gathered(PANTRY, "if-harmonic")
    assert one.axes[0].comb_hz == tuple(10_700_000 * k for k in range(1, 10))


def test_of_several_spots_the_nearest_to_the_setting_is_drawn():
    (one,) = gathered(PANTRY, "if-harmonic", 107_500_000)
    assert (one.row.k, one.row.dial_hz) == (10, 107 * MHZ)


def test_sums_of_stations_are_made_of_equal_distances():
    (one,) = gathered(PANTRY, "third-order", stations=ORVESSA)
    a, b = (hertz for _, hertz in one.row.stations)
    assert at(one)["fT"] == at(one)["2·A − B"] == 2 * a - b == one.row.dial_hz
    assert {arrow.length_hz for arrow in one.axes[0].arrows if arrow.kind == STEP} == {abs(a - b)}
    assert {name for name, _ in one.row.stations} <= set(ORVESSA.names)


def test_a_pair_an_if_apart_has_its_own_difference_for_an_arrow():
    (one,) = gathered(PANTRY, "if-spaced-pair", stations=ORVESSA)
    assert reaches(one) == [10_700_000, 10_700_000]
    a, b = (hertz for _, hertz in one.row.stations)
    assert a - b == 10_700_000


def test_a_pair_at_half_if_meets_twice_the_oscillator():
    (one,) = gathered(PANTRY, "pair-half-if", stations=ORVESSA)
    assert abs(at(one)["A + B"] - at(one)["2·fL"]) == 10_700_000


def test_two_conversions_turn_the_image_to_the_other_side_of_the_second_oscillator():
    (one,) = gathered(demo("shed"), "second-image", 134 * MHZ)
    second = at(one, 1)
    assert second == {"from fT": 21_400_000, "from fX": 20_490_000, "fL2": 20_945_000}
    assert {stroke.hertz for stroke in one.axes[2].strokes} == {455_000}


def test_another_set_is_heard_where_its_oscillator_stands():
    (one,) = gathered(PANTRY, "other-receiver")
    places = at(one)
    assert places["f′L"] == places["fT"] == places["f′T"] + 10_700_000
    assert 87_500_000 <= places["f′T"] <= 108_000_000


@pytest.mark.parametrize(
    ("stations", "distance", "carrier", "pitch"),
    [(None, 50_000, 38_000, 12_000), (ORVESSA, 200_000, 190_000, 10_000)],
)
def test_a_neighbour_stands_as_far_from_a_carrier_of_the_decoder_as_its_note_is_high(
    stations, distance, carrier, pitch
):
    (one,) = gathered(PANTRY, "decoder-neighbour", stations=stations)
    decoder = one.axes[1]
    assert [arrow.length_hz for arrow in decoder.arrows] == [pitch, pitch]
    assert {stroke.hertz for stroke in decoder.strokes} == {19_000, distance, carrier, pitch}
    assert decoder.rounding.unit == "kHz"


# Laws


@pytest.mark.parametrize("plan", EVERY_PLAN)
@every_mechanism
def test_the_heavy_arrows_are_as_long_as_the_if_and_everything_lands_in_the_filter(plan, mechanism):
    """Brute force: what the arrows connect, by exact fractions, against the IF of the set drawn."""
    try:
        found = gathered(plan, mechanism)
    except ModelRangeError:
        return
    for one in found:
        own_if = one.plan.conversion[0].intermediate_hz
        if one.row.offset_hz is not None:
            continue
        ahead, *behind = one.axes
        is_direct = (
            mechanism not in ("second-image", "oscillator-product") and "-" not in one.row.lands_on[:3]
        )
        for arrow in ahead.arrows:
            if arrow.kind == REACH and (is_direct or arrow.of == WANTED):
                assert 2 * abs(arrow.length_hz - own_if) <= one.plan.if_filter.bandwidth_hz
                if one.row.kind == "":
                    assert arrow.length_hz == own_if
        for axis in behind[-1:]:
            (shade,) = axis.shades or [None]
            for stroke in axis.strokes:
                assert shade is None or shade.low_hz <= stroke.hertz <= shade.high_hz


@pytest.mark.parametrize("plan", EVERY_PLAN)
def test_wanted_station_and_oscillator_stand_where_the_plan_puts_them(plan):
    for mechanism in PICTURED:
        try:
            found = gathered(plan, mechanism)
        except ModelRangeError:
            continue
        for one in found:
            places = at(one)
            if "fL" in places and "fT" in places:
                own_if = one.plan.conversion[0].intermediate_hz
                wanted = {
                    "high": places["fT"] + own_if,
                    "low": places["fT"] - own_if,
                    "sum": own_if - places["fT"],
                }
                assert places["fL"] == wanted[one.row.tuning.side]


@given(
    m=st.integers(1, 9),
    n=st.integers(-9, 9),
    e=st.sampled_from((1, -1)),
    side=st.sampled_from(("high", "low")),
    dial_hz=st.fractions(87_500_000, 108_000_000, max_denominator=9),
)
def test_a_row_given_by_hand_is_solved_and_fulfils_its_equation(m, n, e, side, dial_hz):
    plan = PANTRY.with_changes(oscillator=side)
    oscillator = dial_hz + (10_700_000 if side == "high" else -10_700_000)
    expected = (n * oscillator - e * 10_700_000) / m
    values = {"mechanism": "harmonic-mixing", "m": m, "n": n, "e": e, "dial_hz": dial_hz}
    if expected <= 0:
        with pytest.raises(ModelRangeError, match="above zero"):
            row_of(plan, values)
        return
    row = row_of(plan, values)
    assert row.signal_hz == expected
    assert e * (n * row.oscillator_hz - m * row.signal_hz) == 10_700_000
    back = {name: value for name, value in values.items() if name != "dial_hz"}
    if n:
        assert row_of(plan, back | {"signal_hz": row.signal_hz}).dial_hz == dial_hz
    strokes = {stroke.sign: stroke.hertz for stroke in axes_of(plan, row)[0].strokes}
    assert strokes["fX"] == expected


def test_the_rows_of_every_table_can_be_drawn_and_land_where_the_table_says():
    for name in ("pantry", "shed", "attic"):
        answer = survey(demo(name), ORVESSA)
        for table in (answer.ghosts, answer.birdies, answer.products):
            seen = set()
            for values in table.rows():
                if values["mechanism"] in seen and len(seen) > 3:
                    continue
                seen.add(values["mechanism"])
                row = row_of(answer.plan, values)
                axes = axes_of(answer.plan, row)
                assert values["dial_hz"] in (None, row.dial_hz)
                for axis in axes:
                    assert axis.strokes
                if values.get("station_hz") is not None and row.n and row.q is None:
                    landed = {stroke.hertz for stroke in axes[1].strokes}
                    assert landed == {answer.plan.conversion[0].intermediate_hz}


def test_the_catalogue_and_the_pictures_hold_the_same_mechanisms():
    assert set(FINDERS) <= set(catalogue())
    assert {name for name, one in catalogue().items() if one.formula} - set(FINDERS) == {"if-off-centre"}


# The drawing


# Every mechanism on three sets and in a town, a quarter of them in turn on each of the others.
@pytest.mark.parametrize(
    ("plan", "stations", "mechanisms"),
    some(
        [
            *(
                pytest.param(demo(name), ORVESSA, PICTURED, id=f"{name}-town")
                for name in ("pantry", "shed", "attic")
            ),
            *(
                pytest.param(*one.values, None, PICTURED[place % 4 :: 4], id=one.id)
                for place, one in enumerate(EVERY_PLAN)
            ),
        ]
    ),
)
def test_it_is_drawn_for_every_kind_of_set_and_no_words_cover_others(plan, stations, mechanisms):
    answer, drawn = survey(plan, stations), 0
    for mechanism in mechanisms:
        try:
            chart = spectrum(answer, mechanism)
        except ModelRangeError:
            continue
        for picture in chart.pictures:
            drawn += 1
            width, height = size_mm(picture)
            assert (width, height <= 250) == (180, True)
            words = list(words_in(picture))
            assert min(one.size_pt for one in words) >= 7
            assert all(0 <= one.x_mm <= width and 0 <= one.y_mm <= height for one in words)
            assert words_apart(picture) == []
            assert "style=" not in picture
    assert drawn >= len(mechanisms) // 2


def verticals(picture):
    """Return where upright lines stand [mm], rising, each once."""
    found = sorted(x for (x, y), (x2, y2) in lines_in(picture) if x == x2 and abs(y - y2) > 10)
    return [one for one, after in pairwise([*found, 1e9]) if after - one > TENTH_MM]


def test_strokes_stand_in_proportion_to_their_frequencies():
    chart = freqplan.chart(PANTRY, "spectrum", mechanism="image", dial_hz=98 * MHZ)
    wanted, own, image = verticals(chart.pictures[0])[:3]
    assert own - wanted == pytest.approx(image - own, abs=TENTH_MM)
    assert own - wanted > 30


@pytest.mark.parametrize(
    "mechanism", ["half-if", "oscillator-harmonic", "harmonic-mixing", "signal-harmonic"]
)
def test_arrows_of_one_length_are_drawn_of_one_length_beyond_a_break_too(mechanism):
    for one in gathered(PANTRY, mechanism, 98 * MHZ):
        across = ruler(one.axes[0], 4, 176).across
        lengths = [
            abs(across(arrow.end_hz) - across(arrow.start_hz))
            for arrow in one.axes[0].arrows
            if arrow.kind == REACH
        ]
        assert len(lengths) == 2
        assert lengths[0] == pytest.approx(lengths[1], abs=TENTH_MM)
        assert lengths[0] > 15


@pytest.mark.parametrize("plan", EVERY_PLAN)
def test_nothing_stands_in_a_break_and_the_order_of_frequencies_is_kept(plan):
    for mechanism in PICTURED:
        try:
            found = gathered(plan, mechanism)
        except ModelRangeError:
            continue
        for axis in (axis for one in found for axis in one.axes):
            laid = ruler(axis, 4, 176)
            for stroke in axis.strokes:
                assert any(piece.low_hz <= stroke.hertz <= piece.high_hz for piece in laid.pieces)
            places = [laid.across(hertz) for hertz in sorted(stroke.hertz for stroke in axis.strokes)]
            assert places == sorted(places)
            assert 4 <= places[0] <= places[-1] <= 176


def test_which_way_round_is_seen_by_the_direction_of_the_arrow():
    near, far = gathered(PANTRY, "half-if", 98 * MHZ)
    for one, e in ((near, 1), (far, -1)):
        (arrow,) = [a for a in one.axes[0].arrows if a.kind == REACH and a.of != WANTED]
        assert one.row.e == e
        assert (arrow.end_hz > arrow.start_hz) == (e > 0)
        assert arrow.end_hz == at(one)["2·fL"]
    assert "the other way, so that meter and AFC act backwards; 2 times as fast" in far.alt
    assert "as it moves the wanted station; 2 times as fast" in near.alt


def test_without_colours_every_kind_of_stroke_is_still_told_apart():
    assert len({marker for _, marker, _, _ in LOOKS.values()}) == len(LOOKS)
    assert {marker for _, marker, _, _ in LOOKS.values()} <= set(MARKERS)
    assert {dashes for _, _, dashes, _ in LOOKS.values()} <= set(DASHES)


@pytest.mark.parametrize("mechanism", PICTURED[::6])
def test_the_same_picture_is_drawn_by_the_same_bytes(mechanism):
    answer = survey(PANTRY)
    assert spectrum(answer, mechanism).to_svg() == spectrum(survey(PANTRY), mechanism).to_svg()


def test_ids_of_both_pictures_are_unique_in_one_file():
    text = freqplan.chart(PANTRY, "spectrum", mechanism="half-if").to_svg()
    ids = re.findall(r' id="([^"]*)"', text)
    assert len(ids) == len(set(ids)) > 0


def test_hostile_names_are_only_text():
    plan = Plan(**(PANTRY.given() | {"title": HOSTILE}))
    stations = listed(300)
    for mechanism in ("image", "third-order", "decoder-neighbour"):
        chart = spectrum(survey(plan, stations), mechanism)
        assert not list(root_of(chart.pictures[0]).iter(f"{SVG}script"))
        assert "\x07" not in chart.title + chart.caption + chart.alt


# What is an example, and what is refused


@pytest.mark.parametrize(
    ("mechanism", "said"),
    [
        ("third-order", "The stations are an example"),
        ("synthesiser-sideband", "The synthesiser is an example"),
        ("second-image", "The second conversion is an example"),
        ("self-mixing", "of orders up to 25"),
        ("oscillator-in-if", "the numbers are for an example set"),
        ("image", ""),
        ("internal-clock", ""),
    ],
)
def test_what_is_not_of_the_plan_is_said_to_be_an_example(mechanism, said):
    remark = examples(survey(PANTRY), mechanism).remark
    assert (said in remark) if said else remark == ""
    caption = freqplan.chart(PANTRY, "spectrum", mechanism=mechanism).caption
    assert said in caption
    assert ("example" in caption) == ("example" in said)


def test_a_clock_is_made_up_only_where_the_plan_names_none():
    plan = Plan(**(PANTRY.given() | {"clock": ()}))
    found = examples(survey(plan), "internal-clock")
    assert found.remark == "The clock is an example."
    (row,) = found.rows
    assert row.m * row.sources_hz[0] == row.dial_hz


@pytest.mark.parametrize("mechanism", sorted(set(catalogue()) - set(PICTURED)))
def test_what_has_no_sum_has_no_picture(mechanism):
    with pytest.raises(ModelRangeError, match="no sum of frequencies makes it"):
        freqplan.chart(PANTRY, "spectrum", mechanism=mechanism)


def test_what_cannot_be_drawn_is_refused_in_one_sentence():
    am = demo("attic")
    for call, said in (
        (lambda: freqplan.chart(PANTRY, "spectrum", mechanism="half-iff"), "nearest: half-if"),
        (lambda: freqplan.chart(PANTRY, "spectrum", mechanism="zzz"), "there are: if-breakthrough"),
        (lambda: freqplan.chart(am, "spectrum", mechanism="decoder-neighbour"), "no such sum comes about"),
        (lambda: freqplan.chart(am, "spectrum", mechanism="second-image"), "no such sum comes about"),
        (lambda: freqplan.chart(PANTRY, "spectrum", dial_hz=120 * MHZ), "off the band"),
        (lambda: freqplan.chart(PANTRY, "whistle", mechanism="image"), "of no one mechanism"),
        (lambda: row_chart(PANTRY, {"mechanism": "image"}), "needs m, n and e"),
        (lambda: row_chart(PANTRY, {"m": 1}), "no mechanism"),
        (lambda: row_chart(PANTRY, {"mechanism": "image", "oscillator": "low"}), "no oscillator side 'low'"),
    ):
        with pytest.raises(FreqplanError, match=re.escape(said)):
            call()


def test_without_a_name_the_image_is_drawn():
    assert freqplan.chart(PANTRY, "spectrum") == freqplan.chart(PANTRY, "spectrum", mechanism="image")


def test_a_row_of_the_channel_is_drawn_as_it_is_listed():
    dial_hz = 95_900_000
    rows = [row for row in freqplan.channel(PANTRY, dial_hz, ORVESSA).responses.rows() if row["stations"]]
    chart = freqplan.row_chart(PANTRY, rows[0] | {"dial_hz": dial_hz})
    assert f"{Fraction(rows[0]['response_hz'], MHZ).__float__():.2f}" in chart.alt
    assert "Dial on 95.9 MHz" in chart.alt


def test_a_station_beside_the_exact_place_lands_beside_the_middle_of_the_if():
    row = {"mechanism": "half-if", "m": 2, "n": 2, "e": 1, "dial_hz": 95_900_000, "signal_hz": 101_200_000}
    one = axes_of(PANTRY, row_of(PANTRY, row))
    landed = {stroke.sign: stroke.hertz for stroke in one[1].strokes}
    assert landed == {"fL − fT": 10_700_000, "2·fL − 2·fX": 10_800_000}
    assert [arrow.words for arrow in one[0].arrows if arrow.kind == REACH] == ["IF 10.70", "10.80"]


def test_a_harmonic_is_led_to_from_its_fundamental():
    (near, _) = gathered(PANTRY, "half-if", 98 * MHZ)
    ways = {
        (arrow.start_hz, arrow.end_hz, arrow.words) for arrow in near.axes[0].arrows if arrow.kind == TIMES
    }
    assert ways == {(103_350_000, 206_700_000, "× 2"), (108_700_000, 217_400_000, "× 2")}


def test_the_sides_of_the_oscillator_mirror_each_other():
    (high,), (low,) = (
        gathered(PANTRY.with_changes(oscillator=side), "image", 98 * MHZ) for side in ("high", "low")
    )
    assert at(high)["fX"] - 98 * MHZ == 98 * MHZ - at(low)["fX"] == 21_400_000
    assert replace(high.row, tuning=low.row.tuning).oscillator_hz == at(low)["fL"]
