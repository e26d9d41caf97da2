"""Spots of the dial at which the set disturbs itself."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import TYPE_CHECKING

import numpy as np

from freqplan.findings import Findings, stack
from freqplan.mechanisms import FAMILIES, Family, Sums
from freqplan.mixing import Tuning
from freqplan.reach import clipped, ordered, touches

if TYPE_CHECKING:
    from freqplan.plan import Plan

BIRDIE_COLUMNS = (
    "mechanism", "oscillator", "order", "k", "m", "n", "e", "name", "dial_hz", "dial_low_hz", "dial_high_hz",
    "beat_rate", "level_law",
)  # fmt: skip


def birdies(
    plan: Plan, sides: Sequence[Tuning], families: Sequence[Family] = FAMILIES, *, low_hz: Fraction | int | None = None,
    high_hz: Fraction | int | None = None,
) -> Findings:  # fmt: skip
    """Return the spots of the dial at which the set disturbs itself, along the dial.

    Parameters
    ----------
    plan : Plan
        The receiver.
    sides : sequence of Tuning
        Oscillator sides to answer for.
    families : sequence of Family
        The mechanisms to compute.
    low_hz, high_hz : Fraction or int, optional [Hz]
        Part of the dial to look at, the band by default.  Ranges from the IF tolerance are clipped to the band.
    """
    start, stop = low_hz or plan.band.low_hz, high_hz or plan.band.high_hz
    tables = [
        _birdie_table(plan, family.birdies(plan, tuning), start, stop)
        for tuning in sides
        for family in families
        if family.birdies
    ]
    table = stack("Birdies", tables, BIRDIE_COLUMNS, details=("order",), by="order")
    return table.take(np.argsort(table.hertz("dial_hz").rough(), kind="stable"))


def _birdie_table(plan: Plan, sums: Sums, start_hz: Fraction | int, stop_hz: Fraction | int) -> Findings:
    conversion = plan.conversion[0]
    some = sums.combinations
    low, high = ordered(
        some.own_dial(conversion.intermediate_hz - conversion.tolerance_hz),
        some.own_dial(conversion.intermediate_hz + conversion.tolerance_hz),
    )
    meets = touches(low, high, start_hz, stop_hz)
    sums, low, high = sums.take(meets), low[meets], high[meets]
    return sums.findings(
        "Birdies",
        dial_hz=sums.combinations.own_dial(),
        dial_low_hz=clipped(low, plan.band.low_hz, plan.band.high_hz),
        dial_high_hz=clipped(high, plan.band.low_hz, plan.band.high_hz),
    )
