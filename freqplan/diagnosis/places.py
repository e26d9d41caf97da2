"""Where on the dial, and at what pitch: readings that are linear in the real IF and in the error of the scale."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from freqplan.decibel import Float64
from freqplan.diagnosis.airwaves import PROGRAMME
from freqplan.diagnosis.belief import DIAL, IF, SHIFT, UNKNOWNS, Reading
from freqplan.diagnosis.candidates import NOBODY, Candidates
from freqplan.diagnosis.gathering import FAR, Near
from freqplan.diagnosis.scene import ROOT_3
from freqplan.errors import Fault
from freqplan.hertz import Int64
from freqplan.plan_reading import hertz_text
from freqplan.tones import MONO_LIMIT_HZ, SUBCARRIER_HZ
from freqplan.words import span

if TYPE_CHECKING:
    from freqplan.diagnosis.scene import Scene
    from freqplan.evidence import Evidence
    from freqplan.witnesses import Witness

MISTUNED_HZ = {"fm": 12_000, "am": 400}
"""How far from a station's carrier a set is set on it; common practice, no source."""


AUDIO_HZ = {"fm": MONO_LIMIT_HZ, "am": 6_000}
"""Highest pitch that is heard."""

BESIDE = 0.35
"""How far beside the middle of a ghost somebody stops, against half the IF filter; common practice, no source."""


BEYOND = 0.05
"""Share of the dial by which a set may tune past the ends of its band; common practice, no source."""


@dataclass(frozen=True)
class Spot:
    """Where one symptom was met.

    Attributes
    ----------
    wanted_hz : int or None [Hz]
        The carrier of the station it was heard on.
    dial_hz : int or None [Hz]
        The dial as read.
    reading_sd_hz : float [Hz]
        Of that reading alone.
    whistle : bool
        Whether a tone on a station was heard, and not a signal in its own right.
    """

    wanted_hz: int | None
    dial_hz: int | None
    reading_sd_hz: float
    whistle: bool
    offsets_hz: tuple[int, ...] = ()

    def near(self, scene: Scene) -> Near:
        """Return where on the dial to look."""
        if self.wanted_hz is not None:
            half = FAR * MISTUNED_HZ[scene.plan.band.modulation]
            return Near(float(self.wanted_hz), half, self.wanted_hz)
        if self.dial_hz is None:
            return Near()
        return Near(float(self.dial_hz), FAR * float(np.hypot(self.reading_sd_hz, scene.dial_sd_hz)))


def off_the_band(scene: Scene, evidence: Evidence, seen: Sequence[Witness]) -> Iterator[Fault]:
    """Yield dial settings and wanted stations that are none of this set, however badly its scale may be read."""
    band, rounding = scene.plan.band, scene.plan.rounding
    past = f"lies off the band {span(band.low_hz, band.high_hz, rounding)} {rounding.unit}"
    beyond_hz = BEYOND * scene.width_hz
    for index, symptom in enumerate(evidence.symptoms):
        misread_hz = FAR * float(np.hypot(scene.reading_sd_hz(symptom.reading_error_hz), scene.dial_sd_hz))
        if symptom.dial_hz is not None and _beyond_hz(scene, symptom.dial_hz) > max(beyond_hz, misread_hz):
            found, hint = f'"{hertz_text(symptom.dial_hz)}"', "write where the dial of this set stood"
            yield Fault(past, hint, key=f"symptom[{index}].dial", found=found)
    for index, witness in enumerate(seen):
        station = witness.on_station
        if station is not None and _beyond_hz(scene, station.frequency_hz) > beyond_hz:
            found, hint = (
                f'"{hertz_text(station.frequency_hz)}"',
                "write the wanted station that is disturbed",
            )
            yield Fault(past, hint, key=f"symptom[{index}].on_station", found=found)


def _beyond_hz(scene: Scene, hertz: int) -> int:
    """Return how far a frequency lies off the band [Hz]; negative inside."""
    return max(scene.plan.band.low_hz - hertz, hertz - scene.plan.band.high_hz)


def readings(scene: Scene, spot: Spot, some: Candidates) -> Iterator[Reading]:
    """Yield what the place of a symptom says of each candidate."""
    if spot.wanted_hz is not None:
        if spot.dial_hz is not None:
            yield _scale(spot, some)
        yield _on_station(scene, spot, some)
        return
    yield _holds(scene, spot, some)
    if spot.dial_hz is not None:
        yield _at(scene, spot, some)


def _scale(spot: Spot, some: Candidates) -> Reading:
    """Return what the dial reads on a station whose frequency is known: the error of the scale, whatever the cause."""
    assert spot.dial_hz is not None
    assert spot.wanted_hz is not None
    count = len(some)
    return Reading(
        np.full(count, float(spot.dial_hz - spot.wanted_hz), np.float64), gains(count, {DIAL: -1.0}),
        np.full(count, spot.reading_sd_hz, np.float64), np.ones(count), np.full(count, np.nan),
    )  # fmt: skip


def gains(count: int, given: Mapping[int, Float64 | Int64 | float]) -> Float64:
    """Return how much each unknown adds to a reading; those not given add nothing; (count, 3)."""
    gain = np.zeros((count, UNKNOWNS))
    for place, value in given.items():
        gain[:, place] = value
    return gain


def steady_hz(scene: Scene, some: Candidates) -> Float64:
    """Return b fI + rest [Hz]; (k,)."""
    steady: Float64 = (some.b * scene.intermediate_hz + some.rest_hz).astype(np.float64)
    return steady


def reach_hz(scene: Scene, some: Candidates, *, whistle: bool) -> Float64:
    """Return how far from the middle of the IF a product is still met, on a station [Hz]; (k,)."""
    modulation = scene.plan.band.modulation
    burst = some.times * scene.plan.band.deviation_hz * (some.kind == PROGRAMME)
    if not whistle:
        half: Float64 = scene.plan.if_filter.bandwidth_hz / 2 + burst
        return half
    heard = AUDIO_HZ[modulation] + (SUBCARRIER_HZ if scene.is_fm else 0)
    whistles: Float64 = heard + np.nan_to_num(some.beat, nan=1.0) * MISTUNED_HZ[modulation] + burst
    return whistles


def _is_sum_everywhere(some: Candidates) -> np.ndarray:
    """Return which candidates are sums of named signals that hold all over the dial or nowhere; (k,)."""
    everywhere: np.ndarray = some.steady & (some.a == 0) & (some.who[:, 0] != NOBODY) & (some.signal_hz > 0)
    return everywhere


def _holds(scene: Scene, spot: Spot, some: Candidates) -> Reading:
    """Return that a sum which holds everywhere or nowhere must hold, with the real IF."""
    sd = reach_hz(scene, some, whistle=spot.whistle) / ROOT_3
    anyhow = np.where(_is_sum_everywhere(some), np.nan, 1.0)
    return Reading(
        steady_hz(scene, some), gains(len(some), {IF: some.b}), sd, np.sqrt(2 * np.pi) * sd, anyhow
    )


def _on_station(scene: Scene, spot: Spot, some: Candidates) -> Reading:
    """Return what it says that a candidate is heard on a station of a known frequency."""
    assert spot.wanted_hz is not None
    off = some.a * spot.wanted_hz + steady_hz(scene, some)
    sd = np.hypot(reach_hz(scene, some, whistle=spot.whistle) / ROOT_3, some.misses_hz)
    # A sum that holds everywhere says nothing of the place, but must hold: its density there counts against the best.
    steady = _is_sum_everywhere(some)
    per_hz = np.where(steady, np.sqrt(2 * np.pi) * sd / scene.width_hz, np.maximum(np.abs(some.a), 1))
    told = some.placed | steady
    return Reading(
        off,
        gains(len(some), {IF: some.b, SHIFT: -some.shift}),
        sd,
        per_hz,
        np.where(told, np.nan, 1 / scene.width_hz),
    )


def _at(scene: Scene, spot: Spot, some: Candidates) -> Reading:
    """Return what the dial setting itself says, where no station is disturbed that tells it better."""
    assert spot.dial_hz is not None
    slope = np.where(some.a == 0, 1, some.a)
    where = -steady_hz(scene, some) / slope
    reach = reach_hz(scene, some, whistle=spot.whistle) if spot.whistle else _stops(scene, some)
    sd = np.sqrt((reach / np.abs(slope)) ** 2 + spot.reading_sd_hz**2 + some.misses_hz**2)
    gain = gains(len(some), {IF: some.b / slope, DIAL: -1.0, SHIFT: -some.shift})
    return Reading(
        spot.dial_hz - where, gain, sd, np.ones(len(some)), np.where(some.placed, np.nan, 1 / scene.width_hz)
    )


def _stops(scene: Scene, some: Candidates) -> Float64:
    """Return how far from the middle of a ghost in its own right somebody stops, in the IF [Hz]; (k,)."""
    stops: Float64 = BESIDE * scene.plan.if_filter.bandwidth_hz / 2 * np.ones(len(some))
    return stops
