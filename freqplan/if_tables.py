"""Rows of the answer about ranges of the IF."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Any

import numpy as np

from freqplan.findings import Findings, Values, stack, text_column
from freqplan.hertz import Ratios
from freqplan.if_edges import InBand, Mask

ENDS = ("low_hz", "high_hz", "low_exact", "high_exact")
CLEAR_COLUMNS = ("oscillator", *ENDS, "width_hz")
EDGE_COLUMNS = ("mechanism", "oscillator", "order", "m", "n", "e", "k", *ENDS)
RANGE_COLUMNS = ("oscillator", *ENDS, "in_band", "responses")
EXACT_ENDS = ("low_exact", "high_exact")


class Product(dict[str, Any]):
    """One response by its mechanism and (m, n, e) or k: an object in JSON, a few signs as text."""

    def __str__(self) -> str:
        if "k" in self:
            return f"{self['mechanism']} k={self['k']}"
        return f"{self['mechanism']} ({self['m']},{self['n']},{self['e']})"


def clear_table(sides: Sequence[tuple[InBand, Mask]]) -> Findings:
    """Return the ranges that are free of some of the responses, and how wide each is.

    Parameters
    ----------
    sides : sequence of (InBand, (k,) bool)
        For each side what is in the band where, and which of it counts.
    """
    tables = []
    for each, some in sides:
        low, high = each.clear(some)
        width = Ratios(high.num * low.den - low.num * high.den, low.den * high.den)
        tables.append(_of_side(each, low, high, width_hz=width))
    return stack("IFs clear of all that is kept out", tables, CLEAR_COLUMNS, details=EXACT_ENDS)


def edge_table(sides: Sequence[InBand]) -> Findings:
    """Return for each response the IFs at which it is in the band, lowest order first."""
    tables = [
        Findings("", {**each.sums.columns, "order": each.sums.order, **_ends(each.low, each.high)})
        for each in sides
    ]
    title = "IFs at which each response is in the band"
    return stack(title, tables, EDGE_COLUMNS, details=("order", *EXACT_ENDS), by="order")


def range_table(sides: Sequence[InBand], *, named: bool) -> Findings:
    """Return the ranges over which the same responses are in the band, and which, if they are to be `named`."""
    tables = []
    for each in sides:
        low, high = each.ranges
        responses = _responses(each) if named else [None] * len(low)
        tables.append(_of_side(each, low, high, in_band=each.counts(), responses=text_column(responses)))
    return stack("What is in the band at which IF", tables, RANGE_COLUMNS, details=EXACT_ENDS)


def _responses(each: InBand) -> list[tuple[Product, ...]]:
    names = ("mechanism", "m", "n", "e", "k")
    rows = zip(*(each.sums.array(name).tolist() for name in names), strict=True)
    every = [
        Product((name, value) for name, value in zip(names, row, strict=True) if value is not None)
        for row in rows
    ]
    return [tuple(every[row] for row in rows.tolist()) for rows in each.members()]


def _of_side(each: InBand, low: Ratios, high: Ratios, **more: Values) -> Findings:
    side = np.full(len(low), each.room.side, object)
    return Findings("", {"oscillator": side, **_ends(low, high), **more})


def _ends(low: Ratios, high: Ratios) -> dict[str, Values]:
    texts = (text_column([_ratio_text(end) for end in ends.exact()]) for ends in (low, high))
    return dict(zip(ENDS, (low, high, *texts), strict=True))


def _ratio_text(value: Fraction | int | None) -> str | None:
    return None if value is None else f"{value.numerator}/{value.denominator}"
