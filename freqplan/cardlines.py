"""One line of the card, and what lines are written from."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cached_property
from math import inf, isnan
from typing import TYPE_CHECKING, Any, TypeAlias

from freqplan.fields import DIPOLE_OHM
from freqplan.hertz import Rounding
from freqplan.mechanisms import Mechanism
from freqplan.mixing import Tuning

if TYPE_CHECKING:
    from freqplan.plan import Plan
    from freqplan.stations import StationList

EITHER = "either"
"""What stands in the oscillator column of a line that holds for more than one side."""

LEVELS = ("heard", "level_dbuv", "rejection_db", "pitch_hz", "loudness_db", "margin_db")
"""What a line tells of levels, in the columns of the same names."""

Row: TypeAlias = Mapping[str, Any]
Rank: TypeAlias = tuple[float | Fraction, ...]


@dataclass(frozen=True)
class Line:
    """One line of the card; frequencies in hertz, None where they do not apply."""

    kind: str
    mechanism: str
    oscillator: str
    why: str
    what_to_do: str
    rank: Rank
    frequency_hz: Fraction | None = None
    low_hz: Fraction | None = None
    high_hz: Fraction | None = None
    dial_hz: Fraction | None = None
    stations: tuple[str, ...] = ()
    is_fan: bool = False
    cause: str = ""
    """What tells apart lines of one mechanism at one place, such as the names of two clocks."""
    is_certain: bool = False
    """Whether it is there whatever the levels."""
    levels: Mapping[str, Any] = field(default_factory=dict)
    """The columns `LEVELS` of what the line is written from, as far as it has them."""

    @property
    def urgency(self) -> tuple[float, ...]:
        """What is certain comes first; what is heard by its level, by margin; what is unknown; what stays below."""
        return (-1, 0) if self.is_certain else urgency(self.levels)

    @property
    def spot(self) -> tuple[object, ...]:
        """What makes two lines the same cause at the same place, whichever the oscillator side."""
        place = (self.frequency_hz, self.low_hz, self.high_hz, self.dial_hz)
        return (self.kind, self.mechanism, *place, self.stations, self.cause)


def urgency(row: Row) -> tuple[float, ...]:
    """Return the rank of a row by its level: what is heard comes first, by margin; then what is unknown."""
    margin = row.get("margin_db")
    return (1, 0) if margin is None else (0 if margin < 0 else 2, margin)


@dataclass(frozen=True)
class Card:
    """What the lines are written from."""

    plan: Plan
    words: Mapping[str, Mechanism]
    stations: StationList | None

    @cached_property
    def rounding(self) -> Rounding:
        """How this band's frequencies are written."""
        return self.plan.rounding

    @property
    def is_am(self) -> bool:
        """Whether the set is one for AM."""
        return self.plan.band.modulation == "am"

    @cached_property
    def _levels(self) -> dict[tuple[str, int], float]:
        if self.stations is None:
            return {}
        terminal = self.stations.terminal_dbuv(DIPOLE_OHM)
        listed = zip(self.stations.names, self.stations.frequency_hz.tolist(), terminal, strict=True)
        return {(name, hertz): -inf if isnan(level) else float(level) for name, hertz, level in listed}

    def level(self, name: str, hertz: Fraction) -> float:
        """Return the level of a station at the aerial in dB(uV), or minus infinity."""
        return self._levels.get((name, int(hertz)), -inf)

    def listed_near(self, low_hz: Fraction, high_hz: Fraction) -> tuple[str, ...]:
        """Return the listed stations whose carrier lies within half the IF filter of a part of the dial."""
        if self.stations is None:
            return ()
        places, rising = self._rising
        first = bisect_left(rising, 2 * low_hz - self.plan.if_filter.bandwidth_hz)
        last = bisect_right(rising, 2 * high_hz + self.plan.if_filter.bandwidth_hz)
        return tuple(self.stations.names[place] for place in sorted(places[first:last]))

    @cached_property
    def _rising(self) -> tuple[list[int], list[int]]:
        """Places of the stations by rising frequency, and twice those frequencies [Hz]."""
        assert self.stations is not None
        places, hertz = self.stations.rising
        return places.tolist(), (2 * hertz).tolist()

    def is_wanted(self, signal_hz: Fraction, dial_hz: Fraction) -> bool:
        """Return whether a signal is received as the station tuned in: within half the IF filter of the setting."""
        return 2 * abs(signal_hz - dial_hz) <= self.plan.if_filter.bandwidth_hz

    def check(self, row: Row) -> str:
        """Return the one-line test of a row's mechanism with the row's numbers."""
        return self.words[row["mechanism"]].check.format_map(
            {
                **row,
                "fall": 10 * (row.get("level_law") or 0),
                "better": 10 * ((row.get("level_law") or 1) - 1),
            }
        )

    def tuning(self, side: str) -> Tuning:
        """Return how the oscillator follows the dial on one side."""
        return Tuning(side, self.plan.conversion[0].intermediate_hz)
