"""List the responses: every frequency whose harmonics meet those of the oscillator an IF apart."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from freqplan.problems.image import oscillator_part, real_if_part
from freqplan.problems.parts import Kind, Part, Problem, Step, Wrong, part
from freqplan.problems.setting import OTHER, Setting

NAME, TITLE = "responses", "List the responses"
ORDERS = {1: (2, 1), 2: (2, 2), 3: (3, 2)}
"""Largest m and n by level."""

Pairs = list[tuple[int, int, tuple[Fraction, ...]]]


def of_orders(own_hz: int, intermediate_hz: int, dial_hz: int, orders: tuple[int, int]) -> Pairs:
    """Return m, n and the frequencies (n fL +- fI)/m above zero, without the wanted one."""
    found = []
    for m in range(1, orders[0] + 1):
        for n in range(1, orders[1] + 1):
            # A sum n fL + m fX = fI is the same row with its sign turned over.
            both = {abs(Fraction(n * own_hz + e * intermediate_hz, m)) for e in (1, -1)}
            kept = sorted(hz for hz in both if hz not in (0, dial_hz))
            if kept:
                found.append((m, n, tuple(kept)))
    return found


def draw(setting: Setting) -> Problem:
    """Draw a dial setting, on level 3 also a real IF."""

    def attempt() -> Problem | None:
        real = setting.real_if() if setting.level == 3 else setting.nominal_hz
        return posed(setting, setting.channel(), real, ORDERS[setting.level])

    return setting.first_that_fits(attempt, "responses fall together at every setting tried")


def posed(setting: Setting, dial_hz: int, real_hz: int, orders: tuple[int, int]) -> Problem | None:
    """Ask for all responses at a dial setting; None where two of them cannot be told apart as they are written."""
    own = setting.tuning(real_hz).oscillator_hz(dial_hz)
    if own <= 0:
        return None
    pairs = of_orders(own, real_hz, dial_hz, orders)
    every = tuple(hz for _, _, found in pairs for hz in found)
    asked = setting.asked_list(every)
    if len({asked.each.text(hz) for hz in (*every, Fraction(dial_hz))}) <= len(every):
        return None
    parts: list[Part] = []
    if real_hz != setting.nominal_hz:
        parts.append(real_if_part(setting, dial_hz, own))
    elif setting.level > 1:
        parts.append(oscillator_part(setting, dial_hz, real_hz))
    steps, wrong = _steps(setting, pairs, own, real_hz), _wrong_lists(setting, dial_hz, real_hz, orders)
    parts.append(part(_what(orders), asked, every, steps, wrong))
    return Problem(NAME, TITLE, _text(setting, dial_hz, own, real_hz), tuple(parts))


def _what(orders: tuple[int, int]) -> str:
    up_to = ("n = 1" if orders[1] == 1 else f"n from 1 to {orders[1]}", f"m from 1 to {orders[0]}")
    return f"every other frequency received, {up_to[1]}, {up_to[0]}, the station itself left out"


def _text(setting: Setting, dial_hz: int, own_hz: int, real_hz: int) -> str:
    text = (
        f"{setting.set_words(printed=real_hz != setting.nominal_hz)} It is tuned to {setting.dial(dial_hz)}."
    )
    if real_hz != setting.nominal_hz:
        text += f" A counter reads {setting.told(own_hz)} at the oscillator."
    return (
        f"{text} The m-th harmonic of a signal and the n-th of the oscillator give the IF where they lie an IF apart"
        + (", or add up to it." if own_hz <= real_hz else ".")
    )


def _steps(setting: Setting, pairs: Pairs, own_hz: int, real_hz: int) -> Iterator[Step]:
    own, own_if = setting.text(own_hz), setting.text(real_hz)
    for m, n, found in pairs:
        harmonic = own if n == 1 else f"{n} × {own}"
        left = f"{harmonic} ± {own_if}"
        yield Step(
            f"m = {m}, n = {n}",
            left if m == 1 else f"({left}) / {m}",
            f"{' and '.join(setting.text(hz) for hz in found)} {setting.unit}",
            len(found),
        )


def _wrong_lists(setting: Setting, dial_hz: int, real_hz: int, orders: tuple[int, int]) -> Iterator[Wrong]:
    def every(own_hz: int, intermediate_hz: int, upto: tuple[int, int] = orders) -> tuple[Fraction, ...]:
        pairs = of_orders(own_hz, intermediate_hz, dial_hz, upto)
        return tuple(dict.fromkeys(hz for _, _, found in pairs for hz in found))

    own = setting.tuning(real_hz).oscillator_hz(dial_hz)
    right = every(own, real_hz)
    yield Wrong(
        "wanted-too",
        (*right, Fraction(dial_hz)),
        "The station tuned in stands among them; it is no disturbance.",
    )
    differences = tuple(abs(Fraction(n * own - real_hz, m)) for m, n in _grid(orders))
    below = tuple(hz for hz in dict.fromkeys(differences) if hz not in (0, dial_hz))
    yield Wrong(
        "one-sense", below, "Only below the oscillator's harmonics; the IF also comes from an IF above them."
    )
    undivided = tuple(
        dict.fromkeys(hz * m for m, _, found in of_orders(own, real_hz, dial_hz, orders) for hz in found)
    )
    yield Wrong("not-divided", undivided, "That is the harmonic m fX; the signal itself is an m-th of it.")
    exchanged = every(own, real_hz, orders[::-1])
    yield Wrong("m-n-exchanged", exchanged, "m and n are exchanged: m divides, n multiplies the oscillator.")
    if setting.side in OTHER and dial_hz > real_hz:
        other = setting.tuning(real_hz, OTHER[setting.side]).oscillator_hz(dial_hz)
        yield Wrong(
            "wrong-side",
            every(other, real_hz),
            "Reckoned with the oscillator on the other side of the signal.",
        )
    if real_hz != setting.nominal_hz:
        nominal = setting.tuning().oscillator_hz(dial_hz)
        yield Wrong(
            "nominal-if",
            every(nominal, setting.nominal_hz),
            "Reckoned with the printed IF; the real one counts.",
        )


def _grid(orders: tuple[int, int]) -> Iterator[tuple[int, int]]:
    return ((m, n) for m in range(1, orders[0] + 1) for n in range(1, orders[1] + 1))


KIND = Kind(NAME, TITLE, draw)
