"""The front-end curve drawn: loss against frequency, and under it the stations at the aerial and at the mixer."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from freqplan.charts.drawing import COLOURS, FAINT, INK, MARKERS, PAPER, WIDTH_MM, label
from freqplan.charts.labels import fits, spread
from freqplan.charts.sheets import SMALL_PT, TEXT_PT, TITLE_PT, Box, Sheet, letters

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from freqplan.charts.curve_parts import Curve, Received, Stretch
    from freqplan.hertz import Rounding

LEFT_MM, RIGHT_MM, BETWEEN_MM, NARROW_MM = 15.0, 3.0, 4.0, 24.0
HEADS_MM, CURVE_MM, NAMES_MM, STATIONS_MM, AXIS_MM, KEY_MM = 13.0, 72.0, 27.0, 34.0, 10.0, 6.0
MARK_GAP_MM, HEAD_LINE_MM, LEAD_MM = 20.0, 3.2, 5.0
NAME_GAP_MM, NAME_ROOM_MM = 3.0, 21.0
LOOKS = {
    "wanted": (INK, MARKERS[0]),
    "image": (COLOURS[0], MARKERS[1]),
    "half-if": (COLOURS[1], MARKERS[2]),
    "IF": (COLOURS[3], MARKERS[3]),
}
"""Colour and marker of what is marked; the colours are those of the response map."""

STATION_STEP_DBUV = 20


class Panel(NamedTuple):
    """A stretch of the spectrum, its place on the sheet, and where a frequency stands across [mm]."""

    stretch: Stretch
    box: Box

    def across(self, hertz: Fraction | float) -> float:
        """Return where a frequency stands on the sheet [mm]."""
        low, high = self.stretch.frequency_hz[[0, -1]].tolist()
        return float(self.box.left + self.box.width * (float(hertz) - low) / (high - low))

    @property
    def is_narrow(self) -> bool:
        """Return whether it shows little but one mark."""
        return self.box.width <= NARROW_MM


def draw_curve(
    shown: Curve,
    *,
    title: str,
    subtitle: str,
    heads: Sequence[tuple[str, ...]],
    key: str,
    rounding: Rounding,
) -> Sheet:
    """Draw the curve; to be called inside `drawing.look`.

    Parameters
    ----------
    shown : Curve
        What is drawn.
    title, subtitle : str
        Above it.
    heads : sequence of tuple of str
        What is written above each mark, line by line.
    key : str
        How to read the stations; below them.
    rounding : Rounding
        Gives the unit.
    """
    below = AXIS_MM + (NAMES_MM + STATIONS_MM + KEY_MM if shown.stations else 0)
    heads_mm = LEAD_MM + 2 + HEAD_LINE_MM * max(map(len, heads))
    sheet = Sheet(below + CURVE_MM + heads_mm + HEADS_MM)
    sheet.text(1, sheet.height_mm - 3, title, size=TITLE_PT, fontweight="bold")
    sheet.text(1, sheet.height_mm - 7.6, subtitle, size=TEXT_PT)
    panels = _panels(shown, below)
    deepest = _deepest(shown)
    for place, panel in enumerate(panels):
        axes = _axes(sheet, panel, panel.box, rounding, scale=place == 0, bottom=not shown.stations)
        axes.set_ylim(deepest, 0)
        _curve(axes, panel.stretch, rounding)
    _title_of_axis(sheet, panels[0].box, "Lost before the mixer, dB")
    _heads(sheet, panels, heads)
    if shown.stations:
        _draw_stations(sheet, panels, rounding)
        sheet.text(LEFT_MM, KEY_MM / 2, key)
    return sheet


def _deepest(shown: Curve) -> float:
    """Return how far down the picture reaches [dB]."""
    every = np.concatenate([stretch.loss_db for stretch in shown.stretches])
    return 1.06 * float(every[np.isfinite(every)].max(initial=20.0))


def _panels(shown: Curve, below: float) -> list[Panel]:
    """Return the panels from left to right; one that shows but the IF is narrow."""
    room = WIDTH_MM - LEFT_MM - RIGHT_MM
    wide = room if len(shown.stretches) == 1 else room - NARROW_MM - BETWEEN_MM
    left, panels = LEFT_MM, []
    for stretch in shown.stretches:
        width = NARROW_MM if [mark.name for mark in stretch.marks] == ["IF"] else wide
        panels.append(Panel(stretch, Box(left, below, width, CURVE_MM)))
        left += width + BETWEEN_MM
    return panels


def _axes(sheet: Sheet, panel: Panel, box: Box, rounding: Rounding, *, scale: bool, bottom: bool) -> Axes:
    axes = sheet.axes(box)
    axes.set_xlim(*rounding.drawn(panel.stretch.frequency_hz[[0, -1]]).tolist())
    axes.locator_params(axis="x", nbins=2 if panel.is_narrow else 12)
    axes.tick_params(labelsize=SMALL_PT, width=0.5, length=2.5, pad=1.5, labelleft=scale, labelbottom=bottom)
    axes.grid(visible=True, color="#e0e0e0", linewidth=0.4)
    axes.set_axisbelow(True)
    if bottom:
        title = rounding.unit if panel.is_narrow else f"Frequency, {rounding.unit}"
        axes.set_xlabel(title, fontsize=TEXT_PT, labelpad=1.5)
    return axes


def _title_of_axis(sheet: Sheet, box: Box, words: str) -> None:
    sheet.text(4, box.bottom + box.height / 2, words, size=TEXT_PT, rotation=90, ha="center")


def _curve(axes: Axes, stretch: Stretch, rounding: Rounding) -> None:
    axes.plot(rounding.drawn(stretch.frequency_hz), stretch.loss_db, color=INK, linewidth=1.5, zorder=3)
    for mark in stretch.marks:
        x = float(rounding.drawn([mark.frequency_hz])[0])
        axes.axvline(x, color=FAINT, linewidth=0.7, dashes=(4, 3), zorder=2)
        if mark.loss_db is not None:
            colour, marker = LOOKS[mark.name]
            axes.plot(
                [x], [mark.loss_db], marker=marker, color=colour, markeredgecolor=INK,
                markersize=6, markeredgewidth=0.7, linestyle="none", zorder=4, clip_on=False,
            )  # fmt: skip


def _heads(sheet: Sheet, panels: Sequence[Panel], heads: Sequence[tuple[str, ...]]) -> None:
    """Write above the panels what is marked and lead from each to its mark."""
    where = [panel.across(mark.frequency_hz) for panel in panels for mark in panel.stretch.marks]
    top, half = panels[0].box.bottom + CURVE_MM, MARK_GAP_MM / 2
    places = spread(where, gap=MARK_GAP_MM, low=half, high=WIDTH_MM - half)
    for lines, x, place in zip(heads, where, places, strict=True):
        for number, line in enumerate(reversed(lines)):
            weight = "bold" if number == len(lines) - 1 else "normal"
            y = top + LEAD_MM + 1.5 + HEAD_LINE_MM * number
            sheet.text(place, y, line, ha="center", fontweight=weight)
        sheet.line([place, x], [top + LEAD_MM - 0.5, top], color=FAINT, linewidth=0.5)


def _draw_stations(sheet: Sheet, panels: Sequence[Panel], rounding: Rounding) -> None:
    """Draw each station as a stroke up to its level at the aerial, heavy up to what is left of it at the mixer."""
    top_dbuv = _highest(one for panel in panels for one in panel.stretch.stations)
    bottom = AXIS_MM + KEY_MM
    for place, panel in enumerate(panels):
        box = panel.box._replace(bottom=bottom, height=STATIONS_MM)
        axes = _axes(sheet, panel, box, rounding, scale=place == 0, bottom=True)
        axes.set_ylim(0, top_dbuv)
        axes.set_yticks(range(0, int(top_dbuv) + 1, STATION_STEP_DBUV))
        for mark in panel.stretch.marks:
            where = float(rounding.drawn([mark.frequency_hz])[0])
            axes.axvline(where, color=FAINT, linewidth=0.7, dashes=(4, 3), zorder=1)
        _strokes(axes, panel.stretch.stations, rounding)
        _names(sheet, panel, box, top_dbuv)
    _title_of_axis(sheet, panels[0].box._replace(bottom=bottom, height=STATIONS_MM), "Station, dB(µV)")


def _highest(stations: Iterable[Received]) -> float:
    """Return the end of the scale of levels [dB(uV)]."""
    levels = [one.level_dbuv for one in stations if one.level_dbuv is not None]
    return STATION_STEP_DBUV * (max(levels, default=60.0) // STATION_STEP_DBUV + 1)


def _strokes(axes: Axes, stations: Sequence[Received], rounding: Rounding) -> None:
    x = rounding.drawn([one.frequency_hz for one in stations])
    for part, width in (("level_dbuv", 0.5), ("left_dbuv", 2.0)):
        heights = [max(getattr(one, part) or 0.0, 0.0) for one in stations]
        axes.vlines(x, 0, heights, color=INK, linewidth=width, zorder=3)
    unknown = [place for place, one in enumerate(stations) if one.level_dbuv is None]
    axes.plot(
        x[unknown], [0] * len(unknown), marker="o", color=INK, markerfacecolor=PAPER, markersize=3,
        markeredgewidth=0.6, linestyle="none", zorder=4, clip_on=False,
    )  # fmt: skip


def _names(sheet: Sheet, panel: Panel, box: Box, top_dbuv: float) -> None:
    """Write the names that have room above the strokes, what is strongest at the mixer first."""
    stations = [one for one in panel.stretch.stations if one.level_dbuv is not None]
    stations.sort(key=lambda one: -(one.left_dbuv if one.left_dbuv is not None else -np.inf))
    where = [panel.across(one.frequency_hz) for one in stations]
    near = fits(where, 0.8 * NAME_GAP_MM)[: int(box.width / NAME_GAP_MM)]
    low, high = box.left + NAME_GAP_MM / 2, box.left + box.width - NAME_GAP_MM / 2
    top = box.bottom + box.height
    base, leaders = top + 3.5, []
    places = spread([where[i] for i in near], gap=NAME_GAP_MM, low=low, high=high)
    for i, place in zip(near, places, strict=True):
        one = stations[i]
        name = label(one.name, letters(NAME_ROOM_MM))
        sheet.text(place, base, name, rotation=90, ha="center", va="bottom")
        peak = box.bottom + box.height * (one.level_dbuv or 0.0) / top_dbuv
        leaders += [((where[i], peak), (where[i], top)), ((where[i], top), (place, base - 0.5))]
    sheet.strokes(leaders, color=FAINT, linewidths=0.3)
