"""Published worked examples and values, each with its source and how it was come by.

"read" is a figure read in the source; "recomputed" one worked out again from the source's inputs and formula;
"exact" one that follows from the equation alone.  MHz are written as text or as multiples, never as floats.
"""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest

from freqplan import Band, Conversion, Orders, Plan, StationList, channel, compare, survey
from freqplan.hertz import parse_hertz
from freqplan.mixing import Combinations
from freqplan.services import AERONAUTICAL_HZ, allocations, services_in

FM_HZ = (87_500_000, 108_000_000)


def mhz(text):
    """Whole hertz of a number of megahertz."""
    return parse_hertz(f"{text} MHz")


def all_mhz(*texts):
    return tuple(mhz(text) for text in texts)


def plan_of(low, high, intermediate, side="high", *, tolerance_hz=0, orders=(5, 5), if_harmonic=12, **band):
    """A plan from whole hertz."""
    return Plan(
        band=Band(low_hz=low, high_hz=high, **band),
        conversion=(Conversion(intermediate_hz=intermediate, oscillator=side, tolerance_hz=tolerance_hz),),
        orders=Orders(signal=orders[0], oscillator=orders[1], if_harmonic=if_harmonic),
    )


def fm(intermediate="10.7", side="high", **more):
    return plan_of(*FM_HZ, mhz(intermediate), side, **more)


def medium_wave(intermediate_hz, **more):
    return plan_of(526_500, 1_606_500, intermediate_hz, first_channel_hz=531_000, **more)


def response(plan, dial_hz, m, n, e):
    rows = channel(plan, dial_hz).responses.rows()
    return next((row for row in rows if (row["m"], row["n"], row["e"]) == (m, n, e)), None)


def image(plan, dial_hz):
    (row,) = [row for row in channel(plan, dial_hz).responses.rows() if row["mechanism"] == "image"]
    return row["response_hz"]


def ranged(plan, mechanism):
    (row,) = [row for row in survey(plan).responses.rows() if row["mechanism"] == mechanism]
    return row


def own_range(plan):
    (row,) = survey(plan).oscillators.rows()
    return row["oscillator_low_hz"], row["oscillator_high_hz"]


def birdies(plan, mechanism):
    return [row for row in survey(plan).birdies.rows() if row["mechanism"] == mechanism]


# --- the equation -------------------------------------------------------------------------------


@pytest.mark.parametrize("side", ["high", "low"])
def test_spurious_frequencies_are_those_of_the_vocabulary(side):
    # IEC 60050-161:2016, entry 161-06-06 "spurious frequency": (n fL +- fI)/m for every (m, n); read.
    plan, dial_hz = fm(side=side), mhz("98.1")
    own, intermediate = dial_hz + (1 if side == "high" else -1) * mhz("10.7"), mhz("10.7")
    named = {
        Fraction(n * own + sign * intermediate, m) for m in range(1, 6) for n in range(6) for sign in (1, -1)
    }
    found = set(channel(plan, dial_hz).responses.values("response_hz"))
    assert found == {frequency for frequency in named if frequency > 0} - {dial_hz}


# --- textbooks ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("side", "oscillator", "images"),
    [("high", ("98.7", "118.7"), ("109.4", "129.4")), ("low", ("77.3", "97.3"), ("66.6", "86.6"))],
)
def test_stanley_and_jeffords_example_5_12(side, oscillator, images):
    # Stanley & Jeffords, Electronic Communications, ex. 5.12: 88-108 MHz, IF 10.7 MHz; read.
    plan = plan_of(*all_mhz("88", "108"), mhz("10.7"), side)
    assert own_range(plan) == all_mhz(*oscillator)
    row = ranged(plan, "image")
    assert (row["low_hz"], row["high_hz"]) == all_mhz(*images)


@pytest.mark.parametrize(("side", "oscillator", "expected"), [("high", "45", "50"), ("low", "35", "30")])
def test_stanley_and_jeffords_examples_5_10_and_5_11(side, oscillator, expected):
    # Stanley & Jeffords, Electronic Communications, ex. 5.10 and 5.11: 40 MHz, IF 5 MHz; read.
    plan = plan_of(*all_mhz("38", "42"), mhz("5"), side)
    assert channel(plan, mhz("40")).heading["oscillator_hz"] == mhz(oscillator)
    assert image(plan, mhz("40")) == mhz(expected)


@pytest.mark.parametrize(
    ("dial_hz", "intermediate_hz", "expected"),
    [
        (1_000_000, 455_000, 1_910_000),  # Kennedy & Davis, Electronic Communication Systems, ex. 7.1a; read
        (25_000_000, 455_000, 25_910_000),  # the same, ex. 7.1b; read
        (590_000, 455_000, 1_500_000),  # Blake, Electronic Communication Systems, ex. 6.5; read
        (1_000_000, 465_000, 1_930_000),  # Roddy & Coolen, Electronic Communications, ex. 7.6.1; read
    ],
)
def test_images_of_textbook_examples(dial_hz, intermediate_hz, expected):
    plan = plan_of(dial_hz - 50_000, dial_hz + 50_000, intermediate_hz)
    assert image(plan, dial_hz) == expected


def test_blake_example_6_6():
    # Blake, Electronic Communication Systems, ex. 6.6: tuned to 10 MHz, IF 1.8 MHz, high side, m and n up to 2;
    # recomputed, as the copy's own output was faulty.  10.0 is the wanted one, n = 0 adds 1.8 and 0.9.
    plan = plan_of(*all_mhz("8", "12"), mhz("1.8"), orders=(2, 2))
    rows = list(channel(plan, mhz("10")).responses.rows())
    with_oscillator = sorted(row["response_hz"] for row in rows if row["n"])
    assert with_oscillator == list(all_mhz("5", "6.8", "10.9", "12.7", "13.6", "21.8", "25.4"))
    assert sorted(row["response_hz"] for row in rows if not row["n"]) == list(all_mhz("0.9", "1.8"))


def test_roddy_and_coolen_examples_7_3_1_and_7_4_1():
    # Roddy & Coolen, Electronic Communications, ex. 7.3.1 and 7.4.1: 550-1600 kHz, IF 455 kHz; read.  The book
    # squares the rounded ratio (4.182); 4.181 is the square of the exact one.
    (row,) = survey(plan_of(550_000, 1_600_000, 455_000)).oscillators.rows()
    assert (row["oscillator_low_hz"], row["oscillator_high_hz"]) == (1_005_000, 2_055_000)
    assert f"{row['oscillator_ratio']:.3f} {row['capacitance_ratio']:.3f}" == "2.045 4.181"


def test_first_conversion_of_blake_example_6_10():
    # Blake, Electronic Communication Systems, ex. 6.10: set at 25 MHz, first IF 4.5, second IF 0.5; read.
    plan = Plan(
        band=Band(low_hz=mhz("20"), high_hz=mhz("29")),
        conversion=(
            Conversion(intermediate_hz=mhz("4.5"), oscillator="high"),
            Conversion(intermediate_hz=mhz("0.5"), oscillator="low", fixed_oscillator_hz=mhz("4")),
        ),
    )
    assert channel(plan, mhz("25")).heading["oscillator_hz"] == mhz("29.5")


# --- notes of practitioners, standards, data sheets ---------------------------------------------


def meeting(taken, fixed, moved):
    """The dial setting on which taken*fixed + the sum of moved falls, by the equation with its fixed part."""
    one = np.ones(1, dtype=np.int64)
    some = Combinations(one, 0 * one, -taken * one, intermediate_hz=10_700_000, fixed_hz=-sum(moved) * one)
    (dial,) = some.dial(fixed).exact()
    return dial


def test_third_order_sums_of_98_9_and_100_7():
    # Public measurement note, 2003-2009 newsgroup archive: 97.1 and 102.5; read.
    a, b = all_mhz("98.9", "100.7")
    assert meeting(2, a, [-b]) == mhz("97.1")
    assert meeting(2, b, [-a]) == mhz("102.5")


def test_sums_of_two_and_three_transmitters_have_the_orders_of_their_names():
    # US Army TM 11-490-5: products 2A-B, 2B-A, 3A-2B, A+B-C; read.  Levels apart, each moves with A by its factor.
    a, b, c = all_mhz("98.9", "100.7", "99.8")
    moved = 100_000
    for taken, others, name in [
        (2, [-b], "2A-B"),
        (-1, [2 * b], "2B-A"),
        (3, [-2 * b], "3A-2B"),
        (1, [b, -c], "A+B-C"),
    ]:
        there, then = meeting(taken, a, others), meeting(taken, a + moved, others)
        assert there == taken * a + sum(others), name
        assert then - there == taken * moved, name


def test_the_image_of_98_9_with_the_oscillator_on_111_4():
    # Public measurement note, 2003-2009 newsgroup archive: with the oscillator on 111.4 MHz the 98.9 MHz
    # signal arrives at 12.5 MHz; read.  So with an IF of 12.5 it is the wanted one, and its image is 123.9.
    plan = plan_of(*FM_HZ, mhz("12.5"))
    assert channel(plan, mhz("98.9")).heading["oscillator_hz"] == mhz("111.4")
    assert image(plan, mhz("98.9")) == mhz("123.9")
    # With an IF of 10.7 the same oscillator belongs to 100.7, and 98.9 lies 1.8 beside.
    stations = StationList.from_frequencies(all_mhz("98.9", "100.7"))
    here = channel(fm(), mhz("100.7"), stations)
    assert here.heading["oscillator_hz"] == mhz("111.4")
    assert here.wanted == ("100.7 MHz",)
    assert not any("98.9 MHz" in names for names in here.responses.values("stations"))


def test_harmonics_of_10_7_and_of_its_passband():
    # Public engineering list discussion of a 1957 channel move, 1999: 9th harmonic 96.3; the 10th of a passband
    # of 10.625-10.775 spans 106.25-107.75; read.
    spots = {row["k"]: row for row in birdies(fm(tolerance_hz=75_000), "if-harmonic")}
    assert spots[9]["dial_hz"] == mhz("96.3")
    assert (spots[10]["dial_low_hz"], spots[10]["dial_high_hz"]) == all_mhz("106.25", "107.75")


@pytest.mark.parametrize(("number", "frequency"), [(201, "88.1"), (253, "98.5"), (260, "99.9")])
def test_channel_numbers_of_a_200_khz_raster(number, frequency):
    # 47 CFR 74.1202(b)(3) and the separation table: channels 201, 253 and 260; read.
    first = mhz("88.1")
    plan = plan_of(*FM_HZ, mhz("10.7"), raster_hz=200_000, first_channel_hz=first)
    beside = mhz(frequency) + 60_000
    assert (plan.nearest_channel_hz(beside) - first) // plan.band.raster_hz + 201 == number
    stations = StationList.from_frequencies([beside + 21_400_000])
    ghosts = [
        row["channel_hz"] for row in survey(plan, stations).ghosts.rows() if row["mechanism"] == "image"
    ]
    assert ghosts == [mhz(frequency)]


def test_channels_200_khz_apart_keep_the_oscillator_off_every_station():
    # 47 CFR 73.207(b), 73.507(c): IF-related pairs are the 53rd and 54th channels, 10.6 and 10.8 MHz apart, and
    # none is 10.7 apart; read.  So the oscillator never stands on the carrier of another channel.
    first = mhz("88.1")
    stations = StationList.from_frequencies(range(first, FM_HZ[1], 200_000))
    plan = plan_of(*FM_HZ, mhz("10.7"), raster_hz=200_000, first_channel_hz=first)
    rows = [
        row for row in survey(plan, stations).ghosts.rows() if row["mechanism"] == "oscillator-on-station"
    ]
    assert len(rows) > 40
    for row in rows:
        apart, left = divmod(row["station_hz"] - row["channel_hz"], 200_000)
        assert (apart, left) in {(53, 0), (54, 0)}
        assert abs(row["beat_hz"]) == 100_000


@pytest.mark.parametrize(
    ("rank", "ninth"),
    [("10.64", "95.76"), ("10.67", "96.03"), ("10.70", "96.3"), ("10.73", "96.57"), ("10.76", "96.84")],
)
def test_the_ninth_harmonic_of_each_filter_rank(rank, ninth):
    # 10.7 MHz ceramic filter data sheet: ranks 10.64 10.67 10.70 10.73 10.76, each +-0.03 MHz; read.
    spots = {row["k"]: row for row in birdies(fm(rank, tolerance_hz=30_000), "if-harmonic")}
    assert spots[9]["dial_hz"] == mhz(ninth)
    assert (spots[9]["dial_low_hz"], spots[9]["dial_high_hz"]) == (mhz(ninth) - 270_000, mhz(ninth) + 270_000)


def test_where_to_feed_in_at_98_on_the_low_side():
    # Public measurement note: set at 98 MHz, low side, IF 10.7: image test at 76.6, IF test at 10.7; read.
    plan = fm(side="low")
    assert image(plan, mhz("98")) == mhz("76.6")
    assert response(plan, mhz("98"), 1, 0, -1)["response_hz"] == mhz("10.7")
    assert response(plan, mhz("98"), 1, 0, -1)["mechanism"] == "if-breakthrough"


@pytest.mark.parametrize(
    ("low", "high", "service"),
    [
        ("108", "117.975", "aeronautical radionavigation"),
        ("117.975", "137", "aeronautical mobile"),
        ("74.8", "75.2", "aeronautical radionavigation"),
        ("87.5", "108", "broadcasting"),
        ("174", "230", "broadcasting"),
        ("144", "146", "amateur"),
        ("70", "70.5", "amateur"),
        ("50", "52", "amateur"),
    ],
)
def test_allocations_of_region_1(low, high, service):
    # Netherlands frequency plan 2014 with its ITU footnotes 5.150, 5.180, 5.197A, 5.200; read.
    edges = {(each.low_hz, each.high_hz): each.service for each in allocations(1)}
    assert service in edges[all_mhz(low, high)].lower()


@pytest.mark.parametrize("region", [2, 3])
@pytest.mark.parametrize(
    ("low", "high", "service"),
    [
        ("74.8", "75.2", "aeronautical radionavigation"),
        ("108", "117.975", "aeronautical radionavigation"),
        ("117.975", "137", "aeronautical mobile (r)"),
    ],
)
def test_allocations_that_regions_2_and_3_share_with_region_1(low, high, service, region):
    # Canadian table (Region 2) and Chinese table (Region 3), where they agree with the Netherlands frequency plan
    # 2014; read.
    edges = {(each.low_hz, each.high_hz): each for each in allocations(region)}
    assert edges[all_mhz(low, high)].service.lower() == service
    assert edges[all_mhz(low, high)].safety


def test_ism_and_the_former_fm_band():
    # The same plan: ISM 26.957-27.283, the former FM band 65.9-74; read.
    edges = {(each.low_hz, each.high_hz) for each in allocations(1)}
    assert all_mhz("26.957", "27.283") in edges
    assert all_mhz("65.9", "74") in edges


@pytest.mark.parametrize(("side", "width"), [("high", "10.7"), ("low", "0")])
def test_oscillator_radiation_of_an_fm_set(side, width):
    # ITU Radio Regulations 1.138 and 51.2: the oscillator's energy is "radiation", to be kept low; read.  How much
    # of it falls on aeronautical services, 108-137 MHz: exact from the equation.
    (row,) = [row for row in compare(fm(side=side)).plans.rows() if row["oscillator"] == side]
    assert row["oscillator_in_aeronautical_hz"] == mhz(width)
    assert bool(services_of(row["radiates_into"]) & {"aeronautical radionavigation"}) == (side == "high")


def services_of(names):
    return {service.service.lower() for service in allocations(1) if service.name in names}


@pytest.mark.parametrize("region", [1, 2, 3])
def test_images_of_a_high_side_fm_set_meet_navigation_and_then_voice(region):
    # From the allocations of the Netherlands frequency plan 2014 (read) and the equation: image 108.9-129.4;
    # navigation while tuned to 87.5-96.575, voice above; exact.
    plan = fm()
    row = ranged(plan, "image")
    assert (row["low_hz"], row["high_hz"]) == all_mhz("108.9", "129.4")
    for dial, service in (
        ("87.5", "aeronautical radionavigation"),
        ("96.574999", "aeronautical radionavigation"),
        ("96.575001", "aeronautical mobile"),
        ("108", "aeronautical mobile"),
    ):
        (lives,) = services_in(image(plan, mhz(dial)), image(plan, mhz(dial)), region=region)
        assert service in lives.service.lower()
    assert image(plan, mhz("96.575")) == mhz("117.975")
    assert all_mhz("108", "137") == AERONAUTICAL_HZ


def test_whistles_of_a_medium_wave_set():
    # Common practice, no source; exact from the equation: IF 455 kHz whistles on 910 and 1365 kHz.
    spots = [
        (row["k"], row["dial_hz"], row["beat_rate"]) for row in birdies(medium_wave(455_000), "if-harmonic")
    ]
    assert spots == [(2, 910_000, 2), (3, 1_365_000, 3)]


# --- worked by algebra and checked on sampled waveforms: fT 98.00, fI 10.70, high side, fL 108.70; exact ---------

COLUMN = [
    # mechanism, m, n, e, fX, tuning slope, beat rate, level law
    ("image", 1, 1, -1, "119.40", -1, 2, 1),
    ("if-breakthrough", 1, 0, -1, "10.70", 0, 1, 1),
    ("if-breakthrough", 2, 0, -1, "5.35", 0, 1, 2),
    ("half-if", 2, 2, 1, "103.35", 2, 1, 2),
    ("half-if", 2, 2, -1, "114.05", -2, 3, 2),
    ("fractional-if", 3, 3, 1, "105.13", 3, 2, 3),
    ("fractional-if", 3, 3, -1, "112.27", -3, 4, 3),
    ("oscillator-harmonic", 1, 2, 1, "206.7", 2, 1, 1),
    ("oscillator-harmonic", 1, 2, -1, "228.1", -2, 3, 1),
    ("signal-harmonic", 2, 1, 1, "49.00", 1, 0, 2),
    ("signal-harmonic", 2, 1, -1, "59.70", -1, 2, 2),
    ("harmonic-mixing", 3, 2, 1, "68.9", 2, 1, 3),
    ("harmonic-mixing", 3, 2, -1, "76.03", -2, 3, 3),
]


@pytest.mark.parametrize(("mechanism", "m", "n", "e", "expected", "slope", "rate", "law"), COLUMN)
def test_a_high_side_fm_set_at_98(mechanism, m, n, e, expected, slope, rate, law):
    row = response(fm(), mhz("98"), m, n, e)
    assert row["mechanism"] == mechanism
    # The column is printed to 10 kHz; in hundredths of a megahertz it is the nearest whole number.
    assert round(row["response_hz"] / 10_000) == mhz(expected) // 10_000
    assert abs(row["response_hz"] - mhz(expected)) < 5_000
    assert (row["tuning_slope"], row["beat_rate"], row["level_law"]) == (slope, rate, law)


@pytest.mark.parametrize(
    ("intermediate", "expected"), [("10.7", ("96.3", "107")), ("10.67", ("96.03", "106.7"))]
)
def test_if_harmonics_move_with_the_real_if(intermediate, expected):
    rows = birdies(fm(intermediate), "if-harmonic")
    assert tuple(row["dial_hz"] for row in rows) == all_mhz(*expected)
    assert [(row["k"], row["beat_rate"], row["level_law"]) for row in rows] == [(9, 9, 0), (10, 10, 0)]


@pytest.mark.parametrize(("side", "m", "n", "e", "order"), [("high", 9, 8, -1, 17), ("low", 7, 8, 1, 15)])
def test_self_mixing_in_the_fm_band_begins_at_96_3(side, m, n, e, order):
    rows = birdies(fm(side=side, orders=(12, 12)), "self-mixing")
    first = min(rows, key=lambda row: row["m"] + abs(row["n"]))
    assert (first["m"], first["n"], first["e"], first["dial_hz"]) == (m, n, e, mhz("96.3"))
    assert first["m"] + first["n"] == order
    assert first["beat_rate"] == 9  # as that of the ninth IF harmonic; the level law tells them apart
    assert first["level_law"] == m


@pytest.mark.parametrize(("m", "n", "e", "spot_hz", "rate"), [(4, 2, -1, 682_500, 3), (5, 3, -1, 910_000, 4)])
def test_self_mixing_of_a_medium_wave_set(m, n, e, spot_hz, rate):
    rows = {(row["m"], row["n"], row["e"]): row for row in birdies(medium_wave(455_000), "self-mixing")}
    row = rows[m, n, e]
    assert (row["dial_hz"], row["beat_rate"], row["level_law"]) == (spot_hz, rate, m)


def test_the_fan_of_a_strong_station_closes_in_on_the_oscillator():
    station = StationList.from_frequencies([mhz("101.2")], ["Harbour"])
    plan = fm()
    rows = [row for row in survey(plan, station).ghosts.rows() if row["m"] == row["n"]]
    spots = {(row["m"], row["e"]): round(row["dial_hz"] / 10_000) for row in rows}
    named = {(2, 1): 9585, (3, 1): 9407, (4, 1): 9318, (5, 1): 9264, (5, -1): 8836, (4, -1): 8782}
    assert named.items() <= spots.items()
    (dead,) = [
        row for row in survey(plan, station).ghosts.rows() if row["mechanism"] == "oscillator-on-station"
    ]
    assert dead["dial_hz"] == mhz("90.5")
    (line,) = [row for row in survey(plan, station).check_list.rows() if row["stations"] == ("Harbour",)]
    assert line["kind"] == "dial"
    assert line["low_hz"] < mhz("90.5") < line["high_hz"] == mhz("95.85")


@pytest.mark.parametrize(("side", "expected"), [("high", "95.85"), ("low", "106.55")])
def test_the_direction_of_a_half_if_ghost_names_the_oscillator_side(side, expected):
    station = StationList.from_frequencies([mhz("101.2")])
    rows = survey(fm(side=side), station).ghosts.rows()
    assert mhz(expected) in [row["dial_hz"] for row in rows if row["mechanism"] == "half-if"]


def test_half_if_is_not_half_the_dial():
    # A wrong value in circulation: "half-IF is where 2 x RF = LO".  Half the dial is a signal harmonic, m = 2.
    dial_hz, plan = mhz("98"), fm()
    half = [row for row in channel(plan, dial_hz).responses.rows() if row["response_hz"] == dial_hz // 2]
    assert [(row["mechanism"], row["m"], row["n"]) for row in half] == [("signal-harmonic", 2, 1)]
    names = {row["response_hz"]: row["mechanism"] for row in channel(plan, dial_hz).responses.rows()}
    assert names[mhz("103.35")] == names[mhz("114.05")] == "half-if"


@pytest.mark.parametrize("dial", ["1.6", "12.345678", "30"])
def test_an_up_converting_set(dial):
    # fL = fI - fT falls as the dial rises; the wanted (1, -1, -1) is not listed, the image (1, 1, -1) is 2 fI - fT.
    plan, dial_hz = plan_of(*all_mhz("1.6", "30"), mhz("45"), "sum"), mhz(dial)
    assert channel(plan, dial_hz).heading["oscillator_hz"] == mhz("45") - dial_hz
    assert response(plan, dial_hz, 1, -1, -1) is None
    row = response(plan, dial_hz, 1, 1, -1)
    assert (row["mechanism"], row["response_hz"]) == ("image", 2 * mhz("45") - dial_hz)
    assert (row["tuning_slope"], row["beat_rate"]) == (-1, 2)


# --- traps --------------------------------------------------------------------------------------


def test_floats_in_megahertz_miss_41_of_206_channels_and_the_engine_none():
    tenths = range(875, 1081)
    missed = [tenth for tenth in tenths if tenth / 10 + 10.7 != (tenth + 107) / 10]
    assert (len(missed), len(tenths)) == (41, 206)
    plan = fm()
    for tenth in tenths:
        assert channel(plan, tenth * 100_000).heading["oscillator_hz"] == (tenth + 107) * 100_000


@pytest.mark.parametrize(
    ("intermediate_hz", "part"),
    [
        (10_249_000, (87_500_000, 87_502_000)),
        (10_250_000, (87_500_000, 87_500_000)),  # the very edges of the band meet
        (10_250_001, (None, None)),
        (10_700_000, (None, None)),
    ],
)
def test_images_inside_the_fm_band_need_an_if_below_10_25(intermediate_hz, part):
    row = ranged(plan_of(*FM_HZ, intermediate_hz), "image")
    assert (row["dial_low_hz"], row["dial_high_hz"]) == part


# --- side against side, IF against IF: exact from the equation -----------------------------------

COMPARED = [
    # IF, side, oscillator, image, in-band image over this dial, IF harmonics in the band, oscillator in the band,
    # oscillator in 108-137
    (
        "8.3",
        "high",
        ("95.8", "116.3"),
        ("104.1", "124.6"),
        ("87.5", "91.4"),
        ("91.3", "99.6", "107.9"),
        "12.2",
        "8.3",
    ),
    (
        "8.3",
        "low",
        ("79.2", "99.7"),
        ("70.9", "91.4"),
        ("104.1", "108"),
        ("91.3", "99.6", "107.9"),
        "12.2",
        "0",
    ),
    ("10.7", "high", ("98.2", "118.7"), ("108.9", "129.4"), None, ("96.3", "107"), "9.8", "10.7"),
    ("10.7", "low", ("76.8", "97.3"), ("66.1", "86.6"), None, ("96.3", "107"), "9.8", "0"),
    ("21.4", "high", ("108.9", "129.4"), ("130.3", "150.8"), None, ("107",), "0", "20.5"),
    ("21.4", "low", ("66.1", "86.6"), ("44.7", "65.2"), None, ("107",), "0", "0"),
]


def test_the_table_of_three_ifs_on_both_sides():
    rows = list(compare(fm(), [mhz("8.3"), mhz("21.4")]).plans.rows())
    assert len(rows) == len(COMPARED)
    found = {(row["intermediate_hz"], row["oscillator"]): row for row in rows}
    for intermediate, side, own, images, part, harmonics, in_band, aeronautical in COMPARED:
        row = found[mhz(intermediate), side]
        low, high = all_mhz(*own)
        assert (row["oscillator_low_hz"], row["oscillator_high_hz"]) == (low, high)
        assert (row["image_low_hz"], row["image_high_hz"]) == all_mhz(*images)
        assert row["in_band_image_dial"] == (None if part is None else all_mhz(*part))
        assert row["if_harmonics_hz"] == all_mhz(*harmonics)
        assert row["oscillator_in_band_hz"] == mhz(in_band)
        assert row["oscillator_in_aeronautical_hz"] == mhz(aeronautical)
        assert row["oscillator_ratio"] == pytest.approx(high / low, rel=1e-12)
        assert row["capacitance_ratio"] == pytest.approx((high / low) ** 2, rel=1e-12)
