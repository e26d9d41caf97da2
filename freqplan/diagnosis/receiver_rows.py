"""Candidates that are the oscillator of another receiver of the band."""

from __future__ import annotations

import numpy as np

from freqplan.decibel import Float64
from freqplan.diagnosis.airwaves import WHISTLE
from freqplan.diagnosis.bare import Heard, free
from freqplan.diagnosis.candidates import Block, candidates
from freqplan.diagnosis.gathering import FAR, Gathered, spots
from freqplan.diagnosis.scene import Scene
from freqplan.mechanisms.other_sets import OTHER_RECEIVER, WANTED, between
from freqplan.mixing import Combinations, Tuning

USUAL_IF_HZ = 10_700_000
"""Of FM sets in other hands."""

ANOTHER_WAY = 0.2
"""How likely a set known to stand elsewhere comes in by a way that is not reckoned; common practice, no source."""

HARMONICS = 2
"""Of another set's oscillator."""

BY_IMAGE, BY_HARMONIC = 0.3, 0.25
"""How likely another set comes in by image or second harmonic, against the plain way; common practice, no source."""


def other_receivers(found: Gathered, scene: Scene, heard: Heard, side: int) -> None:
    """Add the oscillator of another set, on the dial or the image, wherever that set stands."""
    if heard.other_set_hz is not None:
        # Its IF may be another, its dial misread, and only one of its harmonics meant.
        free(found, scene, side, OTHER_RECEIVER.id, ANOTHER_WAY)
    theirs = USUAL_IF_HZ if scene.is_fm else scene.intermediate_hz
    for culprit in (Tuning("high", theirs), Tuning("low", theirs)):
        sums = between(culprit, scene.tunings[side], HARMONICS)
        some, plain = sums.combinations, sums.array("way") == WANTED
        weight = np.where(plain, 1.0, BY_IMAGE) * np.where(sums.array("harmonic") == 1, 1.0, BY_HARMONIC)
        reach, share = _reach(scene, some)
        for each in np.flatnonzero(share):
            found.count(OTHER_RECEIVER.id, side, float(weight[each] * share[each]))
        known = heard.other_set_hz is not None
        rest = some.c * (heard.other_set_hz or 0) + some.fixed_hz
        spot = spots(some.a, some.b * scene.intermediate_hz + rest)
        met = heard.near.keeps(spot, FAR * scene.step_hz) if known else _meets(heard, reach)
        # Wherever the other set stands, it is met on its share of the dial alone.
        weight = weight * share if known or heard.near.centre_hz is None else weight
        rows = np.flatnonzero(met & (share > 0))
        found.keep(
            candidates(
                len(rows), mechanism=OTHER_RECEIVER.id, side=side, a=some.a[rows], b=some.b[rows], rest_hz=rest[rows],
                placed=known, voices=0, kind=WHISTLE, times=0, law=1, slope=sums.array("tuning_slope")[rows],
                beat=sums.array("beat_rate")[rows], weight=weight[rows], row=rows,
                misses_hz=np.abs(some.c[rows]) * scene.step_hz,
            ),
            Block("receiver", culprit, sums),
        )  # fmt: skip


def _reach(scene: Scene, some: Combinations) -> tuple[Float64, Float64]:
    """Return from where to where each sum is met, the other set tuned over its dial (k, 2), and the share of this."""
    band = scene.plan.band
    ends = np.array([band.low_hz, band.high_hz], dtype=np.int64)
    steady = some.b * scene.intermediate_hz + some.fixed_hz
    reach = np.sort(spots(some.a[:, None], steady[:, None] + some.c[:, None] * ends), axis=1)
    there = np.clip(reach, band.low_hz, band.high_hz)
    return reach, np.nan_to_num((there[:, 1] - there[:, 0]) / scene.width_hz)


def _meets(heard: Heard, reach: Float64) -> np.ndarray:
    near = heard.near
    if near.centre_hz is None:
        return np.ones(len(reach), dtype=bool)
    low, high = near.centre_hz - near.half_hz, near.centre_hz + near.half_hz
    met: np.ndarray = (reach[:, 0] <= high) & (low <= reach[:, 1])
    return met
