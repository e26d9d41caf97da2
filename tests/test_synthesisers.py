"""What the reference of a synthesiser leaves: ghosts beside strong stations, and a tone on every station."""

from __future__ import annotations

from fractions import Fraction
from math import log10, pi

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from strategies import plans, station_lists

from freqplan import Band, Conversion, FrontEnd, Plan, StationList, Stereo, Synthesiser, channel, survey
from freqplan.mechanisms import synthesiser
from freqplan.mechanisms.synthesiser import MOST_SIDEBANDS
from freqplan.mixing import tunings

HUNDREDTH_DB = 0.01
TENTH_DB = 0.1


def fm(reference_hz, sidebands_db=None, *, side="high", decoder="filtered", **more):
    return Plan(
        band=Band(low_hz=87_500_000, high_hz=108_000_000),
        conversion=(Conversion(intermediate_hz=10_700_000, oscillator=side),),
        synthesiser=Synthesiser(reference_hz=reference_hz, sidebands_db=sidebands_db),
        stereo=Stereo(decoder=decoder),
        **more,
    )


def rows_of(table, mechanism):
    return [row for row in table.rows() if row["mechanism"] == mechanism]


def ripple(plan):
    return rows_of(survey(plan).birdies, "reference-ripple")


def sidebands(plan, stations):
    return rows_of(survey(plan, stations).ghosts, "synthesiser-sideband")


# --- the tone on every station ------------------------------------------------------------------


@pytest.mark.parametrize(
    ("reference_hz", "decoder", "found"),
    [
        (25_000, "filtered", [(1, 13_000, "stereo"), (2, 12_000, "stereo")]),
        (50_000, "filtered", [(1, 12_000, "stereo")]),
        (25_000, "none", []),
        (12_500, "none", [(1, 12_500, "mono")]),
        (
            100_000,
            "switching",
            [(1, 14_000, "switching"), (2, 10_000, "switching")],
        ),
        (10_000, "filtered", [(1, 10_000, "mono"), (3, 8_000, "stereo"), (4, 2_000, "stereo"), (5, 12_000, "stereo")]),
        (19_000, "filtered", []),  # twice the pilot: zero beat
    ],
)  # fmt: skip
def test_pitch_of_the_reference_in_the_sound(reference_hz, decoder, found):
    rows = ripple(fm(reference_hz, decoder=decoder))
    assert sorted((row["m"], row["pitch_hz"], row["zone"]) for row in rows) == found
    for row in rows:
        assert (row["dial_hz"], row["dial_low_hz"], row["dial_high_hz"]) == (None, 87_500_000, 108_000_000)
        assert (row["name"], row["beat_rate"], row["level_law"]) == ("synthesiser", 0, 0)


def test_loudness_is_that_of_twice_the_voltage_ratio_times_the_reference():
    (first, second) = ripple(fm(25_000, 60.0))
    deviation_hz = 2 * 10 ** (-60 / 20) * 25_000
    assert deviation_hz == pytest.approx(50)
    deemphasis_db = 10 * log10(1 + (2 * pi * 13_000 * 50e-6) ** 2)
    expected = 20 * log10(deviation_hz / 75_000) - deemphasis_db
    assert first["loudness_db"] == pytest.approx(expected, abs=HUNDREDTH_DB)
    assert first["margin_db"] == pytest.approx(-60 - expected, abs=HUNDREDTH_DB)
    assert first["heard"] == "nothing"
    assert (second["loudness_db"], second["margin_db"], second["heard"]) == (None, None, None)


def test_a_poor_loop_is_heard_and_ranks_by_its_margin():
    result = survey(fm(25_000, 40.0))
    (line,) = rows_of(result.check_list, "reference-ripple")
    assert (line["heard"], line["dial_hz"], line["priority"]) == ("whistle", None, 1)
    assert line["margin_db"] == pytest.approx(-4.0, abs=TENTH_DB)
    assert "25 kHz gives 13 kHz in stereo only, mono stays clean, 56 dB below full programme" in line["why"]


def test_a_channel_tells_the_tone_too():
    here = channel(fm(25_000, 60.0), 98_000_000)
    assert [row["pitch_hz"] for row in rows_of(here.birdies, "reference-ripple")] == [13_000, 12_000]
    assert any(
        text.startswith("reference-ripple (synthesiser) on every station: 25 kHz") for text in here.headlines
    )


def test_an_am_set_has_no_such_tone_and_no_level_is_needed():
    plan = Plan(
        band=Band(low_hz=118_000_000, high_hz=137_000_000, modulation="am", raster_hz=25_000),
        conversion=(Conversion(intermediate_hz=10_700_000, oscillator="high"),),
        synthesiser=Synthesiser(reference_hz=5_000),
    )
    assert ripple(plan) == []


@pytest.mark.parametrize("sidebands_db", [40.0, 60.0])
def test_the_deviation_is_that_of_a_sampled_carrier_with_two_sidebands(sidebands_db):
    # An independent judge: a carrier whose phase wags, its spectrum, and what a discriminator makes of it.
    rate_hz, reference_hz, count = 1_000_000, 25_000, 40_000
    swing = 2 * 10 ** (-sidebands_db / 20)
    time = np.arange(count) / rate_hz
    carrier = np.exp(1j * swing * np.sin(2 * pi * reference_hz * time))
    lines = np.abs(np.fft.fft(carrier)) / count
    place = reference_hz * count // rate_hz
    assert 20 * log10(lines[0] / lines[place]) == pytest.approx(sidebands_db, abs=TENTH_DB)
    frequency_hz = np.diff(np.unwrap(np.angle(carrier))) * rate_hz / (2 * pi)
    measured_db = 20 * log10(np.max(np.abs(frequency_hz)) / 75_000)
    row = ripple(fm(reference_hz, sidebands_db))[0]
    told_db = row["loudness_db"] + 10 * log10(1 + (2 * pi * row["pitch_hz"] * 50e-6) ** 2)
    assert told_db == pytest.approx(measured_db, abs=TENTH_DB)


# --- ghosts beside strong stations --------------------------------------------------------------


@pytest.mark.parametrize("side", ["high", "low"])
def test_a_reference_of_100_khz_puts_ghosts_100_khz_beside_a_station(side):
    rows = sidebands(fm(100_000, side=side), StationList.from_frequencies([98_000_000]))
    spots = {row["q"]: row["dial_hz"] for row in rows}
    assert spots == {q: 98_000_000 - 100_000 * q for q in range(-10, 11) if q}
    assert {(row["m"], row["tuning_slope"], row["beat_rate"], row["level_law"]) for row in rows} == {
        (1, 1, 0, 1)
    }


@pytest.mark.parametrize(("reference_hz", "first"), [(25_000, 4), (90_000, 2), (90_001, 1), (30_000, 4)])
def test_sidebands_inside_half_the_filter_are_the_station_itself(reference_hz, first):
    rows = sidebands(fm(reference_hz), StationList.from_frequencies([98_000_000]))
    assert min(abs(row["q"]) for row in rows) == first


def test_the_level_of_the_first_is_the_stations_less_what_it_lies_below():
    stations = StationList.from_frequencies([98_000_000], ["Strong"], level_dbuv=[90.0])
    rows = sidebands(fm(100_000, 60.0, front_end=FrontEnd(gain_db=20.0)), stations)
    told = {row["q"]: (row["level_dbuv"], row["rejection_db"]) for row in rows}
    assert told[1] == told[-1] == (pytest.approx(30), pytest.approx(60))
    assert {told[q] for q in told if abs(q) > 1} == {(None, None)}


def test_one_line_of_the_card_speaks_for_all_of_unknown_level():
    stations = StationList.from_frequencies(
        [90_000_000, 98_000_000, 104_000_000], ["A", "B", "C"], level_dbuv=[50.0, 90.0, 60.0]
    )
    lines = rows_of(survey(fm(100_000), stations).check_list, "synthesiser-sideband")
    assert [line["stations"] for line in lines] == [("B",)]
    assert "likewise beside 2 other listed stations" in lines[0]["why"]
    assert "97.90 + 0.10 = 98.00" in lines[0]["why"]


def test_those_that_are_heard_get_a_line_each():
    stations = StationList.from_frequencies(
        [90_000_000, 98_000_000, 104_000_000], ["A", "B", "C"], level_dbuv=[50.0, 90.0, 95.0]
    )
    plan = fm(900_000, 60.0, front_end=FrontEnd(gain_db=20.0))
    lines = rows_of(survey(plan, stations).check_list, "synthesiser-sideband")
    assert [line["stations"] for line in lines if line["heard"] not in (None, "nothing")] == [("C",), ("B",)]


def test_a_channel_tells_the_station_beside_it():
    stations = StationList.from_frequencies([98_000_000], ["Strong"], level_dbuv=[90.0])
    here = channel(fm(100_000, 60.0, front_end=FrontEnd(gain_db=20.0)), 97_900_000, stations)
    (row,) = (row for row in rows_of(here.responses, "synthesiser-sideband") if row["q"] == 1)
    assert (row["response_hz"], row["stations"], row["beat_hz"]) == (98_000_000, ("Strong",), 0)
    assert row["level_dbuv"] == pytest.approx(30)
    assert row["sum"] == "97.90 + 0.10 = 98.00"


def test_without_stations_no_sideband_is_listed():
    result = survey(fm(100_000, 60.0))
    assert rows_of(result.responses, "synthesiser-sideband") == []
    assert rows_of(channel(fm(100_000), 98_000_000).responses, "synthesiser-sideband") == []


@pytest.mark.parametrize("sidebands_db", [60.0, None])
def test_ten_of_each_kind_weaker_with_their_number_and_only_the_first_is_known(sidebands_db):
    plan = fm(100_000, sidebands_db)
    (tuning,) = tunings(plan)
    beside, tones = synthesiser.sidebands(plan, tuning), synthesiser.ripple(plan, tuning)
    steps = list(range(1, 11))
    assert beside.array("q").tolist() == [*steps, *(-step for step in steps)]
    assert beside.order.tolist() == 2 * [2 + 2 * step for step in steps]
    assert tones.array("m").tolist() == tones.order.tolist() == steps
    assert tones.array("tone_hz").tolist() == [100_000 * step for step in steps]
    assert {*beside.array("name"), *tones.array("name")} == {"synthesiser"}
    first = np.array([np.nan if sidebands_db is None else sidebands_db] + 9 * [np.nan])
    np.testing.assert_array_equal(tones.below_db, first)
    np.testing.assert_array_equal(beside.below_db, np.tile(first, 2))


@given(st.data())
def test_sidebands_are_those_of_nested_loops(data):
    drawn = data.draw(plans(most_order=2))
    reference_hz = data.draw(st.integers(drawn.if_filter.bandwidth_hz // 8, drawn.if_filter.bandwidth_hz))
    plan = Plan(**drawn.given() | {"synthesiser": Synthesiser(reference_hz=reference_hz)})
    stations = data.draw(station_lists(plan))
    half = Fraction(plan.if_filter.bandwidth_hz, 2)
    band, window = plan.band, half + plan.band.deviation_hz
    wanted = set()
    for side in plan.sides:
        for name, hertz in zip(stations.names, stations.frequency_hz.tolist(), strict=True):
            for q in [q for q in range(-MOST_SIDEBANDS, MOST_SIDEBANDS + 1) if abs(q) * reference_hz > half]:
                dial = hertz - q * reference_hz
                if dial + window >= band.low_hz and dial - window <= band.high_hz:
                    wanted.add((side, name, q, dial, dial - window, dial + window))
    keys = ("oscillator", "station", "q", "dial_hz", "dial_low_hz", "dial_high_hz")
    rows = sidebands(plan, stations)
    assert {tuple(row[key] for key in keys) for row in rows} == wanted
    assert len(rows) == len(wanted)
