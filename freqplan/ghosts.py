"""Listed stations received in the wrong place: which, where on the dial, by which mechanism."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from freqplan.errors import ModelRangeError
from freqplan.findings import Findings, Values, stack
from freqplan.hearing import heard_best, hearing, urgency_keys
from freqplan.hertz import HIGHEST_HZ, Int64, Ratios
from freqplan.landing import landings, spread
from freqplan.levels import Levels, levels_of
from freqplan.mechanisms import FAMILIES, Family, Sums
from freqplan.mixing import Tuning
from freqplan.reach import around, channels_within, nearest_channel, reach, twice_windows
from freqplan.reception import on_air

if TYPE_CHECKING:
    from freqplan.plan import Plan
    from freqplan.stations import StationList

NAMING = ("station", "station_hz", "mechanism", "oscillator", "m", "n", "e")
HEARD_COLUMNS = (
    "heard", "heard_on_hz", "heard_low_hz", "heard_high_hz", "wanted", "level_dbuv", "rejection_db", "ratio_db",
    "pitch_hz", "loudness_db", "protection_margin_db", "margin_db",
)  # fmt: skip
GHOST_COLUMNS = (
    *NAMING, "order", "dial_hz", "dial_low_hz", "dial_high_hz", "channel_hz", "beat_hz", "reach",
    "tuning_slope", "beat_rate", "level_law", *HEARD_COLUMNS, "name", "q", "sources_hz",
)  # fmt: skip
DETAILS = (
    "order", "e", "dial_low_hz", "dial_high_hz", "tuning_slope", "beat_rate", "level_law", "heard_on_hz",
    "heard_low_hz", "heard_high_hz", "wanted", "level_dbuv", "rejection_db", "ratio_db", "pitch_hz", "loudness_db",
    "protection_margin_db", "name", "q", "sources_hz",
)  # fmt: skip
HIT_COLUMNS = ("channel_hz", *NAMING, "beat_hz")
MOST_EACH = 1000
"""Channels on which one ghost is judged at most, evenly spread."""

MOST_HITS = 5_000_000
"""More rows than this are refused: a raster of a few hertz would fill the memory."""


@dataclass(frozen=True, eq=False)
class _Landed:
    """Sums met by a station somewhere on the dial, row by row: (k,) each."""

    plan: Plan
    sums: Sums
    place: Int64
    signal_hz: Int64
    window: Int64
    """Twice the half-width in the IF."""

    @cached_property
    def dial(self) -> Ratios:
        """Exact dial setting; none where the station is everywhere."""
        return self.sums.combinations.dial(self.signal_hz)

    @cached_property
    def range(self) -> tuple[Ratios, Ratios]:
        """Both ends of the part of the dial on which it lands, the whole band where it is everywhere."""
        low, high = around(self.dial, self.window, self.sums.combinations.a)
        everywhere, band = ~self.dial.known, self.plan.band
        return low.replaced(everywhere, band.low_hz), high.replaced(everywhere, band.high_hz)


def ghosts(
    plan: Plan, sides: Sequence[Tuning], stations: StationList, families: Sequence[Family] = FAMILIES
) -> Findings:
    """Return every listed station that reaches the IF at some dial setting other than its own.

    Parameters
    ----------
    plan : Plan
        The receiver.
    sides : sequence of Tuning
        Oscillator sides to answer for.
    stations : StationList
        Who is on the air.
    families : sequence of Family
        The mechanisms to compute.

    Returns
    -------
    Findings
        Lowest order first; ``dial_hz`` is None where a ghost is everywhere.  With a front end in the plan, how each is
        heard at the setting where it is heard best, and from where to where; `_settings` says which are tried.

    Raises
    ------
    ModelRangeError
        More than `landing.MOST_LANDINGS` rows, or `MOST_HITS` channels to be judged.
    SweepError
        The measured response of the front end cannot be read.
    """
    known = levels_of(plan)
    tables = [
        _ghost_table(plan, tuning, sums, stations, known) for tuning, sums in _sums(plan, sides, families)
    ]
    return stack("Ghosts of listed stations", tables, GHOST_COLUMNS, details=DETAILS, by="order")


def by_margin(table: Findings) -> Findings:
    """Return ghosts by what is heard: first heard ones by margin, then unknown ones as they come, then the rest."""
    return table.take(np.lexsort(urgency_keys(table.floats("margin_db"))))


def channel_hits(
    plan: Plan, sides: Sequence[Tuning], stations: StationList, families: Sequence[Family] = FAMILIES
) -> Findings:
    """Return every ghost once for each channel on which it sits in the IF filter.

    Parameters and errors are those of `ghosts`; the rows come from its exact dial settings, not from a scan.

    Raises
    ------
    ModelRangeError
        More than `MOST_HITS` rows.
    """
    tables = [_hit_table(plan, sums, stations) for _, sums in _sums(plan, sides, families)]
    table = stack("Channels hit by listed stations", tables, HIT_COLUMNS)
    return table.take(np.argsort(table.hertz("channel_hz").num, kind="stable"))


def _sums(plan: Plan, sides: Sequence[Tuning], families: Sequence[Family]) -> Iterator[tuple[Tuning, Sums]]:
    return (
        (tuning, sums)
        for tuning in sides
        for family in families
        for sums_of in (family.responses, family.station_spots)
        if sums_of and len(sums := sums_of(plan, tuning))
    )


def _landed(plan: Plan, sums: Sums, stations: StationList, windows: Int64) -> _Landed:
    order, sorted_hz = stations.rising
    rows, places = landings(
        sums.combinations,
        windows,
        dial_low_hz=plan.band.low_hz,
        dial_high_hz=plan.band.high_hz,
        sorted_hz=sorted_hz,
    )
    who = order[places]
    return _Landed(plan, sums.take(rows), who, stations.frequency_hz[who], windows[rows])


def _ghost_table(
    plan: Plan, tuning: Tuning, sums: Sums, stations: StationList, known: Levels | None
) -> Findings:
    _, bursts = twice_windows(plan, np.abs(sums.combinations.c))
    hit = _landed(plan, sums, stations, bursts)
    dial, (low, high) = hit.dial, hit.range
    channel = nearest_channel(plan, dial)
    beat = hit.sums.combinations.offset(channel, hit.signal_hz)
    heard = {} if known is None or "m" not in sums.columns else _heard(known, tuning, hit, stations, channel)
    return hit.sums.findings(
        "Ghosts of listed stations",
        station=stations.names_at(hit.place),
        station_hz=Ratios(hit.signal_hz),
        dial_hz=dial,
        dial_low_hz=low,
        dial_high_hz=high,
        channel_hz=Ratios(channel, np.where(dial.known, 1, 0)),
        beat_hz=beat,
        reach=reach(plan, np.abs(hit.sums.combinations.c), beat),
        **heard,
    )


def _heard(
    known: Levels, tuning: Tuning, hit: _Landed, stations: StationList, nearest: Int64
) -> dict[str, Values]:
    """Judge every setting at which each ghost lands, and keep the one at which it is heard best."""
    rows, channel = _settings(known, hit, stations, nearest)
    judged = hearing(
        known, tuning, hit.sums.take(rows), channel_hz=channel, signal_hz=hit.signal_hz[rows],
        level_dbuv=known.at_aerial(stations)[hit.place[rows]], heard_there=on_air(known, stations, channel),
    )  # fmt: skip
    best = heard_best(rows, judged.margin_db, judged.offset_hz)
    starts = np.flatnonzero(np.diff(rows, prepend=-1))
    audible = judged.margin_db < 0
    low = np.minimum.reduceat(np.where(audible, channel, HIGHEST_HZ), starts) if len(rows) else channel
    high = np.maximum.reduceat(np.where(audible, channel, 0), starts) if len(rows) else channel
    heard_somewhere = np.where(audible[best], 1, 0)
    return {
        "heard_on_hz": Ratios(channel[best]),
        "heard_low_hz": Ratios(low, heard_somewhere),
        "heard_high_hz": Ratios(high, heard_somewhere),
        "wanted": stations.names_at(judged.wanted[best]),
        **judged.columns(best),
    }


def _settings(known: Levels, hit: _Landed, stations: StationList, nearest: Int64) -> tuple[Int64, Int64]:
    """Return the settings at which each row is judged, row by row: where somebody would leave the dial.

    That is on the carriers of listed stations, and where nobody is tuned in, on channels and on the exact spot, or the
    end of the scale that is next to it, for between stations one turns the dial to where a ghost is loudest.  A row
    that lands on none of these is judged on its spot all the same.
    """
    plan, (low, high) = known.plan, hit.range
    channels = _within(low, high, plan.channels_hz)
    inside = (plan.band.low_hz <= stations.frequency_hz) & (stations.frequency_hz <= plan.band.high_hz)
    carriers = _within(low, high, np.unique(stations.frequency_hz[inside]))
    dial = hit.dial
    whole = (2 * dial.num + dial.den) // (2 * np.maximum(dial.den, 1))
    spot = np.where(dial.known, np.clip(whole, plan.band.low_hz, plan.band.high_hz), nearest)
    every = np.arange(len(low))
    free = [_free(known, stations, *some) for some in (channels, (every, spot))]
    rows, setting = (np.concatenate(parts) for parts in zip(carriers, *free, strict=True))
    left = np.flatnonzero(np.bincount(rows, minlength=len(low)) == 0)
    rows, setting = np.concatenate([rows, left]), np.concatenate([setting, spot[left]])
    order = np.lexsort((setting, rows))
    return rows[order], setting[order]


def _within(low: Ratios, high: Ratios, sorted_hz: Int64) -> tuple[Int64, Int64]:
    """Return, for each range, the frequencies of a rising list inside it, at most `MOST_EACH`: row by row."""
    start = np.searchsorted(sorted_hz, -(-low.num // low.den), side="left")
    count = np.maximum(np.searchsorted(sorted_hz, high.num // high.den, side="right") - start, 0)
    # What is everywhere on a fine raster need not be judged on each of ten thousands of channels.
    stride = -(-count // MOST_EACH)
    rows, steps = spread(np.where(count > 0, -(-count // np.maximum(stride, 1)), 0))
    _refuse_too_many(len(rows))
    return rows, sorted_hz[start[rows] + stride[rows] * steps]


def _free(known: Levels, stations: StationList, rows: Int64, setting: Int64) -> tuple[Int64, Int64]:
    """Return those pairs of row and setting at which nobody is tuned in."""
    nobody = on_air(known, stations, setting).place < 0
    return rows[nobody], setting[nobody]


def _refuse_too_many(count: int) -> None:
    if count > MOST_HITS:
        raise ModelRangeError(f"{count} channels are hit, more than {MOST_HITS}: a wider raster is needed")


def _hit_table(plan: Plan, sums: Sums, stations: StationList) -> Findings:
    sits, _ = twice_windows(plan, sums.order)
    hit = _landed(plan, sums, stations, np.full(len(sums), sits))
    first, count = channels_within(plan, *hit.range)
    _refuse_too_many(int(count.sum()))
    rows, steps = spread(count)
    channel = first[rows] + plan.band.raster_hz * steps
    hits = hit.sums.take(rows)
    return hits.findings(
        "Channels hit by listed stations",
        channel_hz=Ratios(channel),
        station=stations.names_at(hit.place[rows]),
        station_hz=Ratios(hit.signal_hz[rows]),
        beat_hz=hits.combinations.offset(channel, hit.signal_hz[rows]),
    )
