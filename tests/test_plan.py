"""The plan: defaults, derived values, changes and cautions."""

from __future__ import annotations

import json
import pickle
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from plantables import faults_of, tables

from freqplan import mixing
from freqplan.hertz import HIGHEST_HZ, Rounding
from freqplan.plan import Band, Clock, Conversion, FrontEnd, IfFilter, Mixer, Orders, Plan, Suppression
from freqplan.plan_tables import HIGHEST_IF_HARMONIC, HIGHEST_ORDER

KHZ, MHZ = 1000, 1_000_000


def fm(oscillator="high", intermediate_hz=10_700_000, **more):
    band = more.pop("band", Band(low_hz=87_500_000, high_hz=108_000_000))
    conversion = Conversion(intermediate_hz=intermediate_hz, oscillator=oscillator)
    return Plan(band=band, conversion=(conversion,), **more)


@pytest.mark.parametrize(
    ("low_hz", "raster_hz", "modulation", "deviation_hz", "bandwidth_hz"),
    [
        (1_999_999, 9_000, "am", 0, 9_000),
        (2_000_000, 5_000, "am", 0, 9_000),
        (29_999_999, 5_000, "am", 0, 9_000),
        (30_000_000, 100_000, "fm", 75_000, 180_000),
        (87_500_000, 100_000, "fm", 75_000, 180_000),
    ],
)
def test_defaults_follow_the_band(low_hz, raster_hz, modulation, deviation_hz, bandwidth_hz):
    made = fm("high", 455_000, band=Band(low_hz=low_hz, high_hz=low_hz + 20 * MHZ))
    band = made.band
    assert (band.raster_hz, band.first_channel_hz, band.modulation) == (raster_hz, low_hz, modulation)
    assert (band.deviation_hz, made.if_filter.bandwidth_hz) == (deviation_hz, bandwidth_hz)
    assert (made.orders.signal, made.orders.oscillator, made.orders.if_harmonic) == (5, 5, 12)
    assert (made.stereo.decoder, made.stereo.deemphasis_us) == ("filtered", 50.0)
    assert made.front_end is None
    assert made.rf_stage is None
    assert made.mixer.kind == "unknown"


def test_am_modulation_above_30_mhz_has_the_am_filter_and_no_deviation():
    made = fm(band=Band(low_hz=118 * MHZ, high_hz=137 * MHZ, modulation="am"))
    assert (made.band.deviation_hz, made.if_filter.bandwidth_hz) == (0, 9_000)


def test_each_default_in_force_is_told_and_a_given_value_is_not():
    told = fm().defaults
    assert "raster 100 kHz" in told
    assert "IF filter 180 kHz between the -3 dB points" in told
    assert "orders up to 5 of the signal and 5 of the oscillator" in told
    assert not any("oscillator side" in part for part in told)
    given = fm(
        band=Band(low_hz=87_500_000, high_hz=108_000_000, raster_hz=100_000), orders=Orders(signal=5)
    ).defaults
    assert not any(part.startswith("raster") for part in given)
    assert "orders up to 5 of the oscillator" in given


@pytest.mark.parametrize(
    ("oscillator", "intermediate_hz", "sides"),
    [
        ("high", 10_700_000, ("high",)),
        ("sum", 200 * MHZ, ("sum",)),
        ("unknown", 10_700_000, ("high", "low")),
        ("unknown", 87_499_999, ("high", "low")),
        ("unknown", 87_500_000, ("high",)),
        ("unknown", 100 * MHZ, ("high",)),
        ("unknown", 108_000_000, ("high",)),
        ("unknown", 108_000_001, ("high", "sum")),
    ],
)
def test_sides_are_those_with_a_positive_oscillator_everywhere(oscillator, intermediate_hz, sides):
    made = fm(oscillator, intermediate_hz)
    assert made.sides == sides
    for tuning in mixing.tunings(made):
        assert min(tuning.oscillator_hz(made.band.low_hz), tuning.oscillator_hz(made.band.high_hz)) > 0


@pytest.mark.parametrize(
    ("band", "rounding"),
    [
        ({"low_hz": 526_500, "high_hz": 1_606_500}, Rounding("kHz", 0, 0)),
        ({"low_hz": 87_500_000, "high_hz": 108_000_000}, Rounding("MHz", 1, 2)),
        ({"low_hz": 87_500_000, "high_hz": 108_000_000, "raster_hz": 50_000}, Rounding("MHz", 2, 2)),
        (
            {"low_hz": 87_500_000, "high_hz": 108_000_000, "first_channel_hz": 87_550_000},
            Rounding("MHz", 2, 2),
        ),
        (
            {"low_hz": 118 * MHZ, "high_hz": 137 * MHZ, "raster_hz": 25_000, "modulation": "am"},
            Rounding("MHz", 3, 3),
        ),
    ],
)
def test_rounding_follows_the_raster(band, rounding):
    assert fm("high", 455_000, band=Band(**band)).rounding == rounding


def test_medium_wave_channels_lie_on_the_channel_given_not_on_the_band_edge():
    made = fm("high", 455_000, band=Band(low_hz=526_500, high_hz=1_606_500, first_channel_hz=531_000))
    assert made.nearest_channel_hz(0) == 531_000
    assert made.nearest_channel_hz(10**9) == 1_602_000
    assert made.last_channel_index - made.first_channel_index + 1 == 120  # 531, 540 ... 1602


@given(
    first_channel_hz=st.integers(0, 2_000_000),
    raster_hz=st.integers(1, 300_000),
    asked_hz=st.fractions(0, 3_000_000, max_denominator=7),
)
def test_nearest_channel_is_nearest_of_all_in_the_band(first_channel_hz, raster_hz, asked_hz):
    low_hz, high_hz = 1_000_000, 1_300_000
    made = fm(
        "high",
        455_000,
        band=Band(low_hz=low_hz, high_hz=high_hz, first_channel_hz=first_channel_hz, raster_hz=raster_hz),
    )
    first = low_hz + (first_channel_hz - low_hz) % raster_hz
    edge = max(first, high_hz - (high_hz - first) % raster_hz)
    below = first + (int(asked_hz) - first) // raster_hz * raster_hz
    near = [hz for hz in (first, edge, below, below + raster_hz) if low_hz <= hz <= high_hz]
    best = min(near, key=lambda hz: (abs(hz - asked_hz), -hz))  # half-way goes up
    assert made.nearest_channel_hz(asked_hz) == best
    assert made.band.first_channel_hz + made.first_channel_index * raster_hz == first
    assert made.band.first_channel_hz + made.last_channel_index * raster_hz == edge


def test_half_way_between_channels_goes_up():
    assert fm().nearest_channel_hz(Fraction(99_950_000)) == 100_000_000


def test_changes_are_checked_again_and_are_no_defaults():
    changed = fm("unknown").with_changes(oscillator="low", intermediate_hz=10_670_000, orders=(3, 4))
    assert changed.conversion[0].oscillator == "low"
    assert changed.conversion[0].intermediate_hz == 10_670_000
    assert (changed.orders.signal, changed.orders.oscillator, changed.orders.if_harmonic) == (3, 4, 12)
    assert not any(part.startswith("orders up to") for part in changed.defaults)
    assert "raster 100 kHz" in changed.defaults
    assert fm().with_changes() == fm()


def test_a_change_that_contradicts_the_plan_is_refused_with_its_key():
    assert (
        "zero or negative"
        in faults_of(lambda: fm().with_changes(oscillator="sum"))["conversion[0].oscillator"].what
    )
    faults = faults_of(lambda: fm().with_changes(oscillator="hihg", intermediate_hz=0, orders=(0, 26)))
    assert list(faults) == [
        "conversion[0].oscillator",
        "orders.signal",
        "orders.oscillator",
        "conversion[0].intermediate_hz",
    ]


def test_changing_the_if_below_its_tolerance_is_refused():
    made = Plan.from_file_keys(tables(conversion=[{"intermediate": "10.7 MHz", "tolerance": "1 MHz"}]))
    assert "conversion[0].tolerance_hz" in faults_of(lambda: made.with_changes(intermediate_hz=1_000_000))


def test_to_dict_is_json_with_attribute_names():
    made = fm(clock=(Clock(name="display", frequency_hz=4_000_000),), front_end=FrontEnd(gain_db=20.0))
    told = json.loads(json.dumps(made.to_dict()))
    assert told["band"] == {
        "low_hz": 87_500_000,
        "high_hz": 108_000_000,
        "raster_hz": 100_000,
        "first_channel_hz": 87_500_000,
        "modulation": "fm",
        "deviation_hz": 75_000,
    }
    assert told["conversion"] == [
        {
            "intermediate_hz": 10_700_000,
            "tolerance_hz": 0,
            "oscillator": "high",
            "fixed_oscillator_hz": None,
            "bandwidth_hz": None,
            "bandwidth_20db_hz": None,
        }
    ]
    assert told["clock"] == [{"name": "display", "frequency_hz": 4_000_000}]
    assert told["rf_stage"] is None
    assert told["front_end"]["gain_db"] == 20.0


def test_plans_are_frozen_equal_by_value_hashable_and_can_be_sent_to_a_worker():
    made = fm()
    with pytest.raises(ValueError, match="frozen"):
        made.title = "other"
    assert made == fm()
    assert hash(made) == hash(fm())
    assert pickle.loads(pickle.dumps(made)) == made


def test_lists_and_dicts_do_as_well_as_tuples_and_tables():
    loose = Plan(
        band={"low_hz": 87_500_000, "high_hz": 108_000_000},
        conversion=[{"intermediate_hz": 10_700_000, "oscillator": "high"}],
    )
    assert loose == fm()


def test_an_if_inside_the_band_is_allowed_with_a_caution():
    made = fm("high", 1_000_000, band=Band(low_hz=500_000, high_hz=1_600_000))
    assert "1 MHz lies inside the tuned band" in made.cautions[0]
    assert fm().cautions == ()


def test_a_mixer_kind_without_its_figures_is_allowed_with_a_caution():
    assert any("suppression" in text for text in fm(mixer=Mixer(kind="measured")).cautions)
    figures = Mixer(kind="measured", suppression=(Suppression(m=1, n=2, db=30),))
    assert fm(mixer=figures).cautions == ()


@pytest.mark.parametrize(
    ("plan", "words"),
    [
        (lambda: fm(mixer=Mixer(kind="exponential")), "oscillator_drive"),
        (lambda: fm(mixer=Mixer(kind="polynomial")), "oscillator_drive"),
        (lambda: fm(mixer=Mixer(kind="square-law")), "oscillator_drive"),
        (lambda: fm(mixer=Mixer(kind="polynomial", oscillator_drive=0.5)), "coefficients"),
        (lambda: fm(if_filter=IfFilter(bandwidth_hz=2 * 10_700_000)), "twice the IF"),
    ],
)
def test_other_cautions(plan, words):
    (caution,) = plan().cautions
    assert words in caution


def test_a_front_end_without_floor_or_detuning_says_which_it_took():
    told = fm(front_end=FrontEnd(gain_db=20.0)).defaults
    assert "front end rejects 80 dB at most" in told
    assert "aerial and mixer 75 ohm" in told
    assert "wanted station 54 dB(uV) where none is listed" in told
    assert "front end tuned to the dial setting" in told


def test_an_empty_filter_table_takes_the_default_and_says_so():
    made = Plan.from_file_keys(tables(if_filter={}))
    assert made.if_filter.bandwidth_hz == 180_000
    assert "IF filter 180 kHz between the -3 dB points" in made.defaults


def test_at_the_highest_orders_and_frequencies_every_product_fits_its_array():
    """Numerators are at most order x oscillator + IF; two of them are compared crosswise with orders."""
    highest = max(HIGHEST_ORDER, HIGHEST_IF_HARMONIC)
    numerator = highest * 2 * HIGHEST_HZ + HIGHEST_HZ
    assert numerator * highest < 2**63


def test_skirts_of_the_if_filter_follow_its_bandwidth_unless_given():
    assert IfFilter(bandwidth_hz=180_000).skirts_hz == 320_000
    assert IfFilter(bandwidth_hz=180_000, bandwidth_20db_hz=400_000).skirts_hz == 400_000
