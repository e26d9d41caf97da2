"""What is wrong with a plan: every fault at once, each at its key and with a remedy."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from plantables import faults_of, file_faults, tables

from freqplan.errors import PlanError
from freqplan.plan import Band, FrontEnd, Plan
from freqplan.plan_faults import spoken_of


def test_python_values_are_refused_with_their_attribute_names():
    faults = faults_of(lambda: Band(low_hz=87.5, hgh_hz=108_000_000, raster_hz="100 kHz", deviation_hz=-1))
    assert list(faults) == ["low_hz", "raster_hz", "deviation_hz", "hgh_hz"]
    assert faults["hgh_hz"].hint == "write high_hz"
    assert list(faults_of(lambda: Band(low_hz=True, high_hz=301 * 10**9))) == ["low_hz", "high_hz"]
    assert "conversion" in faults_of(lambda: Plan(band=Band(low_hz=1, high_hz=2), conversion=()))


def test_short_keys_are_for_files_and_attribute_names_for_python():
    assert "low" in faults_of(lambda: Band(low=87_500_000, high_hz=108_000_000))
    found = file_faults(tables(band={"low_hz": "87.5 MHz", "high": "108 MHz"}))
    assert list(found) == ["band.low_hz"]
    assert found["band.low_hz"].hint == "write low"


def test_cross_checks_are_made_although_another_field_cannot_be_read():
    found = file_faults(
        {
            "band": {"low": "108 MHz", "high": "87.5 MHz", "raster": "100"},
            "conversion": [{"intermediate": "0 MHz", "tolerance": "1 mhz"}],
            "orders": {"signal": 26},
            "front_end": {"circuits_before_mixer": 2},
        }
    )
    assert set(found) == {
        "band.raster",
        "conversion[0].tolerance",
        "orders.signal",
        "band.low",
        "conversion[0].intermediate",
        "front_end.loaded_q",
    }
    assert "upside down" in found["band.low"].what
    assert found["band.low"].found == '"108 MHz"'


@pytest.mark.parametrize(
    ("changes", "key", "what"),
    [
        ({"band": {"low": "0 Hz", "high": "108 MHz"}}, "band.low", "zero"),
        ({"band": {"low": "100 MHz", "high": "100 MHz"}}, "band.low", "no width"),
        ({"band": {"low": "87.5 MHz", "high": "108 MHz", "raster": "0 Hz"}}, "band.raster", "zero"),
        ({"band": {"low": "87.5 MHz", "high": "108 MHz", "raster": "21 MHz"}}, "band.raster", "wider"),
        ({"band": {"low": "500 kHz", "high": "1.6 MHz", "deviation": "5 kHz"}}, "band.deviation", "AM"),
        ({"band": {"low": "200 GHz", "high": "300 GHz"}}, "conversion[0].intermediate", "300 GHz"),
        ({"conversion": [{"intermediate": "0 kHz"}]}, "conversion[0].intermediate", "zero"),
        ({"conversion": [{"intermediate": "-10.7 MHz"}]}, "conversion[0].intermediate", "negative"),
        ({"conversion": [{"intermediate": "301 GHz"}]}, "conversion[0].intermediate", "above 300 GHz"),
        (
            {"conversion": [{"intermediate": "455 kHz", "tolerance": "455 kHz"}]},
            "conversion[0].tolerance",
            "as large as the IF",
        ),
        (
            {"conversion": [{"intermediate": "10.7 MHz", "fixed_oscillator": "100 MHz"}]},
            "conversion[0].fixed_oscillator",
            "cannot be fixed",
        ),
        (
            {"conversion": [{"intermediate": "87.5 MHz", "oscillator": "low"}]},
            "conversion[0].oscillator",
            "zero or negative",
        ),
        (
            {"conversion": [{"intermediate": "108 MHz", "oscillator": "sum"}]},
            "conversion[0].oscillator",
            "zero or negative",
        ),
        (
            {"conversion": [{"intermediate": "10.7 MHz"}, {"intermediate": "10.7 MHz", "oscillator": "low"}]},
            "conversion[1].oscillator",
            "zero or negative",
        ),
        (
            {
                "conversion": [
                    {"intermediate": "10.7 MHz"},
                    {"intermediate": "455 kHz", "fixed_oscillator": "10.240 MHz"},
                ]
            },
            "conversion[1].fixed_oscillator",
            "does not take",
        ),
        ({"if_filter": {"bandwidth": "0 kHz"}}, "if_filter.bandwidth", "zero"),
        ({"clock": [{"name": "display", "frequency": "0 MHz"}]}, "clock[0].frequency", "zero"),
        ({"orders": {"if_harmonic": 101}}, "orders.if_harmonic", "above 100"),
        ({"orders": {"oscillator": 5.0}}, "orders.oscillator", "not a whole number"),
        ({"orders": {"oscillator": True}}, "orders.oscillator", "not a whole number"),
        ({"front_end": {"loaded_q": 45}}, "front_end.loaded_q", "without a tuned circuit"),
        ({"front_end": {"circuits_before_mixer": 1, "loaded_q": 0}}, "front_end.loaded_q", "not above 0"),
        ({"front_end": {"circuits_before_mixer": 1, "loaded_q": "45"}}, "front_end.loaded_q", "not a number"),
        ({"front_end": {"circuits_before_mixer": -1}}, "front_end.circuits_before_mixer", "below 0"),
        ({"front_end": {"floor": 80}}, "front_end.floor", "unit missing"),
        ({"conversion": [{"intermediate": "10.7 MHz"}] * 2_000}, "conversion", "too many values"),
        (
            {"mixer": {"kind": "polynomial", "oscillator_drive": 1, "coefficients": [1] * 52}},
            "mixer.coefficients",
            "too many values",
        ),
        (
            {
                "mixer": {
                    "kind": "measured",
                    "reference": "-30 dBm",
                    "suppression": [{"m": 2, "n": 2, "db": -55}],
                }
            },
            "mixer.suppression[0]",
            "55 dB stronger",
        ),
        ({"mixer": {"kind": "measured", "reference": "70 dBuV"}}, "mixer.reference", 'unit "dBuV"'),
        ({"mixer": {"kind": "measured", "oscillator_drive": 1}}, "mixer.oscillator_drive", "not used by"),
        ({"mixer": {"kind": "exponential", "unbalance": 0}}, "mixer.unbalance", "not used by"),
        ({"front_end": {"impedance": 75}}, "front_end.impedance", "unit missing"),
        ({"front_end": {"impedance": "0 ohm"}}, "front_end.impedance", "not above 0"),
        ({"front_end": {"wanted": "54"}}, "front_end.wanted", "unit missing"),
        ({"front_end": {"sensitivity": "-100 dBm"}}, "front_end.sensitivity", 'unit "dBm"'),
        (
            {"front_end": {"response_dial": "98 MHz"}},
            "front_end.response_dial",
            "without a measured response",
        ),
        ({"front_end": {"response": "a.csv", "response_dial": "0 MHz"}}, "front_end.response_dial", "zero"),
        ({"front_end": {"response": ""}}, "front_end.response", "no file name"),
        (
            {"if_filter": {"bandwidth": "180 kHz", "bandwidth_20db": "180 kHz"}},
            "if_filter.bandwidth_20db",
            "no wider",
        ),
        ({"front_end": {"floor": "80 db"}}, "front_end.floor", 'unit "db"'),
        ({"front_end": {"floor": "80,5 dB"}}, "front_end.floor", "decimal comma"),
        ({"front_end": {"detuning": "-90 MHz"}}, "front_end.detuning", "as large as the dial"),
        (
            {"front_end": {"response": "a.csv", "circuits_before_mixer": 1, "loaded_q": 45}},
            "front_end.response",
            "together with tuned circuits",
        ),
        ({"mixer": {"kind": "measurd"}}, "mixer.kind", "not one of the choices"),
        ({"mixer": {"reference": "-30 dB"}}, "mixer.reference", 'unit "dB" where dBm'),
        ({"mixer": {"kind": "switching", "coefficients": [1]}}, "mixer.coefficients", "not used"),
        ({"mixer": {"kind": "polynomial", "coefficients": []}}, "mixer.coefficients", "empty"),
        (
            {"mixer": {"kind": "measured", "suppression": [{"m": 2, "n": 2, "db": 55}]}},
            "mixer.reference",
            "missing",
        ),
        (
            {"mixer": {"kind": "measured", "suppression": [{"m": 1, "n": 1, "db": 3}]}},
            "mixer.suppression[0]",
            "not 0 dB",
        ),
        (
            {"mixer": {"kind": "measured", "suppression": [{"m": 1, "n": 2, "db": 30}] * 2}},
            "mixer.suppression[1]",
            "second time",
        ),
        ({"stereo": {"deemphasis": "50 ns"}}, "stereo.deemphasis", 'unit "ns"'),
        ({"rf_stage": {"iip2": "nan dBm"}}, "rf_stage.iip2", "not a level"),
        ({"title": 5}, "title", "not text"),
    ],
)
def test_nonsense_is_one_fault_at_its_key(changes, key, what):
    found = file_faults(tables(**changes))
    assert list(found) == [key]
    assert what in found[key].what
    assert found[key].hint


def test_a_raster_no_wider_than_the_band_always_has_a_channel_in_it():
    band = {"low": "101 MHz", "high": "105 MHz", "raster": "4 MHz", "first_channel": "98 MHz"}
    assert Plan.from_file_keys(tables(band=band)).nearest_channel_hz(0) == 102_000_000
    band |= {"first_channel": "300 MHz", "low": "101.001 MHz"}
    assert list(file_faults(tables(band=band))) == ["band.raster"]


@pytest.mark.parametrize(
    ("side", "intermediate", "advice"),
    [("low", "120 MHz", '"sum"'), ("low", "100 MHz", '"high"'), ("sum", "10.7 MHz", '"high" or "low"')],
)
def test_an_impossible_side_comes_with_a_possible_one(side, intermediate, advice):
    found = file_faults(tables(conversion=[{"intermediate": intermediate, "oscillator": side}]))
    assert advice in found["conversion[0].oscillator"].hint


@pytest.mark.parametrize("fixed", ["10.245 MHz", "11.155 MHz"])
def test_a_second_oscillator_may_lie_on_either_side(fixed):
    conversion = [{"intermediate": "10.7 MHz"}, {"intermediate": "455 kHz", "fixed_oscillator": fixed}]
    assert Plan.from_file_keys(tables(conversion=conversion)).conversion[1].oscillator == "unknown"


def test_a_misspelt_key_is_not_also_missing():
    found = file_faults({"bnad": {"low": "87.5 MHz"}, "conversion": [{"intermediat": "10.7 MHz"}]})
    assert {key: fault.hint for key, fault in found.items()} == {
        "bnad": "write band",
        "conversion[0].intermediat": "write intermediate",
    }


def test_a_key_in_the_wrong_table_is_told_where_it_belongs():
    band = {"low": "87.5 MHz", "high": "108 MHz", "bandwidth": "180 kHz", "title": "set"}
    found = file_faults(tables(band=band))
    assert found["band.bandwidth"].hint == "it belongs in [if_filter]"
    assert "at the top" in found["band.title"].hint


@pytest.mark.parametrize("value", [5, "text", [], [1], {"intermediate": "10.7 MHz"}, None, True])
def test_a_conversion_that_is_no_list_of_tables(value):
    found = file_faults(tables(conversion=value))
    assert all("[[conversion]]" in fault.hint for fault in found.values())


def test_numbers_that_no_float_can_hold_are_refused():
    assert "finite" in faults_of(lambda: FrontEnd(loaded_q=10**400))["loaded_q"].what
    assert "finite" in faults_of(lambda: FrontEnd(gain_db=float("nan")))["gain_db"].what


_VALUES = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.text(max_size=8)
    | st.sampled_from(["10.7 MHz", "0 Hz", "low"]),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(st.sampled_from(["low", "high", "intermediate", "m", "x"]), inner, max_size=3)
    ),
    max_leaves=8,
)


@settings(suppress_health_check=[HealthCheck.too_slow])
@given(st.dictionaries(st.sampled_from([*Plan.model_fields, "x"]), _VALUES))
def test_whatever_the_tables_hold_the_answer_is_a_plan_or_a_plan_error(values):
    try:
        told = Plan.from_file_keys(values).sides
    except PlanError as error:
        told = error.faults
    assert told


def test_a_misspelt_key_is_not_missing_by_a_cross_check_either():
    found = file_faults(tables(front_end={"circuits_before_mixer": 1, "loadedq": 45}))
    assert list(found) == ["front_end.loadedq"]


def test_a_key_near_one_here_and_known_elsewhere_is_told_both():
    found = file_faults(
        tables(mixer={"oscillator": 4}, band={"low": "87.5 MHz", "high": "108 MHz", "mixer": 1})
    )
    assert found["mixer.oscillator"].hint == "write oscillator_drive, unless it belongs in [orders]"
    assert found["band.mixer"].hint == "it is a table of its own, [mixer]"
    assert list(spoken_of([found["mixer.oscillator"]])) == ["mixer.oscillator", "mixer.oscillator_drive"]
