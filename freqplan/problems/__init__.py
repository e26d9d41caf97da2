"""Kinds of problem for a class, one file each, behind one signature: from a setting to a problem."""

from __future__ import annotations

from freqplan.problems import (
    cause,
    choose_if,
    image,
    real_if,
    rejection,
    responses,
    side,
    station_sum,
)
from freqplan.problems.parts import Kind

KINDS: tuple[Kind, ...] = (
    image.KIND,
    responses.KIND,
    side.KIND,
    real_if.KIND,
    choose_if.KIND,
    cause.KIND,
    rejection.KIND,
    station_sum.KIND,
)
"""Every kind that can be asked for, the easiest first."""
