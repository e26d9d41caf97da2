"""The spectrum chart drawn: one axis below the other, strokes with their signs and numbers, arrows between them."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, floor, log10
from typing import TYPE_CHECKING, NamedTuple

from freqplan.charts.drawing import COLOURS, DASHES, FAINT, INK, MARKERS, PAPER, WIDTH_MM
from freqplan.charts.labels import spread
from freqplan.charts.sheets import SMALL_PT, TEXT_PT, TITLE_PT, Box, Sheet, width_mm
from freqplan.charts.spectrum_parts import IF, OTHER, OWN, REACH, STEP, TIMES, WANTED, Axis, Stroke
from freqplan.charts.spectrum_pieces import Piece, Ruler, ruler

if TYPE_CHECKING:
    from freqplan.charts.spectrum_parts import Arrow
    from freqplan.charts.spectrum_row import Hertz
    from freqplan.hertz import Rounding

LEFT_MM, RIGHT_MM = 4.0, WIDTH_MM - 4.0
TITLE_MM, SUBTITLE_MM, AXIS_TITLE_MM, LINE_MM, LEAD_MM, STEP_MM, FOOT_MM, SCALE_MM = (
    8.5,
    4.4,
    5.0,
    3.2,
    6.0,
    7.0,
    3.5,
    5.5,
)
LABEL_GAP_MM, FIGURE_MM, EDGE_MM, TOOTH_MM, TEETH_MM = 3.5, 15.0, 4.5, 4.0, 4.5
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
    head = TITLE_MM + SUBTITLE_MM * len(subtitles)
    sheet = Sheet(head + sum(heights))
    top = sheet.height_mm
    sheet.text(1, top - 3, title, size=TITLE_PT, fontweight="bold")
    for place, line in enumerate(subtitles):
        sheet.text(1, top - 7.8 - SUBTITLE_MM * place, line, size=TEXT_PT + (place == 1))
    top -= head
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
        signs.append(Sign(tuple(group), (*words, " = ".join(names), _number(group[0].hertz, axis.rounding))))
    return signs


def _number(hertz: Hertz, rounding: Rounding) -> str:
    """Write a frequency with its unit, and that it is rounded where it is."""
    return f"{'' if rounding.is_exact(hertz) else '≈ '}{rounding.fine(hertz)} {rounding.unit}"


def _levels(axis: Axis) -> list[Arrow]:
    """Return the arrows from the lowest upwards: the IF nearest to the axis, the ways to harmonics on top."""
    return sorted(axis.arrows, key=lambda arrow: (REACH, STEP, TIMES).index(arrow.kind))


def _height_mm(axis: Axis) -> float:
    lines = max(len(sign.lines) for sign in signs_of(axis))
    return AXIS_TITLE_MM + LINE_MM * lines + LEAD_MM + _strokes_mm(axis) + SCALE_MM + FOOT_MM


def _strokes_mm(axis: Axis) -> float:
    return STEP_MM * len(axis.arrows) + 7.0 + (TEETH_MM if axis.comb_hz else 0)


def _draw(sheet: Sheet, axis: Axis, top: float, bottom: float) -> None:
    base = bottom + FOOT_MM + SCALE_MM
    peak = base + _strokes_mm(axis)
    places = ruler(axis, LEFT_MM, RIGHT_MM)
    sheet.text(1, top - 2.5, f"{axis.title}, {axis.rounding.unit}", size=TEXT_PT, fontweight="bold")
    last = len(places.pieces) - 1
    for place, piece in enumerate(places.pieces):
        _scale(sheet, axis, piece, base, (place > 0, place < last))
        _shades(sheet, axis, piece, base, peak)
    _shade_words(sheet, axis, places, peak)
    for before, after in zip(places.pieces, places.pieces[1:], strict=False):
        _break(sheet, (before.left_mm + before.width_mm + after.left_mm) / 2, base)
    _teeth(sheet, axis, places, base)
    for level, arrow in enumerate(_levels(axis)):
        _arrow(sheet, places, arrow, base + (TEETH_MM if axis.comb_hz else 0) + 3.0 + STEP_MM * level)
    _signs(sheet, axis, places, base, peak)


def _scale(sheet: Sheet, axis: Axis, piece: Piece, base: float, ends: tuple[bool, bool]) -> None:
    """Draw the scale of one piece; `ends` says which of its ends are breaks."""
    axes = sheet.axes(Box(piece.left_mm, base, piece.width_mm, 1))
    axes.set_xlim(*axis.rounding.drawn([float(piece.low_hz), float(piece.high_hz)]).tolist())
    axes.set_yticks([])
    for side in ("left", "right", "top"):
        axes.spines[side].set_visible(False)
    axes.patch.set_visible(False)
    figures = _figures(piece, axis.rounding, ends)
    axes.set_xticks([value for value, _ in figures], [text for _, text in figures])
    axes.tick_params(labelsize=SMALL_PT, width=0.5, length=2.0, pad=1.5)


def _figures(piece: Piece, rounding: Rounding, ends: tuple[bool, bool]) -> list[tuple[float, str]]:
    """Return the round values at which a piece has figures, and the figures; none stands close to a break."""
    low, high = rounding.drawn([float(piece.low_hz), float(piece.high_hz)]).tolist()
    per_mm = (high - low) / piece.width_mm
    rough = FIGURE_MM * per_mm
    power = 10.0 ** floor(log10(rough))
    step = next(times * power for times in (1, 2, 5, 10) if times * power >= rough)
    first, last = (low + EDGE_MM * per_mm * ends[0]), (high - EDGE_MM * per_mm * ends[1])
    decimals = max(0, -floor(log10(step)))
    numbers = range(ceil(first / step), floor(last / step) + 1)
    return [(number * step, f"{number * step:.{decimals}f}") for number in numbers]


def _teeth(sheet: Sheet, axis: Axis, places: Ruler, base: float) -> None:
    """Mark all multiples of one frequency, with their numbers where there is room."""
    where = [places.across(hertz) for hertz in axis.comb_hz]
    for number, x in enumerate(where, 1):
        sheet.line([x, x], [base, base + 2.0], color=COLOURS[2], linewidth=1.0)
        if where[1] - where[0] > TOOTH_MM and 1 < number < len(where):
            sheet.text(x, base + 3.6, str(number), ha="center", color=COLOURS[2])


def _shades(sheet: Sheet, axis: Axis, piece: Piece, base: float, peak: float) -> None:
    for shade in axis.shades:
        low, high = max(shade.low_hz, piece.low_hz), min(shade.high_hz, piece.high_hz)
        if low < high:
            left, right = piece.across(low), piece.across(high)
            sheet.block(Box(left, base, right - left, peak - base), color=SHADE, linewidth=0, zorder=0)


def _shade_words(sheet: Sheet, axis: Axis, places: Ruler, peak: float) -> None:
    """Write what is shaded, at the end of it where no stroke stands; nowhere if there is none."""
    strokes = [places.across(stroke.hertz) for stroke in axis.strokes]
    for shade in axis.shades:
        wide = width_mm(shade.words) + 2
        for piece in places.pieces:
            low, high = max(shade.low_hz, piece.low_hz), min(shade.high_hz, piece.high_hz)
            ends = (piece.across(low), piece.across(high)) if low < high else (0.0, 0.0)
            free = [
                start
                for start in (ends[0], ends[1] - wide)
                if ends[1] - ends[0] > wide and not any(start - 1 < x < start + wide + 1 for x in strokes)
            ]
            if free:
                sheet.text(free[0] + 1, peak - 1.8, shade.words, color=SHADE_INK)
                break


def _break(sheet: Sheet, x: float, base: float) -> None:
    for beside in (-0.8, 0.8):
        sheet.line([x + beside - 0.7, x + beside + 0.7], [base - 1.4, base + 1.4], color=INK, linewidth=0.8)


def _arrow(sheet: Sheet, places: Ruler, arrow: Arrow, y: float) -> None:
    """Draw an arrow with its words in the middle of what is seen of it."""
    start, end = places.across(arrow.start_hz), places.across(arrow.end_hz)
    colour, _, dashes, _ = LOOKS[arrow.of]
    style = (
        (0, (1, 1.5)) if arrow.kind == TIMES else (0, dashes) if dashes and arrow.kind == STEP else "solid"
    )
    sheet.arrow(
        (start, y), (end, y), color=colour, linewidth=ARROW_WIDTHS[arrow.kind], linestyle=style, zorder=3,
        mutation_scale=9 if arrow.kind == REACH else 6,
    )  # fmt: skip
    wide = width_mm(arrow.words, TEXT_PT)
    middle = min(max((start + end) / 2, LEFT_MM + wide / 2), RIGHT_MM - wide / 2)
    bold = "bold" if arrow.kind == REACH else "normal"
    back = {"facecolor": PAPER, "edgecolor": "none", "pad": 0.6}
    sheet.text(
        middle,
        y + 2.2,
        arrow.words,
        size=TEXT_PT,
        ha="center",
        color=colour,
        fontweight=bold,
        bbox=back,
        zorder=6,
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
    sheet.line(
        [x, x],
        [base, peak],
        color=colour,
        linewidth=width,
        linestyle=(0, dashes) if dashes else "solid",
        zorder=2,
    )
    sheet.line(
        [x], [peak], color=colour, marker=marker, markersize=5, markeredgecolor=colour,
        markerfacecolor=PAPER if stroke.is_made else colour, linestyle="none", zorder=4,
    )  # fmt: skip
