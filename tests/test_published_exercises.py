"""The solvers behind the problems against worked examples of textbooks; the source stands beside each."""

from __future__ import annotations

from fractions import Fraction
from random import Random

import pytest

from freqplan import Band, Conversion, Plan
from freqplan.problems import image, rejection, responses, station_sum
from freqplan.problems.setting import Setting

KHZ, MHZ = 1000, 1_000_000
TENTH_DB = 0.05


def setting(dial_hz, intermediate_hz, side, level=2):
    band = Band(low_hz=dial_hz, high_hz=2 * dial_hz, raster_hz=dial_hz, first_channel_hz=dial_hz)
    conversion = Conversion(intermediate_hz=intermediate_hz, oscillator=side)
    return Setting(Plan(band=band, conversion=(conversion,)), level, Random(0), side)


def right(problem):
    return [part.right[0] for part in problem.parts]


STANLEY_5_12 = "Stanley & Jeffords, Electronic Communications, ex. 5.12"
STANLEY_5_10 = "Stanley & Jeffords, Electronic Communications, ex. 5.10 and 5.11"
RODDY = "Roddy & Coolen, Electronic Communications, ex. 7.3.1"


@pytest.mark.parametrize(
    ("dial_hz", "intermediate_hz", "side", "oscillator_hz", "image_hz", "source"),
    [
        (88 * MHZ, 10_700_000, "high", 98_700_000, 109_400_000, STANLEY_5_12),
        (108 * MHZ, 10_700_000, "high", 118_700_000, 129_400_000, STANLEY_5_12),
        (88 * MHZ, 10_700_000, "low", 77_300_000, 66_600_000, STANLEY_5_12),
        (108 * MHZ, 10_700_000, "low", 97_300_000, 86_600_000, STANLEY_5_12),
        (40 * MHZ, 5 * MHZ, "high", 45 * MHZ, 50 * MHZ, STANLEY_5_10),
        (40 * MHZ, 5 * MHZ, "low", 35 * MHZ, 30 * MHZ, STANLEY_5_10),
        (550 * KHZ, 455 * KHZ, "high", 1005 * KHZ, 1460 * KHZ, RODDY),
        (1600 * KHZ, 455 * KHZ, "high", 2055 * KHZ, 2510 * KHZ, RODDY),
        # Of the two last the book gives the oscillators alone; the images are exact.
        (25 * MHZ, 4_500_000, "high", 29_500_000, 34 * MHZ, "Blake, ex. 6.10, first conversion"),
        (4_500_000, 500_000, "low", 4 * MHZ, 3_500_000, "Blake, ex. 6.10, second conversion"),
    ],
)
def test_oscillator_and_image(dial_hz, intermediate_hz, side, oscillator_hz, image_hz, source):
    assert right(image.posed(setting(dial_hz, intermediate_hz, side), dial_hz)) == [oscillator_hz, image_hz]


KENNEDY = "Kennedy & Davis, Electronic Communication Systems"


@pytest.mark.parametrize(
    ("dial_hz", "intermediate_hz", "q", "image_hz", "rejection_db", "source"),
    [
        # The books of the first two give the ratio of voltages: 138.6 and 7.22.
        (1000 * KHZ, 455 * KHZ, 100, 1910 * KHZ, 42.835, f"{KENNEDY}, ex. 7.1a"),
        (25 * MHZ, 455 * KHZ, 100, 25_910_000, 17.17, f"{KENNEDY}, ex. 7.1b"),
        (590 * KHZ, 455 * KHZ, 40, 1500 * KHZ, 38.687, "Blake, Electronic Communication Systems, ex. 6.5"),
        (1000 * KHZ, 465 * KHZ, 50, 1930 * KHZ, 36.98, "Roddy & Coolen, ex. 7.6.1"),
    ],
)
def test_rejection_of_the_image(dial_hz, intermediate_hz, q, image_hz, rejection_db, source):
    assert rejection.rejection_db(Fraction(image_hz, dial_hz), q) == pytest.approx(rejection_db, abs=0.01)
    solved = rejection.posed(setting(dial_hz, intermediate_hz, "high"), dial_hz, intermediate_hz, q, 1)
    found, reckoned = right(solved)
    assert found == image_hz
    assert float(reckoned) == pytest.approx(rejection_db, abs=TENTH_DB)


def test_a_second_circuit_or_another_if_reaches_the_same_rejection():
    # Kennedy & Davis, ex. 7.2: at 25 MHz a second circuit of Q 268, or an IF of 11.375 MHz (printed 11.4).
    wanted = rejection.rejection_db(Fraction(1910, 1000), 100)
    close = Fraction(25_910_000, 25 * MHZ)
    two = rejection.rejection_db(close, 100) + rejection.rejection_db(close, 268)
    assert two == pytest.approx(wanted, abs=TENTH_DB)
    far = Fraction(25 * MHZ + 2 * 11_375_000, 25 * MHZ)
    assert rejection.rejection_db(far, 100) == pytest.approx(wanted, abs=0.01)


def test_the_factor_two_left_out_is_among_the_wrong_answers():
    # 98.1 MHz, IF 10.7 MHz, Q 50: 25.97 dB; without the factor 2 it gives 20.79 dB.
    solved = rejection.posed(setting(98_100_000, 10_700_000, "high"), 98_100_000, 10_700_000, 50, 1)
    part = solved.parts[-1]
    assert float(part.right[0]) == pytest.approx(25.97, abs=0.005)
    (wrong,) = [one for one in part.wrong if one.method == "no-factor-two"]
    assert float(wrong.answer) == pytest.approx(20.79, abs=0.005)


def test_responses_up_to_second_order():
    # Blake, ex. 6.6 (worked out again): tuned to 10, IF 1.8, oscillator above; 10.0 is the wanted station.
    solved = responses.posed(setting(10 * MHZ, 1_800_000, "high"), 10 * MHZ, 1_800_000, (2, 2))
    tenths = sorted(hz / (MHZ // 10) for hz in solved.parts[-1].right[0])
    assert tenths == [50, 68, 109, 127, 136, 218, 254]


def test_third_order_products_of_two_stations():
    # A public measurement note: 98.9 and 100.7 give 97.1 and 102.5; with the oscillator on 111.4, 98.9 arrives at 12.5.
    chosen = setting(87_500_000, 10_700_000, "high")
    solved = station_sum.posed_both(chosen, 98_900_000, 100_700_000, 10)
    assert solved.parts[0].right[0] == (97_100_000, 102_500_000)
    assert solved.parts[1].right[0] == 30
    assert image.real_if_part(chosen, 98_900_000, 111_400_000).right[0] == 12_500_000
