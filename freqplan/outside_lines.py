"""Lines of the card that are frequencies outside: what to feed in, and what may come in."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import TypeAlias

from freqplan.cardlines import Card, Line, Row
from freqplan.findings import Findings
from freqplan.services import describe
from freqplan.words import dial_span, mixing_sum

Part: TypeAlias = tuple[Fraction, Fraction] | None
FIRST_ORDERS = 2
"""Orders up to this, the IF itself and the image, are worth a check even where no station is listed."""


def range_lines(card: Card, table: Findings) -> Iterator[Line]:
    """Write one line for each response: the frequencies outside at which the set may also receive."""
    for row in table.rows():
        part = None if row["dial_low_hz"] is None else (row["dial_low_hz"], row["dial_high_hz"])
        single = row["low_hz"] == row["high_hz"]
        yield Line(
            kind="outside",
            mechanism=row["mechanism"],
            oscillator=row["oscillator"],
            frequency_hz=row["low_hz"] if single else None,
            low_hz=None if single else row["low_hz"],
            high_hz=None if single else row["high_hz"],
            why=_range_why(card, row, part),
            what_to_do=_range_test(card, row, part),
            rank=(
                _range_tier(card, row),
                0,
                row["order"],
                1,
                row["m"] or 0,
                -(row["e"] or 0),
                row["n"] or 0,
            ),
        )


def _range_tier(card: Card, row: Row) -> int:
    """Return 2, "after all else", where a list is at hand and the range is neither the image nor the IF."""
    return 1 if card.stations is None or row["order"] <= FIRST_ORDERS else 2


def _example(card: Card, row: Row, part: Part) -> tuple[Fraction, Fraction]:
    """Return a dial setting in the middle of the part concerned and the signal that lands on the IF there."""
    band, tuning = card.plan.band, card.tuning(row["oscillator"])
    low, high = part or (Fraction(band.low_hz), Fraction(band.high_hz))
    middle = card.plan.nearest_channel_hz((low + high) / 2)
    for dial in (middle, band.high_hz, band.low_hz):
        signal = Fraction(row["n"] * tuning.oscillator_hz(dial) - row["e"] * tuning.intermediate_hz, row["m"])
        if signal > 0:
            break
    return Fraction(dial), signal


def _range_why(card: Card, row: Row, part: Part) -> str:
    text = card.words[row["mechanism"]].title
    if row["m"] is not None:
        dial, signal = _example(card, row, part)
        text += ": " + mixing_sum(
            tuning=card.tuning(row["oscillator"]), m=row["m"], n=row["n"], e=row["e"], dial_hz=dial,
            signal_hz=signal, rounding=card.rounding,
        )  # fmt: skip
    if part is not None:
        text += f"; inside the band with the dial at {dial_span(*part, card.rounding)}"
    lives = describe(row["low_hz"], row["high_hz"], card.rounding)
    return f"{text}; there: {lives}" if lives else text


def _range_test(card: Card, row: Row, part: Part) -> str:
    if row["m"] is None:
        return card.check(row)
    dial, signal = _example(card, row, part)
    return (
        f"Dial on {card.rounding.dial(dial)}, generator by cable on {card.rounding.fine(signal)}: "
        f"if it is heard, a 10 dB pad takes {10 * row['level_law']} dB off it."
    )
