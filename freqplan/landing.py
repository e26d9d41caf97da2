"""Which listed station lands on the IF at some dial setting: found by bisection, never by scanning."""

from __future__ import annotations

import numpy as np

from freqplan.errors import ModelRangeError
from freqplan.hertz import Int64
from freqplan.mixing import Combinations

MOST_LANDINGS = 500_000
"""More pairs than this are refused: nobody reads them, and they would fill the memory."""


def landings(
    some: Combinations, twice_window_hz: Int64, *, dial_low_hz: int | Int64, dial_high_hz: int | Int64,
    sorted_hz: Int64, what: str = "ghosts",
) -> tuple[Int64, Int64]:  # fmt: skip
    """Find every pair of a combination and a station that meets the IF window somewhere on the dial.

    Parameters
    ----------
    some : Combinations
        (k,) sums with c != 0.
    twice_window_hz : (k,) int64 [Hz]
        Twice the half-width of the window in the IF.
    dial_low_hz, dial_high_hz : int or (k,) int64 [Hz]
        The part of the dial, ends included.
    sorted_hz : (s,) int64 [Hz]
        Station frequencies in rising order.
    what : str
        What the pairs are called when there are too many of them.

    Returns
    -------
    (h,) int64, (h,) int64
        Rows of `some` and places in `sorted_hz`, row by row.

    Raises
    ------
    ModelRangeError
        More than `MOST_LANDINGS` pairs.

    Notes
    -----
    Over the dial the offset of a fixed signal runs through one interval, so the signals that meet the window
    form one interval as well; its ends come from whole-number division, and two bisections per row find
    the stations inside it.  The cost grows with rows and hits, not with rows times stations.
    """
    one, other = some.without_signal(dial_low_hz), some.without_signal(dial_high_hz)
    lowest = -2 * np.maximum(one, other) - twice_window_hz
    highest = -2 * np.minimum(one, other) + twice_window_hz
    falling = some.c < 0
    twice = 2 * np.abs(some.c)
    bottom = np.where(falling, -highest, lowest)
    top = np.where(falling, -lowest, highest)
    start = np.searchsorted(sorted_hz, -(-bottom // twice), side="left")
    stop = np.searchsorted(sorted_hz, top // twice, side="right")
    count = np.maximum(stop - start, 0)
    if count.sum() > MOST_LANDINGS:
        raise ModelRangeError(
            f"{count.sum()} {what}, more than {MOST_LANDINGS}: shorten the station list or lower the orders"
        )
    rows, steps = spread(count)
    return rows, start[rows] + steps


def spread(count: Int64) -> tuple[Int64, Int64]:
    """Return, for each row taken `count` (k,) times, its place and which of its turns it is, from 0."""
    rows = np.repeat(np.arange(len(count)), count)
    return rows, np.arange(len(rows)) - np.repeat(np.cumsum(count) - count, count)
