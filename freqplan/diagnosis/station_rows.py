"""Candidates that are sums of two and three stations."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from freqplan.decibel import Float64
from freqplan.diagnosis.candidates import Block, candidates, stations_of
from freqplan.diagnosis.gathering import FAR, Gathered, Near, floats
from freqplan.diagnosis.scene import Scene
from freqplan.mechanisms import Family, Sums
from freqplan.mechanisms.several_signals import DIAL, HALF_IF, IF, IF_SPACED_PAIR, IMAGE
from freqplan.station_sums import TIMES, StationSums

MOST = 20_000
"""Sums near one place that are weighed; of more, the strongest."""

RECEIVED = {DIAL: 1.0, IF: 1.0, HALF_IF: 1.0, IMAGE: 0.1}
"""How likely a sum is received there, against the dial; other responses are too weak. Common practice, no source."""


def station_sums(found: Gathered, scene: Scene, near: Near, side: int, families: Sequence[Family]) -> None:
    """Add the sums of two and three signals of the cast that may be received near a place."""
    if len(scene.cast) < 2:
        return
    for family in families:
        if family.station_sums is None:
            continue
        sums = family.station_sums(scene.plan, scene.tunings[side])
        kinds, lands_on = sums.array("kind"), sums.array("lands_on")
        for row in range(len(sums)):
            # A difference on the IF is a pair; other sums that fall on the IF itself come from far outside the band.
            if lands_on[row] in RECEIVED and (lands_on[row] != IF or sums.array("mechanism")[row] == IF_SPACED_PAIR.id):
                _received(found, scene, near, side, sums, row, str(kinds[row]))


def _received(found: Gathered, scene: Scene, near: Near, side: int, sums: Sums, row: int, kind: str) -> None:
    some, band, own_if = sums.combinations, scene.plan.band, scene.intermediate_hz
    a, b, c = int(some.a[row]), int(some.b[row]), int(some.c[row])
    times = sum(map(abs, TIMES[kind]))
    width = scene.plan.if_filter.bandwidth_hz // 2 + times * band.deviation_hz
    if a == 0:
        ends = [-b * own_if // c] * 2
        whole = (ends[0] - width, ends[1] + width)
        inside = whole
    else:
        whole = _span([-(a * dial + b * own_if) // c for dial in (band.low_hz, band.high_hz)])
        inside = whole
        if near.centre_hz is not None:
            half = round(near.half_hz + (width + FAR * scene.if_sd_hz * abs(b)) / abs(a))
            dials = [max(round(near.centre_hz) - half, band.low_hz), min(round(near.centre_hz) + half, band.high_hz)]
            inside = _span([-(a * dial + b * own_if) // c for dial in dials]) if dials[0] <= dials[1] else (1, 0)
    weight, name = RECEIVED[sums.array("lands_on")[row]], str(sums.array("mechanism")[row])
    total = scene.cast.listing.count(kind, *whole)
    if not total:
        return
    found.count(name, side, weight * total)
    stations = scene.cast.listing.within(kind, *inside)
    strength = _strength(scene, stations)
    stations, strength = _strongest(stations, strength)
    many = len(stations)
    found.keep(
        candidates(
            many, mechanism=name, side=side, a=a, b=b, rest_hz=c * stations.sum_hz, placed=a != 0, steady=a == 0,
            times=times, voices=len(TIMES[kind]), law=floats(sums, "level_law")[row],
            slope=floats(sums, "tuning_slope")[row], beat=floats(sums, "beat_rate")[row],
            who=stations_of(stations.places, many), signal_hz=stations.sum_hz, weight=weight * strength, row=np.arange(many),
        ),
        Block("sum", scene.tunings[side], sums.take(np.array([row])), stations),
    )  # fmt: skip


def _span(ends: Sequence[int]) -> tuple[int, int]:
    return min(ends), max(ends)


def _strength(scene: Scene, stations: StationSums) -> Float64:
    """Return how likely each sum is against one of stations of mean strength; (k,)."""
    weight = scene.cast.weight / scene.cast.weight.mean()
    strength = np.ones(len(stations))
    for count, place in zip(TIMES[stations.kind], stations.places, strict=True):
        strength *= weight[place] ** abs(count)
    return strength


def _strongest(stations: StationSums, strength: Float64) -> tuple[StationSums, Float64]:
    if len(stations) <= MOST:
        return stations, strength
    kept = np.argpartition(-strength, MOST)[:MOST]
    return stations.take(kept), strength[kept]
