"""The notes of the simulated benches: every probability sums to one, and notes come as often as they are said to."""

from __future__ import annotations

from itertools import chain, combinations

import numpy as np
import pytest
from bench_observing import (
    VALUES,
    fallen,
    likelihood,
    observe,
    of_pitch,
    of_rate,
    of_reading,
    recognising,
    table,
)
from bench_rows import COLUMNS, KIND
from bench_sums import MECHANISMS
from bench_views import View
from bench_weighing import Draw
from benches import bench

KHZ_STEP, DB_STEP = 0.002, 0.05


@pytest.fixture(scope="module")
def draws():
    return [Draw(bench(seed), np.random.default_rng([seed, 2])) for seed in range(60)]


def view_of(its_bench, mechanism, **columns):
    """One row on the second station, with these columns."""
    row = COLUMNS | {"num": int(its_bench.station_hz[1])} | columns
    return View(
        its_bench, np.array([MECHANISMS.index(mechanism)]), {name: np.array([row[name]]) for name in row}
    )


def test_values_of_every_key_have_probabilities_that_sum_to_one(draws):
    for draw in draws:
        rows = draw.tables["half-if"] if len(draw.tables["half-if"]["num"]) else draw.tables["image"]
        for number in (MECHANISMS.index("half-if"), *range(len(MECHANISMS))[::5]):
            view = View(draw.bench, np.full(len(rows["num"]), number), rows)
            assert view.heard().sum(axis=1) == pytest.approx(1)
            assert view.everywhere().sum(axis=1) == pytest.approx(1)
            for key in VALUES:
                shares = table(view, key, {"notched": 0})
                assert shares.shape == (len(view), len(VALUES[key]))
                assert shares.sum(axis=1) == pytest.approx(1)
                assert shares.min() > 0
        break


@pytest.mark.parametrize("law", [0, 1, 2, 3])
@pytest.mark.parametrize("pad_db", [6.0, 20.0])
def test_readings_after_a_pad_sum_to_one(draws, law, pad_db):
    view = view_of(draws[0].bench, "half-if", law=law)
    every = np.arange(0, 4 * pad_db + 1, DB_STEP)
    total = sum(fallen(view, pad_db, fell_db)[0] for fell_db in every) * DB_STEP
    # Read to 0.1 dB: the edges of the ranges are taken that much wider.
    assert total == pytest.approx(1, abs=0.12 if law == 0 or pad_db < 10 else 0.05)


@pytest.mark.parametrize("columns", [{"rate": 0}, {"rate": 3}, {"rate": 1, "tone_hz": -1}, {"tone_hz": 9000}])
def test_pitches_and_rates_sum_to_one(draws, columns):
    its_bench = next(draw.bench for draw in draws if draw.bench.fm)
    view = view_of(its_bench, "image", **columns)
    every = np.arange(KHZ_STEP, 20, KHZ_STEP)
    pitch = of_pitch(view, None)[0] + sum(of_pitch(view, khz)[0] for khz in every) * KHZ_STEP
    rate = of_rate(view, None)[0] + sum(of_rate(view, each)[0] for each in every[every < 6]) * KHZ_STEP
    assert pitch == pytest.approx(1, abs=0.02)
    assert rate == pytest.approx(1, abs=0.02)


def test_recognised_stations_sum_to_one(draws):
    its_bench = min((draw.bench for draw in draws), key=lambda one: len(one.station_hz))
    count = len(its_bench.station_hz)
    names = list(chain.from_iterable(combinations(range(count), size) for size in range(4)))
    for columns in ({"a": 1}, {"a": 1, "b": 0}, {"a": 1, "b": 0, "c": 3}, {}):
        view = view_of(its_bench, "third-order", **columns)
        assert sum(recognising(view, some)[0] for some in names) == pytest.approx(1)
    assert sum(recognising(view_of(its_bench, "none-of-these"), some)[0] for some in names) == pytest.approx(
        1
    )


def test_dial_readings_sum_to_one(draws):
    for draw in draws[:10]:
        view, step = draw.views[0], draw.bench.reads_within_hz / 50
        reach = draw.bench.dial_error_hz + draw.bench.reads_within_hz
        around = view.place_hz[0] + np.arange(-reach - step, reach + step, step)
        dense = [of_reading(view, {"dial_hz": hertz}).mean() for hertz in around]
        assert sum(dense) * step == pytest.approx(1, abs=0.02)


SAME_PLACE = {"a": 1, "n": 1}
PAIRS = [
    ("multipath", {"kind": KIND["rough"]}, "if-off-centre", {"kind": KIND["rough"]}),
    ("other-receiver", {"kind": KIND["carrier"], "other_hz": 1}, "internal-clock", {"kind": KIND["carrier"]}),
    ("image", {"rate": 2, "rho": -1}, "transmitter-harmonic", {"rate": 0}),
    ("third-order-outside", {"b": 0}, "second-transmitter", {"width": 2}),
]  # fmt: skip


@pytest.mark.parametrize(("drawn", "columns", "other", "changed"), PAIRS)
def test_notes_come_as_often_as_they_are_said_to(draws, drawn, columns, other, changed):
    """Over notes drawn under one cause, the ratio of another's likelihood to its own is one on average."""
    its_bench = next(draw.bench for draw in draws if draw.bench.fm)
    first = view_of(its_bench, drawn, **SAME_PLACE | columns)
    second = view_of(its_bench, other, **SAME_PLACE | changed)
    rng = np.random.default_rng(11)
    ratios = []
    for _ in range(1500):
        seen = observe(first, rng)
        ratios.append(likelihood(second, seen)[0] / likelihood(first, seen)[0])
    scatter = np.std(ratios) / np.sqrt(len(ratios))
    assert scatter < 0.12
    assert np.mean(ratios) == pytest.approx(1, abs=4 * scatter)


def test_no_note_is_impossible_under_its_own_cause(draws):
    for draw in draws:
        view = draw.views[0]
        seen = observe(view, np.random.default_rng(draw.bench.truth))
        assert likelihood(view, seen)[0] > 0
