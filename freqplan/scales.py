"""Where a dial setting stands on the scale, and what the scale reads there: straight lines between marks, exact."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, TypeAlias

if TYPE_CHECKING:
    from freqplan.plan import Plan

USUAL_LENGTH_UM = 160_000
"""Of the scale of a plan that does not say: common among table sets, no source."""

Exact: TypeAlias = "Fraction | int"


@dataclass(frozen=True)
class DialScale:
    """A scale from 0 at its left end to its length.

    Attributes
    ----------
    length_um : int [um]
        Of the whole scale.
    marks : tuple of (int [Hz], int [um])
        At least two, frequencies rising; places rise too, or fall on a scale that runs from right to left.
    """

    length_um: int
    marks: tuple[tuple[int, int], ...]

    def at_um(self, dial_hz: Exact) -> Fraction:
        """Return where a dial setting [Hz] stands [um]; beyond the outermost marks the nearest piece goes on."""
        return _along(self.marks, dial_hz)

    def reads_hz(self, at_um: Exact) -> Fraction:
        """Return what the scale reads at a place [um]; the inverse of `at_um`."""
        return _along(sorted((place, hertz) for hertz, place in self.marks), at_um)


def scale_of(plan: Plan) -> DialScale:
    """Return the scale of a plan: by its marks, or straight from end to end, `USUAL_LENGTH_UM` unless it says."""
    length_um = USUAL_LENGTH_UM if plan.scale is None else plan.scale.length_um
    marks = () if plan.scale is None else plan.scale.marks
    straight = ((plan.band.low_hz, 0), (plan.band.high_hz, length_um))
    return DialScale(length_um, tuple(sorted((mark.reads_hz, mark.at_um) for mark in marks)) or straight)


def _along(points: Sequence[tuple[int, int]], value: Exact) -> Fraction:
    """Return the second of a pair at a `value` of the first, which rises, on straight lines between the points."""
    piece = min(max(bisect_right(points, value, key=lambda point: point[0]), 1), len(points) - 1) - 1
    (start, first), (stop, last) = points[piece : piece + 2]
    return first + (last - first) * (Fraction(value) - start) / (stop - start)
