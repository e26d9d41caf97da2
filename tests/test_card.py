"""What the card may not say."""

import re
from fractions import Fraction

import pytest

from freqplan import Band, Conversion, IfFilter, Plan, StationList, survey
from freqplan.hertz import parse_hertz
from freqplan.services import services_in

BANDS = [
    ("87.5 MHz", "108 MHz", "10.7 MHz"),
    ("118 MHz", "137 MHz", "10.7 MHz"),
    ("76 MHz", "95 MHz", "10.7 MHz"),
    ("526.5 kHz", "1606.5 kHz", "455 kHz"),
    ("5.9 MHz", "18 MHz", "455 kHz"),
]


@pytest.mark.parametrize(("low", "high", "intermediate"), BANDS)
def test_no_generator_is_asked_for_where_lives_depend_on_the_frequency(low, high, intermediate):
    plan = Plan(
        band=Band(low_hz=parse_hertz(low), high_hz=parse_hertz(high)),
        conversion=(Conversion(intermediate_hz=parse_hertz(intermediate)),),
    )
    asked = [
        parse_hertz(f"{match[1]} {plan.rounding.unit}")
        for row in survey(plan).check_list.rows()
        if (match := re.search(r"generator by cable on ([0-9]+(?:\.[0-9]{1,3})?)", row["what_to_do"]))
    ]
    assert asked
    for hertz in asked:
        assert not any(service.safety for service in services_in(hertz, hertz))


def test_the_image_of_a_high_side_fm_set_is_listened_for():
    plan = Plan(
        band=Band(low_hz=87_500_000, high_hz=108_000_000),
        conversion=(Conversion(intermediate_hz=10_700_000, oscillator="high"),),
    )
    (line,) = [row for row in survey(plan).check_list.rows() if row["mechanism"] == "image"]
    assert line["what_to_do"].startswith("No generator")


FM = Plan(
    band=Band(low_hz=87_500_000, high_hz=108_000_000),
    conversion=(Conversion(intermediate_hz=10_700_000, oscillator="high"),),
)


def dial_lines(stations):
    return [row for row in survey(FM, stations).check_list.rows() if row["kind"] == "dial"]


def test_every_setting_on_the_card_can_be_dialled():
    # 124.15 lies one and a half IFs above 108.10, just off the scale; 98.90 stands on the oscillator at 88.20.
    stations = StationList.from_frequencies([124_150_000, 92_800_000, 98_900_000, 118_800_000])
    lines = dial_lines(stations)
    for row in lines:
        for name in ("frequency_hz", "dial_hz", "low_hz", "high_hz"):
            assert row[name] is None or FM.band.low_hz <= row[name] <= FM.band.high_hz
    (line,) = [row for row in lines if row["mechanism"] == "half-if" and row["stations"] == ("124.15 MHz",)]
    assert line["dial_hz"] == 108_000_000
    assert "108.10 is off the scale, 108.0 the nearest" in line["why"]


def test_stations_on_one_frequency_share_a_line():
    lines = dial_lines(StationList.from_frequencies([93_700_000, 93_700_000], ["Mill", "Moor"]))
    half = [row["stations"] for row in lines if row["mechanism"] == "half-if"]
    assert half == [("Mill", "Moor")]


def test_causes_at_one_spot_share_a_line():
    # The image of 128.40 is received on 107.0, where the 10th harmonic of the IF stands.
    lines = dial_lines(StationList.from_frequencies([128_400_000], ["Tower"]))
    (line,) = [row for row in lines if row["dial_hz"] == 107_000_000]
    assert line["mechanism"] == "if-harmonic"
    assert line["stations"] == ("Tower",)
    assert "also by Tower, image: 128.40 − 117.70 = 10.70" in line["why"]


def test_a_fan_is_one_line_that_names_the_place_of_the_oscillator():
    stations = StationList.from_frequencies([103_400_000], ["Moor"])
    (line,) = [
        row for row in dial_lines(stations) if row["stations"] == ("Moor",) and row["dial_hz"] == 98_050_000
    ]
    assert "oscillator on it at 92.70" in line["why"]
    assert "and 1 more" not in line["why"].split("oscillator on it")[0]


def test_a_whistle_of_a_station_on_itself_is_not_said_to_fall_like_a_ghost():
    # 909 lies 1 kHz beside 2 x 455: on 908 its second harmonic reaches the IF while it is tuned in.
    plan = Plan(
        band=Band(low_hz=526_500, high_hz=1_606_500, first_channel_hz=531_000),
        conversion=(Conversion(intermediate_hz=455_000, oscillator="high"),),
    )
    lines = survey(plan, StationList.from_frequencies([909_000])).check_list.rows()
    (line,) = [row for row in lines if row["mechanism"] == "signal-harmonic" and row["dial_hz"] == 908_000]
    assert line["what_to_do"] == "The station's own channel: a whistle on it, 10 dB softer with a 10 dB pad."


def test_no_generator_is_put_on_the_station_tuned_in():
    plan = Plan(
        band=Band(low_hz=150_000, high_hz=30_000_000),
        conversion=(Conversion(intermediate_hz=45_000_000, oscillator="sum"),),
    )
    half = plan.if_filter.bandwidth_hz / 2
    for row in survey(plan).check_list.rows():
        match = re.search(r"Dial on ([0-9.]+), generator by cable on ([0-9.]+):", row["what_to_do"])
        if match:
            assert abs(float(match[1]) - float(match[2])) * 1000 > half - 1000


def test_a_generator_is_set_finely_enough_for_a_narrow_filter():
    narrow = Plan(
        band=Band(low_hz=144_000_000, high_hz=146_000_000),
        conversion=(Conversion(intermediate_hz=10_700_000, oscillator="low"),),
        if_filter=IfFilter(bandwidth_hz=7_500),
    )
    lines = {(row["mechanism"], row["frequency_hz"]): row for row in survey(narrow).check_list.rows()}
    line = next(
        row for (name, hertz), row in lines.items() if name == "if-breakthrough" and hertz * 3 == 10_700_000
    )
    shown = re.search(r"cable on ([0-9.]+):", line["what_to_do"])[1]
    assert abs(3 * Fraction(shown) * 1_000_000 - 10_700_000) <= Fraction(7_500, 20)


def test_the_pad_moves_no_whistle_of_first_order():
    plan = Plan(
        band=Band(low_hz=5_900_000, high_hz=18_000_000),
        conversion=(Conversion(intermediate_hz=10_700_000, oscillator="high"),),
    )
    (line,) = [row for row in survey(plan).check_list.rows() if row["dial_hz"] == 10_700_000]
    assert "gets 0 dB softer" in line["what_to_do"]
