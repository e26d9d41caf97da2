"""A sampled discriminator, stereo decoder and envelope detector as judges of pitch and loudness."""

from __future__ import annotations

import math
from functools import cache

import numpy as np
import pytest
from scipy.fft import irfft, rfft
from tonesets import (
    AM,
    DEVIATION_HZ,
    FARTHEST_KHZ,
    KHZ,
    MONO,
    ONE_PERCENT,
    SETS,
    SWITCHING,
    THREE_PERCENT,
    heard,
    khz,
    loudness,
)

from freqplan.tones import (
    PILOT_HZ,
    pitches_hz,
    sidelines,
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
    """Lines of both loudspeakers of two bare carriers [Hz of deviation]."""
    return decoded(carriers(ratio, offset_khz), decoder)


def decoded(envelope, decoder):
    """Lines of both loudspeakers behind discriminator and decoder [Hz of deviation]."""
    multiplex = discriminator(envelope)
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


# A neighbour with a pilot


PILOT_LINE = PILOT_HZ // KHZ
PILOT_TURN = DEVIATION_HZ / 10 / PILOT_HZ


def pilot(phase=1):
    """Envelope of a station with a pilot of a tenth of the deviation and no programme."""
    return np.exp(1j * phase * PILOT_TURN * np.sin(2 * np.pi * PILOT_LINE * TURNS))


def beside_one_with_a_pilot(ratio, offset_khz):
    """Envelope of a bare wanted carrier and a station whose carrier, as a line of its spectrum, is `ratio`."""
    wave = pilot()
    return 1 + ratio * np.exp(2j * np.pi * offset_khz * TURNS) * wave / abs(np.mean(wave))


def pitches_of_lines(own_zones, offset_khz):
    """Each zone and line of the station, the first ones of the pilot, with the pitch it gives [kHz]."""
    for zone in own_zones:
        for pilots in (-1, 0, 1):
            line_khz = abs(offset_khz) + pilots * PILOT_LINE
            pitch_khz = abs(abs(line_khz) - zone.carrier_hz // KHZ)
            if pitch_khz < AUDIO_LINES:
                yield zone, pilots, line_khz, pitch_khz


@pytest.mark.parametrize("decoder", SETS)
@pytest.mark.parametrize("sign", [1, -1])
def test_a_pilot_gives_the_pitch_and_loudness_of_its_lines(decoder, sign):
    ratio, tried = 0.001, set()
    lines_of = {line.pilots: line for line in sidelines(DEVIATION_HZ)}
    for offset_khz in range(15, 225, 5 if decoder == "none" else 3):
        left, right = decoded(beside_one_with_a_pilot(ratio, sign * offset_khz), decoder)
        # What mono hears is the same left and right, what the decoder makes is in anti-phase.
        found = {True: (left + right) / 2, False: (left - right) / 2}
        tones = list(pitches_of_lines(SETS[decoder], offset_khz))
        places = [(zone.name == "mono", pitch_khz) for zone, *_, pitch_khz in tones]
        for place, (zone, pilots, line_khz, pitch_khz) in zip(places, tones, strict=True):
            # A pitch that two lines share is the sum of both, by their phases.
            if not pitch_khz or places.count(place) > 1:
                continue
            level_db = 20 * math.log10(ratio) + lines_of[pilots].level_db
            stated = 10 ** (loudness(zone, line_khz * KHZ, level_db) / 20) * DEVIATION_HZ
            level = abs(found[place[0]][pitch_khz])
            assert level == pytest.approx(stated, rel=THREE_PERCENT), (offset_khz, pilots)
            tried.add((zone.carrier_hz, pilots))
    # From 15 kHz on neither the carrier nor the farther line of its pilot is in the audio band itself.
    assert tried == {(zone.carrier_hz, line) for zone in SETS[decoder] for line in lines_of} - {
        (0, 0),
        (0, 1),
    }


def test_a_neighbour_at_100_gives_14_and_5_and_at_200_10_and_9_kilohertz():
    for offset_khz, expected in ((100, {14, 5}), (150, set()), (200, {10, 9})):
        left, _ = decoded(beside_one_with_a_pilot(0.001, offset_khz), "switching")
        # The second lines of the pilot, -34 dB, are a fiftieth of the first one in the loudest of these.
        loud = np.abs(left[1:]) > 0.01 * 0.001 * offset_khz * KHZ
        assert set(np.flatnonzero(loud) + 1) == expected


def test_the_pilot_of_the_wanted_station_makes_the_same_tones():
    """Of pilots in step nothing is left, of opposite ones both add up; in between they sway."""
    ratio, offset_khz, pitch = 0.001, 100, 5
    beat = ratio * np.exp(2j * np.pi * offset_khz * TURNS)

    def tone(wanted, other):
        left, _ = decoded(wanted + beat * other, "switching")
        return abs(left[pitch])

    alone = tone(1, pilot())
    assert tone(pilot(), 1) == pytest.approx(alone, rel=THREE_PERCENT)
    assert tone(pilot(), pilot()) < alone / 100
    assert 20 * math.log10(tone(pilot(-1), pilot()) / alone) == pytest.approx(6, abs=0.6)


# AM


@pytest.mark.parametrize("ratio", [0.001, 0.01, 0.1, 0.2])
def test_an_envelope_detector_gives_the_ratio(ratio):
    for offset_khz in (1, 3, 4):
        found = np.abs(lines(np.abs(carriers(ratio, offset_khz))))
        stated = 10 ** (loudness(AM[0], offset_khz * KHZ, 20 * math.log10(ratio), modulation="am") / 20)
        assert found[offset_khz] == pytest.approx(stated, rel=ONE_PERCENT)
        assert stated == pytest.approx(ratio)
        assert np.argmax(found[1:]) + 1 == offset_khz
