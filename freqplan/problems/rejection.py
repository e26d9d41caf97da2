"""Reckon the rejection: how far tuned circuits of known Q take the image down."""

from __future__ import annotations

import math
from fractions import Fraction

from freqplan.problems.asked import NumberAsked
from freqplan.problems.image import image_hz, image_part, real_if_part
from freqplan.problems.parts import CannotBeSetError, Kind, Part, Problem, Step, Wrong, part
from freqplan.problems.setting import Setting

NAME, TITLE = "rejection", "Reckon the rejection"
QUALITIES = (20, 30, 40, 50, 60, 80, 100)
ASKED = NumberAsked("dB", 1)
NEAR_A_TIE_DB = 0.01
"""Rejections nearer than this to the middle between two tenths are not asked for."""


def rejection_db(ratio: Fraction, loaded_q: int, circuits: int = 1) -> float:
    """Return what tuned circuits take off at a frequency `ratio` times that to which they are tuned [dB]."""
    return _decibel(float(loaded_q * (ratio - 1 / ratio)) ** 2, circuits)


def _decibel(squared: float, circuits: int) -> float:
    return 10 * circuits * math.log10(1 + squared)


def draw(setting: Setting) -> Problem:
    """Draw a dial setting, a Q, on level 3 two circuits and a real IF."""
    if setting.level == 1:
        raise CannotBeSetError("it takes more than one step: ask for level 2 or 3")

    def attempt() -> Problem | None:
        real = setting.real_if() if setting.level == 3 else setting.nominal_hz
        return posed(setting, setting.channel(), real, setting.pick(QUALITIES), setting.level - 1)

    return setting.first_that_fits(attempt, "the image would lie below zero all over the dial")


def posed(setting: Setting, dial_hz: int, real_hz: int, loaded_q: int, circuits: int) -> Problem | None:
    """Ask for image and rejection of so many circuits, before that for the real IF where it is another one."""
    image, own = image_hz(setting, dial_hz, real_hz), setting.tuning(real_hz).oscillator_hz(dial_hz)
    if image <= 0 or own <= 0:
        return None
    rejection = rejection_db(Fraction(image, dial_hz), loaded_q, circuits)
    tenths = 10 * rejection
    if abs(tenths % 1 - 0.5) < 10 * NEAR_A_TIE_DB:
        return None
    known = "one tuned circuit" if circuits == 1 else f"{circuits} equal tuned circuits"
    text = (
        f"{setting.set_words(printed=real_hz != setting.nominal_hz)} It is tuned to {setting.dial(dial_hz)}."
    )
    parts: list[Part] = []
    if real_hz != setting.nominal_hz:
        text += f" A counter reads {setting.told(own)} at the oscillator."
        parts.append(real_if_part(setting, dial_hz, own))
    text += f" Before the mixer it has {known}, tuned to the station, with a loaded Q of {loaded_q}."
    parts += [
        image_part(setting, dial_hz, real_hz), _rejection_part(setting, dial_hz, real_hz, loaded_q, circuits)
    ]  # fmt: skip
    return Problem(NAME, TITLE, text, tuple(parts))


def _rejection_part(setting: Setting, dial_hz: int, real_hz: int, loaded_q: int, circuits: int) -> Part:
    image = image_hz(setting, dial_hz, real_hz)
    ratio = Fraction(image, dial_hz)
    rejection = rejection_db(ratio, loaded_q, circuits)
    station, away = setting.text(dial_hz), setting.text(image)
    detuning = float(abs(ratio - 1 / ratio))
    many = "" if circuits == 1 else f"{circuits} × "
    steps = [
        Step(
            "f/f0 − f0/f, the larger first", f"{_larger_first(away, station, ratio)} ≈ {detuning:.4f}",
            f"{detuning:.4f}",
        ),
        Step(
            "10 lg(1 + Q² (f/f0 − f0/f)²)" + ("" if circuits == 1 else ", for each circuit"),
            f"{many}10 lg(1 + {loaded_q}² × {detuning:.4f}²) ≈ {rejection:.1f}",
            f"{rejection:.1f} dB",
            1 + circuits,
        ),
    ]  # fmt: skip
    wrong = [
        Wrong(method, _exact(value), reason, points)
        for method, value, reason, points in _wrong_values(setting, dial_hz, real_hz, loaded_q, circuits)
    ]
    return part("rejection of the image", ASKED, _exact(rejection), steps, wrong)


def _larger_first(away: str, station: str, ratio: Fraction) -> str:
    if ratio > 1:
        return f"{away} / {station} − {station} / {away}"
    return f"{station} / {away} − {away} / {station}"


def _wrong_values(
    setting: Setting, dial_hz: int, real_hz: int, loaded_q: int, circuits: int
) -> list[tuple[str, float, str, int]]:
    image = Fraction(image_hz(setting, dial_hz, real_hz))
    ratio = image / dial_hz
    away = float(loaded_q * abs(image - dial_hz) / dial_hz)
    detuned = float(loaded_q * abs(ratio - 1 / ratio))
    own = Fraction(setting.tuning(real_hz).oscillator_hz(dial_hz))
    right = rejection_db(ratio, loaded_q, circuits)
    wrong = [
        ("no-factor-two", _decibel(away**2, circuits),
         "Q times the distance over f leaves out the factor 2; it is Q (f/f0 − f0/f).", 1),
        ("near-resonance", _decibel((2 * away) ** 2, circuits),
         "2 Q times the distance over f holds close to resonance only; the image is far.", 1),
        ("not-squared", _decibel(detuned, circuits), "Q (f/f0 − f0/f) has to be squared.", 1),
        ("twenty-for-ten", 2 * right, "20 lg of what is squared already counts it twice: it is 10 lg.", 1),
        ("if-once", rejection_db(own / dial_hz, loaded_q, circuits),
         "That is the rejection at the oscillator; the image lies two IFs away.", 1),
    ]  # fmt: skip
    if circuits > 1:
        wrong.append(("one-circuit", right / circuits, f"That is one circuit; there are {circuits}.", 2))
    if real_hz != setting.nominal_hz:
        nominal = Fraction(image_hz(setting, dial_hz, setting.nominal_hz), dial_hz)
        if nominal > 0:
            reason = "Reckoned with the image by the printed IF."
            wrong.append(("nominal-if", rejection_db(nominal, loaded_q, circuits), reason, 2))
    return wrong


def _exact(decibel: float) -> Fraction:
    """Return decibels with the six decimals that every machine reckons alike."""
    return Fraction(f"{decibel:.6f}")


KIND = Kind(NAME, TITLE, draw)
