"""The response map drawn: dial across, signal upwards, services left, stations right, a key below."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from freqplan.charts.drawing import COLOURS, DASHES, INK, PAPER, WIDTH_MM
from freqplan.charts.map_edges import name_services, name_stations, strength
from freqplan.charts.map_labels import Labels
from freqplan.charts.sheets import LINE_MM, SMALL_PT, TEXT_PT, TITLE_PT, Box, Point, Sheet, width_mm

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from freqplan.charts.map_parts import Crossing, Line, Map, Side, Station
    from freqplan.hertz import Rounding

PLOT_MM, BELOW_AXIS_MM, ABOVE_MM = 116.0, 11.0, 15.0
SERVICES_MM, STATIONS_MM, EDGE_MM, BETWEEN_MM = 52.0, 36.0, 1.0, 5.0
SAMPLE_MM, TICK_MM = 10.0, 9.0
IF_DASH = (1, 2)
SIDES = {
    "high": "oscillator above",
    "low": "oscillator below",
    "sum": "sum with the oscillator",
}


@dataclass(frozen=True)
class Words:
    """What is written around the picture.

    Attributes
    ----------
    title, subtitle : str
        Above it.
    keys : tuple of tuple of str
        For each side one entry for each line drawn, without its sample.
    marks : tuple of (str, str)
        Kinds of crossings that occur, ``"heard"``, ``"unknown"`` or ``"silent"``, and what they mean.
    heard : mapping of int to int
        The number that a row of ghosts goes by in the list.
    listed : tuple of str
        The list of what is heard.
    """

    title: str
    subtitle: str
    keys: tuple[tuple[str, ...], ...]
    marks: tuple[tuple[str, str], ...]
    heard: Mapping[int, int]
    listed: tuple[str, ...]


MARKS: dict[str, dict[str, Any]] = {
    "heard": {"marker": "D", "markersize": 4.6, "markerfacecolor": COLOURS[1], "markeredgewidth": 0.8},
    "unknown": {"marker": "o", "markersize": 3.0, "markerfacecolor": PAPER, "markeredgewidth": 0.6},
    "silent": {"marker": "|", "markersize": 4.0, "markeredgewidth": 0.7},
}


def mark_of(crossing: Crossing) -> str:
    """Return by which mark a crossing is drawn."""
    return {True: "heard", False: "silent", None: "unknown"}[crossing.heard]


def draw_map(shown: Map, words: Words, rounding: Rounding) -> Sheet:
    """Draw the map; to be called inside `drawing.look`."""
    rows = _key_rows(words)
    below = BELOW_AXIS_MM + LINE_MM * (rows + len(words.listed) + bool(words.marks)) + 3
    sheet = Sheet(below + PLOT_MM + ABOVE_MM)
    low, high = rounding.drawn([shown.low_hz, shown.high_hz]).tolist()
    whole = Box(SERVICES_MM + 3 + width_mm(f"{high:.0f}."), below, 0, PLOT_MM)
    right = STATIONS_MM if shown.stations else EDGE_MM + 2
    whole = whole._replace(width=WIDTH_MM - whole.left - right)
    _heads(sheet, words, whole)
    boxes = _panels(whole, len(shown.sides))

    def height(hertz: float) -> float:
        return whole.bottom + PLOT_MM * float((rounding.drawn(hertz) - low) / (high - low))

    for place, (side, box) in enumerate(zip(shown.sides, boxes, strict=True)):
        axes = _axes(sheet, box, shown, rounding, scale=place == 0)
        _hairlines(axes, shown.stations, rounding)
        _draw_side(sheet, axes, box, side, words.heard, rounding)
        if len(boxes) > 1:
            middle, above = box.left + box.width / 2, box.bottom + box.height + 2.2
            sheet.text(middle, above, SIDES[side.side], ha="center", fontweight="bold")
    name_services(sheet, Box(EDGE_MM, below, SERVICES_MM - EDGE_MM, PLOT_MM), shown.services, height)
    heard_hz = {crossing.station_hz for side in shown.sides for crossing in side.crossings if crossing.heard}
    edge = Box(whole.left + whole.width, below, right - EDGE_MM, PLOT_MM)
    name_stations(sheet, edge, shown.stations, height, first=heard_hz)
    _key(sheet, shown, words, below - BELOW_AXIS_MM)
    return sheet


def _heads(sheet: Sheet, words: Words, plot: Box) -> None:
    top = sheet.height_mm
    sheet.text(EDGE_MM, top - 3, words.title, size=TITLE_PT, fontweight="bold")
    sheet.text(EDGE_MM, top - 7.6, words.subtitle, size=TEXT_PT)


def _panels(whole: Box, count: int) -> list[Box]:
    width = (whole.width - BETWEEN_MM * (count - 1)) / count
    return [
        whole._replace(left=whole.left + place * (width + BETWEEN_MM), width=width) for place in range(count)
    ]


def _axes(sheet: Sheet, box: Box, shown: Map, rounding: Rounding, *, scale: bool) -> Axes:
    axes = sheet.axes(box)
    first, last = rounding.drawn([shown.dial_low_hz, shown.dial_high_hz]).tolist()
    low, high = rounding.drawn([shown.low_hz, shown.high_hz]).tolist()
    margin = (last - first) / 40
    axes.set(xlim=(first - margin, last + margin), ylim=(low, high))
    axes.set_xlabel(f"Dial setting, {rounding.unit}", fontsize=TEXT_PT, labelpad=2)
    axes.locator_params(axis="x", nbins=int(box.width / TICK_MM))
    axes.tick_params(labelsize=SMALL_PT, width=0.5, length=2.5, pad=1.5, labelleft=scale)
    if scale:
        sheet.text(
            box.left - 2,
            box.bottom + box.height + 2.2,
            f"Signal received, {rounding.unit}",
            size=TEXT_PT,
            ha="right",
        )
    return axes


def _hairlines(axes: Axes, stations: Sequence[Station], rounding: Rounding) -> None:
    shares = [strength(station.level_dbuv) for station in stations]
    axes.hlines(
        rounding.drawn([station.frequency_hz for station in stations]),
        *axes.get_xlim(),
        colors=[f"{0.86 - 0.3 * share:.2f}" for share in shares],
        linewidths=[0.25 + 0.35 * share for share in shares],
        zorder=1,
    )


def styles(lines: Sequence[Line]) -> list[dict[str, Any]]:
    """Return how each line is drawn: the wanted one heavy, the image always alike, the IF as a row of dots."""
    ranked = [line for line in lines if line.mechanism in ("image", "half-if")]
    ranked += [line for line in lines if line.order > 1 and line not in ranked]
    number = {line.key: place + 1 for place, line in enumerate(ranked)}
    found = []
    for line in lines:
        if line.order == 0:
            found.append({"color": INK, "linewidth": 2.2})
        elif line.key not in number:
            found.append({"color": INK, "linewidth": 1.2, "dashes": IF_DASH})
        else:
            place = number[line.key] % len(DASHES)
            found.append({"color": COLOURS[place - 1], "linewidth": 1.2, "dashes": DASHES[place]})
    return found


def _draw_side(
    sheet: Sheet, axes: Axes, box: Box, side: Side, heard: Mapping[int, int], rounding: Rounding
) -> None:
    first, last = axes.get_xlim()
    low, high = axes.get_ylim()

    def on_sheet(dial_hz: Fraction | int, signal_hz: Fraction | int) -> Point:
        x, y = rounding.drawn([dial_hz, signal_hz]).tolist()
        return (
            box.left + box.width * (x - first) / (last - first),
            box.bottom + box.height * (y - low) / (high - low),
        )

    for line, style in zip(side.lines, styles(side.lines), strict=True):
        axes.plot(rounding.drawn(line.dial_hz), rounding.drawn(line.signal_hz), zorder=3, **style)
    for zorder, (kind, style) in enumerate(reversed(MARKS.items()), 5):
        some = [one for one in side.crossings if mark_of(one) == kind]
        dial, signal = [one.dial_hz for one in some], [one.station_hz for one in some]
        axes.plot(
            rounding.drawn(dial), rounding.drawn(signal), color=INK, linestyle="none", zorder=zorder, **style
        )
    ends = [
        (on_sheet(line.dial_hz[0], line.signal_hz[0]), on_sheet(line.dial_hz[1], line.signal_hz[1]))
        for line in side.lines
    ]
    marks = [on_sheet(one.dial_hz, one.station_hz) for one in side.crossings]
    large = [mark for crossing, mark in zip(side.crossings, marks, strict=True) if crossing.heard]
    labels = Labels(sheet, axes, box, ends, marks, large)
    for place, line in enumerate(side.lines):
        labels.along(place, name_of(line, side.lines))
    for crossing, mark in zip(side.crossings, marks, strict=True):
        if crossing.row in heard:
            labels.beside(mark, str(heard[crossing.row]))


def name_of(line: Line, lines: Sequence[Line]) -> str:
    """Return the name of a line on the map: its mechanism, and which of several."""
    alone = sum(line.mechanism == other.mechanism for other in lines) == 1
    return line.mechanism if alone else f"{line.mechanism} {line.harmonics}"


def _key_rows(words: Words) -> int:
    if len(words.keys) > 1:
        return max(map(len, words.keys))
    return (len(words.keys[0]) + 1) // 2


def _key(sheet: Sheet, shown: Map, words: Words, top: float) -> None:
    columns = (EDGE_MM, 1.5 + WIDTH_MM / 2)
    rows = _key_rows(words)
    for place, (side, texts) in enumerate(zip(shown.sides, words.keys, strict=True)):
        for number, (text, style) in enumerate(zip(texts, styles(side.lines), strict=True)):
            column, row = (place, number) if len(words.keys) > 1 else divmod(number, rows)
            left, y = columns[column], top - LINE_MM * (row + 0.5)
            sheet.line([left, left + SAMPLE_MM], [y, y], **style)
            sheet.text(left + SAMPLE_MM + 1.5, y, text)
    y = top - LINE_MM * (rows + 0.5)
    left = EDGE_MM
    for kind, meaning in words.marks:
        sheet.line([left + 2], [y], color=INK, linestyle="none", **MARKS[kind])
        sheet.text(left + 5, y, meaning)
        left += 9 + width_mm(meaning)
    for text in words.listed:
        y -= LINE_MM
        sheet.text(EDGE_MM, y, text)
