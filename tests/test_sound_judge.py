"""Whole sounds against one period of 1 ms sampled twenty times as finely, with plain filters."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from test_judge_tones import SAMPLES, SUBCARRIER_LINE, TURNS, audio, discriminator, lines
from test_sounds import KHZ, TENTH_DB, beside, decibels, engine, heard, spectrum
from test_whistles import am, deemphasis_by_hand_db, filter_by_hand_db, fm
from thoroughness import examples

from freqplan.baseband import TONE_DEPTH

DEVIATION_HZ, BANDWIDTH_HZ = 75_000, 180_000
ONE_PERCENT, NEARLY_NOTHING = 0.01, 2e-4
AUDIO = slice(1, 15)
"""Lines, in kHz, from the first note to the last."""


def by_hand(gain_db):
    return 10 ** (-np.array(gain_db) / 20)


def filtered(envelope, bandwidth_hz):
    """Take off an envelope what the IF filter does, line by line, down to its floor of 80 dB."""
    offsets_hz = np.abs(np.fft.fftfreq(SAMPLES, 1 / SAMPLES)) * KHZ
    skirts_hz = 16 * bandwidth_hz // 9
    loss = [
        min(filter_by_hand_db(offset, bandwidth_hz, skirts_hz), 80) if offset else 0 for offset in offsets_hz
    ]
    return np.fft.ifft(np.fft.fft(envelope) * by_hand(loss))


def both_ears(envelope, decoder):
    """Lines of both loudspeakers [Hz of deviation]; of the square wave the harmonics that `tones` reckons with."""
    multiplex = discriminator(envelope)
    harmonics = {"none": {}, "filtered": {1: 1}, "switching": {1: 1, 3: -1 / 3, 5: 1 / 5}}[decoder]
    turn = 2 * np.pi * SUBCARRIER_LINE * (TURNS + 0.5 / SAMPLES)
    wave = sum((2 * gain * np.cos(n * turn) for n, gain in harmonics.items()), np.zeros(SAMPLES))
    total, difference = lines(audio(multiplex)), lines(audio(multiplex * wave))
    return total + difference, total - difference


def two_carriers(offset_khz, ratio_db, tone_khz):
    tone = 2 * np.pi * tone_khz * TURNS
    wanted = np.exp(1j * TONE_DEPTH * DEVIATION_HZ / (tone_khz * KHZ) * np.sin(tone)) if tone_khz else 1
    return wanted + 10 ** (ratio_db / 20) * np.exp(2j * np.pi * offset_khz * TURNS)


@pytest.mark.parametrize("decoder", ["none", "filtered", "switching"])
@pytest.mark.parametrize("ratio_db", [-40, -10, -6, 20])
@pytest.mark.parametrize(("offset_khz", "tone_khz"), [(5, 0), (30, 1), (46, 3), (60, 2), (110, 1)])
def test_every_line_of_both_ears_is_that_of_the_finer_model(decoder, ratio_db, offset_khz, tone_khz):
    envelope = filtered(two_carriers(offset_khz, ratio_db, tone_khz), BANDWIDTH_HZ)
    softer = by_hand([deemphasis_by_hand_db(pitch * KHZ, 50) for pitch in range(1, 15)])
    ears = heard(fm("switching"), beside(offset_khz * KHZ, ratio_db, tone_hz=tone_khz * KHZ), decoder).T
    for ear, side in zip(ears, both_ears(envelope, decoder), strict=False):
        expected = np.abs(side[AUDIO]) * softer / DEVIATION_HZ
        assert spectrum(ear)[KHZ : 15 * KHZ : KHZ] == pytest.approx(
            expected, rel=ONE_PERCENT, abs=NEARLY_NOTHING
        )


@pytest.mark.parametrize("ratio_db", [-20, -6, 20])
@pytest.mark.parametrize("tone_khz", [0, 1])
def test_every_line_of_an_am_set_is_that_of_the_finer_model(ratio_db, tone_khz):
    wanted = 1 + (TONE_DEPTH * np.cos(2 * np.pi * tone_khz * TURNS) if tone_khz else 0)
    intruder = 10 ** (ratio_db / 20) * np.exp(2j * np.pi * 3 * TURNS)
    found = lines(np.abs(filtered(wanted + intruder, 9_000)))
    expected = np.abs(found[AUDIO] / found[0])  # the AGC holds the mean
    ear = heard(am(), beside(3 * KHZ, ratio_db, tone_hz=tone_khz * KHZ))[:, 0]
    assert spectrum(ear)[KHZ : 15 * KHZ : KHZ] == pytest.approx(expected, rel=ONE_PERCENT, abs=NEARLY_NOTHING)


@settings(max_examples=examples(25), deadline=None)
@given(
    carrier_khz=st.sampled_from([38, 114, 190]),
    from_it_hz=st.integers(200, 14_500),
    below=st.booleans(),
    ratio_db=st.floats(-70, -40),
)
def test_any_offset_about_a_carrier_of_the_decoder(carrier_khz, from_it_hz, below, ratio_db):
    offset_hz = carrier_khz * KHZ + (-from_it_hz if below else from_it_hz)
    ((_, pitch_hz, level_db),) = engine(fm("switching"), "switching", offset_hz, ratio_db)
    left, right = heard(fm("switching"), beside(offset_hz, ratio_db), "switching").T
    assert pitch_hz == from_it_hz
    for ear in (left, right):
        # The second harmonic of the offset, as much weaker as the ratio says, may fall on the same note.
        assert decibels(spectrum(ear)[pitch_hz]) == pytest.approx(level_db, abs=2 * TENTH_DB)
