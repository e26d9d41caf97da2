"""Choose the IF: which of four keeps image, half-IF and IF harmonics off the band, or off what is strong nearby."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from freqplan.plan_reading import hertz_text
from freqplan.problems.asked import WordAsked
from freqplan.problems.image import oscillator_part
from freqplan.problems.parts import Kind, Part, Problem, Step, Wrong, part
from freqplan.problems.setting import SIGN, Setting, power_of_ten

NAME, TITLE = "choose-if", "Choose the IF"
LETTERS = ("A", "B", "C", "D")
ASKED = WordAsked(LETTERS)
IMAGE, NEAR, FAR, HARMONIC = "image", "half-if", "far-half-if", "if-harmonic"
WORDS = {IMAGE: "image", NEAR: "half-IF response", FAR: "far half-IF response"}
HALVES = {IMAGE: 4, NEAR: 1, FAR: 3}
"""How many half IFs from the dial each response lies, on the oscillator's side."""

SPREAD = 8
"""IFs to choose from lie within this part of the plan's own, where local transmitters are to be kept off."""


@dataclass(frozen=True)
class Clash:
    """A response that an IF puts where it should not be.

    Attributes
    ----------
    what : str
        Which response.
    wanted_hz : int
        Station that is disturbed.
    lands_hz : Fraction
        Where the response, or the harmonic, lies.
    strong_hz : int
        What stands there: a strong transmitter, or for a harmonic the station itself.
    k : int
        Number of the harmonic; 0 for the others.
    """

    what: str
    wanted_hz: int
    lands_hz: Fraction
    strong_hz: int
    k: int = 0


def draw(setting: Setting) -> Problem:
    """Draw four IFs of which one serves: for the whole band, or between local stations."""
    setting.beside_the_signal()
    if setting.level == 1:
        return setting.first_that_fits(
            lambda: _for_the_band(setting), "no usable IF keeps its image off the band"
        )
    return setting.first_that_fits(
        lambda: _between_stations(setting), "no four IFs near its own differ in what they bring"
    )


def _shuffled(setting: Setting, items: Sequence[int]) -> tuple[int, ...]:
    left = list(items)
    return tuple(left.pop(setting.random.randrange(len(left))) for _ in items)


def _within(setting: Setting, low_hz: Fraction | int, high_hz: Fraction | int) -> int | None:
    """Draw an IF that is easy to write, outside the band; None where the one drawn is not."""
    band = setting.plan.band
    step = power_of_ten(max(1, int(high_hz) // 20))
    first, last = -(-int(low_hz) // step), int(high_hz) // step
    if last < first:
        return None
    drawn = step * (first + setting.random.randrange(last - first + 1))
    possible = drawn < band.low_hz or (drawn > band.high_hz and setting.side == "high")
    return drawn if possible and drawn > 0 else None


def _for_the_band(setting: Setting) -> Problem | None:
    band = setting.plan.band
    edge = Fraction(band.high_hz - band.low_hz, 2)
    near, above = (
        (edge * 21 / 20, edge * 2),
        (Fraction(band.high_hz) * 21 / 20, Fraction(band.high_hz) * 3 / 2),
    )
    good = _within(setting, *setting.pick((near, near, above)))
    poor = [_within(setting, edge / 4, edge * 19 / 20) for _ in range(3)]
    if good is None or None in poor or len({good, *poor}) < 4:
        return None
    return posed_band(setting, _shuffled(setting, [good, *(one for one in poor if one is not None)]))


def posed_band(setting: Setting, choices_hz: Sequence[int]) -> Problem | None:
    """Ask which IF keeps the image off the whole band; None unless one of them alone does."""
    band = setting.plan.band
    width = band.high_hz - band.low_hz
    good = [letter for letter, own_if in zip(LETTERS, choices_hz, strict=True) if 2 * own_if > width]
    if len(good) != 1:
        return None
    doubles = ", ".join(
        f"{letter} {setting.text(2 * own_if)}" for letter, own_if in zip(LETTERS, choices_hz, strict=True)
    )
    ends = f"{setting.text(band.high_hz)} − {setting.text(band.low_hz)}"
    steps = [
        Step("The image lies two IFs away, so it clears the band if that is more than its width",
             setting.total(ends, width), setting.told(width)),
        Step("Twice each IF", doubles, f"only {good[0]} is more"),
    ]  # fmt: skip
    start = band.low_hz if setting.side == "high" else band.high_hz
    wrong = [
        Wrong("image-in-band", letter, _image_in_band(setting, start, own_if))
        for letter, own_if in zip(LETTERS, choices_hz, strict=True)
        if letter not in good
    ]
    text = (
        f"A set for {setting.band_words} is to have {_side(setting)}. Which IF keeps the image off the band at "
        f"every dial setting: {_offered(setting, choices_hz)}?"
    )
    return Problem(NAME, TITLE, text, (part("letter of the IF", ASKED, good[0], steps, wrong),))


def _image_in_band(setting: Setting, start_hz: int, own_if: int) -> str:
    image = start_hz + SIGN[setting.side] * 2 * own_if
    return (
        f"With the dial on {setting.text(start_hz)} the image is on {setting.text(image)}, inside the band."
    )


def _side(setting: Setting) -> str:
    return f"its oscillator {'above' if setting.side == 'high' else 'below'} the signal"


def _offered(setting: Setting, choices_hz: Sequence[int]) -> str:
    told = [f"{letter} {setting.text(own_if)}" for letter, own_if in zip(LETTERS, choices_hz, strict=True)]
    return f"{', '.join(told[:-1])} or {told[-1]} {setting.unit}"


def _grid_if(setting: Setting) -> int:
    """Draw an IF near the plan's own [Hz], in steps of five times that of a real IF."""
    step = 5 * setting.if_step
    reach = max(2, setting.nominal_hz // SPREAD // step)
    return (setting.nominal_hz // step + setting.random.randrange(2 * reach + 1) - reach) * step


def _between_stations(setting: Setting) -> Problem | None:
    band = setting.plan.band
    choices = [_grid_if(setting) for _ in range(4)]
    inside = any(own_if <= 0 or band.low_hz <= own_if <= band.high_hz for own_if in choices)
    if len(set(choices)) < 4 or inside:
        return None
    s, (first, second, third, _) = SIGN[setting.side], choices
    wanted = [setting.channel() for _ in range(setting.level - 1)]
    numbers = [k for k in _numbers(setting) if band.low_hz <= k * third <= band.high_hz]
    if numbers:
        wanted[0] = setting.pick(numbers) * third
        if (wanted[0] - band.first_channel_hz) % band.raster_hz:
            return None
    half = NEAR if setting.level == 2 or setting.random.randrange(2) else FAR
    strong = [wanted[-1] + s * 2 * first, wanted[0] + s * HALVES[half] * second // 2]
    if not numbers:
        strong.append(wanted[0] + s * HALVES[FAR if half == NEAR else NEAR] * third // 2)
    return posed_stations(setting, _shuffled(setting, choices), wanted, strong)


def _numbers(setting: Setting) -> range:
    return range(2, setting.plan.orders.if_harmonic + 1)


def clashes(setting: Setting, own_if: int, wanted: Sequence[int], strong: Sequence[int]) -> Iterator[Clash]:
    """Yield what an IF puts on a strong transmitter, or on a wanted station itself, within the guard."""
    guard = setting.plan.if_filter.bandwidth_hz
    for what, halves in HALVES.items():
        for station in wanted:
            lands = station + Fraction(SIGN[setting.side] * halves * own_if, 2)
            yield from (Clash(what, station, lands, one) for one in strong if abs(lands - one) < guard)
    for k in _numbers(setting):
        for station in wanted:
            if abs(k * own_if - station) < guard:
                yield Clash(HARMONIC, station, Fraction(k * own_if), station, k)


def posed_stations(
    setting: Setting, choices_hz: Sequence[int], wanted: Sequence[int], strong: Sequence[int]
) -> Problem | None:
    """Ask which IF keeps everything off local transmitters; None unless one of them alone does."""
    if len({*wanted, *strong}) < len(wanted) + len(strong) or min(strong) <= 0:
        return None
    found = {
        letter: list(clashes(setting, own_if, wanted, strong))
        for letter, own_if in zip(LETTERS, choices_hz, strict=True)
    }
    good = [letter for letter, bad in found.items() if not bad]
    if len(good) != 1:
        return None
    reasons = {letter: _told(setting, bad[0]) for letter, bad in found.items() if bad}
    steps = [*_checks(setting, found), Step("What is left", f"none of these with {good[0]}", good[0])]
    wrong = [
        Wrong(found[letter][0].what, letter, f"{reason[0].upper()}{reason[1:]}.", 1)
        for letter, reason in reasons.items()
    ]
    parts: list[Part] = [part("letter of the IF", ASKED, good[0], steps, wrong)]
    text = _stations_text(setting, choices_hz, wanted, strong)
    if setting.level == 3:
        parts.append(oscillator_part(setting, wanted[0], choices_hz[LETTERS.index(good[0])]))
        text += f" The oscillator is asked for with that IF and the dial on {setting.dial(wanted[0])}."
    return Problem(NAME, TITLE, text, tuple(parts))


def _stations_text(
    setting: Setting, choices_hz: Sequence[int], wanted: Sequence[int], strong: Sequence[int]
) -> str:
    stations = " and ".join(map(setting.dial, wanted))
    transmitters = ", ".join(map(setting.told, sorted(strong)))
    harmonics = f" Harmonics of the IF are followed up to number {setting.plan.orders.if_harmonic}."
    return (
        f"A set is to have {_side(setting)}, and to receive {stations} without a whistle. Strong transmitters nearby: "
        f"{transmitters}. Image and both half-IF responses of a wanted station must miss these, and harmonics of the "
        f"IF the wanted stations, by {hertz_text(setting.plan.if_filter.bandwidth_hz)} at least.{harmonics} Which IF "
        f"does it: {_offered(setting, choices_hz)}?"
    )


def _checks(setting: Setting, found: dict[str, list[Clash]]) -> Iterator[Step]:
    """Yield a step for each check that rules an IF out."""
    for what, do in (
        (IMAGE, "Images, two IFs from a wanted station on the oscillator's side"),
        (NEAR, "Half-IF responses, half an IF away"),
        (FAR, "Half-IF responses, one and a half IFs away"),
        (HARMONIC, "Harmonics of the IF"),
    ):
        out = {letter: next((c for c in bad if c.what == what), None) for letter, bad in found.items()}
        hits = {letter: clash for letter, clash in out.items() if clash is not None}
        if hits:
            told = "; ".join(f"{letter}: {_told(setting, clash)}" for letter, clash in hits.items())
            yield Step(do, told, f"not {' nor '.join(hits)}")


def _told(setting: Setting, clash: Clash) -> str:
    wanted, lands = setting.text(clash.wanted_hz), setting.text(clash.lands_hz)
    if clash.what == HARMONIC:
        return f"harmonic {clash.k} of the IF falls on {lands}, at the wanted {wanted}"
    return f"the {WORDS[clash.what]} of {wanted} is on {lands}, at the transmitter on {setting.text(clash.strong_hz)}"


KIND = Kind(NAME, TITLE, draw)
