"""Lines of the card that are frequencies outside: what to feed in, and what may come in."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import chain
from typing import TypeAlias

from freqplan.cardlines import Card, Line, Row
from freqplan.findings import Findings
from freqplan.hertz import HZ_IN, decimal_text
from freqplan.own_words import is_shift, shift_sum, shifted_hz
from freqplan.services import describe, names_of, services_in
from freqplan.words import dial_span, mixing_sum

Example: TypeAlias = tuple[Fraction, Fraction]
Part: TypeAlias = tuple[Fraction, Fraction] | None
EXAMPLES = tuple(Fraction(share, 8) for share in (4, 3, 5, 2, 6, 1, 7, 8, 0))
"""Parts of the dial tried in turn for an example."""

FIRST_ORDERS = 2
"""Orders up to this, the IF itself and the image, are worth a check even where no station is listed."""


def range_lines(card: Card, table: Findings) -> Iterator[Line]:
    """Write one line for each response: the frequencies outside at which the set may also receive."""
    for row in table.rows():
        part = None if row["dial_low_hz"] is None else (row["dial_low_hz"], row["dial_high_hz"])
        single = row["low_hz"] == row["high_hz"]
        example = None if row["m"] is None else _example(card, row, part)
        yield Line(
            kind="outside",
            mechanism=row["mechanism"],
            oscillator=row["oscillator"],
            frequency_hz=row["low_hz"] if single else None,
            low_hz=None if single else row["low_hz"],
            high_hz=None if single else row["high_hz"],
            why=_range_why(card, row, part, example),
            what_to_do=_range_test(card, row, example),
            rank=(
                _range_tier(card, row),
                0,
                row["order"],
                1,
                row["m"] or 0,
                -(row["e"] or 0),
                row["n"] or 0,
            ),
            levels={"rejection_db": row["rejection_db"]},
        )


def _range_tier(card: Card, row: Row) -> int:
    """Return 2, "after all else", where a list is at hand and the range is neither the image nor the IF."""
    return 1 if card.stations is None or row["order"] <= FIRST_ORDERS else 2


def _example(card: Card, row: Row, part: Part) -> Example:
    """Return a dial setting of the part concerned and the signal that lands on the IF there.

    As near to the middle as may be without the signal being one on which lives depend, on a free channel.
    """
    band = card.plan.band
    low, high = part or (Fraction(band.low_hz), Fraction(band.high_hz))
    channels = (card.plan.nearest_channel_hz(low + share * (high - low)) for share in EXAMPLES)
    dials = map(Fraction, chain(channels, (band.high_hz, band.low_hz)))
    pairs = ((dial, signal) for dial in dials if (signal := _signal(card, row, dial)) > 0)
    found: dict[tuple[bool, ...], tuple[Fraction, Fraction]] = {}
    for dial, signal in pairs:
        occupied = bool(card.listed_near(dial, dial))
        drawbacks = (bool(_safety(card, signal)), card.is_wanted(signal, dial), occupied)
        if not any(drawbacks):
            return dial, signal
        found.setdefault(drawbacks, (dial, signal))
    return found[min(found)]


def _signal(card: Card, row: Row, dial_hz: Fraction) -> Fraction:
    if is_shift(row):
        return shifted_hz(row, dial_hz)
    tuning = card.tuning(row["oscillator"])
    signal_hz: Fraction = (
        row["n"] * tuning.oscillator_hz(dial_hz) - row["e"] * tuning.intermediate_hz
    ) / row["m"]
    return signal_hz


def _safety(card: Card, hertz: Fraction) -> tuple[str, ...]:
    """Return the names of the services on a frequency on which lives depend."""
    here = services_in(hertz, hertz, region=card.plan.region)
    return names_of(service for service in here if service.safety)


def _range_why(card: Card, row: Row, part: Part, example: Example | None) -> str:
    text = card.words[row["mechanism"]].title
    if example is not None:
        dial, signal = example
        text += f" ({row['name']})" if row["name"] else ""
        text += ": " + (shift_sum(row, dial, card.rounding) if is_shift(row) else mixing_sum(
            tuning=card.tuning(row["oscillator"]), m=row["m"], n=row["n"], e=row["e"], dial_hz=dial,
            signal_hz=signal, rounding=card.rounding,
        ))  # fmt: skip
    if part is not None:
        text += f"; inside the band with the dial at {dial_span(*part, card.rounding)}"
    if row["rejection_db"] is not None:
        text += f"; rejected by {row['rejection_db']:.0f} dB or more"
    lives = describe(row["low_hz"], row["high_hz"], card.rounding, region=card.plan.region)
    return f"{text}; there: {lives}" if lives else text


def _range_test(card: Card, row: Row, example: Example | None) -> str:
    if example is None:
        return card.check(row)
    dial, signal = example
    setting, falls = card.rounding.dial(dial), 10 * row["level_law"]
    if services := _safety(card, signal):
        return (
            f"No generator: lives depend on {card.rounding.fine(signal)} ({', '.join(services)}). "
            f"Listen with the dial on {setting}; a 10 dB pad takes {falls} dB off what comes in."
        )
    if card.is_wanted(signal, dial):
        return f"It meets the station tuned in at {setting}: a whistle there, {falls - 10} dB softer with a 10 dB pad."
    return (
        f"Dial on {setting}, generator by cable on {_near_enough(card, signal, row['m'])}: "
        f"if it is heard, a 10 dB pad takes {falls} dB off it."
    )


def _near_enough(card: Card, signal_hz: Fraction, m: int) -> str:
    """Write a generator's frequency with decimals enough for its m-th harmonic to meet the middle of the IF filter."""
    unit_hz, decimals = HZ_IN[card.rounding.unit], card.rounding.fine_decimals
    plain = card.rounding.fine(signal_hz)
    if Fraction(plain) * unit_hz == signal_hz:
        return plain
    while 10 * m * unit_hz > card.plan.if_filter.bandwidth_hz * 10**decimals:
        decimals += 1
    return decimal_text(signal_hz, unit_hz=unit_hz, decimals=decimals)
