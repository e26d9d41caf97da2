"""Lines of the card that are settings of the dial: birdies, ghosts, and the fan of a strong station."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import groupby
from math import inf
from typing import Any

from freqplan.cardlines import Card, Line, Rank, Row
from freqplan.findings import Findings
from freqplan.reach import BURSTS_ONLY
from freqplan.words import birdie_sum, mixing_sum, times

FAN = ("half-if", "fractional-if", "oscillator-on-station")
MOST_NAMED = 6
"""Members of a fan, or sums behind one spot, that a line names."""


def birdie_lines(card: Card, table: Findings) -> Iterator[Line]:
    """Write one line for each spot of the dial at which the set disturbs itself."""
    rows = sorted(table.rows(), key=lambda row: (row["oscillator"], row["dial_hz"]))
    for _, same in groupby(rows, key=lambda row: (row["oscillator"], row["dial_hz"])):
        spot = sorted(
            same, key=lambda row: (row["mechanism"] == "self-mixing", row["k"] is None, row["order"])
        )
        yield _birdie_line(card, spot)


def _birdie_line(card: Card, spot: list[dict[str, Any]]) -> Line:
    first = spot[0]
    low, high = min(row["dial_low_hz"] for row in spot), max(row["dial_high_hz"] for row in spot)
    listed = card.listed_near(low, high)
    sums = [birdie_sum(row, card.tuning(row["oscillator"]), card.rounding) for row in spot[:MOST_NAMED]]
    also = f"; also {'; '.join(sums[1:])}" if sums[1:] else ""
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
        why=f"{card.words[first['mechanism']].title}: {sums[0]}{also}",
        what_to_do=card.check(first),
        rank=(not is_harmonic, is_harmonic and not listed, first["order"], 0, -inf, 0, first["dial_hz"]),
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
    def worth(row: Row) -> Rank:
        return (row["mechanism"] == "oscillator-on-station", row["order"], _distance(row))

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


def _ghost_rank(card: Card, row: Row) -> Rank:
    level = card.level(row["station"], row["station_hz"])
    where = row["dial_hz"] or 0
    return (1, 0, row["order"], 0, -level, _distance(row), where)


def _distance(row: Row) -> Fraction:
    """Return how far the station lies from the dial setting: the front end weakens the farther one more."""
    return abs(Fraction(row["station_hz"] - (row["dial_hz"] or 0)))


def _ghost_why(card: Card, row: Row) -> str:
    text = f"{card.words[row['mechanism']].title}: {_ghost_sum(card, row)}"
    if row["dial_hz"] is None:
        return text
    victims = tuple(
        name for name in card.listed_near(row["dial_hz"], row["dial_hz"]) if name != row["station"]
    )
    if victims:
        text += f"; falls on {', '.join(victims[:3])}"
    if row["reach"] == BURSTS_ONLY:
        text += f"; on channel {card.rounding.dial(row['channel_hz'])} only bursts of its modulation reach in"
    return text


def _ghost_sum(card: Card, row: Row) -> str:
    rounding, tuning = card.rounding, card.tuning(row["oscillator"])
    if row["dial_hz"] is None:
        signal = times(row["m"], row["station_hz"], rounding)
        return f"{signal} against the IF of {rounding.fine(tuning.intermediate_hz)}"
    if row["m"] is None:
        own = tuning.sigma * row["dial_hz"] + tuning.t * tuning.intermediate_hz
        return f"at {rounding.fine(row['dial_hz'])} the oscillator is on {rounding.fine(own)}"
    return mixing_sum(
        tuning=tuning, m=row["m"], n=row["n"], e=row["e"], dial_hz=row["dial_hz"],
        signal_hz=row["station_hz"], rounding=rounding,
    )  # fmt: skip
