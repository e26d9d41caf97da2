"""Plan files: what loads, and where each fault is said to be."""

from __future__ import annotations

import io
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from freqplan.errors import PlanError
from freqplan.planfile import LARGEST_FILE, load_plan

PLAN = """\
[band]
low = "87.5 MHz"
high = "108 MHz"

[[conversion]]
intermediate = "10.7 MHz"
oscillator = "high"
"""

WHOLE_PLAN = """\
title = "Kitchen receiver"
[band]
low = "87.5 MHz"
high = "108 MHz"
raster = "100 kHz"
first_channel = "87.5 MHz"
modulation = "fm"
deviation = "75 kHz"
[[conversion]]
intermediate = "10.7 MHz"
tolerance = "30 kHz"
oscillator = "high"
[[conversion]]
intermediate = "455 kHz"
fixed_oscillator = "10.245 MHz"
[if_filter]
bandwidth = "180 kHz"
bandwidth_20db = "400 kHz"
[front_end]
circuits_before_rf_stage = 1
circuits_before_mixer = 2
loaded_q = 45.5
floor = "80 dB"
detuning = "-20 kHz"
gain = "20 dB"
impedance = "50 ohm"
wanted = "40 dBµV"
sensitivity = "3.5 dBuV"
[mixer]
kind = "measured"
reference = "-30 dBm"
suppression = [{m = 2, n = 2, db = 55}, {m = 3, n = 0, db = 61.5}]
[rf_stage]
iip2 = "20 dBm"
iip3 = "-5 dBm"
[orders]
signal = 5
oscillator = 6
if_harmonic = 12
[stereo]
decoder = "switching"
deemphasis = "75 us"
[[clock]]
name = "display"
frequency = "4 MHz"
"""


def faults_of(text, **how):
    with pytest.raises(PlanError) as caught:
        load_plan(io.BytesIO(text) if isinstance(text, bytes) else io.StringIO(text), **how)
    return caught.value.faults


def only_fault(text):
    (fault,) = faults_of(text)
    return fault


def test_every_key_of_a_whole_plan_is_read():
    plan = load_plan(io.StringIO(WHOLE_PLAN))
    assert plan.title == "Kitchen receiver"
    assert plan.conversion[1].fixed_oscillator_hz == 10_245_000
    assert plan.front_end is not None
    assert (plan.front_end.loaded_q, plan.front_end.floor_db, plan.front_end.detuning_hz) == (
        45.5,
        80.0,
        -20_000,
    )
    assert (plan.front_end.impedance_ohm, plan.front_end.wanted_dbuv) == (50.0, 40.0)
    assert (plan.front_end.sensitivity_dbuv, plan.if_filter.bandwidth_20db_hz) == (3.5, 400_000)
    assert plan.mixer.reference_dbm == -30.0
    assert [(row.m, row.n, row.db) for row in plan.mixer.suppression] == [(2, 2, 55.0), (3, 0, 61.5)]
    assert plan.rf_stage is not None
    assert (plan.rf_stage.iip2_dbm, plan.rf_stage.iip3_dbm) == (20.0, -5.0)
    assert (plan.orders.oscillator, plan.stereo.deemphasis_us) == (6, 75.0)
    assert plan.clock[0].frequency_hz == 4_000_000
    assert plan.defaults == ("IF of 455 kHz taken as exact",)


@pytest.mark.parametrize(
    "text",
    [
        PLAN,
        "\ufeff" + PLAN,
        PLAN.encode(),
        b"\xef\xbb\xbf" + PLAN.encode(),
        PLAN.replace("\n", "\r\n").encode(),
    ],
)
def test_text_and_bytes_with_or_without_mark_and_either_line_ending(text):
    plan = load_plan(io.BytesIO(text) if isinstance(text, bytes) else io.StringIO(text))
    assert plan.band.low_hz == 87_500_000


def test_path_string_and_open_file_and_title_from_the_name(tmp_path):
    path = tmp_path / "kitchen set.toml"
    path.write_text(PLAN)
    assert load_plan(path).title == load_plan(str(path)).title == "kitchen set"
    for mode in ("r", "rb"):
        with open(path, mode) as file:
            assert load_plan(file) == load_plan(path)
    path.write_text('title = "Mine"\n' + PLAN)
    assert load_plan(path).title == "Mine"


def test_a_dash_is_standard_input(monkeypatch):
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(PLAN.encode())))
    assert load_plan("-").band.high_hz == 108_000_000
    monkeypatch.setattr(sys, "stdin", io.StringIO(PLAN.replace("10.7 MHz", "10.7")))
    with pytest.raises(PlanError) as caught:
        load_plan("-")
    assert str(caught.value).startswith("<stdin>, line 6, conversion[0].intermediate: unit missing")


@pytest.mark.parametrize(
    ("old", "new", "line", "key", "what", "hint"),
    [
        ('"87.5 MHz"', '"87.5"', 2, "band.low", "unit missing", '"87.5 MHz"'),
        ('"87.5 MHz"', "87.5", 2, "band.low", "unit missing", '"87.5 MHz"'),
        ('"87.5 MHz"', "nan", 2, "band.low", "not a frequency", "write"),
        ('"87.5 MHz"', "-inf", 2, "band.low", "not a frequency", "write"),
        ('"87.5 MHz"', '"87.5 Mhz"', 2, "band.low", 'unknown unit "Mhz"', '"87.5 MHz"'),
        ('"87.5 MHz"', '"87,5 MHz"', 2, "band.low", "decimal comma", '"87.5 MHz"'),
        ('"87.5 MHz"', '"0.1 Hz"', 2, "band.low", "finer than one hertz", "whole hertz"),
        ('"87.5 MHz"', "1979-05-27", 2, "band.low", "not a frequency", "write"),
        ('"87.5 MHz"', "0x" + "f" * 9000, 2, "band.low", "not a frequency", "write"),
        ('"87.5 MHz"', "[[[1]]]", 2, "band.low", "not a frequency", "write"),
        ("low =", "lwo =", 2, "band.lwo", "unknown key", "write low"),
        ("[[conversion]]", "[[converson]]", 5, "converson", "unknown key", "write conversion"),
        ("[band]", "[[band]]", 1, "band", "not a table", "write [band]"),
        ("[band]", "[bnad]", 1, "bnad", "unknown key", "write band"),
        ('low = "87.5 MHz"\n', "", 1, "band.low", "missing", 'write low = "87.5 MHz"'),
        ("[[conversion]]", "[conversion]", 5, "conversion", "not a list", "[[conversion]]"),
        ('"high"', '"hihg"', 7, "conversion[0].oscillator", "not one of the choices", 'write "high"'),
        ('"high"', "7", 7, "conversion[0].oscillator", "not one of the choices", '"low"'),
        ('"108 MHz"', '"80 MHz"', 2, "band.low", "upside down", "below high"),
    ],
)
def test_a_fault_in_a_value_has_line_key_finding_and_remedy(old, new, line, key, what, hint):
    fault = only_fault(PLAN.replace(old, new, 1))
    assert (fault.source, fault.line, fault.key) == ("<file>", line, key)
    assert what in fault.what
    assert hint in fault.hint


@pytest.mark.parametrize(
    ("old", "new", "line", "what", "hint"),
    [
        ('"87.5 MHz"', "87.5 MHz", 2, "something follows the value", 'write low = "87.5 MHz"'),
        ('"87.5 MHz"', "FM", 2, "not a value", 'write low = "FM"'),
        ('"87.5 MHz"', '"87.5 MHz', 2, "quotation mark not closed", "close it"),
        ("low =", "low", 2, "no = after the key", "="),
        ("high", 'low = "1 MHz"\nhigh', 3, "second time", "keep one"),
        ("[[conversion]]", "[band]", 5, "second time", "keep one"),
        ("[band]", "[band", 1, "bracket not closed", "[table]"),
        ("low", "!low", 2, "neither a key nor a table", "="),
    ],
)
def test_what_is_not_toml_is_told_with_its_line(old, new, line, what, hint):
    fault = only_fault(PLAN.replace(old, new, 1))
    assert fault.line == line
    assert what in fault.what
    assert hint in fault.hint
    assert fault.found


def test_all_faults_come_at_once_and_in_the_order_of_the_file():
    text = """\
[orders]
signal = 26

[[conversion]]
intermediate = "10,7 MHz"

[band]
low = "108 MHz"
high = "87.5 MHz"
rastre = "100 kHz"
"""
    assert [(fault.line, fault.key) for fault in faults_of(text)] == [
        (2, "orders.signal"),
        (5, "conversion[0].intermediate"),
        (8, "band.low"),
        (10, "band.rastre"),
    ]


def test_missing_tables_come_last():
    faults = faults_of("[orders]\nsignal = 0\n")
    assert [(fault.line, fault.key) for fault in faults] == [
        (2, "orders.signal"),
        (None, "band"),
        (None, "conversion"),
    ]


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("", "no plan in it"),
        (" \n# nothing\n", "no plan in it"),
        (b"PK\x03\x04\0\0", "not a text file"),
        (PLAN.encode("utf-16"), "not a text file"),
        (PLAN.replace("[band]", "# Gerät\n[band]").encode("latin-1"), "not text in UTF-8"),
        ("x" * (LARGEST_FILE + 1), "larger than 1 MB"),
        (PLAN + "a = " + "[" * 100_000, "nested too deeply"),
        (PLAN + "a = " + "{a=" * 100_000, "nested too deeply"),
        (PLAN + ".".join("a" * 200_000) + " = 1", "too many parts"),
        ("[" + ".".join("a" * 200_000) + "]", "too many parts"),
        (PLAN + "a = " + "1" * 9000, "too long to be read"),
        (PLAN + "a = 1e99999999999999999999", "too long to be read"),
    ],
)
def test_what_cannot_be_a_plan_is_refused_with_one_message(text, what):
    fault = only_fault(text)
    assert what in fault.what
    assert fault.hint


def test_the_line_of_a_sign_that_is_not_utf_8_is_told():
    assert only_fault(PLAN.replace("[[", "# Gerät\n[[").encode("latin-1")).line == 5


def test_directory_absent_file_and_impossible_name(tmp_path):
    for name, what in (
        (tmp_path, "a directory"),
        (tmp_path / "absent.toml", "no such file"),
        ("a\0b", "cannot be read"),
        ("x" * 5000, "cannot be read"),
    ):
        with pytest.raises(PlanError) as caught:
            load_plan(name)
        (fault,) = caught.value.faults
        assert what in fault.what
        assert fault.source == str(name)


def test_a_file_that_fails_while_it_is_read():
    class Torn(io.RawIOBase):
        def read(self, size=-1):
            raise OSError(5, "Input/output error")

    with pytest.raises(PlanError, match="cannot be read"):
        load_plan(Torn())


def test_a_fault_inside_an_inline_table_stands_on_the_line_of_its_key():
    text = PLAN + '[mixer]\nkind = "measured"\nsuppression = [\n {m = 1, n = 2, db = "3"},\n]\n'
    fault = only_fault(text)
    assert (fault.line, fault.key) == (10, "mixer.suppression[0].db")


def test_a_long_or_odd_key_stays_fit_for_one_line():
    fault = only_fault(PLAN + '"' + "x" * 9000 + '\\n" = 1\n')
    assert len(str(fault)) < 300
    assert "\n" not in str(fault)


@given(st.text(max_size=200) | st.binary(max_size=200))
def test_any_text_and_any_bytes_give_a_plan_error(content):
    assert faults_of(content)


@given(st.integers(0, len(WHOLE_PLAN) - 1), st.sampled_from(list('"[]{}=#.,\n\\ 0x\0')))
def test_a_whole_plan_with_one_sign_changed_loads_or_says_where(position, sign):
    faults = ()
    try:
        load_plan(io.StringIO(WHOLE_PLAN[:position] + sign + WHOLE_PLAN[position + 1 :]))
    except PlanError as error:
        faults = error.faults
    assert all(fault.line or fault.key in ("band", "conversion") or sign == "\0" for fault in faults)
