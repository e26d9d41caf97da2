"""The front-end curve: what is lost before the mixer, and where the unwanted responses stand on it."""

from __future__ import annotations

import os
from collections.abc import Iterator
from typing import TYPE_CHECKING

from freqplan.charts.chart import Chart
from freqplan.charts.curve_parts import Curve, Mark, curve_of
from freqplan.charts.curve_picture import draw_curve
from freqplan.charts.drawing import label, look, svg
from freqplan.words import setting

if TYPE_CHECKING:
    from freqplan.hertz import Rounding
    from freqplan.plan import FrontEnd
    from freqplan.surveys import Survey

NAME = "front-end"
LONGEST_LINE, MOST_NAMED = 126, 3
SIDES = {"high": "osc. above", "low": "osc. below", "sum": "osc. in sum"}
KEY = "Thin stroke: level at the aerial. Heavy stroke: what is left of it at the mixer, gain apart."
UNKNOWN_KEY = "{} Ring: level not known."


def front_end(survey: Survey, dial_hz: int | None = None) -> Chart:
    """Draw what the front end takes off, at one dial setting.

    Parameters
    ----------
    survey : Survey
        Of a plan with a front end; with a station list the stations stand below the curve.
    dial_hz : int, optional [Hz]
        The dial setting; the channel in the middle of the band by default.

    Raises
    ------
    MissingExtraError
        matplotlib is not installed.
    ModelRangeError
        The plan tells nothing of its front end, or the dial setting lies off the band.
    SweepError
        The measured response cannot be read.
    """
    shown = curve_of(survey, dial_hz)
    rounding = survey.rounding
    title = f"{survey.title}: what the front end takes off"
    subtitle = f"Dial on {setting(shown.dial_hz, rounding)} {rounding.unit}; {_circuits(survey)}"
    unknown = any(one.level_dbuv is None for one in shown.stations)
    caption, alt = label(" ".join(_caption(survey, shown))), label(" ".join(_alt(survey, shown)))
    with look():
        sheet = draw_curve(
            shown,
            title=title,
            subtitle=label(subtitle, LONGEST_LINE),
            heads=_heads(shown, rounding),
            key=UNKNOWN_KEY.format(KEY) if unknown else KEY,
            rounding=rounding,
        )
        picture = svg(sheet.figure, name=NAME, title=title, alt=alt)
    return Chart(NAME, label(title), caption, alt, (picture,))


def _circuits(survey: Survey) -> str:
    """Return what the curve comes from."""
    front_end = survey.plan.front_end
    assert front_end is not None
    if front_end.response is not None:
        return f"measured, {label(os.path.basename(front_end.response))}{_measured_on(survey, front_end)}"
    count = front_end.circuits_before_rf_stage + front_end.circuits_before_mixer
    circuits = f"{count} tuned circuit{'' if count == 1 else 's'}"
    quality = f" of Q {front_end.loaded_q:g}" if front_end.loaded_q is not None else ""
    return f"{circuits}{quality}, {front_end.floor_db:g} dB at most"


def _measured_on(survey: Survey, front_end: FrontEnd) -> str:
    measured_hz = front_end.response_dial_hz
    if measured_hz is None:
        return ", the same at every dial setting"
    return f" with the dial on {setting(measured_hz, survey.rounding)}, taken in proportion elsewhere"


def _heads(shown: Curve, rounding: Rounding) -> list[tuple[str, ...]]:
    """Return what stands above each mark; with both sides of the oscillator its side too."""
    return [
        tuple(
            filter(
                None,
                (
                    mark.name,
                    SIDES.get(mark.side),
                    mark.harmonics,
                    f"{rounding.fine(mark.frequency_hz)} {rounding.unit}",
                    _loss(mark),
                ),
            )
        )
        for mark in shown.marks
    ]


def _loss(mark: Mark) -> str:
    return "not known" if mark.loss_db is None else f"{mark.loss_db:.1f} dB"


def _caption(survey: Survey, shown: Curve) -> Iterator[str]:
    yield "How much weaker a signal arrives at the mixer than one on the best frequency, the dial at rest."
    yield "Marked are the wanted frequency and what lands on the IF with it: image, half-IF responses, the IF itself."
    if len(shown.stretches) > 1:
        yield "The IF lies far off and has a panel of its own."
    if any(mark.loss_db is None for mark in shown.marks):
        yield "Where the measurement does not reach, or is too coarse, the loss is not known and nothing is drawn."
    if shown.stations:
        yield "The heavy strokes are what the mixer has to do with."


def _alt(survey: Survey, shown: Curve) -> Iterator[str]:
    rounding = survey.rounding
    yield f"With the dial on {setting(shown.dial_hz, rounding)} {rounding.unit}:"
    marks = (
        f"{' '.join(filter(None, (mark.name, mark.harmonics)))} on {rounding.fine(mark.frequency_hz)}"
        f"{f' ({SIDES[mark.side]})' if mark.side else ''} {_loss(mark)}"
        for mark in shown.marks
    )
    yield f"{'; '.join(marks)}."
    known = [one for one in shown.stations if one.left_dbuv is not None]
    if known:
        known.sort(key=lambda one: -(one.left_dbuv or 0.0))
        named = (
            f"{label(one.name)} {rounding.fine(one.frequency_hz)} with {one.left_dbuv:.0f} dB(µV)"
            for one in known[:MOST_NAMED]
        )
        yield f"Strongest at the mixer: {', '.join(named)}."
