"""Cases: a bench, its true cause, what was noted down, and what can be concluded from that at best."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

import numpy as np
from bench_observing import VALUES, observe
from bench_rows import KINDS
from bench_sums import MECHANISMS
from bench_weighing import Draw
from benches import bench

from freqplan.plan import Plan
from freqplan.stations import StationList

DECIDABLE, UNDECIDED_FACTOR = 0.9, 3
SEVERAL = 0.15
"""How often a second disturbance of the same cause is told."""
NOT_IN_FILE = ("heard", "everywhere", "dial_hz", "on_station", "programme_of", "notched", "notch")


@dataclass(frozen=True)
class Case:
    """One fault at one bench, and what its owner tells of it.

    Attributes
    ----------
    truth : str, the mechanism behind it
    details : tuple of dict, the instance behind each symptom: m, n, e, k, side, real IF, stations, exact spot ...
    posterior : dict, probability of every mechanism given the evidence, under the simulator's own model
    share : float, that of the truth
    """

    seed: int
    plan: Plan
    stations: StationList
    evidence_tables: dict
    truth: str
    details: tuple
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


def case(seed, several=SEVERAL):
    """The case of a seed; with a probability of `several` a second disturbance of the same cause is told."""
    its_bench, rng = bench(seed), np.random.default_rng([seed, 2])
    draw = Draw(its_bench, rng, 2 if rng.random() < several else 1)
    notes = [observe(view, rng) for view in draw.views]
    if not _are_apart(its_bench, notes):
        notes = notes[:1]
    of_set, fitting = _set_table(its_bench, rng)
    posterior = dict(zip(MECHANISMS, draw.posterior(notes, fitting).tolist(), strict=True))
    return Case(
        seed=seed, plan=its_bench.plan, stations=its_bench.stations,
        evidence_tables={"set": of_set, "symptom": [_symptom(its_bench, seen) for seen in notes]},
        truth=draw.mechanism, details=tuple(_details(its_bench, view) for view in draw.views[: len(notes)]),
        posterior=posterior, share=posterior[draw.mechanism],
    )  # fmt: skip


def cases(count, first_seed=0, several=SEVERAL):
    """Yield so many cases, one a seed."""
    for seed in range(first_seed, first_seed + count):
        yield case(seed, several)


def _are_apart(its_bench, notes):
    """Whether two disturbances read so far apart that nobody takes them for one.

    That goes by the notes alone, so that it tells nothing more of the cause once there are two; that there is but one
    tells a little (a factor between 1 - SEVERAL and 1), which is left out.
    """
    readings = [seen["dial_hz"] for seen in notes if "dial_hz" in seen]
    return len(readings) == 2 and abs(readings[0] - readings[1]) > 2 * its_bench.reads_within_hz


def _set_table(its_bench, rng):
    """[set], and how well each configuration fits it; (c,)."""
    table, fitting = {}, np.ones(len(its_bench.sides))
    if its_bench.set_side:
        table["oscillator"] = its_bench.set_side
    if its_bench.dial_error_hz:
        table["dial_error"] = its_bench.text(its_bench.dial_error_hz)
    if rng.random() < 0.15:
        known, error = ("dot", 30_000) if its_bench.fm and rng.random() < 0.4 else ("measured", 5000)
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


def _details(its_bench, view):
    """The true instance, exact."""
    row = {name: column[0].item() for name, column in view.rows.items()}
    side, real = int(its_bench.sides[its_bench.truth]), int(its_bench.intermediates_hz[its_bench.truth])
    told = {
        name: row[name]
        for name in ("m", "n", "e", "k", "quantity", "other_hz", "tone_hz", "rate", "law", "rho")
    }
    stations = [row[name] for name in "abc" if row[name] >= 0]
    return told | {
        "side": side, "intermediate_hz": real, "spot_hz": Fraction(row["num"], row["den"]),
        "kind": KINDS[row["kind"]], "stations": tuple(its_bench.names[i] for i in stations),
        "stations_hz": tuple(int(its_bench.station_hz[i]) for i in stations),
        "nominal_hz": its_bench.nominal_hz, "second_oscillator_hz": its_bench.second_oscillator_hz,
        "place_hz": float(view.place_hz[0]), "dial_offset_hz": its_bench.dial_offset_hz,
    }  # fmt: skip
