"""Explanations of dial readings in the words of the bench: how much, the sum behind it, and what to do."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from freqplan.explanation import (
    COIL,
    IF_OFF,
    NO_FAULT,
    POINTER,
    SCALED,
    TRIMMER,
    WRONG_SIDE,
    Explanation,
    farthest_if_hz,
    farthest_pointer_hz,
)
from freqplan.hertz import json_number
from freqplan.plan_reading import hertz_text
from freqplan.separating import rough
from freqplan.weighing import FEWEST, ROUGHLY, Weighed
from freqplan.words import setting

if TYPE_CHECKING:
    from freqplan.plan import Plan

ABOVE_OR_BELOW = {"high": "above the station", "low": "below the station", "sum": "less the dial setting"}
FITS, ROUGH, RULED_OUT = "fits", "roughly", "ruled-out"
MOST_NAMED = 6
"""Images named in a line."""

LINE_UP = "core at the low end of the dial, trimmer at the high end, in turns until both ends are right"


@dataclass(frozen=True)
class DialWords:
    """Writes explanations for one set.

    Attributes
    ----------
    plan : Plan
        The set.
    found : Weighed
        The explanations, and the readings they explain.
    """

    plan: Plan
    found: Weighed

    @property
    def error(self) -> str:
        """Return what counts as reading error."""
        return f"the reading error of {hertz_text(self.found.error_hz)}"

    def verdict(self, one: Explanation) -> str:
        """Return whether an explanation fits, fits roughly, or is ruled out."""
        if self.found.fits(one):
            return FITS
        return ROUGH if one.residual_hz <= ROUGHLY * self.found.error_hz else RULED_OUT

    def reason(self, suspect: tuple[int, Weighed] | None) -> str:
        """Write why readings leave it open.

        Parameters
        ----------
        suspect : (int, Weighed), optional
            The reading that keeps everything from fitting, and what the others say.
        """
        found, first = self.found, self.found.first
        if found.settings < FEWEST:
            return (
                f"It takes readings at {FEWEST} settings of the dial, from both ends and the middle; there "
                f"{'is one' if found.settings == 1 else f'are {found.settings}'}."
            )
        if not found.fits(first):
            return f"Nothing explains these readings within {self.error}; {self._what_is_wrong(suspect)}."
        if found.rivals:
            *kinds, last = dict.fromkeys([first.kind, *(one.kind for one in found.rivals)])
            return f"{', '.join(kinds)} and {last} fit alike, within {self.error}."
        return (
            f"{first.kind} has {first.parameters} values to fit: readings at {found.needed} settings check it, "
            f"and there are {found.settings}."
        )

    @property
    def no_test(self) -> str:
        """Write that nothing would tell the first explanation from another one, and what is left to do."""
        return (
            "No reading of this dial and no frequency of its oscillator tells them apart: all over the dial they "
            "differ by less than can be read. Read more exactly, as with a generator and a counter, and say how well "
            "(reading error)."
        )

    def _what_is_wrong(self, suspect: tuple[int, Weighed] | None) -> str:
        first = self.found.first
        if suspect is not None:
            place, without = suspect
            at = setting(int(self.found.readings.reads_hz[place]), self.plan.rounding)
            return f"most likely the reading at {at} is wrong, for {without.first.kind} explains the others"
        if self.verdict(first) == ROUGH:
            return f"{first.kind} comes nearest: read again, or say how well the dial is read (reading error)"
        return "a station may have been taken for another, or be an image: take them again"

    def value(self, one: Explanation) -> tuple[float | int | None, str]:
        """Return the value that was fitted, and its unit: ``"hz"``, ``"ratio"`` or ``"percent"``."""
        if one.kind in (SCALED, WRONG_SIDE):
            return float(one.ratio), "ratio"
        if one.kind in (COIL, TRIMMER):
            return json_number(circuit_percent(one) if one.kind == COIL else trimmer_percent(one)), "percent"
        return one.intermediate_hz if one.kind == IF_OFF else -one.shift_hz, "hz"

    def how_much(self, one: Explanation) -> str:
        """Write what an explanation amounts to in a few words."""
        writers: dict[str, Callable[[Explanation], str]] = {
            NO_FAULT: lambda one: f"reads right{', images among the readings' if one.has_images else ''}",
            POINTER: lambda one: f"reads {self._shift(one)}",
            IF_OFF: lambda one: f"real IF {self._mhz(one.intermediate_hz)}",
            SCALED: lambda one: f"oscillator {_off(one.ratio)}: capacitance {_change(circuit_percent(one))}",
            WRONG_SIDE: lambda one: f"oscillator {ABOVE_OR_BELOW[one.sides[0]]}, {_off(one.ratio)}",
            COIL: _coil_and_trimmer,
            TRIMMER: _coil_and_trimmer,
        }
        return writers[one.kind](one)

    def sum(self, one: Explanation, reads_hz: int) -> str:
        """Write an explanation with its numbers at one reading."""
        rounding, at = self.plan.rounding, setting(reads_hz, self.plan.rounding)
        if one.kind == NO_FAULT:
            worst = Fraction(round(float(abs(one.errors_hz).max())))
            where = "it should be" if one.has_images else "it reads"
            right = f"The dial is right: no station is farther than {self._mhz(worst)} from where {where}."
            return f"{right}{self._images(one)}"
        if one.kind in (POINTER, IF_OFF):
            cause = (
                f"Every reading is {self._shift(one)}" if one.kind == POINTER else f"The {self.how_much(one)}"
            )
            plays = self._rough(one.plays_hz(reads_hz, one.tuning.side))
            return f"{cause}: at {at} it plays {plays}.{self._images(one)}"
        should, is_on = one.nominal_hz(reads_hz), one.oscillator_hz(reads_hz)
        far = f"{_off(is_on / should)}" if is_on != should else "right there"
        return (
            f"At {at} the oscillator should be on {rounding.fine(should)} and is on {self._rough(is_on)}: {far}"
            f"{self._because(one)}.{self._images(one) if one.kind == COIL else ''}"
        )

    def _images(self, one: Explanation) -> str:
        """Write which readings are of images, and what plays there."""
        given, rounding = self.found.readings, self.plan.rounding
        taken = zip(given.reads_hz.tolist(), given.is_hz.tolist(), one.sides, strict=True)
        images = [(reads, is_) for reads, is_, side in sorted(set(taken)) if side != one.tuning.side]
        if not images:
            return ""
        named = [f"{rounding.fine(is_)} at {setting(reads, rounding)}" for reads, is_ in images[:MOST_NAMED]]
        more = f" and {len(images) - MOST_NAMED} more" if len(images) > MOST_NAMED else ""
        return (
            f" {'Images' if len(images) > 1 else 'An image'}, from the other side of the oscillator: "
            f"{', '.join(named)}{more}."
        )

    def _because(self, one: Explanation) -> str:
        if one.kind == SCALED:
            swapped = (
                "; parts of the dial have changed places, for some stations come in as images"
                if one.is_swapped
                else ""
            )
            return f", capacitance {_change(circuit_percent(one))}{swapped}"
        if one.kind == WRONG_SIDE:
            return f", and it is {ABOVE_OR_BELOW[one.sides[0]]}"
        return f", {_coil_and_trimmer(one)}"

    def advice(self, one: Explanation) -> str:
        """Write what to do if it is so, or that it is not so."""
        if self.verdict(one) == RULED_OUT:
            return f"Does not fit{self._why_not(one)}."
        return ADVICE[one.kind](self, one)

    def _why_not(self, one: Explanation) -> str:
        """Write which bound keeps a value from fitting."""
        if one.kind == IF_OFF:
            farthest = farthest_if_hz(self.plan)
            return f": no filter that works is farther than {hertz_text(farthest)} off its nominal IF"
        farthest = farthest_pointer_hz(self.plan)
        held = one.kind == POINTER and abs(one.shift_hz) == farthest
        return f": no pointer is taken to be farther than {hertz_text(farthest)} off" if held else ""

    def _no_fault(self, one: Explanation) -> str:
        if one.has_images:
            return (
                "Leave oscillator and pointer as they are. An image comes in where the circuits before the mixer are "
                "out of line, or too few for so strong a station."
            )
        return "Leave it as it is. That it reads right does not tell on which side the oscillator is."

    def _pointer(self, one: Explanation) -> str:
        way = "higher" if one.shift_hz > 0 else "lower"
        return (
            f"Move the pointer on its cord, or the drum on its shaft, to read {self._mhz(abs(one.shift_hz))} {way}; "
            "turn no core and no trimmer before that."
        )

    def _if_off_centre(self, one: Explanation) -> str:
        return (
            f"Measure the IF. If it is {self._mhz(one.intermediate_hz)}, line up the IF, or fit filters of the right "
            "rank; only then the oscillator."
        )

    def _scaled(self, one: Explanation) -> str:
        much, wrong = (
            ("much", "a wrong or added capacitor across the oscillator coil, a wrong coil or core")
            if one.ratio < 1
            else (
                "little",
                "a capacitor missing, open or of a wrong value, a padder, a wrong coil, shorted turns",
            )
        )
        percent = _percent(abs(circuit_percent(one)))
        return f"There is {percent} too {much} capacitance or inductance: look for {wrong}. Then line up: {LINE_UP}."

    def _wrong_side(self, one: Explanation) -> str:
        side = ABOVE_OR_BELOW[one.tuning.side]
        return (
            f"The scale is made for an oscillator {side}. Find out which side the front end and the scale belong to; "
            f"then bring the oscillator there with coil and trimmer: {LINE_UP}."
        )

    def _circuit(self, one: Explanation) -> str:
        turn = "out, or of brass in" if one.ratio < 1 else "in, or of brass out"
        parts = [f"core {turn}"] if _shows(circuit_percent(one)) else []
        parts += [f"trimmer {'out' if one.tau > 0 else 'in'}"] if _shows(trimmer_percent(one)) else []
        return f"Line up the oscillator ({'; '.join(parts) or 'little to turn'}): {LINE_UP}."

    def _shift(self, one: Explanation) -> str:
        way = "low" if one.shift_hz > 0 else "high"
        return f"{self._mhz(abs(one.shift_hz))} {way}"

    def _mhz(self, hertz: Fraction | int) -> str:
        return f"{self._rough(Fraction(hertz))} {self.plan.rounding.unit}"

    def _rough(self, hertz: Fraction) -> str:
        return rough(hertz, self.found.error_hz, self.plan.rounding)


ADVICE: dict[str, Callable[[DialWords, Explanation], str]] = {
    NO_FAULT: DialWords._no_fault,
    POINTER: DialWords._pointer,
    IF_OFF: DialWords._if_off_centre,
    SCALED: DialWords._scaled,
    WRONG_SIDE: DialWords._wrong_side,
    COIL: DialWords._circuit,
    TRIMMER: DialWords._circuit,
}


def circuit_percent(one: Explanation) -> Fraction:
    """Return by how much inductance, or total capacitance, is too large [percent], 1/q^2 - 1."""
    return 100 * (1 / one.ratio**2 - 1)


def trimmer_percent(one: Explanation) -> Fraction:
    """Return the capacitance too much beside the tuning capacitor, against the total where it is least [percent]."""
    return 100 * one.tau


def _coil_and_trimmer(one: Explanation) -> str:
    coil, trimmer = circuit_percent(one), trimmer_percent(one)
    parts = [f"inductance {_change(coil)}"] if _shows(coil) else []
    parts += [f"trimmer {_change(trimmer)} (of the least capacitance)"] if _shows(trimmer) else []
    return ", ".join(parts) or "coil and trimmer right"


def _shows(percent: Fraction) -> bool:
    """Return whether a change is more than nothing when it is written."""
    return abs(percent) >= Fraction(1, 20)


def _off(ratio: Fraction) -> str:
    return f"{_percent(100 * abs(ratio - 1), 1)} {'low' if ratio < 1 else 'high'}"


def _change(percent: Fraction) -> str:
    return f"{_percent(abs(percent))} too {'high' if percent > 0 else 'low'}"


def _percent(percent: Fraction, decimals: int | None = None) -> str:
    places = decimals if decimals is not None else 1 if percent < 10 else 0
    return f"{float(percent):.{places}f} %"
