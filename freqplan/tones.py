"""What a beat sounds like: pitch and loudness of the note that a weak carrier makes beside the wanted one.

Both carriers are taken as unmodulated and the set as standing on the wanted one.  Offsets and pitches are whole
hertz and compared as such; levels are floats.

Notes
-----
A carrier r times as strong (r < 1) at the offset d turns the phase of the wanted one by arg(1 + r exp(j 2 pi d t)).
The derivative of that is what an FM discriminator gives, a series of notes::

    r d cos(2 pi d t) - r^2 d cos(4 pi d t) + r^3 d cos(6 pi d t) - ...

of which the first, with its peak deviation of exactly r d, is reckoned here; the second is r times as strong.
A stereo decoder multiplies the same signal by its subcarrier, and so brings notes about the subcarrier down to the
audio band, in anti-phase left and right.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from freqplan.decibel import Float64
from freqplan.errors import ModelRangeError
from freqplan.hertz import HZ_IN, Int64

MONO_LIMIT_HZ = 15_000
"""Where the audio of FM broadcasting ends, so that the pilot has room; Rec. ITU-R BS.450, from memory."""

PILOT_HZ = 19_000
"""Of the pilot-tone system; Rec. ITU-R BS.450, from memory."""

SUBCARRIER_HZ = 2 * PILOT_HZ
"""The suppressed carrier of the difference signal, twice the pilot so that a decoder can restore it."""

SWITCHING_HARMONICS = (3, 5)
"""A decoder that switches between left and right multiplies by a square wave, which holds the n-th harmonic of the
subcarrier, n odd, at 1/n of its strength.  The 7th, on 266 kHz, is left to the IF filter."""

PILOT_PERCENT = 10
"""Share of the pilot in the peak deviation; 8 to 10 in Rec. ITU-R BS.450, from memory."""

NO_TONE_HZ = -1
"""Stands for the pitch where no tone is heard."""


@dataclass(frozen=True)
class Zone:
    """A range of offsets that the set turns into notes.

    Attributes
    ----------
    carrier_hz : int [Hz]
        What the offset beats with: 0 for the audio band itself, or a carrier of the stereo decoder.
    gain : float
        Strength of that carrier against the subcarrier; 1 for the audio band.
    name : str
        ``"mono"``, ``"stereo"`` or ``"switching"``: what it takes to hear the note; ``"beat"`` on AM.
    limit_hz : int [Hz]
        Pitches from here on are not heard.
    """

    carrier_hz: int
    gain: float
    name: str
    limit_hz: int = MONO_LIMIT_HZ


_MONO = Zone(0, 1.0, "mono")
_STEREO = Zone(SUBCARRIER_HZ, 1.0, "stereo")
_SWITCHING = tuple(Zone(n * SUBCARRIER_HZ, 1 / n, "switching") for n in SWITCHING_HARMONICS)

_FM_ZONES = {"none": (_MONO,), "filtered": (_MONO, _STEREO), "switching": (_MONO, _STEREO, *_SWITCHING)}


@dataclass(frozen=True)
class Sideline:
    """A spectral line of a station that carries a pilot and no programme.

    Attributes
    ----------
    name : str
        ``"carrier"`` or ``"pilot"``.
    pilots : int
        How many times 19 kHz it lies farther from the wanted carrier than its own carrier does; -1 is nearer.
    level_db : float [dB]
        Level against the carrier.
    """

    name: str
    pilots: int
    level_db: float


CARRIER = Sideline("carrier", 0, 0.0)


def sidelines(deviation_hz: int) -> tuple[Sideline, ...]:
    """Return the lines of a station with a pilot: its carrier, and the first ones on either side.

    They stand ``20 lg(J1(b) / J0(b))`` against the carrier, b being the pilot's deviation over 19 kHz: -13.9 dB for
    7.5 kHz.  The pilot of the wanted station makes the same tones: of two that drift they sway, up to 6 dB louder.
    """
    if deviation_hz == 0:
        return (CARRIER,)
    index = deviation_hz * PILOT_PERCENT / (100 * PILOT_HZ)
    # Bessel functions as integrals over one turn: the mean of so many steps is exact to rounding.
    turn = np.linspace(0, 2 * np.pi, 128, endpoint=False)
    first, zeroth = (np.mean(np.cos(order * turn - index * np.sin(turn))) for order in (1, 0))
    level_db = float(20 * np.log10(np.abs(first / zeroth)))
    return (CARRIER, Sideline("pilot", -1, level_db), Sideline("pilot", 1, level_db))


def zones(modulation: str, decoder: str, audio_hz: int) -> tuple[Zone, ...]:
    """Return the ranges of offsets that a set turns into notes, nearest first.

    Parameters
    ----------
    modulation : str
        ``"fm"`` or ``"am"``.
    decoder : str
        Stereo decoder of an FM set: ``"none"``, ``"filtered"`` (a roll-off filter ahead of it, or a sine wave as
        its subcarrier) or ``"switching"``.
    audio_hz : int [Hz]
        Where the audio of an AM set ends.

    Returns
    -------
    tuple of Zone

    Raises
    ------
    ModelRangeError
        No such modulation or decoder.
    """
    if modulation == "am":
        return (Zone(0, 1.0, "beat", audio_hz),)
    if modulation != "fm":
        raise ModelRangeError(f'modulation "{modulation}": write "fm" or "am"')
    if decoder not in _FM_ZONES:
        known = ", ".join(f'"{name}"' for name in _FM_ZONES)
        raise ModelRangeError(f'stereo decoder "{decoder}": write one of {known}')
    return _FM_ZONES[decoder]


def pitches_hz(zone: Zone, offset_hz: Int64) -> Int64:
    """Return the pitch of the beat in a zone, heard or not.

    Parameters
    ----------
    zone : Zone
        What the offset beats with.
    offset_hz : (k,) int64 [Hz]
        Unwanted less wanted carrier; either sign gives the same.

    Returns
    -------
    (k,) int64 [Hz]
        ``||d| - carrier|``.
    """
    pitch: Int64 = np.abs(np.abs(offset_hz) - zone.carrier_hz)
    return pitch


def audible(zone: Zone, offset_hz: Int64) -> npt.NDArray[np.bool_]:
    """Return where an offset (k,) [Hz] gives a tone: below the zone's limit, and above zero, which is zero beat."""
    pitch = pitches_hz(zone, offset_hz)
    heard: npt.NDArray[np.bool_] = (pitch > 0) & (pitch < zone.limit_hz)
    return heard


def deemphasis_db(pitch_hz: Int64, time_us: float) -> Float64:
    """Return what the de-emphasis takes off a note.

    Parameters
    ----------
    pitch_hz : (k,) int64 [Hz]
        The note.
    time_us : float [us]
        Time constant: 50 or 75 in broadcasting, 0 for none.

    Returns
    -------
    (k,) float64 [dB]
        ``10 lg(1 + (2 pi f tau)^2)``, a loss; exact for one resistor and one capacitor.
    """
    turn = 2 * np.pi * (pitch_hz / HZ_IN["MHz"]) * time_us
    loss: Float64 = 10 * np.log10(1 + turn**2)
    return loss


def loudness_db(
    *,
    modulation: str,
    zone: Zone,
    offset_hz: Int64,
    ratio_db: npt.ArrayLike,
    deviation_hz: int,
    deemphasis_us: float,
) -> Float64:
    """Return how loud the note in one zone is, against full programme.

    Parameters
    ----------
    modulation : str
        ``"fm"`` or ``"am"``.
    zone : Zone
        What the offset beats with.
    offset_hz : (k,) int64 [Hz]
        Unwanted less wanted carrier.
    ratio_db : (k,) or scalar float [dB]
        Unwanted to wanted carrier behind the IF filter.
    deviation_hz : int [Hz]
        Peak deviation of the full programme; FM only.
    deemphasis_us : float [us]
        Time constant of the de-emphasis; FM only.

    Returns
    -------
    (k,) float64 [dB]
        FM: ``20 lg(r d g / deviation)`` less the de-emphasis at the pitch, g being the gain of the zone.
        AM: ``20 lg r``, the depth of modulation that the beat amounts to.
        NaN where there is no tone: out of the zone, at zero beat, or from 0 dB upwards, where the unwanted
        carrier takes over.  NaN too where the ratio is unknown, or there is no programme to measure by.
    """
    ratio = np.asarray(ratio_db, dtype=np.float64)
    sounding = audible(zone, offset_hz) & (ratio < 0)
    if modulation == "fm" and deviation_hz == 0:
        return np.full(np.shape(sounding), np.nan)
    if modulation == "am":
        return np.where(sounding, ratio, np.nan)
    with np.errstate(divide="ignore"):  # offset 0: zero beat, left out by `sounding`
        share_db = 20 * np.log10(np.abs(offset_hz) * zone.gain / deviation_hz)
    loudness = ratio + share_db - deemphasis_db(pitches_hz(zone, offset_hz), deemphasis_us)
    return np.where(sounding, loudness, np.nan)


def loudest(
    zones: Sequence[Zone],
    *,
    modulation: str,
    offset_hz: Int64,
    ratio_db: npt.ArrayLike,
    deviation_hz: int,
    deemphasis_us: float,
) -> tuple[Int64, Float64]:
    """Return pitch and loudness of the loudest note among all zones; the other parameters as for `loudness_db`.

    Returns
    -------
    pitch_hz : (k,) int64 [Hz]
        -1 where no tone is heard.
    loudness_db : (k,) float64 [dB]
        NaN where no tone is heard.
    """
    shape = np.broadcast(offset_hz, ratio_db).shape
    pitch: Int64 = np.full(shape, NO_TONE_HZ, dtype=np.int64)
    loudness: Float64 = np.full(shape, np.nan)
    for zone in zones:
        own = loudness_db(
            modulation=modulation, zone=zone, offset_hz=offset_hz, ratio_db=ratio_db,
            deviation_hz=deviation_hz, deemphasis_us=deemphasis_us,
        )  # fmt: skip
        louder = (own > loudness) | (np.isnan(loudness) & ~np.isnan(own))
        pitch = np.where(louder, pitches_hz(zone, offset_hz), pitch)
        loudness = np.where(louder, own, loudness)
    return pitch, loudness


def offsets_hz(pitch_hz: int, zones: Sequence[Zone]) -> tuple[tuple[int, Zone], ...]:
    """Return every offset that gives a pitch, on either side of the wanted carrier.

    Parameters
    ----------
    pitch_hz : int [Hz]
        The note heard.
    zones : sequence of Zone
        Those of the set.

    Returns
    -------
    tuple of (int [Hz], Zone)
        Offsets above zero, rising, each with its zone; empty for a pitch that no zone lets through.
    """
    pairs = [
        (offset, zone)
        for zone in zones
        if 0 < pitch_hz < zone.limit_hz
        for offset in (zone.carrier_hz - pitch_hz, zone.carrier_hz + pitch_hz)
        if offset > 0
    ]
    return tuple(sorted(pairs, key=lambda pair: pair[0]))
