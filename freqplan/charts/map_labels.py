"""Words along the lines of a map and numbers beside its marks, where they cover least."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import atan2, cos, degrees, hypot, inf, sin
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from freqplan.charts.drawing import PAPER
from freqplan.charts.sheets import SMALL_PT, TEXT_PT, Box, Point, Sheet, width_mm

if TYPE_CHECKING:
    from matplotlib.axes import Axes

OFF_LINE_MM, OFF_MARK_MM = 1.9, 1.9
CLEAR_MM = 3.4
"""From the middle of a word, or of a mark, to what it must not touch."""

SAME_MM, FAR_MM = 1e-6, 3.0
"""Marks no farther apart are one; numbers no farther from a mark plainly belong to it."""

LEAST_ROOM_MM = 1.0
"""With less room words stay away: the key has them too."""

STEPS, POINTS = 24, 80
"""Places tried along a line, and points by which it is kept clear of words."""


class Labels:
    """Keeps account of what is on a part of the sheet, and writes where there is most room.

    Attributes
    ----------
    sheet : Sheet
        Where to write.
    axes : Axes
        What the words belong to: its marks stay in sight before them.
    box : Box
        The place of the axes.
    lines : sequence of (Point, Point)
        The lines in it, from end to end; they may reach beyond it.
    marks, large : iterable of Point
        Marks on them, and the large ones among those.
    """

    def __init__(
        self, sheet: Sheet, axes: Axes, box: Box, lines: Sequence[tuple[Point, Point]], marks: Iterable[Point],
        large: Iterable[Point],
    ) -> None:  # fmt: skip
        self.sheet, self.axes, self.box = sheet, axes, box
        self.lines = [_points(*line) for line in lines]
        self.marks, self.large = (np.array(list(some)).reshape(-1, 2) for some in (marks, large))
        self.written = np.zeros((0, 2))

    def along(self, place: int, words: str) -> None:
        """Write words along one of the lines, above or below it; a line too short for them stays without."""
        line = self.lines[place]
        inside = line[self._inside(line, 1.0)]
        if not len(inside):
            return
        (x, y), (last_x, last_y) = inside[0], inside[-1]
        length, wide = hypot(last_x - x, last_y - y), width_mm(words, TEXT_PT)
        angle = atan2(last_y - y, last_x - x)
        step, above = np.array([cos(angle), sin(angle)]), np.array([-sin(angle), cos(angle)])
        spots = np.linspace(-wide / 2, wide / 2, 15)[:, None] * step
        centres = [
            np.array([x, y]) + middle * step + way * OFF_LINE_MM * above
            for way in (1, -1)
            for middle in np.linspace(wide / 2 + 1, length - wide / 2 - 1, STEPS)
        ]
        fitting = [centre for centre in centres if self._inside(centre + spots, 0.5).all()]
        if length < wide + 2 or not fitting:
            return
        others = np.concatenate([one for number, one in enumerate(self.lines) if number != place])
        # Of equally good places the first: above the line, where it begins.
        room, found = max(
            ((round(self._room(centre + spots, others), 1), centre) for centre in fitting),
            key=lambda one: one[0],
        )
        if not room:
            return
        self.written = np.concatenate([self.written, found + spots])
        self.sheet.text(
            found[0], found[1], words, size=TEXT_PT, on=self.axes, ha="center", zorder=4,
            rotation=degrees(angle), rotation_mode="anchor",
            bbox={"facecolor": PAPER, "edgecolor": "none", "pad": 0.6, "alpha": 0.8},
        )  # fmt: skip

    def _room(self, spots: npt.NDArray[np.float64], lines: npt.NDArray[np.float64]) -> float:
        """Return how much room there is around words; nothing where they would lie on a line or on other words."""
        near = ((1.0, lines), (1.0, self.written), (1.0, self.marks), (0.7, self.large))
        rooms = [min(CLEAR_MM, weight * _nearest(spots, things)) for weight, things in near]
        return sum(rooms) if min(rooms[:2]) >= LEAST_ROOM_MM else 0.0

    def beside(self, mark: Point, words: str) -> None:
        """Write a number beside a mark, on that side of it where there is most room."""
        near = [(-1, 1), (1, -1), (1, 1), (-1, -1), (-1.4, 0), (1.4, 0)]
        ways = np.array([*near, *(2 * np.array(near))]) * OFF_MARK_MM
        others = self.marks[np.hypot(*(self.marks - mark).T) > SAME_MM]
        everything = np.concatenate([others, *self.lines])
        spots = [np.array(mark) + way for way in ways]
        inside = [spot for spot in spots if self._inside(spot[None], 1.0).all()] or spots

        def worth(spot: npt.NDArray[np.float64]) -> tuple[bool, float, float]:
            alone = _nearest(spot[None], self.written) >= CLEAR_MM
            return alone, -hypot(*(spot - mark)) // FAR_MM, round(_nearest(spot[None], everything), 1)

        found = max(inside, key=worth)
        self.written = np.concatenate([self.written, found[None]])
        self.sheet.text(
            found[0], found[1], words, size=SMALL_PT, on=self.axes, ha="center", fontweight="bold", zorder=4.5,
            bbox={"facecolor": PAPER, "edgecolor": "none", "pad": 0.4, "alpha": 0.8},
        )  # fmt: skip

    def _inside(self, points: npt.NDArray[np.float64], margin_mm: float) -> npt.NDArray[np.bool_]:
        x, y = points.T
        box = self.box
        within: npt.NDArray[np.bool_] = (
            (x >= box.left + margin_mm) & (x <= box.left + box.width - margin_mm)
            & (y >= box.bottom + margin_mm) & (y <= box.bottom + box.height - margin_mm)
        )  # fmt: skip
        return within


def _points(first: Point, last: Point) -> npt.NDArray[np.float64]:
    share = np.linspace(0, 1, POINTS)[:, None]
    points: npt.NDArray[np.float64] = np.array(first) * (1 - share) + np.array(last) * share
    return points


def _nearest(spots: npt.NDArray[np.float64], things: npt.NDArray[np.float64]) -> float:
    """Return how near any of the things comes to any of the spots [mm]."""
    if not len(things):
        return inf
    apart = spots[:, None, :] - things[None, :, :]
    return float(np.hypot(apart[..., 0], apart[..., 1]).min())
