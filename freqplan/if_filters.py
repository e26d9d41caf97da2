"""What the IF filter takes off a product beside its middle."""

from __future__ import annotations

import math

import numpy as np

from freqplan.decibel import Float64
from freqplan.errors import ModelRangeError
from freqplan.hertz import Int64

FILTER_FLOOR_DB = 80.0
"""What leaks past an IF filter, however far from its middle; common practice, no source."""


def filter_loss_db(offset_hz: Int64, *, bandwidth_hz: int, bandwidth_20db_hz: int) -> Float64:
    """Return the loss of an IF filter against its middle: a maximally flat shape through two points.

    Parameters
    ----------
    offset_hz : (k,) int64 [Hz]
        Distance from the middle; either sign gives the same.
    bandwidth_hz, bandwidth_20db_hz : int [Hz]
        Widths between the -3 dB and between the -20 dB points.

    Returns
    -------
    (k,) float64 [dB]
        ``10 lg(1 + (10^0.3 - 1) x^(2p))`` with x = 2 |d| / bandwidth, and p such that it is 20 dB at the second
        point: ``x20^(2p) = (10^2 - 1) / (10^0.3 - 1)``.  At most `FILTER_FLOOR_DB`.  For whole p it is the
        Butterworth shape of p resonators, whose 3 dB are taken as 3 dB exactly, not as 10 lg 2.

    Raises
    ------
    ModelRangeError
        The widths are not above zero, or the second is no wider than the first.
    """
    if not 0 < bandwidth_hz < bandwidth_20db_hz:
        raise ModelRangeError(
            f"IF filter {bandwidth_hz} Hz wide at -3 dB and {bandwidth_20db_hz} Hz at -20 dB: "
            "give widths above zero, the second the larger"
        )
    edge, skirt = (math.log(10 ** (db / 10) - 1) for db in (3.0, 20.0))
    steepness = (skirt - edge) / math.log(bandwidth_20db_hz / bandwidth_hz)
    with np.errstate(divide="ignore"):  # the middle: ln 0 is minus infinity, and the loss 0
        growth = edge + steepness * np.log(2 * np.abs(offset_hz) / bandwidth_hz)
    # A sum of logarithms, since the power itself overflows far out on a steep filter.
    loss: Float64 = 10 / math.log(10) * np.logaddexp(0, growth)
    return np.minimum(loss, FILTER_FLOOR_DB)
