"""Lines of the card that are settings of the dial: birdies, ghosts, and the fan of a strong station."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import groupby
from math import inf
from typing import Any

from freqplan.cardlines import LEVELS, Card, Line, Rank, Row, urgency
from freqplan.findings import Findings
from freqplan.mechanisms.synthesiser import SIDEBAND
from freqplan.own_lines import apart, shared_lines, sideband_lines, titled
from freqplan.reach import BURSTS_ONLY
from freqplan.words import birdie_sum, heard_words, signal_sum

CENTRE = "oscillator-on-station"
FAN = ("half-if", "fractional-if", CENTRE)
MOST_NAMED = 6
"""Members of a fan, or sums behind one spot, that a line names."""


def birdie_lines(card: Card, table: Findings) -> Iterator[Line]:
    """Write one line for each spot of the dial at which the set disturbs itself, and for each cause of many."""
    single, groups = apart(table.rows())
    yield from shared_lines(card, groups)
    rows = sorted(single, key=lambda row: (row["oscillator"], row["dial_hz"]))
    for _, same in groupby(rows, key=lambda row: (row["oscillator"], row["dial_hz"])):
        spot = sorted(
            same, key=lambda row: (row["mechanism"] == "self-mixing", row["k"] is None, row["order"])
        )
        yield _birdie_line(card, spot)


def _birdie_line(card: Card, spot: list[Row]) -> Line:
    first = spot[0]
    low, high = min(row["dial_low_hz"] for row in spot), max(row["dial_high_hz"] for row in spot)
    listed = card.listed_near(low, high)
    is_harmonic = first["mechanism"] == "if-harmonic"
    own = any(row["mechanism"] == "self-mixing" and row["level_law"] > 1 for row in spot)
    pad = " Softer with a pad: self-mixing." if is_harmonic and own else ""
    return Line(
        kind="dial",
        mechanism=first["mechanism"],
        oscillator=first["oscillator"],
        frequency_hz=first["dial_hz"] if low == high else None,
        low_hz=None if low == high else low,
        high_hz=None if low == high else high,
        dial_hz=first["dial_hz"],
        stations=listed,
        why=_birdie_why(card, spot),
        what_to_do=card.check(first) + pad,
        rank=(
            not is_harmonic,
            is_harmonic and not listed,
            first["order"],
            int(bool(first["name"]) and not listed),
            -inf,
            0,
            first["dial_hz"],
        ),
        is_certain=is_harmonic and bool(listed),
    )


def _birdie_why(card: Card, spot: list[Row]) -> str:
    """Write the sums behind a spot, each mechanism named once and no sum twice."""
    sums: dict[str, list[str]] = {}
    for row in spot:
        said = sums.setdefault(titled(card, row), [])
        text = birdie_sum(row, card.tuning(row["oscillator"]), card.rounding)
        if text not in said and len(said) < MOST_NAMED:
            said.append(text)
    return "; also ".join(f"{title}: {', '.join(texts)}" for title, texts in sums.items())


def ghost_lines(card: Card, table: Findings | None) -> Iterator[Line]:
    """Write one line for each ghost, and one for all the ghosts of a fan; stations on one frequency share it."""

    def carrier(row: Row) -> tuple[Any, ...]:
        return (row["oscillator"], row["station_hz"])

    every = [] if table is None else list(table.rows())
    yield from sideband_lines(card, [row for row in every if row["mechanism"] == SIDEBAND.id])
    rows = sorted((row for row in every if row["mechanism"] != SIDEBAND.id), key=carrier)
    for _, same in groupby(rows, key=carrier):
        ghosts = _named_together(list(same))
        fan = [row for row in ghosts if row["mechanism"] in FAN]
        if len(fan) > 1:
            yield _fan_line(card, fan)
        yield from (_ghost_line(card, row) for row in ghosts if len(fan) < 2 or row["mechanism"] not in FAN)


def _named_together(rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Return the ghosts of one carrier, each once, with the names of all stations on it."""
    together: dict[tuple[Any, ...], dict[str, Any]] = {}
    for row in rows:
        key = (row["mechanism"], row["m"], row["n"], row["e"], row["dial_hz"])
        known = together.get(key)
        names = tuple(dict.fromkeys((*(known["stations"] if known else ()), row["station"])))
        first = row if known is None else min(known, row, key=urgency)
        together[key] = {**first, "stations": names}
    return list(together.values())


def _off_scale(card: Card, row: Row) -> bool:
    return (
        row["dial_hz"] is not None and not card.plan.band.low_hz <= row["dial_hz"] <= card.plan.band.high_hz
    )


def _spot(card: Card, row: Row) -> Fraction | None:
    """Return the setting to dial: the exact one, or the nearest channel where that is off the scale."""
    chosen: Fraction | None = row["channel_hz"] if _off_scale(card, row) else row["dial_hz"]
    return chosen


def _fan_line(card: Card, fan: list[dict[str, Any]]) -> Line:
    def worth(row: Row) -> Rank:
        is_heard = (row["margin_db"] or 0) < 0
        return (
            not is_heard, _off_scale(card, row), row["mechanism"] == CENTRE, *urgency(row), row["order"], _distance(row)
        )  # fmt: skip

    first, *others = sorted(fan, key=worth)
    dialled = [row for row in others if not _off_scale(card, row)]
    places = [Fraction(_spot(card, row) or 0) for row in (first, *dialled)]
    written = [(row, card.rounding.fine(row["dial_hz"])) for row in dialled]
    centre = [f"oscillator on it at {place}" for row, place in written if row["mechanism"] == CENTRE]
    members = [
        f"{place} ({row['m']},{row['n']}){' heard' if (row['margin_db'] or 0) < 0 else ''}"
        for row, place in written
        if row["mechanism"] != CENTRE
    ]
    more = f" and {len(members) - MOST_NAMED} more" if len(members) > MOST_NAMED else ""
    also = [f"of the same station also {', '.join(members[:MOST_NAMED])}{more}"] if members else []
    return Line(
        kind="dial",
        mechanism=first["mechanism"],
        oscillator=first["oscillator"],
        low_hz=min(places),
        high_hz=max(places),
        dial_hz=_spot(card, first),
        stations=first["stations"],
        why="; ".join((_ghost_why(card, first), *centre, *also)),
        what_to_do=card.check(first),
        rank=_ghost_rank(card, first),
        is_fan=True,
        levels={name: first[name] for name in LEVELS},
    )


def _ghost_line(card: Card, row: Row) -> Line:
    spot = _spot(card, row)
    return Line(
        kind="dial",
        mechanism=row["mechanism"],
        oscillator=row["oscillator"],
        frequency_hz=spot,
        low_hz=None if spot else row["dial_low_hz"],
        high_hz=None if spot else row["dial_high_hz"],
        dial_hz=spot,
        stations=row["stations"],
        why=_ghost_why(card, row),
        what_to_do=_on_itself(card, row) or card.check(row),
        rank=_ghost_rank(card, row),
        levels={name: row[name] for name in LEVELS},
    )


def _on_itself(card: Card, row: Row) -> str:
    """Return the test where a ghost falls on the very channel of its station, which is heard at full strength."""
    if row["dial_hz"] is None or not card.is_wanted(row["station_hz"], row["dial_hz"]):
        return ""
    softer = 10 * (row["level_law"] or 1) - 10
    return f"The station's own channel: a whistle on it, {softer} dB softer with a 10 dB pad."


def _ghost_rank(card: Card, row: Row) -> Rank:
    level = max(card.level(name, row["station_hz"]) for name in row["stations"])
    where = row["dial_hz"] or 0
    return (1, 0, row["order"], 0, -level, _distance(row), where)


def _distance(row: Row) -> Fraction:
    """Return how far the station lies from the dial setting: the front end weakens the farther one more."""
    return abs(Fraction(row["station_hz"] - (row["dial_hz"] or 0)))


def _ghost_why(card: Card, row: Row) -> str:
    text = f"{titled(card, row)}: {signal_sum(row, card.tuning(row['oscillator']), card.rounding)}"
    if row["dial_hz"] is None:
        return text if row["heard"] is None else f"{text}; {heard_words(row, card.rounding, am=card.is_am)}"
    spot = Fraction(_spot(card, row) or 0)
    if _off_scale(card, row):
        text += (
            f"; {card.rounding.fine(row['dial_hz'])} is off the scale, {card.rounding.dial(spot)} the nearest"
        )
    if row["heard"] is not None:
        return f"{text}; {heard_words(row, card.rounding, am=card.is_am)}"
    victims = tuple(name for name in card.listed_near(spot, spot) if name not in row["stations"])
    if victims:
        text += f"; falls on {', '.join(victims[:3])}"
    if row["reach"] == BURSTS_ONLY:
        text += f"; on channel {card.rounding.dial(row['channel_hz'])} only bursts of its modulation reach in"
    return text
