"""Whose oscillator disturbs whom among the sets of a house: straight lines in the plane of two dials.

A harmonic h of one set's oscillator, h (sigma' f'T + t' f'I), is a signal to another set.  Where that falls on the
dial of the other or on its image, the two dial settings lie on a straight line; where it falls into the other's IF,
they lie in a strip, for the other dial has no influence.  Every line is cut off at the ends of both dials, exactly.

An image is the frequency fT + 2 s fI (fX = 2 fI - fT in a sum converter); where that is negative, there is none.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import permutations
from typing import TYPE_CHECKING

import numpy as np

from freqplan.findings import Findings, stack, text_column
from freqplan.hertz import Ratios, Rounding
from freqplan.mechanisms import other_sets
from freqplan.mechanisms.kinds import Sums
from freqplan.mixing import Tuning, tunings
from freqplan.reach import around, clipped, ordered, touches

if TYPE_CHECKING:
    from freqplan.plan import Plan

CONFLICT_COLUMNS = (
    "culprit", "victim", "mechanism", "way", "harmonic", "order", "culprit_oscillator", "victim_oscillator",
    "culprit_dial_low_hz", "culprit_dial_high_hz", "victim_dial_low_hz", "victim_dial_high_hz", "victim_at_low_hz",
    "victim_at_high_hz", "tuning_slope", "beat_rate", "other_beat_rate", "level_law", "sum",
)  # fmt: skip
DETAILS = (
    "mechanism", "order", "victim_at_low_hz", "victim_at_high_hz", "tuning_slope", "beat_rate", "other_beat_rate",
    "level_law",
)  # fmt: skip
SIDES = ("culprit_oscillator", "victim_oscillator")


@dataclass(frozen=True)
class Receiver:
    """A set in the house.

    Attributes
    ----------
    name : str
        Its title, numbered where several share one.
    plan : Plan
        The set.
    """

    name: str
    plan: Plan

    @cached_property
    def tunings(self) -> tuple[Tuning, ...]:
        """Return how its oscillator follows the dial, on each side that its plan leaves open."""
        return tunings(self.plan)

    @property
    def ends_hz(self) -> tuple[int, int]:
        """Return both ends of its dial [Hz]."""
        return self.plan.band.low_hz, self.plan.band.high_hz


def receivers_of(plans: Sequence[Plan]) -> tuple[Receiver, ...]:
    """Give each plan a name of its own: its title, with a number from the second of that title on."""
    taken = {plan.title for plan in plans}
    seen: set[str] = set()
    named = []
    for plan in plans:
        name, number = plan.title, 1
        while name in seen or (number > 1 and name in taken):
            number += 1
            name = f"{plan.title} ({number})"
        seen.add(name)
        named.append(Receiver(name, plan))
    return tuple(named)


@dataclass(frozen=True, eq=False)
class Lines:
    """Where one set's oscillator, on one side each, comes into another set: (k,) lines, those that exist.

    Attributes
    ----------
    culprit, victim : Receiver
        Whose oscillator it is, and who hears it.
    sides : (str, str)
        Oscillator side of culprit and victim.
    sums : Sums
        fT is the victim's dial, fX stands for the culprit's; (k,).
    culprit_low, culprit_high, victim_low, victim_high : (k,) Ratios [Hz]
        Parts of both dials.
    """

    culprit: Receiver
    victim: Receiver
    sides: tuple[str, str]
    sums: Sums
    culprit_low: Ratios
    culprit_high: Ratios
    victim_low: Ratios
    victim_high: Ratios

    @property
    def is_strip(self) -> np.ndarray:
        """Return where the victim's dial has no influence; (k,)."""
        strips: np.ndarray = self.sums.combinations.a == 0
        return strips

    @property
    def victim_ends(self) -> tuple[Ratios, Ratios]:
        """Return the victim's dial at the low and at the high end of the culprit's; none where it has no influence."""
        some = self.sums.combinations
        falls, moves = some.a * some.c > 0, ~self.is_strip
        at_low = _either(falls, self.victim_high, self.victim_low)
        at_high = _either(falls, self.victim_low, self.victim_high)
        return at_low.where(moves), at_high.where(moves)

    def findings(self, rounding: Rounding) -> Findings:
        """Return the lines as a table."""
        at_low, at_high = self.victim_ends
        return self.sums.findings(
            "",
            culprit=text_column([self.culprit.name] * len(self.sums)),
            victim=text_column([self.victim.name] * len(self.sums)),
            culprit_dial_low_hz=self.culprit_low,
            culprit_dial_high_hz=self.culprit_high,
            victim_dial_low_hz=self.victim_low,
            victim_dial_high_hz=self.victim_high,
            victim_at_low_hz=at_low,
            victim_at_high_hz=at_high,
            sum=text_column(list(self._in_words(rounding))),
        )

    def _in_words(self, rounding: Rounding) -> Iterator[str]:
        """Yield which setting of one dial goes with which of the other."""
        some, half = self.sums.combinations, self.victim.plan.if_filter.bandwidth_hz
        own_if = rounding.fine(some.intermediate_hz)
        low, high = around(Ratios([some.intermediate_hz]), np.array([half]), np.ones(1, dtype=np.int64))
        passed = f"{rounding.fine(low.exact()[0] or 0)}-{rounding.fine(high.exact()[0] or 0)}"
        # The victim's dial where the culprit's is 0, and what one hertz of it adds.
        starts, next_ones = some.dial(0).exact(), some.dial(1).exact()
        for start, following, harmonic in zip(starts, next_ones, self.sums.array("harmonic"), strict=True):
            if start is None or following is None:
                times = "" if harmonic == 1 else f"{harmonic} × "
                yield f"{times}its oscillator within {passed} (IF {own_if})"
                continue
            factor = following - start
            dial = "culprit" if abs(factor) == 1 else f"{abs(factor)} × culprit"
            if factor < 0:
                yield f"victim = {rounding.fine(start)} − {dial}"
            elif start == 0:
                yield f"victim = {dial}"
            else:
                yield f"victim = {dial} {'−' if start < 0 else '+'} {rounding.fine(start if start > 0 else -start)}"


def lines_between(culprit: Receiver, victim: Receiver, tuned: Tuning, other: Tuning) -> Lines:
    """Return every line on which the oscillator of one set comes into another.

    Parameters
    ----------
    culprit, victim : Receiver
        Whose oscillator it is, and who hears it.
    tuned, other : Tuning
        One oscillator side of the culprit, one of the victim.
    """
    sums = other_sets.between(tuned, other, victim.plan.orders.oscillator)
    some, strip = sums.combinations, sums.combinations.a == 0
    (low_hz, high_hz), (from_hz, to_hz) = culprit.ends_hz, victim.ends_hz
    width = np.where(strip, victim.plan.if_filter.bandwidth_hz, 0)
    one, other_end = ordered(some.signal(from_hz), some.signal(to_hz))
    wide = around(some.signal(from_hz), width, some.c)
    one, other_end = _either(strip, wide[0], one), _either(strip, wide[1], other_end)
    meets = touches(one, other_end, low_hz, high_hz)
    start, stop = ordered(some.dial(low_hz), some.dial(high_hz))
    start, stop = start.replaced(strip, from_hz), stop.replaced(strip, to_hz)
    return Lines(
        culprit, victim, (tuned.side, other.side), sums.take(meets),
        clipped(one, low_hz, high_hz)[meets], clipped(other_end, low_hz, high_hz)[meets],
        clipped(start, from_hz, to_hz)[meets], clipped(stop, from_hz, to_hz)[meets],
    )  # fmt: skip


def all_lines(sets: Sequence[Receiver]) -> tuple[Lines, ...]:
    """Return the lines of every ordered pair of sets and every oscillator side they leave open."""
    return tuple(
        lines_between(culprit, victim, tuned, other)
        for culprit, victim in permutations(sets, 2)
        for tuned in culprit.tunings
        for other in victim.tunings
    )


def conflicts(lines: Sequence[Lines], rounding: Rounding) -> Findings:
    """Return whose oscillator disturbs whom: the fundamental first, on the dial before on the image and in the IF."""
    tables = [each.findings(rounding) for each in lines]
    details = (*DETAILS, *(() if both_sides(lines) else SIDES))
    return stack("Whose oscillator disturbs whom", tables, CONFLICT_COLUMNS, details=details, by="order")


def both_sides(lines: Sequence[Lines]) -> bool:
    """Return whether any set is answered for with its oscillator on either side."""
    return any(len(one.tunings) > 1 for each in lines for one in (each.culprit, each.victim))


def _either(mask: np.ndarray, one: Ratios, other: Ratios) -> Ratios:
    """Return `one` where `mask` (k,) is true, else `other`."""
    return Ratios(np.where(mask, one.num, other.num), np.where(mask, one.den, other.den))
