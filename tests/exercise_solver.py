"""Solves problem sheets from their text alone, as a student would: fractions, plain loops, nothing of the package.

A part is solved to the one right answer and to what each wrong method gives; frequencies are in the unit of the sheet.
"""

from __future__ import annotations

import math
import re
from fractions import Fraction
from typing import NamedTuple

NUMBER = r"(\d+(?:\.\d+)?)"
SIGNS = (1, -1)


class Solved(NamedTuple):
    """The right answer of a part, and what each named wrong method gives."""

    right: object
    wrong: dict[str, object]


def find(pattern, text):
    """Return the numbers of the first match as fractions, or None."""
    match = re.search(pattern.replace("#", NUMBER), text)
    return match and [Fraction(part) for part in match.groups() if part is not None]


def side_of(text):
    """Return +1, -1 or 0 (sum converter) as the text states it."""
    if "falls as the dial rises" in text:
        return 0
    assert ("oscillator above" in text) != ("oscillator below" in text)
    return 1 if "oscillator above" in text else -1


def oscillator(side, dial, own_if):
    return dial + side * own_if if side else own_if - dial


def answers_to(own, own_if, orders, *, senses=SIGNS):
    """Return every signal above zero that gives the IF by (m, n) up to the orders, n of either sign."""
    found = set()
    for m in range(1, orders[0] + 1):
        for n in [*range(-orders[1], 0), *range(1, orders[1] + 1)]:
            for e in senses:
                signal = (n * own - e * own_if) / Fraction(m)
                if signal > 0 and e * (n * own - m * signal) == own_if:
                    found.add(signal)
    return found


def image(side, dial, own_if):
    """Return the one other signal that meets the oscillator itself an IF away."""
    (found,) = answers_to(oscillator(side, dial, own_if), own_if, (1, 1)) - {dial}
    return found


def mirrored(side, dial, own_if):
    """Return the image by its definition, also where it is no frequency."""
    return dial + 2 * side * own_if if side else 2 * own_if - dial


def wrong_images(side, dial, own_if, nominal):
    wrong = {"if-once": oscillator(side, dial, own_if), "nominal-if": mirrored(side, dial, nominal)}
    if side:
        wrong |= {"wrong-side": dial - 2 * side * own_if, "half-if": dial + side * own_if / 2}
    else:
        wrong["not-a-sum"] = dial + 2 * own_if
    return Solved(image(side, dial, own_if), wrong)


def oscillator_part(side, dial, own_if):
    wrong = {"wrong-side": dial - side * own_if} if side else {"not-a-sum": dial + own_if}
    return Solved(oscillator(side, dial, own_if), wrong)


def measured_if(side, dial, own):
    """Return the IF by a counter at the oscillator."""
    return side * (own - dial) if side else own + dial


def real_part(real, nominal, **wrong):
    return Solved(
        real, {"nominal-if": nominal, **{name.replace("_", "-"): value for name, value in wrong.items()}}
    )


def solve_image(text, asked):
    side, (nominal,) = side_of(text), find("IF of #", text)
    dial = find(r"tuned to #", text)
    if dial:
        parts = [oscillator_part(side, *dial, nominal)] if len(asked) > 1 else []
        return [*parts, wrong_images(side, *dial, nominal, nominal)]
    signal = find("transmitter on #", text)
    if signal:
        (signal,) = signal
        # Every dial setting that could have this image, tried forwards.
        tried = {signal + k * nominal for k in (-2, -1, 1, 2)} | {2 * nominal - signal}
        (dial,) = [d for d in tried if d > 0 and mirrored(side, d, nominal) == signal]
        assert image(side, dial, nominal) == signal
        own, s = oscillator(side, dial, nominal), side or 1
        return [
            Solved(own, {"wrong-direction": signal + s * nominal}),
            Solved(dial, {"if-once": own, "wrong-direction": signal + 2 * s * nominal}),
        ]
    dial, own = find("receives # .*reads #", text)
    real = measured_if(side, dial, own)
    parts = [real_part(real, nominal), wrong_images(side, dial, real, nominal)]
    return parts if len(asked) == 2 else [*parts, wrong_images(-side, dial, real, nominal)]


def solve_responses(text, asked):
    side, (nominal,), (dial,) = side_of(text), find("IF of #", text), find("tuned to #", text)
    orders = tuple(int(re.search(rf"{name} (?:from 1 to|=) (\d)", asked[-1])[1]) for name in "mn")
    own = find("reads #", text)
    real = measured_if(side, dial, *own) if own else nominal
    parts = (
        [real_part(real, nominal)] if own else [oscillator_part(side, dial, real)] if len(asked) > 1 else []
    )

    def every(side, own_if, orders):
        return answers_to(oscillator(side, dial, own_if), own_if, orders) - {dial}

    right, at = every(side, real, orders), oscillator(side, dial, real)
    grid = [(m, n) for m in range(1, orders[0] + 1) for n in range(1, orders[1] + 1)]
    wrong = {
        "wanted-too": right | {dial},
        "one-sense": {abs(n * at - real) / m for m, n in grid} - {dial, 0},
        "not-divided": {m * hz for m, n in grid for hz in answers_of_pair(at, real, m, n) - {dial}},
        "m-n-exchanged": every(side, real, orders[::-1]),
        "nominal-if": every(side, nominal, orders),
    }
    if side and dial > real:
        wrong["wrong-side"] = every(-side, real, orders)
    return [*parts, Solved(right, wrong)]


def answers_of_pair(own, own_if, m, n):
    return {abs(n * own - e * own_if) / m for e in SIGNS} - {0}


def only_side(fits):
    """Return the one side for which a condition holds."""
    (side,) = [s for s in SIGNS if fits(s)]
    return side


def side_part(side):
    names = {1: "high", -1: "low"}
    return Solved(names[side], {"wrong-side": names[-side]})


def solve_side(text, asked):
    (nominal,) = find("IF of #", text)
    if "dial reads" in text:
        reads, station, own = find(r"dial reads # .*?is on # .*?oscillator on #", text)
        side = only_side(lambda s: s * (own - station) > 0)
        real = side * (own - station)
        wrong = {
            "nominal-if": station + 2 * side * nominal,
            "dial-for-signal": own + (own - reads),
            "wrong-side": station - 2 * side * real,
        }
        by_the_dial = abs(own - reads)
        shown = Solved(image(side, station, real), wrong)
        return [side_part(side), real_part(real, nominal, dial_for_signal=by_the_dial), shown]
    if "second radio" in text:
        dial, own = find(r"receives # .*?oscillator on #", text)
        return [side_part(only_side(lambda s: dial + s * nominal == own))]
    station, ghost = find(r"station on # .*?again on #", text)
    order = 2 if "takes 20 dB" in text else 1
    senses = SIGNS if order == 2 else (-1,)
    side = only_side(
        lambda s: any(order * (ghost + s * nominal) - e * s * nominal == order * station for e in senses)
    )
    return [side_part(side), oscillator_part(side, ghost, nominal)][: len(asked)]


def solve_real_if(text, asked):
    low, high, nominal = find(r"for #-# .*?IF of #", text)
    measured = find(r"measured it is # .*Harmonic (\d+)", text)
    if measured:
        real, k = measured
        wrong = {
            "nominal-if": k * nominal,
            "error-once": k * nominal + (real - nominal),
            "counted-from-zero": k * real + real,
            "counted-from-two": k * real - real,
        }
        return [Solved(k * real, wrong)]
    within, birdie = find(r"within # .*?birdie on #", text)
    (k,) = [j for j in range(1, 400) if abs(birdie / j - nominal) <= within]
    real = birdie / k
    wrong = {"error_not_divided": nominal + (birdie - k * nominal)}
    wrong |= {"number_too_low": birdie / (k - 1), "number_too_high": birdie / (k + 1)}
    numbers = Solved(Fraction(k), {"counted-from-zero": Fraction(k - 1), "counted-from-two": Fraction(k + 1)})
    parts = [numbers, real_part(real, nominal, **wrong)]
    if len(asked) == 3 and asked[2].startswith("distance"):
        parts.append(Solved(abs(birdie - k * nominal), {"error-once": abs(real - nominal)}))
    elif len(asked) == 3:
        others = [j for j in range(2, 400) if j != k and low <= j * real <= high]
        nearest = find(r"the (\d+) with the nearest numbers", text)
        if nearest:
            others = sorted(others, key=lambda j: (abs(j - k), j))[: int(nearest[0])]
        parts.append(Solved({j * real for j in others}, {"nominal-if": {j * nominal for j in others}}))
    return parts


def choices_of(text):
    return {letter: Fraction(number) for letter, number in re.findall(rf"\b([A-D]) {NUMBER}", text)}


def solve_choose_if(text, asked):
    side, choices = side_of(text), choices_of(text)
    if "at every dial setting" in text:
        low, high = find("for #-#", text)
        # The image runs over a range as long as the band; it is off where the two do not touch.
        bad = {
            letter: {"image-in-band"} if low + 2 * side * f <= high and high + 2 * side * f >= low else set()
            for letter, f in choices.items()
        }
        return [letters(bad)]
    wanted_text, strong_text = re.search(r"to receive (.*) without .*nearby: (.*?)\. Image", text).groups()
    wanted, strong = (
        [Fraction(number) for number in re.findall(NUMBER, part)] for part in (wanted_text, strong_text)
    )
    guard = Fraction(re.search(rf"by {NUMBER} (kHz|MHz) at least", text)[1])
    if "MHz" in wanted_text and "kHz at least" in text:
        guard /= 1000
    (most,) = find(r"up to number (\d+)", text)
    bad = {letter: set(clashes(side, f, wanted, strong, guard, int(most))) for letter, f in choices.items()}
    found = letters(bad)
    if len(asked) == 1:
        return [found]
    (dial,) = find(r"the dial on #", text)
    return [found, oscillator_part(side, dial, choices[found.right])]


def clashes(side, own_if, wanted, strong, guard, most):
    for name, away in (("image", Fraction(2)), ("half-if", Fraction(1, 2)), ("far-half-if", Fraction(3, 2))):
        if any(abs(one + side * away * own_if - other) < guard for one in wanted for other in strong):
            yield name
    if any(abs(k * own_if - one) < guard for k in range(2, most + 1) for one in wanted):
        yield "if-harmonic"


def letters(bad):
    """Return the one letter that nothing speaks against; a wrong method is a check left out: what it lets in."""
    (good,) = [letter for letter, against in bad.items() if not against]
    methods = {name for against in bad.values() for name in against}
    return Solved(
        good, {name: {letter for letter, against in bad.items() if name in against} for name in methods}
    )


def mechanism(m, n):
    special = {(1, 1): "image", (2, 2): "half-if"}
    if (m, n) in special:
        return special[m, n]
    if m == n:
        return "fractional-if"
    return "oscillator-harmonic" if m == 1 else "signal-harmonic" if n == 1 else "harmonic-mixing"


def solve_cause(text, asked):
    pad, lost, station_wide, ghost_wide = find(
        r"A (\d+) dB pad .*?takes (\d+) dB .*?fills # kHz .*?ghost # kHz", text
    )
    m, n = lost / pad, station_wide / ghost_wide
    assert m.denominator == n.denominator == 1
    names = {
        "m-n-exchanged": mechanism(n, m), "law-ignored": mechanism(1, n),
        "width-ignored": mechanism(m, 1), "half-for-harmonic": "half-if",
    }  # fmt: skip
    parts = [
        Solved(m, {"m-n-exchanged": n, "law-by-ear": m - 1}),
        Solved(n, {"m-n-exchanged": m}),
        Solved(mechanism(m, n), names),
    ]
    meter = -1 if "backwards" in text else 1
    if len(asked) == 4:
        side, (nominal,), (dial,) = side_of(text), find("IF of #", text), find("the dial on #", text)
        own = oscillator(side, dial, nominal)
        # Tuning the oscillator up moves the product e n, and a station by the side: the meter shows their ratio.
        (e,) = [e for e in SIGNS if e * n * side * meter > 0]
        wrong = {
            "wrong-sense": (n * own + e * nominal) / m,
            "not-divided": n * own - e * nominal,
            "m-n-exchanged": (m * own - e * nominal) / n,
            "wrong-side": (n * oscillator(-side, dial, nominal) + e * nominal) / m,
        }
        parts.append(Solved((n * own - e * nominal) / m, wrong))
    if len(asked) == 5:
        nominal, dial, signal = find(r"IF of # .*?truthfully on # .*?station of #", text)
        # m fX = n (fT + s fI) - e fI, with e = s times the sense that the meter shows, for either side.
        real = {s: (m * signal - n * dial) / (n * s - s * meter) for s in SIGNS}
        side = only_side(lambda s: real[s] > 0)
        gap = abs(m * signal - n * dial)
        wrong = {"not_divided": gap, **({"wrong_sense": gap / (n + meter)} if n + meter else {})}
        parts += [side_part(side), real_part(real[side], nominal, **wrong)]
    return parts


def solve_rejection(text, asked):
    side, (nominal,), (dial,) = side_of(text), find("IF of #", text), find("tuned to #", text)
    own, (q,) = find("reads #", text), find(r"Q of (\d+)", text)
    real = measured_if(side, dial, *own) if own else nominal
    circuits = 1 if "one tuned circuit" in text else int(find(r"(\d+) equal tuned circuits", text)[0])

    def lost(signal):
        """Return what coils with this Q take off, by the impedance of a series circuit."""
        return circuits * 20 * math.log10(abs(complex(1, q * (signal / dial - dial / signal))))

    other = image(side, dial, real)
    near = float(q * (other - dial) / dial)
    wrong = {
        "no-factor-two": circuits * 10 * math.log10(1 + near**2),
        "near-resonance": circuits * 10 * math.log10(1 + 4 * near**2),
        "not-squared": circuits * 10 * math.log10(1 + float(q) * abs(other / dial - dial / other)),
        "twenty-for-ten": 2 * lost(other),
        "if-once": lost(oscillator(side, dial, real)),
        "one-circuit": lost(other) / circuits,
    }
    by_printed = mirrored(side, dial, nominal)
    if own and by_printed > 0:
        wrong["nominal-if"] = lost(by_printed)
    parts = [wrong_images(side, dial, real, nominal), Solved(lost(other), wrong)]
    return [real_part(real, nominal), *parts] if own else parts


def solve_station_sum(text, asked):
    a, b = find(r"A on # .*?B on #", text)
    if "Their product 2A − B" in text:
        wrong = {"exchanged": 2 * b - a, "second-order": abs(a - b), "all-doubled": 2 * abs(a - b)}
        return [Solved(2 * a - b, wrong)]
    pad = find(r"a (\d+) dB pad", text)
    if pad:
        order = {
            n: {
                i * a + j * b
                for i in range(-n, n + 1)
                for j in range(-n, n + 1)
                if abs(i) + abs(j) == n and i and j
            }
            for n in (2, 3, 5)
        }
        # Third order near the stations: those that stay between zero and twice the higher one.
        third = {hz for hz in order[3] if 2 * min(a, b) - max(a, b) <= hz <= 2 * max(a, b) - min(a, b)}
        wrong = {
            "second-order": {hz for hz in order[2] if hz > 0},
            "fifth-order": {3 * a - 2 * b, 3 * b - 2 * a},
        }
        return [Solved(third, wrong), Solved(3 * pad[0], {"law-one": pad[0], "law-two": 2 * pad[0]})]
    side, (nominal,) = side_of(text), find("IF is #", text)
    dial, own = find(r"truthfully on # .*?reads #", text)
    real = measured_if(side, dial, own)
    settings = {(a + b + e * real) / 2: (a + b + e * real) / 2 - side * real for e in SIGNS}
    own, there = min(settings.items(), key=lambda pair: abs(2 * pair[1] - a - b))
    wrong = {
        "nominal-if": (a + b + side * nominal) / 2, "wrong-side": (a + b - side * real) / 2,
        "whole-if": (a + b) / 2 + side * real, "not-halved": 2 * own,
    }  # fmt: skip
    dials = {
        "middle": (a + b) / 2, "wrong-side": own + side * real, "nominal-if": (a + b - side * nominal) / 2,
    }  # fmt: skip
    return [real_part(real, nominal), Solved(own, wrong), Solved(there, dials)]


SOLVERS = {
    "image": solve_image,
    "responses": solve_responses,
    "side": solve_side,
    "real-if": solve_real_if,
    "choose-if": solve_choose_if,
    "cause": solve_cause,
    "rejection": solve_rejection,
    "station-sum": solve_station_sum,
}
