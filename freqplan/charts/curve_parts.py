"""What the front-end curve shows, gathered without drawing: the curve, what lands on the IF, the stations under it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import isnan
from typing import TYPE_CHECKING, Any

import numpy as np

from freqplan.channels import channel
from freqplan.decibel import Float64
from freqplan.errors import ModelRangeError
from freqplan.levels import Levels, levels_of

if TYPE_CHECKING:
    from freqplan.plan import Plan
    from freqplan.surveys import Survey

SAMPLES = 600
"""Frequencies at which the curve is drawn."""

USUAL = {("image", 1), ("half-if", 2), ("if-breakthrough", 1)}
"""Responses marked on the curve, by mechanism and harmonic of the signal."""


@dataclass(frozen=True)
class Mark:
    """A frequency marked on the curve.

    Attributes
    ----------
    name : str
        Mechanism, or "wanted".
    harmonics : str
        m, n and e as in the tables; empty for the wanted one and the IF.
    side : str
        Oscillator side; empty where it makes no difference.
    frequency_hz : Fraction or int [Hz]
        The frequency.
    loss_db : float or None [dB]
        What is lost there before the mixer; None where that is unknown.
    """

    name: str
    harmonics: str
    side: str
    frequency_hz: Fraction | int
    loss_db: float | None


@dataclass(frozen=True)
class Received:
    """A listed station: its level at the aerial, and what is left of it at the mixer [dB(uV)], None where unknown."""

    name: str
    frequency_hz: int
    level_dbuv: float | None
    left_dbuv: float | None


@dataclass(frozen=True, eq=False)
class Stretch:
    """A part of the spectrum in one panel, with the curve in it.

    Attributes
    ----------
    frequency_hz : (k,) float64 [Hz]
        Rising.
    loss_db : (k,) float64 [dB]
        NaN where a measured response does not reach.
    marks : tuple of Mark
        Rising.
    stations : tuple of Received
        Rising; empty too where none are listed.
    """

    frequency_hz: Float64
    loss_db: Float64
    marks: tuple[Mark, ...]
    stations: tuple[Received, ...]


@dataclass(frozen=True)
class Curve:
    """Everything on a front-end curve: the dial setting [Hz], and the panels from left to right."""

    dial_hz: int
    stretches: tuple[Stretch, ...]

    @property
    def marks(self) -> tuple[Mark, ...]:
        """Return all marks, rising."""
        return tuple(mark for stretch in self.stretches for mark in stretch.marks)

    @property
    def stations(self) -> tuple[Received, ...]:
        """Return all stations in the picture, rising."""
        return tuple(one for stretch in self.stretches for one in stretch.stations)


def curve_of(survey: Survey, dial_hz: int | None = None) -> Curve:
    """Gather the front-end curve of a survey at one dial setting, by default the middle channel.

    Raises
    ------
    ModelRangeError
        The plan tells nothing of its front end, or the dial setting lies off the band.
    SweepError
        The measured response cannot be read.
    """
    plan = survey.plan
    known = levels_of(plan)
    if known is None:
        raise ModelRangeError(
            "a front-end curve needs to know the front end; put a table [front_end] with circuits and loaded_q, or "
            "with a measured response, into the plan"
        )
    used_hz = plan.middle_channel_hz if dial_hz is None else dial_hz
    marks = sorted(_marks(plan, known, used_hz), key=lambda mark: mark.frequency_hz)
    stretches = tuple(
        _stretch(survey, known, used_hz, low, high, marks) for low, high in _parts_hz(plan, marks)
    )
    return Curve(used_hz, stretches)


def _marks(plan: Plan, known: Levels, dial_hz: int) -> Iterator[Mark]:
    """Yield the wanted frequency and what lands on the IF there; the IF itself but once."""
    yield Mark("wanted", "", "", dial_hz, _loss_db(known, dial_hz, dial_hz))
    one_side = len(plan.sides) == 1
    found: dict[tuple[Any, ...], Mark] = {}
    for row in channel(plan, dial_hz).responses.rows():
        if (row["mechanism"], row["m"]) not in USUAL:
            continue
        where, is_if = row["response_hz"], not row["n"]
        harmonics = "" if is_if else f"({row['m']}, {row['n']}, {row['e']:+d})"
        side = "" if one_side or is_if else row["oscillator"]
        name = "IF" if is_if else row["mechanism"]
        found[name, side, where] = Mark(name, harmonics, side, where, _loss_db(known, where, dial_hz))
    yield from found.values()


def _loss_db(known: Levels, signal_hz: Fraction | int, dial_hz: int) -> float | None:
    loss = float(known.selectivity.loss_db(float(signal_hz), dial_hz))
    return None if isnan(loss) else loss


def _parts_hz(plan: Plan, marks: Sequence[Mark]) -> list[tuple[Fraction, Fraction]]:
    """Return what of the spectrum each panel shows: band and responses; the IF apart where it lies far off."""
    near = [mark.frequency_hz for mark in marks if mark.name != "IF"]
    low, high = Fraction(min(plan.band.low_hz, *near)), Fraction(max(plan.band.high_hz, *near))
    width = high - low
    own_if = next((Fraction(mark.frequency_hz) for mark in marks if mark.name == "IF"), low)
    apart = max(low - own_if, own_if - high)
    if apart <= width / 3:
        low, high = min(low, own_if), max(high, own_if)
        margin = (high - low) / 25
        return [(max(low - margin, margin / 100), high + margin)]
    parts = [(low - min(width / 25, low / 2), high + width / 25), (own_if * 9 / 10, own_if * 11 / 10)]
    return sorted(parts)


def _stretch(
    survey: Survey, known: Levels, dial_hz: int, low: Fraction, high: Fraction, marks: Sequence[Mark]
) -> Stretch:
    inside = tuple(mark for mark in marks if low <= mark.frequency_hz <= high)
    at_marks = [float(mark.frequency_hz) for mark in inside]
    frequency_hz = np.unique(np.concatenate([np.linspace(float(low), float(high), SAMPLES), at_marks]))
    loss_db = known.selectivity.loss_db(frequency_hz, dial_hz)
    return Stretch(frequency_hz, loss_db, inside, tuple(_received(survey, known, dial_hz, low, high)))


def _received(
    survey: Survey, known: Levels, dial_hz: int, low: Fraction, high: Fraction
) -> Iterator[Received]:
    listed = survey.stations
    if listed is None:
        return
    levels = known.at_aerial(listed)
    left = levels - known.selectivity.loss_db(listed.frequency_hz, dial_hz)
    for place in listed.rising[0].tolist():
        hertz = int(listed.frequency_hz[place])
        if low <= hertz <= high:
            at_aerial, at_mixer = (
                None if isnan(each[place]) else float(each[place]) for each in (levels, left)
            )
            yield Received(listed.names[place], hertz, at_aerial, at_mixer)
