"""Sums of two and three listed stations that are received: which, where on the dial, how they are heard."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from freqplan.errors import ModelRangeError
from freqplan.findings import Findings, stack
from freqplan.hearing import Hearing, broadcast_signals, judged, urgency_keys
from freqplan.hertz import Int64, Ratios
from freqplan.judging import HEARD_COLUMNS, Judge, Landed, heard_where_best, settings
from freqplan.levels import Levels, levels_of
from freqplan.mechanisms import FAMILIES, Family
from freqplan.mixing import Tuning
from freqplan.product_search import Search, Threshold, searches
from freqplan.reach import reach, twice_windows
from freqplan.reception import on_air
from freqplan.station_sums import Listing, StationSums, listing

if TYPE_CHECKING:
    from freqplan.findings import Values
    from freqplan.plan import Plan
    from freqplan.stations import StationList

COLUMNS = (
    "kind", "mechanism", "oscillator", "stations", "frequency_hz", "lands_on", "order", "n", "e", "dial_hz",
    "channel_hz", "beat_hz", "reach", "tuning_slope", "beat_rate", "level_law",
    *(name for name in HEARD_COLUMNS if name != "rejection_db"),
)  # fmt: skip
DETAILS = (
    "order", "n", "e", "channel_hz", "beat_hz", "reach", "tuning_slope", "beat_rate", "level_law", "heard_low_hz",
    "heard_high_hz", "ratio_db", "protection_margin_db", "pitch_hz", "loudness_db",
)  # fmt: skip
TITLE = "Sums of stations that are received"

MOST_LISTED = 20_000
"""Up to so many products all are listed; of more, only those that matter."""

MOST_AT_ALL = 2_000_000
"""More rows than this are refused also where all are asked for: they would fill the memory."""

JUDGED_AT_ONCE, EVERYWHERE_AT_ONCE = 50_000, 500
"""So many products are judged together: each at some ten settings, and what is everywhere at up to a thousand."""


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
    """

    table: Findings
    total: int
    remark: str = ""


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
        second order, pairs one IF apart, and 2A - B.  What is heard comes first, by margin; then what has no level,
        by order; then the rest.

    Raises
    ------
    ModelRangeError
        More than `MOST_AT_ALL` rows.
    SweepError
        The measured response of the front end cannot be read.
    """
    known, listed = levels_of(plan), listing(stations.frequency_hz)
    every_search = searches(plan, sides, families, low_hz=plan.band.low_hz, high_hz=plan.band.high_hz)
    found = [one for one in every_search if listed.can_reach(one.kind, one.low_hz, one.high_hz)]
    total = sum(len(one.sums) * listed.count(one.kind, one.low_hz, one.high_hz) for one in found)
    make = _Maker(plan, stations, known, listed)
    if every or total <= MOST_LISTED:
        if total > MOST_AT_ALL:
            raise ModelRangeError(
                f"{total} sums of stations, more than {MOST_AT_ALL}: shorten the station list, or leave out "
                "--all-products for those that matter"
            )
        parts = [table for one in found for table in make.all_of(one)]
    else:
        parts = [table for one in found for table in make.that_matter(one)]
    table = by_margin(stack(TITLE, parts, COLUMNS, details=DETAILS, by="order"))
    return Products(table, total, _remark(table, total, known))


def by_margin(table: Findings) -> Findings:
    """Return products as a person wants them: heard ones by margin, unknown ones as they come, then the rest."""
    return table.take(np.lexsort(urgency_keys(table.floats("margin_db"))))


def _remark(table: Findings, total: int, known: Levels | None) -> str:
    if len(table) == total:
        return ""
    heard = "" if known is None else "those heard by their level and, of products without a level, "
    return (
        f"Of {total} sums of stations {len(table)} are listed: {heard}those of second order, pairs one IF apart, and "
        "2A-B; --all-products lists all."
    )


@dataclass(frozen=True, eq=False)
class _Maker:
    """Makes tables of products from what the search finds."""

    plan: Plan
    stations: StationList
    known: Levels | None
    listed: Listing

    @cached_property
    def threshold(self) -> Threshold | None:
        """From which level something is heard; None where nothing is known of levels."""
        return None if self.known is None else Threshold(self.known, self.stations)

    def all_of(self, search: Search) -> Iterator[Findings]:
        """Yield every product of a search."""
        sums = self.listed.within(search.kind, search.low_hz, search.high_hz)
        for part in _gathered(search, [sums]):
            yield from self.tables(search, part)

    def that_matter(self, search: Search) -> Iterator[Findings]:
        """Yield those that are heard by their level, or may be, and of those without a level the likeliest."""
        unknown, threshold = np.ones(len(self.stations), dtype=bool), self.threshold
        if threshold is not None and threshold.has_level(search):
            unknown = np.isnan(threshold.level_dbuv)
            for some in _gathered(search, threshold.candidates(search, self.listed)):
                yield from self.tables(search, some, threshold)
        if search.kind != "A+B-C" and unknown.any():
            sums = self.listed.within(search.kind, search.low_hz, search.high_hz)
            has_unknown = np.any([unknown[place] for place in sums.places], axis=0)
            yield from self.tables(search, sums.take(np.flatnonzero(has_unknown)), unlevelled=True)

    def tables(
        self,
        search: Search,
        sums: StationSums,
        threshold: Threshold | None = None,
        *,
        unlevelled: bool = False,
    ) -> Iterator[Findings]:
        """Yield one table for each place in which the sums are made; with a threshold, of what is heard only."""
        rows = np.arange(len(sums))
        heard: dict[str, Values] = {}
        if self.known is not None and not unlevelled:
            rows, heard = self._heard(self.known, search, sums, threshold)
        chosen = sums.take(rows)
        for place in range(len(search.sums)):
            inside = search.sums.array("level_law")[place] == search.order
            yield self._table(search, chosen, place, heard if inside else {})

    def _landed(self, search: Search, sums: StationSums, place: int = 0) -> Landed:
        """Return the sums as signals that land on the IF, received by one of the search's rows."""
        _, burst = twice_windows(self.plan, np.array([search.order]))
        own = search.sums.take(np.full(len(sums), place))
        return Landed(self.plan, own, sums.sum_hz, np.repeat(burst, len(sums)))

    def _table(self, search: Search, sums: StationSums, place: int, heard: dict[str, Values]) -> Findings:
        hit = self._landed(search, sums, place)
        beat = hit.sums.combinations.offset(hit.channel, sums.sum_hz)
        names = np.array([*self.stations.names, None], dtype=object)
        together = np.empty(len(sums), dtype=object)
        together[:] = list(zip(*(names[each].tolist() for each in sums.places), strict=True))
        return hit.sums.findings(
            TITLE,
            stations=together,
            frequency_hz=Ratios(sums.sum_hz),
            dial_hz=hit.dial,
            channel_hz=Ratios(hit.channel, np.where(hit.dial.known, 1, 0)),
            beat_hz=beat,
            reach=reach(self.plan, np.full(len(sums), search.order), beat),
            **heard,
        )

    def _heard(
        self, known: Levels, search: Search, sums: StationSums, threshold: Threshold | None
    ) -> tuple[Int64, dict[str, Values]]:
        """Return the rows judged, and how each is heard; with a threshold those that may be heard only."""
        hit = self._landed(search, sums)
        pairs = settings(known, hit, self.stations)
        if threshold is not None:
            level = self._level_dbuv(known, search, sums, *pairs)
            may = level >= threshold.least_dbuv(on_air(known, self.stations, pairs[1]))
            pairs = pairs[0][may], pairs[1][may]
        judge = self._judge(known, search, sums, hit)
        rows, columns = heard_where_best(hit, pairs, judge, self.stations)
        if threshold is not None:
            margin = np.asarray(columns["margin_db"])
            keep = (margin < 0) | np.isnan(margin)
            rows, columns = rows[keep], {name: values[keep] for name, values in columns.items()}
        del columns["rejection_db"]
        return rows, columns

    def _level_dbuv(
        self, known: Levels, search: Search, sums: StationSums, rows: Int64, setting: Int64
    ) -> npt.NDArray[np.float64]:
        hertz, level = self.stations.frequency_hz, known.at_aerial(self.stations)
        places = [each[rows] for each in sums.places]
        return known.product_dbuv(
            search.times, [hertz[each] for each in places], [level[each] for each in places],
            product_hz=sums.sum_hz[rows], dial_hz=setting, n=search.n,
        )  # fmt: skip

    def _judge(self, known: Levels, search: Search, sums: StationSums, hit: Landed) -> Judge:
        every = broadcast_signals(self.plan, self.stations.frequency_hz)

        def judge(rows: Int64, setting: Int64) -> Hearing:
            there = on_air(known, self.stations, setting)
            return judged(
                known, self._level_dbuv(known, search, sums, rows, setting), np.full(len(rows), np.nan),
                offset=hit.sums.take(rows).combinations.offset(setting, sums.sum_hz[rows]),
                own_offset=search.tuning.wanted_offset(setting, there.frequency_hz), heard_there=there,
                broadcast=np.all([every[each[rows]] for each in sums.places], axis=0),
            )  # fmt: skip

        return judge


def _gathered(search: Search, parts: Iterable[StationSums]) -> Iterator[StationSums]:
    """Yield the same sums in parts that are judged together: small ones put together, large ones divided."""
    at_once = EVERYWHERE_AT_ONCE if search.is_everywhere else JUDGED_AT_ONCE
    waiting: list[StationSums] = []
    for part in parts:
        for first in range(0, len(part), at_once):
            waiting.append(part.take(np.arange(first, min(first + at_once, len(part)))))
            if sum(map(len, waiting)) >= at_once:
                yield StationSums.concatenate(search.kind, waiting)
                waiting = []
    if waiting:
        yield StationSums.concatenate(search.kind, waiting)
