"""What the spectrum chart shows of one sum, gathered without drawing: strokes on axes, and arrows between them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import TYPE_CHECKING, Any, NamedTuple

from freqplan.charts.spectrum_row import Hertz, distance_hz
from freqplan.hertz import HZ_IN, Rounding, decimal_text

if TYPE_CHECKING:
    from freqplan.charts.spectrum_row import Row
    from freqplan.plan import Plan

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
        return distance_hz(self.end_hz, self.start_hz)


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


def made_hz(mixed: Mixed, row: Row) -> Hertz:
    """Return what comes out of the mixer: the difference of the two harmonics, their sum where n is negative [Hz]."""
    return distance_hz(mixed.n * row.oscillator_hz, mixed.m * mixed.hertz)


def made_sign(mixed: Mixed, row: Row) -> str:
    """Write what comes out of the mixer, such as ``2·fL − 2·fX``."""
    signal, own = times_sign(mixed.m, mixed.sign), times_sign(mixed.n, "fL")
    if mixed.n == 0:
        return signal
    if mixed.is_made:
        signal = f"({signal})"
    if mixed.n < 0:
        return f"{signal} + {own}"
    is_above = mixed.n * row.oscillator_hz >= mixed.m * mixed.hertz
    return f"{own} − {signal}" if is_above else f"{signal} − {own}"


def reach_of(mixed: Mixed, row: Row, rounding: Rounding) -> Arrow:
    """Return the arrow from a signal to the oscillator; of what is no difference, from zero or by the oscillator."""
    signal, length = mixed.m * mixed.hertz, made_hz(mixed, row)
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
    strokes = [Stroke(made_sign(one, row), made_hz(one, row), one.kind, is_made=True) for one in some]
    return if_axis(plan, 1, strokes)


def if_axis(plan: Plan, number: int, strokes: Sequence[Stroke]) -> Axis:
    """Return the axis about the IF behind mixer `number`, with the filter behind the last one."""
    middle = plan.conversion[number - 1].intermediate_hz
    known = plan.conversion[number - 1].filter or (plan.if_filter if number == len(plan.conversion) else None)
    shades: tuple[Shade, ...] = ()
    if known is not None:
        half = Fraction(known.bandwidth_hz, 2)
        shades = (Shade(middle - half, middle + half, f"IF filter {kilohertz(known.bandwidth_hz)} kHz"),)
    title = "Behind the mixer" if len(plan.conversion) == 1 else f"Behind mixer {number}"
    return Axis(title, tuple(strokes), (), plan.rounding, shades, is_whole=True, is_apart=True)


def kilohertz(hertz: Hertz) -> str:
    """Write a frequency in kilohertz without its unit, whole where it is."""
    return decimal_text(hertz, unit_hz=HZ_IN["kHz"], decimals=0, extra=3)


IN_KHZ = Rounding(unit="kHz", dial_decimals=0, fine_decimals=1)
"""How frequencies in the decoder, and widths of filters, are written."""
