"""Listed stations received in the wrong place: which, where on the dial, by which mechanism."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from freqplan.decibel import Float64
from freqplan.findings import Findings, Values, stack
from freqplan.hearing import Hearing, hearing, urgency_keys
from freqplan.hertz import Int64, Ratios
from freqplan.judging import (
    HEARD_COLUMNS,
    Judge,
    Landed,
    carriers_met,
    heard_where_best,
    refuse_too_many,
    settings,
)
from freqplan.landing import landings, spread
from freqplan.levels import Levels, levels_of
from freqplan.mechanisms import FAMILIES, Family, Sums
from freqplan.mixing import Tuning
from freqplan.reach import channels_within, reach, twice_windows
from freqplan.reception import on_air, tuned_in

if TYPE_CHECKING:
    from freqplan.plan import Plan
    from freqplan.stations import StationList

NAMING = ("station", "station_hz", "mechanism", "oscillator", "m", "n", "e")
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
        heard at the setting where it is heard best, and from where to where; `judging.settings` says which are tried.

    Raises
    ------
    ModelRangeError
        More than `landing.MOST_LANDINGS` rows, or `judging.MOST_HITS` channels to be judged.
    SweepError
        The measured response of the front end cannot be read.
    """
    known = levels_of(plan)
    tables = [
        _ghost_table(plan, tuning, sums, stations, known) for tuning, sums in _sums(plan, sides, families)
    ]
    return stack("Ghosts of listed stations", tables, GHOST_COLUMNS, details=DETAILS, by="order")


class AtSettings(NamedTuple):
    """Ghosts at every setting at which they are judged, as equal-length arrays, one entry a ghost and setting.

    Attributes
    ----------
    rows : (h,) int64
        Which ghost, counted within one family of sums.
    mechanism : (h,) object
        Its mechanism.
    wanted : (h,) int64
        Place in the station list of who is tuned in there, -1 where nobody is.
    margin_db : (h,) float64 [dB]
        How far it stays below being heard there, NaN where that is unknown.
    """

    rows: Int64
    mechanism: np.ndarray
    wanted: Int64
    margin_db: Float64


def ghosts_at_settings(
    plan: Plan, sides: Sequence[Tuning], stations: StationList, families: Sequence[Family] = FAMILIES
) -> Iterator[AtSettings]:
    """Yield how the ghosts of `ghosts` are heard at each setting tried, not only where each is heard best.

    Those without a level are there on the carriers of listed stations.  Parameters and errors are those of `ghosts`.
    """
    known = levels_of(plan)
    for tuning, sums in _sums(plan, sides, families):
        _, bursts = twice_windows(plan, np.abs(sums.combinations.c))
        hit, who = _landed(plan, sums, stations, bursts)
        if known is None or "m" not in sums.columns:
            rows, setting = carriers_met(hit, stations)
            wanted = tuned_in(plan, known, stations, setting).place
            margin = np.full(len(rows), np.nan)
        else:
            rows, setting = settings(known, hit, stations)
            heard = _judge(known, tuning, hit, who, stations)(rows, setting)
            wanted, margin = heard.wanted, heard.margin_db
        yield AtSettings(rows, hit.sums.array("mechanism")[rows], wanted, margin)


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
        More than `judging.MOST_HITS` rows.
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


def _landed(plan: Plan, sums: Sums, stations: StationList, windows: Int64) -> tuple[Landed, Int64]:
    """Return the sums that stations meet somewhere on the dial, and whose station each is; (k,)."""
    order, sorted_hz = stations.rising
    rows, places = landings(
        sums.combinations,
        windows,
        dial_low_hz=plan.band.low_hz,
        dial_high_hz=plan.band.high_hz,
        sorted_hz=sorted_hz,
    )
    who = order[places]
    return Landed(plan, sums.take(rows), stations.frequency_hz[who], windows[rows]), who


def _ghost_table(
    plan: Plan, tuning: Tuning, sums: Sums, stations: StationList, known: Levels | None
) -> Findings:
    _, bursts = twice_windows(plan, np.abs(sums.combinations.c))
    hit, who = _landed(plan, sums, stations, bursts)
    low, high = hit.range
    beat = hit.sums.combinations.offset(hit.channel, hit.signal_hz)
    heard = {} if known is None or "m" not in sums.columns else _heard(known, tuning, hit, who, stations)
    return hit.sums.findings(
        "Ghosts of listed stations",
        station=stations.names_at(who),
        station_hz=Ratios(hit.signal_hz),
        dial_hz=hit.dial,
        dial_low_hz=low,
        dial_high_hz=high,
        channel_hz=Ratios(hit.channel, np.where(hit.dial.known, 1, 0)),
        beat_hz=beat,
        reach=reach(plan, np.abs(hit.sums.combinations.c), beat),
        **heard,
    )


def _heard(
    known: Levels, tuning: Tuning, hit: Landed, who: Int64, stations: StationList
) -> dict[str, Values]:
    """Judge every setting at which each ghost lands, and keep the one at which it is heard best."""
    judge = _judge(known, tuning, hit, who, stations)
    return heard_where_best(hit, settings(known, hit, stations), judge, stations)[1]


def _judge(known: Levels, tuning: Tuning, hit: Landed, who: Int64, stations: StationList) -> Judge:
    level = known.at_aerial(stations)[who]

    def judge(rows: Int64, setting: Int64) -> Hearing:
        return hearing(
            known, tuning, hit.sums.take(rows), channel_hz=setting, signal_hz=hit.signal_hz[rows],
            level_dbuv=level[rows], heard_there=on_air(known, stations, setting),
        )  # fmt: skip

    return judge


def _hit_table(plan: Plan, sums: Sums, stations: StationList) -> Findings:
    sits, _ = twice_windows(plan, sums.order)
    hit, who = _landed(plan, sums, stations, np.full(len(sums), sits))
    first, count = channels_within(plan, *hit.range)
    refuse_too_many(int(count.sum()))
    rows, steps = spread(count)
    channel = first[rows] + plan.band.raster_hz * steps
    hits = hit.sums.take(rows)
    return hits.findings(
        "Channels hit by listed stations",
        channel_hz=Ratios(channel),
        station=stations.names_at(who[rows]),
        station_hz=Ratios(hit.signal_hz[rows]),
        beat_hz=hits.combinations.offset(channel, hit.signal_hz[rows]),
    )
