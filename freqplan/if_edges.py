"""For which IFs each response lies in the band: exact edges, one closed interval a response and oscillator side.

A response meets the band where a*fT + b*fI + c*fX = 0 with both the dial setting fT and the signal fX inside it.
While both run over the band, -(a*fT + c*fX) takes every value of one closed interval, so the IFs are that interval
over b: two divisions a response, and nothing is scanned.  With b = 0 the IF has no say: always or never.  A
harmonic of the IF (a = 1, b = -k, c = 0) obeys the same rule: lowest dial over k to highest dial over k.

On an edge the response just touches the end of the band, with the dial at an end of it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from freqplan.hertz import Int64, Ratios
from freqplan.mechanisms import one_signal, own_if
from freqplan.mechanisms.kinds import Sums, joined
from freqplan.mixing import Combinations, Tuning
from freqplan.reach import clipped, ordered

if TYPE_CHECKING:
    from freqplan.plan import Band, Plan

Mask = npt.NDArray[np.bool_]

BINARY_PLACES = 20
"""Places behind the point that tell edges apart: their denominators are IF coefficients up to 26 or harmonics up to
100, so two that differ do so by 1/10,000 Hz at least."""


@dataclass(frozen=True)
class Room:
    """The IFs to look at on one oscillator side.

    Attributes
    ----------
    side : str
        ``"high"``, ``"low"`` or ``"sum"``.
    low_hz, high_hz : int [Hz]
        Both ends; possible IFs, but for one that is `open_at_hz`.
    open_at_hz : int or None [Hz]
        The end at which the oscillator would come down to zero at one end of the dial.
    """

    side: str
    low_hz: int
    high_hz: int
    open_at_hz: int | None = None

    @property
    def width_hz(self) -> int:
        """Return how wide it is [Hz]."""
        return self.high_hz - self.low_hz


def rooms(band: Band, sides: tuple[str, ...], low_hz: int, high_hz: int) -> tuple[Room, ...]:
    """Return, for each side that is possible at some IF between two ends [Hz], those IFs.

    Below the signal the oscillator needs an IF below the band, in a sum converter one above it.
    """
    limits = {
        "high": Room("high", low_hz, high_hz),
        "low": Room("low", low_hz, min(high_hz, band.low_hz), band.low_hz),
        "sum": Room("sum", max(low_hz, band.high_hz), high_hz, band.high_hz),
    }
    return tuple(room for side in sides if (room := limits[side]).width_hz > 0)


@dataclass(frozen=True)
class InBand:
    """The responses of one side that are in the band at some of the IFs asked for, and at which.

    Attributes
    ----------
    room : Room
        The IFs asked for.
    sums : Sums
        The responses and IF harmonics, lowest order first; (k,).
    low, high : (k,) Ratios [Hz]
        The IFs, ends included, at which each is in the band for some dial setting.
    """

    room: Room
    sums: Sums
    low: Ratios
    high: Ratios

    @cached_property
    def _cuts(self) -> tuple[Ratios, Int64, Int64]:
        """Every edge once, rising, both ends of the room among them; (s+1,), and where each interval lies; (k,)."""
        ends = Ratios.concatenate([Ratios([self.room.low_hz, self.room.high_hz]), self.low, self.high])
        _, first, place = np.unique(_sortable(ends), return_index=True, return_inverse=True)
        lows, highs = np.split(place[2:], 2)
        return ends[first], lows, highs

    @property
    def edges(self) -> Ratios:
        """Return where ranges of unchanging responses begin and end, rising; (s+1,) [Hz]."""
        return self._cuts[0]

    @property
    def ranges(self) -> tuple[Ratios, Ratios]:
        """Return both ends of those ranges, which follow each other without gaps; each (s,) [Hz]."""
        place = np.arange(len(self.edges) - 1)
        return self.edges[place], self.edges[place + 1]

    def counts(self, some: Mask | None = None) -> Int64:
        """Return how many responses, of `some` (k,) alone if given, are in the band in each range; (s,)."""
        edges, lows, highs = self._cuts
        if some is not None:
            lows, highs = lows[some], highs[some]
        begun, ended = (np.bincount(place, minlength=len(edges)) for place in (lows, highs))
        running: Int64 = np.cumsum(begun - ended, dtype=np.int64)[:-1]
        return running

    def members(self) -> Mask:
        """Return which responses are in the band in each range; (s, k)."""
        edges, lows, highs = self._cuts
        place = np.arange(len(edges) - 1)[:, None]
        inside: Mask = (lows <= place) & (place < highs)
        return inside

    def named(self, mechanisms: Sequence[str]) -> Mask:
        """Return which responses are of one of these mechanisms; (k,)."""
        some: Mask = np.isin(self.sums.array("mechanism").astype(str), mechanisms)
        return some

    def clear(self, some: Mask) -> tuple[Ratios, Ratios]:
        """Return the ranges without any of `some` (k,) responses, joined where they touch; two ends, each [Hz]."""
        free = np.concatenate([[False], self.counts(some) == 0, [False]])
        turns = np.flatnonzero(free[1:] != free[:-1])
        return self.edges[turns[::2]], self.edges[turns[1::2]]

    def clear_width(self, mechanisms: Sequence[str]) -> Fraction:
        """Return at how much of the room none of some mechanisms is in the band [Hz]."""
        low, high = (
            sum(Fraction(end or 0) for end in ends.exact()) for ends in self.clear(self.named(mechanisms))
        )
        return Fraction(high - low)


def in_band(plan: Plan, room: Room) -> InBand:
    """Return which responses and IF harmonics, up to the plan's orders, are in the band at which IFs.

    Parameters
    ----------
    plan : Plan
        Gives band and orders; its IF takes no part.
    room : Room
        Oscillator side and IFs.
    """
    tuning = Tuning(room.side, plan.conversion[0].intermediate_hz)
    harmonics = own_if.harmonics(plan, tuning)
    # Harmonics of later IFs stand still whatever the first IF is: they say nothing about the choice.
    harmonics = harmonics.take(harmonics.combinations.b != 0)
    every = _together(one_signal.responses(plan, tuning), harmonics)
    low, high = edges_of(plan.band, every.combinations, room)
    meets = low.known
    return InBand(room, every.take(meets), low[meets], high[meets])


def edges_of(band: Band, some: Combinations, room: Room) -> tuple[Ratios, Ratios]:
    """Return the lowest and highest IF in `room` at which each sum is met with dial and signal in the band.

    Parameters
    ----------
    band : Band
        Where dial and signal are.
    some : Combinations
        (k,) sums; their IF takes no part.
    room : Room
        The IFs to look at.

    Returns
    -------
    Ratios, Ratios
        Each (k,) [Hz], "none" where the sum is met at none of them.
    """
    least, most = (
        some.fixed_hz
        + pick(some.a * band.low_hz, some.a * band.high_hz)
        + pick(some.c * band.low_hz, some.c * band.high_hz)
        for pick in (np.minimum, np.maximum)
    )
    low, high = ordered(Ratios(-most, some.b), Ratios(-least, some.b))
    always = (some.b == 0) & (least <= 0) & (most >= 0)
    low, high = low.replaced(always, room.low_hz), high.replaced(always, room.high_hz)
    meets = low.known
    for end_hz, near, far in ((room.high_hz, low, 1), (room.low_hz, high, -1)):
        # An end that is itself no possible IF is not met by what only touches it.
        beyond = far * (near.num - end_hz * near.den)
        meets &= beyond < 0 if end_hz == room.open_at_hz else beyond <= 0
    low, high = (clipped(ends, room.low_hz, room.high_hz).where(meets) for ends in (low, high))
    return low, high


def _together(responses: Sums, harmonics: Sums) -> Sums:
    """Put responses and IF harmonics end to end, lowest order first; what one lacks is None there."""
    names = ("mechanism", "oscillator", "m", "n", "e", "k")
    parts = [
        Sums(
            part.combinations,
            {name: part.columns.get(name, np.full(len(part), None, object)) for name in names},
            part.order,
        )
        for part in (responses, harmonics)
    ]
    every = joined(parts, responses.combinations.intermediate_hz)
    return every.take(np.argsort(every.order, kind="stable"))


def _sortable(values: Ratios) -> Int64:
    """Return integers in the order of the edges `values`, equal for equal ones and only for those; (k,)."""
    whole, rest = np.divmod(values.num, values.den)
    scaled: Int64 = (whole << BINARY_PLACES) + (rest << BINARY_PLACES) // values.den
    return scaled
