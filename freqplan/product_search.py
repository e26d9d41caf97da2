"""Where to look for sums of stations, and which of them can be heard at all.

A sum that is received is a signal like any other, so the part of the spectrum in which it lands on the dial
follows from the equation; and a product can be heard only above a level that is known for each part of the dial.
Both bounds are ceilings that leave nothing out: what they pass is judged exactly afterwards.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import groupby
from typing import TYPE_CHECKING

import numpy as np

from freqplan.decibel import Float64
from freqplan.hearing import JUST_AUDIBLE_DB, MASKED_DB, TINY_DB
from freqplan.hertz import Int64, Ratios
from freqplan.judging import every_setting
from freqplan.levels import Levels
from freqplan.mechanisms import Family, Sums
from freqplan.mixing import Tuning
from freqplan.reach import twice_windows
from freqplan.reception import Wanted, on_air
from freqplan.station_sums import TIMES, Listing, StationSums, order_of

if TYPE_CHECKING:
    from freqplan.plan import Plan
    from freqplan.stations import StationList

CELLS = 64
"""Parts of the dial looked at one by one: within each, front end and stations hardly change."""

AT_FIRST = 16
"""So many of them are looked at together first: where nothing can be heard on all of these, none is looked at alone."""

Cell = tuple[int, int, int, int]

AT_ITS_EDGE_DB = 3.1
"""What the IF filter takes off the station tuned in at most: it is no farther off than the -3 dB points."""

FARTHEST_TONE_HZ = 53_000
"""Offset at which a tone is loudest at most: 38 + 15 kHz; the decoder weakens farther ones to less than that."""


@dataclass(frozen=True, eq=False)
class Search:
    """One kind of sum, received in one way.

    Attributes
    ----------
    tuning : Tuning
        The oscillator side.
    kind : str
        A key of `station_sums.TIMES`.
    sums : Sums
        The reception, once for each place in which it may be made: inside the set, outside.
    low_hz, high_hz : int [Hz]
        Where such a sum lies that lands on the part of the dial asked for.
    """

    tuning: Tuning
    kind: str
    sums: Sums
    low_hz: int
    high_hz: int

    @property
    def times(self) -> tuple[int, ...]:
        """How many times each station is taken."""
        return TIMES[self.kind]

    @property
    def order(self) -> int:
        """How many signals the sum has, each as often as it is taken."""
        return order_of(self.kind)

    @property
    def n(self) -> int:
        """Harmonic of the oscillator."""
        return int(self.sums.array("n")[0])

    @property
    def is_everywhere(self) -> bool:
        """Whether it lands on the IF itself, wherever the dial stands."""
        return int(self.sums.combinations.a[0]) == 0


def searches(
    plan: Plan, sides: Sequence[Tuning], families: Sequence[Family], *, low_hz: int, high_hz: int, bursts: bool = False
) -> Iterator[Search]:  # fmt: skip
    """Yield what is to be looked for, one by one.

    Parameters
    ----------
    plan, sides, families
        The receiver, its oscillator sides, the mechanisms to compute.
    low_hz, high_hz : int [Hz]
        Part of the dial.  Where both are the same, a sum counts that comes within half the IF filter; else one whose
        exact setting lies in that part.
    bursts : bool
        Whether at a single setting those count too of which only the modulation reaches in.
    """
    for tuning in sides:
        for family in families:
            if family.station_sums is not None:
                yield from _of_family(
                    plan, tuning, family.station_sums(plan, tuning), low_hz, high_hz, bursts
                )


def _of_family(
    plan: Plan, tuning: Tuning, sums: Sums, low_hz: int, high_hz: int, bursts: bool
) -> Iterator[Search]:
    keys = list(zip(*(sums.array(name).tolist() for name in ("kind", "n", "e")), strict=True))
    places = sorted(range(len(keys)), key=keys.__getitem__)
    for (kind, _, _), same in groupby(places, key=keys.__getitem__):
        own = sums.take(np.array(list(same)))
        first = own.combinations.take(np.array([0]))
        # The sum is taken once, so nothing is divided and its frequency is whole.
        ends = [int(first.signal(dial).num[0]) for dial in (low_hz, high_hz)]
        sits, burst = twice_windows(plan, np.array([order_of(kind)]))
        single = low_hz == high_hz or int(first.a[0]) == 0
        twice = (int(burst[0]) if bursts else sits) if single else 0
        bottom, top = -(-(2 * min(ends) - twice) // 2), (2 * max(ends) + twice) // 2
        yield Search(tuning, kind, own, bottom, top)


@dataclass(frozen=True, eq=False)
class Threshold:
    """From which level a product can be heard.

    Attributes
    ----------
    known : Levels
        What the plan says of levels.
    stations : StationList
        Who is on the air.
    dial_hz : int or None [Hz]
        Where the dial stands; None where it runs over the band.
    above_db : float [dB]
        By how much the levels of stations must add up to more than that, to look at strong sums only: where a crowd
        of stations makes more of them than anybody reads.
    """

    known: Levels
    stations: StationList
    dial_hz: int | None = None
    above_db: float = 0.0

    @cached_property
    def level_dbuv(self) -> Float64:
        """Levels of the stations at the aerial; (s,) [dB(uV)]."""
        return self.known.at_aerial(self.stations)

    @cached_property
    def _masked_dbuv(self) -> float:
        return self.known.sensitivity_dbuv - MASKED_DB

    @cached_property
    def _below_wanted_db(self) -> float:
        """How far below the station tuned in a product can be heard, at most."""
        band = self.known.plan.band
        if band.modulation == "am":
            return AT_ITS_EDGE_DB - JUST_AUDIBLE_DB["am"]
        # The loudest tone of a ratio is that of the farthest offset that makes one, before de-emphasis.
        share = 20 * np.log10(FARTHEST_TONE_HZ / band.deviation_hz) if band.deviation_hz else 0.0
        return AT_ITS_EDGE_DB - JUST_AUDIBLE_DB["fm"] + max(float(share), 0.0)

    def least_dbuv(self, there: Wanted) -> Float64:
        """Return the level from which a product can be heard at settings, given who is tuned in; (k,) [dB(uV)]."""
        on_station = np.fmax(self._masked_dbuv, there.level_dbuv - self._below_wanted_db)
        free = np.where(np.isnan(there.floor_dbuv), self.known.sensitivity_dbuv, there.floor_dbuv)
        return np.where(there.place < 0, free, on_station)

    @cached_property
    def _at_settings(self) -> tuple[Int64, Float64]:
        """Settings on channels and carriers, rising, and the level from which a product can be heard there."""
        where = every_setting(self.known.plan, self.stations)
        return where, self.least_dbuv(on_air(self.known, self.stations, where))

    @cached_property
    def _here_dbuv(self) -> float:
        """The level from which a product can be heard where the dial stands."""
        here = np.array([self.dial_hz], dtype=np.int64)
        return float(self.least_dbuv(on_air(self.known, self.stations, here))[0])

    def over(self, search: Search, low_hz: int, high_hz: int) -> float:
        """Return a level below which nothing that lands on a part of the dial is heard anywhere [dB(uV)].

        Products are judged on channels and carriers near their exact setting, and on that itself where nobody is tuned
        in.  Where their window is so narrow that neither may lie in it, or a station stands just beside the band, any
        station near may be the one tuned in.
        """
        plan, window = self.known.plan, self._window_hz(search)
        twice, moves = self._twice_window(search), abs(int(search.sums.combinations.a[0]))
        where, least = self._at_settings
        near = slice(*np.searchsorted(where, [low_hz - window, high_hz + window]))
        floor = min(self.known.sensitivity_dbuv, float(np.min(least[near], initial=np.inf)))
        hertz, band = self.stations.frequency_hz, plan.band
        # A spot between whole hertz is judged on the nearest one.
        narrow = twice < (plan.if_filter.bandwidth_hz + (moves > 1)) * moves
        beside = (hertz < band.low_hz) & (band.low_hz - hertz <= window)
        beside |= (hertz > band.high_hz) & (hertz - band.high_hz <= window)
        if narrow or search.is_everywhere or beside.any():
            return min(floor, self._masked_dbuv)
        return floor

    def _twice_window(self, search: Search) -> int:
        """Return twice how far from the middle of the IF a product is judged [Hz]."""
        return int(twice_windows(self.known.plan, np.array([search.order]))[1][0])

    def _window_hz(self, search: Search) -> int:
        """Return how far from its exact setting a product is judged, at most [Hz]."""
        moves = abs(int(search.sums.combinations.a[0]))
        return -(-self._twice_window(search) // (2 * max(moves, 1))) + 1

    def cells(self, search: Search) -> Iterator[Cell]:
        """Yield parts of the dial, and where the sums lie that land on each: low, high, lowest and highest sum [Hz]."""
        if search.is_everywhere:
            yield self.known.plan.band.low_hz, self.known.plan.band.high_hz, search.low_hz, search.high_hz
            return
        edges = np.linspace(search.low_hz, search.high_hz + 1, CELLS + 1).astype(np.int64)
        lows, highs = edges[:-1], edges[1:] - 1
        every = search.sums.combinations.take(np.zeros(CELLS, dtype=np.int64))
        ends = (every.dial(sums).rough().astype(np.int64) for sums in (lows, highs))
        for one, other, low, high in zip(*map(np.ndarray.tolist, (*ends, lows, highs)), strict=True):
            if low <= high:
                yield min(one, other), max(one, other) + 1, low, high

    def has_level(self, search: Search) -> bool:
        """Return whether the plan tells how strong such products are."""
        band = self.known.plan.band
        most = self.known.most_product_db(search.times, search.n, low_hz=band.low_hz, high_hz=band.high_hz)
        return not np.isnan(most)

    def candidates(self, search: Search, listed: Listing) -> Iterator[StationSums]:
        """Yield all sums that may be heard, and few others, part by part; those of unknown level are not among them."""
        if self.dial_hz is not None:
            here = (self.dial_hz, self.dial_hz)
            yield from self._strong(search, listed, here, (search.low_hz, search.high_hz), self._here_dbuv)
            return
        cells = list(self.cells(search))
        for start in range(0, len(cells), AT_FIRST):
            some = cells[start : start + AT_FIRST]
            first, last, lowest, highest = (list(each) for each in zip(*some, strict=True))
            whole = min(first), max(last), min(lowest), max(highest)
            if any(map(len, self.on_part(search, listed, whole))):
                for cell in some:
                    yield from self.on_part(search, listed, cell)

    def on_part(self, search: Search, listed: Listing, cell: Cell) -> Iterator[StationSums]:
        """Yield the sums that land on a part of the dial and may be heard there."""
        first, last, lowest, highest = cell
        band, window = self.known.plan.band, self._window_hz(search)
        # A product is judged a little beside its exact setting too.
        low, high = max(first - window, band.low_hz), min(last + window, band.high_hz)
        yield from self._strong(
            search, listed, (low, high), (lowest, highest), self.over(search, first, last)
        )

    def passes_more_than(self, limit: int, found: Sequence[Search], listed: Listing) -> bool:
        """Return whether more than so many sums may be heard; it looks no farther than it must."""
        count = 0
        for search in found:
            for some in self.candidates(search, listed) if self.has_level(search) else ():
                count += len(some)
                if count > limit:
                    return True
        return False

    def ceiling_dbuv(self, search: Search, sums: StationSums, dial: tuple[Ratios, Ratios]) -> Float64:
        """Return levels that sums do not rise above, each on its own part of the dial; (k,) [dB(uV)]."""
        band, hertz = self.known.plan.band, self.stations.frequency_hz
        low, high = (end.rough() for end in dial)
        most = self.known.most_product_db(search.times, search.n, low_hz=band.low_hz, high_hz=band.high_hz)
        ceiling: Float64 = np.full(len(sums), most + TINY_DB)
        for count, place in zip(search.times, sums.places, strict=True):
            lost = self.known.least_lost_db(search.times, hertz[place], low_hz=low, high_hz=high)
            ceiling += abs(count) * (self.level_dbuv[place] - lost)
        return ceiling

    def _strong(
        self, search: Search, listed: Listing, dial: tuple[int, int], sums: tuple[int, int], least_dbuv: float
    ) -> Iterator[StationSums]:
        """Yield the sums in a range that can come to a level somewhere on a part of the dial."""
        low, high = dial
        ceiling = self.known.most_product_db(search.times, search.n, low_hz=low, high_hz=high)
        lost = self.known.least_lost_db(search.times, self.stations.frequency_hz, low_hz=low, high_hz=high)
        # Added up in another order, equal levels differ by their rounding.
        least = least_dbuv + self.above_db - ceiling - TINY_DB
        yield from listed.above(search.kind, *sums, level_db=self.level_dbuv - lost, least_db=least)
