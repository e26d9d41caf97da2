"""The chart of IFs: which IF brings which responses into the band, and what is clear of them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from freqplan.charts.chart import Chart
from freqplan.charts.drawing import label, look, svg
from freqplan.charts.if_bars import TITLES, IfBars, SideBars, if_bars
from freqplan.charts.if_picture import SIDES, Across, clear_text, draw_bars
from freqplan.if_choices import KEPT_OUT
from freqplan.plan_reading import hertz_text
from freqplan.words import span

if TYPE_CHECKING:
    from freqplan.plan import Plan

NAME = "if-ranges"


def if_range_chart(plan: Plan, *, low_hz: int | None = None, high_hz: int | None = None) -> Chart:
    """Draw which IFs bring which responses into the band.

    Parameters
    ----------
    plan : Plan
        Gives band, orders, oscillator side, and the IF that is marked.
    low_hz, high_hz : int, optional [Hz]
        The IFs to look at; about a third of the plan's to three times it by default.

    Returns
    -------
    Chart

    Raises
    ------
    ModelRangeError
        IFs that are no range, or at none of which the oscillator side is possible.
    MissingExtraError
        matplotlib is not installed.
    """
    shown = if_bars(plan, low_hz, high_hz)
    title = f"{plan.title}: which IF brings what into the band"
    alt = " ".join(_alt(plan, shown))
    with look():
        sheet = draw_bars(shown, title=title, subtitle=_subtitle(plan), own=_own(shown))
        picture = svg(sheet.figure, name=NAME, title=title, alt=alt)
    return Chart(NAME, label(title), " ".join(_caption(plan, shown)), label(alt), (picture,))


def _own(shown: IfBars) -> str:
    rounding = Across(shown.low_hz, shown.high_hz).rounding
    tolerance = f" ± {rounding.fine(shown.tolerance_hz)}" if shown.tolerance_hz else ""
    return f"IF {rounding.fine(shown.own_hz)}{tolerance} {rounding.unit}"


def _subtitle(plan: Plan) -> str:
    band, rounding, orders = plan.band, plan.rounding, plan.orders
    return (
        f"Band {span(band.low_hz, band.high_hz, rounding)} {rounding.unit}; up to {orders.signal} times the signal, "
        f"{orders.oscillator} times the oscillator, {orders.if_harmonic} times the IF"
    )


def _caption(plan: Plan, shown: IfBars) -> Iterator[str]:
    names = [TITLES[one] for one in KEPT_OUT]
    yield (
        "Each bar covers the IFs at which a response falls inside the band for some setting of the dial; one that "
        "reaches the edge of the chart goes on beyond it. Two figures are the harmonics of signal and oscillator."
    )
    yield (
        f"Clear are IFs without {', '.join(names[:-1])} or {names[-1]} (up to number {plan.orders.if_harmonic}); the "
        "rows below those play no part in that."
    )
    yield "The line from top to bottom is the plan's own IF, with its tolerance where that is known."
    if len(shown.sides) > 1:
        yield "The oscillator side is not known: each possible one has a part of its own."


def _alt(plan: Plan, shown: IfBars) -> Iterator[str]:
    yield f"IFs from {hertz_text(shown.low_hz)} to {hertz_text(shown.high_hz)}. {_subtitle(plan)}."
    for side in shown.sides:
        words = SIDES[side.side]
        yield f"{words[0].upper()}{words[1:]}: {_clear(side, shown)}."
        there = ", ".join(shown.at_own(side)) or "nothing"
        yield f"In the band at the plan's {_own(shown)}: {there}."
        for row in side.rows[:3]:
            low, high = min(bar.low_hz for bar in row.bars), max(bar.high_hz for bar in row.bars)
            rounding = Across(shown.low_hz, shown.high_hz).rounding
            yield f"Bars of {row.title}: {span(low, high, rounding)} {rounding.unit}."


def _clear(side: SideBars, shown: IfBars) -> str:
    rounding = Across(shown.low_hz, shown.high_hz).rounding
    parts = []
    for clear in side.clear:
        but = f", but for {clear.but_for}" if clear.but_for else ""
        ranges = ", ".join(clear_text(rounding, one) for one in clear.spans)
        parts.append(f"clear{but}: {ranges} {rounding.unit}" if ranges else f"no IF is clear{but}")
    return "; ".join(parts)
