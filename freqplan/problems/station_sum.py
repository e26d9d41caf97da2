"""Reckon sums of two stations: third-order products, and the half-IF response of a pair."""

from __future__ import annotations

from fractions import Fraction

from freqplan.problems.asked import NumberAsked
from freqplan.problems.image import real_if_part
from freqplan.problems.parts import CannotBeSetError, Kind, Part, Problem, Step, Wrong, part
from freqplan.problems.setting import SIDE_WORDS, SIGN, Setting

NAME, TITLE = "station-sum", "Reckon sums of two stations"
PADS_DB = (3, 6, 10)
FARTHEST = 4
"""Stations of a pair stand this part of the band's width apart at most."""


def draw(setting: Setting) -> Problem:
    """Draw two stations whose sums fall on the dial."""
    if setting.level == 3 and setting.side not in SIGN:
        raise CannotBeSetError(
            "half-IF of a pair is for an oscillator that follows the signal: ask for level 1 or 2"
        )
    way = {1: _one_product, 2: _both_products, 3: _pair_half_if}[setting.level]
    return setting.first_that_fits(
        lambda: way(setting), "no sum of two stations of the band falls on its dial"
    )


def _pair(setting: Setting) -> tuple[int, int]:
    """Draw two channels, the lower one first; both the same where that is all there is."""
    one, other = setting.channel(), setting.channel()
    return min(one, other), max(one, other)


def _fits(setting: Setting, pair: tuple[int, int], *falls_on: int | Fraction) -> bool:
    band = setting.plan.band
    near_enough = 0 < FARTHEST * (pair[1] - pair[0]) <= band.high_hz - band.low_hz
    return near_enough and all(band.low_hz <= hertz <= band.high_hz for hertz in falls_on)


def _one_product(setting: Setting) -> Problem | None:
    low, high = _pair(setting)
    first = setting.pick(((low, high), (high, low)))
    return posed_one(setting, *first) if _fits(setting, (low, high), 2 * first[0] - first[1]) else None


def _text(setting: Setting, one_hz: int, other_hz: int) -> str:
    return (
        f"Two strong stations, A on {setting.dial(one_hz)} and B on {setting.dial(other_hz)}, overload a set for "
        f"{setting.band_words}."
    )


def posed_one(setting: Setting, one_hz: int, other_hz: int) -> Problem:
    """Ask where 2A − B falls."""
    product = 2 * one_hz - other_hz
    step = Step("Twice A less B", _sum(setting, one_hz, other_hz), setting.told(product), 2)
    swapped = "That is 2B − A: A is the one taken twice."
    wrong = [
        Wrong("exchanged", Fraction(2 * other_hz - one_hz), swapped, 1),
        Wrong(
            "second-order",
            Fraction(abs(one_hz - other_hz)),
            "That is A − B, of second order; A counts twice.",
        ),
        Wrong("all-doubled", Fraction(2 * abs(one_hz - other_hz)), "That is 2(A − B): B counts once."),
    ]
    asked = setting.asked(product)
    text = f"{_text(setting, one_hz, other_hz)} Their product 2A − B is heard on the dial."
    return Problem(NAME, TITLE, text, (part("2A − B", asked, Fraction(product), [step], wrong),))


def _sum(setting: Setting, one_hz: int, other_hz: int) -> str:
    return setting.total(f"2 × {setting.text(one_hz)} − {setting.text(other_hz)}", 2 * one_hz - other_hz)


def _both_products(setting: Setting) -> Problem | None:
    low, high = _pair(setting)
    if not _fits(setting, (low, high), 2 * low - high, 2 * high - low):
        return None
    return posed_both(setting, low, high, setting.pick(PADS_DB))


def posed_both(setting: Setting, one_hz: int, other_hz: int, pad_db: int) -> Problem:
    """Ask for both third-order products of two stations, and for what a pad does to them."""
    right = (Fraction(2 * one_hz - other_hz), Fraction(2 * other_hz - one_hz))
    steps = [
        Step("2A − B", _sum(setting, one_hz, other_hz), setting.told(right[0])),
        Step("2B − A", _sum(setting, other_hz, one_hz), setting.told(right[1])),
    ]
    second = (Fraction(abs(other_hz - one_hz)), Fraction(one_hz + other_hz))
    fifth = (Fraction(3 * one_hz - 2 * other_hz), Fraction(3 * other_hz - 2 * one_hz))
    wrong = [
        Wrong("second-order", second, "Those are B − A and A + B, of second order."),
        Wrong("fifth-order", fifth, "Those are 3A − 2B and 3B − 2A, of fifth order."),
    ]
    products = part("both third-order products", setting.asked_list(right), right, steps, wrong)
    text = f"{_text(setting, one_hz, other_hz)} Then a {pad_db} dB pad goes into the aerial lead."
    return Problem(NAME, TITLE, text, (products, _pad_part(pad_db)))


def _pad_part(pad_db: int) -> Part:
    lost = Fraction(3 * pad_db)
    step = Step("Third order: three times the pad", f"3 × {pad_db} = {lost}", f"{lost} dB")
    wrong = [
        Wrong("law-one", Fraction(pad_db), "So much a station falls, or a product made outside the set."),
        Wrong("law-two", Fraction(2 * pad_db), "That is second order; 2A − B is of third."),
    ]
    return part("by how much the pad weakens them", NumberAsked("dB", 0), lost, [step], wrong)


def _pair_half_if(setting: Setting) -> Problem | None:
    low, high = _pair(setting)
    real = setting.real_if()
    dial = Fraction(low + high - SIGN[setting.side] * real, 2)
    # The counter's reading is written exactly only where half the sum is a whole number.
    if not _fits(setting, (low, high), dial) or not setting.rounding.is_exact(dial):
        return None
    return posed_pair(setting, (low, high), real, setting.channel())


def posed_pair(setting: Setting, pair: tuple[int, int], real_hz: int, measured_on_hz: int) -> Problem | None:
    """Ask for the real IF, for the oscillator that the half-IF response of a pair needs, and for the dial there."""
    s, total = SIGN[setting.side], sum(pair)
    measured = setting.tuning(real_hz).oscillator_hz(measured_on_hz)
    own = Fraction(total + s * real_hz, 2)
    if measured <= 0 or own <= 0 or own - s * real_hz <= 0:
        return None
    text = (
        f"{_text(setting, *pair)} Its printed IF is {setting.told(setting.nominal_hz)}, "
        f"with {SIDE_WORDS[setting.side]}. "
        f"With the dial truthfully on {setting.dial(measured_on_hz)} a counter reads {setting.told(measured)} at the "
        "oscillator. Their sum A + B comes in by half-IF where it lies an IF from twice the oscillator; of the two "
        "such settings the one nearer to the stations is asked for."
    )
    parts = (
        real_if_part(setting, measured_on_hz, measured),
        _oscillator_of_pair(setting, pair, real_hz),
        _dial_of_pair(setting, own, real_hz),
    )
    return Problem(NAME, TITLE, text, parts)


def _oscillator_of_pair(setting: Setting, pair: tuple[int, int], real_hz: int) -> Part:
    s, total = SIGN[setting.side], sum(pair)
    own = Fraction(total + s * real_hz, 2)
    one, other, own_if = (setting.text(hertz) for hertz in (*pair, real_hz))
    sign = "+" if s > 0 else "−"
    steps = [
        Step("Sum of the two stations", setting.total(f"{one} + {other}", total), setting.told(total)),
        Step(
            "Twice the oscillator lies an IF from it, on the oscillator's side",
            setting.total(f"({setting.text(total)} {sign} {own_if}) / 2", own), setting.told(own), 2,
        ),
    ]  # fmt: skip
    wrong = [
        Wrong(
            "nominal-if", Fraction(total + s * setting.nominal_hz, 2),
            "Reckoned with the printed IF; the real one counts.", 2,
        ),
        Wrong("wrong-side", Fraction(total - s * real_hz, 2), "The IF is taken the other way.", 2),
        Wrong(
            "whole-if", Fraction(total, 2) + s * real_hz, "The IF belongs to twice the oscillator: halve it too.", 1
        ),
        Wrong("not-halved", 2 * own, "That is twice the oscillator.", 2),
    ]  # fmt: skip
    return part("oscillator frequency for that response", setting.asked(own), own, steps, wrong)


def _dial_of_pair(setting: Setting, own_hz: Fraction, real_hz: int) -> Part:
    s, own, own_if = SIGN[setting.side], setting.text(own_hz), setting.text(real_hz)
    dial = own_hz - s * real_hz
    total = setting.total(f"{own} {'−' if s > 0 else '+'} {own_if}", dial)
    step = Step("From the oscillator to the dial", total, setting.told(dial))
    middle = own_hz - Fraction(s * real_hz, 2)
    by_nominal = middle - Fraction(s * setting.nominal_hz, 2)
    wrong = [
        Wrong("middle", middle, "That is midway between the stations; the response lies half an IF from it."),
        Wrong("wrong-side", own_hz + s * real_hz, "From the oscillator away from the signal."),
        Wrong("nominal-if", by_nominal, "Reckoned with the printed IF; the real one counts."),
    ]
    return part("dial setting", setting.asked(dial), dial, [step], wrong)


KIND = Kind(NAME, TITLE, draw)
