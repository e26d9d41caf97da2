"""What the tests of tones share: the zones of each kind of set, and one offset at a time."""

from __future__ import annotations

import numpy as np

from freqplan.tones import (
    loudest,
    loudness_db,
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
