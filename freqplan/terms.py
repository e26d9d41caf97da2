"""What speaks against an oscillator side or an IF, each on a scale of its own from 0 to 1 that no rival shifts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from freqplan.column_kinds import Column

MANY_HARMONICS = 5
"""So many IF harmonics in the band, or more, count in full; common practice, no source."""

WIDEST_TUNING = 15.0
"""Capacitance ratio of a large air-spaced tuning capacitor with its strays; common practice, no source."""

FULL_DB = 60
"""A shortfall, or something so far above being heard, counts in full; common practice, no source."""


@dataclass(frozen=True)
class Term:
    """One thing that speaks against a choice.

    Attributes
    ----------
    name : str
        What weights call it.
    caption : str
        Head of its row in the ranking.
    scale : str
        What is measured, and what counts as 1; 0 is always "nothing of it".
    """

    name: str
    caption: str
    scale: str

    @property
    def column(self) -> str:
        """Return the key of its column: the name with underscores."""
        return f"term_{self.name.replace('-', '_')}"


TERMS = (
    Term("image-in-band", "Image in band", "the share of the dial whose image lies in the band"),
    Term("image-on-safety", "Image on safety", "the share of the image range on which lives may depend"),
    Term("half-if-in-band", "Half-IF in band", "the share of the dial with half-IF from inside the band"),
    Term(
        "fractional-if-in-band", "Frac. IF in band", "the share with (n, n) from 3 on, from inside the band"
    ),
    Term("if-in-band", "IF in band", "1 where the IF lies inside the band, else 0"),
    Term("if-harmonics", "IF harmonics", f"IF harmonics in the band over {MANY_HARMONICS}, at most 1"),
    Term("oscillator-in-band", "Osc. in band", "the share of the oscillator's range inside the band"),
    Term("oscillator-on-safety", "Osc. on safety", "the share of it on which lives may depend"),
    Term(
        "oscillator-harmonics",
        "Osc. harmonics",
        "the share of the ranges of its harmonics, all together, on which lives may depend",
    ),
    Term(
        "capacitance-ratio",
        "C ratio",
        f"the logarithm of the capacitance ratio over that of {WIDEST_TUNING:g}, at most 1",
    ),
    Term(
        "rejection",
        "Rejection",
        f"what the front end lacks against the image over {FULL_DB} dB, between 0 and 1",
    ),
    Term("heard", "Heard", "disturbances heard by their level over listed stations, at most 1"),
    Term("worst", "Worst heard", f"how far the worst is above being heard over {FULL_DB} dB, at most 1"),
)
TERM_NAMES = tuple(term.name for term in TERMS)

TERM_COLUMNS: Mapping[str, Column] = {
    term.column: Column(term.caption, "factor", f"Weight times this: {term.scale}.") for term in TERMS
}
