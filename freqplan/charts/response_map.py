"""The response map: at which signal each response stands over the dial, and where listed stations meet it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

import numpy as np

from freqplan.charts.chart import Chart
from freqplan.charts.drawing import label, look, svg
from freqplan.charts.map_lines import map_of
from freqplan.charts.map_parts import Crossing, Line, Map, Side
from freqplan.charts.map_picture import SIDES, Words, draw_map, mark_of
from freqplan.words import heard_words, span

if TYPE_CHECKING:
    from freqplan.surveys import Survey

NAME = "response-map"
MOST_HEARD, MOST_LEFT_OUT = 8, 6
"""Ghosts listed below the map, and responses named that are not drawn."""

LONGEST_NAME, LONGEST_LINE = 28, 138
MEANINGS = {
    "heard": "a station comes in and is heard",
    "unknown": "it comes in, how strong is not known",
    "silent": "it comes in too weak to be heard",
}


def response_map(survey: Survey) -> Chart:
    """Draw which signals land on the IF over the dial, and which listed stations do.

    Parameters
    ----------
    survey : Survey
        With a station list or without; with both oscillator sides the map has two panels.

    Raises
    ------
    MissingExtraError
        matplotlib is not installed.
    ModelRangeError
        As the table of ghosts does.
    SweepError
        The measured response of the front end cannot be read.
    """
    shown = map_of(survey)
    words = _words(survey, shown)
    caption, alt = label(" ".join(_caption(survey, shown))), label(" ".join(_alt(survey, shown)))
    with look():
        sheet = draw_map(shown, words, survey.rounding)
        picture = svg(sheet.figure, name=NAME, title=words.title, alt=alt)
    return Chart(NAME, label(words.title), caption, alt, (picture,))


def _words(survey: Survey, shown: Map) -> Words:
    marks = [mark_of(crossing) for side in shown.sides for crossing in side.crossings]
    heard = {row: number for number, row in enumerate(_heard_rows(shown)[:MOST_HEARD], 1)}
    return Words(
        title=f"{survey.title}: what is received where on the dial",
        subtitle=label("; ".join(survey.headlines[:2]), LONGEST_LINE),
        keys=tuple(
            tuple(_key(survey, side, place) for place in range(len(side.lines))) for side in shown.sides
        ),
        marks=tuple((kind, meaning) for kind, meaning in MEANINGS.items() if kind in marks),
        heard=heard,
        listed=tuple(_heard_in_words(survey, heard)),
    )


def _heard_rows(shown: Map) -> list[int]:
    """Return the rows of ghosts on the map that are heard, worst first."""
    return sorted(crossing.row for side in shown.sides for crossing in side.crossings if crossing.heard)


def _heard_in_words(survey: Survey, numbers: dict[int, int]) -> Iterator[str]:
    if survey.ghosts is None:
        return
    rounding, am = survey.rounding, survey.plan.band.modulation == "am"
    for ghost, number in zip(
        survey.ghosts.take(np.array(list(numbers), dtype=np.int64)).rows(), numbers.values(), strict=True
    ):
        side = "" if survey.one_side else f", {SIDES[ghost['oscillator']]}"
        who = f"{label(ghost['station'], LONGEST_NAME)} {rounding.fine(ghost['station_hz'])}"
        heard = heard_words(ghost, rounding, am=am)
        yield label(f"{number}: {who} by {ghost['mechanism']}{side}: {heard}", LONGEST_LINE)


def _key(survey: Survey, side: Side, place: int) -> str:
    """Return what is said of a line beside its sample."""
    line = side.lines[place]
    text = f"{_called(line, side.lines)} {span(*line.range_hz, survey.rounding)}"
    if survey.stations is None or not line.order:
        return text
    hits = _on(side, place)
    heard = sum(crossing.heard is True for crossing in hits)
    return f"{text}: {_stations(len(hits))}" + (f", {heard} heard" if heard else "")


def _called(line: Line, among: Sequence[Line] = ()) -> str:
    """Return the name of a line with its integers, and with that of a conversion or clock where others share them."""
    alike = [other for other in among if other.key[:5] == line.key[:5]]
    return " ".join(filter(None, (line.mechanism, "" if len(alike) == 1 else line.name, line.harmonics)))


def _range(survey: Survey, line: Line) -> str:
    return f"{span(*line.range_hz, survey.rounding)} {survey.rounding.unit}"


def _on(side: Side, place: int) -> list[Crossing]:
    return [crossing for crossing in side.crossings if crossing.line == place]


def _stations(count: int) -> str:
    return f"{count} station{'' if count == 1 else 's'}"


def _caption(survey: Survey, shown: Map) -> Iterator[str]:
    yield "The heavy line is the station on the dial setting; every other line is a signal that lands on the IF too."
    if shown.stations:
        yield "Go from a station across to a line, then down: there on the dial it comes in."
    if any(service.safety for service in shown.services):
        yield "Lives depend on the services hatched on the left."
    ghosts = survey.ghosts
    if ghosts is not None:
        unseen = sum(margin is not None and margin < 0 for margin in ghosts.values("margin_db"))
        unseen -= len(_heard_rows(shown))
        if unseen:
            yield f"Heard too, on lines not drawn: {unseen} (freqplan survey, table ghosts)."
    for side in shown.sides:
        named = [f"{_called(line)} {_range(survey, line)}" for line in side.left_out[:MOST_LEFT_OUT]]
        more = len(side.left_out) - len(named)
        on = "" if survey.one_side else f" ({SIDES[side.side]})"
        if named:
            yield f"Not drawn{on}: {'; '.join(named)}{f'; and {more} of higher order' if more else ''}."


def _alt(survey: Survey, shown: Map) -> Iterator[str]:
    total = 0 if survey.stations is None else len(survey.stations)
    for side in shown.sides:
        on = "" if survey.one_side else f" with the {SIDES[side.side]}"
        for place, line in enumerate(side.lines):
            if not line.order:
                continue
            text = f"{_called(line)}{on} {'runs from' if line.is_sloping else 'stays on'} "
            text += _range(survey, line).replace("-", " to ")
            hits = _on(side, place)
            if total:
                text += f"; {len(hits)} of {_stations(total)} come in by it"
                text += f", {sum(crossing.heard is True for crossing in hits)} heard by level"
            yield f"{text[0].upper()}{text[1:]}."
