"""From the probabilities of candidates to causes: one for each mechanism, with its verdict and what is against it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from freqplan.diagnosis.cases import Case
from freqplan.diagnosis.told_sums import Told
from freqplan.diagnosis.weighing import Weighed
from freqplan.hertz import Int64

if TYPE_CHECKING:
    from freqplan.decibel import Float64

PROVED, FITS, POSSIBLE, RULED_OUT = "proved", "fits", "possible", "ruled-out"

SURE, SLIGHT, NEGLIGIBLE = 0.95, 0.3, 0.01
"""Probabilities from which a cause is proved, below which it is possible only, and below which it is ruled out."""

SPEAKS_AGAINST = 0.2
"""An observation speaks against a cause that makes it so much less likely than another one does."""

WITHIN = 3.0
"""Two causes are undecided whose probabilities differ by less than this factor."""

TELLS = 0.5
"""Share of its prior variance below which the real IF is told from the evidence."""

ONE_SIDE = 0.7
"""Probability of an oscillator side, given a cause, from which it is told."""


@dataclass(frozen=True)
class Cause:
    """One mechanism as the cause of one symptom, by its likeliest candidate.

    Attributes
    ----------
    mechanism : str
        Its id.
    probability : float
        Of the mechanism, all its candidates together.
    verdict : str
        ``"proved"``, ``"fits"``, ``"possible"`` or ``"ruled-out"``.
    told : Told
        Its likeliest candidate.
    oscillator : str or None
        The side of the oscillator if it is the cause; None where it is left open.
    against : tuple of str
        Keys of the observations that speak against it.
    rows : (k,) int64
        Its candidates.
    """

    mechanism: str
    probability: float
    verdict: str
    told: Told
    oscillator: str | None
    against: tuple[str, ...]
    rows: Int64


def causes(weighed: Weighed, place: int) -> tuple[Cause, ...]:
    """Return the causes of one symptom, best first."""
    return tuple(sorted(_causes(weighed, place), key=lambda cause: -cause.probability))


def _causes(weighed: Weighed, place: int) -> Iterator[Cause]:
    case, probability = weighed.cases[place], weighed.probability(place)
    names, of_each = case.some.by_name
    # What was dropped on the way is ranked by this symptom alone.
    rank = np.where(probability > 0, 1 + probability, case.alone)
    for place_of_name, name in sorted(enumerate(names), key=lambda pair: pair[1]):
        rows = np.flatnonzero(of_each == place_of_name)
        side = _side(weighed, case, probability, rows)
        # The sum is one of the side that is told.
        fitting = rows if side is None else rows[case.some.side[rows] == side]
        best = int(fitting[np.argmax(rank[fitting])])
        share = float(probability[rows].sum())
        against = tuple(_against(case, best))
        yield Cause(
            name, share, _verdict(share, against), _told(weighed, place, best),
            None if side is None else weighed.scene.tunings[side].side, against, rows,
        )  # fmt: skip


def undecided(found: tuple[Cause, ...]) -> bool:
    """Return whether the first two mechanisms are within a factor of three."""
    return len(found) > 1 and found[0].probability < WITHIN * found[1].probability


def _verdict(probability: float, against: tuple[str, ...]) -> str:
    if probability >= SURE and not against:
        return PROVED
    if probability < NEGLIGIBLE and against:
        return RULED_OUT
    return POSSIBLE if probability < SLIGHT else FITS


def _against(case: Case, row: int) -> Iterator[str]:
    """Yield the observations that are much less likely with a candidate than with others that matter."""
    for key, likelihood in case.likelihoods.items():
        if likelihood[row] < SPEAKS_AGAINST * likelihood.max(initial=0) and likelihood[row] < _usual(
            key, likelihood
        ):
            yield key


def _usual(key: str, likelihood: Float64) -> float:
    """Return what an observation must fall short of to speak against anything."""
    # A cause that may be met anywhere is not refuted by the place.
    return 0.5 if key == "dial" else np.inf


def _side(weighed: Weighed, case: Case, probability: Float64, rows: Int64) -> int | None:
    """Return the place of the oscillator side that candidates stand for, None where it is left open."""
    sides = len(weighed.scene.tunings)
    if sides == 1:
        return 0
    weight = probability[rows] if probability[rows].sum() > 0 else case.alone[rows]
    shares = np.bincount(case.some.side[rows], weights=weight, minlength=sides)
    best = int(np.argmax(shares))
    return best if 0 < shares[best] >= ONE_SIDE * shares.sum() else None


def _told(weighed: Weighed, place: int, row: int) -> Told:
    case = weighed.cases[place]
    one = case.some.take(np.array([row]))
    return Told(
        weighed.scene, one, case.blocks[int(one.block[0])], case.spot, intermediate_hz(weighed, place, row)
    )


def intermediate_hz(weighed: Weighed, place: int, row: int) -> int:
    """Return the real IF if a candidate is the cause [Hz]: by the evidence where that tells it, else as stated.

    What the evidence itself says is taken, without the leaning of the prior towards the stated value, and written as
    finely as it is known.
    """
    belief, prior = weighed.belief, weighed.scene.if_sd_hz**2
    stated = weighed.scene.intermediate_hz
    having = np.flatnonzero(belief.causes[:, place] == row)
    if not len(having):
        return stated
    best = having[np.argmax(belief.log_weight[having])]
    variance = float(belief.cov[best, 0, 0])
    if variance >= TELLS * prior:
        return stated
    # Precisions add: taking off that of the prior leaves what the evidence says.
    own = 1 / (1 / variance - 1 / prior)
    shift = float(belief.mean[best, 0]) / variance * own
    step: int = 10 ** max(0, int(np.floor(np.log10(np.sqrt(own)))))
    return int(stated + round(shift / step) * step)
