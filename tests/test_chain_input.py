"""Bad input for the keys of later conversions, clocks and the synthesiser, and what is taken from good input."""

from __future__ import annotations

import io

import pytest

from freqplan import Conversion, Plan, PlanError, Synthesiser, load_plan, survey

TEXT = """[band]
low = "87.5 MHz"
high = "108 MHz"

[[conversion]]
intermediate = "10.7 MHz"
{first}

[[conversion]]
intermediate = "455 kHz"
{second}

{more}
"""


def read(first="", second="", more=""):
    return load_plan(io.StringIO(TEXT.format(first=first, second=second, more=more)))


@pytest.mark.parametrize(
    ("written", "key", "what", "hint"),
    [
        ({"first": 'bandwidth = "0 kHz"'}, "conversion[0].bandwidth", "zero", "above zero"),
        ({"first": 'bandwidth = "15"'}, "conversion[0].bandwidth", "unit missing", "15 kHz"),
        ({"first": 'bandwidth_20db = "40 kHz"'}, "conversion[0].bandwidth_20db", "without bandwidth", "-3 dB"),
        (
            {"first": 'bandwidth = "15 kHz"\nbandwidth_20db = "15 kHz"'},
            "conversion[0].bandwidth_20db",
            "no wider than the bandwidth",
            "-20 dB points",
        ),
        (
            {"second": 'bandwidth = "9 kHz"', "more": '[if_filter]\nbandwidth = "9 kHz"'},
            "conversion[1].bandwidth",
            "given together with [if_filter]",
            "leave it out here",
        ),
        ({"more": "[synthesiser]"}, "synthesiser.reference", "missing", 'reference = "25 kHz"'),
        ({"more": '[synthesiser]\nreference = "0 Hz"'}, "synthesiser.reference", "zero", "above zero"),
        ({"more": "[synthesiser]\nreference = 25"}, "synthesiser.reference", "unit missing", "25 kHz"),
        (
            {"more": '[synthesiser]\nreference = "25 kHz"\nsidebands = "-60 dB"'},
            "synthesiser.sidebands",
            "below 10",
            "10 or more",
        ),
        (
            {"more": '[synthesiser]\nreference = "25 kHz"\nsidebands = "60 dBc"'},
            "synthesiser.sidebands",
            'unit "dBc"',
            '"60 dB"',
        ),
        (
            {"more": '[synthesiser]\nreference = "25 kHz"\nsideband = "60 dB"'},
            "synthesiser.sideband",
            "unknown key",
            "write sidebands",
        ),
        ({"more": '[[synthesiser]]\nreference = "25 kHz"'}, "synthesiser", "not a table", "[synthesiser]"),
        ({"more": '[[clock]]\nname = "x"\nfrequency = "0 Hz"'}, "clock[0].frequency", "zero", "above zero"),
    ],
)  # fmt: skip
def test_a_fault_says_where_it_is_what_it_is_and_what_to_write(written, key, what, hint):
    with pytest.raises(PlanError) as caught:
        read(**written)
    (fault,) = caught.value.faults
    assert fault.key == key
    assert what in fault.what
    assert hint in fault.hint
    assert fault.line is not None


def test_faults_are_told_together():
    with pytest.raises(PlanError) as caught:
        read(first='bandwidth = "0 kHz"', more='[synthesiser]\nreference = "0 Hz"')
    assert [fault.key for fault in caught.value.faults] == [
        "conversion[0].bandwidth",
        "synthesiser.reference",
    ]


def test_the_filter_behind_the_last_mixer_stands_for_the_if_filter():
    plan = read(second='bandwidth = "150 kHz"\nbandwidth_20db = "300 kHz"')
    assert (plan.if_filter.bandwidth_hz, plan.if_filter.skirts_hz) == (150_000, 300_000)
    assert not any("IF filter 180 kHz" in text for text in survey(plan).assumptions)
    assert read().if_filter.bandwidth_hz == 180_000
    assert read(more='[if_filter]\nbandwidth = "90 kHz"').if_filter.bandwidth_hz == 90_000


def test_filters_between_keep_their_shape():
    first, second = read(first='bandwidth = "180 kHz"').conversion
    assert (first.filter.bandwidth_hz, first.filter.skirts_hz) == (180_000, 320_000)
    assert second.filter is None


def test_a_changed_plan_keeps_its_filters_and_its_synthesiser():
    plan = read(
        first='bandwidth = "180 kHz"', more='[synthesiser]\nreference = "25 kHz"\nsidebands = "60 dB"'
    )
    changed = plan.with_changes(oscillator="high", intermediate_hz=10_600_000)
    assert changed.conversion[0].filter == plan.conversion[0].filter
    assert changed.synthesiser == plan.synthesiser == Synthesiser(reference_hz=25_000, sidebands_db=60.0)


def test_the_same_is_made_in_python():
    made = Plan(
        title="<file>",
        band={"low_hz": 87_500_000, "high_hz": 108_000_000},
        conversion=(Conversion(intermediate_hz=10_700_000), Conversion(intermediate_hz=455_000)),
        synthesiser=Synthesiser(reference_hz=25_000),
    )
    told = read(more='[synthesiser]\nreference = "25 kHz"')
    assert (made.conversion, made.synthesiser) == (told.conversion, told.synthesiser)
    with pytest.raises(PlanError, match="10 or more"):
        Synthesiser(reference_hz=25_000, sidebands_db=3.0)
