"""Protection ratios: every row of the table as remembered, and what lies between and beyond the rows."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from freqplan.protection import protection_ratio_db, protection_table

EXACT_DB = 1e-9
FARTHEST_HZ = 400_000
COMMON_FROM_HZ = 225_000

# Rec. ITU-R BS.412-9, steady interference, from memory: spacing [kHz], stereo and mono [dB].
REMEMBERED = [
    (0, 45, 36), (25, 51, 31), (50, 51, 24), (75, 45, 16), (100, 33, 12), (125, 24.5, 9.5), (150, 18, 8),
    (175, 11, 7), (200, 7, 6), (225, 4.5, 4.5), (250, 2, 2), (275, -2, -2), (300, -7, -7), (325, -11.5, -11.5),
    (350, -15, -15), (375, -17.5, -17.5), (400, -20, -20),
]  # fmt: skip

offsets = st.integers(-FARTHEST_HZ, FARTHEST_HZ)


def ratio(offset_hz, stereo):
    return float(protection_ratio_db(np.array([offset_hz]), stereo=stereo)[0])


@pytest.mark.parametrize(("spacing_khz", "stereo_db", "mono_db"), REMEMBERED)
def test_bs_412_steady_interference_from_memory(spacing_khz, stereo_db, mono_db):
    assert ratio(spacing_khz * 1000, stereo=True) == stereo_db
    assert ratio(spacing_khz * 1000, stereo=False) == mono_db


def test_the_table_has_no_other_rows_and_each_names_its_source():
    table = protection_table()
    assert table.spacing_hz.tolist() == [spacing_khz * 1000 for spacing_khz, _, _ in REMEMBERED]
    assert set(table.sources) == {"Rec. ITU-R BS.412-9, steady interference, from memory"}
    assert len(table.sources) == len(REMEMBERED)


def test_co_channel_ratio_against_the_mean_of_the_regional_agreement():
    # Regional agreement GE84 (read) has 47 dB: the mean of the co-channel ratio and of 49 dB for +-50 kHz (the 49
    # from memory).  The table has 51 dB at 50 kHz, so this bears out the co-channel row alone.
    assert (ratio(0, stereo=True) + 49) / 2 == 47


@pytest.mark.parametrize("stereo", [True, False])
@pytest.mark.parametrize(("lower", "upper"), list(pairwise(REMEMBERED)))
def test_between_two_rows_it_is_linear_in_decibels(lower, upper, stereo):
    column = 1 if stereo else 2
    width_hz = (upper[0] - lower[0]) * 1000
    for tenths in (1, 5, 8):
        expected = lower[column] + (upper[column] - lower[column]) * tenths / 10
        at_hz = lower[0] * 1000 + width_hz * tenths // 10
        assert ratio(at_hz, stereo) == pytest.approx(expected, abs=EXACT_DB)


@pytest.mark.parametrize("stereo", [True, False])
def test_beyond_the_last_row_nothing_is_known(stereo):
    beyond = np.array([FARTHEST_HZ + 1, -FARTHEST_HZ - 1, 1_000_000, 10_700_000])
    assert np.isnan(protection_ratio_db(beyond, stereo=stereo)).all()
    assert ratio(-FARTHEST_HZ, stereo) == ratio(FARTHEST_HZ, stereo) == -20


@given(offsets)
def test_either_side_is_alike(offset_hz):
    for stereo in (True, False):
        assert ratio(offset_hz, stereo) == ratio(-offset_hz, stereo)


@given(offsets)
def test_stereo_needs_more_until_both_are_alike(offset_hz):
    stereo, mono = ratio(offset_hz, stereo=True), ratio(offset_hz, stereo=False)
    if abs(offset_hz) >= COMMON_FROM_HZ:
        assert stereo == mono
    else:
        assert stereo > mono


@given(offsets, offsets)
def test_mono_needs_less_the_farther_apart(one_hz, other_hz):
    nearer_hz, farther_hz = sorted((one_hz, other_hz), key=abs)
    assert ratio(farther_hz, stereo=False) <= ratio(nearer_hz, stereo=False)


def test_an_array_goes_in_and_an_array_comes_out():
    found = protection_ratio_db(np.array([0, 100_000, 400_001]), stereo=True)
    assert found.dtype == np.float64
    np.testing.assert_array_equal(found, [45, 33, np.nan])
    assert protection_ratio_db(np.array([], dtype=np.int64), stereo=True).shape == (0,)


def test_the_table_cannot_be_written_on():
    table = protection_table()
    for column in (table.spacing_hz, table.stereo_db, table.mono_db):
        with pytest.raises(ValueError, match="read-only"):
            column[0] = 0
