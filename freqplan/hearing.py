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
from freqplan.protection import protection_ratio_db
from freqplan.tones import loudest, zones

if TYPE_CHECKING:
    from freqplan.plan import Plan
    from freqplan.stations import StationList

GHOST, WHISTLE, NOISE, NOTHING = "ghost", "whistle", "noise", "nothing"

JUST_AUDIBLE_DB = {"fm": -60.0, "am": -40.0}
"""Loudness below full programme at which a disturbance is just heard; common practice, no source."""

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
    """Return, for each run of equal `rows` (k,), the place of the least margin; of equal ones the nearest offset."""
    margin = np.nan_to_num(margin_db, nan=np.inf)
    best = np.lexsort((np.abs(offset_hz), margin, rows))
    first: Int64 = best[np.flatnonzero(np.diff(rows[best], prepend=-1))]
    return first


def _judged(
    levels: Levels, level: Float64, rejection: Float64, *, offset: Int64, own_offset: Int64, on_air: Wanted
) -> Hearing:
    plan = levels.plan
    modulation, beat = plan.band.modulation, np.abs(offset - own_offset)
    filtered = level - filter_db(plan, offset)
    ratio = filtered - (on_air.level_dbuv - filter_db(plan, own_offset))
    audio_hz = plan.if_filter.bandwidth_hz // 2
    pitch, loudness = loudest(
        zones(modulation, plan.stereo.decoder, audio_hz), modulation=modulation, offset_hz=beat, ratio_db=ratio,
        deviation_hz=plan.band.deviation_hz, deemphasis_us=plan.stereo.deemphasis_us,
    )  # fmt: skip
    protection = on_air.level_dbuv - level - protection_db(plan, beat)
    tone = JUST_AUDIBLE_DB[modulation] - (loudness if modulation == "fm" else ratio)
    empty = on_air.place < 0
    out_of_noise = levels.sensitivity_dbuv - filtered
    by_ratio, masked = np.fmin(tone, protection), out_of_noise - MASKED_DB
    # Under the noise it is inaudible on whichever station it falls, also on one of unknown level.
    on_station = np.where(np.isnan(by_ratio) & (masked >= 0), masked, np.maximum(by_ratio, masked))
    margin = np.where(empty, out_of_noise, on_station)
    takes_over = empty & (2 * np.abs(offset) <= plan.if_filter.bandwidth_hz) | (ratio >= 0)
    whistles = (pitch > 0) & (tone < 0)
    heard = np.full(len(margin), NOISE, dtype=object)
    # Whatever comes last counts most.
    for words, where in (
        (WHISTLE, ~empty & whistles), (GHOST, takes_over), (NOTHING, margin >= 0), (None, np.isnan(margin)),
    ):  # fmt: skip
        heard[where] = words
    return Hearing(
        wanted=on_air.place, level_dbuv=level, rejection_db=rejection, ratio_db=ratio, pitch_hz=pitch,
        loudness_db=loudness, protection_margin_db=protection, margin_db=margin, heard=heard,
    )  # fmt: skip


def filter_db(plan: Plan, offset_hz: Int64) -> Float64:
    """Return the loss of the plan's IF filter at offsets (k,) [dB]."""
    own = plan.if_filter
    return filter_loss_db(offset_hz, bandwidth_hz=own.bandwidth_hz, bandwidth_20db_hz=own.skirts_hz)


def protection_db(plan: Plan, beat_hz: Int64) -> Float64:
    """Return the protection ratio needed, NaN on AM: the table is one of FM broadcasting."""
    if plan.band.modulation == "am":
        return np.full(len(beat_hz), np.nan)
    return protection_ratio_db(beat_hz, stereo=plan.stereo.decoder != "none")
