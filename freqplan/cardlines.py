"""The lines of the card: why a frequency is worth checking, and what to do there."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from itertools import groupby
from math import inf, isnan
from typing import TYPE_CHECKING, Any

import numpy as np

from freqplan.findings import Findings
from freqplan.hertz import Ratios, Rounding
from freqplan.mechanisms import Mechanism
from freqplan.mixing import Tuning
from freqplan.reach import BURSTS_ONLY, nearest_channel
from freqplan.services import describe
from freqplan.words import birdie_sum, dial_span, mixing_sum, times

if TYPE_CHECKING:
    from freqplan.plan import Plan
    from freqplan.stations import StationList

EITHER = "either"
"""What stands in the oscillator column of a line that holds for more than one side."""

FAN = ("half-if", "fractional-if", "oscillator-on-station")
MOST_NAMED = 6
FIRST_ORDERS = 2
"""Orders up to this, the IF itself and the image, are worth a check even where no station is listed."""

Row = Mapping[str, Any]


@dataclass(frozen=True)
class Line:
    """One line of the card; frequencies in hertz, None where they do not apply."""

    kind: str
    mechanism: str
    oscillator: str
    why: str
    what_to_do: str
    rank: tuple[float, ...]
    frequency_hz: Fraction | None = None
    low_hz: Fraction | None = None
    high_hz: Fraction | None = None
    dial_hz: Fraction | None = None
    stations: tuple[str, ...] = ()

    @property
    def spot(self) -> tuple[object, ...]:
        """What makes two lines the same cause at the same place, whichever the oscillator side."""
        return (self.kind, self.mechanism, self.frequency_hz, self.low_hz, self.high_hz, self.dial_hz, self.stations)


@dataclass(frozen=True)
class Card:
    """What the lines are written from."""

    plan: Plan
    words: Mapping[str, Mechanism]
    stations: StationList | None

    @property
    def rounding(self) -> Rounding:
        """How this band's frequencies are written."""
        return self.plan.rounding

    @cached_property
    def _levels(self) -> dict[tuple[str, int], float]:
        if self.stations is None:
            return {}
        listed = zip(self.stations.names, self.stations.frequency_hz.tolist(), self.stations.level_dbuv, strict=True)
        return {(name, hertz): -inf if isnan(level) else float(level) for name, hertz, level in listed}

    def level(self, name: str, hertz: Fraction) -> float:
        """Return the listed level of a station in dB(uV), or minus infinity."""
        return self._levels.get((name, int(hertz)), -inf)

    def listed_near(self, low_hz: Fraction, high_hz: Fraction) -> tuple[str, ...]:
        """Return the listed stations whose carrier lies within half the IF filter of a part of the dial."""
        if self.stations is None:
            return ()
        half = Fraction(self.plan.if_filter.bandwidth_hz, 2)
        hertz = self.stations.frequency_hz
        near = (hertz >= float(low_hz - half)) & (hertz <= float(high_hz + half))
        return tuple(self.stations.names[place] for place in np.flatnonzero(near).tolist())

    def check(self, row: Row) -> str:
        """Return the one-line test of a row's mechanism with the row's numbers."""
        return self.words[row["mechanism"]].check.format_map({**row, "fall": 10 * (row.get("level_law") or 0)})

    def tuning(self, side: str) -> Tuning:
        """Return how the oscillator follows the dial on one side."""
        return Tuning(side, self.plan.conversion[0].intermediate_hz)


def order_of(row: Row) -> int:
    """Return what a row is ranked by: m + abs(n), or k; the oscillator on a station counts as 2."""
    if row.get("k") is not None:
        return int(row["k"])
    return (row["m"] or 0) + abs(row["n"]) if row["n"] is not None else 2


def birdie_lines(card: Card, table: Findings) -> Iterator[Line]:
    """Write one line for each spot of the dial at which the set disturbs itself."""
    rows = sorted(table.rows(), key=lambda row: (row["oscillator"], row["dial_hz"]))
    for _, same in groupby(rows, key=lambda row: (row["oscillator"], row["dial_hz"])):
        spot = sorted(same, key=lambda row: (row["mechanism"] != "if-harmonic", order_of(row)))
        yield _birdie_line(card, spot)


def _birdie_line(card: Card, spot: list[dict[str, Any]]) -> Line:
    first = spot[0]
    low, high = min(row["dial_low_hz"] for row in spot), max(row["dial_high_hz"] for row in spot)
    listed = card.listed_near(low, high)
    sums = "; ".join(birdie_sum(row, card.tuning(row["oscillator"]), card.rounding) for row in spot[:MOST_NAMED])
    is_harmonic = first["mechanism"] == "if-harmonic"
    return Line(
        kind="dial",
        mechanism=first["mechanism"],
        oscillator=first["oscillator"],
        frequency_hz=first["dial_hz"] if low == high else None,
        low_hz=None if low == high else low,
        high_hz=None if low == high else high,
        dial_hz=first["dial_hz"],
        stations=listed,
        why=f"{card.words[first['mechanism']].title}: {sums}",
        what_to_do=card.check(first),
        rank=(not is_harmonic, is_harmonic and not listed, order_of(first), 0, -inf, 0, first["dial_hz"]),
    )


def ghost_lines(card: Card, table: Findings | None) -> Iterator[Line]:
    """Write one line for each ghost, and one for all the ghosts of a fan."""
    rows = [] if table is None else list(table.rows())
    rows.sort(key=lambda row: (row["oscillator"], row["station"], row["station_hz"]))
    for _, same in groupby(rows, key=lambda row: (row["oscillator"], row["station"], row["station_hz"])):
        of_station = list(same)
        fan = [row for row in of_station if row["mechanism"] in FAN]
        if len(fan) > 1:
            yield _fan_line(card, fan)
        yield from (_ghost_line(card, row) for row in of_station if len(fan) < 2 or row not in fan)


def _fan_line(card: Card, fan: list[dict[str, Any]]) -> Line:
    def worth(row: Row) -> tuple[float, ...]:
        return (row["mechanism"] == "oscillator-on-station", order_of(row), _distance(row))

    first, *others = sorted(fan, key=worth)
    places = [max(min(row["dial_hz"], card.plan.band.high_hz), card.plan.band.low_hz) for row in fan]
    named = ", ".join(_member(card, row) for row in others[:MOST_NAMED])
    more = f" and {len(others) - MOST_NAMED} more" if len(others) > MOST_NAMED else ""
    return Line(
        kind="dial",
        mechanism=first["mechanism"],
        oscillator=first["oscillator"],
        low_hz=Fraction(min(places)),
        high_hz=Fraction(max(places)),
        dial_hz=first["dial_hz"],
        stations=(first["station"],),
        why=f"{_ghost_why(card, first)}; of the same station also {named}{more}",
        what_to_do=card.check(first),
        rank=_ghost_rank(card, first),
    )


def _member(card: Card, row: Row) -> str:
    place = card.rounding.fine(row["dial_hz"])
    if row["mechanism"] == "oscillator-on-station":
        return f"{place} (oscillator on it)"
    return f"{place} ({row['m']},{row['n']})"


def _ghost_line(card: Card, row: Row) -> Line:
    return Line(
        kind="dial",
        mechanism=row["mechanism"],
        oscillator=row["oscillator"],
        frequency_hz=row["dial_hz"],
        low_hz=None if row["dial_hz"] else row["dial_low_hz"],
        high_hz=None if row["dial_hz"] else row["dial_high_hz"],
        dial_hz=row["dial_hz"],
        stations=(row["station"],),
        why=_ghost_why(card, row),
        what_to_do=card.check(row),
        rank=_ghost_rank(card, row),
    )


def _ghost_rank(card: Card, row: Row) -> tuple[float, ...]:
    level = card.level(row["station"], row["station_hz"])
    where = row["dial_hz"] or 0
    return (1, 0, order_of(row), 0, -level, _distance(row), where)


def _distance(row: Row) -> Fraction:
    """Return how far the station lies from the dial setting: the front end weakens the farther one more."""
    return abs(row["station_hz"] - (row["dial_hz"] or 0))


def _ghost_why(card: Card, row: Row) -> str:
    rounding, tuning = card.rounding, card.tuning(row["oscillator"])
    title = card.words[row["mechanism"]].title
    maker = f"{title} of {row['station']}"
    if row["dial_hz"] is None:
        signal = times(row["m"], row["station_hz"], rounding)
        return f"{maker}: {signal} against the IF of {rounding.fine(tuning.intermediate_hz)}"
    if row["m"] is None:
        own = tuning.sigma * row["dial_hz"] + tuning.t * tuning.intermediate_hz
        text = f"{maker}: at {rounding.fine(row['dial_hz'])} the oscillator is on {rounding.fine(own)}"
    else:
        text = f"{maker}: " + mixing_sum(
            tuning=tuning, m=row["m"], n=row["n"], e=row["e"], dial_hz=row["dial_hz"],
            signal_hz=row["station_hz"], rounding=rounding,
        )  # fmt: skip
    victims = tuple(name for name in card.listed_near(row["dial_hz"], row["dial_hz"]) if name != row["station"])
    if victims:
        text += f"; falls on {', '.join(victims[:3])}"
    if row["reach"] == BURSTS_ONLY:
        text += f"; on channel {rounding.dial(row['channel_hz'])} only bursts of its modulation reach in"
    return text


def range_lines(card: Card, table: Findings) -> Iterator[Line]:
    """Write one line for each response: the frequencies outside at which the set may also receive."""
    for row in table.rows():
        part = (row["dial_low_hz"], row["dial_high_hz"])
        single = row["low_hz"] == row["high_hz"]
        yield Line(
            kind="outside",
            mechanism=row["mechanism"],
            oscillator=row["oscillator"],
            frequency_hz=row["low_hz"] if single else None,
            low_hz=None if single else row["low_hz"],
            high_hz=None if single else row["high_hz"],
            why=_range_why(card, row, part),
            what_to_do=_range_test(card, row, part),
            rank=(_range_tier(card, row), 0, order_of(row), 1, row["m"], -row["e"], row["n"]),
        )


def _range_tier(card: Card, row: Row) -> int:
    """Return 2, "after all else", where a list is at hand and the range is neither the image nor the IF."""
    return 1 if card.stations is None or order_of(row) <= FIRST_ORDERS else 2


def _example(card: Card, row: Row, part: tuple[Fraction | None, Fraction | None]) -> tuple[Fraction, Fraction]:
    """Return a dial setting in the middle of the part concerned and the signal that lands on the IF there."""
    band, tuning = card.plan.band, card.tuning(row["oscillator"])
    low, high = part if part[0] is not None and part[1] is not None else (band.low_hz, band.high_hz)
    middle = nearest_channel(card.plan, Ratios.of([(low + high) / Fraction(2)])).tolist()[0]
    for dial in (middle, band.high_hz, band.low_hz):
        signal = Fraction(row["n"] * tuning.oscillator_hz(dial) - row["e"] * tuning.intermediate_hz, row["m"])
        if signal > 0:
            break
    return Fraction(dial), signal


def _range_why(card: Card, row: Row, part: tuple[Fraction | None, Fraction | None]) -> str:
    dial, signal = _example(card, row, part)
    text = f"{card.words[row['mechanism']].title}: " + mixing_sum(
        tuning=card.tuning(row["oscillator"]), m=row["m"], n=row["n"], e=row["e"], dial_hz=dial,
        signal_hz=signal, rounding=card.rounding,
    )  # fmt: skip
    if part[0] is not None and part[1] is not None:
        text += f"; inside the band with the dial at {dial_span(part[0], part[1], card.rounding)}"
    lives = describe(row["low_hz"], row["high_hz"], card.rounding)
    return f"{text}; there: {lives}" if lives else text


def _range_test(card: Card, row: Row, part: tuple[Fraction | None, Fraction | None]) -> str:
    dial, signal = _example(card, row, part)
    return (
        f"Dial on {card.rounding.dial(dial)}, generator by cable on {card.rounding.fine(signal)}: "
        f"if it is heard, a 10 dB pad takes {10 * row['level_law']} dB off it."
    )
