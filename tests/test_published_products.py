"""Published values, and plain arithmetic on known cases, for sums of two and three stations; sources beside each."""

from __future__ import annotations

from fractions import Fraction

import pytest
from product_model import TAKEN
from test_published import all_mhz, fm, medium_wave, mhz, plan_of

from freqplan import StationList, channel, survey
from freqplan.station_sums import TIMES


def of(plan, *texts, **wanted):
    """Rows of a list of stations, by frequency in MHz, that have some values."""
    stations = StationList.from_frequencies(all_mhz(*texts), texts)
    return [
        row
        for row in survey(plan, stations).products.rows()
        if all(row[name] == value for name, value in wanted.items())
    ]


def test_stations_on_98_9_and_100_7_make_97_1_and_102_5():
    # Public measurement note, 2003-2009 newsgroup archive: third-order at 97.1 and 102.5; read.
    for mechanism in ("third-order", "third-order-outside"):
        rows = of(fm(), "98.9", "100.7", mechanism=mechanism, lands_on="dial")
        assert {(row["stations"], row["dial_hz"]) for row in rows} == {
            (("98.9", "100.7"), mhz("97.1")),
            (("100.7", "98.9"), mhz("102.5")),
        }
        assert {row["kind"] for row in rows} == {"2A-B"}


def test_the_98_9_signal_arrives_at_12_5_with_the_oscillator_on_111_4():
    # The same note: with the oscillator on 111.4 MHz the 98.9 MHz signal arrives at 12.5 MHz; read.  That oscillator
    # belongs to 100.7 with an IF of 10.7, where 98.9 is 1.8 beside, and to 98.9 itself with an IF of 12.5.
    plan = fm("12.5")
    assert channel(plan, mhz("98.9")).heading["oscillator_hz"] == mhz("111.4")
    # The sum on 97.1 then arrives 1.8 beside 12.5, and on the middle with the dial on itself.
    (row,) = of(plan, "98.9", "100.7", mechanism="third-order", lands_on="dial", frequency_hz=mhz("97.1"))
    assert row["dial_hz"] == mhz("97.1")
    here = channel(plan, mhz("98.9"), StationList.from_frequencies(all_mhz("98.9", "100.7")))
    assert len(here.products) == 0


def test_names_of_sums():
    # US Army TM 11-490-5: products of two and three transmitters are named 2A-B and A+B-C; read.
    assert dict(TIMES) == TAKEN
    rows = of(fm(), "98.9", "100.7", "99.8", lands_on="dial", mechanism="third-order")
    sums = {(row["kind"], row["stations"]): row["frequency_hz"] for row in rows}
    # 2B - A is 2A - B with the stations in the other order.
    assert sums["2A-B", ("98.9", "100.7")] == mhz("97.1")
    assert sums["2A-B", ("100.7", "98.9")] == mhz("102.5")
    assert sums["A+B-C", ("98.9", "100.7", "99.8")] == mhz("99.8")
    assert sums["A+B-C", ("98.9", "99.8", "100.7")] == mhz("98")
    assert len(rows) == 6 + 3


def test_two_stations_one_if_apart():
    # 101.9 - 91.2 = 10.7: exact from the definition; 47 CFR 73.207(b) keeps pairs 10.6 and 10.8 apart, read.
    (row,) = of(fm(), "91.2", "101.9", mechanism="if-spaced-pair")
    assert (row["kind"], row["stations"], row["dial_hz"]) == ("A-B", ("101.9", "91.2"), None)
    assert (row["tuning_slope"], row["beat_rate"], row["level_law"], row["lands_on"]) == (0, 1, 2, "if")
    # The IF filter of 180 kHz ends 90 kHz off: 10.6 and 10.8 apart are outside, 10.61 and 10.79 on its edge.
    for texts, count in [
        (("91.2", "101.8"), 0),
        (("91.2", "102"), 0),
        (("91.2", "101.81"), 1),
        (("91.2", "101.99"), 1),
        (("91.2", "101.809999"), 0),
        (("91.2", "101.990001"), 0),
    ]:
        assert len(of(fm(), *texts, mechanism="if-spaced-pair")) == count, texts


def test_twice_100_7_less_103_4():
    # 2 x 100.7 - 103.4 = 98.0: exact.
    (row,) = of(fm(), "100.7", "103.4", lands_on="dial", mechanism="third-order", stations=("100.7", "103.4"))
    assert row["dial_hz"] == row["frequency_hz"] == mhz("98")
    assert (row["tuning_slope"], row["beat_rate"], row["level_law"]) == (1, 0, 3)


@pytest.mark.parametrize("side", ["high", "low"])
def test_half_if_response_of_a_pair(side):
    # A + B = 2 fL - e fI, so that each is beside its own half-IF place by as much as the other, to the other side:
    # exact.  On 98.0, oscillator on 108.7: e = +1 gives 206.7 = 2 x 103.35, e = -1 gives 228.1 = 2 x 114.05.
    sign = 1 if side == "high" else -1
    own = mhz("98") + sign * mhz("10.7")
    for e in (1, -1):
        total = 2 * own - e * mhz("10.7")
        hertz = (total // 2 - 1_300_000, total // 2 + 1_300_000)
        rows = survey(fm(side=side), StationList.from_frequencies(hertz)).products.rows()
        (row,) = [row for row in rows if row["mechanism"] == "pair-half-if" and row["dial_hz"] == mhz("98")]
        assert (row["kind"], row["e"], row["n"], row["frequency_hz"]) == ("A+B", e, 2, total)
        assert (row["tuning_slope"], row["level_law"]) == (2 * e * sign, 2)
        assert row["lands_on"] == "half-if"


def test_a_sum_falls_on_the_image_too():
    # Image of 98.0 on the high side: 119.4 MHz = 2 x 113.55 - 107.7; exact.
    (row,) = of(
        fm(), "113.55", "107.7", lands_on="image", mechanism="third-order", stations=("113.55", "107.7")
    )
    assert (row["dial_hz"], row["frequency_hz"]) == all_mhz("98", "119.4")
    assert (row["tuning_slope"], row["beat_rate"]) == (-1, 2)


def test_sums_of_other_bands_land_on_the_dial():
    # 1.0 + 97.0 = 98.0 and 195.1 - 97.1 = 98.0: second order, exact.
    for texts, kind in ((("1", "97"), "A+B"), (("195.1", "97.1"), "A-B")):
        (row,) = of(fm(), *texts, lands_on="dial", kind=kind, dial_hz=mhz("98"))
        assert (row["mechanism"], row["level_law"], row["tuning_slope"]) == ("second-order", 2, 1)


def test_medium_wave_pairs_455_apart():
    # 1000 - 545 = 455 kHz: exact; on AM the filter of 9 kHz ends 4.5 kHz off.
    for other, count in ((545_000, 1), (549_500, 1), (549_501, 0)):
        stations = StationList.from_frequencies([1_000_000, other])
        rows = survey(medium_wave(455_000), stations).products.rows()
        assert sum(row["mechanism"] == "if-spaced-pair" for row in rows) == count


def test_settings_between_channels_are_exact():
    # 3 fL - X = fI on the high side: fT = (X - 2 fI)/3, with X = 100.000001 + 56.39 a third of a hertz above 45 MHz.
    plan = plan_of(*all_mhz("40", "50"), mhz("10.695"), orders=(1, 3))
    stations = StationList.from_frequencies(all_mhz("100.000001", "56.39"))
    spots = [
        row["dial_hz"]
        for row in survey(plan, stations).products.rows()
        if (row["kind"], row["n"], row["e"]) == ("A+B", 3, 1)
    ]
    assert spots == [mhz("45") + Fraction(1, 3)]
