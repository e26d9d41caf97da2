"""Levels and time constants: text with a unit to a number."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from freqplan.decibel import dbm_of_dbuv, dbuv_of_dbm, finite, parse_decibel, parse_microseconds
from freqplan.hertz import QuantityError


@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [
        ("80 dB", "dB", 80.0),
        ("-30dBm", "dBm", -30.0),
        (" +5.25  dB ", "dB", 5.25),
        ("54 dBuV", "dBuV", 54.0),
        ("54 dB(uV)", "dBuV", 54.0),
        ("54 dB(µV)", "dBuV", 54.0),
    ],
)
def test_a_level_with_its_unit(text, unit, value):
    assert parse_decibel(text, unit) == value


@pytest.mark.parametrize("text", ["50 us", "50us", "50 \N{MICRO SIGN}s", "50.0 \N{GREEK SMALL LETTER MU}s"])
def test_a_time_constant_in_each_spelling(text):
    assert parse_microseconds(text) == 50.0


@pytest.mark.parametrize(
    ("text", "what", "hint"),
    [
        ("80", "unit missing", 'write "80 dB"'),
        ("80 db", 'unit "db"', 'write "80 dB"'),
        ("80 dBm", 'unit "dBm"', 'write "80 dB"'),
        ("80,5 dB", "decimal comma", '"80.5 dB"'),
        ("", "not a level", "50 dB"),
        ("loud", "not a level", "50 dB"),
        ("nan dB", "not a level", "50 dB"),
        ("1e3 dB", "not a level", "50 dB"),
        ("\N{ARABIC-INDIC DIGIT THREE} dB", "not a level", "50 dB"),
        ("5" * 50 + " dB", "too long", "50 dB"),
    ],
)
def test_what_is_no_level_is_refused_with_a_remedy(text, what, hint):
    with pytest.raises(QuantityError) as caught:
        parse_decibel(text)
    assert what in caught.value.what
    assert hint in caught.value.hint


@pytest.mark.parametrize("value", [float("nan"), float("inf"), float("-inf")])
def test_only_finite_numbers(value):
    with pytest.raises(QuantityError, match="finite"):
        finite(value)
    assert finite(-3.5) == -3.5


@given(st.decimals(-999, 999, places=2))
def test_every_decimal_number_is_read_as_python_reads_it(value):
    assert parse_decibel(f"{value} dBm", "dBm") == float(value)


# sqrt(1 mW * R): 223.6 mV in 50 ohm, 273.9 mV in 75 ohm; exact, printed to two decimals.
@pytest.mark.parametrize(("impedance_ohm", "dbuv"), [(1, 90.0), (50, 106.99), (75, 108.75), (600, 117.78)])
def test_a_milliwatt_as_a_voltage(impedance_ohm, dbuv):
    assert dbuv_of_dbm(0.0, impedance_ohm) == pytest.approx(dbuv, abs=0.005)


@given(st.floats(-200, 200), st.floats(0.1, 10_000))
def test_power_and_voltage_by_ohms_law_and_back(level_dbm, impedance_ohm):
    watts = 10 ** (level_dbm / 10) / 1000
    microvolts = 1e6 * math.sqrt(watts * impedance_ohm)
    level_dbuv = dbuv_of_dbm(level_dbm, impedance_ohm)
    assert level_dbuv == pytest.approx(20 * math.log10(microvolts), abs=1e-9)
    assert dbm_of_dbuv(level_dbuv, impedance_ohm) == pytest.approx(level_dbm, abs=1e-9)
