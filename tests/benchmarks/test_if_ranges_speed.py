"""Exact ranges of the IF against a plain NumPy grid that counts responses at every kHz; the ratios are what counts.

``pytest tests/benchmarks/test_if_ranges_speed.py -s``
"""

from __future__ import annotations

import statistics
import time

import numpy as np
import pytest

from freqplan import Band, Conversion, Orders, Plan, if_ranges

LOW_HZ, HIGH_HZ = 87_500_000, 108_000_000
FROM_HZ, TO_HZ, STEP_HZ = 1_000_000, 50_000_000, 1_000
ORDERS = (5, 10, 15, 20, 25)
ROUNDS = 15


def plan_of(order):
    # Harmonics of the IF are left out on both sides.
    return Plan(
        band=Band(low_hz=LOW_HZ, high_hz=HIGH_HZ),
        conversion=(Conversion(intermediate_hz=10_700_000, oscillator="high"),),
        orders=Orders(signal=order, oscillator=order, if_harmonic=1),
    )


def counts_by_grid(order):
    """Return how many responses are in the band at each IF of the grid; one array operation per response."""
    if_hz = np.arange(FROM_HZ, TO_HZ, STEP_HZ, dtype=np.float64)
    count = np.zeros(len(if_hz), dtype=int)
    for m in range(1, order + 1):
        for n in range(-order, order + 1):
            for e in (1, -1):
                if (m, n, e) != (1, 1, 1):
                    one, other = ((n * (dial + if_hz) - e * if_hz) / m for dial in (LOW_HZ, HIGH_HZ))
                    low, high = np.minimum(one, other), np.maximum(one, other)
                    count += (high >= LOW_HZ) & (low <= HIGH_HZ)
    return count


def ranges_with_counts(plan):
    return if_ranges(plan, FROM_HZ, TO_HZ).ranges


def everything(plan):
    return if_ranges(plan, FROM_HZ, TO_HZ).to_dict()


def seconds(call, *given, rounds=ROUNDS):
    call(*given)
    taken = []
    for _ in range(rounds):
        start = time.perf_counter()
        call(*given)
        taken.append(time.perf_counter() - start)
    return statistics.median(taken)


@pytest.mark.parametrize("order", ORDERS)
def test_both_count_the_same_at_every_point_of_the_grid_away_from_edges(order):
    table = ranges_with_counts(plan_of(order))
    grid_hz = np.arange(FROM_HZ, TO_HZ, STEP_HZ, dtype=np.float64)
    edges_hz = np.append(table.hertz("low_hz").rough(), float(TO_HZ))
    place = np.searchsorted(edges_hz, grid_hz, side="right") - 1
    own = table.array("in_band")[np.minimum(place, len(table) - 1)]
    clear_of_edges = np.minimum(grid_hz - edges_hz[place], edges_hz[place + 1] - grid_hz) > 1
    assert clear_of_edges.sum() > 0.98 * len(grid_hz)
    assert (own == counts_by_grid(order))[clear_of_edges].all()


def test_ratios():
    print()
    own = {}
    for order in ORDERS:
        plan = plan_of(order)
        own[order] = seconds(ranges_with_counts, plan)
        whole, grid = seconds(everything, plan, rounds=5), seconds(counts_by_grid, order, rounds=3)
        table = ranges_with_counts(plan)
        print(
            f"  orders {order},{order}: {len(table)} ranges, {int(table.array('in_band').sum())} names; grid "
            f"{grid / own[order]:.0f} times the ranges with every name, {grid / whole:.0f} times the whole answer; "
            f"{own[order] / own[ORDERS[0]]:.1f} times the time of {ORDERS[0]},{ORDERS[0]}"
        )
        if order == 10:
            assert grid > 100 * own[order]
