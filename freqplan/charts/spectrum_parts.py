"""What the spectrum chart shows of one sum, gathered without drawing: strokes on axes, and arrows between them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import TYPE_CHECKING, Any, NamedTuple, TypeAlias

from freqplan.errors import ModelRangeError
from freqplan.hertz import Rounding
from freqplan.own_words import is_shift

if TYPE_CHECKING:
    from freqplan.charts.spectrum_row import Row
    from freqplan.mixing import Tuning
    from freqplan.plan import Plan

Hertz: TypeAlias = "Fraction | int"

WANTED, OWN, OTHER, IF = "wanted", "own", "other", "if"
"""What a stroke stands for: the station on the dial, the set's oscillators, any other signal, the IF."""

REACH, STEP, TIMES = "reach", "step", "times"
"""What an arrow is: the IF between signal and oscillator, a distance in a sum, the way to a harmonic."""

OTHER_SIGNAL, CLOCK = "other signal", "fC"
MOST_TEETH = 40
"""So many multiples of one frequency are marked between it and its harmonic; of more none."""


class Stroke(NamedTuple):
    """A frequency on an axis: its sign in the formula, what it is, and whether something makes it of another."""

    sign: str
    hertz: Hertz
    kind: str
    words: str = ""
    is_made: bool = False


class Arrow(NamedTuple):
    """An arrow along an axis from one frequency to another, with what is written on it."""

    start_hz: Hertz
    end_hz: Hertz
    kind: str
    words: str
    of: str = OTHER
    """Whose it is: as the kind of a stroke."""

    @property
    def length_hz(self) -> Hertz:
        """Return how long it is [Hz]."""
        return abs(self.end_hz - self.start_hz)


class Shade(NamedTuple):
    """A shaded range of an axis, and its name."""

    low_hz: Hertz
    high_hz: Hertz
    words: str


@dataclass(frozen=True)
class Axis:
    """One frequency axis.

    Attributes
    ----------
    title : str
        What part of the way through the set it shows.
    strokes, arrows, shades : tuple
        What stands on it.
    rounding : Rounding
        How its frequencies are written.
    comb_hz : tuple of int [Hz]
        All multiples of one frequency, marked small.
    is_whole : bool
        Whether it is drawn without breaks, from its lowest to its highest frequency.
    is_apart : bool
        Whether strokes on one place keep labels of their own.
    """

    title: str
    strokes: tuple[Stroke, ...]
    arrows: tuple[Arrow, ...]
    rounding: Rounding
    shades: tuple[Shade, ...] = ()
    comb_hz: tuple[Hertz, ...] = field(default=(), repr=False)
    is_whole: bool = False
    is_apart: bool = False


class Mixed(NamedTuple):
    """A signal with the harmonics by which it is mixed: m times its frequency against n times the oscillator."""

    sign: str
    hertz: Hertz
    m: int
    n: int
    kind: str
    is_made: bool = False


def times_sign(factor: int, sign: str) -> str:
    """Write a harmonic, such as ``2·fL``; the first is the frequency itself."""
    return sign if abs(factor) == 1 else f"{abs(factor)}·{sign}"


def wanted_of(row: Row) -> Mixed:
    """Return the station on the dial setting."""
    m, n, _ = row.tuning.wanted
    return Mixed("fT", row.dial_hz, m, n, WANTED)


def made_hz(mixed: Mixed, tuning: Tuning, dial_hz: Hertz) -> Hertz:
    """Return what comes out of the mixer: the difference of the two harmonics, their sum where n is negative [Hz]."""
    own: Hertz = mixed.n * tuning.oscillator_hz(dial_hz)
    return abs(own - mixed.m * mixed.hertz)


def made_sign(mixed: Mixed, tuning: Tuning, dial_hz: Hertz) -> str:
    """Write what comes out of the mixer, such as ``2·fL − 2·fX``."""
    signal, own = times_sign(mixed.m, mixed.sign), times_sign(mixed.n, "fL")
    if mixed.n == 0:
        return signal
    if mixed.is_made:
        signal = f"({signal})"
    if mixed.n < 0:
        return f"{signal} + {own}"
    is_above = mixed.n * tuning.oscillator_hz(dial_hz) >= mixed.m * mixed.hertz
    return f"{own} − {signal}" if is_above else f"{signal} − {own}"


def reach_of(mixed: Mixed, row: Row, rounding: Rounding) -> Arrow:
    """Return the arrow from a signal to the oscillator; from zero, or by the oscillator, where there is no difference."""
    signal, length = mixed.m * mixed.hertz, made_hz(mixed, row.tuning, row.dial_hz)
    words = f"IF {rounding.fine(length)}" if length == row.tuning.intermediate_hz else rounding.fine(length)
    if mixed.n == 0:
        return Arrow(0, signal, REACH, words, mixed.kind)
    if mixed.n < 0:
        return Arrow(signal, length, STEP, f"+ {times_sign(mixed.n, 'fL')}", mixed.kind)
    return Arrow(signal, mixed.n * row.oscillator_hz, REACH, words, mixed.kind)


def harmonics_of(mixed: Mixed, words: str) -> tuple[tuple[Stroke, ...], tuple[Arrow, ...]]:
    """Return the stroke of a signal and, where a harmonic of it takes part, that of the harmonic and the way to it."""
    own = Stroke(mixed.sign, mixed.hertz, mixed.kind, words, mixed.is_made)
    if mixed.m < 2:
        return (own,), ()
    made = mixed.m * mixed.hertz
    stroke = Stroke(times_sign(mixed.m, mixed.sign), made, mixed.kind, is_made=True)
    return (own, stroke), (Arrow(mixed.hertz, made, TIMES, f"× {mixed.m}", mixed.kind),)


def oscillator_of(row: Row, n: int) -> tuple[tuple[Stroke, ...], tuple[Arrow, ...]]:
    """Return the same for the oscillator."""
    mixed = Mixed("fL", row.oscillator_hz, abs(n), 1, OWN)
    return harmonics_of(mixed, "oscillator")


def in_the_mixer(
    plan: Plan, row: Row, mixed: Mixed, words: str, *, strokes: Sequence[Stroke] = (), arrows: Sequence[Arrow] = ()
) -> tuple[Axis, ...]:  # fmt: skip
    """Return the axes of a product of one signal and the oscillator: ahead of the mixer, and behind it.

    Parameters
    ----------
    plan : Plan
        The receiver.
    row : Row
        The sum.
    mixed : Mixed
        The signal and the harmonics that take part.
    words : str
        What the signal is.
    strokes, arrows
        What else stands on the first axis.
    """
    rounding, wanted = plan.rounding, wanted_of(row)
    own, own_ways = oscillator_of(row, mixed.n)
    signal, ways = harmonics_of(mixed, words)
    signal = tuple(stroke for stroke in signal if stroke.sign != wanted.sign)
    is_wanted = mixed.hertz == wanted.hertz and (mixed.m, mixed.n) == (wanted.m, wanted.n)
    reached = [reach_of(wanted, row, rounding)] + ([] if is_wanted else [reach_of(mixed, row, rounding)])
    sums = {one.end_hz: one.kind for one in reached if one.kind == STEP}
    ifs = tuple(Stroke("fI", hertz, IF, "IF", is_made=True) for hertz in sums)
    ahead = Axis(
        "At the aerial and in the mixer",
        (Stroke("fT", row.dial_hz, WANTED, "wanted, dial"), *own, *strokes, *signal, *ifs),
        (*reached, *ways, *own_ways, *arrows),
        rounding,
        (Shade(plan.band.low_hz, plan.band.high_hz, "dial"),),
        **_comb(mixed),
    )
    return ahead, behind_the_mixer(plan, row, [wanted] if is_wanted else [wanted, mixed])


def _comb(mixed: Mixed) -> dict[str, Any]:
    """Return all harmonics of a source in the set, where they are few enough to be shown."""
    if mixed.sign != CLOCK or not 2 < mixed.m <= MOST_TEETH:
        return {}
    return {"comb_hz": tuple(mixed.hertz * j for j in range(1, mixed.m + 1)), "is_whole": True}


def behind_the_mixer(plan: Plan, row: Row, some: Sequence[Mixed]) -> Axis:
    """Return the axis of the IF: the filter, and where signals come out of the mixer."""
    strokes = [
        Stroke(
            made_sign(one, row.tuning, row.dial_hz),
            made_hz(one, row.tuning, row.dial_hz),
            one.kind,
            is_made=True,
        )
        for one in some
    ]
    return if_axis(plan, 1, strokes)


def if_axis(plan: Plan, number: int, strokes: Sequence[Stroke]) -> Axis:
    """Return the axis about the IF behind mixer `number`, with the filter behind the last one."""
    middle = plan.conversion[number - 1].intermediate_hz
    known = plan.conversion[number - 1].filter or (plan.if_filter if number == len(plan.conversion) else None)
    shades = ()
    if known is not None:
        half = Fraction(known.bandwidth_hz, 2)
        shades = (Shade(middle - half, middle + half, f"IF filter {_kilohertz(known.bandwidth_hz)} kHz"),)
    title = "Behind the mixer" if len(plan.conversion) == 1 else f"Behind mixer {number}"
    return Axis(title, tuple(strokes), (), plan.rounding, shades, is_whole=True, is_apart=True)


def _kilohertz(hertz: int) -> str:
    return IN_KHZ.dial(hertz) if hertz % 1000 == 0 else IN_KHZ.fine(hertz)


IN_KHZ = Rounding(unit="kHz", dial_decimals=0, fine_decimals=1)
"""How frequencies in the decoder, and widths of filters, are written."""


def plain_axes(plan: Plan, row: Row) -> tuple[Axis, ...]:
    """Return the axes of a product of the oscillator with one signal, be it a station, a clock or another set.

    A row without a signal is a harmonic of the oscillator on the IF, or the oscillator on a station.
    """
    n, m = row.n, row.m or 1
    if row.sources_hz and row.lands_on.startswith("if-"):
        return _on_a_later_if(plan, row, int(row.lands_on.partition("-")[2]))
    if row.sources_hz:
        return in_the_mixer(plan, row, Mixed(CLOCK, row.sources_hz[0], m, n or 0, OTHER), row.name or "clock")
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
    strokes, ways = harmonics_of(clock, row.name or "clock")
    reached = Arrow(0, strokes[-1].hertz, REACH, f"IF {plan.rounding.fine(strokes[-1].hertz)}")
    inside = Axis("Inside the set", strokes, (reached, *ways), plan.rounding)
    return inside, if_axis(plan, number, [strokes[-1]])


def _own_axes(plan: Plan, row: Row) -> tuple[Axis, ...]:
    rounding, wanted = plan.rounding, wanted_of(row)
    own, ways = oscillator_of(row, row.n or 1)
    reached = [reach_of(wanted, row, rounding)]
    if row.n is None:
        met = (
            Stroke("fX", row.signal_hz if row.signal_hz is not None else row.oscillator_hz, OTHER, "station"),
        )
        behind = [wanted]
    else:
        met, landed = (), row.n * row.oscillator_hz
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
    apart = abs(oscillator_hz - dial_hz)
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
