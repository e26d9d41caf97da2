"""What the set's own intermediate frequency makes: its harmonics on the dial, and an IF strip that oscillates."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from freqplan.mechanisms.kinds import Family, Mechanism, Sums
from freqplan.mixing import Combinations, Tuning

if TYPE_CHECKING:
    from freqplan.plan import Plan

OPEN_SET = "Inside the set: mains and, in valve sets, high voltage; discharge the capacitors before touching anything."

IF_HARMONIC = Mechanism(
    id="if-harmonic",
    title="harmonic of the IF",
    formula="fT = k*fI",
    fingerprint=(
        "A whistle or burble on a station at one fixed place of the dial, moving k kHz per kHz of tuning. Between "
        "stations nothing is heard there; it needs a carrier, so pulling out the aerial proves nothing."
    ),
    check="On a station here: a whistle of {k} kHz per kHz of tuning; a pad makes it worse, not better.",
    test=(
        "Leave the set alone and move a signal generator across the spot: the pitch follows. Put a pad in the "
        "aerial lead: against the station the whistle gets no softer. The real IF is this frequency over k."
    ),
    cure=(
        "Earth and screen the detector and limiter, dress their leads away from the aerial end; move the IF by another "
        "filter rank so that the harmonic leaves the local station."
    ),
    caution=OPEN_SET,
    source="the k-th harmonic of the IF received as a signal: fT = k fI, exact",
)
IF_OSCILLATION = Mechanism(
    id="if-oscillation",
    title="oscillation of the IF strip",
    formula="",
    fingerprint=(
        "The noise between stations goes quiet and the meter stands up everywhere; every station whistles; with the "
        "aerial out the quiet stays."
    ),
    check="Aerial out: the quiet stays.",
    test=("Pull out the aerial: the quiet stays. Damp one IF circuit with 10 kilohms: the noise comes back."),
    cure=(
        "Renew the decoupling capacitors of the IF strip; put back missing screens; damp a circuit that was lined "
        "up too sharp."
    ),
    caution=OPEN_SET,
    source="common practice, no source",
)


def harmonics(plan: Plan, tuning: Tuning) -> Sums:
    """Return the harmonics k = 2 ... of the set's own IF, received as signals."""
    k = np.arange(2, plan.orders.if_harmonic + 1, dtype=np.int64)
    ones, zeros = np.ones_like(k), np.zeros_like(k)
    columns = {
        "mechanism": np.full(len(k), IF_HARMONIC.id, object),
        "oscillator": np.full(len(k), tuning.side, object),
        "k": k,
        "beat_rate": k,
        "level_law": zeros,
    }
    return Sums(Combinations(ones, -k, zeros, tuning.intermediate_hz), columns, k)


FAMILY = Family(mechanisms=(IF_HARMONIC, IF_OSCILLATION), birdies=harmonics)
