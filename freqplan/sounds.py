"""Sound: what the ear hears of a carrier beside the wanted one, as samples and as a WAV file."""

from __future__ import annotations

import base64
import html
import io
import os
import wave
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from freqplan.arguments import checked
from freqplan.baseband import RATE_HZ, Pair, listen
from freqplan.beat_cases import NUMBERS, USUAL_TUNING_HZ, Case, given_case, tuned_case
from freqplan.decibel import Float64
from freqplan.errors import ModelRangeError
from freqplan.files import save_whole
from freqplan.hearing import JUST_AUDIBLE_DB, decoder_of
from freqplan.hertz import whole_hertz
from freqplan.plan_reading import hertz_text
from freqplan.sound_words import heard_words, level_words
from freqplan.tones import MONO_LIMIT_HZ, zones
from freqplan.whistles import USUAL_RATIO_DB

if TYPE_CHECKING:
    from freqplan.plan import Plan

USUAL_SECONDS, SHORTEST_S, LONGEST_S = 6.0, 0.5, 60.0
WEAKEST_DB, STRONGEST_DB, EQUAL_DB = -80.0, 40.0, 0.1
LOWEST_TONE_HZ = 20
FADE_S = 0.1

LOUDEST = 0.25
"""Largest sample against full scale: 12 dB are left, so that nobody is startled."""

PROGRAMME = 0.5
"""Peaks of full programme against full scale where the level is kept as heard."""

FULL_SCALE = 32767


@dataclass(frozen=True, eq=False)
class Sound:
    """What the ear hears.

    Attributes
    ----------
    plan : Plan
        The receiver.
    samples : (k, channels) int16
        One column in mono; left and right in stereo.
    rate_hz : int [Hz]
        Samples a second.
    seconds : float [s]
        How long it lasts.
    raised_db : float [dB]
        How much louder it is than beside full programme at half of full scale; 0 where the level is kept as heard.
    told : tuple of str
        What is heard, in sentences: the case, pitch and loudness by the engine at start and end, the level.
    """

    plan: Plan
    samples: npt.NDArray[np.int16] = field(repr=False)
    rate_hz: int
    seconds: float
    raised_db: float
    told: tuple[str, ...]

    @property
    def channels(self) -> int:
        """Return 1 in mono, 2 in stereo."""
        return int(self.samples.shape[1])

    def to_wav(self) -> bytes:
        """Return a WAV file: PCM of 16 bits."""
        whole = io.BytesIO()
        with wave.open(whole, "wb") as file:
            file.setnchannels(self.channels)
            file.setsampwidth(self.samples.dtype.itemsize)
            file.setframerate(self.rate_hz)
            file.writeframes(self.samples.astype("<i2").tobytes())
        return whole.getvalue()

    def save(self, path: str | os.PathLike[str]) -> None:
        """Write the WAV file whole or not at all.

        Raises
        ------
        FreqplanError
            It cannot be written; then whatever stood there before stands there still.
        """
        save_whole(os.fspath(path), self.to_wav())

    def _repr_html_(self) -> str:
        lines = "".join(f"<p>{html.escape(line)}</p>" for line in self.told)
        data = base64.b64encode(self.to_wav()).decode("ascii")
        return (
            f"<h3>{html.escape(self.plan.title)}: sound</h3>{lines}"
            f'<audio controls src="data:audio/wav;base64,{data}"></audio>'
        )


@checked
def sound(
    plan: Plan, *, offset_hz: int | None = None, to_hz: int | None = None, mechanism: str | None = None,
    tuning_hz: int | None = None, k: int | None = None, m: int | None = None, n: int | None = None,
    e: int | None = None, ratio_db: float = USUAL_RATIO_DB, tone_hz: int | None = None, stereo: bool = False,
    decoder: str | None = None, seconds: float = USUAL_SECONDS, as_heard: bool = False,
) -> Sound:  # fmt: skip
    """Make audible what an intruder does to the wanted carrier.

    Parameters
    ----------
    plan : Plan
        Gives modulation, IF filter, stereo decoder and de-emphasis, and how tuning moves both carriers.
    offset_hz, to_hz : int, optional [Hz]
        Distance of the intruder from the wanted carrier, and at the end if it moves; the set stands still.
    mechanism : str, optional
        In place of an offset, a response or birdie of the plan, such as ``"image"``: the dial is moved over it.
    tuning_hz : int, optional [Hz]
        How far to either side of zero beat; 3 kHz unless given.
    k, m, n, e : int, optional
        Which one, where the plan has several that sound different.
    ratio_db : float [dB]
        Intruder to wanted carrier before the IF filter; above 0 the intruder takes over.
    tone_hz : int, optional [Hz]
        A tone that the wanted carrier is modulated with, three tenths of full programme; none unless given.
    stereo : bool
        Whether the decoder is in use; else the set is switched to mono.
    decoder : str, optional
        ``"filtered"`` or ``"switching"`` in place of the plan's; needs `stereo`.
    seconds : float [s]
        How long.
    as_heard : bool
        Whether to keep the level against full programme, which a soft whistle does not survive on a small loudspeaker;
        else it is raised until its peaks, or those of a note just audible in quiet, are a quarter of full scale.

    Returns
    -------
    Sound

    Raises
    ------
    ModelRangeError
        Something is out of range, does not go together, or is not on this dial.
    """
    case = _case(plan, offset_hz, to_hz, mechanism, tuning_hz, dict(zip(NUMBERS, (k, m, n, e), strict=True)))
    used = _decoder(plan, stereo, decoder)
    tone = _tone(tone_hz)
    if not SHORTEST_S <= seconds <= LONGEST_S:
        raise ModelRangeError(f"{seconds:g} s: give {SHORTEST_S:g} to {LONGEST_S:g} seconds")
    _check_ratio(ratio_db)
    pair = Pair(case.wanted, case.intruder, ratio_db, tone, case.copies)
    heard = _faded(listen(plan, pair, seconds=seconds, decoder=used))
    gain = _gain(float(np.abs(heard).max()), plan.band.modulation, as_heard)
    samples = np.rint(heard * gain * FULL_SCALE).astype(np.int16)
    samples.flags.writeable = False
    raised_db = float(20 * np.log10(gain / PROGRAMME))
    told = (case.told, *heard_words(plan, pair, used), level_words(raised_db))
    return Sound(plan, samples, RATE_HZ, len(samples) / RATE_HZ, raised_db, told)


def _case(
    plan: Plan, offset_hz: int | None, to_hz: int | None, mechanism: str | None, tuning_hz: int | None,
    numbers: dict[str, int | None],
) -> Case:  # fmt: skip
    if (offset_hz is None) == (mechanism is None):
        raise ModelRangeError("give either an offset or a mechanism")
    if mechanism is not None:
        if to_hz is not None:
            raise ModelRangeError("an offset at the end needs one at the start; a mechanism takes a tuning")
        return tuned_case(plan, mechanism, USUAL_TUNING_HZ if tuning_hz is None else tuning_hz, numbers)
    if tuning_hz is not None or any(value is not None for value in numbers.values()):
        raise ModelRangeError("tuning, k, m, n and e go with a mechanism, not with an offset")
    assert offset_hz is not None
    return given_case(offset_hz, to_hz)


def _decoder(plan: Plan, stereo: bool, decoder: str | None) -> str:
    if not stereo:
        if decoder not in (None, "none"):
            raise ModelRangeError("a decoder is in use in stereo only: ask for stereo too")
        return "none"
    if plan.band.modulation == "am":
        raise ModelRangeError("an AM set has no stereo decoder: leave out stereo")
    used = decoder_of(plan) if decoder is None else decoder
    if used == "none":
        raise ModelRangeError(
            'this set has no stereo decoder: give "filtered" or "switching", or listen in mono'
        )
    zones("fm", used, MONO_LIMIT_HZ)  # refuses a decoder that there is not
    return used


def _tone(tone_hz: int | None) -> int:
    if tone_hz is None:
        return 0
    tone = whole_hertz(tone_hz, "tone")
    if not LOWEST_TONE_HZ <= tone < MONO_LIMIT_HZ:
        raise ModelRangeError(
            f"tone {hertz_text(tone)}: give {hertz_text(LOWEST_TONE_HZ)} to less than {hertz_text(MONO_LIMIT_HZ)}"
        )
    return tone


def _check_ratio(ratio_db: float) -> None:
    if abs(ratio_db) < EQUAL_DB:
        raise ModelRangeError(
            f"ratio {ratio_db:g} dB: of two equal carriers neither takes over; give {EQUAL_DB:g} dB more or less"
        )
    if not WEAKEST_DB <= ratio_db <= STRONGEST_DB:
        raise ModelRangeError(f"ratio {ratio_db:g} dB: give {WEAKEST_DB:g} to {STRONGEST_DB:g} dB")


def _faded(heard: Float64) -> Float64:
    ramp = np.sin(np.linspace(0, np.pi / 2, round(FADE_S * RATE_HZ)))[:, None] ** 2
    shaped = heard.copy()
    shaped[: len(ramp)] *= ramp
    shaped[-len(ramp) :] *= ramp[::-1]
    return shaped


def _gain(peak: float, modulation: str, as_heard: bool) -> float:
    """Return what to multiply by: never so much that a peak, or anything just audible, passes `LOUDEST`."""
    least = LOUDEST / PROGRAMME if as_heard else 10 ** (JUST_AUDIBLE_DB[modulation] / 20)
    return LOUDEST / max(peak, least)
