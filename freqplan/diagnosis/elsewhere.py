"""Where else on the dial a cause must show itself if it is the right one."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

import numpy as np

from freqplan.diagnosis.candidates import Candidates
from freqplan.diagnosis.causes import Cause
from freqplan.diagnosis.told_sums import Told
from freqplan.diagnosis.weighing import Weighed

NEAR_CHANNELS = 2
"""Places nearer than this are the same place."""


@dataclass(frozen=True)
class Place:
    """A dial setting [Hz] with the sum behind it."""

    dial_hz: Fraction
    sum: str


def elsewhere(weighed: Weighed, cause: Cause) -> list[Place]:
    """Return the other places of a mechanism: of the IF its other harmonics, of a station its other responses."""
    told, scene = cause.told, weighed.scene
    if told.block.form not in ("birdie", "signal") or told.block.sums is None or told.spot_hz is None:
        return []
    if told.block.form == "signal" and not told.stations:
        return []
    sums = told.block.sums
    names, band = sums.array("mechanism"), scene.plan.band
    found = []
    for row in np.flatnonzero(names == cause.mechanism).tolist():
        other = replace(told, some=_other(told, row))
        spot = other.spot_hz
        if spot is None or not band.low_hz <= spot <= band.high_hz:
            continue
        if abs(spot - told.spot_hz) > NEAR_CHANNELS * band.raster_hz:
            found.append(Place(spot, other.sum))
    return found


def _other(told: Told, row: int) -> Candidates:
    """Return the candidate of another row of the same sums, with the same station."""
    assert told.block.sums is not None
    one = told.block.sums.combinations
    fixed = int(np.broadcast_to(one.fixed_hz, len(one))[row])
    own = told.block.form == "birdie"
    a = int(one.a[row] + one.c[row] if own else one.a[row])
    rest = fixed + (0 if own else int(one.c[row]) * int(told.some.signal_hz[0]))
    one_row = np.ones(1, dtype=np.int64)
    return replace(
        told.some, a=a * one_row, b=int(one.b[row]) * one_row, rest_hz=rest * one_row, row=row * one_row,
        placed=np.array([a != 0]),
    )  # fmt: skip
