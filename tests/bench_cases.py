"""Cases: a bench, its true cause, what was noted down, and what can be concluded from that at best."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

import numpy as np
from bench_observing import VALUES, likelihood, observe
from bench_rows import KINDS, members
from bench_sums import MECHANISMS, every_cause
from bench_views import View
from benches import bench

from freqplan.diagnosis.priors import WEIGHTS
from freqplan.plan import Plan
from freqplan.stations import StationList

MOST_ROWS = 4000
"""Of one mechanism; where more fit the dial, so many are drawn by their share."""
DECIDABLE, UNDECIDED_FACTOR = 0.9, 3
NOT_IN_FILE = ("heard", "everywhere", "dial_hz", "on_station", "programme_of", "notched", "notch")


@dataclass(frozen=True)
class Case:
    """One disturbance at one bench.

    Attributes
    ----------
    truth : str, the mechanism behind it
    details : dict, its instance: m, n, e, k, side, real IF, stations, exact spot [Hz, Fraction] ...
    posterior : dict, probability of every mechanism given the evidence, under the simulator's own model
    share : float, that of the truth
    """

    seed: int
    plan: Plan
    stations: StationList
    evidence_tables: dict
    truth: str
    details: dict
    posterior: dict
    share: float

    @property
    def decidable(self):
        """Whether the truth can be told from what was noted."""
        return self.share > DECIDABLE

    @property
    def is_open(self):
        """Whether two mechanisms explain the notes within a factor of three, and no answer should choose."""
        first, second = sorted(self.posterior.values())[-1:-3:-1]
        return first <= UNDECIDED_FACTOR * second


class Draw:
    """The causes of a bench with their probabilities, and one of them."""

    def __init__(self, its_bench, rng):
        self.bench, self.rng = its_bench, rng
        self.tables = every_cause(its_bench)
        self.members = members(its_bench)
        mechanism = int(rng.choice(len(MECHANISMS), p=self.shares[:, its_bench.truth]))
        table = self.tables[MECHANISMS[mechanism]]
        share = np.where(self.members[table["scope"], its_bench.truth], table["share"], 0.0)
        row = int(rng.choice(len(share), p=share / share.sum()))
        self.mechanism = MECHANISMS[mechanism]
        self.row = {name: column[row : row + 1] for name, column in table.items()}
        self.view = View(its_bench, np.array([mechanism]), self.row)

    @cached_property
    def totals(self):
        """Sum of the shares of each mechanism under each configuration; (mechanisms, c)."""
        sums = [
            np.bincount(table["scope"], table["share"], len(self.members))
            if len(table["num"])
            else np.zeros(len(self.members))
            for table in self.tables.values()
        ]
        return np.array(sums) @ self.members

    @cached_property
    def shares(self):
        """Probability of each mechanism under each configuration: by weight, among those it can have."""
        weight = np.array([WEIGHTS[name] for name in MECHANISMS])[:, None] * (self.totals > 0)
        return weight / weight.sum(axis=0)

    def posterior(self, seen, fitting):
        """Probability of each mechanism given the notes; `fitting` (c,) weighs what is told of the set."""
        bench = self.bench
        with np.errstate(divide="ignore", invalid="ignore"):
            one = np.where(self.totals > 0, self.shares / self.totals, 0.0)
        of_scope = (one * (bench.likely * fitting)) @ self.members.T
        sums = np.zeros(len(MECHANISMS))
        for number, table in enumerate(self.tables.values()):
            if len(table["num"]):
                sums[number] = self._evidence(number, table, of_scope[number], seen)
        return sums / sums.sum()

    def _evidence(self, number, table, of_scope, seen):
        keep = np.arange(len(table["num"]))
        if "dial_hz" in seen:
            slack = (
                self.bench.dial_error_hz + self.bench.reads_within_hz + (75_000 if self.bench.fm else 4500)
            )
            keep = np.flatnonzero(np.abs(table["num"] / table["den"] - seen["dial_hz"]) <= slack)
        weight = table["share"][keep] * of_scope[table["scope"][keep]]
        keep, weight = keep[weight > 0], weight[weight > 0]
        if not len(keep):
            return 0.0
        scale = 1.0
        if len(keep) > MOST_ROWS:
            scale = weight.sum() / MOST_ROWS
            # Evenly spaced along the running total: every row comes as often as its share says, with little scatter.
            ends = np.cumsum(weight)
            steps = (np.arange(MOST_ROWS) + 0.5) / MOST_ROWS * ends[-1]
            keep, weight = keep[np.searchsorted(ends, steps).clip(0, len(keep) - 1)], np.ones(MOST_ROWS)
        view = View(
            self.bench, np.full(len(keep), number), {name: column[keep] for name, column in table.items()}
        )
        return scale * float(weight @ likelihood(view, seen))


def case(seed):
    """The case of a seed."""
    its_bench, rng = bench(seed), np.random.default_rng([seed, 2])
    draw = Draw(its_bench, rng)
    seen = observe(draw.view, rng)
    of_set, fitting = _set_table(its_bench, rng)
    posterior = dict(zip(MECHANISMS, draw.posterior(seen, fitting).tolist(), strict=True))
    return Case(
        seed=seed, plan=its_bench.plan, stations=its_bench.stations,
        evidence_tables={"set": of_set, "symptom": [_symptom(its_bench, seen)]}, truth=draw.mechanism,
        details=_details(draw), posterior=posterior, share=posterior[draw.mechanism],
    )  # fmt: skip


def cases(count, first_seed=0):
    """Yield so many cases, one a seed."""
    for seed in range(first_seed, first_seed + count):
        yield case(seed)


def _set_table(its_bench, rng):
    """[set], and how well each configuration fits it; (c,)."""
    table, fitting = {}, np.ones(len(its_bench.sides))
    if its_bench.set_side:
        table["oscillator"] = its_bench.set_side
    if its_bench.dial_error_hz:
        table["dial_error"] = its_bench.text(its_bench.dial_error_hz)
    if rng.random() < 0.15:
        known, error = ("measured", 5000) if rng.random() < 0.6 else ("dot", 30_000)
        error = error if its_bench.fm else 1000
        real = its_bench.intermediates_hz
        told = round((real[its_bench.truth] + rng.uniform(-1, 1) * (error - 500)) / 1000) * 1000
        table |= {
            "intermediate": f"{told // 1000} kHz", "intermediate_known": known,
            "intermediate_error": f"{error // 1000} kHz",
        }  # fmt: skip
        fitting = (np.abs(real - told) <= error).astype(float)
    return table, fitting


def _symptom(its_bench, seen):
    """The notes as keys and texts of a file."""
    table, names = {"heard": seen["heard"]}, its_bench.names
    if seen["everywhere"]:
        table["everywhere"] = seen["everywhere"] == 2
    if "dial_hz" in seen:
        table["dial"] = its_bench.text(seen["dial_hz"])
        if its_bench.reading_error_hz is not None:
            table["reading_error"] = its_bench.text(its_bench.reading_error_hz)
    if "on_station" in seen:
        table["on_station"] = names[seen["on_station"]]
    if "programme_of" in seen:
        table["programme_of"] = [names[station] for station in seen["programme_of"]]
    if "notch" in seen:
        table["notch_stops" if seen["notch"] else "notch_keeps"] = [names[seen["notched"]]]
    for key in VALUES:
        if key in seen and key not in NOT_IN_FILE:
            table[key] = VALUES[key][seen[key]]
    table |= {key: seen[key] for key in ("pitch_khz", "pitch_rate") if key in seen}
    table |= {key.removesuffix("_db"): f"{seen[key]:g} dB" for key in ("pad_db", "fell_db") if key in seen}
    if "other_set_dial_hz" in seen:
        table["other_set_dial"] = its_bench.text(seen["other_set_dial_hz"])
    return table


def _details(draw):
    """The true instance, exact."""
    row, its_bench = {name: column[0].item() for name, column in draw.row.items()}, draw.bench
    side, real = int(its_bench.sides[its_bench.truth]), int(its_bench.intermediates_hz[its_bench.truth])
    spot = Fraction(row["num"], row["den"])
    told = {
        name: row[name]
        for name in ("m", "n", "e", "k", "quantity", "other_hz", "tone_hz", "rate", "law", "rho")
    }
    stations = [row[name] for name in "abc" if row[name] >= 0]
    return told | {
        "side": side, "intermediate_hz": real, "spot_hz": spot, "kind": KINDS[row["kind"]],
        "stations": tuple(its_bench.names[i] for i in stations),
        "stations_hz": tuple(int(its_bench.station_hz[i]) for i in stations),
        "second_oscillator_hz": its_bench.second_oscillator_hz, "place_hz": float(draw.view.place_hz[0]),
        "dial_offset_hz": its_bench.dial_offset_hz,
    }  # fmt: skip
