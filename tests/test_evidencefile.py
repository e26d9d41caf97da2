"""Evidence files: what loads, and where each fault is said to be."""

from __future__ import annotations

import io
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from freqplan import Evidence, EvidenceError, SetKnowledge, Symptom, load_evidence
from freqplan.plan_faults import spelt
from freqplan.tomlfile import LARGEST_FILE

WHOLE = """\
[set]
oscillator = "unknown"
intermediate = "10.675 MHz"
intermediate_known = "measured"
intermediate_error = "5 kHz"
dial_error = "0.2 MHz"

[[symptom]]
dial = "98.05 MHz"
reading_error = "0.1 MHz"
everywhere = false
heard = "programme"
speech_of = "aircraft"
on_station = "95.2 MHz"
programme_of = ["103.4 MHz"]
single = true
own_place_too = true
aerial_out = "goes"
pitch = "moves"
pitch_khz = 3.0
pitch_tuned_up = "rises"
pitch_rate = 2
stereo_only = true
anti_phase = true
width = "half"
meter = "reversed"
afc = "pulls"
pad = "10 dB"
fell = "20 dB"
by_ear = "same"
notch_stops = ["92.9 MHz"]
notch_keeps = ["100.7 MHz", "Radio Sarvenna"]
other_set_off_stops = true
other_set_dial = "87.35 MHz"
other_set_too = false
other_input_too = false
drifts = false
warm_up_stops = false
comes_and_goes = true
"""

WHOLE_IN_PYTHON = Evidence(
    set=SetKnowledge(
        oscillator="unknown",
        intermediate_hz=10_675_000,
        intermediate_known="measured",
        intermediate_error_hz=5_000,
        dial_error_hz=200_000,
    ),
    symptoms=(
        Symptom(
            dial_hz=98_050_000,
            reading_error_hz=100_000,
            everywhere=False,
            heard="programme",
            speech_of="aircraft",
            on_station="95.2 MHz",
            programme_of=("103.4 MHz",),
            single=True,
            own_place_too=True,
            aerial_out="goes",
            pitch="moves",
            pitch_khz=3.0,
            pitch_tuned_up="rises",
            pitch_rate=2.0,
            stereo_only=True,
            anti_phase=True,
            width="half",
            meter="reversed",
            afc="pulls",
            pad_db=10.0,
            fell_db=20.0,
            by_ear="same",
            notch_stops=("92.9 MHz",),
            notch_keeps=("100.7 MHz", "Radio Sarvenna"),
            other_set_off_stops=True,
            other_set_dial_hz=87_350_000,
            other_set_too=False,
            other_input_too=False,
            drifts=False,
            warm_up_stops=False,
            comes_and_goes=True,
        ),
    ),
)

SHORT = """\
[set]
oscillator = "low"

[[symptom]]
dial = "98.05 MHz"
heard = "programme"
drifts = true
"""


def loaded(text):
    return load_evidence(io.BytesIO(text) if isinstance(text, bytes) else io.StringIO(text))


def faults_of(text):
    with pytest.raises(EvidenceError) as caught:
        loaded(text)
    return caught.value.faults


def only_fault(text):
    (fault,) = faults_of(text)
    return fault


def test_every_key_is_read():
    evidence = loaded(WHOLE)
    assert evidence == WHOLE_IN_PYTHON
    assert evidence.source == "<file>"
    assert evidence.remarks == ()
    assert type(evidence.symptoms[0].pitch_rate) is float


def test_the_whole_example_leaves_no_key_out():
    tables = (SetKnowledge, Symptom)
    keys = {spelt(name, field, file=True) for table in tables for name, field in table.model_fields.items()}
    assert keys == {line.partition(" ")[0] for line in WHOLE.splitlines() if " = " in line}


@pytest.mark.parametrize("line", [line for line in WHOLE.splitlines() if " = " in line])
def test_unknown_says_the_same_as_leaving_out(line):
    key = line.partition(" ")[0]
    unknown, without = (loaded(WHOLE.replace(f"{line}\n", new)) for new in (f'{key} = "unknown"\n', ""))
    if key == "oscillator":
        assert (unknown.set.oscillator, without.set.oscillator) == ("unknown", None)
    else:
        assert unknown == without != WHOLE_IN_PYTHON
        assert unknown.symptoms[0].given() == without.symptoms[0].given()
        assert unknown.set.given() == without.set.given()


@pytest.mark.parametrize(
    "text", ["\ufeff" + WHOLE, WHOLE.encode(), b"\xef\xbb\xbf" + WHOLE.encode(), WHOLE.replace("\n", "\r\n")]
)
def test_text_and_bytes_with_or_without_mark_and_either_line_ending(text):
    assert loaded(text) == WHOLE_IN_PYTHON


def test_path_string_and_open_file(tmp_path):
    path = tmp_path / "heard on Tuesday.toml"
    path.write_text(WHOLE)
    for source in (path, str(path)):
        evidence = load_evidence(source)
        assert evidence == WHOLE_IN_PYTHON
        assert evidence.source == str(path)
    with open(path, "rb") as file:
        assert load_evidence(file).source == str(path)


def test_a_dash_is_standard_input(monkeypatch):
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(WHOLE.encode())))
    assert load_evidence("-") == WHOLE_IN_PYTHON
    monkeypatch.setattr(sys, "stdin", io.StringIO(SHORT.replace("98.05 MHz", "98.05")))
    with pytest.raises(EvidenceError) as caught:
        load_evidence("-")
    assert str(caught.value).startswith("<stdin>, line 5, symptom[0].dial: unit missing")
    monkeypatch.setattr(sys, "stdin", None)
    with pytest.raises(EvidenceError, match="no evidence in it"):
        load_evidence("-")


@pytest.mark.parametrize(
    ("old", "new", "line", "key", "what", "hint"),
    [
        ('"98.05 MHz"', "98.05", 5, "symptom[0].dial", "unit missing", '"98.05 MHz"'),
        ('"98.05 MHz"', '"98,05 MHz"', 5, "symptom[0].dial", "decimal comma", '"98.05 MHz"'),
        ('"98.05 MHz"', '"0 MHz"', 5, "symptom[0].dial", "not above 0", "more than 0"),
        ('"98.05 MHz"', '"-98 MHz"', 5, "symptom[0].dial", "negative", '"98 MHz"'),
        ('"98.05 MHz"', '"1e400 MHz"', 5, "symptom[0].dial", "not a frequency", "write"),
        ('"98.05 MHz"', "1e400", 5, "symptom[0].dial", "not a frequency", "write"),
        ('"98.05 MHz"', '"' + "9" * 60 + ' MHz"', 5, "symptom[0].dial", "too long", "write"),
        ('"98.05 MHz"', '"400 GHz"', 5, "symptom[0].dial", "above 300 GHz", "check"),
        ("dial", "dail", 5, "symptom[0].dail", "unknown key", "write dial"),
        ("dial", "frequency", 5, "symptom[0].frequency", "unknown key", "known here: dial, "),
        ("drifts = true", 'dial_error = "1 kHz"', 7, "symptom[0].dial_error", "unknown key", "belongs in [set]"),
        ("oscillator", "aerial_out", 2, "set.aerial_out", "unknown key", "it belongs in [[symptom]]"),
        ("[set]", "pad = 3\n[set]", 1, "pad", "unknown key", "it belongs in [[symptom]]"),
        ("drifts = true", "set = 3", 7, "symptom[0].set", "unknown key", "it is a table of its own, [set]"),
        ("[[symptom]]", "[[sypmtom]]", 4, "sypmtom", "unknown key", "write symptom"),
        ("[[symptom]]", "[symptom]", 4, "symptom", "not a list", "write [[symptom]]"),
        ("[set]", "[[set]]", 1, "set", "not a table", "write [set]"),
        ('"programme"', '"program"', 6, "symptom[0].heard", "not one of the choices", 'write "programme"'),
        ('"low"', '"above"', 2, "set.oscillator", "not one of the choices", '"high", "low", "sum", "unknown"'),
        ("true", '"yes"', 7, "symptom[0].drifts", "neither true nor false", "write true, without"),
        ("true", '"No"', 7, "symptom[0].drifts", "neither true nor false", "write false, without"),
        ("true", '"a bit"', 7, "symptom[0].drifts", "neither true nor false", "write true or false"),
        ("true", "1", 7, "symptom[0].drifts", "neither true nor false", "write true or false"),
        ("true", "yes", 7, "", "not a value", "write drifts = true"),
        ("true", "False # no", 7, "", "not a value", "write drifts = false"),
        ("drifts = true", 'pad = "-3 dB"', 7, "symptom[0].pad", "not above 0", "more than 0"),
        ("drifts = true", 'pad = "0 dB"', 7, "symptom[0].pad", "not above 0", "more than 0"),
        ("drifts = true", "pad = 10", 7, "symptom[0].pad", "unit missing", '"10 dB"'),
        ("drifts = true", 'fell = "-20 dB"', 7, "symptom[0].fell", "below 0", "0 or more"),
        ("drifts = true", "pitch_khz = 0", 7, "symptom[0].pitch_khz", "not above 0", "more than 0"),
        ("drifts = true", "pitch_khz = nan", 7, "symptom[0].pitch_khz", "not a finite number", "write"),
        ("drifts = true", "pitch_khz = 1e999", 7, "symptom[0].pitch_khz", "not a finite number", "write"),
        ("drifts = true", 'pitch_khz = "3 kHz"', 7, "symptom[0].pitch_khz", "not a number", "without quotes"),
        ("drifts = true", "pitch_rate = -1", 7, "symptom[0].pitch_rate", "below 0", "0 or more"),
        ("drifts = true", "on_station = 95.2", 7, "symptom[0].on_station", "not text", '"103.4 MHz"'),
        ("drifts = true", 'on_station = " "', 7, "symptom[0].on_station", "empty", '"103.4 MHz"'),
        ("drifts = true", "notch_stops = 92.9", 7, "symptom[0].notch_stops", "not a list", "write notch_stops = ["),
        ("drifts = true", "notch_stops = [92.9]", 7, "symptom[0].notch_stops[0]", "not text", '"103.4 MHz"'),
        ("drifts = true", 'notch_stops = ["a", ""]', 7, "symptom[0].notch_stops[1]", "empty", '"103.4 MHz"'),
        ("drifts = true", 'notch_stops = ["a", "unknown"]', 7, "symptom[0].notch_stops[1]", "not a station", "leave"),
        ("drifts = true", f'notch_stops = {["a"] * 21}', 7, "symptom[0].notch_stops", "too many", "at most 20"),
        ("drifts = true", f'on_station = "{"a" * 201}"', 7, "symptom[0].on_station", "longer than 200", "shorten"),
    ],
)  # fmt: skip
def test_a_fault_has_line_key_finding_and_remedy(old, new, line, key, what, hint):
    fault = only_fault(SHORT.replace(old, new, 1))
    assert (fault.source, fault.line, fault.key) == ("<file>", line, key)
    assert what in fault.what
    assert hint in fault.hint
    assert len(str(fault)) < 900


def test_all_faults_come_at_once_and_in_the_order_of_the_file():
    text = """\
[[symptom]]
dial = "98 MHz"
heard = "music"

[[symptom]]
everywhere = "yes"
programme_of = ["Radio Sarvenna", 3]

[set]
oscilator = "low"
dial_error = "-1 MHz"
"""
    assert [(fault.line, fault.key) for fault in faults_of(text)] == [
        (3, "symptom[0].heard"),
        (6, "symptom[1].everywhere"),
        (7, "symptom[1].programme_of[1]"),
        (10, "set.oscilator"),
        (11, "set.dial_error"),
    ]


@pytest.mark.parametrize(
    ("text", "line", "key", "what", "hint"),
    [
        ("", None, "", "no evidence in it", "write [[symptom]]"),
        ("# heard nothing\n", None, "", "no evidence in it", "write [[symptom]]"),
        ('[set]\noscillator = "low"\n', None, "symptom", "missing", "write [[symptom]]"),
        ("symptom = []\n", 1, "symptom", "missing", "write [[symptom]]"),
        ('symptom = "unknown"\n', 1, "symptom", "missing", "write [[symptom]]"),
        ("[[symptom]]\n" * 51, 1, "symptom", "too many values", "at most 50"),
    ],
)
def test_too_few_and_too_many_symptoms(text, line, key, what, hint):
    fault = only_fault(text)
    assert (fault.line, fault.key) == (line, key)
    assert what in fault.what
    assert hint in fault.hint


def test_fifty_symptoms_and_twenty_names_are_read():
    text = SHORT + f"programme_of = {['a' * 200] * 20}\n" + "[[symptom]]\n" * 49
    evidence = loaded(text)
    assert len(evidence.symptoms) == 50
    assert len(evidence.symptoms[0].programme_of) == 20


@pytest.mark.parametrize(
    ("text", "what"),
    [
        (b"PK\x03\x04\0\0", "not a text file"),
        (SHORT.replace("low", "l\0w"), "not a text file"),
        (SHORT.encode("utf-16"), "not a text file"),
        (SHORT.replace("[set]", "# Gerät\n[set]").encode("latin-1"), "not text in UTF-8"),
        (SHORT + "#" * LARGEST_FILE, "larger than 1 MB"),
        (SHORT + "a = " + "[" * 100_000, "nested too deeply"),
        (SHORT + "a = " + "{a=" * 100_000, "nested too deeply"),
        (SHORT + ".".join("a" * 200_000) + " = 1", "too many parts"),
        (SHORT + "pitch_khz = " + "1" * 9000, "too long to be read"),
        (SHORT + "pitch_khz = 1e99999999999999999999", "too long to be read"),
        (SHORT + 'heard = "noise"', "a second time"),
        (SHORT + '[set]\ndial_error = "1 MHz"', "a second time"),
        (SHORT + "dial 3", "no = after the key"),
    ],
)
def test_what_cannot_be_evidence_is_refused_with_one_message(text, what):
    fault = only_fault(text)
    assert what in fault.what
    assert fault.hint
    assert "plan" not in str(fault)


def test_a_fault_at_the_end_of_a_megabyte_is_told_on_its_line():
    rows = LARGEST_FILE // 9
    fault = only_fault("[[symptom]]\n" + "\n" * rows + "pad=3")
    assert fault.line == rows + 2


def test_directory_absent_file_and_impossible_name(tmp_path):
    for name, what in (
        (tmp_path, "a directory"),
        (tmp_path / "absent.toml", "no such file"),
        ("a\0b", "cannot be read"),
        ("x" * 5000, "cannot be read"),
    ):
        with pytest.raises(EvidenceError) as caught:
            load_evidence(name)
        (fault,) = caught.value.faults
        assert what in fault.what
        assert fault.source == str(name)
        assert "plan" not in fault.hint


@pytest.mark.parametrize("name", ["إذاعة الجبل", "رادیو \u202eabc", "Radió Ñandú 🎙", "ラジオ"])
def test_names_in_any_script_are_kept_as_written(name):
    assert loaded(SHORT + f'programme_of = "{name}"\n').symptoms[0].programme_of == (name,)


def test_a_message_shows_signs_that_would_turn_the_line_round_escaped():
    message = str(only_fault(SHORT.replace("programme", "\u202egnp.exe")))
    assert "\u202e" not in message
    assert "\\u202e" in message


@given(st.text(max_size=200) | st.binary(max_size=200))
def test_any_text_and_any_bytes_give_an_evidence_error(content):
    assert faults_of(content)


@given(st.integers(0, len(WHOLE) - 1), st.sampled_from(list('"[]{}=#.,\n\\ 0x\0')))
def test_whole_evidence_with_one_sign_changed_loads_or_says_where(position, sign):
    faults = ()
    try:
        loaded(WHOLE[:position] + sign + WHOLE[position + 1 :])
    except EvidenceError as error:
        faults = error.faults
    assert all(fault.line or fault.key == "symptom" or sign == "\0" for fault in faults)
