"""From symptoms to probabilities: what all of them say together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from freqplan.decibel import Float64
from freqplan.diagnosis.belief import Belief
from freqplan.diagnosis.cases import Case, case_of
from freqplan.diagnosis.priors import weight
from freqplan.diagnosis.scene import Scene
from freqplan.hertz import Int64

if TYPE_CHECKING:
    from freqplan.evidence import Evidence
    from freqplan.mechanisms import Family
    from freqplan.witnesses import Witness

APART = 0.7
"""How many symptoms the prior weighs as much as: a second one has the cause of the first in 1/(1 + 0.7) of cases.

An urn, so that the order of the symptoms does not matter; common practice, no source.
"""

MOST_ROWS, MOST_TOGETHER = 300, 400
"""Candidates of one symptom, and combinations of several, that are followed where symptoms are weighed together."""

SHIFT_HZ = {"fm": 1_000_000, "am": 30_000}
"""How far scale and oscillator are off where that is what is wrong, standard deviation; common practice, no source."""


@dataclass(frozen=True, eq=False)
class Weighed:
    """All symptoms together.

    Attributes
    ----------
    scene : Scene
        What they share.
    cases : tuple of Case
        One for each.
    belief : Belief
        What is left of their combinations.
    """

    scene: Scene
    cases: tuple[Case, ...]
    belief: Belief

    def probability(self, place: int) -> Float64:
        """Return the probability of each candidate of one symptom, given all of them; (k,)."""
        rows = self.belief.causes[:, place]
        many = len(self.cases[place].some)
        return np.bincount(rows, weights=self.belief.weight, minlength=many).astype(np.float64)


def weigh(scene: Scene, evidence: Evidence, seen: Sequence[Witness], families: Sequence[Family]) -> Weighed:
    """Weigh the candidates for every symptom, and the symptoms together."""
    unknown = (scene.if_sd_hz, scene.dial_sd_hz, float(SHIFT_HZ[scene.plan.band.modulation]))
    start = Belief.start(unknown, len(scene.tunings))
    cases = tuple(
        case_of(scene, start, symptom, witness, families)
        for symptom, witness in zip(evidence.symptoms, seen, strict=True)
    )
    belief = start
    for place, case in enumerate(cases):
        belief = _together(belief, case, cases[:place], everything=len(cases) == 1)
    return Weighed(scene, cases, belief)


def _together(belief: Belief, case: Case, earlier: Sequence[Case], *, everything: bool) -> Belief:
    """Return the belief with one symptom more: every combination with each of its candidates of the same side."""
    kept = np.arange(len(case.some)) if everything else _likely(case)
    component, place = np.nonzero(belief.side[:, None] == case.some.side[kept])
    rows = kept[place]
    grown = belief.take(component).weighed(
        case.log_weight[rows] + _again(belief, case, earlier, component, rows)
    )
    grown = grown.with_causes(rows)
    for reading in case.readings:
        grown = grown.updated(reading.take(rows))
    if case.branches:
        grown = grown.strongest(MOST_TOGETHER)
        rows = grown.causes[:, -1]
        grown = _joined(
            [
                grown.updated(each.reading.take(rows)).weighed(np.log(each.share[rows]))
                for each in case.branches
            ]
        )
    return grown if everything else grown.strongest(MOST_TOGETHER)


def _joined(parts: Sequence[Belief]) -> Belief:
    names = ("log_weight", "mean", "cov", "side", "causes")
    return Belief(*(np.concatenate([getattr(part, name) for part in parts]) for name in names))


def _likely(case: Case) -> Int64:
    """Return the candidates of a symptom worth following."""
    kept: Int64 = np.flatnonzero(case.alone > 1e-9)
    return kept if len(kept) <= MOST_ROWS else np.argpartition(-case.alone, MOST_ROWS)[:MOST_ROWS]


def _again(
    belief: Belief, case: Case, earlier: Sequence[Case], component: Int64, rows: Int64
) -> Float64 | float:
    """Return how much likelier a candidate is where an earlier symptom has the same cause, as logarithms."""
    if not earlier:
        return 0.0
    names = case.some.mechanism
    possible, of_each = case.some.by_name
    prior = np.array([weight(name) for name in possible])
    own = (prior / prior.sum())[of_each[rows]]
    again = np.sum(
        [
            before.some.mechanism[belief.causes[component, place]] == names[rows]
            for place, before in enumerate(earlier)
        ],
        axis=0,
    )
    likelier: Float64 = np.log((APART + again / own) / (APART + len(earlier)))
    return likelier
