"""A crowd of stations makes more sums than anybody reads: what is listed then, and that memory stays bounded."""

from __future__ import annotations

import tracemalloc

import numpy as np
import pytest
from commandline import DEMO
from thoroughness import THOROUGH, some

from freqplan import StationList, load_plan, load_stations, products, survey
from freqplan.errors import ModelRangeError

MEGABYTES = 1 << 20
MANY = 1000 if THOROUGH else 500


def crowd(count, levels=True):
    """Stations 20 kHz apart or more over the FM band, levels as in a town; the same on every run."""
    random = np.random.default_rng(count)
    hertz = random.choice(np.arange(87_500_000, 108_000_001, 20_000), count, replace=False)
    level = np.clip(random.normal(50, 15, count), 20, 100).round(1).tolist() if levels else None
    return StationList.from_frequencies(hertz.tolist(), level_dbuv=level)


def heard(table):
    names = ("kind", "stations_hz", "mechanism", "n", "e", "margin_db")
    rows = zip(*(table.values(name) for name in names), strict=True)
    return {row for row in rows if row[-1] is not None and row[-1] < 0}


def test_of_too_many_the_strongest_are_listed_and_the_remark_says_so(monkeypatch):
    plan, stations = load_plan(DEMO / "pantry.toml"), load_stations(DEMO / "orvessa.csv")
    every = heard(survey(plan, stations).products)
    monkeypatch.setattr(products, "FEW_ENOUGH", 1_000)
    monkeypatch.setattr(products, "MOST_JUDGED", 300)
    result = survey(plan, stations)
    some = heard(result.products)
    assert 0 < len(some) < len(every)
    assert some < every
    # What takes over from a station is among them.
    assert min(every, key=lambda row: row[-1]) in some
    assert any("add up to" in text and "dB or more" in text for text in result.assumptions)


def test_no_more_are_heard_than_the_memory_holds(monkeypatch):
    plan, stations = load_plan(DEMO / "workshop.toml"), load_stations(DEMO / "orvessa.csv")
    every = heard(survey(plan, stations).products)
    monkeypatch.setattr(products, "MOST_HEARD", 2_000)
    some = heard(survey(plan, stations).products)
    assert 0 < len(some) <= 2_000 < len(every)
    assert some < every


def test_without_levels_the_likeliest_are_listed_as_far_as_there_is_room(monkeypatch):
    plan, stations = load_plan(DEMO / "pantry.toml"), crowd(120, levels=False)
    whole = survey(plan, stations).products
    assert {"2A-B", "A+B"} <= set(whole.values("kind"))
    monkeypatch.setattr(products, "MOST_LIKELY", 5_000)
    cut = survey(plan, stations).products
    assert 0 < len(cut) <= 5_000 < len(whole)
    assert "if-spaced-pair" in cut.values("mechanism")
    assert "2A-B" not in cut.values("kind")


def test_more_than_half_a_million_are_refused_also_where_all_are_asked_for():
    result = survey(load_plan(DEMO / "pantry.toml"), crowd(200), every_product=True)
    with pytest.raises(ModelRangeError, match="shorten the station list, or leave out --all-products"):
        len(result.products)


@pytest.mark.parametrize("levels", some([True, False]))
def test_sums_of_many_stations_stay_in_bounded_memory(levels):
    """Three places and a frequency for each of the sums would take gigabytes."""
    plan, stations = load_plan(DEMO / "pantry.toml"), crowd(MANY, levels)
    tracemalloc.start()
    try:
        result = survey(plan, stations)
        assert len(result.products) > 0
        assert len(result.check_list) > 0
        peak = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    assert result.heading["products_total"] > MANY**3 // 2
    assert peak < 700 * MEGABYTES


@pytest.mark.parametrize("count", [220, 300])
def test_what_lands_on_the_dial_is_listed_before_images_and_half_if(count):
    plan, stations = load_plan(DEMO / "pantry.toml"), crowd(count, levels=False)
    hertz = stations.frequency_hz.astype(int)
    twice = 2 * hertz[:, None] - hertz[None, :]
    on_dial = ((plan.band.low_hz <= twice) & (twice <= plan.band.high_hz)).sum() - count
    table = survey(plan, stations).products
    rows = zip(*(table.values(name) for name in ("kind", "mechanism", "lands_on")), strict=True)
    assert sum(row == ("2A-B", "third-order", "dial") for row in rows) == on_dial
