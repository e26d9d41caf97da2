"""The oscillator over the dial: its range, its ratio, and what it radiates into."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import TYPE_CHECKING

import numpy as np

from freqplan.findings import Findings, text_column
from freqplan.hertz import Ratios
from freqplan.mixing import Tuning
from freqplan.services import names_of, services_in

if TYPE_CHECKING:
    from freqplan.plan import Plan


def oscillator_range(plan: Plan, tuning: Tuning) -> tuple[int, int]:
    """Return the lowest and highest oscillator frequency over the dial [Hz]."""
    low, high = sorted((tuning.oscillator_hz(plan.band.low_hz), tuning.oscillator_hz(plan.band.high_hz)))
    return low, high


def oscillators(plan: Plan, sides: Sequence[Tuning]) -> Findings:
    """Return range, ratio and radiation of the oscillator on each side, one row a side.

    The capacitance ratio is the square of the frequency ratio: a circuit tuned by its capacitance alone.
    """
    ranges = [oscillator_range(plan, tuning) for tuning in sides]
    ratios = [high / low for low, high in ranges]
    return Findings(
        "Oscillator",
        {
            "oscillator": text_column([tuning.side for tuning in sides]),
            "oscillator_low_hz": Ratios([low for low, _ in ranges]),
            "oscillator_high_hz": Ratios([high for _, high in ranges]),
            "oscillator_ratio": np.array(ratios),
            "capacitance_ratio": np.array(ratios) ** 2,
            "radiates_into": text_column([who_lives_in(*ends, region=plan.region) for ends in ranges]),
        },
    )


def who_lives_in(low_hz: Fraction | int, high_hz: Fraction | int, *, region: int = 1) -> tuple[str, ...]:
    """Return the names of the services of an ITU Region whose bands overlap a range, each once."""
    return names_of(services_in(low_hz, high_hz, region=region))
