"""What the spectrum chart shows of sums that are more than one signal and the oscillator."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import TYPE_CHECKING

from freqplan.chains import chains, sides_told
from freqplan.charts.spectrum_parts import (
    IF,
    IN_KHZ,
    MOST_TEETH,
    OTHER,
    OTHER_SIGNAL,
    OWN,
    REACH,
    STEP,
    TIMES,
    WANTED,
    Arrow,
    Axis,
    Mixed,
    Shade,
    Stroke,
    behind_the_mixer,
    if_axis,
    in_the_mixer,
    kilohertz,
    made_hz,
    made_sign,
    reach_of,
    times_sign,
    wanted_of,
)
from freqplan.charts.spectrum_plain import is_plain, plain_axes
from freqplan.charts.spectrum_row import Hertz, distance_hz, tidy
from freqplan.errors import ModelRangeError
from freqplan.own_words import is_shift
from freqplan.station_sums import TIMES as TIMES_TAKEN
from freqplan.tones import MONO_LIMIT_HZ, PILOT_HZ, SUBCARRIER_HZ

if TYPE_CHECKING:
    from freqplan.chains import Later
    from freqplan.charts.spectrum_row import Row
    from freqplan.plan import Plan


def axes_of(plan: Plan, row: Row) -> tuple[Axis, ...]:
    """Return the axes of one sum, from the aerial to the filter that decides.

    Parameters
    ----------
    plan : Plan
        The receiver.
    row : Row
        The sum, whole.
    """
    if row.offset_hz is not None:
        return _decoder_axes(plan, row)
    if is_plain(row):
        return plain_axes(plan, row)
    if row.k is not None:
        return _comb_axes(plan, row, row.k)
    if row.kind:
        return _station_axes(plan, row)
    if row.mechanism == "second-image":
        return _later_image_axes(plan, row)
    if is_shift(row.numbers()) and row.m is not None:
        return _sideband_axes(plan, row)
    return _two_oscillators_axes(plan, row)


def _comb_axes(plan: Plan, row: Row, k: int) -> tuple[Axis, ...]:
    """Return a harmonic of an IF on the dial, with all harmonics below it."""
    own_if = row.sources_hz[0] if row.sources_hz else row.tuning.intermediate_hz
    rounding, wanted = plan.rounding, wanted_of(row)
    strokes = (
        Stroke("fI", own_if, IF, "IF"),
        Stroke("fT", row.dial_hz, WANTED, "wanted, dial"),
        Stroke(times_sign(k, "fI"), k * own_if, IF, is_made=True),
        Stroke("fL", row.oscillator_hz, OWN, "oscillator"),
    )
    arrows = (reach_of(wanted, row, rounding), Arrow(own_if, k * own_if, TIMES, f"× {k}", IF))
    teeth = tuple(own_if * j for j in range(1, k + 1)) if k <= MOST_TEETH else ()
    shade = Shade(plan.band.low_hz, plan.band.high_hz, "dial")
    title = "Harmonics of the IF, received as signals"
    ahead = Axis(title, strokes, arrows, rounding, (shade,), teeth, is_whole=k <= MOST_TEETH)
    harmonic = Mixed(times_sign(k, "fI"), k * own_if, wanted.m, wanted.n, IF)
    return ahead, behind_the_mixer(plan, row, [wanted, harmonic])


def _station_axes(plan: Plan, row: Row) -> tuple[Axis, ...]:
    """Return a sum of stations: how it comes about, and how it is received."""
    taken, letters = TIMES_TAKEN[row.kind], "ABC"
    stations = [
        Stroke(letter, hertz, OTHER, name)
        for letter, (name, hertz) in zip(letters, row.stations, strict=False)
    ]
    pairs = zip(row.stations, taken, strict=True)
    whole = tidy(sum((Fraction(hertz) * times for (_, hertz), times in pairs), Fraction(0)))
    sign = sum_sign(row.kind)
    steps = _steps(plan, row, whole)
    if row.kind == "A-B" and row.n == 0:
        wanted, rounding = wanted_of(row), plan.rounding
        strokes = (*stations, Stroke("fT", row.dial_hz, WANTED, "wanted, dial"), *_oscillator(row))
        arrows = (reach_of(wanted, row, rounding), *steps)
        shade = Shade(plan.band.low_hz, plan.band.high_hz, "dial")
        ahead = Axis("At the aerial and in the mixer", strokes, arrows, rounding, (shade,))
        return ahead, behind_the_mixer(plan, row, [wanted, Mixed(sign, whole, 1, 0, OTHER)])
    mixed = Mixed(sign, whole, 1, row.n or 0, OTHER, is_made=True)
    return in_the_mixer(
        plan, row, mixed, "their sum" if "-" not in row.kind else "", strokes=stations, arrows=steps
    )


def sum_sign(kind: str) -> str:
    """Write a kind of sum, such as ``2·A − B``."""
    return kind.replace("2A", "2·A").replace("+", " + ").replace("-", " − ")


def _oscillator(row: Row) -> tuple[Stroke, ...]:
    return (Stroke("fL", row.oscillator_hz, OWN, "oscillator"),)


def _steps(plan: Plan, row: Row, made: Fraction | int) -> tuple[Arrow, ...]:
    """Return the distances that a sum of stations is made of."""
    rounding, (a, b, *more) = plan.rounding, [hertz for _, hertz in row.stations]
    if row.kind == "A+B":
        return (Arrow(a, made, TIMES, f"+ {rounding.fine(b)}"),)
    if row.kind == "A-B":
        own_if = row.tuning.intermediate_hz
        words = f"IF {rounding.fine(made)}" if made == own_if else f"A − B {rounding.fine(made)}"
        return (Arrow(b, a, REACH if row.n == 0 else STEP, words),)
    start = more[0] if more else b
    end = b if more else a
    words = rounding.fine(distance_hz(end, start))
    return (Arrow(start, end, STEP, words), Arrow(a, made, STEP, words))


def _sideband_axes(plan: Plan, row: Row) -> tuple[Axis, ...]:
    """Return a sideband of the oscillator: signal and oscillator, each with what stands beside it."""
    rounding, wanted = plan.rounding, wanted_of(row)
    q, source = row.q or 0, row.sources_hz[0]
    step, sigma = q * source, row.tuning.sigma
    turned = "+" if sigma * q > 0 else "−"
    sideband = row.oscillator_hz + sigma * step
    signal = row.dial_hz + step
    strokes = (
        Stroke("fT", row.dial_hz, WANTED, "wanted, dial"),
        Stroke("fX", signal, OTHER, "strong station"),
        Stroke("fL", row.oscillator_hz, OWN, "oscillator"),
        Stroke(f"fL {turned} {times_sign(q, 'fR')}", sideband, OWN, "sideband", is_made=True),
    )
    words = f"IF {rounding.fine(row.tuning.intermediate_hz)}"
    reached = [reach_of(wanted, row, rounding)]
    if sigma > 0:
        reached.append(Arrow(signal, sideband, REACH, words))
    steps = (
        Arrow(row.dial_hz, signal, STEP, rounding.fine(abs(step))),
        Arrow(row.oscillator_hz, sideband, STEP, rounding.fine(abs(step)), OWN),
    )
    ahead = Axis("At the aerial and at the oscillator", strokes, (*reached, *steps), rounding)
    landed = [
        Stroke(made_sign(wanted, row), row.tuning.intermediate_hz, WANTED, is_made=True),
        Stroke("sideband with fX", row.tuning.intermediate_hz, OTHER, is_made=True),
    ]
    return ahead, if_axis(plan, 1, landed)


def _later_image_axes(plan: Plan, row: Row) -> tuple[Axis, ...]:
    """Return the image of a later conversion: what passes the first mixer beside the wanted signal, and so on."""
    rounding, wanted = plan.rounding, wanted_of(row)
    signal = row.dial_hz + (row.q or 0) * row.sources_hz[0]
    other = Mixed("fX", signal, wanted.m, wanted.n, OTHER)
    first, _ = in_the_mixer(plan, row, other, OTHER_SIGNAL)
    axes, before = [first], [made_hz(wanted, row), made_hz(other, row)]
    chain = _chain_of(plan, row)
    for later in chain:
        after = [distance_hz(hertz, later.alpha * later.oscillator_hz) for hertz in before]
        own = Stroke(f"fL{later.number}", later.oscillator_hz, OWN, f"oscillator {later.number}")
        arrows = tuple(
            Arrow(hertz, later.oscillator_hz, REACH, f"IF {rounding.fine(made)}", kind)
            for hertz, made, kind in zip(before, after, (WANTED, OTHER), strict=True)
        )
        strokes = tuple(
            Stroke(sign, hertz, kind, words)
            for hertz, sign, kind, words in zip(
                before, ("from fT", "from fX"), (WANTED, OTHER), ("wanted", OTHER_SIGNAL), strict=True
            )
        )
        axes.append(Axis(f"Behind mixer {later.number - 1}", (*strokes, own), arrows, rounding))
        before = after
    landed = [
        Stroke(sign, hertz, kind, is_made=True)
        for hertz, sign, kind in zip(before, ("from fT", "from fX"), (WANTED, OTHER), strict=True)
    ]
    return *axes, if_axis(plan, chain[-1].number, landed)


def _chain_of(plan: Plan, row: Row) -> Sequence[Later]:
    """Return the conversions up to the one whose image a row is, with the sides that its name tells."""
    parts = [chain[:place] for chain in chains(plan) for place in range(1, len(chain) + 1)]
    if not parts:
        raise ModelRangeError(f"a row of {row.mechanism} needs a plan with a second conversion")
    named = (part for part in parts if row.name == f"conversion {part[-1].number}{sides_told(part)}")
    return next(named, parts[0])


def _two_oscillators_axes(plan: Plan, row: Row) -> tuple[Axis, ...]:
    """Return a product of two oscillators, and where it lands."""
    rounding, n, q = plan.rounding, row.n or 0, row.q or 0
    first = row.sources_hz[0] if len(row.sources_hz) == 2 else row.oscillator_hz
    second, names = row.sources_hz[-1], ("fL2", "fL3") if len(row.sources_hz) == 2 else ("fL", "fL2")
    made = distance_hz(n * first, -q * second)
    pairs: list[tuple[int, Hertz, str]] = [(n, first, names[0]), (q, second, names[1])]
    strokes = [Stroke(name, hertz, OWN, "oscillator") for _, hertz, name in pairs]
    strokes += [
        Stroke(times_sign(often, name), abs(often) * hertz, OWN, is_made=True)
        for often, hertz, name in pairs
        if abs(often) > 1
    ]
    signs = [f"{'−' if often < 0 else '+'} {times_sign(often, name)}" for often, _, name in pairs]
    where = "on the dial" if made == row.dial_hz else "on the IF"
    strokes.append(Stroke(" ".join(sorted(signs)).removeprefix("+ "), made, OTHER, where, is_made=True))
    strokes.append(Stroke("fT", row.dial_hz, WANTED, "wanted, dial"))
    (often, hertz, _), (times, _, name) = sorted(pairs, key=lambda pair: pair[0] < 0)
    arrows = [
        Arrow(abs(often) * hertz, made, STEP, f"{'−' if times < 0 else '+'} {times_sign(times, name)}", OWN),
        reach_of(wanted_of(row), row, rounding),
    ]
    shade = Shade(plan.band.low_hz, plan.band.high_hz, "dial")
    return (Axis("Inside the set", tuple(strokes), tuple(arrows), rounding, (shade,)),)


def _decoder_axes(plan: Plan, row: Row) -> tuple[Axis, ...]:
    """Return a distance against the carriers of the stereo decoder, and the note that comes of it."""
    offset, carrier, pitch = row.offset_hz or 0, row.decoder_hz or 0, row.pitch_hz or 0
    sign = "d" if row.signal_hz is not None else times_sign(row.m or 1, "fR")
    odd = carrier // SUBCARRIER_HZ
    strokes = [
        Stroke("pilot", PILOT_HZ, OWN),
        Stroke(sign, offset, OTHER, "distance" if sign == "d" else "reference"),
    ]
    heard = sign
    if carrier:
        heard = f"|{sign} − {kilohertz(carrier)}|"
        named = times_sign(odd, "38 kHz") if odd > 1 else "subcarrier"
        strokes.append(Stroke(named, carrier, OWN, "decoder"))
    strokes.append(Stroke(heard, pitch, WANTED, "heard", is_made=True))
    note = IN_KHZ.fine(pitch)
    arrows = [Arrow(carrier, offset, REACH, note), Arrow(0, pitch, REACH, note, WANTED)]
    shades = (
        Shade(0, MONO_LIMIT_HZ, "sum: heard in mono"),
        Shade(SUBCARRIER_HZ - MONO_LIMIT_HZ, SUBCARRIER_HZ + MONO_LIMIT_HZ, "difference: stereo"),
    )
    own = Axis("Behind the demodulator", tuple(strokes), tuple(arrows), IN_KHZ, shades, is_whole=True)
    return (own,) if row.signal_hz is None else (_side_by_side(plan, row), own)


def _side_by_side(plan: Plan, row: Row) -> Axis:
    signal = row.signal_hz or 0
    names = [name for name, _ in row.stations] or ["wanted", "neighbour"]
    strokes = (Stroke("fT", row.dial_hz, WANTED, names[0]), Stroke("fX", signal, OTHER, names[1]))
    distance = Arrow(row.dial_hz, signal, STEP, f"d {kilohertz(distance_hz(signal, row.dial_hz))} kHz")
    return Axis("At the aerial", strokes, (distance,), plan.rounding)
