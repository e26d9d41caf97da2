"""What a product sounds like on a channel: a ghost, a whistle, rough noise or nothing, and by what margin.

A margin is how far a disturbance stays below being heard; a negative one is heard.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from freqplan.decibel import Float64
from freqplan.hertz import Int64
from freqplan.if_filters import filter_loss_db
from freqplan.landing import spread
from freqplan.levels import Levels
from freqplan.mechanisms import Sums
from freqplan.mixing import Tuning
from freqplan.protection import protection_ratio_db, protection_table
from freqplan.tones import NO_TONE_HZ, Zone, loudest, zones

if TYPE_CHECKING:
    from freqplan.plan import Plan
    from freqplan.stations import StationList

GHOST, WHISTLE, NOISE, NOTHING = "ghost", "whistle", "noise", "nothing"

JUST_AUDIBLE_DB = {"fm": -60.0, "am": -40.0}
"""Loudness below full programme at which a disturbance is just heard; common practice, no source."""

TINY_DB = 1e-9
"""So little below 0 dB a carrier still makes a tone."""

MASKED_DB = 30.0
"""So far below the sensitivity a product is masked by noise, whatever station it falls on: 20 dB under the noise in
the IF filter, about what a tone needs in one critical band of hearing; common practice, no source."""


@dataclass(frozen=True, eq=False)
class Wanted:
    """Who is tuned in on some channels.

    Attributes
    ----------
    place : (k,) int64
        Place in the station list of the strongest station within half the IF filter; -1 where nobody is listed.
    frequency_hz : (k,) int64 [Hz]
        Its carrier; the channel where nobody is listed.
    level_dbuv : (k,) float64 [dB(uV)]
        Its level at the aerial, NaN where unknown.
    """

    place: Int64
    frequency_hz: Int64
    level_dbuv: Float64


def wanted(plan: Plan, stations: StationList, channel_hz: Int64) -> Wanted:
    """Return who is tuned in on each channel; of several stations the strongest, of those without level the nearest."""
    places, hertz = stations.rising
    channels, back = np.unique(channel_hz, return_inverse=True)
    half = plan.if_filter.bandwidth_hz
    first = np.searchsorted(2 * hertz, 2 * channels - half, side="left")
    count = np.searchsorted(2 * hertz, 2 * channels + half, side="right") - first
    rows, steps = spread(count)
    who = places[first[rows] + steps]
    level = stations.terminal_dbuv[who]
    distance = np.abs(stations.frequency_hz[who] - channels[rows])
    best = np.lexsort((distance, -np.nan_to_num(level, nan=-np.inf), rows))
    leading = best[np.flatnonzero(np.diff(rows[best], prepend=-1))]
    place = np.full(len(channels), -1, dtype=np.int64)
    place[rows[leading]] = who[leading]
    # Place -1 takes the entry put behind the last station: nobody.
    frequency = np.where(place >= 0, np.append(stations.frequency_hz, 0)[place], channels)
    known = np.append(stations.terminal_dbuv, np.nan)[place]
    return Wanted(place[back], frequency[back], known[back])


@dataclass(frozen=True, eq=False)
class Hearing:
    """How products are heard, as equal-length arrays; NaN and None where unknown.

    Attributes
    ----------
    wanted : (k,) int64
        Place in the list of the station tuned in, -1 where nobody is listed.
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
    level_dbuv: Float64
    rejection_db: Float64
    ratio_db: Float64
    pitch_hz: Int64
    loudness_db: Float64
    protection_margin_db: Float64
    margin_db: Float64
    heard: npt.NDArray[np.object_]


def hearing(
    levels: Levels,
    tuning: Tuning,
    sums: Sums,
    *,
    channel_hz: Int64,
    signal_hz: Int64,
    level_dbuv: Float64,
    on_air: Wanted,
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
    on_air : Wanted
        Who is tuned in there.
    """
    m, n = sums.array("m"), sums.array("n")
    offset = sums.combinations.offset(channel_hz, signal_hz)
    own_offset = tuning.wanted_offset(channel_hz, on_air.frequency_hz)
    where = {"signal_hz": signal_hz, "dial_hz": channel_hz}
    level = levels.equivalent_dbuv(m, n, level_dbuv=level_dbuv, **where)
    usual = np.where(np.isnan(on_air.level_dbuv), levels.front_end.wanted_dbuv, on_air.level_dbuv)
    rejection = levels.rejection_db(m, n, wanted_dbuv=usual, **where)
    return _judged(levels, level, rejection, offset=offset, own_offset=own_offset, on_air=on_air)


def heard_best(rows: Int64, margin_db: Float64, offset_hz: Int64) -> Int64:
    """Return, for each run of equal `rows` (k,), the place where it is heard best.

    That of the least margin if it is heard at all; else one where the margin is unknown, for it may be heard there;
    else again the least margin.  Of equal ones the nearest offset.
    """
    unknown = np.isnan(margin_db)
    urgency = np.where(unknown, 1, np.where(margin_db < 0, 0, 2))
    best = np.lexsort((np.abs(offset_hz), np.where(unknown, 0.0, margin_db), urgency, rows))
    first: Int64 = best[np.flatnonzero(np.diff(rows[best], prepend=-1))]
    return first


def _judged(
    levels: Levels, level: Float64, rejection: Float64, *, offset: Int64, own_offset: Int64, on_air: Wanted
) -> Hearing:
    plan, beat = levels.plan, np.abs(offset - own_offset)
    filtered = level - filter_db(plan, offset)
    ratio = filtered - (on_air.level_dbuv - filter_db(plan, own_offset))
    pitch, loudness, tone = _tone(plan, beat, ratio)
    protection = on_air.level_dbuv - level - protection_db(plan, beat)
    empty = on_air.place < 0
    out_of_noise = levels.sensitivity_dbuv - filtered
    by_ratio, masked = np.fmin(tone, protection), out_of_noise - MASKED_DB
    # Under the noise it is inaudible on whichever station it falls, also on one of unknown level.
    on_station = np.where(np.isnan(by_ratio) & (masked >= 0), masked, np.maximum(by_ratio, masked))
    margin = np.where(empty, out_of_noise, on_station)
    takes_over = empty & (2 * np.abs(offset) <= plan.if_filter.bandwidth_hz) | (ratio >= 0)
    heard = np.full(len(margin), NOISE, dtype=object)
    # Whatever comes last counts most.
    for words, where in (
        (WHISTLE, ~empty & (pitch > 0) & (tone < 0)), (GHOST, takes_over), (NOTHING, margin >= 0),
        (None, np.isnan(margin)),
    ):  # fmt: skip
        heard[where] = words
    return Hearing(
        wanted=on_air.place, level_dbuv=level, rejection_db=rejection, ratio_db=ratio, pitch_hz=pitch,
        loudness_db=loudness, protection_margin_db=protection, margin_db=margin, heard=heard,
    )  # fmt: skip


def _tone(plan: Plan, beat: Int64, ratio: Float64) -> tuple[Int64, Float64, Float64]:
    """Return pitch and loudness of the loudest tone, and the margin of what is heard by its ratio to the station.

    From a ratio of 0 dB upwards there is no tone: the programme itself is heard, and the margin falls on from where
    the loudest tone, or full programme, has left it.
    """
    least = JUST_AUDIBLE_DB[plan.band.modulation]
    weak, above = np.minimum(ratio, -TINY_DB), np.maximum(ratio, 0.0)
    pitch, loudness = loudest(
        zones_of(plan), modulation=plan.band.modulation, offset_hz=beat, ratio_db=weak,
        deviation_hz=plan.band.deviation_hz, deemphasis_us=plan.stereo.deemphasis_us,
    )  # fmt: skip
    takes_over = ratio >= 0
    # On AM the programme behind the wanted one is heard as well as the tone, and it is as loud.
    sounding = loudness if plan.band.modulation == "fm" else weak
    tone = least - np.where(takes_over, np.fmax(sounding, 0.0) + above, sounding)
    return np.where(takes_over, NO_TONE_HZ, pitch), np.where(takes_over, np.nan, loudness), tone


def zones_of(plan: Plan) -> tuple[Zone, ...]:
    """Return the ranges of offsets that a plan's set turns into notes; on AM below half the IF filter."""
    return zones(plan.band.modulation, plan.stereo.decoder, (plan.if_filter.bandwidth_hz + 1) // 2)


def filter_db(plan: Plan, offset_hz: Int64) -> Float64:
    """Return the loss of the plan's IF filter at offsets (k,) [dB]."""
    own = plan.if_filter
    return filter_loss_db(offset_hz, bandwidth_hz=own.bandwidth_hz, bandwidth_20db_hz=own.skirts_hz)


def protection_db(plan: Plan, beat_hz: Int64) -> Float64:
    """Return the protection ratio needed at beats (k,) [dB], NaN on AM: the table is one of FM broadcasting.

    Beyond its end the last figure stands for a ceiling: farther off less is needed, never more.
    """
    if plan.band.modulation == "am":
        return np.full(len(beat_hz), np.nan)
    within = np.minimum(beat_hz, protection_table().spacing_hz[-1])
    return protection_ratio_db(within, stereo=plan.stereo.decoder != "none")
