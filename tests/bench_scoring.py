"""How well a diagnosis does on cases: hits, honesty, calibration, and what is taken for what."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

import numpy as np
from bench_cases import UNDECIDED_FACTOR

BINS = 5


@dataclass(frozen=True)
class Score:
    """Shares, 0 to 1; NaN where there is no such case.

    Attributes
    ----------
    decidable : of all cases, those whose true mechanism has more than 0.9 of what can be concluded
    first, first_three : of the decidable ones, those with the truth first, or among the first three
    undecided, undecided_wrongly : flagged as undecided, of those that are not decidable,
    and of those that are
    open, undecided_open : of all cases,
    those in which two mechanisms fit within a factor of three; flagged, of these
    first_of_all : of all cases, those with the truth first
    calibration : mean abs(stated probability of the first cause - how often it is right), over five bins of equal count
    bins : (count, mean stated, share right) each
    confusion : Counter of (truth, first)
    """

    count: int
    decidable: float
    first: float
    first_three: float
    undecided: float
    undecided_wrongly: float
    open: float
    undecided_open: float
    first_of_all: float
    calibration: float
    bins: tuple
    confusion: Counter

    def __str__(self):
        lines = [f"{self.count} cases"]
        lines += [
            f"{name.replace('_', ' '):18} {getattr(self, name):.3f}"
            for name in (
                "decidable", "first", "first_three", "undecided", "undecided_wrongly", "open",
                "undecided_open", "first_of_all", "calibration"
            )
        ]  # fmt: skip
        lines += [
            f"  {count} cases: stated {stated:.3f}, right {right:.3f}" for count, stated, right in self.bins
        ]
        return "\n".join(lines)

    def markdown(self, most=3):
        """A table of the truths, how often each came first, and what was taken for it instead."""
        lines = ["| truth | cases | right | taken for |", "|---|---|---|---|"]
        for truth in sorted({truth for truth, _ in self.confusion}):
            own = Counter({first: n for (true, first), n in self.confusion.items() if true == truth})
            others = [f"{first} {n}" for first, n in own.most_common() if first != truth][:most]
            lines.append(
                f"| {truth} | {own.total()} | {own[truth] / own.total():.2f} | {', '.join(others)} |"
            )
        return "\n".join(lines)


def score(cases, diagnose):
    """Score `diagnose(plan, evidence_tables, stations) -> ([(mechanism, probability), best first], undecided)`."""
    some = list(cases)
    return scored(some, [diagnose(case.plan, case.evidence_tables, case.stations) for case in some])


def attainable(cases):
    """Score what the simulator itself concludes: no diagnosis of these cases does better on the whole."""
    some = list(cases)
    return scored(some, [concluded(case.posterior) for case in some])


def concluded(posterior):
    """An answer from the probability of each mechanism; undecided where the first two are within a factor of three."""
    ranked = sorted(posterior.items(), key=lambda pair: -pair[1])
    return ranked, ranked[0][1] <= UNDECIDED_FACTOR * ranked[1][1]


def scored(cases, answers):
    """Score answers that are there already."""
    ranks = [[mechanism for mechanism, _ in ranked] for ranked, _ in answers]
    firsts = [names[0] if names else "" for names in ranks]
    stated = np.array([ranked[0][1] if ranked else 0.0 for ranked, _ in answers])
    right = np.array([case.truth == first for case, first in zip(cases, firsts, strict=True)])
    among = np.array([case.truth in names[:3] for case, names in zip(cases, ranks, strict=True)])
    flagged = np.array([bool(undecided) for _, undecided in answers])
    decidable = np.array([case.decidable for case in cases])
    is_open = np.array([case.is_open for case in cases])
    bins = _bins(stated, right)
    return Score(
        count=len(right), decidable=_mean(decidable), first=_mean(right[decidable]),
        first_three=_mean(among[decidable]),
        undecided=_mean(flagged[~decidable]), undecided_wrongly=_mean(flagged[decidable]),
        open=_mean(is_open), undecided_open=_mean(flagged[is_open]), first_of_all=_mean(right),
        calibration=sum(n * abs(told - hit) for n, told, hit in bins) / len(right), bins=bins,
        confusion=Counter((case.truth, first) for case, first in zip(cases, firsts, strict=True)),
    )  # fmt: skip


def _mean(values):
    return float(np.mean(values)) if len(values) else float("nan")


def _bins(stated, right):
    order = np.array_split(np.argsort(stated, kind="stable"), BINS)
    return tuple((len(at), _mean(stated[at]), _mean(right[at])) for at in order if len(at))
