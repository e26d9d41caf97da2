"""What the set's own intermediate frequency makes: its harmonics on the dial, and an IF strip that oscillates."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from freqplan.findings import text_column
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
    """Return the harmonics k = 2 ... of each of the set's own IFs, received as signals; later IFs are named."""
    once = np.arange(2, plan.orders.if_harmonic + 1, dtype=np.int64)
    count = len(plan.conversion)
    k, place = np.tile(once, count), np.repeat(np.arange(count), len(once))
    is_first = place == 0
    later, slack = (
        np.array([getattr(one, name) for one in plan.conversion], dtype=np.int64)[place] * k * ~is_first
        for name in ("intermediate_hz", "tolerance_hz")
    )
    columns = {
        "mechanism": np.full(len(k), IF_HARMONIC.id, object),
        "oscillator": np.full(len(k), tuning.side, object),
        "k": k,
        "beat_rate": k,
        "level_law": np.zeros_like(k),
    }
    if count > 1:
        own = [None if one == 0 else plan.conversion[one].intermediate_hz for one in place.tolist()]
        columns["name"] = text_column(
            [hz and f"conversion {one + 1}" for hz, one in zip(own, place, strict=True)]
        )
        columns["sources_hz"] = text_column([hz and (hz,) for hz in own])
    some = Combinations(
        np.ones_like(k), -k * is_first, np.zeros_like(k), tuning.intermediate_hz, -later, slack
    )
    return Sums(some, columns, k)


FAMILY = Family(mechanisms=(IF_HARMONIC, IF_OSCILLATION), birdies=harmonics)
