"""Who lives where: the allocation table and the cautions."""

from __future__ import annotations

import csv
import re
from fractions import Fraction

import pytest
from commandline import ROOT
from hypothesis import given
from hypothesis import strategies as st

from freqplan.errors import ModelRangeError
from freqplan.hertz import HIGHEST_HZ, Ratios, Rounding
from freqplan.plan_reading import REGIONS
from freqplan.services import AERONAUTICAL_HZ, allocations, cautions_for, describe, names_over, services_in

FM = Rounding("MHz", 1, 2)
EVERY_REGION = pytest.mark.parametrize("region", REGIONS)

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

# From memory: Radio Regulations, tables of Regions 2 and 3; the 76 MHz band is one of a single country.
REMEMBERED = [
    (2, "AM broadcasting (medium wave)", 525_000, 1_705_000),
    (2, "FM broadcasting", 88_000_000, 108_000_000),
    (2, "amateur (40 m)", 7_000_000, 7_300_000),
    (2, "amateur (6 m)", 50_000_000, 54_000_000),
    (2, "amateur (2 m)", 144_000_000, 148_000_000),
    (2, "amateur (1.25 m)", 222_000_000, 225_000_000),
    (2, "amateur (70 cm)", 420_000_000, 450_000_000),
    (3, "AM broadcasting (medium wave)", 526_500, 1_606_500),
    (3, "FM broadcasting", 87_000_000, 108_000_000),
    (3, "FM broadcasting (76 MHz band)", 76_000_000, 95_000_000),
    (3, "amateur (80 m)", 3_500_000, 3_900_000),
    (3, "amateur (6 m)", 50_000_000, 54_000_000),
    (3, "amateur (2 m)", 144_000_000, 148_000_000),
]

# The same all over the world.  108-137 MHz and the marker beacons: Netherlands frequency plan 2014, Canadian table,
# Chinese table; 121.5 MHz: ITU Radio Regulations 5.200.  The others are from memory.
WORLDWIDE = {
    "aeronautical radionavigation": [(108_000_000, 117_975_000)],
    "aeronautical voice": [(117_975_000, 137_000_000)],
    "aeronautical distress": [(121_487_500, 121_512_500)],
    "marker beacons": [(74_800_000, 75_200_000)],
    "glide path beacons": [(328_600_000, 335_400_000)],
    "government and military aircraft": [(225_000_000, 400_000_000)],
    "distress beacons": [(406_000_000, 406_100_000)],
    "maritime mobile (VHF)": [(156_000_000, 162_050_000)],
    "aeronautical voice (short wave)": [
        (2_850_000, 3_155_000), (3_400_000, 3_500_000), (4_650_000, 4_750_000), (5_450_000, 5_730_000),
        (6_525_000, 6_765_000), (8_815_000, 9_040_000), (10_005_000, 10_100_000), (11_175_000, 11_400_000),
        (13_200_000, 13_360_000), (15_010_000, 15_100_000), (17_900_000, 18_030_000), (21_924_000, 22_000_000),
        (23_200_000, 23_350_000),
    ],
}  # fmt: skip
NAMED_DOCUMENT = re.compile(r"Netherlands frequency plan 2014|ITU Radio Regulations 5\.\d+")


def edges_of(name, region):
    return [(each.low_hz, each.high_hz) for each in allocations(region) if each.name == name]


@pytest.mark.parametrize(("name", "low_hz", "high_hz"), READ)
def test_published_allocations(name, low_hz, high_hz):
    assert edges_of(name, 1) == [(low_hz, high_hz)]


@pytest.mark.parametrize(("region", "name", "low_hz", "high_hz"), REMEMBERED)
def test_allocations_of_the_other_regions(region, name, low_hz, high_hz):
    rows = [each for each in allocations(region) if each.name == name]
    assert [(each.low_hz, each.high_hz) for each in rows] == [(low_hz, high_hz)]
    assert rows[0].source.startswith("from memory")


@EVERY_REGION
@pytest.mark.parametrize(("name", "edges"), WORLDWIDE.items())
def test_what_is_the_same_all_over_the_world(name, edges, region):
    assert edges_of(name, region) == edges
    assert all(each.safety for each in allocations(region) if each.name == name)


def test_aeronautical_services_other_than_beacons_and_off_routes_are_alike_in_all_regions():
    # Beacons of long and medium wave, and what is off routes, differ; from memory.
    def aeronautical(region):
        differing = ("non-directional beacons", "off routes")
        return [
            (each.low_hz, each.high_hz, each.service, each.name, each.source, each.safety)
            for each in allocations(region)
            if each.service.startswith("aeronautical") and not any(word in each.name for word in differing)
        ]

    assert len(aeronautical(1)) > 15
    assert aeronautical(1) == aeronautical(2) == aeronautical(3)


@EVERY_REGION
def test_every_row_is_whole(region):
    table = allocations(region)
    assert len(table) > 80
    assert [each.low_hz for each in table] == sorted(each.low_hz for each in table)
    assert len({(each.low_hz, each.high_hz, each.name) for each in table}) == len(table)
    for each in table:
        assert 0 < each.low_hz < each.high_hz <= HIGHEST_HZ
        assert all((each.service.strip(), each.name.strip()))
        assert each.source.startswith("from memory: ") or NAMED_DOCUMENT.match(each.source)
        assert each.region == region


def test_the_file_knows_no_other_region_and_every_row_says_whether_lives_depend_on_it():
    text = (ROOT / "freqplan/data/allocations.csv").read_text("utf-8")
    for row in csv.DictReader(text.splitlines()):
        regions = row["region"].split()
        assert regions
        assert regions == sorted(set(regions) & {"1", "2", "3"})
        assert row["safety"] in ("yes", "no")


@EVERY_REGION
def test_the_aeronautical_bands_meet_without_a_gap_and_are_safety_services(region):
    low_hz, high_hz = AERONAUTICAL_HZ
    inside = [each for each in allocations(region) if low_hz <= each.low_hz and each.high_hz <= high_hz]
    assert all(each.safety for each in inside)
    assert min(each.low_hz for each in inside) == low_hz
    assert max(each.high_hz for each in inside) == high_hz
    assert {each.name for each in services_in(117_975_000, 117_975_000, region=region)} == {
        "aeronautical radionavigation",
        "aeronautical voice",
    }


def test_distress_lies_inside_aeronautical_voice():
    assert [each.name for each in services_in(121_500_000, 121_500_000)] == [
        "aeronautical voice",
        "aeronautical distress",
    ]


# Anywhere, and on the edges of services, where "<" and "<=" differ.
ON_EDGES = sorted(
    {hz for region in REGIONS for each in allocations(region) for hz in (each.low_hz, each.high_hz)}
)
beside_edges = st.builds(
    lambda hz, sign: hz + Fraction(sign, 3), st.sampled_from(ON_EDGES), st.sampled_from([1, -1])
)
on_edges = st.sampled_from(ON_EDGES) | beside_edges
edges = st.fractions(0, 1_000_000_000) | on_edges


def found_by_a_loop(low, high, region):
    """Return who shares some width with a range, or holds a single frequency, edges included."""
    found = []
    for each in allocations(region):
        if low == high:
            is_there = each.low_hz <= low <= each.high_hz
        else:
            is_there = min(high, each.high_hz) - max(low, each.low_hz) > 0
        if is_there:
            found.append(each)
    return tuple(found)


@given(edges, edges, st.sampled_from(REGIONS))
def test_services_are_those_found_by_a_plain_loop(a, b, region):
    low, high = sorted((a, b))
    assert services_in(low, high, region=region) == found_by_a_loop(low, high, region)
    assert services_in(low, low, region=region) == found_by_a_loop(low, low, region)


columns = st.fractions(0, 1_000_000_000, max_denominator=25) | on_edges


@given(st.lists(st.tuples(columns, columns)), st.sampled_from(REGIONS))
def test_many_ranges_at_once_are_answered_as_one_by_one(pairs, region):
    ranges = [tuple(sorted(pair)) for pair in pairs] + [(low, low) for low, _ in pairs]
    names = names_over(*(Ratios.of([ends[i] for ends in ranges]) for i in (0, 1)), region=region)
    assert names == [
        tuple(dict.fromkeys(each.name for each in found_by_a_loop(*ends, region))) for ends in ranges
    ]


def test_nobody_lives_where_there_is_no_frequency():
    assert names_over(Ratios.none(2), Ratios([100_000_000, 0], [1, 0])) == [(), ()]


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


def test_a_caution_names_a_few_services_and_counts_the_others():
    every = [each for each in allocations(1) if each.safety]
    names = list(dict.fromkeys(each.name for each in every))
    first = cautions_for(every)[0]
    assert f"{names[4]} and {len(names) - 5} more:" in first
    assert names[5] not in first


@pytest.mark.parametrize(
    ("region", "words"),
    [
        (1, "television (former band I) 47-68, amateur (6 m) 50-52"),
        (2, "land mobile (below 50 MHz) 29.7-50, amateur (6 m) 50-54"),
        (3, "land mobile (below 50 MHz) 29.7-50, amateur (6 m) 50-54"),
    ],
)
def test_words_are_those_of_the_region(region, words):
    assert describe(49_900_000, 51_000_000, FM, region=region) == words


def test_an_upside_down_range_and_an_unknown_region_are_refused():
    with pytest.raises(ModelRangeError, match="lower edge first"):
        services_in(2, 1)
    for region in (0, 4, "2"):
        with pytest.raises(ModelRangeError, match=f"Region {region}; there is one for Region 1, 2, 3"):
            services_in(1, 2, region=region)
