"""What a product sounds like on a channel: a ghost, a whistle, rough noise or nothing, and by what margin.

A margin is how far a disturbance stays below being heard; a negative one is heard.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from freqplan.decibel import Float64
from freqplan.hertz import Int64, Ratios
from freqplan.levels import Levels
from freqplan.mechanisms import Sums
from freqplan.mixing import Tuning
from freqplan.protection import protection_ratio_db, protection_table
from freqplan.reception import Wanted, filter_db
from freqplan.services import allocations
from freqplan.tones import MONO_LIMIT_HZ, NO_TONE_HZ, Zone, loudest, zones

if TYPE_CHECKING:
    from freqplan.findings import Values
    from freqplan.plan import Plan

LEVEL_COLUMNS = ("level_dbuv", "rejection_db", "ratio_db", "loudness_db", "protection_margin_db", "margin_db")
GHOST, WHISTLE, NOISE, NOTHING = "ghost", "whistle", "noise", "nothing"

JUST_AUDIBLE_DB = {"fm": -60.0, "am": -40.0}
"""Loudness below full programme at which a disturbance is just heard; common practice, no source."""

LOWEST_NOTE_HZ = 50
"""Beats below this are a flutter rather than a note; common practice, no source."""

BROADCAST_DEVIATIONS_HZ = (50_000, 75_000)
"""Peak deviations of FM broadcasting, for which the protection ratios were made (Rec. ITU-R BS.450, from memory)."""

FM_SERVICE = "FM broadcasting"
"""How the names of its bands begin in the table of services."""

TINY_DB = 1e-9
"""So little below 0 dB a carrier still makes a tone."""

MASKED_DB = 30.0
"""So far below the sensitivity a product is masked by noise, whatever station it falls on: 20 dB under the noise in
the IF filter, about what a tone needs in one critical band of hearing; common practice, no source."""


@dataclass(frozen=True, eq=False)
class Hearing:
    """How products are heard, as equal-length arrays; NaN and None where unknown.

    Attributes
    ----------
    wanted : (k,) int64
        Place in the list of the station tuned in, -1 where nobody is.
    offset_hz : (k,) int64 [Hz]
        Distance of the product from the middle of the IF.
    level_dbuv : (k,) float64 [dB(uV)]
        Level that a wanted station would need to be as strong in the IF.
    rejection_db, ratio_db : (k,) float64 [dB]
        How much stronger than the wanted station the signal must be for equal output; unwanted to wanted
        carrier behind the IF filter.
    pitch_hz : (k,) int64 [Hz]
        Of the loudest tone; -1 where there is none.
    loudness_db : (k,) float64 [dB]
        Of that tone, against full programme.
    protection_margin_db, margin_db : (k,) float64 [dB]
        By how much the protection ratio is kept; how far it stays below being heard by either yardstick.
    heard : (k,) object
        ``"ghost"``, ``"whistle"``, ``"noise"``, ``"nothing"`` or None.
    """

    wanted: Int64
    offset_hz: Int64
    level_dbuv: Float64
    rejection_db: Float64
    ratio_db: Float64
    pitch_hz: Int64
    loudness_db: Float64
    protection_margin_db: Float64
    margin_db: Float64
    heard: npt.NDArray[np.object_]

    def columns(self, places: Int64) -> dict[str, Values]:
        """Return how it is heard, at some places, as columns of a table of findings."""
        pitch = self.pitch_hz[places]
        levels = {name: getattr(self, name)[places] for name in LEVEL_COLUMNS}
        return {"heard": self.heard[places], "pitch_hz": Ratios(pitch, np.where(pitch > 0, 1, 0)), **levels}


def hearing(
    levels: Levels,
    tuning: Tuning,
    sums: Sums,
    *,
    channel_hz: Int64,
    signal_hz: Int64,
    level_dbuv: Float64,
    heard_there: Wanted,
) -> Hearing:
    """Work out how signals are heard on channels.

    Parameters
    ----------
    levels : Levels
        What the plan says of levels.
    tuning : Tuning
        The oscillator side.
    sums : Sums
        (k,) products, with their m and n.
    channel_hz, signal_hz : (k,) int64 [Hz]
        Where the dial stands, and the signal.
    level_dbuv : (k,) float64 [dB(uV)]
        Level of the signal at the aerial, NaN where unknown.
    heard_there : Wanted
        Who is on the air there.

    Notes
    -----
    Against a station the margin is the smaller of two: the loudest tone against `JUST_AUDIBLE_DB`, and, where both
    are stations of FM broadcasting, the protection ratio.  Where nobody is tuned in it is what is missing to rise
    above noise and neighbours.  Bursts and products of order m = 2 and more are judged like a carrier at rest.
    """
    m, n, plan = sums.array("m"), sums.array("n"), levels.plan
    offset = sums.combinations.offset(channel_hz, signal_hz)
    own_offset = tuning.wanted_offset(channel_hz, heard_there.frequency_hz)
    where = {"signal_hz": signal_hz, "dial_hz": channel_hz}
    level = levels.equivalent_dbuv(m, n, level_dbuv=level_dbuv, **where) - sums.below_db
    usual = np.isnan(heard_there.level_dbuv)
    against = np.where(usual, levels.front_end.wanted_dbuv, heard_there.level_dbuv)
    rejection = levels.rejection_db(m, n, wanted_dbuv=against, **where) + sums.below_db
    return judged(
        levels, level, rejection, offset=offset, own_offset=own_offset, heard_there=heard_there,
        broadcast=broadcast_signals(plan, signal_hz),
    )  # fmt: skip


def heard_best(rows: Int64, margin_db: Float64, offset_hz: Int64) -> Int64:
    """Return, for each run of equal `rows` (k,), the place where it is heard best.

    That of the least margin if it is heard at all; else one where the margin is unknown, for it may be heard there;
    else again the least margin.  Of equal ones the nearest offset.
    """
    best = np.lexsort((np.abs(offset_hz), *urgency_keys(margin_db), rows))
    first: Int64 = best[np.flatnonzero(np.diff(rows[best], prepend=-1))]
    return first


def urgency_keys(margin_db: Float64) -> tuple[Float64, Int64]:
    """Return keys for `numpy.lexsort`, the last one first: heard ones by margin, then unknown ones, then the rest."""
    unknown = np.isnan(margin_db)
    return np.where(unknown, 0.0, margin_db), np.where(unknown, 1, np.where(margin_db < 0, 0, 2))


def judged(
    levels: Levels, level: Float64, rejection: Float64, *, offset: Int64, own_offset: Int64, heard_there: Wanted,
    broadcast: npt.NDArray[np.bool_],
) -> Hearing:  # fmt: skip
    """Work out how products of known level are heard; `hearing` says by which rules.

    Parameters
    ----------
    levels : Levels
        What the plan says of levels.
    level, rejection : (k,) float64 [dB(uV)], [dB]
        Level that a wanted station would need to be as strong in the IF; rejection, NaN where it means nothing.
    offset, own_offset : (k,) int64 [Hz]
        Distance from the middle of the IF of the product, and of the station tuned in.
    heard_there : Wanted
        Who is on the air there.
    broadcast : (k,) bool
        Whether all that makes the product is FM broadcasting.
    """
    plan, beat = levels.plan, np.abs(offset - own_offset)
    filtered = level - filter_db(plan, offset)
    ratio = filtered - (heard_there.level_dbuv - filter_db(plan, own_offset))
    pitch, loudness, tone = (_am_tone if plan.band.modulation == "am" else _fm_tone)(plan, beat, ratio)
    protection = heard_there.level_dbuv - level - np.where(broadcast, protection_db(plan, beat), np.nan)
    empty = heard_there.place < 0
    out_of_noise = levels.sensitivity_dbuv - filtered
    above_all_else = heard_there.floor_dbuv - filtered
    by_ratio, masked = np.fmin(tone, protection), out_of_noise - MASKED_DB
    # A bare carrier that makes no tone is silent until it takes over.
    by_ratio = np.where(np.isnan(by_ratio), -ratio, by_ratio)
    # Under the noise it is inaudible, also beside or on a station of unknown level.
    free = np.where(np.isnan(above_all_else) & (out_of_noise >= 0), out_of_noise, above_all_else)
    on_station = np.where(np.isnan(by_ratio) & (masked >= 0), masked, np.maximum(by_ratio, masked))
    margin = np.where(empty, free, on_station)
    sits_in = 2 * np.abs(offset) <= plan.if_filter.bandwidth_hz
    takes_over = empty & sits_in | (ratio >= 0)
    if plan.band.modulation == "am":
        takes_over |= beat < LOWEST_NOTE_HZ  # without a tone, the other programme behind the wanted one
    heard = np.full(len(margin), NOISE, dtype=object)
    # Whatever comes last counts most.
    for words, where in (
        (WHISTLE, ~empty & (pitch > 0) & (tone < 0)), (GHOST, takes_over), (NOTHING, margin >= 0),
        (None, np.isnan(margin)),
    ):  # fmt: skip
        heard[where] = words
    return Hearing(
        wanted=heard_there.place, offset_hz=offset, level_dbuv=level, rejection_db=rejection, ratio_db=ratio,
        pitch_hz=pitch, loudness_db=loudness, protection_margin_db=protection, margin_db=margin, heard=heard,
    )  # fmt: skip


def _fm_tone(plan: Plan, beat: Int64, ratio: Float64) -> tuple[Int64, Float64, Float64]:
    """Return pitch and loudness of the loudest tone, and the margin of what is heard by its ratio to the station.

    From a ratio of 0 dB upwards there is no tone: the programme itself is heard, and the margin falls on from where
    the loudest tone, or full programme, has left it.
    """
    pitch, loudness = _loudest(plan, beat, np.minimum(ratio, -TINY_DB))
    takes_over = ratio >= 0
    sound = np.where(takes_over, np.fmax(loudness, 0.0) + ratio, loudness)
    margin = JUST_AUDIBLE_DB["fm"] - sound
    return np.where(takes_over, NO_TONE_HZ, pitch), np.where(takes_over, np.nan, loudness), margin


def _am_tone(plan: Plan, beat: Int64, ratio: Float64) -> tuple[Int64, Float64, Float64]:
    """Return the same for AM, where both programmes are heard, each as strong as its carrier, and their beat."""
    pitch, loudness = _loudest(plan, beat, np.minimum(-np.abs(ratio), -TINY_DB))
    low, margin = pitch < LOWEST_NOTE_HZ, JUST_AUDIBLE_DB["am"] - ratio
    return (
        np.where(low, NO_TONE_HZ, pitch),
        np.where(low, np.nan, loudness),
        np.where(beat < MONO_LIMIT_HZ, margin, np.nan),
    )


def _loudest(plan: Plan, beat: Int64, ratio: Float64) -> tuple[Int64, Float64]:
    return loudest(
        zones_of(plan), modulation=plan.band.modulation, offset_hz=beat, ratio_db=ratio,
        deviation_hz=plan.band.deviation_hz, deemphasis_us=plan.stereo.deemphasis_us,
    )  # fmt: skip


def zones_of(plan: Plan) -> tuple[Zone, ...]:
    """Return the ranges of offsets that a plan's set turns into notes.

    On AM the IF filter does the cutting.
    """
    return zones(plan.band.modulation, decoder_of(plan), MONO_LIMIT_HZ)


def decoder_of(plan: Plan) -> str:
    """Return the stereo decoder to reckon with: one that is not stated is there in sets of FM broadcasting only."""
    if plan.stereo.defaulted("decoder") and not is_broadcast_set(plan):
        return "none"
    return plan.stereo.decoder


def is_broadcast_set(plan: Plan) -> bool:
    """Return whether a set is one of FM broadcasting, by its deviation."""
    return plan.band.modulation == "fm" and plan.band.deviation_hz in BROADCAST_DEVIATIONS_HZ


def broadcast_signals(plan: Plan, signal_hz: Int64) -> npt.NDArray[np.bool_]:
    """Return which signals (k,) [Hz] are FM stations: those of the plan's own band and of FM broadcasting."""
    bands = [(plan.band.low_hz, plan.band.high_hz)]
    bands += [
        (each.low_hz, each.high_hz) for each in allocations(plan.region) if each.name.startswith(FM_SERVICE)
    ]
    inside = np.zeros(len(signal_hz), dtype=bool)
    for low_hz, high_hz in bands:
        inside |= (low_hz <= signal_hz) & (signal_hz <= high_hz)
    return inside


def protection_db(plan: Plan, beat_hz: Int64) -> Float64:
    """Return the protection ratio needed at beats (k,) [dB]; NaN on sets that are none of FM broadcasting.

    Beyond its end the last figure stands for a ceiling: farther off less is needed, never more.
    """
    if not is_broadcast_set(plan):
        return np.full(len(beat_hz), np.nan)
    within = np.minimum(beat_hz, protection_table().spacing_hz[-1])
    return protection_ratio_db(within, stereo=decoder_of(plan) != "none")
