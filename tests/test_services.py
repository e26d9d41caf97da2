"""Who lives where: the allocation table and the cautions."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from freqplan.errors import ModelRangeError
from freqplan.hertz import HIGHEST_HZ, Rounding
from freqplan.services import AERONAUTICAL_HZ, allocations, cautions_for, describe, services_in

FM = Rounding("MHz", 1, 2)
TABLE = allocations()

# Netherlands frequency plan 2014 with ITU footnotes 5.150, 5.180, 5.197A and 5.200, Region 1.
# The former FM band is from memory.
READ = [
    ("aeronautical radionavigation", 108_000_000, 117_975_000),
    ("aeronautical voice", 117_975_000, 137_000_000),
    ("marker beacons", 74_800_000, 75_200_000),
    ("FM broadcasting", 87_500_000, 108_000_000),
    ("digital broadcasting (band III)", 174_000_000, 230_000_000),
    ("amateur (2 m)", 144_000_000, 146_000_000),
    ("amateur (4 m)", 70_000_000, 70_500_000),
    ("amateur (6 m)", 50_000_000, 52_000_000),
    ("industrial, scientific and medical (27 MHz)", 26_957_000, 27_283_000),
    ("FM broadcasting (former band)", 65_900_000, 74_000_000),
]


@pytest.mark.parametrize(("name", "low_hz", "high_hz"), READ)
def test_published_allocations(name, low_hz, high_hz):
    assert [(each.low_hz, each.high_hz) for each in TABLE if each.name == name] == [(low_hz, high_hz)]


def test_every_row_is_whole():
    assert [each.low_hz for each in TABLE] == sorted(each.low_hz for each in TABLE)
    for each in TABLE:
        assert 0 < each.low_hz < each.high_hz <= HIGHEST_HZ
        assert all((each.service.strip(), each.name.strip(), each.source.strip()))
        assert each.region == "1"


def test_the_aeronautical_bands_meet_without_a_gap_and_are_safety_services():
    low_hz, high_hz = AERONAUTICAL_HZ
    inside = [each for each in TABLE if low_hz <= each.low_hz and each.high_hz <= high_hz]
    assert all(each.safety for each in inside)
    assert min(each.low_hz for each in inside) == low_hz
    assert max(each.high_hz for each in inside) == high_hz
    assert {each.name for each in services_in(117_975_000, 117_975_000)} == {
        "aeronautical radionavigation",
        "aeronautical voice",
    }


def test_distress_lies_inside_aeronautical_voice():
    assert [each.name for each in services_in(121_500_000, 121_500_000)] == [
        "aeronautical voice",
        "aeronautical distress",
    ]


edges = st.fractions(0, 500_000_000)


@given(edges, edges)
def test_a_service_is_listed_exactly_when_some_width_is_shared(a, b):
    low, high = sorted((a, b))
    shared = [each for each in TABLE if min(high, each.high_hz) - max(low, each.low_hz) > 0]
    if low < high:
        assert list(services_in(low, high)) == shared


def test_touching_is_not_sharing():
    assert [each.name for each in services_in(87_500_000, 108_000_000)] == ["FM broadcasting"]
    assert (
        services_in(Fraction(107_999_999), Fraction(108_000_001))[-1].name == "aeronautical radionavigation"
    )


def test_the_image_of_an_fm_set_with_the_oscillator_high():
    # 87.5-108 MHz and 10.7 MHz give 108.9-129.4 MHz.
    assert describe(108_900_000, 121_000_000, FM) == (
        "aeronautical radionavigation 108-117.975, aeronautical voice 117.975-137"
    )


def test_kilohertz_bands_are_described_in_kilohertz():
    assert (
        describe(1_437_000, 1_600_000, Rounding("kHz", 0, 0)) == "AM broadcasting (medium wave) 526.5-1606.5"
    )


def test_nobody_listed_is_an_empty_text():
    assert describe(60_000, 61_000, FM) == ""


def test_cautions_only_where_lives_depend_on_it():
    assert cautions_for(services_in(88_000_000, 100_000_000)) == ()
    cautions = " ".join(cautions_for(services_in(108_900_000, 129_400_000)))
    for word in ("aeronautical voice", "never radiate", "stop, log", "report", "differs by country"):
        assert word in cautions
    assert cautions.count("aeronautical voice") == 1


def test_an_upside_down_range_and_an_unknown_region_are_refused():
    with pytest.raises(ModelRangeError, match="lower edge first"):
        services_in(2, 1)
    with pytest.raises(ModelRangeError, match="Region 7"):
        services_in(1, 2, region="7")
