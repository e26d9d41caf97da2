"""Columns that only the answer about dial readings has."""

from __future__ import annotations

from collections.abc import Mapping

from freqplan.column_kinds import Column

DIAL_COLUMNS: Mapping[str, Column] = {
    "how_much": Column("How much", "text", "What an explanation of dial readings amounts to."),
    "value": Column(
        "Value",
        "text",
        "The value fitted: pointer, by how much the dial reads high; if-off-centre, the real IF; oscillator-scaled "
        "and wrong-side, the oscillator against what the scale is made for; coil, inductance too much; trimmer, "
        "capacitance too much, against the total where it is least.",
    ),
    "unit": Column("Unit", "text", "Of the value: hz, ratio or percent."),
    "ratio": Column("q", "factor", "Oscillator against what the scale is made for, trimmer left out."),
    "trimmer_percent": Column(
        "Trimmer",
        "text",
        "Capacitance too much beside the tuning capacitor, in percent of the total where it is least.",
    ),
    "residual_hz": Column(
        "Left over", "pitch", "What an explanation leaves unexplained, as root mean square over the readings."
    ),
    "verdict": Column(
        "Verdict",
        "text",
        "Of dial readings: fits, leaves no more than the reading error and, of more than six settings, not much more "
        "than the best; roughly, up to three times that error; or ruled-out. "
        "Of a cause: proved, from 95 % and nothing against it; fits; possible, below 30 %; or ruled-out.",
    ),
    "advice": Column("Advice", "text", "What to do if it is so."),
    "reads_hz": Column("Reads", "hertz", "Where the dial stands."),
    "is_hz": Column("Is", "hertz", "Carrier of the station that plays there."),
    "plays": Column("Plays", "text", "Station that plays there, as the list of readings has it."),
    "expected_hz": Column("Expected", "hertz", "What should play there by the first explanation."),
    "error_hz": Column("Error", "beat", "What plays there less what should by the first explanation."),
    "oscillator_should_hz": Column(
        "Osc. should", "hertz", "Oscillator frequency that the scale is made for at this setting."
    ),
    "oscillator_is_hz": Column("Osc. is", "hertz", "Oscillator frequency there by the first explanation."),
}
