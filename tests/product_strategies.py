"""Random receivers and crowded towns whose sums land on them, many of them on the edges of band and filter."""

from __future__ import annotations

import math

import numpy as np
from hearing_strategies import levelled, mostly, rounded, sets
from hypothesis import strategies as st
from strategies import plans
from test_brute_force import channels, sides_of

from freqplan import Plan, StationList
from freqplan.plan import RfStage
from freqplan.sweeps import Sweep

NAMES = "ABCDEFGH"


@st.composite
def hertz_lists(draw, plan: Plan, most=10):
    """Draw carriers: in the band, on the raster and beside it, an IF apart, in other bands, and to complete a sum."""
    band, intermediate = plan.band, plan.conversion[0].intermediate_hz
    inside = st.integers(band.low_hz, band.high_hz) | st.sampled_from(channels(plan))
    half = plan.if_filter.bandwidth_hz // 2
    beside = st.sampled_from([0, 0, 1, -1, half // 9, half, half + 1, -half, -half - 1])
    just_off = st.sampled_from([band.low_hz - half // 2, band.high_hz + half // 2, band.high_hz + 3 * half])
    hertz = draw(st.lists(inside | just_off, min_size=2, max_size=most - 3))
    for _ in range(draw(st.integers(0, 3))):
        a, b = draw(st.sampled_from(hertz)), draw(st.sampled_from(hertz))
        end = draw(st.sampled_from([band.low_hz, band.high_hz]) | inside)
        own = draw(
            st.sampled_from(
                [
                    {"high": end + intermediate, "low": end - intermediate}.get(side, intermediate - end)
                    for side in sides_of(plan)
                ]
            )
        )
        n, e = draw(st.integers(0, 2)), draw(st.sampled_from([1, -1]))
        wanted = n * own - e * intermediate + draw(beside)
        last = draw(
            st.sampled_from(
                [
                    2 * a - wanted,
                    a - wanted,
                    wanted - a,
                    a + b - wanted,
                    a + wanted,
                    a + beside_of(half),
                    a + intermediate,
                    abs(a - intermediate),
                ]
            )
        )
        hertz.append(last if 0 < last < 1_000_000_000 else a)
    return hertz


def beside_of(half):
    """Half a channel or so."""
    return max(half // 2, 1)


@st.composite
def plans_with_crowds(draw, most=10, **limits):
    """Draw a plan without levels, and a list in which names and frequencies may repeat."""
    plan = draw(plans(tolerance=False, **limits))
    hertz = draw(hertz_lists(plan, most))
    names = draw(st.lists(st.sampled_from(NAMES), min_size=len(hertz), max_size=len(hertz)))
    return plan, StationList.from_frequencies(hertz, names)


@st.composite
def amplified(draw):
    """Draw a plan with a front end, and mostly an RF stage that is easily overdriven."""
    plan = draw(sets())
    points = {
        name: draw(mostly(rounded(low, high), st.none()))
        for name, low, high in (("iip2_dbm", -20, 30), ("iip3_dbm", -30, 10))
    }
    stage = draw(mostly(st.just(RfStage(**points)), st.none()))
    return Plan(**plan.given() | {"rf_stage": stage})


@st.composite
def amplified_with_towns(draw, most=9):
    """Draw a plan with levels, and a town whose stations have levels, most of them strong."""
    plan = draw(amplified())
    hertz = draw(hertz_lists(plan, most))
    if draw(st.booleans()):
        return plan, draw(levelled(hertz))
    level = st.lists(mostly(rounded(50, 115), st.just(math.nan)), min_size=len(hertz), max_size=len(hertz))
    names = [f"S{place}" for place in range(len(hertz))]
    return plan, StationList.from_frequencies(hertz, names, level_dbuv=draw(level))


@st.composite
def sweeps(draw, plan):
    """Draw a measured response about the band, at one dial setting or at all."""
    low, high = plan.band.low_hz // 3, 3 * plan.band.high_hz
    hertz = sorted(draw(st.sets(st.integers(low, high), min_size=4, max_size=8)))
    loss = draw(st.lists(st.integers(0, 60).map(float), min_size=len(hertz), max_size=len(hertz)))
    # Unevenly drawn points would be too coarse to tell anything: a few decibels up and down are not.
    gentle = [each / 60 for each in loss] if draw(st.booleans()) else loss
    return Sweep("", np.array(hertz), np.array(gentle) - min(gentle))
