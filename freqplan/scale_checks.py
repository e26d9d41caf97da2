"""Checks of the dial scale: marks in order, within its length, and the band on it."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from freqplan.lengths import millimetre_text
from freqplan.plan_faults import Path, Trouble
from freqplan.plan_reading import hertz_text
from freqplan.plan_view import View
from freqplan.scales import DialScale

SHORTEST_UM, LONGEST_UM = 20_000, 1_000_000
"""Of a scale: from a pocket set's window to more than any cabinet is wide."""


def scale_troubles(view: View) -> Iterator[Trouble]:
    """Yield everything in the dial scale of a plan that cannot be true together."""
    length = view.whole("scale", "length_um")
    if length is not None and not SHORTEST_UM <= length <= LONGEST_UM:
        what = f"shorter than {millimetre_text(SHORTEST_UM)}" if length < SHORTEST_UM else "longer than 1 m"
        yield Trouble(("scale", "length_um"), what, 'write its length on the set, such as "165 mm"')
    if view.at("scale", "marks") is None or not view.is_given("scale", "marks"):
        return
    if view.count("scale", "marks") < 2:
        hint = "write those of two figures or more, or leave marks out: then the scale is straight"
        yield Trouble(("scale", "marks"), "fewer than two marks", hint)
        return
    found = [*_each(view, length), *_order(view, "reads_hz"), *_order(view, "at_um")]
    yield from found
    if not found:
        yield from _band(view, length)


def _column(view: View, name: str) -> list[int | None]:
    return [view.whole("scale", "marks", i, name) for i in range(view.count("scale", "marks"))]


def _each(view: View, length: int | None) -> Iterator[Trouble]:
    for i, at in enumerate(_column(view, "at_um")):
        if at is not None and length is not None and at > length:
            hint = f"it lies between 0 mm and {millimetre_text(length)}, measured from the left end"
            yield Trouble(("scale", "marks", i, "at_um"), "beyond the end of the scale", hint)
    if view.band is None:
        return
    low, high = view.band
    for i, reads in enumerate(_column(view, "reads_hz")):
        if reads is not None and not 2 * low - high <= reads <= 2 * high - low:
            hint = f"the band is {hertz_text(low)} to {hertz_text(high)}: check the unit"
            yield Trouble(("scale", "marks", i, "reads_hz"), "far off the band", hint)


def _order(view: View, name: str) -> Iterator[Trouble]:
    """Check that one value of the marks rises all along, or falls all along; one fault at the first that does not."""
    values = _column(view, name)
    known = [(i, value) for i, value in enumerate(values) if value is not None]
    steps = [(i, after - before) for (_, before), (i, after) in pairwise(known)]
    rising = sum(step > 0 for _, step in steps) >= sum(step < 0 for _, step in steps)
    wrong = next((i for i, step in steps if step == 0 or (step > 0) != rising), None)
    if wrong is not None:
        path: Path = ("scale", "marks", wrong, name)
        what = "the same as the mark before it" if (wrong, 0) in steps else "out of order"
        hint = (
            "write the marks along the scale: frequencies and places each rise all along, or fall all along"
        )
        yield Trouble(path, what, hint)


def _band(view: View, length: int | None) -> Iterator[Trouble]:
    """Check that both ends of the band lie on the scale."""
    pairs = list(zip(_column(view, "reads_hz"), _column(view, "at_um"), strict=True))
    marks = sorted((reads, at) for reads, at in pairs if reads is not None and at is not None)
    if length is None or view.band is None or len(marks) < len(pairs):
        return
    scale = DialScale(length, tuple(marks))
    for end_hz in view.band:
        at = scale.at_um(end_hz)
        if not 0 <= at <= length:
            beyond = f"{millimetre_text(round(-at if at < 0 else at - length))} off the scale"
            hint = "write the whole travel of the pointer, or a mark nearer to that end of the band"
            yield Trouble(("scale", "length_um"), f"{hertz_text(end_hz)} would stand {beyond}", hint)
