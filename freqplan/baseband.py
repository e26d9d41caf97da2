"""From two carriers in the IF to what the ear hears: IF filter, limiter and discriminator, stereo decoder, audio.

Computed on the complex envelope about the middle of the IF, in blocks that overlap by as much as the filters ring,
so that a long sound takes no more memory than a short one.  Everything is a function of time alone: no block needs
another, and the same question gives the same samples.

Notes
-----
The discriminator takes the phase from sample to sample and makes frequency of it by a difference of sixth order
(staggered, coefficients 75/64, -25/384, 3/640); at 205 kHz, the highest offset that still gives a tone, it is 0.1 dB
low.  The limiter is ideal, for the phase alone counts.  The stereo decoder multiplies by a cosine of 38 kHz, or by a
square wave whose odd harmonics are the ones that count in `tones`.  Nobody has a pilot.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import ceil, gcd, log2
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from freqplan.decibel import Float64
from freqplan.errors import ModelRangeError
from freqplan.hertz import HZ_IN
from freqplan.reception import filter_db
from freqplan.tones import MONO_LIMIT_HZ, SUBCARRIER_HZ, SWITCHING_HARMONICS

if TYPE_CHECKING:
    from freqplan.plan import Plan

RATE_HZ = 48_000
"""Samples of the sound in a second, for each ear."""

STEPS = 16
"""Samples of the envelope for one of the sound: 768 kHz, so that what folds back of the harmonics of a beat is weak."""

LEAST_BLOCK = 2**12
"""Samples of the sound that are computed together; as long as the filters ring briefly, few more are faster."""

SAMPLE_HZ = STEPS * RATE_HZ

AUDIO_EDGE_HZ = 1_000
"""From the last note to where the audio filter lets nothing through."""

AUDIO_RING_S = 0.01
"""So long before and after a moment the audio filter rings."""

DEEMPHASIS_RINGS = 20
"""So many time constants the de-emphasis rings."""

FILTER_RINGS = 8
"""So many turns of the distance between its -3 dB and -20 dB points the IF filter rings."""

STEEPEST_HZ = 200
COUPLING_S = 0.05
"""Length of the running mean that coupling capacitors, or the AGC on AM, take out; common practice, no source."""

TONE_DEPTH = 0.3
"""Share of full programme that a test tone has; a usual depth, common practice, no source."""

DIFFERENCE = np.array([3 / 640, 3 / 640 - 25 / 384, 75 / 64 - 25 / 384 + 3 / 640])
DIFFERENCE = np.concatenate([DIFFERENCE, DIFFERENCE[1::-1]])


@dataclass(frozen=True)
class Glide:
    """A frequency that moves steadily.

    Attributes
    ----------
    start_hz, end_hz : int [Hz]
        At the beginning and at the end of the sound, counted from the middle of the IF.
    """

    start_hz: int
    end_hz: int

    def at_hz(self, share: float) -> float:
        """Return the frequency after a share of the sound, 0 to 1 [Hz]."""
        return self.start_hz + share * (self.end_hz - self.start_hz)

    def turns(self, time_s: Float64, seconds: float) -> Float64:
        """Return the phase (k,) in turns at some moments (k,) [s] of a sound that lasts `seconds`."""
        phase: Float64 = (self.start_hz + (self.end_hz - self.start_hz) / (2 * seconds) * time_s) * time_s
        return phase


@dataclass(frozen=True)
class Pair:
    """Two carriers in the IF.

    Attributes
    ----------
    wanted, intruder : Glide
        Where they are.
    ratio_db : float [dB]
        Intruder to wanted carrier, before the IF filter.
    tone_hz : int [Hz]
        What the wanted carrier is modulated with, `TONE_DEPTH` deep; 0 for nothing.
    copies : int
        How many times over the intruder carries the modulation of the wanted carrier of which it is made, counted
        negative where it is turned over; FM only.
    """

    wanted: Glide
    intruder: Glide
    ratio_db: float
    tone_hz: int = 0
    copies: int = 0


def listen(plan: Plan, pair: Pair, *, seconds: float, decoder: str) -> Float64:
    """Return what comes out of the set.

    Parameters
    ----------
    plan : Plan
        Gives modulation, deviation, IF filter and de-emphasis.
    pair : Pair
        What is in the IF.
    seconds : float [s]
        How long.
    decoder : str
        ``"none"`` for mono; ``"filtered"`` or ``"switching"`` for stereo.

    Returns
    -------
    (k, 1) or (k, 2) float64
        One column for each ear, `RATE_HZ` samples a second; 1 is full programme.

    Raises
    ------
    ModelRangeError
        The IF filter is too steep, or an FM plan has no deviation.
    """
    path = _Path.of(plan, decoder)
    count = round(seconds * RATE_HZ)
    blocks = [path.ears(pair, first, seconds) for first in range(0, count, path.useful)]
    return _coupled(np.concatenate(blocks)[:count], plan.band.modulation)


@dataclass(frozen=True, eq=False)
class _Path:
    """A set from mixer to loudspeaker, `block` samples of sound at a time, of which `margin` are spoilt at each end."""

    plan: Plan
    decoder: str
    block: int
    margin: int

    @classmethod
    def of(cls, plan: Plan, decoder: str) -> _Path:
        skirt_hz = plan.if_filter.skirts_hz - plan.if_filter.bandwidth_hz
        if skirt_hz < STEEPEST_HZ:
            raise ModelRangeError(
                f"IF filter that falls from -3 to -20 dB within {skirt_hz} Hz: a sound needs {STEEPEST_HZ} Hz or more"
            )
        if plan.band.modulation == "fm" and not plan.band.deviation_hz:
            raise ModelRangeError(
                "deviation 0: no programme to measure the sound by; give the plan a deviation"
            )
        ring_s = max(AUDIO_RING_S, DEEMPHASIS_RINGS * _time_constant_s(plan)) + FILTER_RINGS / skirt_hz
        margin = ceil(ring_s * RATE_HZ)
        return cls(plan, decoder, max(LEAST_BLOCK, 2 ** ceil(log2(4 * margin))), margin)

    @property
    def useful(self) -> int:
        return self.block - 2 * self.margin

    @property
    def length(self) -> int:
        return STEPS * self.block

    @cached_property
    def filter_gain(self) -> Float64:
        """Gain of the IF filter for the lines of a block, on either side of its middle."""
        lines_hz = np.rint(np.fft.rfftfreq(self.length, 1 / SAMPLE_HZ)).astype(np.int64)
        gain: Float64 = 10 ** (-filter_db(self.plan, lines_hz) / 20)
        return gain

    @cached_property
    def audio_gain(self) -> npt.NDArray[np.complex128]:
        """Low-pass filter, de-emphasis and scale for the lines of a block, up to half the rate of the sound."""
        lines_hz = np.fft.rfftfreq(self.block, 1 / RATE_HZ)
        beyond = np.clip((lines_hz - MONO_LIMIT_HZ) / AUDIO_EDGE_HZ, 0, 1)
        gain = (0.5 + 0.5 * np.cos(np.pi * beyond)).astype(np.complex128)
        if self.plan.band.modulation == "fm":
            gain /= (1 + 2j * np.pi * lines_hz * _time_constant_s(self.plan)) * self.plan.band.deviation_hz
        return gain

    def ears(self, pair: Pair, first: int, seconds: float) -> Float64:
        """Return (useful, ears) samples from `first` on."""
        start = STEPS * (first - self.margin)
        time_s = np.arange(start, start + self.length) / SAMPLE_HZ
        lines = np.fft.rfft(_envelope(self.plan, pair, time_s, seconds)) * self.filter_gain
        real, imaginary = np.fft.irfft(lines, self.length)
        envelope = real + 1j * imaginary
        if self.plan.band.modulation == "am":
            ears = [self._audio(np.abs(envelope))]
        else:
            multiplex = _discriminated(envelope)
            ears = [self._audio(multiplex)]
            if self.decoder != "none":
                difference = self._audio(multiplex * _subcarrier(self.decoder, start, self.length))
                ears = [ears[0] + difference, ears[0] - difference]
        return np.stack(ears, axis=1)[self.margin : self.margin + self.useful]

    def _audio(self, wave: Float64) -> Float64:
        """Filter a block (length,) and keep one sample in `STEPS`, which the filter allows for."""
        lines = np.fft.rfft(wave)[: len(self.audio_gain)] * self.audio_gain
        return np.fft.irfft(lines, self.block) / STEPS


def _time_constant_s(plan: Plan) -> float:
    return plan.stereo.deemphasis_us / HZ_IN["MHz"]


def _envelope(plan: Plan, pair: Pair, time_s: Float64, seconds: float) -> Float64:
    """Return real and imaginary part of both carriers together, (2, k): the IF filter treats them alike."""
    tone = 2 * np.pi * pair.tone_hz * time_s
    turned, depth = np.zeros(1), np.ones(1)
    if pair.tone_hz and plan.band.modulation == "fm":
        turned = TONE_DEPTH * plan.band.deviation_hz / pair.tone_hz * np.sin(tone) / (2 * np.pi)
    elif pair.tone_hz:
        depth = 1 + TONE_DEPTH * np.cos(tone)
    wanted = _wave(pair.wanted.turns(time_s, seconds) + turned)
    intruder = _wave(pair.intruder.turns(time_s, seconds) + pair.copies * turned)
    return depth * wanted + 10 ** (pair.ratio_db / 20) * intruder


def _wave(turns: Float64) -> Float64:
    # Single precision from here, once whole turns are taken out: three times as fast, and 130 dB below a carrier.
    angle = (2 * np.pi * (turns - np.rint(turns))).astype(np.float32)
    return np.stack([np.cos(angle), np.sin(angle)]).astype(np.float64)


def _discriminated(envelope: npt.NDArray[np.complex128]) -> Float64:
    """Return the frequency (k,) [Hz] of an envelope (k,); the ends are those of a ring."""
    steps = np.angle(envelope * np.roll(envelope, 1).conj())
    return np.convolve(steps, DIFFERENCE * SAMPLE_HZ / (2 * np.pi), "same")


def _subcarrier(decoder: str, start: int, length: int) -> Float64:
    """Return what a stereo decoder multiplies by (length,), from a sample on.

    Its fundamental has an amplitude of 2, which restores the difference signal.
    """
    period = SAMPLE_HZ // gcd(SAMPLE_HZ, SUBCARRIER_HZ)
    # The discriminator gives the frequency half-way between two samples.
    turn = 2 * np.pi * SUBCARRIER_HZ / SAMPLE_HZ * (start - 0.5 + np.arange(period))
    harmonics = (1, *SWITCHING_HARMONICS) if decoder == "switching" else (1,)
    waves = [(1 if n % 4 == 1 else -1) / n * np.cos(n * turn) for n in harmonics]
    return np.resize(2 * np.sum(waves, axis=0), length)


def _coupled(ears: Float64, modulation: str) -> Float64:
    """Take out what is too slow to be heard: on FM the mean, on AM the level of the carrier, which the AGC holds."""
    return np.stack([_freed(ear, modulation) for ear in ears.T], axis=1)


def _freed(ear: Float64, modulation: str) -> Float64:
    half = round(COUPLING_S * RATE_HZ / 2)
    window = np.hanning(2 * half + 1)
    longer = np.pad(ear, half, mode="reflect", reflect_type="odd")
    size = 2 ** ceil(log2(len(longer) + len(window)))
    product = np.fft.rfft(longer, size) * np.fft.rfft(window / window.sum(), size)
    mean = np.fft.irfft(product, size)[2 * half : 2 * half + len(ear)]
    return ear / mean - 1 if modulation == "am" else ear - mean
