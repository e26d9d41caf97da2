"""The check list as it is written on a card: one place in words instead of four columns of hertz."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from freqplan.cardlines import EITHER
from freqplan.findings import Findings
from freqplan.hertz import Rounding
from freqplan.words import dial_span, span

NAME = "check_list"
"""The table that is a card."""

DEFAULT_LIMIT = 20
"""Lines of the card unless asked otherwise."""

_HEADS = ("No.", "Where", "Mechanism", "Osc.", "Stations", "Why", "What to do")


def place(row: Mapping[str, Any], rounding: Rounding) -> str:
    """Write where to look, such as ``dial 95.9 MHz (87.8-95.9)`` or ``outside 108.90-129.40 MHz``."""
    if row["kind"] == "outside":
        low = row["frequency_hz"] or row["low_hz"]
        return f"outside {span(low, row['frequency_hz'] or row['high_hz'], rounding)} {rounding.unit}"
    part = "" if row["low_hz"] is None else dial_span(row["low_hz"], row["high_hz"], rounding)
    if row["dial_hz"] is None:
        return "all over the dial"
    spot = rounding.dial(row["dial_hz"])
    return f"dial {spot} {rounding.unit}" + (f" ({part})" if part not in ("", spot) else "")


def side_words(row: Mapping[str, Any]) -> str:
    """Write for which side of the oscillator a row holds, such as ``oscillator high``."""
    return f"oscillator {'on either side' if row['oscillator'] == EITHER else row['oscillator']}"


def card(findings: Findings, rounding: Rounding, *, one_side: bool) -> tuple[list[str], list[list[str]]]:
    """Return heads and cells of the card, without the oscillator side where there is but one."""
    rows = [
        [
            str(row["priority"]), place(row, rounding), row["mechanism"], row["oscillator"],
            ", ".join(row["stations"]), row["why"], row["what_to_do"],
        ]
        for row in findings.rows()
    ]  # fmt: skip
    kept = [i for i, head in enumerate(_HEADS) if head != "Osc." or not one_side]
    return [_HEADS[i] for i in kept], [[row[i] for i in kept] for row in rows]
