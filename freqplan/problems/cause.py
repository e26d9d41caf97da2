"""Name the cause: the level law gives m, the dial width n, the tuning meter the sense, and these the mechanism."""

from __future__ import annotations

from fractions import Fraction

import numpy as np

from freqplan.hertz import HZ_IN, decimal_text
from freqplan.mechanisms.one_signal import names
from freqplan.mixing import Patterns
from freqplan.problems.asked import NumberAsked, WordAsked
from freqplan.problems.parts import Kind, Part, Problem, Step, Wrong, part
from freqplan.problems.setting import OTHER, SIGN, Setting

NAME, TITLE = "cause", "Name the cause"
ORDERS = {
    1: ((1, 1), (2, 2), (1, 2), (2, 1)),
    2: ((1, 1), (2, 2), (1, 2), (2, 1), (3, 3), (1, 3), (3, 1)),
    3: ((2, 2), (1, 2), (3, 3), (1, 3), (2, 3), (3, 2)),
}
"""m and n by level."""

PADS_DB = (3, 6, 10)
ASKED = WordAsked(
    ("image", "half-if", "fractional-if", "oscillator-harmonic", "signal-harmonic", "harmonic-mixing")
)
COUNT = NumberAsked("", 0)


def mechanism_of(m: int, n: int) -> str:
    """Return the mechanism of the m-th harmonic of a signal with the n-th of the oscillator, both from 1 up."""
    one = np.array([1], dtype=np.int64)
    name: str = names(Patterns(m * one, n * one, one))[0]
    return name


def draw(setting: Setting) -> Problem:
    """Draw m, n and the sense, and what pad, dial and meter show of them."""
    setting.beside_the_signal()

    def attempt() -> Problem | None:
        m, n = setting.pick(ORDERS[setting.level])
        slope_sign = setting.pick((1, -1)) if (m, n) != (1, 1) else -1
        pad_db, dial = setting.pick(PADS_DB), setting.channel()
        real = setting.real_if() if setting.level == 3 else setting.nominal_hz
        shown = _shown(setting, m, n, slope_sign, pad_db)
        if shown is None:
            return None
        if setting.level == 1:
            return _problem(setting, shown, _counts(setting, m, n, pad_db))
        if setting.level == 2:
            return posed_with_signal(setting, shown, (m, n, slope_sign), pad_db, dial)
        drawn = Setting(setting.plan, 3, setting.random, _some_side(setting))
        return posed_with_side(drawn, shown, (m, n, slope_sign), pad_db, dial, real)

    return setting.first_that_fits(attempt, "widths of the dial do not come out at a student's rounding")


def _some_side(setting: Setting) -> str:
    low_possible = setting.nominal_hz < setting.plan.band.low_hz
    return setting.pick(("high", "low")) if low_possible else setting.side


def _shown(setting: Setting, m: int, n: int, slope_sign: int, pad_db: int) -> str | None:
    """Return what is observed, or None where the width does not come out in tenths of a kilohertz."""
    wide = setting.plan.if_filter.bandwidth_hz
    if wide % n or wide // n % (HZ_IN["kHz"] // 10):
        return None
    kilohertz = [
        decimal_text(hertz, unit_hz=HZ_IN["kHz"], decimals=0, extra=1) for hertz in (wide, wide // n)
    ]
    meter = "acts backwards" if slope_sign < 0 else "acts as on a station"
    seen = "" if setting.level == 1 else f" While it is tuned through, the tuning meter {meter}."
    return (
        f"A {pad_db} dB pad in the aerial lead takes {m * pad_db} dB off its level in the IF, ahead of limiter and "
        f"AGC. Without modulation a station fills {kilohertz[0]} kHz of the dial, and the ghost {kilohertz[1]} kHz."
        f"{seen}"
    )


def _problem(setting: Setting, shown: str, parts: list[Part], about: str = "") -> Problem:
    intro = about or f"A signal comes in where it should not, on a set for {setting.band_words}."
    return Problem(NAME, TITLE, f"{intro} {shown}", tuple(parts))


def _counts(setting: Setting, m: int, n: int, pad_db: int) -> list[Part]:
    """Ask for m, n and the mechanism."""
    wide = setting.plan.if_filter.bandwidth_hz
    kilohertz = [
        decimal_text(hertz, unit_hz=HZ_IN["kHz"], decimals=0, extra=1) for hertz in (wide, wide // n)
    ]
    law = Step("Decibels lost over decibels of the pad", f"{m * pad_db} / {pad_db} = {m}", f"m = {m}")
    width = Step(
        "Width of a station over that of the ghost", f"{kilohertz[0]} / {kilohertz[1]} = {n}", f"n = {n}"
    )
    by_ear = "That is the law by ear, against a station held constant: one less than m."
    swapped = "m and n are exchanged: the pad tells m, the width n."
    name = Step("The name that belongs to m and n", f"m = {m}, n = {n}", mechanism_of(m, n))
    wrong_names = [
        Wrong("m-n-exchanged", mechanism_of(n, m), swapped),
        Wrong("law-ignored", mechanism_of(1, n), f"The pad takes {m} times its loss: m is {m}, not 1."),
        Wrong("width-ignored", mechanism_of(m, 1), f"The width is a part of a station's: n is {n}, not 1."),
        Wrong("half-for-harmonic", "half-if", f"Half-IF needs m = 2 and n = 2; here they are {m} and {n}."),
    ]
    return [
        part("m", COUNT, Fraction(m), [law],
             [Wrong("m-n-exchanged", Fraction(n), swapped), Wrong("law-by-ear", Fraction(m - 1), by_ear)]),
        part("n", COUNT, Fraction(n), [width], [Wrong("m-n-exchanged", Fraction(m), swapped)]),
        part("mechanism", ASKED, mechanism_of(m, n), [name], wrong_names),
    ]  # fmt: skip


def _multiple(times: int, name: str) -> str:
    return name if times == 1 else f"{times} {name}"


def _share(parts: int) -> str:
    return "the whole of" if parts == 1 else f"one part in {parts} of"


def posed_with_signal(
    setting: Setting, shown: str, product: tuple[int, int, int], pad_db: int, dial_hz: int
) -> Problem | None:
    """Ask also for the signal's frequency at a dial setting; `product` is m, n and the sign of the slope."""
    m, n, slope_sign = product
    own = setting.tuning().oscillator_hz(dial_hz)
    signal = Fraction(n * own - SIGN[setting.side] * slope_sign * setting.nominal_hz, m)
    if own <= 0 or signal <= 0:
        return None
    about = (
        f"{setting.set_words()} With the dial on {setting.dial(dial_hz)} a signal comes in that is not there. "
        "Every product follows e(n fL − m fX) = fI, with e either +1 or −1."
    )
    parts = [*_counts(setting, m, n, pad_db), _signal_part(setting, product, dial_hz)]
    return _problem(setting, shown, parts, about)


def _signal_part(setting: Setting, product: tuple[int, int, int], dial_hz: int) -> Part:
    m, n, slope_sign = product
    s, own_if = SIGN[setting.side], setting.nominal_hz
    own, e = setting.tuning().oscillator_hz(dial_hz), s * slope_sign
    signal = Fraction(n * own - e * own_if, m)
    sign = "−" if e > 0 else "+"
    harmonic = setting.text(own) if n == 1 else f"{n} × {setting.text(own)}"
    left = f"{harmonic} {sign} {setting.text(own_if)}"
    oscillator = f"{setting.text(dial_hz)} {'+' if s > 0 else '−'} {setting.text(own_if)}"
    meter = (
        "as on a station: e is +1 with the oscillator above the signal, −1 below"
        if slope_sign > 0
        else "backwards: e is −1 with the oscillator above the signal, +1 below"
    )
    steps = [
        Step("The oscillator", setting.total(oscillator, own), setting.told(own)),
        Step(
            f"The meter acts {meter}",
            f"{_multiple(n, 'fL')} − {_multiple(m, 'fX')} = {'' if e > 0 else '−'}fI", f"e = {e:+d}",
        ),
        Step(
            f"{_multiple(m, 'fX')} = {_multiple(n, 'fL')} {sign} fI",
            setting.total(left if m == 1 else f"({left}) / {m}", signal), setting.told(signal),
        ),
    ]  # fmt: skip
    other = setting.tuning(0, OTHER[setting.side]).oscillator_hz(dial_hz)
    other_side = Fraction(n * other + e * own_if, m)
    wrong = [
        Wrong(
            "wrong-sense", Fraction(n * own + e * own_if, m), "The meter tells the other sign of the IF.", 2
        ),
        Wrong("not-divided", m * signal, f"That is {m} times the signal's frequency.", 2),
        Wrong("m-n-exchanged", Fraction(m * own - e * own_if, n), "m and n are exchanged.", 1),
        Wrong("wrong-side", other_side, "Reckoned with the oscillator on the other side.", 1),
    ]
    return part("frequency of the signal", setting.asked(signal), signal, steps, wrong)


def posed_with_side(
    setting: Setting, shown: str, product: tuple[int, int, int], pad_db: int, dial_hz: int, real_hz: int
) -> Problem | None:
    """Ask also for side and real IF, from a known signal; `product` is m, n and the sign of the slope."""
    m, n, slope_sign = product
    s = SIGN[setting.side]
    own = setting.tuning(real_hz).oscillator_hz(dial_hz)
    signal = Fraction(n * own - s * slope_sign * real_hz, m)
    if own <= 0 or signal <= 0 or not setting.rounding.is_exact(signal):
        return None
    about = (
        f"A set for {setting.band_words} has a printed IF of {setting.told(setting.nominal_hz)}, and the real one lies "
        "near it but not on it; nobody knows the side of its oscillator. With the dial truthfully on "
        f"{setting.dial(dial_hz)} a station of {setting.told(signal)} comes in, in the middle of the IF. Every product "
        "follows e(n fL − m fX) = fI, with e either +1 or −1."
    )
    parts = [
        *_counts(setting, m, n, pad_db),
        _side_part(setting, (m, n), signal, dial_hz),
        _real_if_part(setting, product, signal, dial_hz, real_hz),
    ]
    return _problem(setting, shown, parts, about)


def _side_part(setting: Setting, product: tuple[int, int], signal_hz: Fraction, dial_hz: int) -> Part:
    """Ask for the side: m fX lies on that side of n fT, whatever the sense."""
    multiples = [
        setting.text(hertz)
        if times == 1
        else setting.total(f"{times} × {setting.text(hertz)}", times * hertz)
        for times, hertz in zip(product, (signal_hz, Fraction(dial_hz)), strict=True)
    ]
    above = product[0] * signal_hz > product[1] * dial_hz
    lies = "above" if above else "below"
    step = Step("m fX against n fT", f"{multiples[0]} lies {lies} {multiples[1]}", setting.side, 2)
    reason = f"m fX lies {lies} n fT, so the IF between them is {'added' if above else 'taken off'}: {setting.side}."
    wrong = [Wrong("wrong-side", OTHER[setting.side], reason)]
    return part("oscillator side", WordAsked(("high", "low")), setting.side, [step], wrong)


def _real_if_part(
    setting: Setting, product: tuple[int, int, int], signal_hz: Fraction, dial_hz: int, real_hz: int
) -> Part:
    """Ask for the real IF: m fX and n fT lie n IFs apart, less or more one by the meter."""
    m, n, slope_sign = product
    ends = sorted((m * signal_hz, Fraction(n * dial_hz)), reverse=True)
    gap, share, other_share = ends[0] - ends[1], n - slope_sign, n + slope_sign
    left = f"{setting.text(ends[0])} − {setting.text(ends[1])} = {setting.text(gap)}"
    step = Step(
        "They lie n IFs apart, less one as the meter acts as on a station, and one more as it acts backwards",
        left if share == 1 else f"{left} = {share} × {setting.text(real_hz)}", setting.told(real_hz), 2,
    )  # fmt: skip
    wrong = [
        Wrong(
            "nominal-if",
            Fraction(setting.nominal_hz),
            "That is the printed IF; the ghost tells the real one.",
        ),
        Wrong("not-divided", gap, f"The difference holds {share} IFs.", 1),
    ]
    if other_share > 0:
        why = f"The meter tells the other sign: the IF is {_share(share)} the difference."
        wrong.append(Wrong("wrong-sense", gap / other_share, why, 1))
    asked = setting.asked(real_hz, setting.nominal_hz)
    return part("real IF", asked, Fraction(real_hz), [step], wrong)


KIND = Kind(NAME, TITLE, draw)
