"""What a beat sounds like: laws, published values, and a sampled discriminator and stereo decoder as judges.

The judges know nothing of the formulas: two carriers are sampled, their phase is turned into frequency, the decoder
multiplies it by its subcarrier, and a Fourier transform says which notes are there.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import signal as filters
from scipy import special
from tonesets import (
    AM,
    AUDIO_AM_HZ,
    DEVIATION_HZ,
    FARTHEST_KHZ,
    FIFTH,
    FILTERED,
    HUNDREDTH_DB,
    KHZ,
    MONO,
    NONE,
    ROUNDING_DB,
    SETS,
    STEREO,
    SWITCHING,
    THIRD,
    heard,
    khz,
    loudness,
)

from freqplan.errors import ModelRangeError
from freqplan.tones import (
    MONO_LIMIT_HZ,
    Sideline,
    Zone,
    deemphasis_db,
    loudest,
    loudness_db,
    offsets_hz,
    pitches_hz,
    sidelines,
    zones,
)

# Zones


def test_what_each_set_turns_into_notes():
    assert [(zone.carrier_hz, zone.name) for zone in NONE] == [(0, "mono")]
    assert [(zone.carrier_hz, zone.name) for zone in FILTERED] == [(0, "mono"), (38_000, "stereo")]
    assert [(zone.carrier_hz, zone.gain, zone.name) for zone in SWITCHING] == [
        (0, 1, "mono"), (38_000, 1, "stereo"), (114_000, 1 / 3, "switching"), (190_000, 1 / 5, "switching"),
    ]  # fmt: skip
    assert {zone.limit_hz for zone in SWITCHING} == {15_000}
    assert [(zone.carrier_hz, zone.gain, zone.limit_hz) for zone in AM] == [(0, 1, AUDIO_AM_HZ)]
    assert zones("am", "switching", AUDIO_AM_HZ) == AM


def test_an_unknown_set_is_refused():
    with pytest.raises(ModelRangeError, match='"ssb": write "fm" or "am"'):
        zones("ssb", "none", 3000)
    with pytest.raises(ModelRangeError, match='"matrix": write one of "none", "filtered", "switching"'):
        zones("fm", "matrix", 3000)


def test_every_edge_is_on_the_hertz():
    # Heard strictly below 15 kHz of pitch: d < 15, and 23 < d < 53 kHz.
    heard_hz = [
        offset for offset in (0, 1, 14_999, 15_000, 23_000, 23_001, 37_999, 38_000, 38_001, 52_999, 53_000)
        if any(not math.isnan(loudness(zone, offset)) for zone in FILTERED)
    ]  # fmt: skip
    assert heard_hz == [1, 14_999, 23_001, 37_999, 38_001, 52_999]
    (audio,) = AM
    on_am = [
        offset for offset in (0, 1, 4_499, 4_500) if not math.isnan(loudness(audio, offset, modulation="am"))
    ]
    assert on_am == [1, 4_499]


# Published values


@pytest.mark.parametrize(("offset_khz", "harmonic", "pitch_khz"), [(110, 3, 4), (186, 5, 4)])
def test_stereo_decoder_test_definitions(offset_khz, harmonic, pitch_khz):
    # Stereo decoder data sheet, test definitions, 1996 (read): 110 kHz against 3 x 38 and 186 kHz against 5 x 38
    # give 4 kHz each.  Its 67 kHz against 2 x 38 (9 kHz) measures how even the switching is: an exact square wave
    # holds no second harmonic, so there is no such zone here and that row is left out.
    zone = next(zone for zone in SWITCHING if zone.carrier_hz == harmonic * 38_000)
    assert pitches_hz(zone, khz(offset_khz)).tolist() == [pitch_khz * KHZ]
    assert heard(SWITCHING, offset_khz) == [pitch_khz * KHZ]
    assert heard(FILTERED, offset_khz) == [None]


def test_neighbours_in_the_usual_rasters():
    # Exact from |d - 38|, |d - 114|, |d - 190|.
    assert heard(SWITCHING, 50, 100, 150, 200) == [12_000, 14_000, None, 10_000]
    assert heard(FILTERED, 50, 100, 150, 200) == [12_000, None, None, None]
    assert heard(NONE, 50, 100, 150, 200) == [None] * 4


@pytest.mark.parametrize(
    ("time_us", "pitch_khz", "loss_db"),
    [(50, 8, 8.64), (50, 15, 13.66), (75, 15, 17.07), (50, 0, 0), (0, 15, 0)],
)
def test_deemphasis_values(time_us, pitch_khz, loss_db):
    # Exact from 10 lg(1 + (2 pi f tau)^2).
    (loss,) = deemphasis_db(khz(pitch_khz), time_us)
    assert loss == pytest.approx(loss_db, abs=HUNDREDTH_DB)


def test_one_pitch_has_several_offsets():
    assert [offset for offset, _ in offsets_hz(8_000, NONE)] == [8_000]
    assert [offset for offset, _ in offsets_hz(8_000, FILTERED)] == [8_000, 30_000, 46_000]
    assert offsets_hz(8_000, SWITCHING) == (
        (8_000, MONO), (30_000, STEREO), (46_000, STEREO), (106_000, THIRD), (122_000, THIRD),
        (182_000, FIFTH), (198_000, FIFTH),
    )  # fmt: skip
    for not_heard_hz in (0, -8_000, MONO_LIMIT_HZ):
        assert offsets_hz(not_heard_hz, SWITCHING) == ()
    assert offsets_hz(AUDIO_AM_HZ - 1, AM) == ((AUDIO_AM_HZ - 1, AM[0]),)
    assert offsets_hz(AUDIO_AM_HZ, AM) == ()


# Laws


@given(st.sampled_from(SWITCHING), st.integers(1, 300_000), st.integers(1, 300_000))
def test_before_deemphasis_it_grows_with_the_offset(zone, one_hz, other_hz):
    nearer_hz, farther_hz = sorted((one_hz, other_hz))
    nearer, farther = loudness(zone, nearer_hz), loudness(zone, farther_hz)
    if not math.isnan(nearer + farther):
        assert farther - nearer == pytest.approx(20 * math.log10(farther_hz / nearer_hz), abs=ROUNDING_DB)


@given(st.sampled_from(SWITCHING[1:]), st.integers(0, MONO_LIMIT_HZ))
def test_the_pitch_folds_at_every_carrier_of_the_decoder(zone, distance_hz):
    either = np.array([zone.carrier_hz - distance_hz, zone.carrier_hz + distance_hz])
    assert pitches_hz(zone, either).tolist() == pitches_hz(zone, -either).tolist() == [distance_hz] * 2


@given(st.sampled_from(SWITCHING + AM), st.integers(-250_000, 250_000))
def test_either_side_of_the_wanted_carrier_is_alike(zone, offset_hz):
    one, other = loudness(zone, offset_hz), loudness(zone, -offset_hz)
    assert one == other or (math.isnan(one) and math.isnan(other))


@pytest.mark.parametrize("decoder", SETS)
def test_offsets_are_complete_against_trying_them_all(decoder):
    tried = khz(*range(1, FARTHEST_KHZ + 1))
    for pitch_khz in range(0, 17):
        found = offsets_hz(pitch_khz * KHZ, SETS[decoder])
        expected = {
            (offset, zone)
            for zone in SETS[decoder]
            for offset in tried.tolist()
            if abs(offset - zone.carrier_hz) == pitch_khz * KHZ and 0 < pitch_khz < 15
        }
        assert set(found) == expected
        assert len(found) == len(expected)
        assert [offset for offset, _ in found] == sorted(offset for offset, _ in found)


@given(st.sampled_from(list(SETS)), st.integers(1, MONO_LIMIT_HZ - 1))
def test_offsets_put_back_give_the_pitch(decoder, pitch_hz):
    found = offsets_hz(pitch_hz, SETS[decoder])
    assert len(found) == {"none": 1, "filtered": 3, "switching": 7}[decoder]
    for offset_hz, zone in found:
        assert pitches_hz(zone, np.array([offset_hz, -offset_hz])).tolist() == [pitch_hz, pitch_hz]
        assert not math.isnan(loudness(zone, offset_hz))


@given(st.floats(-120, 20), st.integers(1, MONO_LIMIT_HZ - 1))
def test_the_stronger_carrier_takes_over(ratio_db, offset_hz):
    assert math.isnan(loudness(MONO, offset_hz, ratio_db)) == (ratio_db >= 0)
    (audio,) = zones("am", "none", MONO_LIMIT_HZ)
    on_am = loudness(audio, offset_hz, ratio_db, modulation="am")
    assert math.isnan(on_am) if ratio_db >= 0 else on_am == ratio_db


def test_an_unknown_ratio_gives_an_unknown_loudness():
    assert math.isnan(loudness(MONO, 5_000, math.nan))
    assert heard(SWITCHING, 5, ratio_db=math.nan) == [None]


def test_full_deviation_is_where_the_loudness_counts_from():
    # A hundredth of the carrier, 7.5 kHz away, deviates by 75 Hz: a thousandth of 75 kHz.
    assert loudness(MONO, 7_500, -40) == pytest.approx(-60, abs=ROUNDING_DB)
    at_50_us = loudness(MONO, 7_500, -40, deemphasis_us=50)
    assert at_50_us == pytest.approx(-60 - 10 * math.log10(1 + (2 * math.pi * 0.375) ** 2), abs=ROUNDING_DB)


@pytest.mark.parametrize("zone", [THIRD, FIFTH])
def test_the_gain_of_a_switching_decoder_cancels_the_growth_with_the_offset(zone):
    # The same just beside the carrier; 1 kHz away the three lie within a third of a decibel.
    near = loudness(zone, zone.carrier_hz + 1)
    assert near == pytest.approx(loudness(STEREO, STEREO.carrier_hz + 1), abs=HUNDREDTH_DB)
    for aside_hz in (-1_000, 1_000):
        beside = loudness(zone, zone.carrier_hz + aside_hz)
        assert beside == pytest.approx(loudness(STEREO, STEREO.carrier_hz + aside_hz), abs=1 / 3)


def test_deemphasis_goes_by_the_pitch_and_not_by_the_offset():
    for offset_hz, zone in offsets_hz(8_000, SWITCHING):
        lost = loudness(zone, offset_hz) - loudness(zone, offset_hz, deemphasis_us=50)
        assert lost == pytest.approx(8.64, abs=HUNDREDTH_DB)


# The loudest of all zones


def test_the_loudest_is_the_loudest_of_zones_that_overlap():
    # No two zones of a real set overlap.  Of these the first is always the louder before the de-emphasis; after it
    # the lower pitch wins from 30 kHz on, but not on the zero beat of the second.
    wide = (Zone(0, 1.0, "mono", 60_000), Zone(38_000, 0.9, "stereo", 60_000))
    for own_zones in (wide, wide[::-1]):
        assert heard(own_zones, 1, 18, 30, 38, 40) == [1_000, 18_000, 8_000, 38_000, 2_000]
        at_once = heard(own_zones, 1, 18, 30, 38, 40, deemphasis_us=0)
        assert at_once == [1_000, 18_000, 30_000, 38_000, 40_000]


@given(st.lists(st.tuples(st.integers(-300_000, 300_000), st.floats(-80, 10)), max_size=20))
def test_the_loudest_is_elementwise(pairs):
    offset = np.array([offset for offset, _ in pairs], dtype=np.int64)
    ratio = np.array([ratio for _, ratio in pairs], dtype=np.float64)
    pitch, level = loudest(
        SWITCHING,
        modulation="fm",
        offset_hz=offset,
        ratio_db=ratio,
        deviation_hz=DEVIATION_HZ,
        deemphasis_us=50.0,
    )
    assert pitch.dtype == np.int64
    assert level.dtype == np.float64
    for (offset_hz, ratio_db), own_pitch, own_level in zip(
        pairs, pitch.tolist(), level.tolist(), strict=True
    ):
        sounding = {
            loudness(zone, offset_hz, ratio_db, deemphasis_us=50.0): abs(abs(offset_hz) - zone.carrier_hz)
            for zone in SWITCHING
            if not math.isnan(loudness(zone, offset_hz, ratio_db, deemphasis_us=50.0))
        }
        if sounding:
            assert own_level == max(sounding)
            assert own_pitch == sounding[max(sounding)]
        else:
            assert own_pitch == -1
            assert math.isnan(own_level)


def test_overlapping_zones_give_an_offset_each():
    one, other = Zone(0, 1.0, "mono"), Zone(16_000, 1.0, "stereo")
    assert offsets_hz(8_000, (other, one)) == ((8_000, other), (8_000, one), (24_000, other))


@pytest.mark.parametrize("ratio_db", [-30.0, np.array([-30.0, -20.0])])
@pytest.mark.parametrize("offset_hz", [np.array([5_000]), np.array([5_000, 7_500])])
def test_what_cannot_sound_is_unknown_in_the_shape_that_was_asked(offset_hz, ratio_db):
    shape = np.broadcast(offset_hz, ratio_db).shape
    at = {"offset_hz": offset_hz, "ratio_db": ratio_db, "deemphasis_us": 0.0}
    pitch, level = loudest((), modulation="fm", deviation_hz=DEVIATION_HZ, **at)
    assert (pitch.shape, level.shape, pitch.dtype) == (shape, shape, np.int64)
    assert (pitch == -1).all()
    assert np.isnan(level).all()
    without = loudness_db(modulation="fm", zone=MONO, deviation_hz=0, **at)
    assert (without.shape, without.dtype) == (shape, np.float64)
    assert np.isnan(without).all()


@pytest.mark.parametrize("deviation_hz", [0, 1, DEVIATION_HZ])
def test_on_am_deviation_has_no_say(deviation_hz):
    pitch, level = loudest(
        AM,
        modulation="am",
        offset_hz=khz(1, 4, 5),
        ratio_db=-25,
        deviation_hz=deviation_hz,
        deemphasis_us=50.0,
    )
    assert pitch.tolist() == [1_000, 4_000, -1]
    assert np.array_equal(level, [-25, -25, np.nan], equal_nan=True)


def test_any_deviation_is_a_measure():
    (level,) = loudness_db(
        modulation="fm", zone=MONO, offset_hz=khz(1), ratio_db=-30, deviation_hz=1, deemphasis_us=0.0
    )
    assert level == pytest.approx(-30 + 60, abs=ROUNDING_DB)


# Lines of a pilot, judged by scipy


@pytest.mark.parametrize("deviation_hz", [1, 50_000, DEVIATION_HZ])
def test_lines_of_a_pilot_stand_by_bessel_functions(deviation_hz):
    index = deviation_hz / 10 / 19_000
    by_scipy_db = 20 * math.log10(special.jv(1, index) / special.jv(0, index))
    found = sidelines(deviation_hz)
    assert [(line.name, line.pilots) for line in found] == [("carrier", 0), ("pilot", -1), ("pilot", 1)]
    assert [line.level_db for line in found] == pytest.approx([0, by_scipy_db, by_scipy_db], abs=ROUNDING_DB)


def test_without_deviation_there_is_the_carrier_alone():
    assert sidelines(0) == (Sideline("carrier", 0, 0.0),)


# De-emphasis, judged by scipy


@pytest.mark.parametrize("time_us", [50, 75])
def test_deemphasis_is_a_first_order_filter(time_us):
    pitch_hz = np.arange(0, 20_001, 250)
    _, response = filters.freqs([1], [time_us / 10**6, 1], worN=2 * np.pi * pitch_hz)
    np.testing.assert_allclose(
        deemphasis_db(pitch_hz, time_us), -20 * np.log10(np.abs(response)), atol=ROUNDING_DB
    )
