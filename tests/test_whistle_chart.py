"""The whistle chart: every point of its curves is what whistle says of that offset."""

from __future__ import annotations

import numpy as np
import pytest
from pictures import EVERY_PLAN, HOSTILE, demo, size_mm, words_in

from freqplan.charts.whistle_chart import whistle_chart
from freqplan.charts.whistle_curves import whistle_curves
from freqplan.hearing import zones_of
from freqplan.plan import Band, Conversion, Plan, Stereo
from freqplan.whistles import whistle

TENTH_DB = 0.1
NARROW = Plan(
    title="Narrow",
    band=Band(low_hz=144_000_000, high_hz=146_000_000, deviation_hz=5_000, raster_hz=12_500),
    conversion=(Conversion(intermediate_hz=10_700_000, oscillator="low"),),
)
SILENT = Plan(
    title="Silent",
    band=Band(low_hz=144_000_000, high_hz=146_000_000, deviation_hz=0, raster_hz=12_500),
    conversion=(Conversion(intermediate_hz=10_700_000, oscillator="low"),),
)


# Curves


@pytest.mark.parametrize("plan", EVERY_PLAN)
def test_curves_are_what_whistle_says_of_each_offset(plan):
    shown = whistle_curves(plan)
    for curve in shown.curves:
        for place in np.linspace(1, len(curve.offset_hz) - 1, 7).astype(int):
            offset, pitch = int(curve.offset_hz[place]), int(curve.pitch_hz[place])
            if pitch == 0:
                assert np.isnan(curve.loudness_db[place])
                continue
            rows = list(whistle(plan, offset_hz=offset).tones.rows())
            row = next(row for row in rows if row["zone"] == curve.zone.name and row["pitch_hz"] == pitch)
            assert curve.loudness_db[place] == pytest.approx(row["loudness_db"])


@pytest.mark.parametrize("plan", EVERY_PLAN)
def test_neighbours_are_what_whistle_says_of_them(plan):
    for neighbour in whistle_curves(plan).neighbours:
        rows = list(whistle(plan, offset_hz=neighbour.offset_hz).tones.rows())
        expected = [(row["pitch_hz"], row["loudness_db"]) for row in rows if row["zone"] is not None]
        assert [pitch for pitch, _ in neighbour.notes] == [pitch for pitch, _ in expected]
        assert [loud for _, loud in neighbour.notes] == pytest.approx([loud for _, loud in expected])


@pytest.mark.parametrize("plan", EVERY_PLAN)
def test_curves_rise_along_the_axis_and_stay_within_their_zone(plan):
    shown = whistle_curves(plan)
    assert [curve.zone for curve in shown.curves] == list(zones_of(plan))
    for curve in shown.curves:
        assert (np.diff(curve.offset_hz) > 0).all()
        assert curve.offset_hz[0] >= 0
        assert curve.offset_hz[-1] <= shown.farthest_hz
        assert (curve.pitch_hz == abs(curve.offset_hz - curve.zone.carrier_hz)).all()
        assert (curve.pitch_hz < curve.zone.limit_hz).all()
        assert curve.zone.carrier_hz in curve.offset_hz
        assert np.isnan(curve.loudness_db).sum() <= 1


def test_neighbours_of_fm_broadcasting_by_hand():
    found = {one.offset_hz: one.notes for one in whistle_curves(demo("pantry")).neighbours}
    assert {offset: [pitch for pitch, _ in notes] for offset, notes in found.items()} == {
        50_000: [12_000], 100_000: [14_000], 150_000: [], 200_000: [10_000],
    }  # fmt: skip
    # -30 dB and 20 lg 50/75 before a de-emphasis of 50 us at 12 kHz, 11.8 dB; the filter takes 0.02 dB.
    (_, loud), *_ = found[50_000]
    assert loud == pytest.approx(
        -30 + 20 * np.log10(50 / 75) - 10 * np.log10(1 + (2 * np.pi * 0.6) ** 2), abs=TENTH_DB
    )


def test_an_am_set_has_one_zone_up_to_its_audio_and_the_neighbours_of_its_raster():
    shown = whistle_curves(demo("attic"))
    assert [curve.zone.name for curve in shown.curves] == ["beat"]
    assert shown.farthest_hz == 15_000
    assert [one.offset_hz for one in shown.neighbours] == [9_000]


def test_without_a_stereo_decoder_only_the_audio_band_is_drawn():
    plan = Plan(**(demo("pantry").given() | {"stereo": Stereo(decoder="none")}))
    shown = whistle_curves(plan)
    assert [curve.zone.name for curve in shown.curves] == ["mono"]
    assert (shown.farthest_hz, shown.neighbours) == (20_000, ())
    assert [one.offset_hz for one in whistle_curves(NARROW).neighbours] == [12_500]


# The picture


@pytest.mark.parametrize("plan", [*EVERY_PLAN, NARROW, SILENT])
def test_it_is_drawn_for_every_kind_of_set(plan):
    chart = whistle_chart(plan)
    (picture,) = chart.pictures
    assert chart.name == "whistle"
    assert plan.title in chart.title
    assert "before the IF filter" in chart.caption
    assert "before the IF filter" in " ".join(one.says for one in words_in(picture))
    assert min(one.size_pt for one in words_in(picture)) >= 7
    assert size_mm(picture) == (180, 152)


def test_zones_differ_by_dash_as_well_as_by_colour():
    (picture,) = whistle_chart(demo("pantry")).pictures
    assert picture.count("stroke-dasharray") >= 6
    says = [one.says for one in words_in(picture)]
    for part in (
        "and stereo",
        "about 38 kHz",
        "decoder, about 114 kHz",
        "decoder, about 190 kHz",
        "100 kHz away",
    ):
        assert part in says
    assert any(words.startswith("limit of hearing") for words in says)


def test_a_set_without_a_programme_to_measure_by_says_so():
    says = [one.says for one in words_in(whistle_chart(SILENT).pictures[0])]
    assert "no programme to measure by: the deviation is 0" in says


def test_hostile_titles_are_only_text():
    chart = whistle_chart(Plan(**(demo("pantry").given() | {"title": (HOSTILE * 5)[:200]})))
    assert "\ud800" not in chart.title + chart.alt + chart.pictures[0]


def test_the_words_in_place_of_the_picture_hold_its_main_figures():
    alt = whistle_chart(demo("pantry")).alt
    for part in (
        "50 kHz away: 12.0 kHz, −45 dB",
        "150 kHz away: no note",
        "23 to 53 kHz",
        "limit of hearing −60 dB",
    ):
        assert part in alt
