"""Sums and ranges as a person writes them on paper."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from freqplan.hertz import HZ_IN, Rounding, decimal_text
from freqplan.mixing import Tuning
from freqplan.own_words import equals, is_shift, note_sum, shift_sum, source_sum, times
from freqplan.station_sums import TIMES


def mixing_sum(
    *, tuning: Tuning, m: int, n: int, e: int, dial_hz: Fraction, signal_hz: Fraction, rounding: Rounding
) -> str:
    """Write e(n fL - m fX) = fI with its numbers, larger term first, such as ``2 × 106.55 − 2 × 101.20 = 10.70``."""
    own_if = tuning.intermediate_hz
    signal = times(m, signal_hz, rounding)
    if n == 0:
        exact = equals(signal_hz, own_if, rounding=rounding)
        return f"{signal}, the IF itself" if m == 1 else f"{signal} {exact} {rounding.fine(own_if)}"
    oscillator_hz = tuning.oscillator_hz(dial_hz)
    own = times(abs(n), oscillator_hz, rounding)
    left = f"{signal} + {own}" if n < 0 else f"{own} − {signal}" if e > 0 else f"{signal} − {own}"
    return f"{left} {equals(signal_hz, oscillator_hz, own_if, rounding=rounding)} {rounding.fine(own_if)}"


def signal_sum(row: Mapping[str, Any], tuning: Tuning, rounding: Rounding) -> str:
    """Write the sum behind a ghost, the dial on its exact setting; everywhere, the signal against the IF."""
    if row["dial_hz"] is None:
        signal = times(row["m"], row["station_hz"], rounding)
        return f"{signal} against the IF of {rounding.fine(tuning.intermediate_hz)}"
    if is_shift(row):
        return shift_sum(row, row["dial_hz"], rounding)
    if row["m"] is None:
        own = rounding.fine(tuning.oscillator_hz(row["dial_hz"]))
        return f"at {rounding.fine(row['dial_hz'])} the oscillator is on {own}"
    return mixing_sum(
        tuning=tuning, m=row["m"], n=row["n"], e=row["e"], dial_hz=row["dial_hz"],
        signal_hz=row["station_hz"], rounding=rounding,
    )  # fmt: skip


def product_sum(row: Mapping[str, Any], tuning: Tuning, rounding: Rounding) -> str:
    """Write a sum of stations and what it falls on, such as ``2 × 100.70 − 98.90 = 102.50`` for a dial setting.

    Parameters
    ----------
    row : mapping
        ``kind, stations_hz, frequency_hz, lands_on, n, e, dial_hz``.
    tuning : Tuning
        The oscillator side.
    rounding : Rounding
        How the band's frequencies are written.
    """
    text = ""
    for count, hertz in zip(TIMES[row["kind"]], row["stations_hz"], strict=True):
        sign = "" if not text else " + " if count > 0 else " − "
        text += sign + times(abs(count), hertz, rounding)
    total = row["frequency_hz"]
    text += f" {equals(*row['stations_hz'], total, rounding=rounding)} {rounding.fine(total)}"
    if row["lands_on"] == "dial":
        return text
    if row["dial_hz"] is None:
        if total == tuning.intermediate_hz:
            return f"{text}, the IF itself"
        return f"{text}, in the filter on the IF of {rounding.fine(tuning.intermediate_hz)}"
    received = mixing_sum(
        tuning=tuning, m=1, n=row["n"], e=row["e"], dial_hz=row["dial_hz"], signal_hz=total, rounding=rounding
    )
    return f"{text}{', the image' if row['lands_on'] == 'image' else ''}; {received}"


def birdie_sum(row: Mapping[str, Any], tuning: Tuning, rounding: Rounding) -> str:
    """Write the sum behind one row of a table of birdies."""
    dial, own_if = row["dial_hz"], tuning.intermediate_hz
    if row["k"] is not None:
        own_if = row["sources_hz"][0] if row.get("sources_hz") else own_if
        return f"{times(row['k'], own_if, rounding)} {equals(own_if, dial, rounding=rounding)} {rounding.fine(dial)}"
    if row.get("zone") is not None:
        return note_sum(row)
    if row.get("sources_hz") is not None and row["lands_on"] != "other":
        return source_sum(row, tuning, rounding)
    if row["m"] is not None:
        signal = dial if row.get("sources_hz") is None else row["sources_hz"][0]
        text = mixing_sum(
            tuning=tuning, m=row["m"], n=row["n"], e=row["e"], dial_hz=dial, signal_hz=signal, rounding=rounding
        )  # fmt: skip
        return text if signal == dial else f"{text}, the dial on {rounding.fine(dial)}"
    if row["n"] is not None:
        own = tuning.oscillator_hz(dial)
        return f"{times(row['n'], own, rounding)} {equals(own, own_if, rounding=rounding)} {rounding.fine(own_if)}"
    return row["name"] or rounding.fine(dial)


def setting(hertz: Fraction | int, rounding: Rounding) -> str:
    """Write a dial setting as the dial has it, or more finely where it lies between two marks."""
    text = rounding.dial(hertz)
    return text if Fraction(text) * HZ_IN[rounding.unit] == hertz else rounding.fine(hertz)


def span(low_hz: Fraction | int, high_hz: Fraction | int, rounding: Rounding) -> str:
    """Write a range of frequencies, or the one frequency when both ends are the same."""
    low, high = rounding.fine(low_hz), rounding.fine(high_hz)
    return low if low == high else f"{low}-{high}"


def dial_span(low_hz: Fraction | int, high_hz: Fraction | int, rounding: Rounding) -> str:
    """Write a part of the dial, at the dial's rounding."""
    low, high = rounding.dial(low_hz), rounding.dial(high_hz)
    return low if low == high else f"{low}-{high}"


def heard_words(row: Mapping[str, Any], rounding: Rounding, *, am: bool) -> str:
    """Write what is heard, where and by how much, such as ``heard on 95.9 as a ghost, 22 dB above all else there``.

    Parameters
    ----------
    row : mapping
        ``heard`` (not None), ``heard_on_hz, wanted, ratio_db, pitch_hz, loudness_db, margin_db``.
    rounding : Rounding
        How the band's frequencies are written.
    am : bool
        Whether both of two carriers are heard, and neither takes over.
    """
    on, who, margin = f"on {setting(row['heard_on_hz'], rounding)}", row["wanted"], row["margin_db"]
    if row["heard"] == "nothing":
        return f"stays {margin:.0f} dB below being heard"
    if who is None:
        what = "a ghost" if row["heard"] == "ghost" else "bursts of its modulation"
        return f"heard {on} as {what}, {-margin:.0f} dB above all else there"
    if row["heard"] == "whistle":
        pitch = decimal_text(row["pitch_hz"], unit_hz=HZ_IN["kHz"], decimals=1)
        return f"{on} a whistle of {pitch} kHz on {who}, {-row['loudness_db']:.0f} dB below full programme"
    if row["heard"] == "ghost" and am:
        how = "weaker" if row["ratio_db"] < 0 else "stronger"
        return f"{on} its programme with that of {who}, {abs(row['ratio_db']):.0f} dB {how}"
    if row["heard"] == "ghost":
        return f"{on} it takes over from {who}, {row['ratio_db']:.0f} dB stronger"
    return f"{on} rough noise on {who}, {-margin:.0f} dB more than is tolerable"
