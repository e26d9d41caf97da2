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
from freqplan.hertz import HZ_IN, Int64
from freqplan.plan_reading import hertz_text
from freqplan.tones import MONO_LIMIT_HZ, SUBCARRIER_HZ
from freqplan.words import span

if TYPE_CHECKING:
    from freqplan.diagnosis.scene import Scene
    from freqplan.evidence import Evidence, Symptom
    from freqplan.witnesses import Witness

MISTUNED_HZ = {"fm": 12_000, "am": 400}
"""How far from a station's carrier a set is set on it; common practice, no source."""

CENTRED_HZ = {"fm": 1_000, "am": 100}
"""The same where somebody reads a pitch, which takes care."""

AUDIO_HZ = {"fm": MONO_LIMIT_HZ, "am": 6_000}
"""Highest pitch that is heard."""

BESIDE = 0.35
"""How far beside the middle of a ghost somebody stops, against half the IF filter; common practice, no source."""

HUM_HZ, HUM_IS_LOW = 300, 0.9
"""Hum is the mains rate or twice that, with some harmonics; how often it is told as such."""

BEYOND = 0.05
"""Share of the dial by which a set may tune past the ends of its band; common practice, no source."""

LIKELY = 0.1
"""Offsets rarer than this are not told."""

CLEAR_DIRECTION = 0.94
"""Share of cases in which the way a pitch moves is told rightly."""


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
            return Near(float(self.wanted_hz), FAR * MISTUNED_HZ[scene.plan.band.modulation])
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
        np.full(count, float(spot.dial_hz - spot.wanted_hz)), _gains(count, {DIAL: -1.0}),
        np.full(count, spot.reading_sd_hz), np.ones(count), np.full(count, np.nan),
    )  # fmt: skip


def _gains(count: int, given: Mapping[int, Float64 | Int64 | float]) -> Float64:
    gain = np.zeros((count, UNKNOWNS))
    for place, value in given.items():
        gain[:, place] = value
    return gain


def _steady_hz(scene: Scene, some: Candidates) -> Float64:
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
        _steady_hz(scene, some), _gains(len(some), {IF: some.b}), sd, np.sqrt(2 * np.pi) * sd, anyhow
    )


def _on_station(scene: Scene, spot: Spot, some: Candidates) -> Reading:
    """Return what it says that a candidate is heard on a station of a known frequency."""
    assert spot.wanted_hz is not None
    off = some.a * spot.wanted_hz + _steady_hz(scene, some)
    sd = np.hypot(reach_hz(scene, some, whistle=spot.whistle) / ROOT_3, some.misses_hz)
    # A sum that holds everywhere says nothing of the place, but must hold: its density there counts against the best.
    steady = _is_sum_everywhere(some)
    per_hz = np.where(steady, np.sqrt(2 * np.pi) * sd / scene.width_hz, np.maximum(np.abs(some.a), 1))
    told = some.placed | steady
    return Reading(
        off,
        _gains(len(some), {IF: some.b, SHIFT: -some.shift}),
        sd,
        per_hz,
        np.where(told, np.nan, 1 / scene.width_hz),
    )


def _at(scene: Scene, spot: Spot, some: Candidates) -> Reading:
    """Return what the dial setting itself says, where no station is disturbed that tells it better."""
    assert spot.dial_hz is not None
    slope = np.where(some.a == 0, 1, some.a)
    where = -_steady_hz(scene, some) / slope
    reach = reach_hz(scene, some, whistle=spot.whistle) if spot.whistle else _stops(scene, some)
    sd = np.sqrt((reach / np.abs(slope)) ** 2 + spot.reading_sd_hz**2 + some.misses_hz**2)
    gain = _gains(len(some), {IF: some.b / slope, DIAL: -1.0, SHIFT: -some.shift})
    return Reading(
        spot.dial_hz - where, gain, sd, np.ones(len(some)), np.where(some.placed, np.nan, 1 / scene.width_hz)
    )


def _stops(scene: Scene, some: Candidates) -> Float64:
    """Return how far from the middle of a ghost in its own right somebody stops, in the IF [Hz]; (k,)."""
    stops: Float64 = BESIDE * scene.plan.if_filter.bandwidth_hz / 2 * np.ones(len(some))
    return stops


@dataclass(frozen=True, eq=False)
class Branch:
    """One way in which a pitch comes about: which offset it is, how likely, and the reading.

    Attributes
    ----------
    share : (k,) float64
        How likely this way is for each candidate.
    reading : Reading
        What it says.
    """

    share: Float64
    reading: Reading


def pitch_branches(scene: Scene, spot: Spot, symptom: Symptom, some: Candidates) -> list[Branch]:
    """Return the offsets that a pitch may stand for, for each candidate; none where no pitch was read.

    The pitch is the offset itself, or how far it lies from the subcarrier of a stereo decoder.
    """
    at = spot.wanted_hz if spot.wanted_hz is not None else spot.dial_hz
    if symptom.pitch_khz is None or at is None or not spot.whistle:
        return []
    pitch = round(symptom.pitch_khz * HZ_IN["kHz"])
    off = some.a * at + _steady_hz(scene, some)
    modulation = scene.plan.band.modulation
    care = CENTRED_HZ[modulation] if spot.wanted_hz is not None else spot.reading_sd_hz
    sd = np.sqrt((np.nan_to_num(some.beat, nan=1.0) * care) ** 2 + 100.0**2 + some.misses_hz**2)
    told = some.placed | (some.a == -1) & (some.signal_hz > 0)
    anyhow = np.where(told, np.nan, _by_itself(some, pitch, AUDIO_HZ[modulation]))
    rising = _rising(scene, some)
    branches = []
    for offset, share in offsets(scene, symptom):
        reading = Reading(off - offset, _gains(len(some), {IF: some.b}), sd, np.ones(len(some)), anyhow)
        way = np.full(len(some), 0.5)
        if symptom.pitch_tuned_up is not None and abs(offset) == pitch:
            rises = rising * np.sign(offset) * (1 if symptom.pitch_tuned_up == "rises" else -1)
            way = np.where(rises == 0, 0.5, np.where(rises > 0, CLEAR_DIRECTION, 1 - CLEAR_DIRECTION))
        branches.append(Branch(share * way, reading))
    return branches


def _by_itself(some: Candidates, pitch: int, audio_hz: int) -> Float64:
    """Return the density of a pitch that no sum tells (k,): hum is low, everything else may have any."""
    hum = HUM_IS_LOW / HUM_HZ if pitch <= HUM_HZ else (1 - HUM_IS_LOW) / audio_hz
    return np.where(some.mechanism == "modulation-hum", hum, 1 / audio_hz)


def offsets(scene: Scene, symptom: Symptom) -> list[tuple[int, float]]:
    """Return the offsets that make the pitch that was read [Hz], on either side, and how likely each is."""
    if symptom.pitch_khz is None:
        return []
    pitch = round(symptom.pitch_khz * HZ_IN["kHz"])
    if not scene.is_fm or scene.plan.stereo.decoder == "none":
        return [(pitch, 0.5), (-pitch, 0.5)]
    mono = {True: 0.04, None: 0.7, False: 0.97}[symptom.stereo_only]
    found = [(pitch, mono / 2), (-pitch, mono / 2)]
    for distance in (SUBCARRIER_HZ - pitch, SUBCARRIER_HZ + pitch):
        found += [(distance, (1 - mono) / 4), (-distance, (1 - mono) / 4)]
    return found


def _rising(scene: Scene, some: Candidates) -> Float64:
    """Return which way the offset moves while the dial is turned up, the signals at rest: +1, -1, 0 unknown; (k,).

    The product moves by the tuning slope, the wanted station by one; of a harmonic of the IF the slope is 1 - k.
    """
    moves = np.where(np.isnan(some.slope) & ~np.isnan(some.beat), -some.beat, some.slope - 1)
    way = np.array([tuning.wanted_slope * tuning.sigma for tuning in scene.tunings])[some.side]
    rising: Float64 = np.nan_to_num(np.sign(moves)) * way * some.placed
    return rising
