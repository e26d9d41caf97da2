"""The windows: where a product sits in the IF filter, and where only its deviation bursts into it.

With o the offset of a product from the middle of the IF and W half the filter's bandwidth:
abs(o) <= W *sits in*; abs(o) <= W + m*deviation *bursts only* (FM; with amplitude modulation there is no
such zone).  On the dial a window is narrower by abs(a), the rate at which the product moves with tuning.

Widths are kept doubled because half an odd number of hertz is no whole number.
"""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from freqplan.hertz import Int64, Ratios

if TYPE_CHECKING:
    from freqplan.plan import Plan

SITS_IN = "sits-in"
BURSTS_ONLY = "bursts-only"


def twice_windows(plan: Plan, m: Int64) -> tuple[int, Int64]:
    """Return twice the half-widths in the IF within which a product sits in, and within which it bursts.

    Parameters
    ----------
    plan : Plan
        Gives the filter's bandwidth and the peak deviation.
    m : (k,) int64
        Harmonic of the signal: the product's deviation is m times the programme's.

    Returns
    -------
    int [Hz], (k,) int64 [Hz]
        2W, and 2(W + m*deviation).
    """
    bandwidth_hz = plan.if_filter.bandwidth_hz
    return bandwidth_hz, bandwidth_hz + 2 * m * plan.band.deviation_hz


def reach(plan: Plan, m: Int64, offset_hz: Int64) -> npt.NDArray[np.object_]:
    """Return ``"sits-in"``, ``"bursts-only"`` or None for each product; shape (k,)."""
    sits, bursts = twice_windows(plan, m)
    distance = 2 * np.abs(offset_hz)
    words = np.full(len(distance), None, dtype=object)
    words[distance <= bursts] = BURSTS_ONLY
    words[distance <= sits] = SITS_IN
    return words


def around(centre: Ratios, twice_half_width: Int64, a: Int64) -> tuple[Ratios, Ratios]:
    """Return both ends of a window on the dial [Hz]; each (k,), "none" where the centre is none.

    Parameters
    ----------
    centre : (k,) Ratios [Hz]
        Dial setting of exact zero offset, with denominators that divide `a`.
    twice_half_width : (k,) int64 [Hz]
        Twice the half-width in the IF.
    a : (k,) int64
        Hertz in the IF per hertz on the dial.
    """
    slope = np.abs(a)
    middle = 2 * centre.num * (slope // np.where(centre.known, centre.den, 1))
    den = np.where(centre.known, 2 * slope, 0)
    return Ratios(middle - twice_half_width, den), Ratios(middle + twice_half_width, den)


def clipped(values: Ratios, low_hz: int, high_hz: int) -> Ratios:
    """Return `values` brought inside low_hz ... high_hz; "none" stays none."""
    below = values.num < low_hz * values.den
    above = values.num > high_hz * values.den
    return values.replaced(below & values.known, low_hz).replaced(above & values.known, high_hz)


def touches(
    low: Ratios, high: Ratios, low_hz: Fraction | int, high_hz: Fraction | int
) -> npt.NDArray[np.bool_]:
    """Return where the range low ... high meets low_hz ... high_hz, ends included; shape (k,)."""
    start, stop = Fraction(low_hz), Fraction(high_hz)
    reaches_down = low.num * stop.denominator <= stop.numerator * low.den
    reaches_up = high.num * start.denominator >= start.numerator * high.den
    meets: npt.NDArray[np.bool_] = low.known & reaches_down & reaches_up
    return meets


def ordered(one: Ratios, other: Ratios) -> tuple[Ratios, Ratios]:
    """Return the lower and the higher of two columns, row by row; "none" where either is none."""
    known = one.known & other.known
    swap = one.num * other.den > other.num * one.den
    low = Ratios(np.where(swap, other.num, one.num), np.where(swap, other.den, one.den))
    high = Ratios(np.where(swap, one.num, other.num), np.where(swap, one.den, other.den))
    return low.where(known), high.where(known)


def nearest_channel(plan: Plan, dial: Ratios) -> Int64:
    """Return the channel nearest to each dial setting [Hz], never off the band; a half goes up.

    Rows whose dial setting is none get the lowest channel: mask them.
    """
    first, raster = plan.band.first_channel_hz, plan.band.raster_hz
    den = np.where(dial.known, dial.den, 1)
    steps = (2 * (dial.num - first * den) + raster * den) // (2 * raster * den)
    inside: Int64 = np.clip(steps, plan.first_channel_index, plan.last_channel_index)
    return first + raster * inside


def channels_within(plan: Plan, low: Ratios, high: Ratios) -> tuple[Int64, Int64]:
    """Return the first channel inside each range of the dial [Hz], and how many there are; each (k,)."""
    first, raster = plan.band.first_channel_hz, plan.band.raster_hz
    start = -((first * low.den - low.num) // (raster * low.den))
    stop = (high.num - first * high.den) // (raster * high.den)
    start = np.maximum(start, plan.first_channel_index)
    stop = np.minimum(stop, plan.last_channel_index)
    return first + raster * start, np.maximum(stop - start + 1, 0)


def channels_around(plan: Plan, at_hz: int, most: int) -> Int64:
    """Return the channels nearest to a frequency, nearest first, of two the lower one; at most `most`, (k,) [Hz]."""
    first, raster = plan.band.first_channel_hz, plan.band.raster_hz
    nearest = (plan.nearest_channel_hz(at_hz) - first) // raster
    start = max(nearest - most, plan.first_channel_index)
    stop = min(nearest + most, plan.last_channel_index)
    channels = first + raster * np.arange(start, stop + 1, dtype=np.int64)
    order: Int64 = np.argsort(np.abs(channels - at_hz), kind="stable")[:most]
    return channels[order]
