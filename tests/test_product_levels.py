"""How strong sums of stations are, against the formulas one number at a time, and the ceilings of the search."""

from __future__ import annotations

import math
from functools import cache

import numpy as np
import pytest
from hearing_model import CLOSE_DB, is_known, listed
from hypothesis import given, settings
from hypothesis import strategies as st
from product_model import TAKEN, hear, in_mixer, in_rf_stage, landings, level_dbuv
from product_model import settings as settings_of
from product_strategies import amplified, amplified_with_towns, sweeps
from strategies import dials
from thoroughness import examples

from freqplan import FrontEnd, Mixer, Plan, StationList
from freqplan.levels import Levels, levels_of
from freqplan.mechanisms import FAMILIES
from freqplan.mixing import tunings
from freqplan.plan import RfStage, Suppression
from freqplan.preselectors import Preselector
from freqplan.product_search import Threshold, searches
from freqplan.reception import on_air
from freqplan.station_sums import listing
from freqplan.sweeps import Sweep

DBUV = st.integers(-200, 1300).map(lambda tenths: tenths / 10)


@st.composite
def made(draw):
    """Draw a plan, a kind of sum, its stations with levels, and a setting with the harmonic that brings it there."""
    plan = draw(amplified())
    kind = draw(st.sampled_from(list(TAKEN)))
    top = 3 * (plan.band.high_hz + plan.conversion[0].intermediate_hz)
    inside = st.integers(plan.band.low_hz, plan.band.high_hz)
    signals = [(draw(inside | st.integers(1, top)), draw(DBUV | st.just(math.nan))) for _ in TAKEN[kind]]
    product_hz = draw(inside | st.integers(1, top))
    return plan, kind, signals, product_hz, draw(dials(plan)), draw(st.integers(-3, 3))


def same(found, expected):
    if not is_known(expected):
        return math.isnan(found)
    return float(found) == pytest.approx(expected, abs=CLOSE_DB)


@given(made())
@settings(max_examples=examples(100))
def test_levels_are_those_of_the_formulas(drawn):
    plan, kind, signals, product_hz, dial, n = drawn
    known = levels_of(plan)
    hertz, dbuv = zip(*signals, strict=True)
    where = {"dial_hz": dial, "n": n}
    in_stage = known.rf_stage_product_dbuv(TAKEN[kind], hertz, dbuv, product_hz=product_hz, **where)
    mixed = known.mixer_product_dbuv(TAKEN[kind], hertz, dbuv, **where)
    whole = known.product_dbuv(TAKEN[kind], hertz, dbuv, product_hz=product_hz, **where)
    assert same(in_stage, in_rf_stage(plan, kind, signals, product_hz, dial, n))
    assert same(mixed, in_mixer(plan, kind, signals, dial, n))
    assert same(whole, level_dbuv(plan, kind, signals, product_hz, dial, n))


@given(made(), st.sampled_from([-40.0, 0.0, 40.0]), st.sampled_from([-60.0, 0.0]))
@settings(max_examples=examples(40))
def test_no_product_is_stronger_than_its_weakest_station(drawn, point, reference):
    plan, kind, signals, product_hz, dial, _ = drawn
    every = tuple(Suppression(m=m, n=1, db=0.0) for m in (2, 3))
    plain = {
        "front_end": FrontEnd(gain_db=0.0),
        "rf_stage": RfStage(iip2_dbm=point, iip3_dbm=point),
        "mixer": Mixer(kind="measured", reference_dbm=reference, suppression=every),
    }
    hertz, dbuv = zip(*signals, strict=True)
    level = levels_of(Plan(**plan.given() | plain)).product_dbuv(
        TAKEN[kind], hertz, dbuv, product_hz=product_hz, dial_hz=dial, n=1
    )
    if any(map(math.isnan, dbuv)):
        assert math.isnan(level)
    else:
        assert level <= min(dbuv)
    # With 200 dB(uV) the law has long ended whatever the figures drawn here.
    strong = levels_of(Plan(**plan.given() | plain)).product_dbuv(
        TAKEN[kind], hertz, [200.0, 201.0, 202.0][: len(hertz)], product_hz=product_hz, dial_hz=dial, n=1
    )
    assert strong == 200.0


# --- what the search leaves out -----------------------------------------------------------------


@st.composite
def levels(draw):
    plan = draw(amplified())
    if draw(st.integers(0, 2)):
        return Levels(plan, Preselector(plan.front_end))
    own = plan.front_end.model_copy(update={"response_dial_hz": draw(st.none() | dials(plan))})
    return Levels(plan, Preselector(own, draw(sweeps(plan))))


@given(levels(), st.data())
@settings(max_examples=examples(100))
def test_no_product_rises_above_the_ceiling_of_its_part_of_the_dial(known, data):
    plan = known.plan
    kind, n = data.draw(st.sampled_from(list(TAKEN))), data.draw(st.integers(-3, 3))
    low, dial, high = sorted(data.draw(dials(plan)) for _ in range(3))
    top = 3 * (plan.band.high_hz + plan.conversion[0].intermediate_hz)
    inside = st.integers(plan.band.low_hz, plan.band.high_hz)
    hertz = [data.draw(inside | st.integers(1, top)) for _ in TAKEN[kind]]
    dbuv = [data.draw(DBUV) for _ in hertz]
    level = known.product_dbuv(
        TAKEN[kind], hertz, dbuv, product_hz=data.draw(inside | st.integers(1, top)), dial_hz=dial, n=n
    )
    most = known.most_product_db(TAKEN[kind], n, low_hz=low, high_hz=high)
    lost = known.least_lost_db(TAKEN[kind], np.array(hertz), low_hz=low, high_hz=high)
    ceiling = most + sum(
        abs(count) * (own - less) for count, own, less in zip(TAKEN[kind], dbuv, lost, strict=True)
    )
    # Where nothing is known of the plan no product has a level.
    assert math.isnan(level) or level <= ceiling + CLOSE_DB


@given(amplified_with_towns(most=6))
@settings(max_examples=examples(40))
def test_nothing_below_the_threshold_is_heard(drawn):
    plan, stations = drawn
    told, known = listed(plan, stations), levels_of(plan)
    threshold = Threshold(known, stations)
    band = plan.band
    found = searches(plan, tunings(plan), FAMILIES, low_hz=band.low_hz, high_hz=band.high_hz)
    by_name = {(one.tuning.side, one.kind, one.n, int(one.sums.array("e")[0])): one for one in found}
    cells = cache(lambda name: list(threshold.cells(by_name[name])))
    least_at = cache(
        lambda setting: float(threshold.least_dbuv(on_air(known, stations, np.array([setting])))[0])
    )
    over = cache(lambda name, first, last: threshold.over(by_name[name], first, last))
    for one, side, n, e in landings(plan, stations.frequency_hz.tolist()):
        name = (side, one.kind, n, e)
        (cell,) = [
            cell for cell in cells(name) if cell[2] <= one.hertz <= cell[3]
        ]  # one part, neither none nor two
        for setting in settings_of(plan, told, one, side, n, e):
            heard = hear(plan, told, one, side, n, e, setting)
            if heard.margin_db < 0:
                assert heard.level_dbuv >= least_at(setting) - CLOSE_DB
                assert heard.level_dbuv >= over(name, cell[0], cell[1]) - CLOSE_DB


@given(amplified_with_towns(most=5))
@settings(max_examples=examples(25))
def test_looking_at_many_parts_of_the_dial_together_first_loses_nothing(drawn):
    plan, stations = drawn
    threshold, listing_ = Threshold(levels_of(plan), stations), listing(stations.frequency_hz)
    band = plan.band
    for one in searches(plan, tunings(plan), FAMILIES, low_hz=band.low_hz, high_hz=band.high_hz):
        if threshold.has_level(one):
            alone = [some for cell in threshold.cells(one) for some in threshold.on_part(one, listing_, cell)]
            together = list(threshold.candidates(one, listing_))
            assert rows_of(together) == rows_of(alone)


def rows_of(parts):
    return [row for some in parts for row in zip(some.sum_hz.tolist(), *map(list, some.places), strict=True)]


def test_a_search_has_levels_where_a_sum_can_have_one():
    # A measured response does not tell what is lost before the RF stage: only the mixer's products have levels.
    rows = (Suppression(m=2, n=2, db=40.0),)
    plan = Plan(
        band={"low_hz": 87_500_000, "high_hz": 108_000_000},
        conversion=({"intermediate_hz": 10_700_000, "oscillator": "high"},),
        front_end=FrontEnd(gain_db=20.0),
        mixer=Mixer(kind="measured", reference_dbm=-30.0, suppression=rows),
        rf_stage=RfStage(iip2_dbm=20.0, iip3_dbm=-5.0),
    )
    sweep = Sweep("", np.arange(50, 160, 10) * 1_000_000, np.zeros(11))
    stations = StationList.from_frequencies([98_900_000, 100_700_000], level_dbuv=[90.0, 90.0])
    known = {
        response: Threshold(Levels(plan, Preselector(plan.front_end, response)), stations)
        for response in (None, sweep)
    }
    every = list(searches(plan, tunings(plan), FAMILIES, low_hz=87_500_000, high_hz=108_000_000))
    has = {
        response: {(one.kind, one.n) for one in every if threshold.has_level(one)}
        for response, threshold in known.items()
    }
    assert {("2A-B", 1), ("A+B-C", 1), ("A+B", 1), ("A+B", 2)} <= has[None]
    assert has[sweep] == {("A+B", 2), ("A-B", 2), ("A+B", -2), ("A-B", -2)}
