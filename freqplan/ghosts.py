"""Listed stations received in the wrong place: which, where on the dial, by which mechanism."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

import numpy as np

from freqplan.errors import ModelRangeError
from freqplan.findings import Findings, Values, stack
from freqplan.hertz import Int64, Ratios
from freqplan.landing import landings, spread
from freqplan.mechanisms import FAMILIES, Family, Sums
from freqplan.mixing import Tuning
from freqplan.reach import around, channels_within, nearest_channel, reach, twice_windows

if TYPE_CHECKING:
    from freqplan.plan import Plan
    from freqplan.stations import StationList

NAMING = ("station", "station_hz", "mechanism", "oscillator", "m", "n", "e")
GHOST_COLUMNS = (
    *NAMING, "order", "dial_hz", "dial_low_hz", "dial_high_hz", "channel_hz", "beat_hz", "reach",
    "tuning_slope", "beat_rate", "level_law",
)  # fmt: skip
DETAILS = ("order", "dial_low_hz", "dial_high_hz", "tuning_slope", "beat_rate", "level_law")
HIT_COLUMNS = ("channel_hz", *NAMING, "beat_hz")
MOST_HITS = 5_000_000
"""More rows than this are refused: a raster of a few hertz would fill the memory."""


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
        Lowest order first; ``dial_hz`` is None where a ghost is everywhere.
    """
    tables = [_ghost_table(plan, sums, stations) for sums in _sums(plan, sides, families)]
    return stack("Ghosts of listed stations", tables, GHOST_COLUMNS, details=DETAILS, by="order")


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
    tables = [_hit_table(plan, sums, stations) for sums in _sums(plan, sides, families)]
    table = stack("Channels hit by listed stations", tables, HIT_COLUMNS)
    return table.take(np.argsort(table.hertz("channel_hz").num, kind="stable"))


def _sums(plan: Plan, sides: Sequence[Tuning], families: Sequence[Family]) -> Iterator[Sums]:
    return (
        sums_of(plan, tuning)
        for tuning in sides
        for family in families
        for sums_of in (family.responses, family.station_spots)
        if sums_of
    )


def _landed(
    plan: Plan, sums: Sums, stations: StationList, windows: Int64
) -> tuple[Sums, Int64, Values, Int64]:
    """Return the sums met by a station, its frequency and name, and twice the window of each; row by row."""
    order, sorted_hz = stations.rising
    rows, places = landings(
        sums.combinations,
        windows,
        dial_low_hz=plan.band.low_hz,
        dial_high_hz=plan.band.high_hz,
        sorted_hz=sorted_hz,
    )
    who = order[places]
    names = np.array([*stations.names, None], dtype=object)[who]
    return sums.take(rows), stations.frequency_hz[who], names, windows[rows]


def _ghost_table(plan: Plan, sums: Sums, stations: StationList) -> Findings:
    _, bursts = twice_windows(plan, np.abs(sums.combinations.c))
    hit, signal_hz, names, window = _landed(plan, sums, stations, bursts)
    dial = hit.combinations.dial(signal_hz)
    low, high = around(dial, window, hit.combinations.a)
    everywhere = ~dial.known
    channel = nearest_channel(plan, dial)
    beat = hit.combinations.offset(channel, signal_hz)
    return hit.findings(
        "Ghosts of listed stations",
        station=names,
        station_hz=Ratios(signal_hz),
        dial_hz=dial,
        dial_low_hz=low.replaced(everywhere, plan.band.low_hz),
        dial_high_hz=high.replaced(everywhere, plan.band.high_hz),
        channel_hz=Ratios(channel, np.where(everywhere, 0, 1)),
        beat_hz=beat,
        reach=reach(plan, np.abs(hit.combinations.c), beat),
    )


def _hit_table(plan: Plan, sums: Sums, stations: StationList) -> Findings:
    sits, _ = twice_windows(plan, sums.order)
    hit, signal_hz, names, window = _landed(plan, sums, stations, np.full(len(sums), sits))
    dial = hit.combinations.dial(signal_hz)
    low, high = around(dial, window, hit.combinations.a)
    first, count = channels_within(
        plan,
        low.replaced(~dial.known, plan.band.low_hz),
        high.replaced(~dial.known, plan.band.high_hz),
    )
    if count.sum() > MOST_HITS:
        raise ModelRangeError(
            f"{count.sum()} channels are hit; a wider raster than {plan.band.raster_hz} Hz is needed"
        )
    rows, steps = spread(count)
    channel = first[rows] + plan.band.raster_hz * steps
    hits = hit.take(rows)
    return hits.findings(
        "Channels hit by listed stations",
        channel_hz=Ratios(channel),
        station=names[rows],
        station_hz=Ratios(signal_hz[rows]),
        beat_hz=hits.combinations.offset(channel, signal_hz[rows]),
    )
