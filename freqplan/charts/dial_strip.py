"""The dial strip: the scale at its true length, to be printed and laid beside the dial, with all that stands on it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from freqplan.charts.chart import Chart
from freqplan.charts.drawing import label, look, svg
from freqplan.charts.strip_figures import marking, pieces
from freqplan.charts.strip_picture import CONTROL_MM, Heights, Layout, draw_piece
from freqplan.charts.strip_rows import Strip, strip_of
from freqplan.lengths import millimetre_text
from freqplan.words import setting, span

if TYPE_CHECKING:
    from freqplan.surveys import Survey

NAME = "dial-strip"
MOST_TOLD = 5
"""Spots of a row, and stations, that the words in place of the picture name."""


def dial_strip(survey: Survey) -> Chart:
    """Draw a strip to lay beside the dial: stations above the scale; birdies, ghosts and other spots below.

    Parameters
    ----------
    survey : Survey
        What is to be heard where; its plan says how long the scale is and where its figures stand.

    Returns
    -------
    Chart
        One picture, or several that are to be cut and joined where the scale is longer than a sheet holds.

    Raises
    ------
    MissingExtraError
        matplotlib is not installed.
    """
    strip = strip_of(survey)
    layouts = [Layout(strip, piece) for piece in pieces(strip)]
    heights, printed = Heights.of(layouts), marking(strip, survey.rounding.unit)
    title, alt = f"{survey.title}: strip for the dial", label(" ".join(_alt(survey, strip, len(layouts))))
    found = []
    with look():
        for number, layout in enumerate(layouts, 1):
            several = len(layouts) > 1
            called = f"{title}, piece {number} of {len(layouts)}" if several else title
            sheet = draw_piece(layout, heights, printed, title=called, subtitle=_subtitle(survey, strip))
            name = f"{NAME}-{number}" if several else NAME
            found.append(svg(sheet.figure, name=name, title=called, alt=alt))
    return Chart(NAME, label(title), " ".join(_caption(survey, strip, len(layouts))), alt, tuple(found))


def _subtitle(survey: Survey, strip: Strip) -> str:
    rounding = survey.rounding
    stations = "" if survey.stations is None else ", stations above it"
    return (
        f"{span(strip.low_hz, strip.high_hz, rounding)} {rounding.unit}, scale "
        f"{millimetre_text(strip.scale.length_um)} long{stations}; below it what the set adds"
    )


def _caption(survey: Survey, strip: Strip, count: int) -> Iterator[str]:
    yield f"Print at 100 %: the line at the foot must be {CONTROL_MM} mm long. Lay the scale along that of the set."
    length = millimetre_text(strip.scale.length_um)
    if survey.plan.scale is None:
        yield (
            f"The plan has no [scale]: drawn straight from end to end, {length} long. Measure the real one and write "
            "its length and where its figures stand."
        )
    elif not survey.plan.scale.marks:
        yield f"The scale of {length} is drawn straight from end to end, for the plan gives no marks."
    else:
        yield f"The scale of {length} goes by {len(strip.scale.marks)} marks, straight between them."
    if count > 1:
        yield f"It comes in {count} pieces: cut along the broken line and glue each over the edge of the next."
    if survey.stations is not None:
        yield "Stations above the scale: the strongest have a name, the others a stroke."
    yield "A bar through a mark shows from where to where it may stand or reach."
    if strip.higher:
        yield f"Of what the set makes itself {strip.higher} further spots, of higher order, are left out."
    if strip.everywhere:
        yield "What is all over the dial has no place on it."


def _alt(survey: Survey, strip: Strip, count: int) -> Iterator[str]:
    yield f"{_subtitle(survey, strip)}, in {count} piece{'s' if count > 1 else ''}."
    rounding = survey.rounding
    if strip.stations:
        named = ", ".join(f"{name} {setting(hertz, rounding)}" for hertz, name in strip.stations[:MOST_TOLD])
        yield f"{len(strip.stations)} stations, strongest first: {named}."
    for row in strip.rows:
        told = ", ".join(f"{setting(spot.dial_hz, rounding)} {spot.words}" for spot in row.spots[:MOST_TOLD])
        all_of_them = len(row.spots) + row.left_out
        more = f" and {all_of_them - MOST_TOLD} more" if all_of_them > MOST_TOLD else ""
        yield f"{row.title[0].upper()}{row.title[1:]}: {told}{more}."
