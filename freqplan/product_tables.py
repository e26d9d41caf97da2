"""Tables of sums of stations: from what the search finds to rows, with how each is heard."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from freqplan.findings import Findings, text_column
from freqplan.hearing import Hearing, broadcast_signals, judged
from freqplan.hertz import Int64, Ratios
from freqplan.judging import Judge, Landed, heard_where_best, settings
from freqplan.levels import Levels
from freqplan.product_search import Search, Threshold
from freqplan.reach import reach, twice_windows
from freqplan.reception import on_air
from freqplan.station_sums import Listing, StationSums

if TYPE_CHECKING:
    from freqplan.findings import Values
    from freqplan.plan import Plan
    from freqplan.stations import StationList

TITLE = "Sums of stations that are received"

JUDGED_AT_ONCE, EVERYWHERE_AT_ONCE = 50_000, 500
"""So many products are judged together: each at some ten settings, and what is everywhere at up to a thousand."""


@dataclass(frozen=True, eq=False)
class Maker:
    """Makes tables of products from what the search finds.

    Attributes
    ----------
    plan : Plan
        The receiver.
    stations : StationList
        Who is on the air.
    known : Levels or None
        What the plan says of levels.
    listed : Listing
        The stations prepared for the search.
    dial_hz : int or None [Hz]
        Where the dial stands; None where it runs over the band.
    """

    plan: Plan
    stations: StationList
    known: Levels | None
    listed: Listing
    dial_hz: int | None = None
    above_db: float = 0.0
    """As for a `Threshold`."""

    @cached_property
    def threshold(self) -> Threshold | None:
        """From which level something is listed; None where nothing is known of levels."""
        if self.known is None:
            return None
        return Threshold(self.known, self.stations, self.dial_hz, self.above_db)

    def all_of(self, search: Search) -> Iterator[Findings]:
        """Yield every product of a search."""
        sums = self.listed.within(search.kind, search.low_hz, search.high_hz)
        for part in _gathered(search, [sums]):
            yield from self.tables(search, part)

    def that_are_heard(self, search: Search) -> Iterator[Findings]:
        """Yield those that are heard by their level, or may be, for that of a station beside is unknown."""
        threshold = self.threshold
        if threshold is not None and threshold.has_level(search):
            for some in _gathered(search, threshold.candidates(search, self.listed)):
                yield from self.tables(search, some, threshold)

    def without_level(self, search: Search, most: int) -> Iterator[Findings]:
        """Yield those of second order, pairs one IF apart, and 2A - B, without a level; none if more than `most`."""
        unknown, threshold = np.ones(len(self.stations), dtype=bool), self.threshold
        if threshold is not None and threshold.has_level(search):
            unknown = np.isnan(threshold.level_dbuv)
        if search.kind != "A+B-C" and unknown.any():
            sums = self.listed.within(search.kind, search.low_hz, search.high_hz)
            has_unknown = np.any([unknown[place] for place in sums.places], axis=0)
            chosen = np.flatnonzero(has_unknown)
            if len(search.sums) * len(chosen) <= most:
                yield from self.tables(search, sums.take(chosen), unlevelled=True)

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
        here = hit.channel if self.dial_hz is None else np.full(len(sums), self.dial_hz, np.int64)
        beat = hit.sums.combinations.offset(here, sums.sum_hz)
        names = [self.stations.names_at(each).tolist() for each in sums.places]
        hertz = [self.stations.frequency_hz[each].tolist() for each in sums.places]
        return hit.sums.findings(
            TITLE,
            stations=text_column(list(zip(*names, strict=True))),
            stations_hz=text_column(list(zip(*hertz, strict=True))),
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
        here = self.dial_hz
        rows = np.arange(len(sums))
        pairs = (
            settings(known, hit, self.stations)
            if here is None
            else (rows, np.full(len(rows), here, np.int64))
        )
        if threshold is not None:
            # First by a ceiling for each row, which costs little, then by the level on each setting.
            least = threshold.least_dbuv(on_air(known, self.stations, pairs[1]))
            may = threshold.ceiling_dbuv(search, sums, hit.range)[pairs[0]] >= least
            pairs, least = (pairs[0][may], pairs[1][may]), least[may]
            may = self._level_dbuv(known, search, sums, *pairs) >= least
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
