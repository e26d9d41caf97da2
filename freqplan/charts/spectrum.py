"""The spectrum of one sum, as a teacher draws it: wanted station, oscillator, other signal, and the IF between them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from freqplan.charts.chart import Chart
from freqplan.charts.drawing import label, look, svg
from freqplan.charts.spectrum_examples import PICTURED, check_mechanism, examples
from freqplan.charts.spectrum_parts import Axis
from freqplan.charts.spectrum_picture import draw_spectrum, signs_of
from freqplan.charts.spectrum_row import Row, row_of
from freqplan.charts.spectrum_sums import axes_of, sum_sign
from freqplan.hertz import HZ_IN, decimal_text
from freqplan.mechanisms import catalogue
from freqplan.own_words import is_shift, shift_sum, times
from freqplan.words import birdie_sum, mixing_sum, product_sum, setting

if TYPE_CHECKING:
    from freqplan.plan import Plan
    from freqplan.surveys import Survey

NAME = "spectrum"
DEFAULT = "image"
LONGEST_LINE = 118
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
        if row.offset_hz is not None:
            made, carrier, pitch = (
                _kilohertz(hertz or 0) for hertz in (row.offset_hz, row.decoder_hz, row.pitch_hz)
            )
            return f"{made} kHz in the decoder, against {carrier} kHz: a note of {pitch} kHz"
        if row.kind:
            return product_sum(
                values | {"dial_hz": None if row.n == 0 else row.dial_hz}, row.tuning, rounding
            )
        if is_shift(values) and row.m is not None:
            return shift_sum(values, row.dial_hz, rounding)
        if row.other_oscillator_hz is not None:
            own = times(row.harmonic or 1, row.other_oscillator_hz, rounding)
            return f"oscillator of the other set on {own}; {self._mixing}"
        if row.k is not None or row.sources_hz or row.signal_hz is None:
            return (
                birdie_sum(values, row.tuning, rounding)
                if row.k or row.n
                else f"fX = fL = {rounding.fine(row.oscillator_hz)}"
            )
        if row.n is None:
            return f"fX = fL = {rounding.fine(row.oscillator_hz)}"
        return self._mixing

    @property
    def _mixing(self) -> str:
        row = self.row
        return mixing_sum(
            tuning=row.tuning, m=row.m or 1, n=row.n or 0, e=row.e or 1, dial_hz=row.dial_hz,
            signal_hz=row.signal_hz, rounding=self.plan.rounding,
        )  # fmt: skip

    @property
    def direction(self) -> str:
        """Return which way it moves while the set is tuned; empty where that says nothing."""
        slope = self.row.slope
        if slope is None or self.row.kind and self.row.lands_on == "dial":
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


def _kilohertz(hertz: int) -> str:
    return decimal_text(hertz, unit_hz=HZ_IN["kHz"], decimals=0, extra=3)


def spectra(
    survey: Survey, mechanism: str = DEFAULT, dial_hz: int | None = None
) -> tuple[tuple[Spectrum, ...], str]:
    """Gather what there is to see of a mechanism, without drawing it.

    Parameters
    ----------
    survey, mechanism, dial_hz
        As for `spectrum`.

    Returns
    -------
    tuple of Spectrum
        At least one.
    str
        What of it is an example only; empty where all is of the plan.

    Raises
    ------
    FreqplanError
        There is no such mechanism.
    ModelRangeError
        It has no sum of frequencies, or none comes about with the plan.
    """
    found = examples(survey, mechanism, dial_hz)
    shown = tuple(Spectrum(found.survey.plan, row, axes_of(found.survey.plan, row)) for row in found.rows)
    return shown, found.remark


def spectrum(survey: Survey, mechanism: str | None = None, dial_hz: int | None = None) -> Chart:
    """Draw a telling example of a mechanism.

    Parameters
    ----------
    survey : Survey
        Of the set; where it has none of it, an example is taken that says so.
    mechanism : str, optional
        Id in the catalogue; the image by default.
    dial_hz : int, optional [Hz]
        The dial setting, mid-band by default; of what has a place of its own on the dial, the one nearest to it.

    Raises
    ------
    FreqplanError
        There is no such mechanism.
    MissingExtraError
        matplotlib is not installed.
    ModelRangeError
        It has no sum of frequencies, or none comes about with the plan.
    """
    shown, remark = spectra(survey, mechanism or DEFAULT, dial_hz)
    return _chart(shown, remark)


def row_chart(plan: Plan, row: Mapping[str, Any]) -> Chart:
    """Draw the sum behind one row of a table.

    Parameters
    ----------
    plan : Plan
        The receiver.
    row : mapping
        ``mechanism`` and what the tables have of it: ``oscillator, m, n, e, k, q, dial_hz``, the signal as
        ``response_hz``, ``station_hz`` or ``signal_hz``, and so on; a dial setting or signal that is missing is solved
        for.

    Returns
    -------
    Chart

    Raises
    ------
    FreqplanError
        There is no such mechanism.
    MissingExtraError
        matplotlib is not installed.
    ModelRangeError
        It has no sum of frequencies, or the numbers have no solution.
    """
    check_mechanism(str(row.get("mechanism")))
    whole = row_of(plan, row)
    return _chart((Spectrum(plan, whole, axes_of(plan, whole)),), "")


def _chart(shown: tuple[Spectrum, ...], remark: str) -> Chart:
    with look():
        pictures = tuple(_picture(one, number) for number, one in enumerate(shown, 1))
    title = label(shown[0].title)
    return Chart(NAME, title, caption_of(shown, remark), " ".join(one.alt for one in shown), pictures)


def _picture(one: Spectrum, number: int) -> str:
    lines = [label(line, LONGEST_LINE) for line in (one.setting, one.sum, one.direction) if line]
    sheet = draw_spectrum(one.axes, title=label(one.title, LONGEST_LINE), subtitles=lines)
    return svg(sheet.figure, name=f"{NAME}-{number}", title=one.title, alt=one.alt)


def caption_of(shown: tuple[Spectrum, ...], remark: str) -> str:
    """Return how to read the pictures of a mechanism."""
    row = shown[0].row
    if row.offset_hz is not None:
        how = "The two heavy arrows are of one length: what lies so far from a carrier of the decoder is heard so high."
    else:
        how = (
            "A heavy arrow runs from a signal to the oscillator, or to a harmonic of it; what is as far away as the IF is "
            "long comes out of the mixer on the IF. Hollow marks are made of other frequencies."
        )
    return " ".join([how, *([remark] if remark else [])])


__all__ = ["NAME", "PICTURED", "Spectrum", "caption_of", "row_chart", "spectra", "spectrum"]
