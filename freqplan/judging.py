"""At which settings of the dial a product is judged, and at which of them it is heard best."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, TypeAlias

import numpy as np

from freqplan.errors import ModelRangeError
from freqplan.hearing import Hearing, heard_best
from freqplan.hertz import HIGHEST_HZ, Int64, Ratios
from freqplan.landing import spread
from freqplan.levels import Levels
from freqplan.mechanisms import Sums
from freqplan.reach import around, channels_within, nearest_channel
from freqplan.reception import on_air

if TYPE_CHECKING:
    from freqplan.findings import Values
    from freqplan.plan import Plan
    from freqplan.stations import StationList

HEARD_COLUMNS = (
    "heard", "heard_on_hz", "heard_low_hz", "heard_high_hz", "wanted", "level_dbuv", "rejection_db", "ratio_db",
    "pitch_hz", "loudness_db", "protection_margin_db", "margin_db",
)  # fmt: skip
"""What `heard_where_best` tells."""

MOST_EACH = 1000
"""Channels on which one product is judged at most, evenly spread."""

MOST_HITS = 5_000_000
"""More rows than this are refused: a raster of a few hertz would fill the memory."""

Judge: TypeAlias = Callable[[Int64, Int64], Hearing]
"""(rows, settings [Hz]) -> how those rows are heard there."""


@dataclass(frozen=True, eq=False)
class Landed:
    """Signals that land on the IF somewhere on the dial, row by row: (k,) each.

    Attributes
    ----------
    plan : Plan
        The receiver.
    sums : Sums
        By which combination each lands.
    signal_hz : (k,) int64 [Hz]
        The signals.
    window : (k,) int64 [Hz]
        Twice the half-width in the IF within which they count.
    """

    plan: Plan
    sums: Sums
    signal_hz: Int64
    window: Int64

    @cached_property
    def dial(self) -> Ratios:
        """Exact dial setting; none where the signal is everywhere."""
        return self.sums.combinations.dial(self.signal_hz)

    @cached_property
    def range(self) -> tuple[Ratios, Ratios]:
        """Both ends of the part of the dial on which it lands, the whole band where it is everywhere."""
        low, high = around(self.dial, self.window, self.sums.combinations.a)
        everywhere, band = ~self.dial.known, self.plan.band
        return low.replaced(everywhere, band.low_hz), high.replaced(everywhere, band.high_hz)

    @cached_property
    def channel(self) -> Int64:
        """Return the channel nearest to the exact setting [Hz], the lowest one where the signal is everywhere; (k,)."""
        return nearest_channel(self.plan, self.dial)


def heard_where_best(
    landed: Landed, pairs: tuple[Int64, Int64], judge: Judge, stations: StationList
) -> tuple[Int64, dict[str, Values]]:
    """Judge rows at the settings of `pairs`, and keep for each the one at which it is heard best.

    Parameters
    ----------
    landed : Landed
        The rows.
    pairs : (h,) int64, (h,) int64 [Hz]
        Rows and settings, row by row.
    judge : callable
        How a row is heard at a setting.
    stations : StationList
        Who is on the air.

    Returns
    -------
    rows : (r,) int64
        The rows that occur in the pairs.
    columns : mapping of str to (r,) array or Ratios
        `HEARD_COLUMNS`.
    """
    rows, setting = pairs
    judged = judge(rows, setting)
    best = heard_best(rows, judged.margin_db, judged.offset_hz)
    starts = np.flatnonzero(np.diff(rows, prepend=-1))
    audible = judged.margin_db < 0
    low = np.minimum.reduceat(np.where(audible, setting, HIGHEST_HZ), starts) if len(rows) else setting
    high = np.maximum.reduceat(np.where(audible, setting, 0), starts) if len(rows) else setting
    heard_somewhere = np.where(audible[best], 1, 0)
    return rows[starts], {
        "heard_on_hz": Ratios(setting[best]),
        "heard_low_hz": Ratios(low, heard_somewhere),
        "heard_high_hz": Ratios(high, heard_somewhere),
        "wanted": stations.names_at(judged.wanted[best]),
        **judged.columns(best),
    }


def settings(known: Levels, landed: Landed, stations: StationList) -> tuple[Int64, Int64]:
    """Return the settings at which each row is judged, row by row: where somebody would leave the dial.

    That is on the carriers of listed stations, and where nobody is tuned in, on channels and on the exact spot, or the
    end of the scale that is next to it, for between stations one turns the dial to where a ghost is loudest.  A row
    that lands on none of these is judged on its spot all the same.
    """
    plan, (low, high) = known.plan, landed.range
    first, count = channels_within(plan, low, high)
    on_raster, steps = _thinned(count)
    channels = on_raster, first[on_raster] + plan.band.raster_hz * steps
    carriers = carriers_met(landed, stations)
    dial = landed.dial
    whole = (2 * dial.num + dial.den) // (2 * np.maximum(dial.den, 1))
    spot = np.where(dial.known, np.clip(whole, plan.band.low_hz, plan.band.high_hz), landed.channel)
    every = np.arange(len(low))
    free = [_free(known, stations, *some) for some in (channels, (every, spot))]
    rows, setting = (np.concatenate(parts) for parts in zip(carriers, *free, strict=True))
    left = np.flatnonzero(np.bincount(rows, minlength=len(low)) == 0)
    rows, setting = np.concatenate([rows, left]), np.concatenate([setting, spot[left]])
    order = np.lexsort((setting, rows))
    return rows[order], setting[order]


def carriers_met(landed: Landed, stations: StationList) -> tuple[Int64, Int64]:
    """Return the carriers of listed stations on which each row lands, row by row: rows and settings [Hz], (h,) each."""
    return _within(*landed.range, carriers_inside(landed.plan, stations))


def carriers_inside(plan: Plan, stations: StationList) -> Int64:
    """Return the frequencies of the stations inside the band, rising, each once [Hz]."""
    hertz = stations.frequency_hz
    return np.unique(hertz[(plan.band.low_hz <= hertz) & (hertz <= plan.band.high_hz)])


def every_setting(plan: Plan, stations: StationList) -> Int64:
    """Return all channels and the carriers of the stations inside the band, rising, each once [Hz].

    Raises
    ------
    ModelRangeError
        More than `MOST_HITS` channels.
    """
    refuse_too_many(plan.last_channel_index - plan.first_channel_index + 1)
    return np.union1d(plan.channels_hz, carriers_inside(plan, stations))


def _within(low: Ratios, high: Ratios, sorted_hz: Int64) -> tuple[Int64, Int64]:
    """Return, for each range, the frequencies of a rising list inside it, at most `MOST_EACH`: row by row."""
    start = np.searchsorted(sorted_hz, -(-low.num // low.den), side="left")
    count = np.maximum(np.searchsorted(sorted_hz, high.num // high.den, side="right") - start, 0)
    rows, steps = _thinned(count)
    return rows, sorted_hz[start[rows] + steps]


def _thinned(count: Int64) -> tuple[Int64, Int64]:
    """Return, row by row, the places 0, 1, 2 ... of so many settings (k,), every second, third ... of too many."""
    # What is everywhere on a fine raster need not be judged on each of ten thousands of channels.
    stride = -(-count // MOST_EACH)
    rows, steps = spread(np.where(count > 0, -(-count // np.maximum(stride, 1)), 0))
    refuse_too_many(len(rows))
    return rows, stride[rows] * steps


def _free(known: Levels, stations: StationList, rows: Int64, setting: Int64) -> tuple[Int64, Int64]:
    """Return those pairs of row and setting at which nobody is tuned in."""
    nobody = on_air(known, stations, setting).place < 0
    return rows[nobody], setting[nobody]


def refuse_too_many(count: int) -> None:
    """Refuse more rows than the memory holds.

    Raises
    ------
    ModelRangeError
        More than `MOST_HITS`.
    """
    if count > MOST_HITS:
        raise ModelRangeError(f"{count} channels are hit, more than {MOST_HITS}: a wider raster is needed")
