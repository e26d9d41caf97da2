"""Sums of stations against plain loops over every two and three entries of the list."""

from __future__ import annotations

import subprocess
import sys
from collections import Counter
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from product_model import named, rows
from product_strategies import hertz_lists, plans_with_crowds
from strategies import dials, plans
from thoroughness import examples

from freqplan import Band, Conversion, IfFilter, Orders, Plan, StationList, channel, survey

KEYS = (
    "kind", "mechanism", "oscillator", "n", "e", "frequency_hz", "lands_on", "dial_hz", "beat_hz", "reach",
    "tuning_slope", "beat_rate", "level_law",
)  # fmt: skip


def counted(found, keys):
    return Counter(tuple(row[key] for key in (*keys, "stations")) for row in found)


def of_table(table):
    for row in table.rows():
        yield row | {"stations": named(row["kind"], row["stations"], row["stations_hz"])}


def assert_same(table, expected, keys):
    found, wanted = counted(of_table(table), keys), counted(expected, keys)
    assert (wanted - found, found - wanted) == (Counter(), Counter())


def assert_survey(plan, stations):
    expected = list(rows(plan, stations))
    result = survey(plan, stations, every_product=True)
    assert_same(result.products, expected, (*KEYS, "channel_hz"))
    assert result.heading["products_total"] == len(expected)
    return expected


@given(plans_with_crowds())
@settings(max_examples=examples(60))
def test_products_are_those_of_plain_loops(drawn):
    assert_survey(*drawn)


@given(st.data())
@settings(max_examples=examples(60))
def test_products_of_a_channel_are_those_of_plain_loops(data):
    plan = data.draw(plans(tolerance=False))
    stations = StationList.from_frequencies(data.draw(hertz_lists(plan)))
    hertz = stations.frequency_hz.tolist()
    inside = [hz for hz in hertz if plan.band.low_hz <= hz <= plan.band.high_hz]
    dial = data.draw(dials(plan) | st.sampled_from(inside or [plan.band.low_hz]))
    expected = list(rows(plan, stations, dial))
    result = channel(plan, dial, stations)
    assert_same(result.products, expected, KEYS)
    assert result.heading["products_total"] == len(expected)


MHZ = 1_000_000
TOWNS = {
    "fm high": (87_500_000, 108_000_000, 10_700_000, "high", 100_000),
    "fm low": (87_500_000, 108_000_000, 10_700_000, "low", 100_000),
    "fm unknown": (87_500_000, 108_000_000, 10_700_000, "unknown", 50_000),
    "am": (526_500, 1_606_500, 455_000, "high", 9_000),
    "close below": (31_000_000, 50_000_000, 27_000_000, "low", 100_000),
    "up-converting": (1_000_000, 20_000_000, 45_000_000, "unknown", 100_000),
}


@pytest.mark.parametrize("name", TOWNS)
def test_a_town_is_that_of_plain_loops(name):
    low, high, intermediate, side, raster = TOWNS[name]
    plan = Plan(
        band=Band(low_hz=low, high_hz=high, raster_hz=raster),
        conversion=(Conversion(intermediate_hz=intermediate, oscillator=side),),
        if_filter=IfFilter(bandwidth_hz=180_000 if high > 30 * MHZ else 9_001),
        orders=Orders(signal=1, oscillator=1),
    )
    random = np.random.default_rng(len(name))
    # With both sides the loops take twice as long: fewer stations.
    count = 9 if side == "unknown" else 18
    inside = random.choice(np.arange(low, high + 1, raster), count)
    offset = np.where(random.random(count) < 0.3, raster // 2, 0)
    others = random.integers(low // 2, 4 * high, 4)
    hertz = [*np.minimum(inside + offset, high).tolist(), *others.tolist(), low, high, low + intermediate]
    expected = assert_survey(plan, StationList.from_frequencies(hertz))
    assert len(expected) > 1000  # so that equality is not that of two empty sets
    assert len({row["mechanism"] for row in expected}) >= 4
    if name in ("close below", "up-converting"):
        assert any(row["n"] < 0 for row in expected)


# --- real sizes ---------------------------------------------------------------------------------


def raster_town(count):
    hertz = np.random.default_rng(1).choice(np.arange(87_500_000, 108_000_001, 100_000), count, replace=False)
    return StationList.from_frequencies(hertz.tolist())


def fm(**more):
    return Plan(
        band=Band(low_hz=87_500_000, high_hz=108_000_000),
        conversion=(Conversion(intermediate_hz=10_700_000, oscillator="high"),),
        **more,
    )


def test_eighty_stations_on_a_raster():
    hertz = raster_town(80).frequency_hz.tolist()
    on_dial = sum(87_500_000 <= 2 * a - b <= 108_000_000 for a in hertz for b in hertz if a != b)
    on_dial += sum(
        87_500_000 <= a + b - c <= 108_000_000
        for i, a in enumerate(hertz)
        for b in hertz[:i]
        for c in hertz
        if c not in (a, b)
    )
    every = survey(fm(), raster_town(80), every_product=True)
    dial = (every.products.array("lands_on") == "dial") & (every.products.array("mechanism") == "third-order")
    assert np.count_nonzero(dial) == on_dial > 100_000
    assert len(every.products) == every.heading["products_total"]
    # Unasked only the likeliest are listed, and a remark says how many there are.
    some = survey(fm(), raster_town(80))
    assert set(some.products.values("kind")) == {"A-B", "A+B", "2A-B"}
    assert some.heading["products_total"] == len(every.products)
    assert any(f"Of {len(every.products)} ways in which sums" in text for text in some.assumptions)


MEMORY = """
import re
import numpy as np
from freqplan import Band, Conversion, FrontEnd, Plan, RfStage, StationList, survey

most = lambda: int(re.search("VmHWM:\\s*([0-9]+)", open("/proc/self/status").read())[1])  # kB
random = np.random.default_rng(1)
hertz = random.choice(np.arange(87_500_000, 108_000_001, 10_000), 1000, replace=False)
level = np.clip(random.normal(35, 15, 1000), 0, 110)
plan = Plan(
    band=Band(low_hz=87_500_000, high_hz=108_000_000),
    conversion=(Conversion(intermediate_hz=10_700_000, oscillator="high"),),
    front_end=FrontEnd(circuits_before_rf_stage=1, circuits_before_mixer=1, loaded_q=18.0, gain_db=20.0),
    rf_stage=RfStage(iip2_dbm=20.0, iip3_dbm=-5.0),
)
before = most()
result = survey(plan, StationList.from_frequencies(hertz.tolist(), level_dbuv=level.tolist()))
heard = sum(margin is not None and margin < 0 for margin in result.products.values("margin_db"))
print(before, most(), heard, result.heading["products_total"])
"""


@pytest.mark.skipif(
    not Path("/proc/self/status").exists(), reason="peak memory is read from the Linux kernel"
)
def test_a_thousand_stations_stay_in_bounded_memory():
    # Hundreds of millions of sums: three places and a frequency each would take ten gigabytes.
    done = subprocess.run(
        [sys.executable, "-c", MEMORY], capture_output=True, check=True, text=True, timeout=100
    )
    before, after, heard, total = map(int, done.stdout.split())
    assert total > 400_000_000
    assert heard > 1000
    assert after - before < 1_000_000
