"""Birdies of the IF: where they stand by the measured IF, and the real IF by where one stands."""

from __future__ import annotations

from fractions import Fraction

from freqplan.problems.asked import NumberAsked
from freqplan.problems.parts import CannotBeSetError, Kind, Part, Problem, Step, Wrong, part
from freqplan.problems.setting import Setting

NAME, TITLE = "real-if", "Birdies and the real IF"
HIGHEST = 25
"""Higher harmonics of the IF nobody hears."""

MOST_OTHERS = 3
"""So many further birdies are asked for at most: those next to the one heard."""


def draw(setting: Setting) -> Problem:
    """Draw a real IF and one of its harmonics on the dial."""
    numbers = harmonics(setting, setting.nominal_hz)
    if not any(k <= HIGHEST for k in numbers):
        raise CannotBeSetError(f"no harmonic of the IF up to number {HIGHEST} falls on the dial")

    def attempt() -> Problem | None:
        real = setting.real_if()
        there = [k for k in harmonics(setting, real) if k <= HIGHEST]
        if not there:
            return None
        k = setting.pick(there)
        return posed_birdie(setting, real, k) if setting.level == 1 else posed_real_if(setting, real, k)

    return setting.first_that_fits(attempt, "the numbers of its harmonics on the dial cannot be told apart")


def harmonics(setting: Setting, intermediate_hz: int) -> list[int]:
    """Return the numbers k >= 2 whose harmonic of the IF lies on the dial."""
    band = setting.plan.band
    first, last = -(-band.low_hz // intermediate_hz), band.high_hz // intermediate_hz
    return list(range(max(2, first), last + 1))


def posed_birdie(setting: Setting, real_hz: int, k: int) -> Problem:
    """Ask for the k-th harmonic of a measured IF."""
    nominal, birdie = setting.nominal_hz, k * real_hz
    text = (
        f"A set for {setting.band_words} has a printed IF of {setting.told(nominal)}; measured it is "
        f"{setting.told(real_hz)}. Harmonic {k} of the IF gives a birdie on the dial."
    )
    step = Step(
        f"Harmonic {k} is {k} times the real IF", setting.total(f"{k} × {setting.text(real_hz)}", birdie),
        setting.told(birdie), 2,
    )  # fmt: skip
    wrong = [
        Wrong("nominal-if", Fraction(k * nominal), "Reckoned with the printed IF; the measured one counts.", 1),
        Wrong(
            "error-once", Fraction(k * nominal + real_hz - nominal),
            f"The error of the IF is added once; harmonic {k} moves by {k} times that.", 1,
        ),
        Wrong(
            "counted-from-zero", Fraction((k + 1) * real_hz),
            "One too far: the IF itself is harmonic 1, not 0.", 1,
        ),
        Wrong("counted-from-two", Fraction((k - 1) * real_hz), "One too few: harmonic 2 is twice the IF.", 1),
    ]  # fmt: skip
    birdie_part = part("birdie", setting.asked(birdie), Fraction(birdie), [step], wrong)
    return Problem(NAME, TITLE, text, (birdie_part,))


def posed_real_if(setting: Setting, real_hz: int, k: int) -> Problem | None:
    """Ask which harmonic a birdie is, for the real IF, and on level 3 for the other birdies; None where k is open."""
    nominal, birdie = setting.nominal_hz, k * real_hz
    limit = setting.if_step * max(5, setting.plan.conversion[0].tolerance_hz // setting.if_step)
    fitting = [j for j in range(1, 2 * k + 2) if abs(birdie - j * nominal) <= j * limit]
    if fitting != [k]:
        return None
    text = (
        f"A set for {setting.band_words} has a printed IF of {setting.told(nominal)}; the real one lies within "
        f"{setting.told(limit)} of it. A birdie on "
        f"{setting.told(birdie)} is a harmonic of the IF."
    )
    parts = [_number_part(setting, birdie, k), _if_part(setting, birdie, k)]
    if setting.level == 3:
        others = [j for j in harmonics(setting, real_hz) if j != k]
        nearest = sorted(sorted(others, key=lambda j: (abs(j - k), j))[:MOST_OTHERS])
        parts.append(_others_part(setting, real_hz, nearest, everyone=nearest == others) if nearest else
                     _shift_part(setting, real_hz, k))  # fmt: skip
        if nearest != others:
            text += f" Of the other birdies the {len(nearest)} with the nearest numbers are asked for" + (
                ", of equally near ones the lower number." if len(nearest) < len(others) else "."
            )
    return Problem(NAME, TITLE, text, tuple(parts))


def _number_part(setting: Setting, birdie_hz: int, k: int) -> Part:
    quotient = Fraction(birdie_hz, setting.nominal_hz)
    step = Step(
        "Birdie over printed IF, to the nearest whole number",
        f"{setting.text(birdie_hz)} / {setting.text(setting.nominal_hz)} ≈ {float(quotient):.3f}",
        f"harmonic {k}",
    )
    wrong = [
        Wrong("counted-from-zero", Fraction(k - 1), "Counted from the IF as 0; the IF itself is harmonic 1."),
        Wrong("counted-from-two", Fraction(k + 1), "One too many: twice the IF is harmonic 2, not 3."),
    ]
    return part("number of the harmonic", NumberAsked("", 0), Fraction(k), [step], wrong)


def _if_part(setting: Setting, birdie_hz: int, k: int) -> Part:
    real, nominal = Fraction(birdie_hz, k), setting.nominal_hz
    step = Step(
        "The real IF is the birdie over its number", setting.total(f"{setting.text(birdie_hz)} / {k}", real),
        setting.told(real), 2,
    )  # fmt: skip
    shift = nominal + birdie_hz - k * nominal
    wrong = [
        Wrong("nominal-if", Fraction(nominal), "That is the printed IF; the birdie tells the real one."),
        Wrong(
            "error-not-divided",
            Fraction(shift),
            f"The birdie is off by {k} times the error of the IF: divide by {k}.",
            1,
        ),
        Wrong("number-too-low", Fraction(birdie_hz, k - 1), "Divided by a number one too low."),
        Wrong("number-too-high", Fraction(birdie_hz, k + 1), "Divided by a number one too high."),
    ]
    return part("real IF", setting.asked(real, nominal), real, [step], wrong)


def _others_part(setting: Setting, real_hz: int, numbers: list[int], *, everyone: bool) -> Part:
    right = tuple(Fraction(j * real_hz) for j in numbers)
    asked = setting.asked_list(right)
    own = setting.text(real_hz)
    steps = [
        Step(f"Harmonic {j}", setting.total(f"{j} × {own}", j * real_hz), setting.told(j * real_hz))
        for j in numbers
    ]
    nominal = tuple(Fraction(j * setting.nominal_hz) for j in numbers)
    reason = "Reckoned with the printed IF; the real one counts."
    wrong = [Wrong("nominal-if", nominal, reason)]
    what = "every other harmonic of the IF on the dial" if everyone else "the others asked for"
    return part(what, asked, right, steps, wrong)


def _shift_part(setting: Setting, real_hz: int, k: int) -> Part:
    """Ask how far the birdie stands from where the printed IF would put it, where there is no other birdie."""
    off = abs(real_hz - setting.nominal_hz)
    away = k * off
    larger, smaller = max(real_hz, setting.nominal_hz), min(real_hz, setting.nominal_hz)
    gap = f"{setting.text(larger)} − {setting.text(smaller)}"
    steps = [
        Step("Error of the IF", setting.total(gap, off), setting.told(off)),
        Step(
            f"Harmonic {k} moves {k} times as far",
            setting.total(f"{k} × {setting.text(off)}", away),
            setting.told(away),
        ),
    ]
    wrong = [
        Wrong(
            "error-once",
            Fraction(off),
            f"That is the error of the IF; harmonic {k} moves {k} times as far.",
            1,
        )
    ]
    what = "distance of the birdie from where the printed IF would put it"
    return part(what, setting.asked(away, off), Fraction(away), steps, wrong)


KIND = Kind(NAME, TITLE, draw)
