"""Charts against pictures that a person has looked at: strip, chart of IFs, whistle chart.

When one is meant to change, write the pictures anew by FREQPLAN_REFRESH=1 and look at each before it is kept.
"""

from __future__ import annotations

import os

import pytest
from commandline import ROOT
from pictures import assert_drawn_alike, demo, listed

from freqplan.charts.dial_strip import dial_strip
from freqplan.charts.if_range import if_range_chart
from freqplan.charts.whistle_chart import whistle_chart
from freqplan.surveys import survey

CHARTS = ROOT / "tests" / "charts"
REFRESH = os.environ.get("FREQPLAN_REFRESH") == "1"
DRAWN = {
    "dial-strip-pantry": lambda: dial_strip(survey(demo("pantry"), listed(80))),
    "dial-strip-attic": lambda: dial_strip(survey(demo("attic"), listed(80))),
    "if-ranges-pantry": lambda: if_range_chart(demo("pantry")),
    "if-ranges-shed": lambda: if_range_chart(demo("shed").with_changes(oscillator="unknown")),
    "whistle-pantry": lambda: whistle_chart(demo("pantry")),
    "whistle-attic": lambda: whistle_chart(demo("attic")),
}


@pytest.mark.parametrize("name", DRAWN)
def test_it_is_drawn_as_it_was_looked_at(name):
    (picture,) = DRAWN[name]().pictures
    golden = CHARTS / f"{name}.svg"
    if REFRESH:
        golden.parent.mkdir(exist_ok=True)
        golden.write_text(picture, encoding="utf-8", newline="\n")
    assert_drawn_alike(picture, golden.read_text("utf-8"))


def test_a_picture_of_something_else_is_told_apart():
    (one,), (other,) = (if_range_chart(demo(name)).pictures for name in ("pantry", "workshop"))
    with pytest.raises(AssertionError):
        assert_drawn_alike(one, other)
    moved = one.replace('width="180mm"', 'width="182mm"', 1)
    with pytest.raises(AssertionError):
        assert_drawn_alike(one, moved)


@pytest.mark.parametrize("name", DRAWN)
def test_the_same_chart_is_drawn_by_the_same_bytes(name):
    assert DRAWN[name]() == DRAWN[name]()
