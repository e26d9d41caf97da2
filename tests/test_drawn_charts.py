"""Charts against pictures that a person has looked at; `tests/golden_svg.py` says what is alike.

When one is meant to change, write the pictures anew by FREQPLAN_REFRESH=1 and look at each before it is kept.
"""

from __future__ import annotations

import re

import pytest
from golden_svg import CHARTS, assert_alike, check
from pictures import demo, listed

from freqplan.charts.dial_strip import dial_strip
from freqplan.charts.front_end import front_end
from freqplan.charts.if_range import if_range_chart
from freqplan.charts.response_map import response_map
from freqplan.charts.spectrum import spectrum
from freqplan.charts.whistle_chart import whistle_chart
from freqplan.surveys import survey


def unknown(name):
    return demo(name).with_changes(oscillator="unknown")


DRAWN = {
    "response-map-pantry": lambda: response_map(survey(demo("pantry"), listed(80))),
    "response-map-attic": lambda: response_map(survey(demo("attic"))),
    "response-map-unknown-side": lambda: response_map(survey(unknown("pantry"), listed(80))),
    "response-map-shed": lambda: response_map(survey(demo("shed"), listed(80))),
    "dial-strip-pantry": lambda: dial_strip(survey(demo("pantry"), listed(80))),
    "dial-strip-attic": lambda: dial_strip(survey(demo("attic"), listed(80))),
    "front-end-pantry": lambda: front_end(survey(demo("pantry"), listed(80))),
    "front-end-loft": lambda: front_end(survey(demo("loft")), 105_000_000),
    "front-end-unknown-side": lambda: front_end(survey(unknown("pantry"))),
    "if-ranges-pantry": lambda: if_range_chart(demo("pantry")),
    "if-ranges-shed": lambda: if_range_chart(unknown("shed")),
    "spectrum-half-if-pantry": lambda: spectrum(survey(demo("pantry")), "half-if", 98_000_000),
    "spectrum-third-order-pantry": lambda: spectrum(survey(demo("pantry"), listed(80)), "third-order"),
    "spectrum-if-harmonic-pantry": lambda: spectrum(survey(demo("pantry")), "if-harmonic"),
    "spectrum-decoder-neighbour-pantry": lambda: spectrum(survey(demo("pantry")), "decoder-neighbour"),
    "spectrum-image-attic": lambda: spectrum(survey(demo("attic")), "image"),
    "spectrum-second-image-shed": lambda: spectrum(survey(demo("shed")), "second-image"),
    "whistle-pantry": lambda: whistle_chart(demo("pantry")),
    "whistle-attic": lambda: whistle_chart(demo("attic")),
}


@pytest.mark.parametrize("name", DRAWN)
def test_it_is_drawn_as_it_was_looked_at(name):
    check(DRAWN[name](), name)


def test_every_picture_belongs_to_a_chart():
    assert {re.sub(r"-[0-9]$", "", path.stem) for path in CHARTS.glob("*.svg")} == set(DRAWN)


@pytest.mark.parametrize("name", [name for name in DRAWN if name.endswith("-pantry")])
def test_the_same_chart_is_drawn_by_the_same_bytes(name):
    assert DRAWN[name]() == DRAWN[name]()


# The comparison itself


def moved(picture, by_pt):
    """Move the last word of a picture to the right."""
    start, x, rest = re.fullmatch(r'(.*<text x=")([\d.]+)(".*)', picture, re.DOTALL).groups()
    return f"{start}{float(x) + by_pt}{rest}"


@pytest.fixture(scope="module")
def picture():
    return if_range_chart(demo("pantry")).pictures[0]


def test_a_word_may_be_moved_by_half_a_point_and_not_by_one(picture):
    assert_alike(moved(picture, 0.5), picture)
    with pytest.raises(AssertionError):
        assert_alike(moved(picture, 1.0), picture)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("Pantry", "Pastry"),
        ('stroke-dasharray="', 'stroke-dasharray="9,9,'),
        ('stroke="#000000"', 'stroke="#000001"'),
        ("<text", "<g/><text"),
        ('d="M ', 'd="M 9'),
        (" L ", " L 9"),
        ('width="180mm"', 'width="182mm"'),
    ],
)
def test_other_words_dashes_colours_elements_places_and_sizes_are_told_apart(picture, old, new):
    changed = picture.replace(old, new, 1)
    assert changed != picture
    with pytest.raises(AssertionError):
        assert_alike(changed, picture)


def test_names_of_definitions_may_differ(picture):
    assert_alike(picture.replace("if-ranges-", "other-"), picture)
