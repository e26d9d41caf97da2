"""Sums of two and three stations that fall into a range: found on sorted lists, never by triple loops.

A sum is a head, one or two stations, and a last station that is added to it or taken from it.  With the list in rising
order, the last stations that bring a head into a range stand side by side, so two bisections a head find them all.
Where only sums of strong stations matter, the last one must also be strong enough for its head: of the two lists, near
enough in frequency and strong enough, the shorter is looked through.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from freqplan.decibel import Float64
from freqplan.hertz import Int64
from freqplan.landing import spread

TIMES: Mapping[str, tuple[int, ...]] = MappingProxyType(
    {"A-B": (1, -1), "A+B": (1, 1), "2A-B": (2, -1), "A+B-C": (1, 1, -1)}
)
"""How many times each station is taken, by the name of the sum."""

AT_ONCE = 1 << 20
"""Sums looked at together: enough to be fast, and no more memory than that takes."""


def order_of(kind: str) -> int:
    """Return how many signals a kind of sum has, each as often as it is taken."""
    return sum(map(abs, TIMES[kind]))


@dataclass(frozen=True, eq=False)
class StationSums:
    """Some sums of one kind.

    Attributes
    ----------
    kind : str
        A key of `TIMES`.
    places : tuple of (k,) signed integers
        The stations A, B (and C) of each sum, as places in the list; as wide as the list needs.
    sum_hz : (k,) int64 [Hz]
        The sums themselves.
    """

    kind: str
    places: tuple[Int64, ...]
    sum_hz: Int64

    def __len__(self) -> int:
        return len(self.sum_hz)

    def take(self, keep: np.ndarray) -> StationSums:
        """Return the sums selected by a mask or an index array."""
        return StationSums(self.kind, tuple(each[keep] for each in self.places), self.sum_hz[keep])

    @classmethod
    def concatenate(cls, kind: str, parts: list[StationSums]) -> StationSums:
        """Put sums of one kind end to end."""
        none = np.empty(0, dtype=np.int8)
        places = [
            np.concatenate([none, *(part.places[i] for part in parts)]) for i in range(len(TIMES[kind]))
        ]
        return cls(
            kind, tuple(places), np.concatenate([none.astype(np.int64), *(part.sum_hz for part in parts)])
        )


@dataclass(frozen=True, eq=False)
class _Heads:
    """What the last station is added to: (h,) sums of one or two stations, by places in the rising list.

    Attributes
    ----------
    first, second : (h,) int64
        Places, the lower first; equal where the head is one station.
    hertz : (h,) int64 [Hz]
        The sum of the head.
    sign : int
        Whether the last station is added (+1) or taken off (-1).
    """

    first: Int64
    second: Int64
    hertz: Int64
    sign: int

    def reach(self, rising_hz: Int64, low_hz: int, high_hz: int) -> tuple[Int64, Int64]:
        """Return from where to where in the rising list the last stations stand, as for a slice; (h,) each."""
        one, other = self.sign * (low_hz - self.hertz), self.sign * (high_hz - self.hertz)
        start = np.searchsorted(rising_hz, np.minimum(one, other), side="left")
        stop = np.searchsorted(rising_hz, np.maximum(one, other), side="right")
        # A + B is B + A: the last one stands behind the first.
        start = np.maximum(start, self.second + 1) if self.sign > 0 else start
        return start, np.maximum(stop, start)

    def take(self, keep: np.ndarray) -> _Heads:
        return _Heads(self.first[keep], self.second[keep], self.hertz[keep], self.sign)


def _heads(kind: str, rising_hz: Int64, first: Int64, second: Int64) -> _Heads:
    *head, sign = TIMES[kind]
    hertz = head[0] * rising_hz[first] if len(head) == 1 else rising_hz[first] + rising_hz[second]
    return _Heads(first, second, hertz, sign)


def _every_head(kind: str, rising_hz: Int64) -> _Heads:
    count = len(rising_hz)
    if len(TIMES[kind]) == 2:
        every = np.arange(count)
        return _heads(kind, rising_hz, every, every)
    first, second = np.triu_indices(count, 1)
    return _heads(kind, rising_hz, first, second)


@dataclass(frozen=True, eq=False)
class Listing:
    """Stations prepared for the search.

    Attributes
    ----------
    order : (s,) signed integers
        Their places by rising frequency; as wide as the list needs.
    rising_hz : (s,) int64 [Hz]
        Those frequencies.
    """

    order: Int64
    rising_hz: Int64

    def bounds_hz(self, kind: str) -> tuple[int, int]:
        """Return limits that no sum of a kind lies beyond [Hz]; the upper one is the lower where there are none."""
        times = TIMES[kind]
        if len(self.rising_hz) < len(times):
            return 0, -1
        low, high = int(self.rising_hz[0]), int(self.rising_hz[-1])
        plus, minus = sum(t for t in times if t > 0), -sum(t for t in times if t < 0)
        return plus * low - minus * high, plus * high - minus * low

    def can_reach(self, kind: str, low_hz: int, high_hz: int) -> bool:
        """Return whether a sum of a kind may lie in a range at all."""
        low_hz, high_hz = self._clipped(kind, low_hz, high_hz)
        return low_hz <= high_hz

    def _clipped(self, kind: str, low_hz: int, high_hz: int) -> tuple[int, int]:
        """Return the part of a range in which a sum above zero can lie."""
        lowest, highest = self.bounds_hz(kind)
        return max(low_hz, lowest, 1), min(high_hz, highest)

    def count(self, kind: str, low_hz: int, high_hz: int) -> int:
        """Return how many sums of a kind lie in a range, ends included, without listing them."""
        low_hz, high_hz = self._clipped(kind, low_hz, high_hz)
        if low_hz > high_hz:
            return 0
        heads = _every_head(kind, self.rising_hz)
        start, stop = heads.reach(self.rising_hz, low_hz, high_hz)
        return int(sum(np.sum(end - begin) for begin, end in _around_heads(heads, start, stop)))

    def within(self, kind: str, low_hz: int, high_hz: int) -> StationSums:
        """Return every sum of a kind in a range, ends included.

        Parameters
        ----------
        kind : str
            A key of `TIMES`.
        low_hz, high_hz : int [Hz]
            The range; sums of zero and below are left out.

        Returns
        -------
        StationSums
            Stations of a sum are distinct entries of the list, also where they share a frequency.  Where A and B are
            both added, A is the lower one, and the sum is not there again as B + A.
        """
        low_hz, high_hz = self._clipped(kind, low_hz, high_hz)
        if low_hz > high_hz:
            return StationSums.concatenate(kind, [])
        heads = _every_head(kind, self.rising_hz)
        start, stop = heads.reach(self.rising_hz, low_hz, high_hz)
        pieces = _around_heads(heads, start, stop)
        begin = np.stack([piece[0] for piece in pieces], axis=1)
        count = np.stack([piece[1] - piece[0] for piece in pieces], axis=1)
        # The last stations of one piece follow each other in the list: counting on from its first names them all.
        gone = (np.cumsum(count) - count.ravel()).reshape(count.shape)
        last = np.repeat((begin - gone).ravel(), count.ravel())
        last += np.arange(len(last))
        return self._named(kind, heads, count.sum(axis=1), last)

    def above(
        self, kind: str, low_hz: int, high_hz: int, *, level_db: Float64, least_db: float
    ) -> Iterator[StationSums]:
        """Yield the sums of a kind in a range whose levels, each as often as its station is taken, are strong enough.

        Parameters
        ----------
        kind, low_hz, high_hz
            As for `within`.
        level_db : (s,) float64 [dB]
            Levels of the stations in the order of their list; one that is NaN takes part in no sum.
        least_db : float [dB]
            The least sum of levels wanted.

        Yields
        ------
        StationSums
            Parts of bounded size; together every such sum, once.
        """
        low_hz, high_hz = self._clipped(kind, low_hz, high_hz)
        level = np.where(np.isnan(level_db), -np.inf, level_db)[self.order]
        if low_hz > high_hz or not np.isfinite(level).any():
            return
        falling = np.argsort(-level, kind="stable")
        for heads, head_db in self._strong_heads(kind, level, falling, least_db):
            start, stop = heads.reach(self.rising_hz, low_hz, high_hz)
            # Strong enough are the first so many of the stations by falling level.
            strong = np.searchsorted(-level[falling], head_db - least_db, side="right")
            by_level = strong < stop - start
            turns = np.where(by_level, strong, stop - start)
            for part in _chunks(turns):
                rows, steps = spread(turns[part])
                rows += part.start
                last = np.where(
                    by_level[rows], falling[np.minimum(steps, len(falling) - 1)], start[rows] + steps
                )
                last = np.minimum(last, len(level) - 1)
                keep = (start[rows] <= last) & (last < stop[rows])
                keep &= (last != heads.first[rows]) & (last != heads.second[rows])
                keep &= head_db[rows] + level[last] >= least_db
                yield self._named(kind, heads, np.bincount(rows[keep], minlength=len(start)), last[keep])

    def _strong_heads(
        self, kind: str, level: Float64, falling: Int64, least_db: float
    ) -> Iterator[tuple[_Heads, Float64]]:
        """Yield heads that the strongest station can bring to the level wanted, with their levels [dB]."""
        strongest, ranked = level[falling[0]], level[falling]
        if len(TIMES[kind]) == 2:
            own = TIMES[kind][0] * ranked
            chosen = falling[own + strongest >= least_db]
            yield _heads(kind, self.rising_hz, chosen, chosen), TIMES[kind][0] * level[chosen]
            return
        # A pair of ranks i < j is strong enough up to some j for each i.
        partners = np.searchsorted(-ranked, ranked + strongest - least_db, side="right")
        count = np.maximum(partners - np.arange(len(ranked)) - 1, 0)
        for part in _chunks(count):
            rows, steps = spread(count[part])
            rows += part.start
            one, other = falling[rows], falling[rows + 1 + steps]
            heads = _heads(kind, self.rising_hz, np.minimum(one, other), np.maximum(one, other))
            yield heads, level[one] + level[other]

    def _named(self, kind: str, heads: _Heads, count: Int64, last: Int64) -> StationSums:
        """Return the sums of heads, each taken `count` (h,) times, and their last stations, head by head."""
        of_head = (heads.first,) if len(TIMES[kind]) == 2 else (heads.first, heads.second)
        places = [np.repeat(self.order[each], count) for each in of_head]
        sum_hz = np.repeat(heads.hertz, count)
        sum_hz += (heads.sign * self.rising_hz)[last]
        return StationSums(kind, (*places, self.order[last]), sum_hz)


def _around_heads(heads: _Heads, start: Int64, stop: Int64) -> list[tuple[Int64, Int64]]:
    """Return the pieces of start ... stop that leave out the stations of the head itself."""
    one, two = (np.clip(place, start, stop) for place in (heads.first, heads.second))
    after_one, after_two = (np.clip(place + 1, start, stop) for place in (heads.first, heads.second))
    return [(start, one), (after_one, np.maximum(two, after_one)), (after_two, stop)]


def _chunks(count: Int64) -> Iterator[slice]:
    """Yield slices of the rows, each with about `AT_ONCE` turns."""
    total = np.cumsum(count)
    first = 0
    while first < len(count):
        done = total[first - 1] if first else 0
        last = max(int(np.searchsorted(total, done + AT_ONCE, side="right")), first + 1)
        yield slice(first, last)
        first = last


def listing(frequency_hz: Int64) -> Listing:
    """Prepare stations, given by their frequencies (s,) [Hz], for the search."""
    order = np.argsort(frequency_hz, kind="stable")
    # A hundred thousand sums hold three places each: as narrow as may be they take a third of the time.
    return Listing(order.astype(np.min_scalar_type(-len(order) or -1)), frequency_hz[order])
