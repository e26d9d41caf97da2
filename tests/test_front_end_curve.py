"""The front-end curve: loss by the law of tuned circuits or as measured, marks where they belong, words apart."""

from __future__ import annotations

from math import isnan, log10

import numpy as np
import pytest
from pictures import EVERY_PLAN, HOSTILE, SVG, demo, listed, root_of, size_mm, words_apart, words_in

from freqplan.channels import channel
from freqplan.charts.curve_parts import curve_of
from freqplan.charts.front_end import front_end
from freqplan.errors import ModelRangeError
from freqplan.plan import Plan
from freqplan.surveys import survey
from freqplan.sweeps import load_sweep

ORVESSA = listed(80)
BILLIONTH_DB = 1e-9
WITH_FRONT_END = [one for one in EVERY_PLAN if one.values[0].front_end is not None]


def marks_of(shown):
    return {(mark.name, mark.harmonics): mark for mark in shown.marks}


def circuits_db(plan, signal_hz, dial_hz):
    """The law by hand: N circuits of equal Q, and a floor."""
    own = plan.front_end
    count = own.circuits_before_rf_stage + own.circuits_before_mixer
    ratio = signal_hz / (dial_hz + own.detuning_hz)
    loss = 10 * count * log10(1 + (own.loaded_q * (ratio - 1 / ratio)) ** 2)
    return min(loss, own.floor_db)


@pytest.mark.parametrize("name", ["pantry", "attic", "balcony", "shed", "workshop"])
def test_the_curve_is_the_law_of_tuned_circuits(name):
    plan = demo(name)
    shown = curve_of(survey(plan))
    for stretch in shown.stretches:
        for hertz, loss in zip(stretch.frequency_hz.tolist(), stretch.loss_db.tolist(), strict=True):
            assert abs(loss - circuits_db(plan, hertz, shown.dial_hz)) < BILLIONTH_DB


def test_the_pantry_set_by_hand():
    plan = demo("pantry")
    shown = curve_of(survey(plan), 98_000_000)
    where = {key: mark.frequency_hz for key, mark in marks_of(shown).items()}
    assert where == {
        ("IF", ""): 10_700_000,
        ("wanted", ""): 98_000_000,
        ("half-if", "(2, 2, +1)"): 103_350_000,
        ("half-if", "(2, 2, -1)"): 114_050_000,
        ("image", "(1, 1, -1)"): 119_400_000,
    }
    for mark in shown.marks:
        assert abs(mark.loss_db - circuits_db(plan, mark.frequency_hz, 98_000_000)) < BILLIONTH_DB


@pytest.mark.parametrize("plan", WITH_FRONT_END)
def test_marks_are_rows_of_the_channel_and_lie_on_the_curve(plan):
    shown = curve_of(survey(plan))
    rows = {row["response_hz"] for row in channel(plan, shown.dial_hz).responses.rows()}
    assert {mark.frequency_hz for mark in shown.marks if mark.name != "wanted"} <= rows
    for stretch in shown.stretches:
        for mark in stretch.marks:
            loss = stretch.loss_db[stretch.frequency_hz == float(mark.frequency_hz)].tolist()
            assert len(loss) == 1
            assert mark.loss_db == loss[0] or (mark.loss_db is None and isnan(loss[0]))


def test_a_measured_curve_goes_through_the_points_measured():
    plan = demo("loft")
    sweep = load_sweep(plan.front_end.response)
    (stretch,) = (
        one
        for one in curve_of(survey(plan), 98_000_000).stretches
        if any(m.name == "wanted" for m in one.marks)
    )
    seen = stretch.frequency_hz
    inside = (sweep.frequency_hz >= seen[0]) & (sweep.frequency_hz <= seen[-1])
    assert inside.sum() > 10
    # Points of the picture lie beside those measured, so that a bend may be cut off: by less than a tenth of a dB.
    drawn = np.interp(sweep.frequency_hz[inside], seen, stretch.loss_db)
    assert np.abs(drawn - sweep.loss_db[inside]).max() < 0.1


def test_where_the_measurement_does_not_reach_the_loss_is_not_known():
    chart = front_end(survey(demo("loft")))
    assert "IF on 10.70 not known" in chart.alt
    assert "Where the measurement does not reach" in chart.caption
    assert "not known" in [one.says for one in words_in(chart.pictures[0])]


def test_stations_have_what_is_left_of_them_at_the_mixer():
    plan = demo("pantry")
    shown = curve_of(survey(plan, ORVESSA))
    listed_hz = ORVESSA.frequency_hz.tolist()
    inside = [
        hertz
        for hertz in listed_hz
        if any(s.frequency_hz[0] <= hertz <= s.frequency_hz[-1] for s in shown.stretches)
    ]
    assert sorted(one.frequency_hz for one in shown.stations) == sorted(inside)
    for one in shown.stations:
        if one.level_dbuv is None:
            assert one.left_dbuv is None
        else:
            lost = circuits_db(plan, one.frequency_hz, shown.dial_hz)
            assert abs(one.level_dbuv - one.left_dbuv - lost) < BILLIONTH_DB


def test_the_middle_channel_is_the_default_and_the_edges_of_the_dial_will_do():
    answer = survey(demo("pantry"))
    assert curve_of(answer).dial_hz == 97_800_000
    for dial_hz in (87_500_000, 108_000_000):
        assert marks_of(curve_of(answer, dial_hz))["wanted", ""].frequency_hz == dial_hz
    with pytest.raises(ModelRangeError, match=r"120\.00 MHz lies off the band"):
        curve_of(answer, 120_000_000)


def test_without_a_front_end_it_says_what_to_write():
    plan = Plan(**(demo("pantry").given() | {"front_end": None}))
    with pytest.raises(ModelRangeError, match=r"put a table \[front_end\]"):
        front_end(survey(plan))


def test_an_if_far_off_has_a_panel_of_its_own_and_one_close_by_has_not():
    far, near = (curve_of(survey(demo(name))) for name in ("pantry", "attic"))
    assert [[mark.name for mark in one.marks] == ["IF"] for one in far.stretches] == [True, False]
    assert len(near.stretches) == 1
    assert "IF" in [mark.name for mark in near.marks]


@pytest.mark.parametrize("count", [0, 80, 300])
@pytest.mark.parametrize("plan", WITH_FRONT_END)
def test_it_is_drawn_for_every_kind_of_set_and_no_words_cover_others(plan, count):
    chart = front_end(survey(plan, listed(count) if count else None))
    (picture,) = chart.pictures
    width, height = size_mm(picture)
    assert (width, height <= 250) == (180, True)
    words = list(words_in(picture))
    assert min(one.size_pt for one in words) >= 7
    assert all(0 <= one.x_mm <= width and 0 <= one.y_mm <= height for one in words)
    assert words_apart(picture) == []
    assert "Lost before the mixer, dB" in [one.says for one in words]


def test_both_sides_of_the_oscillator_are_marked_and_told_apart():
    chart = front_end(survey(demo("pantry").with_changes(oscillator="unknown")))
    says = [one.says for one in words_in(chart.pictures[0])]
    assert (says.count("image"), says.count("half-if"), says.count("IF")) == (2, 4, 1)
    assert (says.count("osc. above"), says.count("osc. below")) == (3, 3)


def test_hostile_names_are_only_text():
    plan = Plan(**(demo("pantry").given() | {"title": HOSTILE}))
    chart = front_end(survey(plan, listed(300)))
    assert not list(root_of(chart.pictures[0]).iter(f"{SVG}script"))
    assert "\x07" not in chart.title + chart.caption + chart.alt
