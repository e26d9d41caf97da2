"""Sums of two and three listed stations that are received: which, where on the dial, how they are heard."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from freqplan.errors import ModelRangeError
from freqplan.findings import Findings, stack
from freqplan.hearing import urgency_keys
from freqplan.judging import HEARD_COLUMNS
from freqplan.levels import Levels, levels_of
from freqplan.mechanisms import FAMILIES, Family
from freqplan.mechanisms.several_signals import DIAL
from freqplan.mixing import Tuning
from freqplan.product_search import Search, Threshold, searches
from freqplan.product_tables import TITLE, Maker
from freqplan.reach import SITS_IN
from freqplan.station_sums import Listing, listing

if TYPE_CHECKING:
    from freqplan.plan import Plan
    from freqplan.stations import StationList

COLUMNS = (
    "kind", "mechanism", "oscillator", "stations", "stations_hz", "frequency_hz", "lands_on", "order", "n", "e",
    "dial_hz", "channel_hz", "beat_hz", "reach", "tuning_slope", "beat_rate", "level_law",
    *(name for name in HEARD_COLUMNS if name != "rejection_db"),
)  # fmt: skip
DETAILS = (
    "stations_hz", "order", "n", "e", "channel_hz", "beat_hz", "reach", "tuning_slope", "beat_rate", "level_law",
    "wanted", "level_dbuv", "heard_low_hz", "heard_high_hz", "ratio_db", "protection_margin_db", "pitch_hz",
    "loudness_db",
)  # fmt: skip
HEARD_HERE = (
    "heard",
    "wanted",
    "level_dbuv",
    "ratio_db",
    "pitch_hz",
    "loudness_db",
    "protection_margin_db",
    "margin_db",
)
AT_ONE_SETTING = (
    *(name for name in COLUMNS if name not in HEARD_COLUMNS and name != "channel_hz"),
    *HEARD_HERE,
)
DETAILS_HERE = (
    "stations_hz", "order", "n", "e", "dial_hz", "reach", "tuning_slope", "beat_rate", "level_law", "wanted",
    "ratio_db", "protection_margin_db", "loudness_db", "pitch_hz",
)  # fmt: skip

MOST_LISTED = 20_000
"""Up to so many products all are listed; of more, only those that matter."""

MOST_LIKELY = 300_000
"""So many products without a level are listed at most where not all are."""

MOST_HEARD = 200_000
"""So many products that are heard are listed at most where not all are."""

MOST_JUDGED, FEW_ENOUGH = 1_500_000, 5_000_000
"""So many sums that may be heard are judged at most, where there are more than so many sums in all."""

LOUDEST_DB, STEP_DB = 250, 10
"""How far above being heard the levels of a crowd must add up: tried from so far downwards, in such steps."""

MOST_STATIONS = 3_000
"""Sums grow with the square of a list: a survey of so many has taken half a minute and 450 MB."""

MOST_AT_ALL = 500_000
"""More rows than this are refused also where all are asked for: they would fill the memory."""


@dataclass(frozen=True, eq=False)
class Products:
    """Sums of stations that land on the dial.

    Attributes
    ----------
    table : Findings
        Those listed.
    total : int
        How many there are, listed or not.
    remark : str
        What was left out; empty where nothing was.
    is_cut : bool
        Whether more are heard than are listed.
    """

    table: Findings
    total: int
    remark: str = ""
    is_cut: bool = False


def products(
    plan: Plan, sides: Sequence[Tuning], stations: StationList, families: Sequence[Family] = FAMILIES, *,
    every: bool = False,
) -> Products:  # fmt: skip
    """Return the sums of two and three stations that land on the dial, on the IF, or on any other response.

    Parameters
    ----------
    plan, sides, stations, families
        As for `ghosts.ghosts`.
    every : bool
        Whether all are listed, however many.

    Returns
    -------
    Products
        Up to `MOST_LISTED` rows all of them: one for each sum whose exact setting lies in the band, ends included, and
        for each that comes within half the IF filter on the IF itself.  Of more rows those that are heard by their
        level, or may be for the level of a station beside is unknown; and of products without a level those of
        second order, pairs one IF apart, and 2A - B.  Where a crowd of stations makes more than `MOST_JUDGED` of them,
        the strongest, by a level that the remark names.  What is heard comes first, by margin; then what has no level,
        by order; then the rest.

    Raises
    ------
    ModelRangeError
        More than `MOST_AT_ALL` rows, or more than `MOST_STATIONS` stations.
    SweepError
        The measured response of the front end cannot be read.
    """
    low_hz, high_hz = plan.band.low_hz, plan.band.high_hz
    _refuse_a_crowd(stations)
    listed, known = listing(stations.frequency_hz), levels_of(plan)
    found = _searches(plan, sides, families, listed, low_hz, high_hz)
    total = _total(found, listed)
    if every or total <= MOST_LISTED:
        _refuse_too_many(total)
        make = Maker(plan, stations, known, listed)
        parts = [table for one in found for table in make.all_of(one)]
    else:
        above_db = 0.0 if total <= FEW_ENOUGH else _above_db(known, stations, found, listed)
        make, parts = _heard(Maker(plan, stations, known, listed, above_db=above_db), found)
        parts += _likely(make, found)
    table = by_margin(stack(TITLE, parts, COLUMNS, details=DETAILS, by="order"))
    return Products(table, total, _remark(table, total, make), make.above_db > 0)


def _above_db(known: Levels | None, stations: StationList, found: Sequence[Search], listed: Listing) -> float:
    """Return how far above being heard levels must add up for no more than `MOST_JUDGED` sums to be judged [dB]."""

    def too_many(above: int) -> bool:
        assert known is not None
        threshold = Threshold(known, stations, above_db=above)
        return threshold.passes_more_than(MOST_JUDGED, found, listed)

    if known is None or not too_many(0):
        return 0.0
    # A crowd is looked at from its strongest sums downwards, for all of them are too many even to be counted.
    weaker = (above for above in range(LOUDEST_DB - STEP_DB, 0, -STEP_DB) if too_many(above))
    return float(next(weaker, 0) + STEP_DB)


def _heard(make: Maker, found: Sequence[Search]) -> tuple[Maker, list[Findings]]:
    """Return what is heard; of more than `MOST_HEARD` the strongest, and the maker that keeps to these."""
    parts: list[Findings] = []
    count = 0
    for one in found:
        for table in make.that_are_heard(one):
            parts.append(table)
            count += len(table)
            if count > MOST_HEARD:
                return _heard(replace(make, above_db=make.above_db + 2 * STEP_DB), found)
    return make, parts


def _likeliest(search: Search) -> tuple[bool, ...] | tuple[int, ...]:
    """Rank a search: pairs one IF apart, what lands on the dial itself, then by order."""
    on_dial = search.sums.array("lands_on")[0] == DIAL
    return (not search.is_everywhere, not on_dial, search.order, abs(search.n))


def _likely(make: Maker, found: Sequence[Search]) -> list[Findings]:
    """Return what has no level and is likeliest: pairs one IF apart, second order, 2A - B, as far as there is room."""
    parts: list[Findings] = []
    for one in sorted(found, key=_likeliest):
        parts += make.without_level(one, MOST_LIKELY - sum(map(len, parts)))
    return parts


def products_at(
    plan: Plan, sides: Sequence[Tuning], stations: StationList, dial_hz: int, families: Sequence[Family] = FAMILIES, *,
    every: bool = False,
) -> Products:  # fmt: skip
    """Return the sums of two and three stations that land on one dial setting, and how they are heard there.

    Parameters
    ----------
    plan, sides, stations, families, every
        As for `products`.
    dial_hz : int [Hz]
        Where the dial stands.

    Returns
    -------
    Products
        Those within half the IF filter, and farther off, up to where the modulation reaches in, those that are heard by
        their level.  The limit is that of `products`.
    """
    _refuse_a_crowd(stations)
    listed = listing(stations.frequency_hz)
    found = _searches(plan, sides, families, listed, dial_hz, dial_hz)
    total = _total(found, listed)
    make = Maker(plan, stations, levels_of(plan), listed, dial_hz)
    is_whole = every or total <= MOST_LISTED
    if is_whole:
        _refuse_too_many(total)
    parts = [table for one in found for table in make.all_of(one)] if is_whole else _likely(make, found)
    for one in _searches(plan, sides, families, listed, dial_hz, dial_hz, bursts=True):
        for table in make.that_are_heard(one):
            parts.append(table.take(table.array("reach") != SITS_IN) if is_whole else table)
    table = by_margin(stack(f"{TITLE} here", parts, AT_ONE_SETTING, details=DETAILS_HERE, by="order"))
    beside = int(np.count_nonzero(table.array("reach") != SITS_IN))
    return Products(table, total + beside, _remark(table, total + beside, make))


def _searches(
    plan: Plan, sides: Sequence[Tuning], families: Sequence[Family], listed: Listing, low_hz: int, high_hz: int, *,
    bursts: bool = False,
) -> list[Search]:  # fmt: skip
    every = searches(plan, sides, families, low_hz=low_hz, high_hz=high_hz, bursts=bursts)
    return [one for one in every if listed.can_reach(one.kind, one.low_hz, one.high_hz)]


def _total(found: Sequence[Search], listed: Listing) -> int:
    return sum(len(one.sums) * listed.count(one.kind, one.low_hz, one.high_hz) for one in found)


def _refuse_a_crowd(stations: StationList) -> None:
    if len(stations) > MOST_STATIONS:
        what = f"{len(stations)} stations, more than {MOST_STATIONS} for their sums to be looked through"
        raise ModelRangeError(f"{what}: cut the list down to those heard here")


def _refuse_too_many(total: int) -> None:
    if total > MOST_AT_ALL:
        raise ModelRangeError(
            f"{total} sums of stations, more than {MOST_AT_ALL}: shorten the station list, or leave out --all-products "
            "for those that matter"
        )


def by_margin(table: Findings) -> Findings:
    """Return products as a person wants them: heard ones by margin, unknown ones as they come, then the rest."""
    margin = table.floats("margin_db")
    return table if np.isnan(margin).all() else table.take(np.lexsort(urgency_keys(margin)))


def _remark(table: Findings, total: int, make: Maker) -> str:
    if len(table) == total:
        return ""
    far = (
        ""
        if not make.above_db
        else f" whose stations add up to {make.above_db:g} dB or more above where that begins"
    )
    heard = (
        "" if make.known is None else f"those heard by their level{far} and, of products without a level, "
    )
    every = "; --all-products lists all" if total <= MOST_AT_ALL else ""
    return (
        f"Of {total} ways in which sums of stations are received {len(table)} are listed: {heard}those of second "
        f"order, pairs one IF apart, and 2A-B, as far as {MOST_LIKELY:,} rows go, what lands on the dial first; what "
        f"is made outside the set only beside its like from inside{every}."
    )
