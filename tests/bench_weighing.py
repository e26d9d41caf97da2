"""The causes of a bench drawn and weighed: exact inference under the simulator's own model."""

from __future__ import annotations

from functools import cached_property

import numpy as np
from bench_observing import likelihood, of_reading
from bench_rows import members
from bench_sums import MECHANISMS, every_cause
from bench_views import View

from freqplan.diagnosis.priors import WEIGHTS

MOST_ROWS = 4000
"""Of one mechanism; where more fit the dial, so many are drawn by their share."""

SAME = {"oscillator-off": ("quantity",), "other-receiver": ("k", "quantity"), "internal-clock": ("quantity",)}
"""What two disturbances of one cause have in common, besides side, real IF and scale."""


class Draw:
    """The causes of a bench with their probabilities, and one of them.

    Attributes
    ----------
    mechanism : str, the true one
    views : list of View, one row each: the disturbance, and another of the same cause where `disturbances` is 2
    """

    def __init__(self, its_bench, rng, disturbances=1):
        self.bench = its_bench
        self.tables = every_cause(its_bench)
        self.members = members(its_bench)
        number = int(rng.choice(len(MECHANISMS), p=self.shares[:, its_bench.truth]))
        self.mechanism = MECHANISMS[number]
        table = self.tables[self.mechanism]
        group, share = _groups(self.mechanism, table), self._of_truth(table)
        rows = [int(rng.choice(len(share), p=share / share.sum()))]
        alike = np.where(group == group[rows[0]], share, 0.0)
        rows += [int(rng.choice(len(share), p=alike / alike.sum())) for _ in range(disturbances - 1)]
        self.views = [View(its_bench, np.array([number]), _cut(table, slice(row, row + 1))) for row in rows]

    def _of_truth(self, table):
        return np.where(self.members[table["scope"], self.bench.truth], table["share"], 0.0)

    @cached_property
    def totals(self):
        """Sum of the shares of each mechanism under each configuration; (mechanisms, c)."""
        return np.array([self._sums(table, table["share"]) for table in self.tables.values()])

    @cached_property
    def shares(self):
        """Probability of each mechanism under each configuration: by weight, among those it can have."""
        weight = np.array([WEIGHTS[name] for name in MECHANISMS])[:, None] * (self.totals > 0)
        return weight / weight.sum(axis=0)

    def _sums(self, table, share):
        """Sum of `share` under each configuration; (c,)."""
        return np.bincount(table["scope"], share, len(self.members)) @ self.members

    def posterior(self, notes, fitting):
        """Probability of each mechanism given the notes; `fitting` (c,) weighs what is told of the set."""
        with np.errstate(divide="ignore", invalid="ignore"):
            one = np.where(self.totals > 0, self.shares / self.totals, 0.0) * (self.bench.likely * fitting)
        found = np.array([self._evidence(number, one[number], notes) for number in range(len(MECHANISMS))])
        return found / found.sum()

    def _evidence(self, number, prior, notes):
        """Probability of the notes of all disturbances and of the mechanism; `prior` (c,) for one unit of share."""
        table = self.tables[MECHANISMS[number]]
        if not prior.any():
            return 0.0
        if len(notes) == 1:
            return float(prior @ self._of_notes(number, table, prior, notes[0]).mean(axis=1))
        group, whole = _groups(MECHANISMS[number], table), 0.0
        for one in np.unique(group):
            rows = _cut(table, group == one)
            total = self._sums(rows, rows["share"])
            first, second = (self._of_notes(number, rows, prior, seen) for seen in notes)
            with np.errstate(divide="ignore", invalid="ignore"):
                again = np.where(total > 0, 1 / total, 0.0)
            whole += float((prior * again) @ (first * second).mean(axis=1))
        return whole

    def _of_notes(self, number, table, prior, seen):
        """Share times probability of the notes, summed; by configuration and error of the scale, (c, d)."""
        bench, keep = self.bench, np.arange(len(table["num"]))
        if "dial_hz" in seen:
            slack = bench.dial_error_hz + bench.reads_within_hz + (75_000 if bench.fm else 4500)
            keep = np.flatnonzero(np.abs(table["num"] / table["den"] - seen["dial_hz"]) <= slack)
        keep, share = self._fewer(table, keep, prior)
        view = View(bench, np.full(len(keep), number), _cut(table, keep))
        each = (share * likelihood(view, seen))[:, None] * of_reading(view, seen)
        return np.array([self._sums(view.rows, column) for column in each.T]).T

    def _fewer(self, table, keep, prior):
        """At most so many rows, with their shares; evenly spaced along the running total, for little scatter."""
        chance = (self.members @ prior)[table["scope"][keep]]
        keep, chance = keep[chance > 0], chance[chance > 0]
        share = table["share"][keep]
        if len(keep) <= MOST_ROWS:
            return keep, share
        ends = np.cumsum(share * chance)
        some = np.searchsorted(ends, (np.arange(MOST_ROWS) + 0.5) / MOST_ROWS * ends[-1]).clip(
            0, len(keep) - 1
        )
        return keep[some], ends[-1] / MOST_ROWS / chance[some]


def _cut(table, keep):
    return {name: column[keep] for name, column in table.items()}


def _groups(mechanism, table):
    """Number of the group of rows that one and the same fault brings; (r,)."""
    group = np.zeros(len(table["num"]), dtype=np.int64)
    for name in SAME.get(mechanism, ()):
        values, place = np.unique(table[name], return_inverse=True)
        group = group * len(values) + place
    return group
