"""Rows of the answer about ranges of the IF."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Any

import numpy as np

from freqplan.findings import Findings, Values, stack, text_column
from freqplan.hertz import Ratios
from freqplan.if_edges import InBand

ENDS = ("low_hz", "high_hz", "low_exact", "high_exact")
CLEAR_COLUMNS = ("oscillator", *ENDS, "width_hz")
OBSTACLE_COLUMNS = ("mechanism", "oscillator", "forbids_hz", "clear_without_hz")
EDGE_COLUMNS = ("mechanism", "oscillator", "order", "m", "n", "e", "k", *ENDS)
RANGE_COLUMNS = ("oscillator", *ENDS, "in_band", "responses")
EXACT_ENDS = ("low_exact", "high_exact")


class Product(dict[str, Any]):
    """One response by its mechanism and (m, n, e) or k: an object in JSON, a few signs as text."""

    def __str__(self) -> str:
        if "k" in self:
            return f"{self['mechanism']} k={self['k']}"
        return f"{self['mechanism']} ({self['m']},{self['n']},{self['e']})"


def clear_table(sides: Sequence[InBand], keep_out: Sequence[str]) -> Findings:
    """Return the ranges in which none of the mechanisms `keep_out` is in the band, and how wide each is."""
    tables = []
    for each in sides:
        low, high = each.clear(each.named(keep_out))
        width = Ratios(high.num * low.den - low.num * high.den, low.den * high.den)
        tables.append(_of_side(each, low, high, width_hz=width))
    return stack("IFs clear of all that is kept out", tables, CLEAR_COLUMNS, details=EXACT_ENDS)


def obstacle_table(sides: Sequence[InBand], keep_out: Sequence[str]) -> Findings:
    """Return how much each mechanism forbids and what would be clear without it, worst first; to 0.001 Hz."""
    rows: list[dict[str, Any]] = [
        {
            "mechanism": name,
            "oscillator": each.room.side,
            "forbids_hz": round(each.room.width_hz - each.clear_width([name]), 3),
            "clear_without_hz": round(each.clear_width([other for other in keep_out if other != name]), 3),
        }
        for each in sides
        for name in keep_out
    ]
    rows.sort(key=lambda row: -row["forbids_hz"])
    return Findings.of_rows("What stands in the way", rows, OBSTACLE_COLUMNS)


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
    every = text_column(
        [
            Product((name, value) for name, value in zip(names, row, strict=True) if value is not None)
            for row in rows
        ]
    )
    return [tuple(every[inside].tolist()) for inside in each.members()]


def _of_side(each: InBand, low: Ratios, high: Ratios, **more: Values) -> Findings:
    side = np.full(len(low), each.room.side, object)
    return Findings("", {"oscillator": side, **_ends(low, high), **more})


def _ends(low: Ratios, high: Ratios) -> dict[str, Values]:
    texts = (text_column([_ratio_text(end) for end in ends.exact()]) for ends in (low, high))
    return dict(zip(ENDS, (low, high, *texts), strict=True))


def _ratio_text(value: Fraction | int | None) -> str | None:
    return None if value is None else f"{value.numerator}/{value.denominator}"
