"""Name the oscillator side: from a half-IF ghost, from two places of one station, or by a second radio."""

from __future__ import annotations

from fractions import Fraction

from freqplan.problems.asked import WordAsked
from freqplan.problems.image import oscillator_part, real_if_part
from freqplan.problems.parts import CannotBeSetError, Kind, Part, Problem, Step, Wrong, part
from freqplan.problems.setting import OTHER, SIGN, Setting

NAME, TITLE = "side", "Name the oscillator side"
ASKED = WordAsked(("high", "low"))
FARTHEST_ERROR = 20
"""The dial reads wrong by this part of the band's width at most."""

WHERE = {"high": "above", "low": "below"}


def draw(setting: Setting) -> Problem:
    """Draw a side, whatever the plan says, and readings that tell it."""
    if setting.nominal_hz >= setting.plan.band.low_hz:
        raise CannotBeSetError(
            "an oscillator below the signal is not possible with an IF above the low end of the band"
        )
    unknown = Setting(setting.plan, setting.level, setting.random, setting.pick(("high", "low")))
    ways = {1: (_ghost, _second_radio), 2: (_ghost, _image), 3: (_wrong_dial,)}[setting.level]
    why_not = "no ghost of a station of the band falls on the dial"
    return setting.first_that_fits(lambda: unknown.pick(ways)(unknown), why_not)


def _about(setting: Setting) -> str:
    return (
        f"A set for {setting.band_words} has an IF of {setting.told(setting.nominal_hz)}; "
        "nobody knows on which side of the signal its oscillator stands."
    )


def _on_the_dial(setting: Setting, *hertz: int) -> bool:
    return all(setting.plan.band.low_hz <= one <= setting.plan.band.high_hz for one in hertz)


def _second_radio(setting: Setting) -> Problem | None:
    dial = setting.channel()
    oscillator = setting.tuning().oscillator_hz(dial)
    text = (
        f"{_about(setting)} It receives {setting.dial(dial)}, and a second radio beside it finds its oscillator on "
        f"{setting.told(oscillator)}."
    )
    return Problem(NAME, TITLE, text, (_side_by_oscillator(setting, dial, oscillator),))


def _side_by_oscillator(setting: Setting, received_hz: int, oscillator_hz: int) -> Part:
    where = WHERE[setting.side]
    step = Step(
        "Oscillator against the station received",
        f"{setting.text(oscillator_hz)} lies {where} {setting.text(received_hz)}",
        setting.side,
    )
    reason = f"The oscillator lies {where} the station received: {setting.side}."
    wrong = Wrong("wrong-side", OTHER[setting.side], reason)
    return part("oscillator side", ASKED, setting.side, [step], [wrong])


def _ghost(setting: Setting) -> Problem | None:
    """Give a half-IF ghost of a station of the band; on level 2 the near or the far one."""
    halves = setting.pick((1, 3)) if setting.level > 1 else 1
    station, own_if = setting.channel(), setting.nominal_hz
    away = SIGN[setting.side] * halves * own_if
    ghost = station - away // 2
    if away % 2 or not _on_the_dial(setting, ghost):
        return None
    return posed_ghost(setting, station, ghost)


def posed_ghost(setting: Setting, station_hz: int, ghost_hz: int) -> Problem:
    """Ask for the side by a half-IF ghost, on level 2 also for the oscillator there."""
    side, own_if = setting.side, setting.nominal_hz
    halves = 2 * abs(station_hz - ghost_hz) // own_if
    below = ghost_hz < station_hz
    larger, smaller = (station_hz, ghost_hz) if below else (ghost_hz, station_hz)
    gap = f"{setting.text(larger)} − {setting.text(smaller)}"
    which = "half an IF" if halves == 1 else "one and a half IFs"
    steps = [
        Step(
            f"Dial and signal are {which} apart: a half-IF ghost", setting.total(gap, larger - smaller),
            setting.told(larger - smaller), setting.level - 1,
        ),
        Step(
            "The signal lies on the oscillator's side of the dial setting",
            f"{setting.text(station_hz)} lies {'above' if below else 'below'} {setting.text(ghost_hz)}",
            side,
        ),
    ]  # fmt: skip
    reason = (
        f"The ghost stands {'below' if below else 'above'} its station, so at the ghost's setting the station lies "
        f"{WHERE[side]} the dial, where the oscillator is."
    )
    kept = [step for step in steps if step.points]
    wrong = Wrong("wrong-side", OTHER[side], reason, setting.level - 1)
    parts = [part("oscillator side", ASKED, side, kept, [wrong])]
    if setting.level > 1:
        parts.append(oscillator_part(setting, ghost_hz, own_if))
    text = (
        f"{_about(setting)} A strong station on {setting.dial(station_hz)} is heard again on {setting.told(ghost_hz)}, "
        f"where it fills half as much of the dial as a station; a 10 dB pad takes 20 dB off it."
    )
    asked_there = " The oscillator is asked for with the dial on that ghost." if setting.level > 1 else ""
    return Problem(NAME, TITLE, text + asked_there, tuple(parts))


def _image(setting: Setting) -> Problem | None:
    """Give a station heard on its image as well, where two IFs fit into the band."""
    station, own_if = setting.channel(), setting.nominal_hz
    ghost = station - 2 * SIGN[setting.side] * own_if
    if not _on_the_dial(setting, ghost):
        return None
    larger, smaller = max(station, ghost), min(station, ghost)
    below = ghost < station
    steps = [
        Step(
            "The two places are two IFs apart: the second one is an image",
            setting.total(f"{setting.text(larger)} − {setting.text(smaller)}", larger - smaller),
            setting.told(larger - smaller),
        ),
        Step(
            "The image of a dial setting lies on the oscillator's side",
            f"{setting.text(station)} lies {'above' if below else 'below'} {setting.text(ghost)}",
            setting.side,
        ),
    ]
    reason = f"With the dial on {setting.text(ghost)} the station lies {WHERE[setting.side]}, where the oscillator is."
    parts = (
        part(
            "oscillator side",
            ASKED,
            setting.side,
            steps,
            [Wrong("wrong-side", OTHER[setting.side], reason, 1)],
        ),
        oscillator_part(setting, ghost, own_if),
    )
    text = (
        f"{_about(setting)} A station on {setting.dial(station)} is heard there and again on {setting.told(ghost)}, "
        "where the tuning meter acts backwards. The oscillator is asked for with the dial on the second place."
    )
    return Problem(NAME, TITLE, text, parts)


def _wrong_dial(setting: Setting) -> Problem | None:
    """Give a dial that reads wrong, the station that plays there, and the oscillator by a second radio."""
    band, real = setting.plan.band, setting.real_if()
    station = setting.channel()
    steps = (band.high_hz - band.low_hz) // FARTHEST_ERROR // band.raster_hz
    error = band.raster_hz * (1 + setting.random.randrange(max(1, steps)))
    reads = station + (error if setting.random.randrange(2) else -error)
    return posed_wrong_dial(setting, reads, station, real) if _on_the_dial(setting, reads) else None


def posed_wrong_dial(setting: Setting, reads_hz: int, station_hz: int, real_hz: int) -> Problem | None:
    """Ask for side, real IF and image from what the dial reads, what plays there, and the oscillator."""
    s = SIGN[setting.side]
    oscillator = setting.tuning(real_hz).oscillator_hz(station_hz)
    image = station_hz + 2 * s * real_hz
    if oscillator <= 0 or image <= 0:
        return None
    by_the_dial = Fraction(abs(oscillator - reads_hz))
    reads = "Reckoned from what the dial reads; what is received counts."
    text = (
        f"{_about(setting)} Its dial reads {setting.dial(reads_hz)}, and the station that plays there, in the middle "
        f"of the IF, is on {setting.told(station_hz)}. A second radio finds the oscillator on "
        f"{setting.told(oscillator)}. The real IF differs from the printed one."
    )
    first, away = setting.text(oscillator), setting.text(real_hz)
    sign = "+" if s > 0 else "−"
    step = Step(
        f"Another real IF {WHERE[setting.side]} the oscillator", setting.total(f"{first} {sign} {away}", image),
        setting.told(image), 2,
    )  # fmt: skip
    nominal = station_hz + 2 * s * setting.nominal_hz
    wrong = [
        Wrong("nominal-if", Fraction(nominal), "Reckoned with the printed IF; the real one counts.", 1),
        Wrong("dial-for-signal", Fraction(2 * oscillator - reads_hz), reads, 1),
        Wrong("wrong-side", Fraction(station_hz - 2 * s * real_hz), "On the wrong side of the station.", 1),
    ]
    parts = (
        _side_by_oscillator(setting, station_hz, oscillator),
        real_if_part(setting, station_hz, oscillator, Wrong("dial-for-signal", by_the_dial, reads)),
        part("image of that station's reception", setting.asked(image), Fraction(image), [step], wrong),
    )
    return Problem(NAME, TITLE, text, parts)


KIND = Kind(NAME, TITLE, draw)
