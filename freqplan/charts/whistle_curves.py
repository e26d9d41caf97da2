"""What the whistle chart draws: pitch and loudness against offset, zone by zone, and the usual neighbours."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from freqplan.hearing import JUST_AUDIBLE_DB, is_broadcast_set, zones_of
from freqplan.hertz import HZ_IN, Int64
from freqplan.reception import filter_db
from freqplan.tones import Zone, audible, loudness_db, pitches_hz
from freqplan.whistles import USUAL_RATIO_DB

if TYPE_CHECKING:
    from freqplan.decibel import Float64
    from freqplan.plan import Plan

BROADCAST_NEIGHBOURS_HZ = tuple(HZ_IN["kHz"] * khz for khz in (50, 100, 150, 200))
"""Where the neighbours of FM broadcasting stand in the rasters in use."""

FARTHEST_HZ = {"none": 20_000, "filtered": 210_000, "switching": 210_000}
"""How far the chart of an FM set goes, by its decoder: past the last note, and past the neighbours in stereo."""

STEPS = 1000
"""Steps along the offset: finer than a printer draws."""

MOST_NEIGHBOURS = 4


@dataclass(frozen=True, eq=False)
class Curve:
    """The notes of one zone.

    Attributes
    ----------
    zone : Zone
        What the offset beats with.
    offset_hz, pitch_hz : (k,) int64 [Hz]
        Offsets at which the pitch is below the limit of the zone, rising; with the zero beat, whose pitch is 0.
    loudness_db : (k,) float64 [dB]
        Against full programme, after IF filter and de-emphasis; NaN at zero beat.
    """

    zone: Zone
    offset_hz: Int64
    pitch_hz: Int64
    loudness_db: Float64


@dataclass(frozen=True)
class Neighbour:
    """A carrier where neighbours usually stand: its offset [Hz], and pitch [Hz] and loudness [dB] of each note."""

    offset_hz: int
    notes: tuple[tuple[int, float], ...]


@dataclass(frozen=True, eq=False)
class WhistleCurves:
    """All that is drawn.

    Attributes
    ----------
    farthest_hz : int [Hz]
        Where the axis of offsets ends.
    ratio_db, limit_db : float [dB]
        Unwanted to wanted carrier before the IF filter; loudness below which a note is not heard.
    curves, neighbours : tuple
        By rising offset.
    """

    farthest_hz: int
    ratio_db: float
    limit_db: float
    curves: tuple[Curve, ...]
    neighbours: tuple[Neighbour, ...]


def whistle_curves(plan: Plan, ratio_db: float = USUAL_RATIO_DB) -> WhistleCurves:
    """Gather what the whistle chart draws for a carrier at a ratio [dB] to the wanted one before the IF filter."""
    zones = zones_of(plan)
    farthest = farthest_hz(plan)
    every = np.linspace(0, farthest, STEPS + 1).astype(np.int64)
    return WhistleCurves(
        farthest,
        ratio_db,
        JUST_AUDIBLE_DB[plan.band.modulation],
        tuple(_curve(plan, zone, every, ratio_db) for zone in zones),
        tuple(_neighbour(plan, zones, offset, ratio_db) for offset in _neighbours_hz(plan, farthest)),
    )


def farthest_hz(plan: Plan) -> int:
    """Return the offset up to which there is something to draw [Hz]."""
    zones = zones_of(plan)
    if plan.band.modulation == "am":
        return max(zone.carrier_hz + zone.limit_hz for zone in zones)
    return FARTHEST_HZ["none"] if len(zones) == 1 else FARTHEST_HZ["switching"]


def _neighbours_hz(plan: Plan, farthest: int) -> tuple[int, ...]:
    if is_broadcast_set(plan):
        return tuple(offset for offset in BROADCAST_NEIGHBOURS_HZ if offset <= farthest)
    raster = plan.band.raster_hz
    return tuple(range(raster, farthest + 1, raster)[:MOST_NEIGHBOURS])


def _curve(plan: Plan, zone: Zone, every: Int64, ratio_db: float) -> Curve:
    with_zero_beat = np.union1d(every, [zone.carrier_hz])
    offset = with_zero_beat[audible(zone, with_zero_beat) | (with_zero_beat == zone.carrier_hz)]
    return Curve(zone, offset, pitches_hz(zone, offset), _loudness(plan, zone, offset, ratio_db))


def _loudness(plan: Plan, zone: Zone, offset: Int64, ratio_db: float) -> Float64:
    return loudness_db(
        modulation=plan.band.modulation, zone=zone, offset_hz=offset, ratio_db=ratio_db - filter_db(plan, offset),
        deviation_hz=plan.band.deviation_hz, deemphasis_us=plan.stereo.deemphasis_us,
    )  # fmt: skip


def _neighbour(plan: Plan, zones: tuple[Zone, ...], offset_hz: int, ratio_db: float) -> Neighbour:
    at = np.array([offset_hz], dtype=np.int64)
    notes = (
        (int(pitches_hz(zone, at)[0]), float(_loudness(plan, zone, at, ratio_db)[0]))
        for zone in zones
        if audible(zone, at)[0]
    )
    return Neighbour(offset_hz, tuple(notes))
