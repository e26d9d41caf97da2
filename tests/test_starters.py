"""Plans to begin with: each loads as it is and with its optional lines taken in."""

from __future__ import annotations

import io
import re

import pytest

from freqplan.errors import PlanError
from freqplan.planfile import load_plan
from freqplan.starters import KINDS, starter

NAMES = [kind.name for kind in KINDS]


def loaded(text):
    return load_plan(io.StringIO(text))


def with_options(text):
    return re.sub(r"^#(?=\S)", "", text, flags=re.MULTILINE)


@pytest.mark.parametrize(
    (
        "name",
        "low_hz",
        "high_hz",
        "raster_hz",
        "first_channel_hz",
        "modulation",
        "intermediate_hz",
        "oscillator",
    ),
    [
        ("fm", 87_500_000, 108_000_000, 100_000, 87_500_000, "fm", 10_700_000, "high"),
        ("fm-low", 87_500_000, 108_000_000, 100_000, 87_500_000, "fm", 10_700_000, "low"),
        ("fm-76-95", 76_000_000, 95_000_000, 100_000, 76_000_000, "fm", 10_700_000, "low"),
        ("am", 526_500, 1_606_500, 9_000, 531_000, "am", 455_000, "high"),
        ("am-10", 530_000, 1_700_000, 10_000, 530_000, "am", 455_000, "high"),
        ("long-wave", 148_500, 283_500, 9_000, 153_000, "am", 455_000, "high"),
        ("short-wave", 5_900_000, 18_000_000, 5_000, 5_900_000, "am", 455_000, "high"),
        ("airband", 118_000_000, 137_000_000, 25_000, 118_000_000, "am", 10_700_000, "high"),
        ("up-converting", 150_000, 30_000_000, 5_000, 150_000, "am", 45_000_000, "sum"),
    ],
)
def test_it_gives_what_it_says(
    name, low_hz, high_hz, raster_hz, first_channel_hz, modulation, intermediate_hz, oscillator
):
    plan = loaded(starter(name))
    band, first = plan.band, plan.conversion[0]
    assert (band.low_hz, band.high_hz) == (low_hz, high_hz)
    assert (band.raster_hz, band.first_channel_hz) == (raster_hz, first_channel_hz)
    assert (band.modulation, first.intermediate_hz, first.oscillator) == (
        modulation,
        intermediate_hz,
        oscillator,
    )
    assert plan.cautions == ()


@pytest.mark.parametrize("name", NAMES)
def test_with_every_optional_line_taken_in_no_default_is_left(name):
    plan = loaded(with_options(starter(name)))
    assert plan.front_end is not None
    assert plan.front_end.loaded_q is not None
    assert plan.rf_stage is not None
    assert plan.mixer.suppression
    assert plan.clock
    assert plan.defaults == ()


@pytest.mark.parametrize("name", NAMES)
def test_each_optional_line_by_itself_does_no_harm_with_its_table(name):
    text = starter(name)
    for block in re.findall(r"(?:^#(?=\S).*\n)+", text, flags=re.MULTILINE):
        loaded(text.replace(block, with_options(block)))


@pytest.mark.parametrize("name", NAMES)
def test_the_defaults_it_names_are_those_in_force(name):
    """Leaving out raster, deviation, tolerance or bandwidth gives what the comment behind it says."""
    text = starter(name)
    needed = (
        "[band]",
        "low =",
        "high =",
        "[[conversion]]",
        "intermediate",
        "oscillator",
        "fixed",
        "modulation",
    )
    bare = loaded("\n".join(line for line in text.splitlines() if line.startswith(needed)))
    fm = bare.band.modulation == "fm"
    assert bare.if_filter.bandwidth_hz == (180_000 if fm else 9_000)
    assert bare.band.raster_hz == (
        100_000 if bare.band.low_hz >= 30_000_000 else 9_000 if bare.band.low_hz < 2_000_000 else 5_000
    )
    assert bare.conversion[0].tolerance_hz == 0
    assert (bare.orders.signal, bare.orders.oscillator, bare.orders.if_harmonic) == (5, 5, 12)


@pytest.mark.parametrize("name", NAMES)
def test_it_reads_well_on_a_screen(name):
    text = starter(name)
    assert text.endswith("\n")
    assert "$" not in text
    assert text.isascii()
    assert max(map(len, text.splitlines())) <= 115


def test_names_are_distinct_and_described_in_one_line():
    assert len(set(NAMES)) == len(NAMES)
    assert all(kind.description and "\n" not in kind.description for kind in KINDS)


def test_an_unknown_kind_is_refused_with_the_known_ones():
    with pytest.raises(PlanError, match="choose one of fm, fm-low"):
        starter("fmm")
