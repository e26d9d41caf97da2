"""A sheet of paper measured in millimetres: axes, lines and words are put where they belong, and nothing else moves."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

from freqplan.charts.drawing import INK, MM_PER_INCH, WIDTH_MM, label, new_figure

if TYPE_CHECKING:
    from matplotlib.axes import Axes

SMALL_PT, TEXT_PT, TITLE_PT = 7.0, 7.5, 10.0
"""Sizes of letters; nothing is smaller than the first."""

LETTER = 0.58
"""Width of a letter of the average text, in heights."""

LINE_MM = 3.9
"""From one line of small text to the next."""

POINTS_PER_INCH = 72


Point = tuple[float, float]
"""A place on the sheet [mm]."""


class Box(NamedTuple):
    """A place on the sheet, from its lower left corner [mm]."""

    left: float
    bottom: float
    width: float
    height: float


class Sheet:
    """A figure with a layer in millimetres over all of it; to be used inside `drawing.look`.

    Attributes
    ----------
    figure : Figure
        The figure.
    height_mm : float [mm]
        Its height; the width is that of all charts.
    """

    def __init__(self, height_mm: float) -> None:
        self.figure = new_figure(height_mm=height_mm)
        self.height_mm = height_mm
        self._layer = self.axes(Box(0, 0, WIDTH_MM, height_mm))
        self._layer.set(xlim=(0, WIDTH_MM), ylim=(0, height_mm), zorder=5)
        self._layer.set_axis_off()

    def axes(self, box: Box) -> Axes:
        """Return new axes in a box."""
        left, width = box.left / WIDTH_MM, box.width / WIDTH_MM
        bottom, height = box.bottom / self.height_mm, box.height / self.height_mm
        return self.figure.add_axes((left, bottom, width, height))

    def text(
        self,
        x_mm: float,
        y_mm: float,
        words: str,
        *,
        size: float = SMALL_PT,
        on: Axes | None = None,
        **more: Any,
    ) -> None:
        """Write words, foreign ones too; `on` axes they may be covered by what is drawn there."""
        usual: dict[str, Any] = {"va": "center", "color": INK, "transform": self._layer.transData}
        (on or self._layer).text(x_mm, y_mm, label(words), fontsize=size, **{**usual, **more})

    def line(self, x_mm: Sequence[float], y_mm: Sequence[float], **more: Any) -> None:
        """Draw a line through points."""
        self._layer.plot(x_mm, y_mm, clip_on=False, **more)

    def strokes(self, ends_mm: Sequence[tuple[Point, Point]], **more: Any) -> None:
        """Draw many lines, each from point to point."""
        from matplotlib.collections import LineCollection

        self._layer.add_collection(LineCollection(ends_mm, **more))

    def arrow(self, start_mm: Point, end_mm: Point, **more: Any) -> None:
        """Draw a straight line with a head at its end."""
        from matplotlib.patches import FancyArrowPatch

        usual: dict[str, Any] = {"arrowstyle": "-|>", "mutation_scale": 7, "shrinkA": 0, "shrinkB": 0}
        self._layer.add_patch(FancyArrowPatch(start_mm, end_mm, **{**usual, **more}))

    def block(self, box: Box, **more: Any) -> None:
        """Fill a box."""
        from matplotlib.patches import Rectangle

        self._layer.add_patch(Rectangle((box.left, box.bottom), box.width, box.height, **more))


def width_mm(words: str, size: float = SMALL_PT) -> float:
    """Return about how wide words are [mm]."""
    return len(words) * size * LETTER * MM_PER_INCH / POINTS_PER_INCH


def letters(room_mm: float, size: float = SMALL_PT) -> int:
    """Return about how many letters have room."""
    return int(room_mm / width_mm("m", size))
