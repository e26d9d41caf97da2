"""What a beat sounds like: laws, published values, and a sampled discriminator and stereo decoder as judges.

The judges know nothing of the formulas: two carriers are sampled, their phase is turned into frequency, the decoder
multiplies it by its subcarrier, and a Fourier transform says which notes are there.
"""

from __future__ import annotations

import math
from functools import cache

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import signal as filters
from scipy.fft import irfft, rfft

from freqplan.errors import ModelRangeError
from freqplan.if_filters import FILTER_FLOOR_DB, filter_loss_db
from freqplan.tones import (
    MONO_LIMIT_HZ,
    Zone,
    deemphasis_db,
    loudest,
    loudness_db,
    offsets_hz,
    pitches_hz,
    zones,
)

KHZ = 1000
DEVIATION_HZ = 75_000
HUNDREDTH_DB = 0.01
ROUNDING_DB = 1e-9
ONE_PERCENT, THREE_PERCENT = 0.01, 0.03

AUDIO_AM_HZ = 4_500
NONE, FILTERED, SWITCHING = (zones("fm", decoder, 0) for decoder in ("none", "filtered", "switching"))
AM = zones("am", "none", AUDIO_AM_HZ)
MONO, STEREO, THIRD, FIFTH = SWITCHING
SETS = {"none": NONE, "filtered": FILTERED, "switching": SWITCHING}
FARTHEST_KHZ = 250


def khz(*values):
    return np.array([value * KHZ for value in values], dtype=np.int64)


def loudness(zone, offset_hz, ratio_db=-30.0, *, modulation="fm", deemphasis_us=0.0):
    """Loudness of one offset; without de-emphasis where none is given."""
    (level,) = loudness_db(
        modulation=modulation, zone=zone, offset_hz=np.array([offset_hz]), ratio_db=ratio_db,
        deviation_hz=DEVIATION_HZ, deemphasis_us=deemphasis_us,
    )  # fmt: skip
    return float(level)


def heard(own_zones, *offsets_khz, ratio_db=-30.0, modulation="fm", deemphasis_us=50.0):
    """Pitches of the loudest notes [Hz], None where there is none."""
    pitch, level = loudest(
        own_zones, modulation=modulation, offset_hz=khz(*offsets_khz), ratio_db=ratio_db,
        deviation_hz=DEVIATION_HZ, deemphasis_us=deemphasis_us,
    )  # fmt: skip
    assert pitch.dtype == np.int64
    assert np.array_equal(pitch == -1, np.isnan(level))
    return [None if each == -1 else each for each in pitch.tolist()]


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


# The IF filter


@given(st.integers(2, 10**6), st.floats(1.05, 20))
def test_the_filter_goes_through_both_of_its_points(half_hz, wider):
    far_hz = math.ceil(half_hz * wider) + 1
    widths = {"bandwidth_hz": 2 * half_hz, "bandwidth_20db_hz": 2 * far_hz}
    at_points = filter_loss_db(np.array([0, half_hz, -half_hz, far_hz, -far_hz]), **widths)
    np.testing.assert_allclose(at_points, [0, 3, 3, 20, 20], atol=ROUNDING_DB)


@given(
    st.integers(1, 10**6),
    st.integers(1, 10**6),
    st.integers(-(3 * 10**11), 3 * 10**11),
    st.integers(0, 10**9),
)
def test_the_filter_never_passes_more_farther_off(bandwidth_hz, wider_hz, offset_hz, farther_hz):
    # As steep, as wide and as far off as can be asked for: no overflow, nothing past the floor.
    farther = offset_hz + math.copysign(farther_hz, offset_hz)
    near, far = filter_loss_db(
        np.array([offset_hz, farther], dtype=np.int64),
        bandwidth_hz=bandwidth_hz,
        bandwidth_20db_hz=bandwidth_hz + wider_hz,
    )
    assert 0 <= near <= far <= FILTER_FLOOR_DB


@pytest.mark.parametrize(
    ("bandwidth_hz", "bandwidth_20db_hz"), [(180_000, 180_000), (180_000, 90_000), (0, 9_000)]
)
def test_a_filter_without_a_shape_is_refused(bandwidth_hz, bandwidth_20db_hz):
    with pytest.raises(ModelRangeError, match="give widths above zero, the second the larger"):
        filter_loss_db(khz(1), bandwidth_hz=bandwidth_hz, bandwidth_20db_hz=bandwidth_20db_hz)


@pytest.mark.parametrize("poles", [1, 2, 3, 4, 5, 7])
def test_the_filter_is_the_butterworth_shape_for_whole_numbers_of_resonators(poles):
    # scipy's filters lose 10 lg 2 = 3.0103 dB at their edge, these 3 dB: 10^0.3 - 1 = 0.99526 where scipy has 1.
    excess = 10**0.3 - 1
    half_hz = 10**9  # so large that whole hertz round nothing that shows
    far_hz = round(half_hz * (99 / excess) ** (1 / (2 * poles)))
    offset_hz = np.linspace(0, 3 * half_hz, 61).astype(np.int64)
    own = filter_loss_db(offset_hz, bandwidth_hz=2 * half_hz, bandwidth_20db_hz=2 * far_hz)
    numerator, denominator = filters.butter(poles, 1, analog=True)
    below_floor = own < FILTER_FLOOR_DB
    x = offset_hz / half_hz
    for stretch, tolerance_db in (
        (excess ** (1 / (2 * poles)), 1e-6),
        (1, 10 * math.log10(1 / excess) + 1e-6),
    ):
        _, response = filters.freqs(numerator, denominator, worN=x * stretch)
        judged = -20 * np.log10(np.abs(response))
        assert below_floor.sum() > 30
        np.testing.assert_allclose(own[below_floor], judged[below_floor], atol=tolerance_db)


# De-emphasis, judged by scipy


@pytest.mark.parametrize("time_us", [50, 75])
def test_deemphasis_is_a_first_order_filter(time_us):
    pitch_hz = np.arange(0, 20_001, 250)
    _, response = filters.freqs([1], [time_us / 10**6, 1], worN=2 * np.pi * pitch_hz)
    np.testing.assert_allclose(
        deemphasis_db(pitch_hz, time_us), -20 * np.log10(np.abs(response)), atol=ROUNDING_DB
    )


# A sampled discriminator and stereo decoder. The record lasts 1 ms, so that Fourier line k is k kHz.

SAMPLES_A_TURN = 400
"""A whole number of samples in one turn of the subcarrier: the sampled square wave then keeps its odd harmonics
and gains no lines between them.  15.2 million samples a second."""

SUBCARRIER_LINE = 38
SAMPLES = SAMPLES_A_TURN * SUBCARRIER_LINE
SAMPLE_HZ = SAMPLES * KHZ
AUDIO_LINES = 15

# Half a sample late, so that the square wave is never caught at zero.
TURNS = (np.arange(SAMPLES) + 0.5) / SAMPLES


def carriers(ratio, offset_khz):
    """Complex envelope of two carriers, the wanted one standing still."""
    return 1 + ratio * np.exp(2j * np.pi * offset_khz * TURNS)


def discriminator(envelope):
    """Frequency [Hz] from each sample to the next; the record is one whole period."""
    return np.angle(np.roll(envelope, -1) * envelope.conj()) * SAMPLE_HZ / (2 * np.pi)


def lines(waveform):
    """Complex amplitude of every line."""
    found = 2 * rfft(waveform) / len(waveform)
    found[0] /= 2
    return found


@cache
def subcarrier(decoder):
    """What the decoder multiplies by, its fundamental of amplitude 2, which restores the difference signal."""
    cosine = np.cos(2 * np.pi * SUBCARRIER_LINE * TURNS)
    wave = cosine if decoder == "filtered" else np.sign(cosine)
    return 2 * wave / abs(lines(wave)[SUBCARRIER_LINE])


def audio(waveform):
    """What a low-pass filter up to 15 kHz (excluded) leaves."""
    spectrum = rfft(waveform)
    spectrum[AUDIO_LINES:] = 0
    return irfft(spectrum, len(waveform))


def left_and_right(ratio, offset_khz, decoder):
    """Lines of both loudspeakers behind discriminator and decoder [Hz of deviation]."""
    multiplex = discriminator(carriers(ratio, offset_khz))
    total = audio(multiplex)
    if decoder == "none":
        return lines(total), lines(total)
    difference = audio(multiplex * subcarrier(decoder))
    return lines(total + difference), lines(total - difference)


@pytest.mark.parametrize("ratio", [0.01, 0.1, 0.3, 0.5, 0.7])
def test_a_discriminator_gives_the_offset_times_the_ratio(ratio):
    for offset_khz in range(1, 151):
        found = np.abs(lines(discriminator(carriers(ratio, offset_khz))))
        peak_hz = ratio * offset_khz * KHZ
        assert found[offset_khz] == pytest.approx(peak_hz, rel=ONE_PERCENT)
        assert found[2 * offset_khz] == pytest.approx(ratio * peak_hz, rel=ONE_PERCENT)
        assert np.argmax(found) == offset_khz
        if offset_khz < AUDIO_LINES:
            stated = 10 ** (loudness(MONO, offset_khz * KHZ, 20 * math.log10(ratio)) / 20) * DEVIATION_HZ
            assert found[offset_khz] == pytest.approx(stated, rel=ONE_PERCENT)


IN_A_ZONE = [
    (decoder, offset_khz, zone)
    for decoder, own_zones in SETS.items()
    for zone in own_zones
    for offset_khz in range(max(1, zone.carrier_hz // KHZ - 14), zone.carrier_hz // KHZ + 15)
    if offset_khz * KHZ != zone.carrier_hz
]


@pytest.mark.parametrize("decoder", SETS)
def test_a_stereo_decoder_gives_the_pitch_and_loudness_of_every_zone(decoder):
    ratio = 0.01
    for _, offset_khz, zone in (row for row in IN_A_ZONE if row[0] == decoder):
        left, right = left_and_right(ratio, offset_khz, decoder)
        (pitch_hz,) = pitches_hz(zone, khz(offset_khz))
        line = int(pitch_hz) // KHZ
        assert np.argmax(np.abs(left)) == np.argmax(np.abs(right)) == line, offset_khz
        stated = 10 ** (loudness(zone, offset_khz * KHZ, 20 * math.log10(ratio)) / 20) * DEVIATION_HZ
        assert stated == pytest.approx(ratio * offset_khz * KHZ * zone.gain)
        assert abs(left[line]) == pytest.approx(stated, rel=THREE_PERCENT), offset_khz
        phase = 1 if zone.name == "mono" else -1
        assert abs(left[line] - phase * right[line]) < THREE_PERCENT * stated, offset_khz


@pytest.mark.parametrize("decoder", SETS)
def test_a_stereo_decoder_gives_nothing_outside_the_zones(decoder):
    # So weak a carrier that the second harmonic of the beat, r times it, cannot be taken for a note of its own
    # (18 kHz: 2 x 18 beats with 38 and gives 2 kHz, in a real set too).
    ratio = 1e-4
    quiet_khz = [
        offset_khz
        for offset_khz in range(1, FARTHEST_KHZ + 1)
        if all(abs(offset_khz * KHZ - zone.carrier_hz) >= zone.limit_hz for zone in SETS[decoder])
    ]
    assert set(quiet_khz) >= {18, 60, 80, 150}
    assert heard(SETS[decoder], *quiet_khz) == [None] * len(quiet_khz)
    for offset_khz in quiet_khz:
        for side in left_and_right(ratio, offset_khz, decoder):
            assert np.abs(side[1:]).max() < ratio * offset_khz * KHZ / 1000, offset_khz


@pytest.mark.parametrize("zone", SWITCHING[1:])
def test_zero_beat_is_a_shift_and_no_tone(zone):
    offset_khz = zone.carrier_hz // KHZ
    assert heard(SWITCHING, offset_khz) == [None]
    left, _ = left_and_right(1e-4, offset_khz, "switching")
    assert np.abs(left[1:]).max() < 1e-3 * abs(left[0])


# AM


@pytest.mark.parametrize("ratio", [0.001, 0.01, 0.1, 0.2])
def test_an_envelope_detector_gives_the_ratio(ratio):
    for offset_khz in (1, 3, 4):
        found = np.abs(lines(np.abs(carriers(ratio, offset_khz))))
        stated = 10 ** (loudness(AM[0], offset_khz * KHZ, 20 * math.log10(ratio), modulation="am") / 20)
        assert found[offset_khz] == pytest.approx(stated, rel=ONE_PERCENT)
        assert stated == pytest.approx(ratio)
        assert np.argmax(found[1:]) + 1 == offset_khz
