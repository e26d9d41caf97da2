"""Lines of the card for what the set makes in many places or everywhere: combs of a clock, what falls on an IF."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import groupby
from math import inf
from typing import Any, TypeAlias

from freqplan.cardlines import LEVELS, Card, Line, Row, urgency
from freqplan.mechanisms.clocks import DIAL, IMAGE, OTHER
from freqplan.own_words import shift_sum
from freqplan.words import birdie_sum, heard_words

MOST_SPOTS = 24
"""Of one clock on the dial settings, or on the images, that get a line each; more of them share one."""

SINGLE_ORDER = 4
"""Products of two oscillators up to this order get a line each; the others share one."""

MOST_NAMED = 6
"""Spots or sums that a line names."""

LATE = 2
"""Tier of the card behind all else that has no level."""

Key: TypeAlias = tuple[Any, ...]


def apart(rows: Iterable[Row]) -> tuple[list[Row], list[list[Row]]]:
    """Return the birdies that get a line each, and groups of those that share one.

    Everything of one cause that is everywhere is a group, and so are the spots at which a harmonic of the first
    oscillator takes a clock's harmonics in; only a few are ever heard, the lowest ones.
    """
    rows = list(rows)
    count: dict[Key, int] = {}
    for row in rows:
        count[_comb(row)] = count.get(_comb(row), 0) + 1
    single = [row for row in rows if not _shares(row, count[_comb(row)])]
    sharing = sorted((row for row in rows if _shares(row, count[_comb(row)])), key=_sortable)
    groups = [list(same) for _, same in groupby(sharing, key=_comb)]
    return single, groups


def _comb(row: Row) -> Key:
    """Return what rows of one group have in common."""
    pattern = (row["n"], row["e"]) if row["lands_on"] in (DIAL, IMAGE, OTHER) and row["q"] is None else ()
    everywhere = row["dial_hz"] is None
    place = row["lands_on"] if everywhere or row["q"] is None else None
    return (row["oscillator"], row["mechanism"], row["name"], row["sources_hz"], everywhere, place, pattern)


def _sortable(row: Row) -> tuple[str, Any, Any]:
    return repr(_comb(row)), row["dial_hz"] or 0, row["order"]


def _shares(row: Row, count: int) -> bool:
    if row["dial_hz"] is None:
        return True
    if row["name"] is None:
        return False
    if row["q"] is not None:
        return bool(row["order"] > SINGLE_ORDER)
    return row["lands_on"] == OTHER or count > MOST_SPOTS


def shared_lines(card: Card, groups: Iterable[list[Row]]) -> Iterator[Line]:
    """Write one line for each group."""
    for group in groups:
        yield (_everywhere_line if group[0]["dial_hz"] is None else _comb_line)(card, group)


def _everywhere_line(card: Card, group: list[Row]) -> Line:
    first, *others = sorted(group, key=lambda row: (*urgency(row), row["order"], row["m"] or 0))
    sums = [
        birdie_sum(row, card.tuning(row["oscillator"]), card.rounding)
        for row in (first, *others[:MOST_NAMED])
    ]
    more = f" and {len(others) - MOST_NAMED} more" if len(others) > MOST_NAMED else ""
    return Line(
        kind="dial",
        mechanism=first["mechanism"],
        oscillator=first["oscillator"],
        low_hz=first["dial_low_hz"],
        high_hz=first["dial_high_hz"],
        why=f"{titled(card, first)}: {'; '.join(sums)}{more}",
        what_to_do=card.check(first),
        rank=(1, 0, first["order"], 0, -inf, 0, 0),
        cause=repr(_comb(first)[2:]),
        levels={name: first[name] for name in LEVELS if name in first},
    )


def _comb_line(card: Card, group: list[Row]) -> Line:
    """Write the line of a comb: on a listed station if it meets one, else at its lowest order."""
    listed = [(row, card.listed_near(row["dial_low_hz"], row["dial_high_hz"])) for row in group]
    on_stations = [(row, names) for row, names in listed if names]
    first, names = min(on_stations or listed, key=lambda pair: (pair[0]["order"], pair[0]["dial_hz"]))
    tuning, rounding = card.tuning(first["oscillator"]), card.rounding
    text = f"{titled(card, first)}: {birdie_sum(first, tuning, rounding)}"
    others = [pair for pair in on_stations or listed if pair[0] is not first]
    places = [
        f"{rounding.fine(row['dial_hz'])}" + (f" ({', '.join(who[:2])})" if who else "")
        for row, who in sorted(others, key=lambda pair: (pair[0]["order"], pair[0]["dial_hz"]))[:MOST_NAMED]
    ]
    if len(group) > 1:
        where = "on listed stations also " if on_stations and places else "also " if places else ""
        text += f"; {len(group)} spots{', ' + where if places else ''}{', '.join(places)}"
    return Line(
        kind="dial",
        mechanism=first["mechanism"],
        oscillator=first["oscillator"],
        low_hz=group[0]["dial_hz"],
        high_hz=group[-1]["dial_hz"],
        dial_hz=first["dial_hz"],
        stations=names,
        why=text,
        what_to_do=card.check(first),
        rank=(LATE, 0, first["order"], int(not names), -inf, 0, first["dial_hz"]),
        is_fan=True,
        cause=repr(_comb(first)[2:]),
    )


def sideband_lines(card: Card, ghosts: list[Row]) -> Iterator[Line]:
    """Write one line for each station whose sidebands are heard by their level, and one for all the others.

    The others stand beside every strong station alike, so the strongest one speaks for them.
    """

    def loudest(row: Row) -> Key:
        level = card.level(row["station"], row["station_hz"])
        return (*urgency(row), row["order"], -level, abs(row["dial_hz"] - row["station_hz"]), row["dial_hz"])

    def is_heard(row: Row) -> bool:
        return bool(row["margin_db"] is not None and row["margin_db"] < 0)

    def cause(row: Row) -> Key:
        return (row["oscillator"], row["station_hz"] if is_heard(row) else None)

    ordered = sorted(ghosts, key=lambda row: (repr(cause(row)), loudest(row)))
    for _, same in groupby(ordered, key=cause):
        yield _sideband_line(card, list(same))


def _sideband_line(card: Card, rows: list[Row]) -> Line:
    first, *others = rows
    rounding, own = card.rounding, first["station_hz"]
    text = f"{card.words[first['mechanism']].title}: {shift_sum(first, first['dial_hz'], rounding)}"
    if first["heard"] is not None:
        text += f"; {heard_words(first, rounding, am=card.is_am)}"
    spots = dict.fromkeys(row["dial_hz"] for row in others if row["station_hz"] == own)
    also = [rounding.fine(spot) for spot in spots if spot != first["dial_hz"]]
    if also:
        more = f" and {len(also) - MOST_NAMED} more" if len(also) > MOST_NAMED else ""
        text += f"; also on {', '.join(also[:MOST_NAMED])}{more}"
    stations = len({row["station_hz"] for row in rows})
    if stations > 1:
        text += f"; likewise beside {stations - 1} other listed station{'s' if stations > 2 else ''}, if strong enough"
    inside = [row["dial_hz"] for row in rows if row["station_hz"] == own]
    return Line(
        kind="dial",
        mechanism=first["mechanism"],
        oscillator=first["oscillator"],
        low_hz=min(inside),
        high_hz=max(inside),
        dial_hz=first["dial_hz"],
        stations=tuple(dict.fromkeys(row["station"] for row in rows if row["station_hz"] == own)),
        why=text,
        what_to_do=card.check(first),
        rank=(1, 0, first["order"], 0, -card.level(first["station"], own), 0, first["dial_hz"]),
        is_fan=True,
        levels={name: first[name] for name in LEVELS},
    )


def titled(card: Card, row: Row) -> str:
    """Return the title of a row's mechanism, with the name of the clock or oscillators that take part."""
    title = card.words[row["mechanism"]].title
    return f"{title} ({row['name']})" if row.get("name") else title
