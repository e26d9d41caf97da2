"""How mechanisms behave on tuning and behind a pad, so that those which behave alike can be named beside each other.

The signature of a sum is its tuning slope, which gives width and direction of the meter, and its level law.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING, Any, NamedTuple, TypeAlias

from freqplan.birdies import birdies
from freqplan.mechanisms import FAMILIES, Family, other_sets
from freqplan.mechanisms.several_signals import DIAL
from freqplan.mixing import tunings
from freqplan.responses import signal_ranges

if TYPE_CHECKING:
    from freqplan.plan import Plan

Row: TypeAlias = "tuple[int, int, str, int, int]"

PLACES = (DIAL, "half", "image", "if", "other")
"""What a sum may land on, the plainest first; of each mechanism only the plainest place counts."""


PARTS = {2: "half", 3: "a third"}


class Signature(NamedTuple):
    """How a sum behaves.

    Attributes
    ----------
    slope : int
        How fast it moves in the IF, against the wanted station, while the set is tuned.
    law : int
        Decibels that a pad of 1 dB takes off it.
    """

    slope: int
    law: int

    @property
    def words(self) -> str:
        """Return it in words."""
        falls = "a pad leaves it as it is" if self.law == 0 else f"a 10 dB pad takes {10 * self.law} dB off"
        if self.slope == 0:
            return f"the same all over the dial, {falls}"
        times = abs(self.slope)
        width = (
            "as wide as a station" if times == 1 else f"{PARTS.get(times, f'1/{times}')} as wide as a station"
        )
        return f"{width}, meter {'backwards' if self.slope < 0 else 'normal'}, {falls}"


def signatures(plan: Plan, families: tuple[Family, ...] = FAMILIES) -> Mapping[str, frozenset[Signature]]:
    """Return the signatures of each mechanism that a set can have, those of its lowest order.

    Parameters
    ----------
    plan : Plan
        The receiver; of an unknown oscillator side one counts, for the signatures are the same on both.
    families : tuple of Family
        Where to look.

    Returns
    -------
    mapping
        By mechanism id; what has no tuning slope of its own, such as a harmonic of the IF, is left out.
    """
    found: dict[str, set[Signature]] = {}
    lowest: dict[str, tuple[int, int]] = {}
    for row in sorted(_rows(plan, families), key=lambda row: row[:2]):
        rank, mechanism, slope, law = row[:2], *row[2:]
        if rank == lowest.setdefault(mechanism, rank):
            found.setdefault(mechanism, set()).add(Signature(slope, law))
    return {mechanism: frozenset(some) for mechanism, some in found.items()}


def _rows(plan: Plan, families: tuple[Family, ...]) -> Iterator[Row]:
    """Yield where each sum that can occur lands, its order, its mechanism, its slope and its law."""
    tuning = tunings(plan)[0]
    yield from _told(birdies(plan, [tuning], families).rows())
    yield from _told(other_sets.between(tuning, tuning, 1).findings("").rows())
    for family in families:
        for make in (family.responses, family.station_spots):
            sums = None if make is None else make(plan, tuning)
            if sums is not None and len(sums):
                yield from _told(signal_ranges(plan, sums)[0].findings("").rows())
        if family.station_sums is not None:
            yield from _told(family.station_sums(plan, tuning).findings("").rows())


def _told(rows: Iterable[Mapping[str, Any]]) -> Iterator[Row]:
    for row in rows:
        if row.get("tuning_slope") is not None:
            place = PLACES.index((row.get("lands_on") or DIAL).partition("-")[0])
            yield place, row["order"], row["mechanism"], row["tuning_slope"], row["level_law"]


def taken_for(plan: Plan, mechanism: str, families: tuple[Family, ...] = FAMILIES) -> Mapping[str, str]:
    """Return the mechanisms that a set can have with the very signature of another, and that signature in words.

    Parameters
    ----------
    plan : Plan
        The receiver.
    mechanism : str
        Id in the catalogue.
    families : tuple of Family
        Where to look.
    """
    known = signatures(plan, families)
    own = known.get(mechanism, frozenset())
    shared = {name: sorted(own & some, key=_plainest) for name, some in known.items() if name != mechanism}
    return {name: "; or ".join(one.words for one in some) for name, some in shared.items() if some}


def _plainest(one: Signature) -> tuple[int, bool]:
    return abs(one.slope), one.slope < 0
