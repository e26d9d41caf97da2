"""Pictures against pictures that a person has looked at, whatever the version of the library that drew them.

Alike are pictures with the same elements, words and dashes in the same order, in which no line, mark or word lies
farther from its place than `CLOSE_PT`.  Names of definitions and the number of points of a curve may differ.
"""

from __future__ import annotations

import os
import re
from collections import Counter
from pathlib import Path
from xml.etree import ElementTree

CHARTS = Path(__file__).with_name("charts")
REFRESH = os.environ.get("FREQPLAN_REFRESH") == "1"

CLOSE_PT = 0.6
"""Far below what the eye finds; fonts and their versions move words by less."""

LOOKS = ("fill", "stroke", "stroke-width", "stroke-dasharray", "font-size", "font", "text-anchor", "role")
"""Attributes that are compared word for word; colours and dashes carry what a picture says."""

PLACES = ("x", "y", "width", "height", "viewBox", "transform")
"""Attributes whose numbers are compared."""

_NUMBER = re.compile(r"-?\d+(?:\.\d+)?(?:e-?\d+)?")
_PATTERN = re.compile(r"url\(#[^)]*\)")


def check(chart, name):
    """Compare every picture of a chart with those kept under `name`, or keep them where FREQPLAN_REFRESH is 1."""
    several = len(chart.pictures) > 1
    for number, picture in enumerate(chart.pictures, 1):
        golden = CHARTS / f"{name}-{number}.svg" if several else CHARTS / f"{name}.svg"
        if REFRESH:
            CHARTS.mkdir(exist_ok=True)
            golden.write_text(picture, encoding="utf-8", newline="\n")
        assert_alike(picture, golden.read_text("utf-8"))


def assert_alike(picture, golden):
    """Compare two SVG texts."""
    found, wanted = (list(ElementTree.fromstring(text).iter()) for text in (picture, golden))
    # The sum first: a list of hundreds of elements tells nobody what is new.
    assert Counter(_said(one) for one in found) == Counter(_said(one) for one in wanted)
    assert [_said(one) for one in found] == [_said(one) for one in wanted]
    for mine, theirs in zip(found, wanted, strict=True):
        assert _far_off(mine, theirs) == []


def _said(element):
    """Return what must be the same to the letter."""
    looks = tuple(_PATTERN.sub("pattern", element.get(name, "")) for name in LOOKS)
    return element.tag.rpartition("}")[2], (element.text or "").strip(), looks


def _far_off(mine, theirs):
    """Return what lies elsewhere in two elements."""
    pairs = [(name, _numbers(mine.get(name, "")), _numbers(theirs.get(name, ""))) for name in PLACES]
    pairs.append(("d", *(_ends(one.get("d", "")) for one in (mine, theirs))))
    return [
        (name, found, wanted)
        for name, found, wanted in pairs
        if len(found) != len(wanted)
        or any(abs(one - other) > CLOSE_PT for one, other in zip(found, wanted, strict=True))
    ]


def _numbers(text):
    return [float(one) for one in _NUMBER.findall(text)]


def _ends(path):
    """Return the points of a short path, and of a curve where it begins and ends and the box that it fills."""
    numbers = _numbers(path)
    if len(numbers) <= 12:
        return numbers
    across, down = numbers[::2], numbers[1::2]
    return [*numbers[:2], *numbers[-2:], min(across), max(across), min(down), max(down)]
