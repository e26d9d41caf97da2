"""Columns that only a diagnosis has."""

from __future__ import annotations

from collections.abc import Mapping

from freqplan.column_kinds import Column

DIAGNOSIS_COLUMNS: Mapping[str, Column] = {
    "symptom": Column("Symptom", "count", "Which of the symptoms in the evidence, from 1."),
    "probability": Column("Prob.", "share", "Probability of the cause, given everything observed."),
    "signal_hz": Column("Signal", "hertz", "Frequency of the signal from outside that takes part."),
    "against": Column("Against it", "notes", "Observations that speak against the cause."),
    "what": Column("Test", "text", "What to do."),
    "bits": Column("Tells", "ratio", "Expected information on the cause, in bits."),
    "effort": Column(
        "Effort", "count", "1 hands and ears; 2 what is at hand; 3 a pad or a trap; 4 instruments; 5 time."
    ),
    "first_reading": Column(
        "Likeliest cause", "text", "What the test reads if the likeliest cause is the right one."
    ),
    "second_reading": Column("Its rival", "text", "What the test reads if its rival is the right one."),
}
"""In the order of the JSON keys."""
