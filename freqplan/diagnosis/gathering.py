"""Candidates with a sum behind them: one signal, the set's own spots, sums of stations.

What is gathered is what could be meet near the place that somebody named; how much there is over the whole dial is
counted as well, for a cause with many places is not likelier for that.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import TypeAlias

import numpy as np
import numpy.typing as npt

from freqplan.decibel import Float64
from freqplan.diagnosis.airwaves import PROGRAMME, WHISTLE, airwaves
from freqplan.diagnosis.candidates import Block, Candidates, candidates, stations_of
from freqplan.diagnosis.scene import Scene
from freqplan.hertz import Int64
from freqplan.mechanisms import Family, Sums

PER_ORDER = 0.5
"""How much rarer a product is than one of an order less; common practice, no source."""

UNLISTED = 0.1
"""How likely a station is to be missing in a list; common practice, no source."""

FAR = 4.0
"""Standard deviations beyond which nothing is looked for."""

GRID = 64
"""Dial settings at which the air is looked at, for how much there is on the whole dial."""

Totals: TypeAlias = "dict[tuple[str, int], float]"


@dataclass(frozen=True)
class Near:
    """Where on the dial something was heard.

    Attributes
    ----------
    centre_hz : float or None [Hz]
        None: anywhere.
    half_hz : float [Hz]
        How far from it the dial may truly stand.
    wanted_hz : int or None [Hz]
        The carrier it was heard on.
    """

    centre_hz: float | None = None
    half_hz: float = 0.0
    wanted_hz: int | None = None

    def keeps(self, spot_hz: Float64, slack_hz: Float64 | float) -> npt.NDArray[np.bool_]:
        """Return which spots (k,) may be meant, each known to so much [Hz]."""
        if self.centre_hz is None:
            return np.ones(spot_hz.shape, dtype=bool)
        kept: npt.NDArray[np.bool_] = np.abs(spot_hz - self.centre_hz) <= self.half_hz + slack_hz
        return kept

    def misses_hz(self, spot_hz: Float64) -> Float64:
        """Return how far spots (k,) lie from there [Hz]."""
        return np.abs(spot_hz - self.centre_hz) if self.centre_hz is not None else np.zeros_like(spot_hz)


@dataclass(frozen=True, eq=False)
class Gathered:
    """Candidates with the blocks they come from, and the weight of everything on the dial by mechanism and side."""

    parts: list[Candidates] = field(default_factory=list)
    blocks: list[Block] = field(default_factory=list)
    totals: Totals = field(default_factory=dict)

    def count(self, mechanism: str, side: int, weight: float) -> None:
        """Count what there is on the whole dial."""
        self.totals[mechanism, side] = self.totals.get((mechanism, side), 0.0) + weight

    def keep(self, some: Candidates, block: Block) -> None:
        """Add candidates that are counted already."""
        if len(some):
            self.parts.append(replace(some, block=np.full(len(some), len(self.blocks))))
            self.blocks.append(block)

    def whole(self) -> Candidates:
        """Return all candidates, their weights made shares of all of their mechanism.

        The share is of the side that has more of it: on the other a mechanism is rarer by as much.
        """
        some = Candidates.concatenate(self.parts)
        most: dict[str, float] = {}
        for (mechanism, _), total in self.totals.items():
            most[mechanism] = max(most.get(mechanism, 0.0), total)
        totals = np.array([most[mechanism] for mechanism in some.mechanism.tolist()])
        return replace(some, weight=some.weight / totals)


def order_weight(sums: Sums) -> Float64:
    """Return how likely each product is against the lowest of its mechanism; (k,)."""
    order, names = sums.order.astype(np.float64), sums.array("mechanism")
    lowest = {name: order[names == name].min() for name in set(names.tolist())}
    weight: Float64 = PER_ORDER ** (order - np.array([lowest[name] for name in names]))
    return weight


def spots(a: Int64, steady_hz: Int64 | Float64) -> Float64:
    """Return where a fT + steady is zero [Hz], NaN where the dial has no say."""
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(a == 0, np.nan, -steady_hz / a)


def window_hz(scene: Scene, times: Int64) -> Int64:
    """Return the half-width in the IF within which so many times the deviation reaches in [Hz]; (k,)."""
    half: Int64 = scene.plan.if_filter.bandwidth_hz // 2 + times * scene.plan.band.deviation_hz
    return half


def slack_hz(scene: Scene, a: Int64, b: Int64, times: Int64) -> Float64:
    """Return how far from its spot on the dial a product may be met [Hz]; (k,)."""
    slope = np.maximum(np.abs(a), 1)
    return (window_hz(scene, times) + FAR * scene.if_sd_hz * np.abs(b)) / slope


def floats(sums: Sums, name: str) -> Float64:
    """Return a column of numbers, NaN where there is none; (k,)."""
    values = sums.columns.get(name)
    if values is None:
        return np.full(len(sums), np.nan)
    return np.asarray(values, dtype=np.float64)


def in_band(scene: Scene, spot_hz: Float64 | Int64) -> npt.NDArray[np.bool_]:
    """Return which spots lie on the dial; (k,)."""
    band = scene.plan.band
    inside: npt.NDArray[np.bool_] = (spot_hz >= band.low_hz) & (spot_hz <= band.high_hz)
    return inside


def nearest_of_each(names: np.ndarray, misses_hz: Float64, among: np.ndarray) -> Int64:
    """Return one place for each name: of those `among` them the one that misses least."""
    places = np.flatnonzero(among)
    places = places[np.argsort(misses_hz[places], kind="stable")]
    _, first = np.unique(names[places].astype(str), return_index=True)
    nearest: Int64 = places[first]
    return nearest


def signals(found: Gathered, scene: Scene, near: Near, side: int, families: Sequence[Family]) -> None:
    """Add the products of one signal: of those in the cast, and of whoever may be on the air."""
    tuning = scene.tunings[side]
    for family in families:
        for sums_of in (family.responses, family.station_spots):
            sums = sums_of(scene.plan, tuning) if sums_of else None
            if sums is not None and len(sums):
                weight = order_weight(sums)
                if len(scene.cast):
                    _of_the_cast(found, scene, near, side, sums, weight)
                if sums_of is family.responses:
                    _of_the_air(found, scene, near, side, sums, weight)


def _of_the_cast(found: Gathered, scene: Scene, near: Near, side: int, sums: Sums, weight: Float64) -> None:
    """Add the products of each signal in the cast that fall on the dial."""
    some, hertz = sums.combinations, scene.cast.frequency_hz
    own_if = scene.intermediate_hz
    rest = some.c[:, None] * hertz + np.broadcast_to(some.fixed_hz, len(some))[:, None]
    steady_hz = some.b[:, None] * own_if + rest
    times = _times(sums)
    spot = spots(np.broadcast_to(some.a[:, None], rest.shape), steady_hz)
    reaches = (
        np.abs(steady_hz) <= window_hz(scene, times)[:, None] + FAR * scene.if_sd_hz * np.abs(some.b)[:, None]
    )
    there = in_band(scene, spot) | np.isnan(spot) & reaches
    # A product of the station it is heard on is its self-mixing, reckoned among the set's own spots.
    there &= hertz != near.wanted_hz
    share = weight[:, None] * scene.cast.weight
    names = sums.array("mechanism")
    for name in set(names.tolist()):
        found.count(name, side, float(share[names == name][there[names == name]].sum()))
    kept = there & (np.isnan(spot) | near.keeps(spot, slack_hz(scene, some.a, some.b, times)[:, None]))
    rows, place = np.nonzero(there)
    flat = np.flatnonzero(there)
    chosen = kept.ravel()[flat]
    chosen[nearest_of_each(names[rows], near.misses_hz(np.nan_to_num(spot.ravel()[flat])), flat >= 0)] = True
    rows, place = rows[chosen], place[chosen]
    found.keep(
        candidates(
            len(rows), mechanism=names[rows], side=side, a=some.a[rows], b=some.b[rows], rest_hz=rest[rows, place],
            placed=some.a[rows] != 0, steady=some.a[rows] == 0, times=times[rows], law=floats(sums, "level_law")[rows],
            slope=floats(sums, "tuning_slope")[rows], beat=floats(sums, "beat_rate")[rows],
            who=stations_of([place], len(rows)), signal_hz=hertz[place], weight=share[rows, place], row=rows,
            kind=scene.kinds[0][place], speaker=scene.kinds[1][place],
        ),
        Block("signal", scene.tunings[side], sums),
    )  # fmt: skip


def _times(sums: Sums) -> Int64:
    m = sums.columns.get("m")
    return np.ones(len(sums), dtype=np.int64) if m is None else np.asarray(m, dtype=np.int64)


def _of_the_air(found: Gathered, scene: Scene, near: Near, side: int, sums: Sums, weight: Float64) -> None:
    """Add the products of signals nobody has named: what each one's frequency is used for tells how likely."""
    some, band = sums.combinations, scene.plan.band
    fixed = some.b * scene.intermediate_hz + some.fixed_hz
    grid = np.linspace(band.low_hz, band.high_hz, GRID).astype(np.int64)
    at = grid[[GRID // 2]] if near.centre_hz is None else np.array([round(near.centre_hz)], np.int64)
    dial = np.concatenate([at, grid])
    signal = -(some.a[:, None] * dial + fixed[:, None]) // some.c[:, None]
    used = airwaves(np.maximum(signal, 0).ravel(), region=scene.plan.region, modulation=band.modulation)
    kind, speaker, weight_there = (
        part.reshape(signal.shape) for part in (used.kind, used.speaker, used.weight)
    )
    likely = _not_listed(scene, signal, kind, weight_there)
    names = sums.array("mechanism")
    # The place itself counts as one setting more: a product may exist there alone, off the grid or off the scale.
    mean = np.maximum(likely[:, 1:].mean(axis=1), likely[:, 0] / GRID)
    for name in set(names.tolist()):
        found.count(name, side, float((weight * mean)[names == name].sum()))
    known = near.centre_hz is not None
    rows = np.flatnonzero((likely[:, 0] if known else mean) > 0)
    kind, speaker = kind[rows, 0], speaker[rows, 0]
    found.keep(
        candidates(
            len(rows), mechanism=names[rows], side=side, a=some.a[rows], b=some.b[rows], steady=some.a[rows] == 0,
            times=np.where(kind == PROGRAMME, _times(sums)[rows], 0), law=floats(sums, "level_law")[rows],
            slope=floats(sums, "tuning_slope")[rows], beat=floats(sums, "beat_rate")[rows], kind=kind,
            speaker=speaker, signal_hz=signal[rows, 0] if known else 0,
            weight=(weight * likely[:, 0])[rows] if known else (weight * mean)[rows], row=rows,
        ),
        Block("signal", scene.tunings[side], sums),
    )  # fmt: skip


def _not_listed(scene: Scene, signal_hz: Int64, kind: np.ndarray, weight: Float64) -> Float64:
    """Return how likely somebody is on the air there who is in no list; none below zero."""
    likely = np.where(signal_hz > 0, weight, 0.0)
    if scene.cast.listed:
        likely = np.where((kind == PROGRAMME) & in_band(scene, signal_hz), UNLISTED * likely, likely)
    return likely


def own_spots(found: Gathered, scene: Scene, near: Near, side: int, families: Sequence[Family]) -> None:
    """Add what the set itself makes: harmonics of its IF, self-mixing, clocks, products of oscillators."""
    tuning = scene.tunings[side]
    for family in families:
        sums = family.birdies(scene.plan, tuning) if family.birdies else None
        if sums is not None and len(sums):
            _spots_of(found, scene, near, side, sums)


def _spots_of(found: Gathered, scene: Scene, near: Near, side: int, sums: Sums) -> None:
    some = sums.combinations
    a, fixed = some.a + some.c, np.broadcast_to(some.fixed_hz, len(sums)).astype(np.int64)
    spot = spots(a, some.b * scene.intermediate_hz + fixed)
    names, times = sums.array("mechanism"), np.zeros(len(sums), dtype=np.int64)
    slack = slack_hz(scene, a, some.b, times)
    there = in_band(scene, spot) | (a == 0) & some.everywhere(scene.plan.if_filter.bandwidth_hz)
    weight = order_weight(sums)
    for name in set(names.tolist()):
        found.count(name, side, float(weight[(names == name) & there].sum()))
    kept = there & (np.isnan(spot) | near.keeps(np.nan_to_num(spot), slack))
    kept[nearest_of_each(names, near.misses_hz(np.nan_to_num(spot)), there)] = True
    rows = np.flatnonzero(kept)
    found.keep(
        candidates(
            len(rows), mechanism=names[rows], side=side, a=a[rows], b=some.b[rows], rest_hz=fixed[rows],
            placed=a[rows] != 0, steady=a[rows] == 0, times=times[rows], voices=0,
            law=floats(sums, "level_law")[rows], slope=floats(sums, "tuning_slope")[rows],
            beat=floats(sums, "beat_rate")[rows], kind=WHISTLE, weight=weight[rows], row=rows,
            misses_hz=np.broadcast_to(some.slack_hz, len(sums))[rows].astype(np.float64),
            signal_hz=np.nan_to_num(floats(sums, "tone_hz"))[rows],
        ),
        Block("birdie", scene.tunings[side], sums),
    )  # fmt: skip
