"""The dial scale of a plan: how it is read, what is wrong with one, and where a setting stands on it."""

from __future__ import annotations

import io
import json
from fractions import Fraction
from itertools import pairwise

import pytest
from commandline import DEMO
from hypothesis import given
from hypothesis import strategies as st
from plantables import faults_of, file_faults, tables

from freqplan.errors import PlanError
from freqplan.hertz import QuantityError
from freqplan.lengths import millimetre_text, millimetres, parse_micrometres
from freqplan.plan import Band, Conversion, Plan, Scale, ScaleMark
from freqplan.planfile import load_plan
from freqplan.scales import USUAL_LENGTH_UM, DialScale, scale_of

FM = {
    "band": Band(low_hz=87_500_000, high_hz=108_000_000),
    "conversion": (Conversion(intermediate_hz=10_700_000),),
}


def marks(*pairs):
    return [{"reads": reads, "at": at} for reads, at in pairs]


GOOD = marks(("88 MHz", "4 mm"), ("98 MHz", "71 mm"), ("108 MHz", "160 mm"))


# Lengths


@pytest.mark.parametrize(
    ("text", "um"),
    [
        ("165 mm", 165_000),
        ("16.5 cm", 165_000),
        (" 70.5mm ", 70_500),
        ("0 mm", 0),
        ("0.001 mm", 1),
        ("10 mm", 10_000),
    ],
)
def test_lengths_are_whole_micrometres(text, um):
    assert parse_micrometres(text) == um


@pytest.mark.parametrize(
    ("text", "what", "hint"),
    [
        ("165", "unit missing", 'write "165 mm"'),
        ("6.5 in", 'unknown unit "in"', '"6.5 mm" or "6.5 cm"'),
        ("165 MM", "unknown unit", "mm"),
        ("16,5 cm", "decimal comma", '"16.5 cm"'),
        ("", "not a length", "165 mm"),
        ("wide", "not a length", "165 mm"),
        ("١٦ mm", "not a length", "165 mm"),
        ("-4 mm", "negative", "left end"),
        ("0.0001 mm", "finer than one micrometre", "0.1 mm"),
        ("1000.1 cm", "above ten metres", "unit"),
        ("1" * 99 + " mm", "not a length", "165 mm"),
    ],
)
def test_what_is_no_length_is_told_with_a_remedy(text, what, hint):
    with pytest.raises(QuantityError) as caught:
        parse_micrometres(text)
    assert what in caught.value.what
    assert hint in caught.value.hint


@given(st.integers(0, 10**7))
def test_a_length_written_is_the_length_read(um):
    assert parse_micrometres(millimetre_text(um)) == um
    assert millimetres(um) == um / 1000


# The table


def test_a_scale_is_read_from_a_file_and_from_python_alike():
    told = Plan.from_file_keys(tables(scale={"length": "16.5 cm", "marks": GOOD}))
    made = Plan(
        **FM,
        scale=Scale(
            length_um=165_000,
            marks=[
                ScaleMark(reads_hz=88_000_000, at_um=4_000),
                ScaleMark(reads_hz=98_000_000, at_um=71_000),
                ScaleMark(reads_hz=108_000_000, at_um=160_000),
            ],
        ),
    )
    assert told.scale == made.scale
    assert hash(made)
    assert Plan(**FM).scale is None


def test_to_dict_holds_it_and_gives_it_back():
    plan = Plan.from_file_keys(tables(scale={"length": "165 mm", "marks": GOOD}))
    found = json.loads(json.dumps(plan.to_dict()))
    assert found["scale"]["length_um"] == 165_000
    assert found["scale"]["marks"][1] == {"reads_hz": 98_000_000, "at_um": 71_000}
    assert Plan(**found).scale == plan.scale
    assert plan.with_changes(intermediate_hz=10_690_000).scale == plan.scale


@pytest.mark.parametrize(
    ("scale", "key", "what"),
    [
        ({}, "scale.length", "missing"),
        (5, "scale", "not a table"),
        ({"length": 165}, "scale.length", "unit missing"),
        ({"length": "19.9 mm"}, "scale.length", "shorter than 20 mm"),
        ({"length": "100.1 cm"}, "scale.length", "longer than 1 m"),
        ({"length": "165 mm", "lenght": "1 mm"}, "scale.lenght", "unknown key"),
        ({"length": "165 mm", "marks": []}, "scale.marks", "fewer than two"),
        ({"length": "165 mm", "marks": GOOD[:1]}, "scale.marks", "fewer than two"),
        ({"length": "165 mm", "marks": "98 MHz"}, "scale.marks", "not a list"),
        ({"length": "165 mm", "marks": [*GOOD[:2], 5]}, "scale.marks[2]", "not a table"),
        ({"length": "165 mm", "marks": [*GOOD[:2], {"at": "160 mm"}]}, "scale.marks[2].reads", "missing"),
        ({"length": "165 mm", "marks": [*GOOD[:2], {"reads": "108 MHz"}]}, "scale.marks[2].at", "missing"),
        (
            {"length": "165 mm", "marks": marks(("88 MHz", "-4 mm"), ("108 MHz", "160 mm"))},
            "scale.marks[0].at",
            "negative",
        ),
        (
            {"length": "165 mm", "marks": marks(("88 MHz", "4 mm"), ("108 MHz", "166 mm"))},
            "scale.marks[1].at",
            "beyond the end",
        ),
        (
            {"length": "165 mm", "marks": marks(("88 kHz", "4 mm"), ("108 MHz", "160 mm"))},
            "scale.marks[0].reads",
            "far off the band",
        ),
        (
            {"length": "165 mm", "marks": [GOOD[0], *GOOD]},
            "scale.marks[1].reads",
            "the same as the mark before it",
        ),
        (
            {
                "length": "165 mm",
                "marks": marks(("88 MHz", "4 mm"), ("98 MHz", "71 mm"), ("95 MHz", "160 mm")),
            },
            "scale.marks[2].reads",
            "out of order",
        ),
        (
            {
                "length": "165 mm",
                "marks": marks(("88 MHz", "4 mm"), ("98 MHz", "71 mm"), ("108 MHz", "60 mm")),
            },
            "scale.marks[2].at",
            "out of order",
        ),
        (
            {"length": "165 mm", "marks": marks(("89 MHz", "4 mm"), ("108 MHz", "160 mm"))},
            "scale.length",
            "87.5 MHz would stand 8.316 mm off the scale",
        ),
        (
            {"length": "165 mm", "marks": marks(("88 MHz", "4 mm"), ("107 MHz", "162 mm"))},
            "scale.length",
            "108 MHz would stand",
        ),
    ],
)
def test_each_fault_is_one_at_its_key_with_a_remedy(scale, key, what):
    found = file_faults(tables(scale=scale))
    # A value repeated in one column alone is repeated in the other too where whole marks are.
    assert key in found
    assert len(found) == (2 if "the same" in what else 1)
    assert what in found[key].what
    assert found[key].hint


def test_faults_of_a_file_have_their_lines():
    text = """\
[band]
low = "87.5 MHz"
high = "108 MHz"
[[conversion]]
intermediate = "10.7 MHz"
[scale]
length = "1.65 m"
marks = [
    { reads = "88 MHz", at = "4" },
    { reads = "108 MHz", at = "160 mm" },
]
"""
    with pytest.raises(PlanError) as caught:
        load_plan(io.StringIO(text))
    assert [(fault.line, fault.key) for fault in caught.value.faults] == [
        (7, "scale.length"),
        (8, "scale.marks[0].at"),
    ]


def test_python_values_are_refused_with_their_attribute_names():
    found = faults_of(lambda: ScaleMark(reads_hz=88_000_000, at_um=4.5))
    assert "whole micrometres" in found["at_um"].what
    assert "above ten metres" in faults_of(lambda: Scale(length_um=10**8))["length_um"].what
    assert "unknown key" in faults_of(lambda: Scale(length_um=165_000, length="1 mm"))["length"].what


@pytest.mark.parametrize(
    "pairs",
    [
        [("88 MHz", "160 mm"), ("108 MHz", "4 mm")],
        [("108 MHz", "4 mm"), ("88 MHz", "160 mm")],
        [("108 MHz", "160 mm"), ("88 MHz", "4 mm")],
    ],
)
def test_a_scale_may_run_from_right_to_left_and_be_written_from_either_end(pairs):
    plan = Plan.from_file_keys(tables(scale={"length": "165 mm", "marks": marks(*pairs)}))
    assert {parse_micrometres(at) for _, at in pairs} == {
        scale_of(plan).at_um(88_000_000),
        scale_of(plan).at_um(108_000_000),
    }


# Places


def test_without_marks_the_scale_is_straight_from_end_to_end():
    for plan, length in (
        (Plan(**FM), USUAL_LENGTH_UM),
        (Plan(**FM, scale=Scale(length_um=205_000)), 205_000),
    ):
        scale = scale_of(plan)
        assert (scale.at_um(87_500_000), scale.at_um(108_000_000)) == (0, length)
        assert scale.at_um(97_750_000) == Fraction(length, 2)


def test_a_worked_scale():
    scale = scale_of(load_plan(DEMO / "attic.toml"))
    # 600 kHz at 25.5 mm, 700 kHz at 52 mm: 0.265 mm per kHz.
    assert scale.at_um(621_000) == 25_500 + 21 * 265
    # Beyond 550 kHz at 10 mm the piece up to 600 kHz goes on: 0.31 mm per kHz.
    assert scale.at_um(526_500) == Fraction("10000") - Fraction("23.5") * 310
    assert scale.reads_hz(151_000) == 1_600_000


@st.composite
def scales(draw):
    count = draw(st.integers(2, 8))
    reads, places = (
        sorted(draw(st.lists(st.integers(low, high), min_size=count, max_size=count, unique=True)))
        for low, high in ((526_500, 1_606_500), (0, 1_000_000))
    )
    if draw(st.booleans()):
        places.reverse()
    return DialScale(1_000_000, tuple(zip(reads, places, strict=True)))


@given(scales(), st.lists(st.integers(400_000, 2_000_000), min_size=2, unique=True))
def test_places_run_one_way_and_read_back_what_was_set(scale, settings_hz):
    places = [scale.at_um(hertz) for hertz in sorted(settings_hz)]
    steps = {after > before for before, after in pairwise(places)}
    rises = scale.marks[0][1] < scale.marks[-1][1]
    assert steps == {rises}
    assert 0 not in [after - before for before, after in pairwise(places)]
    assert [scale.reads_hz(place) for place in places] == sorted(settings_hz)


@given(scales())
def test_marks_are_hit_exactly_and_the_middle_between_two_is_the_middle(scale):
    assert all(scale.at_um(hertz) == place for hertz, place in scale.marks)
    assert all(scale.reads_hz(place) == hertz for hertz, place in scale.marks)
    for (low, first), (high, last) in pairwise(scale.marks):
        assert scale.at_um(Fraction(low + high, 2)) == Fraction(first + last, 2)
