"""From findings to the card a person takes to the bench: one line per cause, most worth checking first."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from freqplan.cardlines import EITHER, LEVELS, Card, Line
from freqplan.dial_lines import birdie_lines, ghost_lines
from freqplan.findings import Findings
from freqplan.mechanisms import Mechanism
from freqplan.neighbour_lines import neighbour_lines
from freqplan.outside_lines import range_lines
from freqplan.product_lines import product_lines

if TYPE_CHECKING:
    from freqplan.plan import Plan
    from freqplan.stations import StationList


COLUMNS = (
    "priority", "kind", "frequency_hz", "low_hz", "high_hz", "dial_hz", "mechanism", "oscillator", "stations", "why",
    "what_to_do", *LEVELS,
)  # fmt: skip


def check_list(
    plan: Plan,
    words: Mapping[str, Mechanism],
    *,
    responses: Findings,
    birdies: Findings,
    ghosts: Findings | None,
    stations: StationList | None,
    neighbours: Findings | None = None,
    products: Findings | None = None,
) -> Findings:
    """Return what is worth checking, one line per spot, fan or range, most worth it first.

    Harmonics of the IF on a listed station come first: every set makes them, whatever the levels.  What is
    heard by its level follows, by margin; then what has no level; last what stays below being heard.  What
    has no level goes by order of the product, behind the other harmonics of the IF; of equal orders, listed
    stations come before ranges and the stronger station before the weaker.  With a list, neighbours in the
    stereo decoder come late, and ranges in which no listed station was met come last, but for the image and
    the IF itself.

    Parameters
    ----------
    plan : Plan
        The receiver.
    words : mapping of str to Mechanism
        The catalogue, by id.
    responses, birdies : Findings
        Those of the survey.
    ghosts : Findings or None
        Those of the survey; None without stations.
    stations : StationList or None
        Levels at the aerial, where the list has them, decide between equal rows.
    neighbours : Findings, optional
        Those of the survey, on sets with a stereo decoder.
    products : Findings, optional
        Those of the survey, with stations.

    Returns
    -------
    Findings
        ``priority, kind, frequency_hz, low_hz, high_hz, dial_hz, mechanism, oscillator, stations, why,
        what_to_do``, and what is known of the levels.
    """
    card = Card(plan, words, stations)
    lines = [
        *birdie_lines(card, birdies),
        *ghost_lines(card, ghosts),
        *product_lines(card, products),
        *neighbour_lines(card, neighbours),
        *range_lines(card, responses),
    ]
    return _table(_one_a_spot(sorted(_joined(lines), key=lambda line: (*line.urgency, *line.rank))))


def _one_a_spot(lines: list[Line]) -> list[Line]:
    """Put single spots of the dial that coincide into the line of the one most worth checking; fans stay apart."""
    kept: list[Line] = []
    places: dict[tuple[object, ...], int] = {}
    for line in lines:
        single = line.kind == "dial" and line.dial_hz is not None and not line.is_fan
        spot = (line.oscillator, line.dial_hz)
        if single and spot in places:
            kept[places[spot]] = _with(kept[places[spot]], line)
            continue
        if single:
            places[spot] = len(kept)
        kept.append(line)
    return kept


def _with(line: Line, other: Line) -> Line:
    """Return `line` with the cause and the stations of another at the same spot."""
    why = f"{line.why}; also by {', '.join(other.stations) or other.mechanism}, {other.why}"
    if (other.levels.get("margin_db") or 0) < 0 and other.what_to_do not in line.what_to_do:
        line = replace(line, what_to_do=f"{line.what_to_do} {other.mechanism}: {other.what_to_do}")
    return replace(line, why=why, stations=tuple(dict.fromkeys((*line.stations, *other.stations))))


def _joined(lines: Iterable[Line]) -> Iterator[Line]:
    """Join lines that say the same for two oscillator sides."""
    kept: dict[tuple[object, ...], Line] = {}
    for line in lines:
        known = kept.setdefault(line.spot, line)
        if known.oscillator != line.oscillator:
            first = min(known, line, key=lambda one: (*one.urgency, *one.rank))
            kept[line.spot] = replace(first, oscillator=EITHER)
    return iter(kept.values())


def _table(lines: list[Line]) -> Findings:
    unknown = dict.fromkeys(LEVELS)
    rows = [
        {**vars(line), "priority": place, **unknown, **line.levels}
        for place, line in enumerate(lines, start=1)
    ]
    return Findings.of_rows("Frequencies to check", rows, COLUMNS)
