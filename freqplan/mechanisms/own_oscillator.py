"""What the set's own oscillator does alone: a harmonic in the IF, or the oscillator standing on a station."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from freqplan.mechanisms.kinds import Family, Mechanism, Sums
from freqplan.mechanisms.own_if import OPEN_SET
from freqplan.mixing import Combinations, Tuning

if TYPE_CHECKING:
    from freqplan.plan import Plan

FAN_CENTRE = 5
"""Rank of the oscillator on a station: behind the half-IF responses, before the rest of the station's fan."""

OSCILLATOR_IN_IF = Mechanism(
    id="oscillator-in-if",
    title="oscillator in the IF",
    formula="n*fL = fI",
    fingerprint=(
        "A dead place on the dial: the meter stands up, nothing is heard, and pulling out the aerial changes nothing."
    ),
    check="Aerial out: the meter stays up here. Tune away: it falls.",
    test="Pull out the aerial: the meter stays up. Tune away by more than the IF filter: it falls.",
    cure=(
        "A balanced mixer; less oscillator drive; the other oscillator side or another IF, so that the place leaves "
        "the band."
    ),
    caution=OPEN_SET,
    source="the n-th harmonic of the oscillator on the IF: n fL = fI, exact",
)
OSCILLATOR_ON_STATION = Mechanism(
    id="oscillator-on-station",
    title="oscillator standing on a station",
    formula="fX = fL",
    fingerprint=(
        "A dead or torn place on the dial, with ghosts of the one strong station closing in on it from both sides."
    ),
    check="A trap for the station at the aerial socket brings the place back to life.",
    test="Put a trap for that station in the aerial lead: the place comes back to life.",
    cure="A trap on the station; a pad; more selectivity before the mixer.",
    source="the oscillator meets a carrier: fX = fL, exact",
)


def in_the_if(plan: Plan, tuning: Tuning) -> Sums:
    """Return the oscillator harmonics that can land on the IF itself."""
    n = np.arange(1, plan.orders.oscillator + 1, dtype=np.int64)
    zeros = np.zeros_like(n)
    columns = {
        "mechanism": np.full(len(n), OSCILLATOR_IN_IF.id, object),
        "oscillator": np.full(len(n), tuning.side, object),
        "n": n,
        "level_law": zeros,
    }
    return Sums(Combinations(n * tuning.sigma, n * tuning.t - 1, zeros, tuning.intermediate_hz), columns, n)


def on_a_station(plan: Plan, tuning: Tuning) -> Sums:
    """Return the meeting of the oscillator with a carrier."""
    one = np.ones(1, dtype=np.int64)
    columns = {
        "mechanism": np.full(1, OSCILLATOR_ON_STATION.id, object),
        "oscillator": np.full(1, tuning.side, object),
    }
    return Sums(
        Combinations(one * tuning.sigma, one * tuning.t, -one, tuning.intermediate_hz),
        columns,
        FAN_CENTRE * one,
    )


FAMILY = Family(
    mechanisms=(OSCILLATOR_IN_IF, OSCILLATOR_ON_STATION), birdies=in_the_if, station_spots=on_a_station
)
