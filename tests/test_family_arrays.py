"""What families hand over: whole numbers of 64 bits, texts as objects, floats for decibels only."""

from __future__ import annotations

import numpy as np
import pytest

from freqplan import Band, Clock, Conversion, Orders, Plan, Synthesiser
from freqplan.mechanisms import FAMILIES
from freqplan.mixing import tunings

WHOLE, FLOAT, OBJECT = np.dtype(np.int64), np.dtype(np.float64), np.dtype(object)
TEXTS = {"mechanism", "oscillator", "name", "lands_on", "kind", "sources_hz"}
DECIBELS = {"below_db"}
ASKED = ("responses", "birdies", "station_spots", "station_sums")


def later(*kilohertz, side):
    return tuple(Conversion(intermediate_hz=1000 * one, oscillator=side) for one in kilohertz)


def receiver(side, *more, low_hz=87_500_000, high_hz=108_000_000, reference_hz=25_000, sidebands_db=60):
    return Plan(
        band=Band(low_hz=low_hz, high_hz=high_hz),
        conversion=(Conversion(intermediate_hz=10_700_000, oscillator=side), *more),
        clock=(Clock(name="display", frequency_hz=4_000_000),),
        synthesiser=Synthesiser(reference_hz=reference_hz, sidebands_db=sidebands_db),
        orders=Orders(signal=3, oscillator=3, if_harmonic=10),
    )


PLANS = [
    receiver("high"), receiver("low", *later(455, side="high")), receiver("high", *later(1500, 455, side="unknown")),
    receiver("sum", *later(455, side="low"), low_hz=1_600_000, high_hz=9_000_000),
    Plan(band=Band(low_hz=87_500_000, high_hz=108_000_000), conversion=receiver("high").conversion),
    # All that the synthesiser leaves lies within the filter, or nothing.
    receiver("unknown", reference_hz=1_000), receiver("high", reference_hz=100_000, sidebands_db=None),
]  # fmt: skip


@pytest.mark.parametrize("asked", ASKED)
@pytest.mark.parametrize("family", FAMILIES, ids=repr)
def test_arrays_are_of_whole_numbers_and_texts_kept_whole(family, asked):
    compute = getattr(family, asked)
    for plan in PLANS if compute else ():
        for tuning in tunings(plan):
            sums = compute(plan, tuning)
            some = sums.combinations
            parts = {
                name: np.asarray(getattr(some, name)) for name in ("a", "b", "c", "fixed_hz", "slack_hz")
            }
            assert {name: part.dtype for name, part in parts.items()} == dict.fromkeys(parts, WHOLE)
            assert sums.order.dtype == WHOLE
            expected = {
                name: OBJECT if name in TEXTS else FLOAT if name in DECIBELS else WHOLE
                for name in sums.columns
            }
            assert {name: sums.array(name).dtype for name in sums.columns} == expected
            assert {len(sums.array(name)) for name in sums.columns} <= {len(sums)}
            assert some.intermediate_hz == 10_700_000
