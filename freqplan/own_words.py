"""Sums of what the set makes itself, and of what stands a fixed step beside the dial, as a person writes them."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from freqplan.hertz import HZ_IN, Rounding, decimal_text
from freqplan.mixing import Tuning

ORDINALS = ("first", "second", "third", "fourth", "fifth")
WHERE_HEARD = {
    "mono": "in mono and stereo",
    "stereo": "in stereo only, mono stays clean",
    "switching": "in stereo only, through a switching decoder",
    "beat": "on every station",
}


def times(factor: int, value: Fraction | int, rounding: Rounding) -> str:
    """Write factor × frequency; the factor 1 is left out."""
    return rounding.fine(value) if factor == 1 else f"{factor} × {rounding.fine(value)}"


def equals(*values: Fraction | int, rounding: Rounding) -> str:
    """Return "=" when every frequency of a sum is written exactly, else "≈"."""
    return "=" if all(map(rounding.is_exact, values)) else "≈"


def is_shift(row: Mapping[str, Any]) -> bool:
    """Return whether the signal of a row stands a fixed step beside the dial, whatever that is."""
    return row.get("q") is not None and row.get("sources_hz") is not None


def shifted_hz(row: Mapping[str, Any], dial_hz: Fraction) -> Fraction:
    """Return the signal that a row with a fixed step answers to at a dial setting [Hz]."""
    step_hz: int = row["q"] * row["sources_hz"][0]
    return dial_hz + step_hz


def shift_sum(row: Mapping[str, Any], dial_hz: Fraction, rounding: Rounding) -> str:
    """Write fX = fT + q times a frequency, such as ``98.00 − 2 × 0.455 = 97.09``."""
    source_hz, signal_hz = row["sources_hz"][0], shifted_hz(row, dial_hz)
    step = times(abs(row["q"]), source_hz, rounding)
    sign = "−" if row["q"] < 0 else "+"
    exact = equals(dial_hz, source_hz, signal_hz, rounding=rounding)
    return f"{rounding.fine(dial_hz)} {sign} {step} {exact} {rounding.fine(signal_hz)}"


def source_sum(row: Mapping[str, Any], tuning: Tuning, rounding: Rounding) -> str:
    """Write the sum behind a birdie of clocks or later oscillators: what they make, and where that falls."""
    sources = row["sources_hz"]
    terms: tuple[tuple[int, Fraction | int], ...]
    if row["q"] is None:
        terms = ((row["m"], sources[0]),)
    else:
        # Where but one is fixed, the other is the first oscillator, which tunes.
        first = sources[0] if len(sources) == 2 else tuning.oscillator_hz(row["dial_hz"])
        terms = ((row["n"], first), (row["q"], sources[-1]))
    made = sum((factor * Fraction(hertz) for factor, hertz in terms), Fraction(0))
    exact = equals(*(hertz for _, hertz in terms), made, rounding=rounding)
    return f"{_signed(terms, rounding)} {exact} {rounding.fine(made)}{_landing(row, tuning, made, rounding)}"


def _signed(terms: tuple[tuple[int, Fraction | int], ...], rounding: Rounding) -> str:
    """Write a sum of signed terms, a positive one first."""
    (factor, hertz), *others = sorted(terms, key=lambda term: term[0] < 0)
    text = ("−" if factor < 0 else "") + times(abs(factor), hertz, rounding)
    for factor, hertz in others:
        text += f" {'−' if factor < 0 else '+'} {times(abs(factor), hertz, rounding)}"
    return text


def _landing(row: Mapping[str, Any], tuning: Tuning, made_hz: Fraction, rounding: Rounding) -> str:
    where, dial_hz = row["lands_on"], row["dial_hz"]
    if where == "image":
        return f", the image of {rounding.fine(dial_hz)}"
    if where == "if" and dial_hz is None and made_hz != tuning.intermediate_hz:
        return f", against the IF of {rounding.fine(tuning.intermediate_hz)}"
    if where.startswith("if"):
        number = int(where.partition("-")[2] or 1)
        which = f"{ORDINALS[number - 1]} " if number <= len(ORDINALS) else f"{number}th "
        at = "" if dial_hz is None else f", the dial on {rounding.fine(dial_hz)}"
        return f", on the {which}IF{at}"
    return "" if row["dial_hz"] == made_hz else f", the dial on {rounding.fine(dial_hz)}"


def note_sum(row: Mapping[str, Any]) -> str:
    """Write what a reference in the sound gives, such as ``2 × 25 = 50 kHz gives 12.0 kHz, in stereo only ...``."""
    reference, made, pitch = (
        decimal_text(hertz, unit_hz=HZ_IN["kHz"], decimals=0, extra=3)
        for hertz in (row["sources_hz"][0], row["m"] * row["sources_hz"][0], row["pitch_hz"])
    )
    product = f"{made} kHz" if row["m"] == 1 else f"{row['m']} × {reference} = {made} kHz"
    loud = row["loudness_db"]
    level = "" if loud is None else f", {-loud:.0f} dB below full programme"
    return f"{product} gives {pitch} kHz {WHERE_HEARD[row['zone']]}{level}"
