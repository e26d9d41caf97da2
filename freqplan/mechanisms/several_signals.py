"""What two or three strong stations make together: in the RF stage, in the mixer, or outside the set."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from freqplan.mechanisms.kinds import Family, Mechanism, Sums
from freqplan.mechanisms.one_signal import LIVE_CHASSIS
from freqplan.mixing import Combinations, Patterns, Tuning
from freqplan.station_sums import TIMES, order_of

if TYPE_CHECKING:
    from freqplan.plan import Plan

SUM_AS_SIGNAL = (
    "a sum of two or three signals, put into the equation for fX; the level law is its total order, exact"
)
NAMES_OF_SUMS = "names as in US Army TM 11-490-5"

SECOND_ORDER = Mechanism(
    id="second-order",
    title="second-order product of two stations",
    formula="fX = n*fL - e*fI",
    fingerprint=(
        "Both programmes at once, where the sum A + B or the difference A - B of two strong stations, as a rule of "
        "other bands, is the dial setting; a pad of 10 dB takes 20 dB off it."
    ),
    check="10 dB pad: falls 20 dB. A trap on either station takes it out.",
    test="Put a 10 dB pad in the aerial lead: it falls by 20 dB. A trap on either of the two stations takes it out.",
    cure="A filter for the band, or a trap on the stronger one, at the aerial socket; a pad.",
    caution=LIVE_CHASSIS,
    source=f"{SUM_AS_SIGNAL}; {NAMES_OF_SUMS}",
)
THIRD_ORDER = Mechanism(
    id="third-order",
    title="third-order product of strong stations",
    formula="fX = n*fL - e*fI",
    fingerprint=(
        "Two or three programmes at once, torn, where 2A - B or A + B - C of strong stations is the dial setting: "
        "where nobody transmits, or over a weak station; as wide as a station; a pad of 10 dB takes 30 dB off it."
    ),
    check="10 dB pad: falls 30 dB; if only 10 dB, it is made outside the set. A trap on any of them takes it out.",
    test=(
        "Put a 10 dB pad in the aerial lead: it falls by 30 dB and is gone. If it falls by 10 dB only, it is made "
        "outside the set. A trap on any one of the stations takes it out."
    ),
    cure="A pad; a smaller aerial; a trap on the strongest station; more selectivity before the RF stage.",
    caution=LIVE_CHASSIS,
    source=f"{SUM_AS_SIGNAL}; {NAMES_OF_SUMS}",
)
THIRD_ORDER_OUTSIDE = Mechanism(
    id="third-order-outside",
    title="third-order product made outside the set",
    formula="fX = n*fL - e*fI",
    fingerprint=(
        "The same as a third-order product of the set, but a pad takes off its own dB only, and other sets in the same "
        "place have it too; often it comes and goes with the weather."
    ),
    check="10 dB pad: falls 10 dB, and another set in the same place has it too.",
    test=(
        "Put a pad in the aerial lead: it falls by just its dB. Another set on another aerial nearby has it too. Press "
        "on joints, clamps and gutters near the aerial: it crackles or goes."
    ),
    cure=(
        "Clean, bond or isolate corroded joints of masts, gutters and aerials. Where a transmitter makes it, log time "
        "and frequency and report it to its operator or the authority."
    ),
    source=f"the same sums as made in the set, received as a signal; {NAMES_OF_SUMS}",
)
IF_SPACED_PAIR = Mechanism(
    id="if-spaced-pair",
    title="two stations one IF apart",
    formula="A - B = fI",
    fingerprint=(
        "Both programmes everywhere on the dial, or a whistle on every station; with the dial on the one, the "
        "oscillator may stand on the other; and another set nearby, tuned to the one, radiates on the other."
    ),
    check=(
        "Everywhere: it is their difference in the IF, and a 10 dB pad takes 20 dB off it. Only with the dial on one "
        "of them: the oscillator on the other. Gone when another set is off: that set's oscillator."
    ),
    test=(
        "Tune across the band: what stays is their difference in the IF, and falls 20 dB with a 10 dB pad. What "
        "is there on one of the two only is the oscillator on the other. What goes with another set is that set."
    ),
    cure="A trap on the stronger one at the aerial socket; a pad; the other oscillator side; the other set away.",
    caution=LIVE_CHASSIS,
    source="the difference of two signals on the IF: A - B = fI, exact; 47 CFR 73.207 keeps such pairs apart",
)
PAIR_HALF_IF = Mechanism(
    id="pair-half-if",
    title="half-IF response of two stations",
    formula="A + B = 2*fL - e*fI",
    fingerprint=(
        "Two programmes at once half as wide as a station, half-way between the half-IF places of each; a pad of 10 "
        "dB takes 20 dB off it."
    ),
    check="10 dB pad: falls 20 dB. A trap on either station takes it out. Half as wide as a station.",
    test="Put a 10 dB pad in the aerial lead: it falls by 20 dB. A trap on either of the two takes it out.",
    cure="A pad or a trap on the stronger one; the right bias and oscillator drive for the mixer; a balanced mixer.",
    caution=LIVE_CHASSIS,
    source="the half-IF relation with two signals: A + B in place of 2*fX, exact",
)

DIAL, IF, IMAGE, HALF_IF, OTHER = "dial", "if", "image", "half-if", "other"
"""What a sum lands on."""

LEAST_HARMONICS = 2
"""Harmonics of the oscillator followed whatever the plan's orders: half-IF responses of pairs need the second."""


@lru_cache(maxsize=16)
def _patterns(oscillator: int) -> Patterns:
    """Return every (1, n, e) by which a sum of stations, a signal like any other, is received."""
    n, e = np.meshgrid(np.arange(-oscillator, oscillator + 1), np.array([1, -1]), indexing="ij")
    every = Patterns(np.ones(n.size, dtype=np.int64), n.ravel().astype(np.int64), e.ravel().astype(np.int64))
    # Of e*(0 - fX) = fI only e = -1 has a solution above zero.
    return every.take((every.n != 0) | (every.e < 0))


def receptions(plan: Plan, tuning: Tuning) -> Sums:
    """Return how sums of stations are received: one row for each kind of sum, oscillator harmonic and sense.

    The signal of these combinations is the sum itself.
    """
    some = _patterns(max(plan.orders.oscillator, LEAST_HARMONICS))
    _, wanted_n, wanted_e = tuning.wanted
    lands_on = np.full(len(some.n), OTHER, dtype=object)
    lands_on[some.n == 0] = IF
    lands_on[(some.n == wanted_n) & (some.e == wanted_e)] = DIAL
    lands_on[(some.n == 1) & (lands_on != DIAL)] = IMAGE
    kinds = [(kind, False) for kind in TIMES] + [(kind, True) for kind in TIMES if order_of(kind) == 3]
    rows = [_columns(tuning, some, kind, lands_on, outside=outside) for kind, outside in kinds]
    columns = {name: np.concatenate([row[name] for row in rows]) for name in rows[0]}
    place = np.tile(np.arange(len(some.n)), len(rows))
    order = np.concatenate([order_of(kind) + np.abs(some.n) for kind, _ in kinds])
    return Sums(Combinations.of_patterns(tuning, some).take(place), columns, order)


def _columns(
    tuning: Tuning, some: Patterns, kind: str, lands_on: np.ndarray, *, outside: bool
) -> dict[str, np.ndarray]:
    order, count = order_of(kind), len(some.n)
    where = lands_on.copy()
    mechanism = np.full(count, SECOND_ORDER.id if order == 2 else THIRD_ORDER.id, dtype=object)
    if outside:
        mechanism[:] = THIRD_ORDER_OUTSIDE.id
    if kind == "A-B":
        mechanism[some.n == 0] = IF_SPACED_PAIR.id
    if kind == "A+B":
        mechanism[some.n == 2] = PAIR_HALF_IF.id
        where[some.n == 2] = HALF_IF
    w = tuning.wanted_slope
    return {
        "kind": np.full(count, kind, dtype=object),
        "mechanism": mechanism,
        "oscillator": np.full(count, tuning.side, dtype=object),
        "lands_on": where,
        "n": some.n,
        "e": some.e,
        "tuning_slope": some.e * some.n * w,
        "beat_rate": np.abs(some.e * some.n - w),
        "level_law": np.full(count, 1 if outside else order, dtype=np.int64),
    }


FAMILY = Family(
    mechanisms=(SECOND_ORDER, THIRD_ORDER, THIRD_ORDER_OUTSIDE, IF_SPACED_PAIR, PAIR_HALF_IF),
    station_sums=receptions,
)
