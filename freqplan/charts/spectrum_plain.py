"""What the spectrum chart shows of a product of the oscillator with one signal: a station, a clock, another set."""

from __future__ import annotations

from typing import TYPE_CHECKING

from freqplan.charts.drawing import label
from freqplan.charts.spectrum_parts import (
    CLOCK,
    OTHER,
    OTHER_SIGNAL,
    OWN,
    REACH,
    STEP,
    WANTED,
    Arrow,
    Axis,
    Mixed,
    Shade,
    Stroke,
    behind_the_mixer,
    harmonics_of,
    if_axis,
    in_the_mixer,
    oscillator_of,
    reach_of,
    times_sign,
    wanted_of,
)
from freqplan.charts.spectrum_row import LONGEST_NAME, Hertz, distance_hz
from freqplan.errors import ModelRangeError
from freqplan.own_words import is_shift

if TYPE_CHECKING:
    from freqplan.charts.spectrum_row import Row
    from freqplan.plan import Plan


def plain_axes(plan: Plan, row: Row) -> tuple[Axis, ...]:
    """Return the axes of a product of the oscillator with one signal, be it a station, a clock or another set.

    A row without a signal is a harmonic of the oscillator on the IF, or the oscillator on a station.
    """
    n, m = row.n, row.m or 1
    if row.sources_hz and row.lands_on.startswith("if-"):
        return _on_a_later_if(plan, row, int(row.lands_on.partition("-")[2]))
    if row.sources_hz:
        return in_the_mixer(
            plan,
            row,
            Mixed(CLOCK, row.sources_hz[0], m, n or 0, OTHER),
            label(row.name or "clock", LONGEST_NAME),
        )
    if row.other_oscillator_hz is not None and row.other_dial_hz is not None:
        return _other_set_axes(plan, row, row.other_dial_hz, row.other_oscillator_hz)
    if row.mechanism == "self-mixing":
        return in_the_mixer(plan, row, Mixed("fT", row.dial_hz, m, n or 0, OTHER), "wanted, dial")
    if n is not None and row.signal_hz is not None:
        return in_the_mixer(plan, row, Mixed("fX", row.signal_hz, m, n, OTHER), OTHER_SIGNAL)
    if row.mechanism not in ("oscillator-on-station", "oscillator-in-if"):
        raise ModelRangeError(f"a row of {row.mechanism} needs m, n and e")
    return _own_axes(plan, row)


def _on_a_later_if(plan: Plan, row: Row, number: int) -> tuple[Axis, ...]:
    """Return a harmonic of a source on the IF behind a later mixer, whatever the dial setting."""
    clock = Mixed(CLOCK, row.sources_hz[0], row.m or 1, 0, OTHER)
    strokes, ways = harmonics_of(clock, label(row.name or "clock", LONGEST_NAME))
    reached = Arrow(0, strokes[-1].hertz, REACH, f"IF {plan.rounding.fine(strokes[-1].hertz)}")
    inside = Axis("Inside the set", strokes, (reached, *ways), plan.rounding)
    return inside, if_axis(plan, number, [strokes[-1]])


def _own_axes(plan: Plan, row: Row) -> tuple[Axis, ...]:
    rounding, wanted = plan.rounding, wanted_of(row)
    own, ways = oscillator_of(row, row.n or 1)
    met: tuple[Stroke, ...] = ()
    reached = [reach_of(wanted, row, rounding)]
    if row.n is None:
        met = (
            Stroke("fX", row.signal_hz if row.signal_hz is not None else row.oscillator_hz, OTHER, "station"),
        )
        behind = [wanted]
    else:
        landed = row.n * row.oscillator_hz
        behind = [wanted, Mixed(times_sign(row.n, "fL"), landed, 1, 0, OWN)]
        reached.append(Arrow(0, landed, REACH, f"IF {rounding.fine(landed)}", OWN))
    strokes = (Stroke("fT", row.dial_hz, WANTED, "wanted, dial"), *own, *met)
    shade = Shade(plan.band.low_hz, plan.band.high_hz, "dial")
    ahead = Axis("At the aerial and in the mixer", strokes, (*reached, *ways), rounding, (shade,))
    return ahead, behind_the_mixer(plan, row, behind)


def _other_set_axes(plan: Plan, row: Row, dial_hz: Hertz, oscillator_hz: Hertz) -> tuple[Axis, ...]:
    times = row.harmonic or 1
    mixed = Mixed(times_sign(times, "f′L"), times * oscillator_hz, 1, row.n or 0, OTHER)
    theirs = [Stroke("f′T", dial_hz, OTHER, "its dial")]
    theirs += [Stroke("f′L", oscillator_hz, OTHER, "its oscillator")] if times > 1 else []
    apart = distance_hz(oscillator_hz, dial_hz)
    own_if = "its IF " if apart == row.tuning.intermediate_hz else ""
    step = Arrow(dial_hz, oscillator_hz, STEP, f"{own_if}{plan.rounding.fine(apart)}", OTHER)
    return in_the_mixer(plan, row, mixed, "other set", strokes=theirs, arrows=[step])


def is_plain(row: Row) -> bool:
    """Return whether a row is a product of the oscillator with one signal."""
    return (
        row.k is None
        and not row.kind
        and row.offset_hz is None
        and row.q is None
        and not is_shift(row.numbers())
    )
