"""Lines of the card, and of what is heard, for sums of stations: one for each setting of the dial."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from fractions import Fraction
from itertools import groupby
from math import inf
from typing import TYPE_CHECKING, Any

from freqplan.cardlines import LEVELS, Card, Line, Row
from freqplan.findings import Findings
from freqplan.heard import COLUMNS, DETAILS
from freqplan.mechanisms.several_signals import DIAL, IF, IF_SPACED_PAIR, THIRD_ORDER_OUTSIDE
from freqplan.mixing import Tuning
from freqplan.station_sums import TIMES
from freqplan.words import heard_words, product_sum

if TYPE_CHECKING:
    from freqplan.plan import Plan

MOST_SPOTS = 12
"""Settings of the dial with sums of unknown level that get a line each; more are told in one line."""

BESIDE = 0.5
"""Rank of what lands on the image or another response: behind ghosts of that order, before ranges."""

MOST_NAMED = 3
"""Further sums, or stations, that a line names."""


def product_lines(card: Card, table: Findings | None) -> Iterator[Line]:
    """Write one line for each setting on which sums of stations are heard, and for those of unknown level.

    What is made outside the set has the same sums: the test in the line tells one from the other.
    """
    rows = (
        [] if table is None else [row for row in table.rows() if row["mechanism"] != THIRD_ORDER_OUTSIDE.id]
    )
    for same in _by_setting(row for row in rows if (row["margin_db"] or 0) < 0):
        yield _heard_line(card, same)
    unknown = [row for row in rows if row["margin_db"] is None]
    pairs = [row for row in unknown if row["mechanism"] == IF_SPACED_PAIR.id]
    yield from (_line(card, [row], None) for row in pairs)
    others = sorted((row for row in unknown if row["mechanism"] != IF_SPACED_PAIR.id), key=_family)
    for _, family in groupby(others, key=_family):
        spots = list(_by_spot(family))
        if len(spots) <= MOST_SPOTS:
            yield from (_line(card, same, same[0]["dial_hz"]) for same in spots)
        else:
            yield _many_line(card, spots)


def heard_products(plan: Plan, table: Findings) -> Findings:
    """Return the settings on which sums of stations are heard by their level, worst first, one row each.

    Parameters
    ----------
    plan : Plan
        The receiver.
    table : Findings
        The products of the survey.

    Returns
    -------
    Findings
        The columns of `heard.heard`; the row is that of the worst sum there.
    """
    found = []
    for same in _by_setting(row for row in table.rows() if (row["margin_db"] or 0) < 0):
        first = same[0]
        more = f"; also {len(same) - 1} more sums" if len(same) > 1 else ""
        ends = {
            "heard_low_hz": min(row["heard_low_hz"] for row in same),
            "heard_high_hz": max(row["heard_high_hz"] for row in same),
            "sum": product_sum(first, _tuning(plan, first), plan.rounding) + more,
        }
        found.append({**dict.fromkeys(COLUMNS), **first, **ends})
    return Findings.of_rows("Sums of stations heard, worst first", found, COLUMNS, details=DETAILS)


def _tuning(plan: Plan, row: Row) -> Tuning:
    return Tuning(row["oscillator"], plan.conversion[0].intermediate_hz)


def _by_setting(rows: Iterable[dict[str, Any]]) -> Iterator[list[dict[str, Any]]]:
    """Yield what is heard best on the same setting, worst first."""

    def place(row: Row) -> Any:
        return row["oscillator"], row["heard_on_hz"]

    for _, same in groupby(sorted(rows, key=place), key=place):
        yield sorted(same, key=lambda row: (row["margin_db"], row["order"]))


def _by_spot(rows: Iterable[dict[str, Any]]) -> Iterator[list[dict[str, Any]]]:
    """Yield what falls on the same spot of the dial, lowest order first."""

    def place(row: Row) -> Any:
        return row["oscillator"], -1 if row["dial_hz"] is None else row["dial_hz"]

    for _, same in groupby(sorted(rows, key=place), key=place):
        yield sorted(same, key=lambda row: row["order"])


def _family(row: Row) -> tuple[Any, ...]:
    return row["oscillator"], row["mechanism"], row["order"], row["lands_on"] != DIAL, row["kind"]


def _heard_line(card: Card, same: list[dict[str, Any]]) -> Line:
    first, *others = same
    text = f"{_why(card, first)}; {heard_words(first, card.rounding, am=card.is_am)}"
    named = [_short(card, row) for row in others[:MOST_NAMED]]
    more = f" and {len(others) - MOST_NAMED} more" if len(others) > MOST_NAMED else ""
    also = f"; there also {', '.join(named)}{more}" if named else ""
    return _made(card, first, first["heard_on_hz"], text + also)


def _line(card: Card, same: list[dict[str, Any]], spot: Fraction | None) -> Line:
    first, *others = same
    more = f"; and {len(others)} more sums there" if others else ""
    level = "" if card.plan.front_end is None else "; level unknown"
    return _made(card, first, spot, _why(card, first) + level + more)


def _many_line(card: Card, spots: list[list[dict[str, Any]]]) -> Line:
    """Write one line for more spots than anybody would try."""
    placed = [same[0] for same in spots if same[0]["dial_hz"] is not None]
    first = min(placed, key=lambda row: _rank(card, row))
    count, places = sum(map(len, spots)), [row["dial_hz"] for row in placed]
    text = (
        f"{card.words[first['mechanism']].title}: {count} sums without a level fall on {len(spots)} settings of the "
        f"dial, such as {_short(card, first)}; only the strongest stations matter"
    )
    line = _made(card, first, first["dial_hz"], text, stations=())
    return replace(line, frequency_hz=None, low_hz=min(places), high_hz=max(places), is_fan=True)


def _made(
    card: Card, row: Row, spot: Fraction | None, why: str, *, stations: tuple[str, ...] | None = None
) -> Line:
    band = card.plan.band
    return Line(
        kind="dial",
        mechanism=row["mechanism"],
        oscillator=row["oscillator"],
        frequency_hz=spot,
        low_hz=None if spot is not None else Fraction(band.low_hz),
        high_hz=None if spot is not None else Fraction(band.high_hz),
        dial_hz=spot,
        stations=tuple(dict.fromkeys(row["stations"])) if stations is None else stations,
        why=why,
        what_to_do=card.check(row),
        rank=_rank(card, row),
        levels={name: row.get(name) for name in LEVELS},
    )


def _rank(card: Card, row: Row) -> tuple[Any, ...]:
    """Rank by order, what lands on the dial first; then by the levels of the stations, as often as they are taken."""
    levels = [
        abs(count) * card.level(name, hertz)
        for count, name, hertz in zip(TIMES[row["kind"]], row["stations"], row["stations_hz"], strict=True)
    ]
    total = sum(levels)
    beside = 0 if row["lands_on"] in (DIAL, IF) else BESIDE
    return (1, 0, row["order"], beside, inf if total == -inf else -total, inf, row["dial_hz"] or 0)


def _why(card: Card, row: Row) -> str:
    return f"{card.words[row['mechanism']].title}: {_short(card, row)}"


def _short(card: Card, row: Row) -> str:
    return product_sum(row, card.tuning(row["oscillator"]), card.rounding)
