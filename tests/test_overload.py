"""What the catalogue says of one strong signal among others, on a sampled cubic device."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.fft import rfft

from freqplan.mechanisms import catalogue

SAMPLES = 4096
TIME = np.arange(SAMPLES) / SAMPLES
WANTED, STRONG, NOTE = 700, 800, 15
"""Cycles in the record: the wanted carrier, the strong one, and the note that the strong one carries."""
CUBIC, WEAK, DEPTH = -0.01, 1e-3, 0.3
TENTH_DB = 0.1
PAD = 10 ** (-10 / 20)

strong_levels = pytest.mark.parametrize("strong", [0.3, 0.1, 0.03])


def behind_the_device(strong, depth=0.0, weak=WEAK):
    """Return the spectrum behind the device, the wanted carrier weak and unmodulated."""
    modulated = strong * (1 + depth * np.cos(2 * np.pi * NOTE * TIME)) * np.cos(2 * np.pi * STRONG * TIME)
    signal = weak * np.cos(2 * np.pi * WANTED * TIME) + modulated
    return np.abs(rfft(signal + CUBIC * signal**3)) * 2 / SAMPLES


def carried_over(strong, pad=1.0):
    """Return the depth to which the wanted carrier has taken over the note, both behind a pad."""
    spectrum = behind_the_device(strong * pad, DEPTH, WEAK * pad)
    return 2 * spectrum[WANTED + NOTE] / spectrum[WANTED]


@strong_levels
def test_a_pad_takes_as_much_off_cross_modulation_as_the_catalogue_says(strong):
    fall_db = 20 * np.log10(carried_over(strong) / carried_over(strong, PAD))
    assert fall_db == pytest.approx(20, abs=TENTH_DB)
    words = catalogue()["cross-modulation"]
    assert f"falls {fall_db:.0f} dB" in words.check
    assert f"takes {fall_db:.0f} dB off" in words.fingerprint


@strong_levels
def test_cross_modulation_stops_with_the_wanted_carrier(strong):
    with_it, without = (behind_the_device(strong, DEPTH, weak)[WANTED + NOTE] for weak in (WEAK, 0.0))
    assert without < with_it / 1000


@strong_levels
def test_the_gain_that_blocking_takes_goes_with_the_square_of_the_strong_signal(strong):
    lost, at_half = (1 - behind_the_device(level)[WANTED] / WEAK for level in (strong, strong / 2))
    assert lost > 0
    assert lost / at_half == pytest.approx(4, rel=0.01)
