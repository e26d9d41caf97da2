"""The chart of IFs drawn: IF across in equal ratios, a row a mechanism, what is clear on top."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import log
from typing import TYPE_CHECKING, Any

from freqplan.charts.drawing import COLOURS, FAINT, INK, PAPER, WIDTH_MM, label
from freqplan.charts.labels import fits
from freqplan.charts.sheets import TEXT_PT, TITLE_PT, Box, Sheet, letters, width_mm
from freqplan.hertz import HZ_IN, Rounding, decimal_text
from freqplan.spans import Span, merged

if TYPE_CHECKING:
    from freqplan.charts.if_bars import Bar, BarRow, ClearRow, IfBars, SideBars

TITLES_MM, RIGHT_MM = 47.0, 4.0
"""Room left of the bars for the titles of the rows, and right of them."""

LANE_MM, BETWEEN_MM, HEAD_MM, ABOVE_MM, BELOW_MM = 4.6, 1.6, 7.0, 17.0, 13.0
MOST_LANES = 4
"""So many bars of a row stand above each other; of more only what they cover together is drawn, and their ends."""

SIDES = {
    "high": "oscillator above the dial setting",
    "low": "oscillator below the dial setting",
    "sum": "oscillator and signal add up to the IF",
}
LOOKS: dict[str, tuple[str, str]] = {
    "image": (COLOURS[1], "////"),
    "half-if": (COLOURS[0], "\\\\\\\\"),
    "if-harmonic": (COLOURS[3], "xxxx"),
    "fractional-if": (COLOURS[5], "||||"),
}
OTHER_LOOK = (FAINT, "----")
CLEAR_COLOUR, LIGHT, NOT_POSSIBLE = COLOURS[2], "#e8e8e8", "#d8d8d8"
FIGURES = (1, 2, 5, 3, 1.5, 7, 4, 2.5, 6, 8, 9, 1.2)
"""Figures along the axis, the most wanted first."""


@dataclass(frozen=True)
class Across:
    """The axis: equal ratios of the IF are equal lengths."""

    low_hz: int
    high_hz: int

    def mm(self, hertz: Fraction | int | float) -> float:
        """Return where an IF [Hz] stands on the sheet [mm]."""
        share = log(float(hertz) / self.low_hz) / log(self.high_hz / self.low_hz)
        return TITLES_MM + (WIDTH_MM - RIGHT_MM - TITLES_MM) * share

    @property
    def unit(self) -> str:
        """Return the unit of its figures."""
        return "MHz" if self.low_hz >= HZ_IN["MHz"] else "kHz"

    @property
    def rounding(self) -> Rounding:
        """Return how IFs are written."""
        return Rounding(unit=self.unit, dial_decimals=2, fine_decimals=2 if self.unit == "MHz" else 0)


def lanes(bars: Sequence[Bar]) -> list[list[Bar]]:
    """Return bars in lanes in which none overlaps another, the first ones in the first lanes."""
    found: list[list[Bar]] = []
    for bar in bars:
        free = (
            lane
            for lane in found
            if all(bar.low_hz > one.high_hz or bar.high_hz < one.low_hz for one in lane)
        )
        lane = next(free, None)
        if lane is None:
            found.append([bar])
        else:
            lane.append(bar)
    return found


def height_mm(shown: IfBars) -> float:
    """Return how high the picture is [mm]."""
    return ABOVE_MM + BELOW_MM + sum(_side_mm(side) for side in shown.sides)


def _side_mm(side: SideBars) -> float:
    further = LANE_MM if any(not row.kept_out for row in side.rows) else 0
    return HEAD_MM + sum(map(_row_mm, side.rows)) + len(side.clear) * (LANE_MM + BETWEEN_MM) + further


def _row_mm(row: BarRow) -> float:
    count = len(lanes(row.bars))
    return LANE_MM * (count if count <= MOST_LANES else 1) + BETWEEN_MM


def draw_bars(shown: IfBars, *, title: str, subtitle: str, own: str) -> Sheet:
    """Draw the chart; to be called inside `drawing.look`."""
    height = height_mm(shown)
    sheet, across = Sheet(height), Across(shown.low_hz, shown.high_hz)
    sheet.text(1, height - 4, label(title, letters(WIDTH_MM - 4, TITLE_PT)), size=TITLE_PT, weight="bold")
    sheet.text(1, height - 9, subtitle, size=TEXT_PT)
    top, bottom = height - ABOVE_MM, BELOW_MM
    _axis(sheet, across, top=top, bottom=bottom)
    _own(sheet, across, shown, own, top=top, bottom=bottom)
    for side in shown.sides:
        _side(sheet, across, side, top)
        top -= _side_mm(side)
    return sheet


def _axis(sheet: Sheet, across: Across, *, top: float, bottom: float) -> None:
    powers = range(len(str(across.low_hz)) - 1, len(str(across.high_hz)))
    wanted = [round(figure * 10**power) for figure in FIGURES for power in powers]
    figures = [across.low_hz, across.high_hz, *(hz for hz in wanted if across.low_hz < hz < across.high_hz)]
    places = [across.mm(hertz) for hertz in figures]
    for index in fits(places, 9.0):
        sheet.line([places[index]] * 2, [bottom, top], color=LIGHT, linewidth=0.6, zorder=0)
        words = decimal_text(figures[index], unit_hz=HZ_IN[across.unit], decimals=0, extra=3)
        sheet.text(places[index], bottom - 3, words, ha="center")
        sheet.line([places[index]] * 2, [bottom, bottom - 1], color=INK, linewidth=0.5)
    sheet.line([across.mm(across.low_hz), across.mm(across.high_hz)], [bottom] * 2, color=INK, linewidth=0.7)
    middle = (across.mm(across.low_hz) + across.mm(across.high_hz)) / 2
    sheet.text(middle, bottom - 8, f"intermediate frequency, {across.unit}", ha="center", size=TEXT_PT)


def _own(sheet: Sheet, across: Across, shown: IfBars, words: str, *, top: float, bottom: float) -> None:
    """Draw the plan's own IF and its tolerance through all rows."""
    if not shown.low_hz <= shown.own_hz <= shown.high_hz:
        return
    low, high = (
        max(shown.own_hz - shown.tolerance_hz, shown.low_hz),
        min(shown.own_hz + shown.tolerance_hz, shown.high_hz),
    )
    left, right = across.mm(low), across.mm(high)
    sheet.block(Box(left, bottom, right - left, top - bottom), facecolor=LIGHT, edgecolor="none", zorder=0.5)
    where = across.mm(shown.own_hz)
    sheet.line([where] * 2, [bottom - 1, top + 1], color=INK, linewidth=1.1, dashes=(8, 2, 2, 2), zorder=4)
    half = width_mm(words) / 2
    sheet.text(min(max(where, 1 + half), WIDTH_MM - 1 - half), top + 3, words, ha="center", weight="bold")


def _side(sheet: Sheet, across: Across, side: SideBars, top: float) -> None:
    _on_white(sheet, 1, top - HEAD_MM / 2, SIDES[side.side], ha="left", size=TEXT_PT, weight="bold")
    top -= HEAD_MM
    bottom = top + HEAD_MM - _side_mm(side) + BETWEEN_MM
    for low, high in ((across.low_hz, side.low_hz), (side.high_hz, across.high_hz)):
        if low < high:
            place = Box(across.mm(low), bottom, across.mm(high) - across.mm(low), top - bottom)
            sheet.block(place, facecolor=NOT_POSSIBLE, edgecolor="none", zorder=1)
            words = "not possible"
            if width_mm(words) < place.width:
                sheet.text(place.left + place.width / 2, top - LANE_MM / 2, words, ha="center")
    for clear in side.clear:
        _clear(sheet, across, clear, top - LANE_MM)
        top -= LANE_MM + BETWEEN_MM
    counted = True
    for row in side.rows:
        if counted and not row.kept_out:
            counted = False
            _on_white(
                sheet,
                1,
                top - LANE_MM / 2,
                "further responses, not counted for “clear”",
                ha="left",
                style="italic",
            )
            top -= LANE_MM
        _row(sheet, across, side, row, top)
        top -= _row_mm(row)


def _clear(sheet: Sheet, across: Across, clear: ClearRow, bottom: float) -> None:
    title = f"clear but for {clear.but_for}" if clear.but_for else "clear"
    sheet.text(1, bottom + LANE_MM / 2, title, weight="normal" if clear.but_for else "bold")
    if not clear.spans:
        words = "no IF of this range is free of image, half-IF and IF harmonics"
        _on_white(sheet, TITLES_MM + 1, bottom + LANE_MM / 2, words, ha="left")
    outside = []
    for low, high in clear.spans:
        box = _box(across, low, high, bottom)
        sheet.block(box, facecolor=CLEAR_COLOUR, edgecolor=INK, linewidth=0.6, zorder=2)
        words = clear_text(across.rounding, (low, high))
        if width_mm(words) + 1 < box.width:
            sheet.text(
                box.left + box.width / 2, bottom + LANE_MM / 2, words, ha="center", color=PAPER, zorder=6
            )
        else:
            outside.append((low, high))
    _beside(sheet, across, clear, outside, bottom)


def clear_text(rounding: Rounding, clear: Span) -> str:
    """Write a clear range, rounded into it."""
    low, high = clear
    return f"{rounding.inward(low, up=True)}–{rounding.inward(high, up=False)}"


def _beside(sheet: Sheet, across: Across, clear: ClearRow, spans: Sequence[Span], bottom: float) -> None:
    """Name clear ranges without room inside them in the widest gap of their row, as many as it holds."""
    ends = [TITLES_MM, *(across.mm(end) for span in clear.spans for end in span), WIDTH_MM - RIGHT_MM]
    room, left = max((right - left, left) for left, right in zip(ends[::2], ends[1::2], strict=True))
    texts = [clear_text(across.rounding, span) for span in spans]
    while texts and width_mm(", ".join(texts)) + 3 > room:
        texts.pop()
    words = ", ".join(texts) + (" …" if texts and len(texts) < len(spans) else "")
    _on_white(sheet, left + room - 1.2, bottom + LANE_MM / 2, words, ha="right")


def _box(across: Across, low: Fraction | int, high: Fraction | int, bottom: float) -> Box:
    return Box(across.mm(low), bottom, max(across.mm(high) - across.mm(low), 0.3), LANE_MM)


def _row(sheet: Sheet, across: Across, side: SideBars, row: BarRow, top: float) -> None:
    stacked = lanes(row.bars)
    together = len(stacked) > MOST_LANES
    middle = top - LANE_MM * (1 if together else len(stacked)) / 2
    sheet.text(1, middle, label(row.title, letters(TITLES_MM - 2)))
    colour, hatch = LOOKS.get(row.mechanism, OTHER_LOOK)
    look: dict[str, Any] = {
        "facecolor": PAPER,
        "edgecolor": colour,
        "hatch": hatch,
        "linewidth": 0.8,
        "zorder": 2,
    }
    if together:
        for low, high in merged((bar.low_hz, bar.high_hz) for bar in row.bars):
            sheet.block(_box(across, low, high, top - LANE_MM), **look)
        _ends(sheet, across, side, row, top - LANE_MM)
        return
    for number, lane in enumerate(stacked, 1):
        for bar in lane:
            box = _box(across, bar.low_hz, bar.high_hz, top - LANE_MM * number)
            sheet.block(box, **look)
            _name(sheet, across, side, bar, box)


def _inside(side: SideBars, bar: Bar) -> tuple[bool, bool]:
    """Return whether each end of a bar is its own, and not one of the IFs asked for."""
    return bar.low_hz > side.low_hz, bar.high_hz < side.high_hz


def _name(sheet: Sheet, across: Across, side: SideBars, bar: Bar, box: Box) -> None:
    """Write what a bar is, with those of its ends that are its own, as far as there is room."""
    begins, ends = _inside(side, bar)
    low, high = across.rounding.fine(bar.low_hz), across.rounding.fine(bar.high_hz)
    far = {(True, True): f"{low}–{high}", (True, False): f"from {low}", (False, True): f"to {high}"}
    texts = (f"{bar.name}: {far.get((begins, ends), 'everywhere')}", bar.name)
    words = next((text for text in texts if width_mm(text) + 2 < box.width), "")
    side_of = "right" if ends and not begins else "center" if ends else "left"
    where = {"left": box.left + 1.2, "right": box.left + box.width - 1.2, "center": box.left + box.width / 2}
    _on_white(sheet, where[side_of], box.bottom + LANE_MM / 2, words, ha=side_of)


def _on_white(sheet: Sheet, x_mm: float, y_mm: float, words: str, *, ha: str, **more: Any) -> None:
    if words:
        back = {"facecolor": PAPER, "edgecolor": "none", "pad": 0.8}
        sheet.text(x_mm, y_mm - 0.1, words, ha=ha, bbox=back, zorder=6, **more)


def _ends(sheet: Sheet, across: Across, side: SideBars, row: BarRow, bottom: float) -> None:
    """Mark the ends of many bars in what they cover together, and say how many there are."""
    ends = [
        across.mm(hertz)
        for bar in row.bars
        for own, hertz in zip(_inside(side, bar), (bar.low_hz, bar.high_hz), strict=True)
        if own
    ]
    marks = [((place, bottom), (place, bottom + LANE_MM)) for place in ends]
    sheet.strokes(marks, colors=INK, linewidths=0.6, zorder=3)
    start = across.mm(min(bar.low_hz for bar in row.bars))
    _on_white(sheet, start + 1.2, bottom + LANE_MM / 2, f"{len(row.bars)} responses", ha="left")
