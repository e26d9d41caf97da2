"""What a pitch says: which offset from the wanted carrier it is, in mono or through the stereo decoder."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from freqplan.decibel import Float64
from freqplan.diagnosis.belief import IF, Reading
from freqplan.diagnosis.candidates import Candidates
from freqplan.diagnosis.places import AUDIO_HZ, Spot, gains, steady_hz
from freqplan.hertz import HZ_IN
from freqplan.mechanisms.synthesiser import RIPPLE
from freqplan.tones import SUBCARRIER_HZ, SWITCHING_HARMONICS

if TYPE_CHECKING:
    from freqplan.diagnosis.scene import Scene
    from freqplan.evidence import Symptom

CENTRED_HZ = {"fm": 1_000, "am": 100}
"""The same where somebody reads a pitch, which takes care."""

READ_PITCH_HZ = 300
"""How well a pitch is read."""

HUM_HZ, HUM_IS_LOW = 300, 0.9
"""Hum is the mains rate or twice that, with some harmonics; how often it is told as such."""

FAR_ZONES = 0.4
"""How likely a tone in stereo comes by harmonics of a switching decoder's subcarrier; common practice, no source."""

LIKELY = 0.1
"""Offsets rarer than this are not told."""

CLEAR_DIRECTION = 0.94
"""Share of cases in which the way a pitch moves is told rightly."""


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
    off = some.a * at + steady_hz(scene, some)
    modulation = scene.plan.band.modulation
    care = CENTRED_HZ[modulation] if spot.wanted_hz is not None else spot.reading_sd_hz
    sd = np.sqrt((np.nan_to_num(some.beat, nan=1.0) * care) ** 2 + 100.0**2 + some.misses_hz**2)
    told = some.placed | (some.a == -1) & (some.signal_hz > 0)
    anyhow = np.where(told, np.nan, _by_itself(some, pitch, AUDIO_HZ[modulation]))
    rising = _rising(scene, some)
    branches = []
    for offset, share in offsets(scene, symptom):
        reading = Reading(off - offset, gains(len(some), {IF: some.b}), sd, np.ones(len(some)), anyhow)
        way = np.full(len(some), 0.5)
        if symptom.pitch_tuned_up is not None and abs(offset) == pitch:
            rises = rising * np.sign(offset) * (1 if symptom.pitch_tuned_up == "rises" else -1)
            way = np.where(rises == 0, 0.5, np.where(rises > 0, CLEAR_DIRECTION, 1 - CLEAR_DIRECTION))
        branches.append(Branch(share * way, reading))
    return branches


def _by_itself(some: Candidates, pitch: int, audio_hz: int) -> Float64:
    """Return the density of a pitch that no sum tells (k,): hum is low, everything else may have any."""
    hum = HUM_IS_LOW / HUM_HZ if pitch <= HUM_HZ else (1 - HUM_IS_LOW) / audio_hz
    density = np.where(some.mechanism == "modulation-hum", hum, 1 / audio_hz)
    # The reference of a synthesiser, and what the decoder makes of it, is known to the hertz.
    tone = np.where(some.mechanism == RIPPLE.id, some.signal_hz, 0)
    heard = np.stack([tone, *(np.abs(tone - n * SUBCARRIER_HZ) for n in (1, *SWITCHING_HARMONICS))])
    near = (np.abs(heard - pitch) <= READ_PITCH_HZ).any(axis=0)
    told = np.where(near, HUM_IS_LOW / (2 * READ_PITCH_HZ), (1 - HUM_IS_LOW) / audio_hz)
    return np.where(tone > 0, told, density)


def offsets(scene: Scene, symptom: Symptom) -> list[tuple[int, float]]:
    """Return the offsets that make the pitch that was read [Hz], on either side, and how likely each is."""
    if symptom.pitch_khz is None:
        return []
    pitch = round(symptom.pitch_khz * HZ_IN["kHz"])
    if not scene.is_fm or scene.plan.stereo.decoder == "none":
        return [(pitch, 0.5), (-pitch, 0.5)]
    mono = {True: 0.04, None: 0.7, False: 0.97}[symptom.stereo_only]
    found = [(pitch, mono / 2), (-pitch, mono / 2)]
    carriers = _decoder_carriers(scene)
    for carrier, share in carriers:
        for distance in (carrier - pitch, carrier + pitch):
            found += [(distance, (1 - mono) * share / 4), (-distance, (1 - mono) * share / 4)]
    return found


def _decoder_carriers(scene: Scene) -> list[tuple[int, float]]:
    """Return what the offset beats with in the stereo decoder [Hz], and how likely that is what is heard."""
    stereo = scene.plan.stereo
    if stereo.decoder != "switching" and not stereo.defaulted("decoder"):
        return [(SUBCARRIER_HZ, 1.0)]
    far = FAR_ZONES if stereo.decoder == "switching" else FAR_ZONES / 3
    harmonics = [n * SUBCARRIER_HZ for n in SWITCHING_HARMONICS]
    return [(SUBCARRIER_HZ, 1 - far), *((hertz, far / len(harmonics)) for hertz in harmonics)]


def _rising(scene: Scene, some: Candidates) -> Float64:
    """Return which way the offset moves while the dial is turned up, the signals at rest: +1, -1, 0 unknown; (k,).

    The product moves by the tuning slope, the wanted station by one; of a harmonic of the IF the slope is 1 - k.
    """
    moves = np.where(np.isnan(some.slope) & ~np.isnan(some.beat), -some.beat, some.slope - 1)
    way = np.array([tuning.wanted_slope * tuning.sigma for tuning in scene.tunings])[some.side]
    rising: Float64 = np.nan_to_num(np.sign(moves)) * way * some.placed
    return rising
