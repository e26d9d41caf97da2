"""Find the image: two IFs from the dial, on the oscillator's side of the station."""

from __future__ import annotations

from fractions import Fraction

from freqplan.problems.parts import Kind, Part, Problem, Step, Wrong, part
from freqplan.problems.setting import OTHER, SIDE_WORDS, SIGN, Setting

NAME, TITLE = "image", "Find the image"
NO_IMAGE = "the image would lie below zero all over the dial"


def image_hz(setting: Setting, dial_hz: int, intermediate_hz: int, side: str = "") -> int:
    """Return the image of a dial setting [Hz]."""
    tuning = setting.tuning(intermediate_hz, side)
    return tuning.oscillator_hz(dial_hz) + SIGN.get(tuning.side, 1) * intermediate_hz


def draw(setting: Setting) -> Problem:
    """Draw a problem: the image of a station; the station of an image; the image with the real IF."""
    ways = {1: (_of_a_station,), 2: (_of_a_station, _of_an_image), 3: (_with_the_real_if,)}[setting.level]
    return setting.first_that_fits(lambda: setting.pick(ways)(setting), NO_IMAGE)


def _of_a_station(setting: Setting) -> Problem | None:
    dial = setting.channel()
    return posed(setting, dial) if image_hz(setting, dial, setting.nominal_hz) > 0 else None


def posed(setting: Setting, dial_hz: int) -> Problem:
    """Ask for the image of a dial setting, from level 2 on for the oscillator first."""
    parts: list[Part] = []
    if setting.level > 1:
        parts.append(oscillator_part(setting, dial_hz, setting.nominal_hz))
    parts.append(image_part(setting, dial_hz, setting.nominal_hz))
    text = f"{setting.set_words()} It is tuned to {setting.dial(dial_hz)}."
    return Problem(NAME, TITLE, text, tuple(parts))


def oscillator_part(setting: Setting, dial_hz: int, intermediate_hz: int) -> Part:
    """Ask for the oscillator frequency at a dial setting."""
    oscillator = setting.tuning(intermediate_hz).oscillator_hz(dial_hz)
    wrong = []
    if setting.side in SIGN:
        other = dial_hz - SIGN[setting.side] * intermediate_hz
        wrong.append(
            Wrong("wrong-side", Fraction(other), "The oscillator stands on the other side of the signal.")
        )
    else:
        other = dial_hz + intermediate_hz
        wrong.append(
            Wrong("not-a-sum", Fraction(other), "Oscillator and signal add up to the IF: take off, not on.")
        )
    asked = setting.asked(oscillator)
    left = _oscillator_sum(setting, dial_hz, intermediate_hz)
    step = Step(_oscillator_words(setting), setting.total(left, oscillator), setting.told(oscillator))
    return part("oscillator frequency", asked, Fraction(oscillator), [step], wrong)


def _oscillator_words(setting: Setting) -> str:
    return {
        "high": "Oscillator above the signal: add the IF",
        "low": "Oscillator below the signal: take the IF off",
        "sum": "Oscillator and signal add up to the IF: take the signal off",
    }[setting.side]


def _oscillator_sum(setting: Setting, dial_hz: int, intermediate_hz: int) -> str:
    dial, own_if = setting.text(dial_hz), setting.text(intermediate_hz)
    return {"high": f"{dial} + {own_if}", "low": f"{dial} − {own_if}", "sum": f"{own_if} − {dial}"}[
        setting.side
    ]


def image_part(setting: Setting, dial_hz: int, intermediate_hz: int, *, side: str = "") -> Part:
    """Ask for the image of a dial setting; with a `side` for that of an oscillator there."""
    where = side or setting.side
    image = image_hz(setting, dial_hz, intermediate_hz, where)
    dial, own_if = setting.text(dial_hz), setting.text(intermediate_hz)
    if where in SIGN:
        sign = "+" if where == "high" else "−"
        double = 2 * intermediate_hz
        steps = [
            Step("The image lies two IFs away", setting.total(f"2 × {own_if}", double), setting.told(double)),
            Step(
                f"On the oscillator's side, {'above' if where == 'high' else 'below'} the station",
                setting.total(f"{dial} {sign} {setting.text(double)}", image),
                setting.told(image),
            ),
        ]
    else:
        steps = [
            Step(
                "The image stands an IF above the oscillator",
                setting.total(f"2 × {own_if} − {dial}", image),
                setting.told(image),
                2,
            )
        ]
    what = "image frequency" + (f" with {SIDE_WORDS[side]}" if side else "")
    wrong = _wrong_images(setting, dial_hz, intermediate_hz, where)
    return part(what, setting.asked(image), Fraction(image), steps, wrong)


def _wrong_images(setting: Setting, dial_hz: int, intermediate_hz: int, side: str) -> list[Wrong]:
    tuning = setting.tuning(intermediate_hz, side)
    own, nominal = tuning.oscillator_hz(dial_hz), setting.nominal_hz
    wrong = [
        Wrong(
            "if-once",
            Fraction(own),
            "The IF is added once: that is the oscillator. The image lies two IFs away.",
            1,
        )
    ]
    if side in SIGN:
        s = SIGN[side]
        away = dial_hz - 2 * s * intermediate_hz
        half = Fraction(2 * dial_hz + s * intermediate_hz, 2)
        reason = "On the wrong side: the oscillator lies midway between station and image."
        wrong.append(Wrong("wrong-side", Fraction(away), reason, 1))
        wrong.append(Wrong("half-if", half, "That is the half-IF response; the image lies two IFs away."))
    else:
        reason = (
            "Two IFs added, as with an oscillator above; in a sum converter it is twice the IF less the dial."
        )
        wrong.append(Wrong("not-a-sum", Fraction(dial_hz + 2 * intermediate_hz), reason))
    if intermediate_hz != nominal:
        reason = "Reckoned with the printed IF; the real one counts."
        wrong.append(Wrong("nominal-if", Fraction(image_hz(setting, dial_hz, nominal, side)), reason, 1))
    return wrong


def _of_an_image(setting: Setting) -> Problem | None:
    dial = setting.channel()
    signal = image_hz(setting, dial, setting.nominal_hz)
    return posed_from_image(setting, signal) if signal > 0 else None


def posed_from_image(setting: Setting, signal_hz: int) -> Problem:
    """Ask where on the dial a signal comes in as an image, and for the oscillator there."""
    s, own_if = SIGN.get(setting.side, 1), setting.nominal_hz
    oscillator = signal_hz - s * own_if
    dial = oscillator - s * own_if if setting.side in SIGN else own_if - oscillator
    signal, once, there = setting.text(signal_hz), setting.text(own_if), setting.text(oscillator)
    sign = "−" if s > 0 else "+"
    first = Step(
        f"The image lies an IF {'above' if s > 0 else 'below'} the oscillator",
        setting.total(f"{signal} {sign} {once}", oscillator),
        setting.told(oscillator),
    )
    left = f"{there} {sign} {once}" if setting.side in SIGN else f"{once} − {there}"
    second = Step("From the oscillator to the dial", setting.total(left, dial), setting.told(dial))
    added = Wrong(
        "wrong-direction", Fraction(signal_hz + s * own_if),
        "Away from the station: the oscillator lies between image and station.",
    )  # fmt: skip
    wrong = [
        Wrong("if-once", Fraction(oscillator), "The IF is taken once: that is the oscillator, not the dial.", 0),
        Wrong(
            "wrong-direction", Fraction(signal_hz + 2 * s * own_if),
            "That is the image of the signal itself; the station lies the other way.",
        ),
    ]  # fmt: skip
    parts = (
        part("oscillator frequency then", setting.asked(oscillator), Fraction(oscillator), [first], [added]),
        part("dial setting", setting.asked(dial), Fraction(dial), [second], wrong),
    )
    text = f"{setting.set_words()} A transmitter on {setting.told(signal_hz)} comes in as an image at one dial setting."
    return Problem(NAME, TITLE, text, parts)


def _with_the_real_if(setting: Setting) -> Problem | None:
    dial, real = setting.channel(), setting.real_if()
    return posed_with_real_if(setting, dial, real) if image_hz(setting, dial, real) > 0 else None


def posed_with_real_if(setting: Setting, dial_hz: int, real_hz: int) -> Problem | None:
    """Ask for the real IF from the oscillator, the image with it, and that with the oscillator on the other side."""
    oscillator = setting.tuning(real_hz).oscillator_hz(dial_hz)
    if oscillator <= 0:
        return None
    parts = [real_if_part(setting, dial_hz, oscillator), image_part(setting, dial_hz, real_hz)]
    other = OTHER.get(setting.side)
    if other and dial_hz > 2 * real_hz:
        parts.append(image_part(setting, dial_hz, real_hz, side=other))
    text = (
        f"{setting.set_words(printed=True)} It receives {setting.dial(dial_hz)}, in the middle of its IF, "
        f"and a counter then reads {setting.told(oscillator)} at the oscillator."
    )
    return Problem(NAME, TITLE, text, tuple(parts))


def real_if_part(setting: Setting, received_hz: int, oscillator_hz: int, *wrong: Wrong) -> Part:
    """Ask for the real IF from what is received and the oscillator."""
    dial, own = setting.text(received_hz), setting.text(oscillator_hz)
    if setting.side in SIGN:
        real = abs(oscillator_hz - received_hz)
        larger, smaller = (own, dial) if oscillator_hz > received_hz else (dial, own)
        step = Step(
            "The real IF is the difference", setting.total(f"{larger} − {smaller}", real), setting.told(real)
        )
    else:
        real = oscillator_hz + received_hz
        step = Step("The real IF is the sum", setting.total(f"{own} + {dial}", real), setting.told(real))
    nominal = Wrong(
        "nominal-if", Fraction(setting.nominal_hz), "That is what is printed, not what was measured."
    )
    asked = setting.asked(real, setting.nominal_hz)
    return part("real IF", asked, Fraction(real), [step], [nominal, *wrong])


KIND = Kind(NAME, TITLE, draw)
