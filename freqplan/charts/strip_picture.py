"""One piece of the dial strip drawn: names, scale, rows of marks, and a line to check the print by."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from math import ceil
from typing import Any

from freqplan.charts.drawing import COLOURS, FAINT, INK, PAPER, WIDTH_MM, label
from freqplan.charts.sheets import SMALL_PT, TEXT_PT, TITLE_PT, Sheet, letters, width_mm
from freqplan.charts.strip_figures import Marking, Piece, place_mm
from freqplan.charts.strip_labels import Laned, Named, in_lanes, named
from freqplan.charts.strip_rows import SpotRow, Strip
from freqplan.lengths import millimetres

MARGIN_MM, EDGE_MM = 4.0, 1.0
HEAD_MM, LEADER_MM, SCALE_MM, FOOT_MM = 14.0, 6.0, 8.5, 11.0
ROW_MM, LANE_MM, TO_MARKS_MM, TO_LABELS_MM = 8.4, 3.2, 6.0, 9.2
KEPT_OFF_MM = 1.9
"""Words stay so far off a cut, with their middle if they are upright."""

CONTROL_MM = 50
CONTROL_WORDS = f"{CONTROL_MM} mm: print at 100 %"
LIGHT = "#e2e2e2"
LOOKS: dict[str, tuple[str, str]] = {
    "birdies": ("^", COLOURS[3]),
    "ghosts": ("D", COLOURS[1]),
    "possible": ("D", COLOURS[1]),
    "whistles": ("v", COLOURS[0]),
    "noise": ("X", COLOURS[4]),
    "quiet": ("o", COLOURS[2]),
    "own": ("o", COLOURS[2]),
    "dead": ("s", INK),
}
BACK = {"facecolor": PAPER, "edgecolor": "none", "pad": 0.6}
SIDES = {"high": "oscillator above", "low": "oscillator below", "sum": "oscillator falling"}


@dataclass(frozen=True)
class Layout:
    """What stands where on one piece.

    Attributes
    ----------
    strip, piece : Strip, Piece
        What is drawn of it.
    """

    strip: Strip
    piece: Piece

    @cached_property
    def left_mm(self) -> float:
        """Where the piece begins on the sheet: in the middle of it if it is the only one."""
        alone = self.piece.laid_to_um is None and not self.piece.is_cut
        return (WIDTH_MM - self.length_mm) / 2 if alone else MARGIN_MM

    @cached_property
    def length_mm(self) -> float:
        """How long the piece is."""
        return millimetres(self.piece.end_um - self.piece.start_um)

    def mm(self, hertz: Fraction | int) -> float:
        """Where a frequency stands on the sheet."""
        return self.left_mm + place_mm(self.strip, hertz) - millimetres(self.piece.start_um)

    def at(self, um: Fraction | int) -> float:
        """Where a place along the scale stands on the sheet."""
        return self.left_mm + millimetres(um - self.piece.start_um)

    def holds(self, hertz: Fraction | int) -> bool:
        """Whether a frequency lies on this piece."""
        return self.piece.start_um <= self.strip.scale.at_um(hertz) <= self.piece.end_um

    @cached_property
    def free_mm(self) -> tuple[float, float]:
        """From where to where words can stand: they are neither cut through nor covered by the piece before."""
        covered, end = self.piece.laid_to_um, self.at(self.piece.end_um)
        low = EDGE_MM if covered is None else self.at(covered) + KEPT_OFF_MM
        return low, end - KEPT_OFF_MM if self.piece.is_cut else WIDTH_MM - EDGE_MM

    @cached_property
    def names(self) -> tuple[Named, ...]:
        """The stations that have a name."""
        low, high = max(self.free_mm[0], self.left_mm), min(self.free_mm[1], self.left_mm + self.length_mm)
        return named(self._free(self.strip.stations), low_mm=low, high_mm=high)

    @cached_property
    def labels(self) -> tuple[tuple[Laned, ...], ...]:
        """The labels of each row."""
        low, high = self.free_mm
        spots = ([(spot.dial_hz, spot.words) for spot in row.spots] for row in self.strip.rows)
        return tuple(in_lanes(self._free(each), low_mm=low, high_mm=high) for each in spots)

    def _free(self, marks: Iterable[tuple[Fraction | int, str]]) -> list[tuple[float, str]]:
        """Return the marks on this piece that the piece before does not cover, as places on the sheet."""
        covered_to = self.piece.start_um if self.piece.laid_to_um is None else self.piece.laid_to_um
        shown = (
            (hertz, words)
            for hertz, words in marks
            if self.holds(hertz) and self.strip.scale.at_um(hertz) >= covered_to
        )
        return [(self.mm(hertz), words) for hertz, words in shown]


@dataclass(frozen=True)
class Heights:
    """What all pieces of a strip have in common, so that they can be joined: room for names, and lanes of each row."""

    names_mm: float
    lanes: tuple[int, ...]

    @classmethod
    def of(cls, layouts: Sequence[Layout]) -> Heights:
        """Return what suits all pieces."""
        widths = [width_mm(one.words) for layout in layouts for one in layout.names]
        lanes = [
            max((one.lane + 1 for labels in of_row for one in labels), default=0)
            for of_row in zip(*(layout.labels for layout in layouts), strict=True)
        ]
        return cls(max(widths, default=0.0), tuple(lanes))

    @property
    def rows_mm(self) -> float:
        """Return how high all rows are together."""
        return sum(map(self.row_mm, self.lanes))

    @staticmethod
    def row_mm(count: int) -> float:
        """Return how high a row with so many lanes is."""
        return ROW_MM + LANE_MM * count

    @property
    def whole_mm(self) -> int:
        """Return how high a picture is; whole millimetres, as any rounding would change its scale."""
        return ceil(HEAD_MM + self.names_mm + LEADER_MM + SCALE_MM + self.rows_mm + FOOT_MM)


def draw_piece(layout: Layout, heights: Heights, marking: Marking, *, title: str, subtitle: str) -> Sheet:
    """Draw one piece; to be called inside `drawing.look`."""
    sheet = Sheet(heights.whole_mm)
    top = heights.whole_mm
    sheet.text(
        MARGIN_MM, top - 4, label(title, letters(WIDTH_MM - 8, TITLE_PT)), size=TITLE_PT, weight="bold"
    )
    sheet.text(MARGIN_MM, top - 9, subtitle, size=TEXT_PT)
    line = top - HEAD_MM - heights.names_mm - LEADER_MM
    _guides(sheet, layout, marking, line - SCALE_MM + 1, FOOT_MM)
    _stations(sheet, layout, line)
    _scale(sheet, layout, marking, line)
    at = line - SCALE_MM
    for row, labels, count in zip(layout.strip.rows, layout.labels, heights.lanes, strict=True):
        _row(sheet, layout, row, at)
        _labels(sheet, labels, at)
        at -= heights.row_mm(count)
    _cuts(sheet, layout, top - HEAD_MM, FOOT_MM)
    _foot(sheet, layout)
    return sheet


def _guides(sheet: Sheet, layout: Layout, marking: Marking, top: float, bottom: float) -> None:
    ends = [
        ((at, bottom), (at, top))
        for at in (layout.mm(figure.hertz) for figure in marking.figures if layout.holds(figure.hertz))
    ]
    sheet.strokes(ends, colors=LIGHT, linewidths=0.5, zorder=0)


def _stations(sheet: Sheet, layout: Layout, line: float) -> None:
    """Draw every station as a stroke above the scale, and the names of those that have room for one."""
    marks = [layout.mm(hertz) for hertz, _ in layout.strip.stations if layout.holds(hertz)]
    sheet.strokes([((at, line), (at, line + 2.6)) for at in marks], colors=INK, linewidths=0.7)
    leaders = [((one.mark_mm, line + 2.6), (one.name_mm, line + LEADER_MM - 0.6)) for one in layout.names]
    sheet.strokes(leaders, colors=INK, linewidths=0.5)
    for one in layout.names:
        sheet.text(one.name_mm, line + LEADER_MM, one.words, rotation=90, ha="center", va="bottom")


def _scale(sheet: Sheet, layout: Layout, marking: Marking, line: float) -> None:
    ends = [layout.at(um) for um in (layout.piece.start_um, layout.piece.end_um)]
    sheet.line(ends, [line, line], color=INK, linewidth=1.2, solid_capstyle="butt")
    long = [figure.hertz for figure in marking.figures]
    for hertz, length, width in (
        (long, 3.2, 0.9),
        (marking.middle_hz, 2.2, 0.6),
        (marking.small_hz, 1.4, 0.5),
    ):
        marks = [layout.mm(one) for one in hertz if layout.holds(one)]
        sheet.strokes([((at, line), (at, line - length)) for at in marks], colors=INK, linewidths=width)
    for figure in marking.figures:
        if layout.holds(figure.hertz):
            sheet.text(
                layout.mm(figure.hertz),
                line - 5.2,
                figure.words,
                ha="center",
                size=TITLE_PT - 2,
                weight="bold",
            )


def _row(sheet: Sheet, layout: Layout, row: SpotRow, top: float) -> None:
    marker, colour = LOOKS[row.kind]
    style: dict[str, Any] = {
        "marker": marker,
        "color": colour,
        "markersize": 5,
        "linestyle": "none",
        "zorder": 4,
    }
    ends = [layout.left_mm, layout.left_mm + layout.length_mm]
    level = top - TO_MARKS_MM
    sheet.line(ends, [top, top], color=FAINT, linewidth=0.5)
    sheet.line(ends, [level, level], color=LIGHT, linewidth=0.9, zorder=1)
    left = max(layout.left_mm, layout.free_mm[0])
    sheet.line([left + 1.2], [top - 2.3], **style)
    whole = len(row.spots) + row.left_out
    words = row.title + (f" ({len(row.spots)} of {whole})" if row.left_out else "")
    sheet.text(left + 3.2, top - 2.4, words, size=TEXT_PT, weight="bold", bbox=BACK)
    for spot in row.spots:
        low, high = sorted(layout.strip.scale.at_um(hertz) for hertz in (spot.low_hz, spot.high_hz))
        low, high = max(low, layout.piece.start_um), min(high, layout.piece.end_um)
        if low < high:
            sheet.line(
                [layout.at(low), layout.at(high)],
                [level, level],
                color=colour,
                linewidth=2.2,
                alpha=0.55,
                solid_capstyle="butt",
            )
        if layout.holds(spot.dial_hz):
            face = colour if spot.side in ("", layout.strip.sides[0]) else PAPER
            sheet.line([layout.mm(spot.dial_hz)], [level], **style, markerfacecolor=face, markeredgewidth=0.7)


def _labels(sheet: Sheet, labels: Sequence[Laned], top: float) -> None:
    for one in labels:
        at = top - TO_LABELS_MM - LANE_MM * one.lane
        if one.lane:
            sheet.line([one.mark_mm] * 2, [top - TO_MARKS_MM - 1, at + 1.3], color=FAINT, linewidth=0.5)
        sheet.text(one.at_mm, at, one.words, ha=one.align, size=SMALL_PT, bbox=BACK)


def _cuts(sheet: Sheet, layout: Layout, top: float, bottom: float) -> None:
    dashes: dict[str, Any] = {"color": INK, "linewidth": 0.8, "dashes": (4, 3)}
    middle = (top + bottom) / 2
    if layout.piece.is_cut:
        at = layout.at(layout.piece.end_um)
        sheet.line([at, at], [bottom, top], **dashes)
        sheet.text(at + 2, middle, "cut here", rotation=90, ha="center")
    if layout.piece.laid_to_um is not None:
        at = layout.at(layout.piece.laid_to_um)
        sheet.line([at, at], [bottom, top], **dashes)
        words = "the cut comes here"
        sheet.text(layout.left_mm - 2, middle, words, rotation=90, ha="center")


def _foot(sheet: Sheet, layout: Layout) -> None:
    """Draw the line to check the print by, and tell the oscillator sides apart where there are several."""
    left, level = MARGIN_MM, FOOT_MM / 2 - 1
    sheet.line([left, left + CONTROL_MM], [level, level], color=INK, linewidth=1.0, solid_capstyle="butt")
    ends = [((at, level - 1.5), (at, level + 1.5)) for at in (left, left + CONTROL_MM)]
    sheet.strokes(ends, colors=INK, linewidths=0.8)
    sheet.text(left + CONTROL_MM + 2, level, CONTROL_WORDS, weight="bold")
    sides = layout.strip.sides
    if len(sides) > 1:
        others = " or ".join(SIDES[side] for side in sides[1:])
        words = f"open marks: {others} only; filled: {SIDES[sides[0]]}, or both"
        sheet.text(WIDTH_MM - MARGIN_MM, level, words, ha="right")
