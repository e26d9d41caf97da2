"""The spectrum chart drawn: one axis below the other, strokes with their signs and numbers, arrows between them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from freqplan.charts.drawing import COLOURS, DASHES, FAINT, INK, MARKERS, PAPER, WIDTH_MM
from freqplan.charts.labels import spread
from freqplan.charts.sheets import SMALL_PT, TEXT_PT, TITLE_PT, Box, Sheet, width_mm
from freqplan.charts.spectrum_parts import IF, OTHER, OWN, REACH, STEP, TIMES, WANTED, Axis, Stroke
from freqplan.charts.spectrum_pieces import Piece, Ruler, ruler

if TYPE_CHECKING:
    from freqplan.charts.spectrum_parts import Arrow

LEFT_MM, RIGHT_MM = 4.0, WIDTH_MM - 4.0
HEAD_MM, AXIS_TITLE_MM, LINE_MM, LEAD_MM, STEP_MM, FOOT_MM, SCALE_MM = 17.0, 5.0, 3.2, 6.0, 7.0, 5.0, 9.0
LABEL_GAP_MM = 2.0
SHADE, SHADE_INK = "#e9e9e9", "#4d4d4d"
LOOKS: dict[str, tuple[str, str, tuple[float, ...], float]] = {
    WANTED: (INK, MARKERS[0], DASHES[0], 1.6),
    OWN: (COLOURS[0], MARKERS[1], DASHES[0], 1.6),
    OTHER: (COLOURS[1], MARKERS[2], DASHES[1], 1.6),
    IF: (COLOURS[2], MARKERS[3], DASHES[3], 1.6),
}
"""Colour, marker, dash and width of a stroke; what is made of others has a hollow marker."""

ARROW_WIDTHS = {REACH: 1.8, STEP: 1.0, TIMES: 0.6}


class Sign(NamedTuple):
    """What stands above a place on an axis: its strokes, and the lines of the label."""

    strokes: tuple[Stroke, ...]
    lines: tuple[str, ...]


def draw_spectrum(axes: Sequence[Axis], *, title: str, subtitles: Sequence[str]) -> Sheet:
    """Draw the axes of one sum; to be called inside `drawing.look`.

    Parameters
    ----------
    axes : sequence of Axis
        From the aerial on.
    title : str
        Above them.
    subtitles : sequence of str
        Below the title: setting, equation and its numbers.
    """
    heights = [_height_mm(axis) for axis in axes]
    sheet = Sheet(HEAD_MM + sum(heights))
    top = sheet.height_mm
    sheet.text(1, top - 3, title, size=TITLE_PT, fontweight="bold")
    for place, line in enumerate(subtitles):
        sheet.text(1, top - 7.8 - 4.2 * place, line, size=TEXT_PT if place == 0 else TEXT_PT + 1)
    top -= HEAD_MM
    for axis, height in zip(axes, heights, strict=True):
        _draw(sheet, axis, top, top - height)
        top -= height
    return sheet


def signs_of(axis: Axis) -> list[Sign]:
    """Return the labels of an axis, rising; strokes on one place share one unless the axis keeps them apart."""
    if axis.is_apart:
        groups = [[stroke] for stroke in axis.strokes]
    else:
        at = sorted({stroke.hertz for stroke in axis.strokes})
        groups = [[stroke for stroke in axis.strokes if stroke.hertz == hertz] for hertz in at]
    signs = []
    for group in groups:
        names = tuple(dict.fromkeys(stroke.sign for stroke in group))
        words = tuple(dict.fromkeys(stroke.words for stroke in group if stroke.words))
        number = f"{axis.rounding.fine(group[0].hertz)} {axis.rounding.unit}"
        signs.append(Sign(tuple(group), (*words, " = ".join(names), number)))
    return signs


def _levels(axis: Axis) -> list[Arrow]:
    """Return the arrows from the lowest upwards: the IF nearest to the axis, the ways to harmonics on top."""
    return sorted(axis.arrows, key=lambda arrow: (REACH, STEP, TIMES).index(arrow.kind))


def _height_mm(axis: Axis) -> float:
    lines = max(len(sign.lines) for sign in signs_of(axis))
    return AXIS_TITLE_MM + LINE_MM * lines + LEAD_MM + _strokes_mm(axis) + SCALE_MM + FOOT_MM


def _strokes_mm(axis: Axis) -> float:
    return STEP_MM * len(axis.arrows) + 7.0


def _draw(sheet: Sheet, axis: Axis, top: float, bottom: float) -> None:
    base = bottom + FOOT_MM + SCALE_MM
    peak = base + _strokes_mm(axis)
    places = ruler(axis, LEFT_MM, RIGHT_MM)
    sheet.text(1, top - 2.5, axis.title, size=TEXT_PT, fontweight="bold")
    for piece in places.pieces:
        _scale(sheet, axis, piece, base)
        _shades(sheet, axis, piece, base, peak)
    for before, after in zip(places.pieces, places.pieces[1:], strict=False):
        _break(sheet, (before.left_mm + before.width_mm + after.left_mm) / 2, base)
    for hertz in axis.comb_hz:
        x = places.across(hertz)
        sheet.line([x, x], [base, base + 2.5], color=COLOURS[2], linewidth=1.0)
    for level, arrow in enumerate(_levels(axis)):
        _arrow(sheet, places, arrow, base + 3.0 + STEP_MM * level)
    _signs(sheet, axis, places, base, peak)


def _scale(sheet: Sheet, axis: Axis, piece: Piece, base: float) -> None:
    """Draw the scale of one piece, with few enough figures for its width."""
    axes = sheet.axes(Box(piece.left_mm, base, piece.width_mm, 1))
    axes.set_xlim(*axis.rounding.drawn([float(piece.low_hz), float(piece.high_hz)]).tolist())
    axes.set_yticks([])
    for side in ("left", "right", "top"):
        axes.spines[side].set_visible(False)
    axes.patch.set_visible(False)
    axes.locator_params(axis="x", nbins=max(1, int(piece.width_mm / 16)))
    axes.ticklabel_format(axis="x", style="plain", useOffset=False)
    axes.tick_params(labelsize=SMALL_PT, width=0.5, length=2.0, pad=1.5)
    if piece.left_mm + piece.width_mm > RIGHT_MM - 1:
        sheet.text(RIGHT_MM, base - SCALE_MM + 0.5, axis.rounding.unit, ha="right")


def _shades(sheet: Sheet, axis: Axis, piece: Piece, base: float, peak: float) -> None:
    for shade in axis.shades:
        low, high = max(shade.low_hz, piece.low_hz), min(shade.high_hz, piece.high_hz)
        if low < high:
            left, right = piece.across(low), piece.across(high)
            sheet.block(Box(left, base, right - left, peak - base), color=SHADE, linewidth=0, zorder=0)
            if right - left > width_mm(shade.words) + 2:
                sheet.text(left + 1, peak - 1.8, shade.words, color=SHADE_INK)


def _break(sheet: Sheet, x: float, base: float) -> None:
    for beside in (-0.8, 0.8):
        sheet.line([x + beside - 0.7, x + beside + 0.7], [base - 1.4, base + 1.4], color=INK, linewidth=0.8)


def _arrow(sheet: Sheet, places: Ruler, arrow: Arrow, y: float) -> None:
    """Draw an arrow with its words in the middle of what is seen of it."""
    start, end = places.across(arrow.start_hz), places.across(arrow.end_hz)
    colour, _, dashes, _ = LOOKS[arrow.of]
    style = (0, (1, 1.5)) if arrow.kind == TIMES else (0, dashes) if dashes and arrow.kind == STEP else "solid"
    sheet.arrow(
        (start, y), (end, y), color=colour, linewidth=ARROW_WIDTHS[arrow.kind], linestyle=style, zorder=3,
        mutation_scale=9 if arrow.kind == REACH else 6,
    )  # fmt: skip
    wide = width_mm(arrow.words, TEXT_PT)
    middle = min(max((start + end) / 2, LEFT_MM + wide / 2), RIGHT_MM - wide / 2)
    bold = "bold" if arrow.kind == REACH else "normal"
    back = {"facecolor": PAPER, "edgecolor": "none", "pad": 0.6}
    sheet.text(
        middle, y + 2.2, arrow.words, size=TEXT_PT, ha="center", color=colour, fontweight=bold, bbox=back, zorder=6
    )
    low, high = sorted((arrow.start_hz, arrow.end_hz))
    if arrow.kind != TIMES and places.is_broken(low, high):
        for before, after in zip(places.pieces, places.pieces[1:], strict=False):
            if low <= before.high_hz and after.low_hz <= high:
                _break(sheet, (before.left_mm + before.width_mm + after.left_mm) / 2, y)


def _signs(sheet: Sheet, axis: Axis, places: Ruler, base: float, peak: float) -> None:
    """Draw the strokes, and above them their labels, led to where there is room."""
    signs = signs_of(axis)
    where = [places.across(sign.strokes[0].hertz) for sign in signs]
    widths = [max(width_mm(line) for line in sign.lines) for sign in signs]
    gap, half = max(widths) + LABEL_GAP_MM, max(widths) / 2
    stand = spread(where, gap=gap, low=LEFT_MM + half, high=RIGHT_MM - half)
    for sign, x, place in zip(signs, where, stand, strict=True):
        for stroke in sign.strokes:
            _stroke(sheet, stroke, x, base, peak)
        sheet.line([x, place], [peak + 1.2, peak + LEAD_MM - 1.0], color=FAINT, linewidth=0.5)
        for number, line in enumerate(reversed(sign.lines)):
            weight = "bold" if number == 1 else "normal"
            sheet.text(place, peak + LEAD_MM + 0.6 + LINE_MM * number, line, ha="center", fontweight=weight)


def _stroke(sheet: Sheet, stroke: Stroke, x: float, base: float, peak: float) -> None:
    colour, marker, dashes, width = LOOKS[stroke.kind]
    sheet.line([x, x], [base, peak], color=colour, linewidth=width, linestyle=(0, dashes) if dashes else "solid", zorder=2)
    sheet.line(
        [x], [peak], color=colour, marker=marker, markersize=5, markeredgecolor=colour,
        markerfacecolor=PAPER if stroke.is_made else colour, linestyle="none", zorder=4,
    )  # fmt: skip
