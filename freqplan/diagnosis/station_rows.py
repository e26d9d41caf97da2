"""Candidates that are sums of two and three stations."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from freqplan.decibel import Float64
from freqplan.diagnosis.candidates import Block, candidates, stations_of
from freqplan.diagnosis.gathering import FAR, Gathered, Near, floats
from freqplan.diagnosis.numbers import MISTAKEN, RECOGNISED
from freqplan.diagnosis.scene import Scene
from freqplan.mechanisms import Family, Sums
from freqplan.mechanisms.several_signals import DIAL, HALF_IF, IF, IF_SPACED_PAIR, IMAGE
from freqplan.station_sums import TIMES, StationSums, order_of

MOST = 250
"""Sums near one place that are weighed one by one; those left out lend them their weight."""

OTHERS = 3.0
"""For how many sums of listed stations those with stations that are in no list count; common practice, no source."""

FARTHEST = 200.0
"""Exponent beyond which all sums are as far away as any."""

RECEIVED = {DIAL: 1.0, IF: 1.0, HALF_IF: 1.0, IMAGE: 0.1}
"""How likely a sum is received there, against the dial; other responses are too weak. Common practice, no source."""


def station_sums(
    found: Gathered, scene: Scene, near: Near, side: int, families: Sequence[Family], voices: tuple[int, ...]
) -> None:
    """Add the sums of two and three signals of the cast that may be received near a place, and of others.

    `voices` are the places of those recognised: sums in which they take part are kept first.
    """
    looked_up: dict[tuple[object, ...], StationSums] = {}
    for family in families:
        if family.station_sums is None:
            continue
        sums = family.station_sums(scene.plan, scene.tunings[side])
        kinds, lands_on = sums.array("kind"), sums.array("lands_on")
        _of_others(found, scene, side, sums)
        for row in range(len(sums)):
            # A difference on the IF is a pair; other sums that fall on the IF itself come from far outside the band.
            if lands_on[row] in RECEIVED and (
                lands_on[row] != IF or sums.array("mechanism")[row] == IF_SPACED_PAIR.id
            ):
                one = _Reception(scene, near, sums, row, str(kinds[row]))
                total = scene.cast.listing.count(one.kind, *one.whole) if one.can_be else 0
                if total:
                    _received(found, one, side, total, looked_up, voices)


def _of_others(found: Gathered, scene: Scene, side: int, sums: Sums) -> None:
    """Add, for each mechanism, sums with stations that nobody has named: they may be met anywhere."""
    names, lands_on = sums.array("mechanism"), sums.array("lands_on")
    received = np.flatnonzero(np.isin(lands_on, list(RECEIVED)))
    _, first = np.unique(names[received].astype(str), return_index=True)
    rows = received[first]
    for row in rows.tolist():
        found.count(str(names[row]), side, OTHERS)
    found.keep(
        candidates(
            len(rows), mechanism=names[rows], side=side, steady=lands_on[rows] == IF, voices=2, weight=OTHERS,
            law=floats(sums, "level_law")[rows], slope=floats(sums, "tuning_slope")[rows],
            beat=floats(sums, "beat_rate")[rows],
        ),
        Block("bare", scene.tunings[side]),
    )  # fmt: skip


@dataclass(frozen=True, eq=False)
class _Reception:
    """One way in which sums of one kind are received."""

    scene: Scene
    near: Near
    sums: Sums
    row: int
    kind: str

    @property
    def coefficients(self) -> tuple[int, int, int]:
        """Return a, b and c."""
        some = self.sums.combinations
        return int(some.a[self.row]), int(some.b[self.row]), int(some.c[self.row])

    @property
    def times(self) -> int:
        """Return how many times the deviation of a programme that of the sum is."""
        return order_of(self.kind)

    def signal_hz(self, dial_hz: int) -> int:
        """Return the sum that is received at a dial setting."""
        a, b, c = self.coefficients
        return -(a * dial_hz + b * self.scene.intermediate_hz) // c

    def _span(self, low_hz: int, high_hz: int) -> tuple[int, int]:
        ends = (self.signal_hz(low_hz), self.signal_hz(high_hz))
        return min(ends), max(ends)

    @property
    def whole(self) -> tuple[int, int]:
        """Return between which sums all of the dial lies; where it has no say, what reaches into the IF."""
        plan = self.scene.plan
        low, high = self._span(plan.band.low_hz, plan.band.high_hz)
        if self.coefficients[0]:
            return low, high
        reach = plan.if_filter.bandwidth_hz // 2 + round(FAR * self.scene.if_sd_hz)
        return low - reach, high + reach

    @property
    def can_be(self) -> bool:
        """Return whether the stations can have such sums at all."""
        return self.scene.cast.listing.can_reach(self.kind, *self.whole)

    @property
    def inside(self) -> tuple[int, int]:
        """Return between which sums the part of the dial near the place lies."""
        a, b, _ = self.coefficients
        if a == 0 or self.near.centre_hz is None:
            return self.whole
        plan = self.scene.plan
        reach = plan.if_filter.bandwidth_hz // 2 + FAR * self.scene.if_sd_hz * abs(b)
        half, centre = round(self.near.half_hz + reach / abs(a)), round(self.near.centre_hz)
        low, high = max(centre - half, plan.band.low_hz), min(centre + half, plan.band.high_hz)
        return self._span(low, high) if low <= high else (1, 0)


def _received(
    found: Gathered, one: _Reception, side: int, total: int, looked_up: dict[tuple[object, ...], StationSums],
    voices: tuple[int, ...],
) -> None:  # fmt: skip
    scene, sums, row = one.scene, one.sums, one.row
    a, b, c = one.coefficients
    weight, name = RECEIVED[sums.array("lands_on")[row]], str(sums.array("mechanism")[row])
    found.count(name, side, weight * total)
    key = (one.kind, one.inside)
    if key not in looked_up:
        looked_up[key] = scene.cast.listing.within(one.kind, *one.inside)
    stations, strength = _strongest(one, looked_up[key], voices)
    many = len(stations)
    found.keep(
        candidates(
            many, mechanism=name, side=side, a=a, b=b, rest_hz=c * stations.sum_hz, placed=a != 0, steady=a == 0,
            times=one.times, voices=len(TIMES[one.kind]), law=floats(sums, "level_law")[row],
            slope=floats(sums, "tuning_slope")[row], beat=floats(sums, "beat_rate")[row],
            who=stations_of(stations.places, many), signal_hz=stations.sum_hz, weight=weight * strength,
        ),
        Block("sum", scene.tunings[side], sums.take(np.array([row])), stations),
    )  # fmt: skip


def _strongest(
    one: _Reception, stations: StationSums, voices: tuple[int, ...]
) -> tuple[StationSums, Float64]:
    """Return the sums most likely meant, with how likely each is against one of stations of mean strength."""
    scene, near = one.scene, one.near
    weight = scene.cast.weight / scene.cast.weight.mean()
    strength = np.ones(len(stations))
    for count, place in zip(TIMES[one.kind], stations.places, strict=True):
        strength *= weight[place] ** abs(count)
    if len(stations) <= MOST:
        return stations, strength
    meant = strength.copy()
    for place in stations.places if voices else ():
        meant *= np.where(np.isin(place, voices), RECOGNISED / MISTAKEN, 1)
    a, b, c = one.coefficients
    if a and near.centre_hz is not None:
        spot = -(b * scene.intermediate_hz + c * stations.sum_hz) / a
        misses = (spot - near.centre_hz) * FAR / max(near.half_hz, scene.step_hz / 10)
        meant *= np.exp(-np.minimum(misses**2 / 2, FARTHEST))
    kept = np.argpartition(-meant, MOST)[:MOST]
    return stations.take(kept), strength[kept] * (meant.sum() / meant[kept].sum())
