"""The IF filter: its two points, its course, and scipy as an independent judge."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import signal as filters
from tonesets import (
    ROUNDING_DB,
    khz,
)

from freqplan.errors import ModelRangeError
from freqplan.if_filters import FILTER_FLOOR_DB, filter_loss_db


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
