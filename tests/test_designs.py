"""Front ends designed: each put back into a plan must do what was asked, and scipy measures its width."""

from __future__ import annotations

import json
import math
import re
from decimal import Decimal

import numpy as np
import pytest
from commandline import call, write_inputs
from hypothesis import given
from hypothesis import strategies as st
from scipy import signal as filters
from strategies import MHZ, plans

from freqplan import StationList
from freqplan.channels import channel
from freqplan.decibel import dbm_of_dbuv
from freqplan.designs import MOST_CIRCUITS, circuits
from freqplan.errors import ModelRangeError
from freqplan.plan import Band, Conversion, FrontEnd, Mixer, Plan, Suppression
from freqplan.surveys import survey

TWENTIETH_DB, HUNDREDTH_DB = 0.05, 0.01
GAIN_DB, HIGHEST_Q_OF_A_PLAN = 20.0, 100_000
NO_HELP_DBM = dbm_of_dbuv(54 + GAIN_DB, 75)
"""The level of the usual wanted station at the mixer, so that S is all that the mixer does."""


def measured(*rows, reference_dbm=-40.0):
    table = tuple(Suppression(m=m, n=n, db=db) for m, n, db in rows)
    return Mixer(kind="measured", reference_dbm=reference_dbm, suppression=table)


BLIND = measured((2, 2, 0), reference_dbm=NO_HELP_DBM)
"""A mixer that takes nothing off the half-IF response: the circuits must do all of it."""

BALANCED, SWITCH = measured((2, 2, 45), (1, 2, 35), (3, 3, 60)), Mixer(kind="switching", unbalance=0.05)
MIXERS = [Mixer(), BLIND, BALANCED, Mixer(kind="exponential", oscillator_drive=4.0), SWITCH]
SETS = [
    ("87.5", "108", "10.7", "high"), ("87.5", "108", "10.7", "low"), ("87.5", "108", "10.7", "unknown"),
    ("0.5265", "1.6065", "0.455", "high"), ("3", "16", "0.465", "unknown"), ("12", "29", "45", "sum"),
    ("118", "137", "10.7", "low"),
]  # fmt: skip


def receiver(low="87.5", high="108", intermediate="10.7", oscillator="high", **more):
    """Return a plan from MHz in text, exact to the hertz."""
    low_hz, high_hz, intermediate_hz = (int(Decimal(text) * MHZ) for text in (low, high, intermediate))
    return Plan(
        band=Band(low_hz=low_hz, high_hz=high_hz, raster_hz=50_000),
        conversion=(Conversion(intermediate_hz=intermediate_hz, oscillator=oscillator),),
        **{"front_end": FrontEnd(gain_db=GAIN_DB)} | more,
    )


def with_circuits(plan, count, loaded_q):
    """Put a design into a plan; an unknown mixer gives way to one that takes nothing off half-IF."""
    blind = {"mixer": BLIND} if plan.mixer.kind in ("unknown", "switching") else {}
    front_end = FrontEnd(circuits_before_mixer=count, loaded_q=loaded_q, floor_db=300, gain_db=GAIN_DB)
    return Plan(**plan.given() | {"front_end": front_end} | blind).with_changes(orders=(3, 3))


def designed(result):
    """Return (count, Q) of each design that a plan can hold and that needs a circuit at all."""
    rows = [row for row in result.designs.rows() if row["loaded_q"]]
    return [(row["circuits"], row["loaded_q"]) for row in rows if row["loaded_q"] <= HIGHEST_Q_OF_A_PLAN]


def rejections_db(plan):
    rows = survey(plan).responses.rows()
    return [row["rejection_db"] for row in rows if row["mechanism"] in ("image", "half-if")]


def by_hand_db(row, count, loaded_q):
    ratio = float(row["response_hz"] / row["dial_hz"])
    return 10 * count * math.log10(1 + (loaded_q * (ratio - 1 / ratio)) ** 2)


# Each design put back


@pytest.mark.parametrize("rejection_db", [20.0, 60.0, 120.0])
@pytest.mark.parametrize("mixer", MIXERS, ids=lambda mixer: mixer.kind)
@pytest.mark.parametrize("ends", SETS, ids="-".join)
def test_a_design_put_back_gives_just_what_was_asked(ends, mixer, rejection_db):
    result = circuits(receiver(*ends, mixer=mixer), rejection_db=rejection_db)
    found = designed(result)
    assert {count for count, _ in found} >= set(range(2, MOST_CIRCUITS + 1))
    for count, loaded_q in found:
        least = min(rejections_db(with_circuits(result.plan, count, loaded_q)))
        assert least == pytest.approx(rejection_db, abs=TWENTIETH_DB)


@given(plans(tolerance=False), st.floats(10, 100), st.sampled_from([Mixer(), BLIND, BALANCED]))
def test_any_design_put_back_does_what_was_asked(plan, rejection_db, mixer):
    own = Plan(**plan.given() | {"mixer": mixer, "front_end": FrontEnd(gain_db=GAIN_DB)})
    for count, loaded_q in designed(circuits(own, rejection_db=rejection_db)):
        assert min(rejections_db(with_circuits(own, count, loaded_q))) > rejection_db - TWENTIETH_DB


@pytest.mark.parametrize("oscillator", ["high", "low", "unknown"])
def test_named_stations_are_kept_down_where_they_come_in(oscillator):
    plan = receiver(oscillator=oscillator, mixer=BALANCED)
    stations = StationList.from_frequencies([MHZ * mhz // 10 for mhz in (1194, 690, 1012, 2000, 950)])
    result = circuits(plan, stations, rejection_db=70.0, against=stations.names)
    wanted = [row for row in result.demands.rows() if row["station"] is not None]
    assert {row["mechanism"] for row in wanted} >= {"image", "half-if", "oscillator-harmonic"}
    seen = 0
    for count, loaded_q in designed(result):
        back = with_circuits(plan, count, loaded_q)
        for row in wanted:
            assert by_hand_db(row, count, loaded_q) + row["mixer_db"] > 70 - TWENTIETH_DB
            here = in_channel(back, stations, row)
            if here["response_hz"] == row["response_hz"]:
                assert here["rejection_db"] > 70 - TWENTIETH_DB
                seen += 1
    assert seen > 20


def in_channel(plan, stations, demand):
    """Return what the channel says of a demand."""
    here = channel(plan, int(demand["dial_hz"]), stations).responses.rows()
    names = ("mechanism", "oscillator", "m", "n", "e")
    (row,) = [row for row in here if all(row[name] == demand[name] for name in names)]
    assert demand["station"] in row["stations"]
    return row


@pytest.mark.parametrize(("station_hz", "dial_hz"), [(119_400_000, 98_000_000), (101_200_000, 95_850_000)])
def test_the_q_that_a_station_asks_for_gives_just_the_rejection(station_hz, dial_hz):
    plan = receiver("95.85", "98", mixer=BLIND)
    stations = StationList.from_frequencies([station_hz], ["Only one"])
    demands = [row for row in circuits(plan, stations).demands.rows() if row["station"] == "Only one"]
    (row,) = [row for row in demands if row["dial_hz"] == dial_hz]
    here = in_channel(with_circuits(plan, 2, row["q_2"]), stations, row)
    assert here["rejection_db"] == pytest.approx(60, abs=HUNDREDTH_DB)


def test_unnamed_stations_count_only_by_image_and_half_if():
    stations = StationList.from_frequencies([119_400_000, 101_200_000, 200_000_000], ["A", "B", "C"])
    rows = list(circuits(receiver(mixer=BALANCED), stations).demands.rows())
    assert {row["station"] for row in rows} == {None, "A", "B"}
    assert {row["mechanism"] for row in rows} == {"image", "half-if"}
    only = circuits(receiver(mixer=BALANCED), stations, against=["B"]).demands.rows()
    assert {row["station"] for row in only} == {None, "B"}


# Published values

SINGLE_PLACE = """\
band = {{low = "{low} kHz", high = "{dial} kHz", raster = "1 kHz", modulation = "am"}}
conversion = [{{intermediate = "{intermediate}", oscillator = "high"}}]
front_end = {{gain = "0 dB"}}
mixer = {{kind = "measured", reference = "-30 dBm", suppression = [{{m = 2, n = 2, db = 250}}]}}
"""
"""A dial that covers the last kilohertz up to one frequency, and a mixer that lets no half-IF response arise."""


@pytest.mark.parametrize(
    ("dial", "intermediate", "alpha", "loaded_q", "within"),
    [
        # Kennedy & Davis, Electronic Communication Systems, example 7.1a (read).
        (1_000, "455 kHz", 138.6, 100, 0.1),
        # Same, example 7.2 (read): a second circuit that brings 7.22 to 138.6; or one circuit and IF 11.375 MHz.
        (25_000, "0.455 MHz", 138.6 / 7.22, 268, 1),
        (25_000, "11.375 MHz", 138.6, 100, 0.1),
    ],
)
def test_kennedy_davis(tmp_path, monkeypatch, dial, intermediate, alpha, loaded_q, within):
    monkeypatch.chdir(tmp_path)
    text = SINGLE_PLACE.format(low=dial - 1, dial=dial, intermediate=intermediate)
    (tmp_path / "one.toml").write_text(text, encoding="utf-8")
    reject = f"{20 * math.log10(alpha):.4f} dB"
    answer = call("circuits", "one.toml", "--reject", reject, "--format", "json")
    assert (answer.code, answer.err) == (0, "")
    assert json.loads(answer.out)["designs"][0]["loaded_q"] == pytest.approx(loaded_q, abs=within)


# What a design means for the wanted station: scipy as judge


def cascade_db(offset_hz, tuned_hz, count, loaded_q):
    """Loss of a cascade of resonators, w0/Q s over s^2 + w0/Q s + w0^2, at a distance from where they stand."""
    _, one = filters.freqs([1 / loaded_q, 0], [1, 1 / loaded_q, 1], worN=[1 + offset_hz / tuned_hz])
    return -20 * count * math.log10(abs(one[0]))


@pytest.mark.parametrize("plan", [receiver(), receiver("0.5265", "1.6065", "0.455")], ids=["FM", "AM"])
@pytest.mark.parametrize("rejection_db", [30.0, 60.0])
def test_scipy_finds_the_same_bandwidth_and_edge_loss(plan, rejection_db):
    for row in circuits(plan, rejection_db=rejection_db).designs.rows():
        own = (plan.band.low_hz, row["circuits"], row["loaded_q"])
        half_hz, filter_hz = float(row["bandwidth_hz"]) / 2, plan.if_filter.bandwidth_hz
        middle_hz = math.hypot(half_hz, plan.band.low_hz) - plan.band.low_hz
        for end_hz in (middle_hz + half_hz, middle_hz - half_hz):
            assert cascade_db(end_hz, *own) == pytest.approx(10 * math.log10(2), abs=TWENTIETH_DB)
        assert row["edge_loss_db"] == pytest.approx(cascade_db(filter_hz / 2, *own), abs=HUNDREDTH_DB)
        concerns = "; ".join(row["concerns"])
        assert ("narrower than the IF filter" in concerns) == (2 * half_hz < filter_hz)
        assert ("no tunable circuit" in concerns) == (row["loaded_q"] > 150)


@pytest.mark.parametrize(("ends", "other"), [(("87.5", "108", "10.7"), "low"), (("12", "29", "45"), "sum")])
def test_with_the_side_unknown_a_design_serves_both(ends, other):
    result = circuits(receiver(*ends, "unknown"))
    assert {row["oscillator"] for row in result.demands.rows()} == {"high", other}
    each = [circuits(receiver(*ends, side)).designs.array("loaded_q") for side in ("high", other)]
    assert result.designs.array("loaded_q").tolist() == np.max(each, axis=0).tolist()


@pytest.mark.parametrize(("intermediate", "spot_hz"), [("35", 26_250_000), ("35.123", 26_342_250)])
def test_where_half_if_falls_on_the_dial_setting_itself_no_circuit_helps(intermediate, spot_hz):
    # Sum converter: fX = fL + fI/2 = 3/2 fI - fT, which is fT where the dial stands on three quarters of the IF.
    result = circuits(receiver("20", "30", intermediate, "sum"))
    (half,) = [row for row in result.demands.rows() if row["mechanism"] == "half-if"]
    assert half["dial_hz"] == half["response_hz"] == spot_hz
    assert (half["q_1"], half["circuits"]) == (None, None)
    # It is left out of the designs, and that is said; these are then for the image alone.
    assert any("no circuit tells the two apart" in text for text in result.assumptions)
    (image,) = [row for row in result.demands.rows() if row["mechanism"] == "image"]
    assert next(result.designs.rows())["loaded_q"] == image["q_1"]


def test_a_mixer_that_does_it_alone_leaves_nothing_to_the_circuits():
    # Low side with fT < 2 fI: there is no image, and half-IF only as far as the mixer lets it.
    plan = receiver("31", "40", "30", "low", mixer=measured((2, 2, 250)))
    rows = list(circuits(plan).demands.rows())
    assert {row["mechanism"] for row in rows} == {"half-if"}
    assert {row[name] for row in rows for name in ("needed_db", "q_1", "q_2", "q_3", "q_4")} == {0.0}
    assert min(row["mixer_db"] for row in rows) > 60
    for row in circuits(plan).designs.rows():
        assert (row["loaded_q"], row["bandwidth_hz"], row["edge_loss_db"]) == (0.0, None, 0.0)
        assert row["concerns"] == ()
    assert min(rejections_db(plan)) > 60


@pytest.mark.parametrize("front_end", [None, FrontEnd(), FrontEnd(gain_db=GAIN_DB)])
def test_an_unknown_mixer_leaves_all_to_the_circuits_and_says_so(front_end):
    result = circuits(receiver(front_end=front_end), rejection_db=55.0)
    for row in result.demands.rows():
        assert row["mixer_db"] == (0.0 if row["mechanism"] == "image" else None)
        assert row["needed_db"] == 55.0
        for count in range(1, 5):
            assert by_hand_db(row, count, row[f"q_{count}"]) == pytest.approx(55, abs=HUNDREDTH_DB)
    assert "the circuits must do all of it" in " ".join(result.assumptions)


@pytest.mark.parametrize("wanted_dbuv", [54.0, 70.0])
def test_a_known_mixer_leaves_the_rest_to_the_circuits(wanted_dbuv):
    result = circuits(receiver(mixer=BALANCED, front_end=FrontEnd(gain_db=GAIN_DB, wanted_dbuv=wanted_dbuv)))
    # (S + P0 - Pw - G)/2, all in dB(uV); -40 dBm in 75 ohm is 68.75 dB(uV).
    helped = [row["mixer_db"] for row in result.demands.rows() if row["mechanism"] == "half-if"]
    assert helped == pytest.approx([(45 + 68.75 - wanted_dbuv - GAIN_DB) / 2] * 2, abs=HUNDREDTH_DB)
    assert "the circuits must do all of it" not in " ".join(result.assumptions)


def test_a_named_station_on_the_if_asks_for_circuits_too():
    # It comes in at every dial setting, through what the two halves of a switching mixer differ by.
    plan = receiver(mixer=SWITCH)
    result = circuits(plan, StationList.from_frequencies([10_700_000], ["On the IF"]), against=["On the IF"])
    (row,) = [row for row in result.demands.rows() if row["station"] == "On the IF"]
    assert (row["mechanism"], row["dial_hz"]) == ("if-breakthrough", plan.band.low_hz)


@pytest.mark.parametrize("loaded_q", [10.0, 45.0, 120.0, 3000.0])
def test_the_count_for_the_q_that_the_set_has(loaded_q):
    own = FrontEnd(circuits_before_mixer=1, loaded_q=loaded_q, floor_db=50.0)
    result = circuits(receiver(front_end=own))
    for row in result.demands.rows():
        enough = [n for n in range(1, MOST_CIRCUITS + 1) if by_hand_db(row, n, loaded_q) >= row["needed_db"]]
        assert row["circuits"] == (enough[0] if enough else None)
    assert "limits this set to 50 dB" in " ".join(result.assumptions)


@pytest.mark.parametrize("rejection_db", [0.0, -1.0, 201.0, math.nan, math.inf])
def test_a_rejection_out_of_range(rejection_db):
    with pytest.raises(ModelRangeError, match="give more than 0 and at most 200 dB"):
        circuits(receiver(), rejection_db=rejection_db)


@pytest.mark.parametrize("stations", [None, StationList.from_frequencies([90_000_000], ["Tower"])])
def test_a_name_that_is_not_in_the_list(stations):
    with pytest.raises(ModelRangeError, match='no listed station is called "tower"'):
        circuits(receiver(), stations, against=["tower"])


@pytest.mark.parametrize("plan", ["fm.toml", "am.toml", "unknown.toml", "sum.toml"])
@pytest.mark.parametrize("form", ["table", "markdown", "csv", "json", "html", "latex"])
def test_every_format_gives_an_answer(tmp_path, monkeypatch, plan, form):
    monkeypatch.chdir(tmp_path)
    write_inputs(tmp_path)
    # Half-IF falls on the dial setting itself: what is infinite must not spoil an answer.
    text = 'band = {low = "20 MHz", high = "30 MHz"}\nconversion = [{intermediate = "35 MHz", oscillator = "sum"}]'
    (tmp_path / "sum.toml").write_text(text, encoding="utf-8")
    answer = call("circuits", plan, "--stations", "town.csv", "--format", form)
    assert (answer.code, answer.err) == (0, "")
    assert not re.search(r"\binf\b", answer.out)
    assert form != "json" or json.loads(answer.out, parse_constant=pytest.fail)["command"] == "circuits"
