"""The whistle chart: pitch above, loudness below, against the offset of a weak carrier beside the wanted one."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import numpy as np

from freqplan.charts.chart import Chart
from freqplan.charts.drawing import COLOURS, DASHES, FAINT, INK, PAPER, label, look, svg
from freqplan.charts.sheets import SMALL_PT, TEXT_PT, TITLE_PT, Box, Sheet
from freqplan.charts.whistle_curves import Curve, Neighbour, WhistleCurves, whistle_curves
from freqplan.hertz import HZ_IN, decimal_text
from freqplan.plan_reading import hertz_text

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from freqplan.plan import Plan

NAME = "whistle"
HEIGHT_MM = 152.0
PITCH = Box(15, 91, 159, 44)
LOUDNESS = Box(15, 12, 159, 60)
LOOKS = {"mono": 0, "beat": 0, "stereo": 1, "switching": 2}
"""Place of the colour and of the dash of each kind of zone."""

MEANINGS = {
    "mono": "mono\nand stereo",
    "beat": "on every station",
    "stereo": "stereo only,\nabout {} kHz",
    "switching": "stereo, switching\ndecoder, about {} kHz",
}
DEEPEST_DB, STEP_DB = 40, 10
"""How far below the limit of hearing the chart goes at most, and the step of its figures."""

LIGHT = "#e8e8e8"


def whistle_chart(plan: Plan) -> Chart:
    """Draw what a weak carrier beside the wanted one sounds like: pitch and loudness against its offset.

    Parameters
    ----------
    plan : Plan
        Gives modulation, stereo decoder, de-emphasis and IF filter.

    Returns
    -------
    Chart

    Raises
    ------
    MissingExtraError
        matplotlib is not installed.
    """
    shown = whistle_curves(plan)
    title = f"{plan.title}: what a weak carrier beside a station sounds like"
    alt, caption = " ".join(_alt(plan, shown)), " ".join(_caption(plan, shown))
    with look():
        sheet = _draw(plan, shown, title)
        picture = svg(sheet.figure, name=NAME, title=title, alt=alt)
    return Chart(NAME, label(title), caption, label(alt), (picture,))


def _kilohertz(hertz: int, decimals: int = 0) -> str:
    return decimal_text(hertz, unit_hz=HZ_IN["kHz"], decimals=decimals, extra=3 - decimals)


def _decibels(value: float) -> str:
    return f"{value:.0f} dB".replace("-", "−")


# Words


def _setting(plan: Plan, shown: WhistleCurves) -> str:
    own = plan.if_filter
    text = (
        f"unwanted carrier {-shown.ratio_db:g} dB weaker than the wanted one before the IF filter "
        f"({hertz_text(own.bandwidth_hz)} wide at −3 dB)"
    )
    if plan.band.modulation == "fm":
        text += f", de-emphasis {plan.stereo.deemphasis_us:g} us"
    return text


def _caption(plan: Plan, shown: WhistleCurves) -> Iterator[str]:
    yield (
        "Look up how far the other carrier lies from the station tuned in, on either side: above stands the note it "
        "makes, below how loud that is."
    )
    yield f"Drawn for an {_setting(plan, shown)}; a carrier 10 dB stronger makes a note 10 dB louder."
    yield (
        "Both carriers without programme. Notes below the limit of hearing "
        f"({_decibels(shown.limit_db)} against full programme) are not noticed."
    )
    if len(shown.curves) > 1:
        yield (
            "What is heard in stereo only goes when the set is switched to mono; where the line comes down to zero the "
            "beat changes direction."
        )


def _alt(plan: Plan, shown: WhistleCurves) -> Iterator[str]:
    for curve in shown.curves:
        zone = curve.zone
        low, high = (f"{hertz / HZ_IN['kHz']:.0f}" for hertz in curve.offset_hz[[0, -1]])
        about = f" about {_kilohertz(zone.carrier_hz)} kHz" if zone.carrier_hz else ""
        loudest = np.nanmax(curve.loudness_db) if not np.isnan(curve.loudness_db).all() else None
        loud = "" if loudest is None else f", at most {_decibels(loudest)} against full programme"
        yield f"Offsets of {low} to {high} kHz make a note{about} ({zone.name}){loud}."
    for neighbour in shown.neighbours:
        yield f"A neighbour {_kilohertz(neighbour.offset_hz)} kHz away: {_notes(neighbour)}."
    yield f"The {_setting(plan, shown)}; limit of hearing {_decibels(shown.limit_db)}."


def _notes(neighbour: Neighbour) -> str:
    notes = [
        f"{_kilohertz(pitch, 1)} kHz" + ("" if np.isnan(loud) else f", {_decibels(loud)}")
        for pitch, loud in neighbour.notes
    ]
    return "; ".join(notes) or "no note"


# The picture


def _draw(plan: Plan, shown: WhistleCurves, title: str) -> Sheet:
    sheet = Sheet(HEIGHT_MM)
    sheet.text(PITCH.left, HEIGHT_MM - 4, title, size=TITLE_PT, weight="bold")
    setting = _setting(plan, shown)
    sheet.text(PITCH.left, HEIGHT_MM - 9, setting[0].upper() + setting[1:], size=TEXT_PT)
    pitch, loudness = sheet.axes(PITCH), sheet.axes(LOUDNESS)
    for axes in (pitch, loudness):
        _offset_axis(axes, shown)
    _pitch_panel(pitch, shown)
    _loudness_panel(loudness, shown)
    _between(sheet, shown)
    return sheet


def _offset_axis(axes: Axes, shown: WhistleCurves) -> None:
    step = next(
        step for step in (HZ_IN["kHz"], 2 * HZ_IN["kHz"], 10 * HZ_IN["kHz"]) if shown.farthest_hz <= 21 * step
    )
    places = range(0, shown.farthest_hz + 1, step)
    axes.set_xlim(0, shown.farthest_hz)
    axes.set_xticks(places, [_kilohertz(place) for place in places], fontsize=SMALL_PT)
    axes.tick_params(width=0.5, length=2.5)
    axes.grid(color=LIGHT, linewidth=0.5)
    axes.set_axisbelow(True)
    for neighbour in shown.neighbours:
        axes.axvline(neighbour.offset_hz, color=FAINT, linewidth=0.7, dashes=(2, 2))


def _style(curve: Curve) -> dict[str, Any]:
    place = LOOKS[curve.zone.name]
    return {"color": COLOURS[place], "dashes": DASHES[place] or (None, None), "linewidth": 1.5}


def _pitch_panel(axes: Axes, shown: WhistleCurves) -> None:
    limit = max(curve.zone.limit_hz for curve in shown.curves)
    room = HZ_IN["kHz"] * 7
    axes.set_ylim(0, limit + room)
    places = range(0, limit + 1, 5 * HZ_IN["kHz"])
    axes.set_yticks(places, [_kilohertz(place) for place in places], fontsize=SMALL_PT)
    axes.set_ylabel("pitch of the note, kHz", fontsize=TEXT_PT, labelpad=8)
    for curve in shown.curves:
        axes.plot(curve.offset_hz, curve.pitch_hz, **_style(curve))
        words = MEANINGS[curve.zone.name].format(_kilohertz(curve.zone.carrier_hz))
        if curve.zone.carrier_hz:
            where, side = curve.zone.carrier_hz, "center"
        else:
            where, side = shown.farthest_hz // 200, "left"
        axes.text(
            where, limit + room // 2, words, ha=side, va="center", fontsize=SMALL_PT,
            bbox={"facecolor": PAPER, "edgecolor": "none", "pad": 0.6},
        )  # fmt: skip
    _dots(axes, [(n.offset_hz, pitch) for n in shown.neighbours for pitch, _ in n.notes])


def _dots(axes: Axes, points: list[tuple[int, float]]) -> None:
    x, y = [point[0] for point in points], [point[1] for point in points]
    axes.plot(x, y, linestyle="none", marker="o", markersize=4, markerfacecolor=PAPER, color=INK, zorder=4)


def _loudness_panel(axes: Axes, shown: WhistleCurves) -> None:
    axes.set_xlabel(
        "offset of the other carrier from the wanted one, above or below it, kHz", fontsize=TEXT_PT
    )
    axes.set_ylabel("loudness against full programme, dB", fontsize=TEXT_PT)
    known = np.concatenate([curve.loudness_db for curve in shown.curves])
    known = known[~np.isnan(known)]
    if not len(known):
        axes.set_yticks([])
        axes.text(
            0.5, 0.5, "no programme to measure by: the deviation is 0", ha="center", transform=axes.transAxes
        )
        return
    top = STEP_DB * (np.ceil(max(known.max(), shown.limit_db) / STEP_DB) + 1)
    low = STEP_DB * np.floor(
        min(max(known.min(), shown.limit_db - DEEPEST_DB), shown.limit_db - STEP_DB) / STEP_DB
    )
    axes.set_ylim(low, top)
    places = np.arange(low, top + 1, STEP_DB)
    axes.set_yticks(places, [f"{place:.0f}".replace("-", "−") for place in places], fontsize=SMALL_PT)
    axes.axhspan(low, shown.limit_db, color=LIGHT, zorder=0)
    axes.axhline(shown.limit_db, color=INK, linewidth=0.9)
    # In stereo nothing is drawn between the first zones; else the right end below the line is free.
    where, side = (0.36, "center") if len(shown.curves) > 1 else (0.995, "right")
    axes.text(
        where * shown.farthest_hz, shown.limit_db - 0.8, f"limit of hearing, {_decibels(shown.limit_db)}", ha=side,
        va="top", fontsize=SMALL_PT,
    )  # fmt: skip
    for curve in shown.curves:
        axes.plot(curve.offset_hz, curve.loudness_db, **_style(curve))
    _dots(axes, [(n.offset_hz, loud) for n in shown.neighbours for _, loud in n.notes if loud > low])


def _between(sheet: Sheet, shown: WhistleCurves) -> None:
    """Write between the panels what the usual neighbours sound like."""
    middle = (PITCH.bottom + LOUDNESS.bottom + LOUDNESS.height) / 2 - 1
    if shown.neighbours:
        sheet.text(1, middle, "neighbour", weight="bold")
    for neighbour in shown.neighbours:
        where = PITCH.left + PITCH.width * neighbour.offset_hz / shown.farthest_hz
        lines = (f"{_kilohertz(neighbour.offset_hz)} kHz away", _notes(neighbour))
        for line, text in enumerate(lines):
            sheet.text(where, middle - 3.4 * line, text, ha="center", weight="normal" if line else "bold")
