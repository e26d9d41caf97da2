"""Sums of two and three stations against the triple loops that one would write instead, all in one run.

``pytest tests/benchmarks/test_products_speed.py -s``
"""

from __future__ import annotations

import math
import statistics
import time

import numpy as np
from by_hand import HIGH_HZ, IF_HZ, LOW_HZ, program_plan, town
from products_by_hand import crowd, landings_by_loops, strong_sums_by_loops, sums_by_loops

from freqplan import FrontEnd, Mixer, Plan, RfStage, StationList, load_plan, load_stations, survey
from freqplan.plan import Suppression
from freqplan.station_sums import listing

KINDS = ("2A-B", "A+B-C")
HITS = 2000
"""Sums that stay above the threshold, whatever the length of the list."""


def seconds(call, runs=7):
    taken = []
    for _ in range(runs):
        start = time.perf_counter()
        call()
        taken.append(time.perf_counter() - start)
    return statistics.median(taken[1:] or taken)


def as_rows(parts):
    found = []
    for part in parts:
        places = [each.tolist() for each in part.places] + [[-1] * len(part)] * (3 - len(part.places))
        for a, b, c, total in zip(*places, part.sum_hz.tolist(), strict=True):
            first = sorted((a, b)) if part.kind == "A+B-C" else (a, b)
            found.append((part.kind, *first, c, total))
    return sorted(found)


def sums_by_program(hertz):
    listed = listing(np.array(hertz, dtype=np.int64))
    return [listed.within(kind, LOW_HZ, HIGH_HZ) for kind in KINDS]


def strong_sums_by_program(hertz, level, least):
    listed, level = listing(np.array(hertz, dtype=np.int64)), np.array(level)
    return [
        part for kind in KINDS for part in listed.above(kind, LOW_HZ, HIGH_HZ, level_db=level, least_db=least)
    ]


def least_for(hertz, level, hits):
    """A threshold [dB(uV)] that about as many sums reach, between tenths, where no sum of these levels lies."""
    low, high = 0, 4000
    while high - low > 1:
        middle = (low + high) // 2
        found = sum(map(len, strong_sums_by_program(hertz, level, middle / 10)))
        low, high = (middle, high) if found >= hits else (low, middle)
    return low / 10 + 0.05


def test_all_sums_of_eighty_stations():
    hertz = town()
    assert as_rows(sums_by_program(hertz)) == sorted(sums_by_loops(hertz))
    own, loops = seconds(lambda: sums_by_program(hertz), 51), seconds(lambda: sums_by_loops(hertz), 4)
    print(
        f"\n80 stations, third-order sums on the dial, listed: {1e3 * own:.2f} ms, loops {1e3 * loops:.0f} ms"
    )
    print(f"  the loops take {loops / own:.0f} times as long")
    assert loops > own


def test_the_whole_table_of_eighty_stations():
    stations = StationList.from_frequencies(town())
    plan = Plan(**program_plan().given() | {"orders": {"signal": 5, "oscillator": 5}})
    own = seconds(lambda: survey(plan, stations, every_product=True).products, 4)
    usual = seconds(lambda: survey(plan, stations).products, 4)
    loops = seconds(lambda: landings_by_loops(town(), IF_HZ, 5), 2)
    table = survey(plan, stations, every_product=True).products
    once = [name != "third-order-outside" for name in table.values("mechanism")]
    assert sum(once) == landings_by_loops(town(), IF_HZ, 5)
    print(
        f"\n80 stations, every sum by every (1, n, e), {len(table)} rows: {own:.2f} s; what matters: {usual:.2f} s"
    )
    print(
        f"  loops {loops:.2f} s, {loops / own:.1f} times the whole table, {loops / usual:.0f} times what matters"
    )


def test_strong_sums_of_four_hundred_stations():
    hertz, level = crowd(400)
    least = least_for(hertz, level, HITS)
    own = seconds(lambda: strong_sums_by_program(hertz, level, least), 21)
    start = time.perf_counter()
    expected = strong_sums_by_loops(hertz, level, least)
    loops = time.perf_counter() - start
    assert as_rows(strong_sums_by_program(hertz, level, least)) == sorted(expected)
    print(
        f"\n400 stations, {len(expected)} sums of {least:g} dB(uV) and more: {1e3 * own:.2f} ms, loops {loops:.2f} s"
    )
    print(f"  the loops take {loops / own:.0f} times as long")
    assert loops > own


def test_growth_with_the_length_of_the_list():
    taken = {}
    print()
    for count in (100, 400, 1600):
        hertz, level = crowd(count)
        least = least_for(hertz, level, HITS)
        taken[count] = seconds(lambda h=hertz, p=level, t=least: strong_sums_by_program(h, p, t), 21)
        hits = sum(map(len, strong_sums_by_program(hertz, level, least)))
        print(f"  {count} stations, {hits} sums of {least:g} dB(uV) and more: {1e3 * taken[count]:.2f} ms")
    exponents = [
        math.log(taken[b] / taken[a]) / math.log(b / a) for a, b in ((100, 400), (400, 1600), (100, 1600))
    ]
    print("  growth exponents 100-400, 400-1600, in all: " + ", ".join(f"{one:.2f}" for one in exponents))
    assert exponents[-1] < 2.2


def levelled_plan():
    rows = [(1, 2, 32.0), (2, 1, 48.0), (2, 2, 55.0), (3, 3, 74.0)]
    return Plan(
        **program_plan().given()
        | {
            "front_end": FrontEnd(circuits_before_rf_stage=1, circuits_before_mixer=1, loaded_q=18.0, gain_db=20.0),
            "mixer": Mixer(
                kind="measured", reference_dbm=-30.0,
                suppression=tuple(Suppression(m=m, n=n, db=db) for m, n, db in rows),
            ),
            "rf_stage": RfStage(iip2_dbm=20.0, iip3_dbm=-5.0),
            "orders": {"signal": 5, "oscillator": 5},
        }
    )  # fmt: skip


def test_towns_with_levels():
    cases = {
        "pantry, Orvessa": (load_plan("plans_demo/pantry.toml"), load_stations("plans_demo/orvessa.csv"))
    }
    for count in (300, 1000):
        hertz, level = crowd(count)
        cases[f"{count} stations"] = (levelled_plan(), StationList.from_frequencies(hertz, level_dbuv=level))
    print()
    for name, (plan, stations) in cases.items():
        result = survey(plan, stations)
        start = time.perf_counter()
        table = result.products
        own = time.perf_counter() - start
        heard = sum(margin is not None and margin < 0 for margin in table.values("margin_db"))
        start = time.perf_counter()
        card = len(result.check_list)
        print(
            f"  {name}: {own:.2f} s for {len(table)} rows, {heard} heard, of {result.heading['products_total']}; "
            f"then the card of {card} lines {time.perf_counter() - start:.2f} s"
        )
        assert heard > 0
