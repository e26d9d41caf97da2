"""What one signal and the oscillator make together: image, half-IF, harmonic mixing, and the station's own."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from freqplan.mechanisms.kinds import Family, Mechanism, Sums
from freqplan.mixing import Combinations, Patterns, Tuning, patterns

if TYPE_CHECKING:
    from freqplan.plan import Plan

EQUATION = "IEC 60050-161:2016, entry 161-06-06 (spurious frequency); the equation with m, n and e put in"
LIVE_CHASSIS = (
    "A set without a mains transformer can have a live chassis: use an isolating transformer before "
    "anything is connected to its aerial socket."
)

IMAGE = Mechanism(
    id="image",
    title="image",
    formula="fX = fL - e*fI",
    fingerprint=(
        "A second place on the dial, two IFs from the right one (in a sum converter, twice the IF less its "
        "frequency); on FM the meter and the AFC act backwards; a whistle moves 2 kHz per kHz of tuning."
    ),
    check="10 dB pad: falls 10 dB; a whistle moves 2 kHz per kHz. On FM meter and AFC act backwards.",
    test=(
        "Put a pad in the aerial lead: the ghost falls by the pad's dB and a whistle on a steady station stays "
        "as it was. Then a trap on the image frequency: it must go."
    ),
    cure="Line up the front end; a trap on the one strong station; another tuned circuit; a higher IF.",
    caution=LIVE_CHASSIS,
    source=EQUATION,
)
IF_BREAKTHROUGH = Mechanism(
    id="if-breakthrough",
    title="IF breakthrough",
    formula="fX = fI/m",
    fingerprint="The same signal all over the dial; tuning changes neither it nor its place.",
    check="Tune away: it stays. A trap for it at the aerial socket takes it out; 10 dB pad: falls {fall} dB.",
    test=(
        "Tune across the band: it stays. Aerial out: it goes, unless it enters by the mains lead or a long "
        "loudspeaker lead; then chokes in those leads tell."
    ),
    cure="An IF trap at the aerial socket; a screen on the IF strip; chokes in the leads.",
    caution=LIVE_CHASSIS,
    source=EQUATION,
)
HALF_IF = Mechanism(
    id="half-if",
    title="half-IF response",
    formula="fX = fL - e*fI/2",
    fingerprint=(
        "A strong station again half an IF away (below its place on a high-side set, above it on a low-side "
        "set), and weaker one and a half IFs away; half as wide on the dial and torn; a pad of 10 dB takes "
        "20 dB off it."
    ),
    check="10 dB pad: falls 20 dB, and as a whistle it gets 10 dB better. Half as wide as the station.",
    test="Put a 10 dB pad in the aerial lead: it falls by 20 dB, and as a whistle it gets 10 dB better.",
    cure="A pad or a trap on the strong station; the right bias and oscillator drive for the mixer; a balanced mixer.",
    caution=LIVE_CHASSIS,
    source=EQUATION,
)
FRACTIONAL_IF = Mechanism(
    id="fractional-if",
    title="fractional-IF response",
    formula="fX = fL - e*fI/n",
    fingerprint=(
        "A very strong station comes back as a fan of ever narrower ghosts that closes in on the setting "
        "where the oscillator stands on it."
    ),
    check="10 dB pad: falls {fall} dB. A trap on the station clears the whole fan.",
    test="Put a pad of a few dB in the aerial lead: the ghosts of order n fall by n times its dB and soon are gone.",
    cure="A pad, or a trap on the strong station.",
    caution=LIVE_CHASSIS,
    source=EQUATION,
)
OSCILLATOR_HARMONIC = Mechanism(
    id="oscillator-harmonic",
    title="response through an oscillator harmonic",
    formula="fX = n*fL - e*fI",
    fingerprint="A station, as a rule of a higher band, narrower on the dial by n; it falls dB for dB with a pad.",
    check="10 dB pad: falls 10 dB. A trap for it takes it out, or a low-pass filter where it lies above the band.",
    test="Put a trap for it, or for a station above the band a low-pass filter, in the aerial lead: it goes. A pad "
    "takes off just its dB.",
    cure="A low-pass filter or a trap at the aerial socket; less oscillator drive.",
    caution=LIVE_CHASSIS,
    source=EQUATION,
)
SIGNAL_HARMONIC = Mechanism(
    id="signal-harmonic",
    title="harmonic of the signal",
    formula="fX = (fL - e*fI)/m",
    fingerprint=(
        "A strong station, as a rule of a lower band, where its m-th harmonic is the dial setting (meter normal) "
        "or the image (meter backwards), full width on the dial; a pad of 10 dB takes m times 10 dB off. If only "
        "10 dB go, the transmitter radiates the harmonic."
    ),
    check="10 dB pad: falls {fall} dB, but only 10 dB if the transmitter itself radiates the harmonic.",
    test="Put a pad in the aerial lead and compare the fall with m times its dB; then a high-pass filter: it must go.",
    cure="A high-pass filter or a trap on the strong signal at the aerial socket.",
    caution=LIVE_CHASSIS,
    source=EQUATION,
)
HARMONIC_MIXING = Mechanism(
    id="harmonic-mixing",
    title="harmonic mixing",
    formula="fX = (n*fL - e*fI)/m",
    fingerprint="A strong station in an odd place, narrower by n on the dial; it falls m dB per dB of pad.",
    check="10 dB pad: falls {fall} dB. A trap on the station takes it out.",
    test="Put a pad in the aerial lead: the fall gives m. The width with an unmodulated generator gives n.",
    cure="A pad or a trap on the strong station; a filter for the band at the aerial socket.",
    caution=LIVE_CHASSIS,
    source=EQUATION,
)
SELF_MIXING = Mechanism(
    id="self-mixing",
    title="self-mixing of the wanted station",
    formula="e*(n*fL - m*fT) = fI",
    fingerprint="A whistle on a strong station at one fixed place of the dial; a pad softens it by m - 1 times its dB.",
    check="10 dB pad: the whistle gets {better} dB softer; that of an IF harmonic gets worse.",
    test="Put a pad in the aerial lead: the whistle gets softer, or stays if m is 1; of an IF harmonic it gets worse.",
    cure="A pad; the right oscillator drive. High orders are the last suspects, not the first.",
    source=EQUATION,
)

_NAMES = (
    IF_BREAKTHROUGH,
    IMAGE,
    HALF_IF,
    FRACTIONAL_IF,
    OSCILLATOR_HARMONIC,
    SIGNAL_HARMONIC,
    HARMONIC_MIXING,
)


def names(some: Patterns) -> np.ndarray:
    """Return the mechanism id of each pattern; shape (k,), text."""
    m, n = some.m, some.n
    chosen = np.select(
        [n == 0, n < 0, (m == 1) & (n == 1), (m == 2) & (n == 2), m == n, m == 1, n == 1],
        [0, 6, 1, 2, 3, 4, 5],
        default=6,
    )
    ids: np.ndarray = np.array([mechanism.id for mechanism in _NAMES], dtype=object)[chosen]
    return ids


def responses(plan: Plan, tuning: Tuning) -> Sums:
    """Return every product of one outside signal and the oscillator, up to the plan's orders."""
    return _every_product(tuning, plan.orders.signal, plan.orders.oscillator)


def own_station(plan: Plan, tuning: Tuning) -> Sums:
    """Return the products of the station tuned in with the oscillator that land on the IF somewhere on the dial."""
    every = responses(plan, tuning)
    some = every.take(every.combinations.a + every.combinations.c != 0)
    return Sums(
        some.combinations,
        {**some.columns, "mechanism": np.full(len(some), SELF_MIXING.id, object)},
        some.order,
    )


# Every survey and channel asks for the same products; they depend on nothing but these three.
@lru_cache(maxsize=64)
def _every_product(tuning: Tuning, signal: int, oscillator: int) -> Sums:
    some = patterns(tuning, signal=signal, oscillator=oscillator)
    slope = some.e * some.n * tuning.wanted_slope
    columns = {
        "mechanism": names(some),
        "oscillator": np.full(len(some.m), tuning.side, object),
        "m": some.m,
        "n": some.n,
        "e": some.e,
        "tuning_slope": slope,
        "beat_rate": np.abs(slope - 1),
        "level_law": some.m,
    }
    for values in columns.values():
        values.flags.writeable = False
    return Sums(Combinations.of_patterns(tuning, some), columns, some.order)


FAMILY = Family(mechanisms=(*_NAMES, SELF_MIXING), responses=responses, birdies=own_station)
