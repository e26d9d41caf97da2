"""What tests of charts share: plans and lists to draw, and what stands in a picture, in millimetres on paper."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from typing import NamedTuple
from xml.etree import ElementTree

import pytest
from commandline import DEMO

from freqplan.plan import Plan
from freqplan.planfile import load_plan
from freqplan.starters import KINDS, starter
from freqplan.stations import StationList, load_stations

SVG = "{http://www.w3.org/2000/svg}"
SETS = ("attic", "balcony", "loft", "pantry", "shed", "workshop")
HOSTILE = "Radio </text><script>$x_1$ & \x07\x1b[31m\ud800 \u202eabc 日本"

TENTH_MM = 0.1


class Words(NamedTuple):
    """A text in a picture: what it says, its place [mm] from the upper left, its size [pt], and its rotation."""

    says: str
    x_mm: float
    y_mm: float
    size_pt: float
    turned: bool


def demo(name):
    return load_plan(DEMO / f"{name}.toml")


def _every_plan():
    yield from (pytest.param(demo(name), id=name) for name in SETS)
    yield from (pytest.param(load_plan(io.StringIO(starter(kind.name))), id=kind.name) for kind in KINDS)
    yield pytest.param(demo("pantry").with_changes(oscillator="unknown"), id="unknown-side")
    yield pytest.param(Plan(**(demo("pantry").given() | {"front_end": None})), id="no-front-end")


EVERY_PLAN = tuple(_every_plan())
"""The demonstration sets, the starters, one of unknown side, and one of whose front end nothing is known."""


def listed(count):
    """Return the demonstration list, or so many stations along the FM dial."""
    if count == 80:
        # Pictures name the list as it was given: not where it lies on this machine.
        return replace(load_stations(DEMO / "orvessa.csv"), source="orvessa.csv")
    hertz = [87_500_000 + 50_000 * (place * 89 % 411) for place in range(count)]
    names = [f"Station number {place}" if place else HOSTILE for place in range(count)]
    levels = [20.0 + place % 60 for place in range(count)]
    return StationList.from_frequencies(hertz, names, level_dbuv=levels)


def root_of(picture):
    return ElementTree.fromstring(picture)


def size_mm(picture):
    root = root_of(picture)
    return tuple(float(root.get(name).removesuffix("mm")) for name in ("width", "height"))


def mm_per_unit(picture):
    """Return millimetres on paper for one unit of the picture's own, across."""
    width = float(root_of(picture).get("viewBox").split()[2])
    return size_mm(picture)[0] / width


def words_in(picture):
    """Yield every text of a picture."""
    scale = mm_per_unit(picture)
    for one in root_of(picture).iter(f"{SVG}text"):
        place = one.get("transform", "")
        moved = re.search(r"translate\(([-\d.e]+)[ ,]+([-\d.e]+)\)", place)
        if moved:
            x, y = moved.groups()
        else:
            turn = re.search(r"rotate\([-\d.e]+[ ,]+([-\d.e]+)[ ,]+([-\d.e]+)\)", place)
            x, y = turn.groups() if turn else (one.get("x"), one.get("y"))
        size = float(re.search(r"([\d.]+)px", one.get("font-size") or one.get("font")).group(1))
        turned = bool(re.search(r"rotate\(-?90", place))
        yield Words("".join(one.itertext()), float(x) * scale, float(y) * scale, size, turned)


def lines_in(picture):
    """Yield every straight line of a picture as two places [mm]."""
    scale = mm_per_unit(picture)
    for one in root_of(picture).iter(f"{SVG}path"):
        found = re.fullmatch(r"\s*M ([-\d.]+) ([-\d.]+)\s*L ([-\d.]+) ([-\d.]+)\s*", one.get("d", ""))
        if found:
            x1, y1, x2, y2 = (float(part) * scale for part in found.groups())
            yield (x1, y1), (x2, y2)


def words_apart(picture):
    """Return the pairs of level words in a picture that cover each other, by letters narrower than most are."""
    scale = mm_per_unit(picture)
    boxes = []
    for element, one in zip(root_of(picture).iter(f"{SVG}text"), words_in(picture), strict=True):
        if "rotate(" in element.get("transform", "") and not _is_level(element):
            continue
        wide, high = 0.45 * one.size_pt * len(one.says) * scale, 0.5 * one.size_pt * scale
        anchor = element.get("text-anchor", "start")
        left = one.x_mm - {"start": 0, "middle": wide / 2, "end": wide}[anchor]
        boxes.append((one.says, left, left + wide, one.y_mm - high, one.y_mm))
    boxes.sort(key=lambda box: box[1])
    return [
        (one[0], other[0])
        for place, one in enumerate(boxes)
        for other in boxes[place + 1 :]
        if other[1] < one[2] and one[3] < other[4] and other[3] < one[4]
    ]


def _is_level(element):
    return bool(re.search(r"rotate\(-?0(\.0)?[ ,)]", element.get("transform", "")))
