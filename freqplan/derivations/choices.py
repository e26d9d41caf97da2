"""Why the IF is what it is, which side the oscillator takes, and how far it must tune."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from math import ceil, floor
from typing import Any

import sympy

from freqplan.derivations.rejection import kept_out
from freqplan.derivations.signs import TURNED, e, fI, fL, fT, fX, k, m, n, s, signs, solved_for
from freqplan.derivations.steps import Case, Step, case_of
from freqplan.mixing import Tuning
from freqplan.services import services_in

F1, F2, f0, x, z, zS, u, dX, o = signs("F1 F2 f0 x z zS u dX o")
SIDES = ("high", "low")


def ends(case: Case) -> dict[sympy.Symbol, Fraction]:
    """Return the numbers of a case with the ends of the band."""
    band = case.plan.band
    return {**case.values, F1: Fraction(band.low_hz), F2: Fraction(band.high_hz)}


def why_this_if(case: Case) -> Iterator[Step]:
    """Yield what an IF must clear: the image, the half-IF, its own harmonics, pairs of channels; and what it buys."""
    values = ends(case)
    width = values[F2] - values[F1]
    own = values[fI]
    image = solved_for(f0, sympy.Eq(F1 + 2 * f0, F2))
    values[f0] = width / 2
    yield Step(
        "The image lies two IFs from the dial. It is out of the band for every setting where two IFs are more "
        "than the band is "
        f"wide, from this IF upwards; the IF of this set is {'above' if own > width / 2 else 'not above'} it.",
        sympy.Eq(f0, image),
        values,
    )
    if own <= width / 2:
        yield Step("Stations of the band itself come in as images, up to the dial setting", sympy.Eq(fT, F2 - 2 * fI), {
            **values, fT: values[F2] - 2 * own,
        })  # fmt: skip
    half = solved_for(f0, sympy.Eq(F1 + f0 / 2, F2))
    yield Step(
        "The nearer half-IF response lies half an IF from the dial. To bring that out too the IF would have to "
        "be above",
        sympy.Eq(f0, half),
        {**values, f0: 2 * width},
    )
    yield from _harmonics(case, values)
    yield from _pairs(case)
    yield Step(
        "A higher IF puts the image farther down the slope of the tuned circuits; a lower one makes a given "
        "filter sharper in "
        "kilohertz. At the top of the band, where the circuits are widest, the image loses:"
    )
    yield from _image_at_top(case)


def _harmonics(case: Case, values: dict[sympy.Symbol, Fraction]) -> Iterator[Step]:
    own = values[fI]
    first, last = max(2, ceil(values[F1] / own)), floor(values[F2] / own)
    if first > last:
        yield Step("No harmonic of the IF lies in the band.")
    for number in range(first, min(last, first + 3) + 1):
        yield Step(
            "A harmonic of the IF lies in the band, and whistles on a station there:",
            sympy.Eq(fT, k * fI),
            {**values, k: number, fT: number * own},
        )
    if last > first + 3:
        yield Step(f"So do the {last - first - 3} above it.")


def _pairs(case: Case) -> Iterator[Step]:
    own, raster = case.tuning.intermediate_hz, case.plan.band.raster_hz
    beside = Fraction(own % raster)
    rounding = case.plan.rounding
    step = f"{rounding.fine(raster)} {rounding.unit}"
    if beside:
        yield Step(
            f"On a raster of {step} no two stations are exactly one IF apart: the nearest pairs are off by",
            sympy.Eq(o, fI - k * f0),
            case.having(k=own // raster, f0=Fraction(raster), o=beside),
        )
    else:
        yield Step(
            f"On a raster of {step} stations can be exactly one IF apart, which falls into the IF by their "
            "difference:",
            sympy.Eq(fI, k * f0),
            case.having(k=own // raster, f0=Fraction(raster)),
        )


def _image_at_top(case: Case) -> Iterator[Step]:
    top = Fraction(case.plan.band.high_hz)
    image = (
        2 * case.tuning.intermediate_hz - top
        if case.tuning.side == "sum"
        else top + 2 * case.tuning.t * case.tuning.intermediate_hz
    )
    if image <= 0:
        return
    steps = list(kept_out(case_of(case.plan, case.tuning, {}, dial_hz=top, fX=image)))
    yield from steps or [
        Step("The plan tells nothing of tuned circuits, so nothing can be said of how much.")
    ]


def edges_of_ifs(case: Case) -> Iterator[Step]:
    """Yield at which IFs a response or a harmonic of the IF enters and leaves the band."""
    values = ends(case)
    if k in values:
        yield Step("The k-th harmonic of the IF is on the dial setting:", sympy.Eq(fT, k * fI))
    else:
        solved = solved_for(fX, TURNED).subs({symbol: values[symbol] for symbol in (m, n, e)})
        in_dial = sympy.expand(solved.subs(fL, case.oscillator))
        yield Step("The response in terms of dial and IF:", sympy.Eq(fX, in_dial))
    for name, words in (("low_exact", "low"), ("high_exact", "high")):
        yield _edge(case, values, Fraction(case.row[name]), words)


def _edge(case: Case, values: dict[sympy.Symbol, Any], intermediate: Fraction, words: str) -> Step:
    """Return why an IF is the end of a range: there the response is at an end of the band with the dial at one."""
    for dial in (F1, F2):
        if k in values:
            if intermediate * values[k] == values[dial]:
                return Step(
                    f"The {words} end: the harmonic is on an end of the band.",
                    sympy.Eq(fI, dial / k),
                    {**values, fI: intermediate},
                )
            continue
        for signal in (F1, F2):
            meets = sympy.Eq(n * case.oscillator.subs(fT, dial) - m * signal, e * fI)
            found = sympy.solve(meets, fI)
            if found and found[0].subs(values) == intermediate:
                own = {**values, fI: intermediate}
                return Step(
                    f"The {words} end: with the dial at the {_end(dial)} end of the band the response is at the "
                    f"{_end(signal)} one.",
                    sympy.Eq(fI, found[0]),
                    own,
                )
    return Step(f"The {words} end is that of the range that was asked for.")


def _end(symbol: sympy.Symbol) -> str:
    return "low" if symbol == F1 else "high"


def which_side(case: Case) -> Iterator[Step]:
    """Yield oscillator, ratio and image of either side, and how one follows from the other."""
    plan = case.plan
    for side in SIDES:
        tuning = Tuning(side, case.tuning.intermediate_hz)
        if tuning.oscillator_hz(plan.band.low_hz) <= 0:
            yield Step(
                f"Oscillator {side}: it would have to be below zero at the low end of the band; there is no such side."
            )
            continue
        yield from _one_side(case_of(plan, tuning, {}, dial_hz=plan.band.low_hz), side)
    yield Step(
        "Put -s for s, and every sum of the one side is the mirror image of one of the other: as far below the "
        "dial as that "
        "is above. What lives there, and how far the oscillator must tune, is what decides."
    )


def _one_side(case: Case, side: str) -> Iterator[Step]:
    values, plan = ends(case), case.plan
    low, high = case.tuning.oscillator_hz(plan.band.low_hz), case.tuning.oscillator_hz(plan.band.high_hz)
    yield Step(
        f"Oscillator {side}, s = {values[s]:d}, dial at the low end:",
        sympy.Eq(fL, F1 + s * fI),
        {**values, fL: Fraction(low)},
    )
    yield Step("Dial at the high end:", sympy.Eq(fL, F2 + s * fI), {**values, fL: Fraction(high)})
    where = _names(low, high, plan.region) or "nothing known"
    yield Step(f"There it radiates into: {where}.")
    yield Step(
        "Its highest frequency over its lowest:",
        sympy.Eq(x, (F2 + s * fI) / (F1 + s * fI)),
        {**values, x: Fraction(high, low)},
    )
    images = [Fraction(dial) + 2 * values[s] * values[fI] for dial in (values[F1], values[F2])]
    for words, dial, image in (("low", F1, images[0]), ("high", F2, images[1])):
        yield Step(
            f"The image with the dial at the {words} end:",
            sympy.Eq(fX, dial + 2 * s * fI),
            {**values, fX: image},
        )
    there = [max(round(hertz), 0) for hertz in images]
    if there[1] > 0:
        lives = _names(there[0], there[1], plan.region) or "nobody known"
        yield Step(f"There lives: {lives}.")


def _names(low_hz: int, high_hz: int, region: int) -> str:
    return ", ".join(dict.fromkeys(one.name for one in services_in(low_hz, high_hz, region=region)))


def tracking(case: Case) -> Iterator[Step]:
    """Yield the ratios of oscillator and signal circuits, and how a trimmer makes one gang serve both."""
    values, band, tuning = ends(case), case.plan.band, case.tuning
    own = (fI - F1, fI - F2) if tuning.side == "sum" else (F2 + s * fI, F1 + s * fI)
    high, low = sorted(
        (Fraction(tuning.oscillator_hz(hz)) for hz in (band.low_hz, band.high_hz)), reverse=True
    )
    values |= {x: high / low, z: (high / low) ** 2, zS: (values[F2] / values[F1]) ** 2}
    yield Step("The oscillator must tune over the ratio:", sympy.Eq(x, own[0] / own[1]), values)
    frequency, capacitance, inductance = sympy.symbols("f C L", positive=True)
    resonance = sympy.Eq(frequency, 1 / (2 * sympy.pi * sympy.sqrt(inductance * capacitance)))
    power = sympy.degree(sympy.numer(sympy.together(1 / solved_for(capacitance, resonance))), frequency)
    yield Step(
        "A circuit needs, for one over its frequency squared, that much more capacitance, strays included:",
        sympy.Eq(z, x**power),
        values,
    )
    yield Step(
        "The signal circuits, which stand on the dial itself, need more or less than that:",
        sympy.Eq(zS, (F2 / F1) ** power),
        values,
    )
    if tuning.side == "sum":
        yield Step(
            "Its frequency falls as the dial rises, so no section on one shaft with the signal circuits can tune it."
        )
        return
    if values[zS] <= values[z]:
        yield Step(
            "Here the oscillator needs the larger swing: with equal sections on one shaft it is the signal "
            "circuits whose "
            "swing has to be made smaller, by trimmers across them."
        )
        return
    yield from _trimmer(case, values)


def _trimmer(case: Case, values: dict[sympy.Symbol, Fraction]) -> Iterator[Step]:
    trimmer = solved_for(u, sympy.Eq((zS + u) / (1 + u), z))
    values[u] = Fraction(*sympy.fraction(sympy.nsimplify(trimmer.subs(values))))
    yield Step(
        "With equal sections on one shaft, a trimmer across that of the oscillator makes its swing smaller. Set "
        "so that both "
        "ends fit, it is this many times the least capacitance of the section:",
        sympy.Eq(u, trimmer),
        values,
    )
    dial = Fraction(case.plan.middle_channel_hz)
    top = Fraction(case.tuning.oscillator_hz(case.plan.band.high_hz))
    error = (F2 + s * fI) * sympy.sqrt((1 + u) / ((F2 / fT) ** 2 + u)) - (fT + s * fI)
    there = {**values, fT: dial, fL: Fraction(case.tuning.oscillator_hz(dial))}
    off = float(sympy.N(error.subs(there)))
    assert top == there[F2] + there[s] * there[fI]
    yield Step(
        "In the middle of the band, where the section has (F2/fT)^2 times its least capacitance, the oscillator "
        "is then beside "
        "where it should be by:",
        sympy.Eq(dX, error),
        {**there, dX: off},
    )
    yield Step(
        "The rest is met with a padder in series, or with plates cut to shape; then the error is zero at three "
        "settings and small "
        "between them."
    )
