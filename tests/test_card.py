"""What the card may not say."""

import re

import pytest

from freqplan import Band, Conversion, Plan, survey
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
