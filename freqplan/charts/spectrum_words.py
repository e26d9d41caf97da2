"""What the spectrum chart says: title, setting, sum with its numbers, which way it moves, how to read it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from freqplan.charts.drawing import label
from freqplan.charts.spectrum_parts import Axis, kilohertz
from freqplan.charts.spectrum_picture import signs_of
from freqplan.charts.spectrum_sums import sum_sign
from freqplan.mechanisms import catalogue
from freqplan.own_words import is_shift, shift_sum, times
from freqplan.words import birdie_sum, mixing_sum, product_sum, setting

if TYPE_CHECKING:
    from freqplan.charts.spectrum_row import Row
    from freqplan.plan import Plan

SIDES = {"high": "above the signal", "low": "below the signal", "sum": "falling as the dial rises"}
SAME_WAY = "Tuning moves it in the IF as it moves the wanted station"
TURNED = "Tuning moves it in the IF the other way"
BACKWARDS = ", so that meter and AFC act backwards"
STEADY = "Tuning does not move it: it is the same all over the dial"


@dataclass(frozen=True)
class Spectrum:
    """What one picture shows, in words; gathered without drawing.

    Attributes
    ----------
    plan : Plan
        The set it is of.
    row : Row
        The sum.
    axes : tuple of Axis
        From the aerial on.
    """

    plan: Plan
    row: Row
    axes: tuple[Axis, ...]

    @property
    def title(self) -> str:
        """Return what it shows."""
        return f"{self.plan.title}: {catalogue()[self.row.mechanism].title}"

    @property
    def setting(self) -> str:
        """Return dial setting, oscillator and harmonics in a line."""
        row, rounding = self.row, self.plan.rounding
        where = f"Dial on {setting(row.dial_hz, rounding)} {rounding.unit}"
        side = SIDES[row.tuning.side]
        names = {"m": row.m, "n": row.n, "e": row.e, "k": row.k, "q": row.q}
        told = ", ".join(
            f"{name} {signed(value) if name in 'eq' else signed(value).removeprefix('+')}"
            for name, value in names.items()
            if value is not None
        )
        return (
            f"{where}, oscillator on {rounding.fine(row.oscillator_hz)}, {side}{f'; {told}' if told else ''}"
        )

    @property
    def sum(self) -> str:
        """Return the formula of the catalogue and the sum with its numbers."""
        row = self.row
        formula = catalogue()[row.mechanism].formula
        if row.kind and row.lands_on == "dial":
            formula = f"{sum_sign(row.kind)} = fT"
        numbers = f"{self.numbers} {self.plan.rounding.unit}" if row.offset_hz is None else self.numbers
        return f"{formula},  in numbers {numbers}" if formula else numbers

    @property
    def numbers(self) -> str:
        """Return the sum with its numbers, as the tables write it."""
        row, rounding, values = self.row, self.plan.rounding, self.row.numbers()
        if row.n == 0:
            values["dial_hz"] = None
        if row.offset_hz is not None:
            told = (row.offset_hz, row.decoder_hz or 0, row.pitch_hz or 0)
            made, carrier, pitch = map(kilohertz, told)
            return f"{made} kHz in the decoder, against {carrier} kHz: a note of {pitch} kHz"
        if row.kind:
            return product_sum(values, row.tuning, rounding)
        if is_shift(values) and row.m is not None:
            return shift_sum(values, Fraction(row.dial_hz), rounding)
        if row.k is not None or row.sources_hz or (row.n is not None and row.signal_hz is None):
            return birdie_sum(values, row.tuning, rounding)
        return self._met

    @property
    def _met(self) -> str:
        """Return the sum of a signal and the oscillator, or the one on the other."""
        row, rounding = self.row, self.plan.rounding
        if row.n is None or row.signal_hz is None:
            return f"fX = fL = {rounding.fine(row.oscillator_hz)}"
        mixed = mixing_sum(
            tuning=row.tuning, m=row.m or 1, n=row.n, e=row.e or 1, dial_hz=Fraction(row.dial_hz),
            signal_hz=Fraction(row.signal_hz), rounding=rounding,
        )  # fmt: skip
        if row.other_oscillator_hz is None:
            return mixed
        return f"oscillator of the other set on {times(row.harmonic or 1, row.other_oscillator_hz, rounding)}; {mixed}"

    @property
    def direction(self) -> str:
        """Return which way it moves while the set is tuned; empty where that says nothing."""
        slope = self.row.slope
        if slope is None or (self.row.kind and self.row.lands_on == "dial"):
            return ""
        if is_shift(self.row.numbers()):
            return f"{self._turned if self.row.mechanism == 'second-image' else SAME_WAY}."
        if slope == 0:
            return f"{STEADY}."
        often = f"; {abs(slope)} times as fast, hence narrower" if abs(slope) > 1 else ""
        return f"{SAME_WAY if slope > 0 else self._turned}{often}."

    @property
    def _turned(self) -> str:
        return f"{TURNED}{BACKWARDS if self.plan.band.modulation == 'fm' else ''}"

    @property
    def alt(self) -> str:
        """Return what is to be seen, axis by axis."""
        direction = [self.direction] if self.direction else []
        return label(" ".join([f"{self.setting}.", f"{self.numbers}.", *direction, *self._axes_in_words()]))

    def _axes_in_words(self) -> Iterator[str]:
        for axis in self.axes:
            signs = (
                f"{' = '.join(dict.fromkeys(s.sign for s in one.strokes))} on {one.lines[-1]}"
                for one in signs_of(axis)
            )
            yield f"{axis.title}: {', '.join(signs)}."


def signed(number: int) -> str:
    """Write a whole number with its sign."""
    return f"{number:+d}".replace("-", "−")


def caption_of(shown: Sequence[Spectrum], remark: str) -> str:
    """Return how to read the pictures of a mechanism."""
    row = shown[0].row
    if row.offset_hz is not None:
        how = "The two heavy arrows are of one length: what lies so far from a carrier of the decoder is heard so high."
    else:
        how = (
            "A heavy arrow runs from a signal to the oscillator, or to a harmonic of it; where it is as long as the "
            "IF, the signal comes out of the mixer on the IF. Hollow marks are made of other frequencies."
        )
    return " ".join([how, *([remark] if remark else [])])
