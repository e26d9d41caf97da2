"""What the reference of a synthesiser leaves on the oscillator: sidebands beside it, and a tone on every station."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from freqplan.findings import text_column
from freqplan.hertz import Int64
from freqplan.mechanisms.kinds import Family, Mechanism, Sums, joined
from freqplan.mechanisms.own_if import OPEN_SET
from freqplan.mixing import Combinations, Tuning

if TYPE_CHECKING:
    from freqplan.plan import Plan, Synthesiser

MOST_SIDEBANDS = 10
"""Sidebands are followed up to this: each is weaker than the one before; common practice, no source."""

NAME = "synthesiser"

SIDEBAND = Mechanism(
    id="synthesiser-sideband",
    title="sideband of the synthesiser",
    formula="fX = fT + q*fR",
    fingerprint=(
        "A strong station again beside itself, whole references away on either side, full width and with the meter "
        "the right way round; it falls dB for dB with a pad."
    ),
    check="10 dB pad: falls 10 dB. It stands as far away on the other side of the station as well.",
    test=(
        "Tune across the station: the ghosts stand equally far above and below it. A pad takes off just its dB, and "
        "so does a trap on the station."
    ),
    cure="A better loop filter; a clean supply and screening for the tuning voltage; a pad or a trap on the station.",
    caution=OPEN_SET,
    source="the oscillator's sideband on fL + q fR mixes the station to the IF: fX = fT + q fR, exact",
)
RIPPLE = Mechanism(
    id="reference-ripple",
    title="reference of the synthesiser in the sound",
    formula="",
    fingerprint=(
        "The same steady, thin tone on every station, unmoved by tuning; from 23 kHz of reference upwards in stereo "
        "only, and gone in mono. Between stations it drowns in the noise."
    ),
    check="It is on every station alike, and tuning, pad or trap change nothing.",
    test="Switch to mono: a tone that comes through the stereo decoder goes. Tune on: on the next station it is again.",
    cure="A better loop filter, or a trap for the reference in the tuning voltage; a filter ahead of the decoder.",
    caution=OPEN_SET,
    source=(
        "two equal sidebands at X dB below the carrier are a deviation of 2 x 10^(-X/20) times their distance, exact "
        "for small ones"
    ),
)


def sidebands(plan: Plan, tuning: Tuning) -> Sums:
    """Return the sidebands of the oscillator that lie outside half the IF filter; nearer ones are the station."""
    own = plan.synthesiser
    if own is None:
        return joined([], tuning.intermediate_hz)
    first = plan.if_filter.bandwidth_hz // (2 * own.reference_hz) + 1
    distance = np.arange(first, MOST_SIDEBANDS + 1, dtype=np.int64)
    q = np.concatenate([distance, -distance])
    ones, (_, n, e) = np.ones_like(q), tuning.wanted
    columns = {
        "mechanism": np.full(len(q), SIDEBAND.id, object),
        "oscillator": np.full(len(q), tuning.side, object),
        "m": ones,
        "n": n * ones,
        "e": e * ones,
        "name": np.full(len(q), NAME, object),
        "q": q,
        "sources_hz": text_column([(own.reference_hz,)] * len(q)),
        "tuning_slope": ones,
        "beat_rate": 0 * ones,
        "level_law": ones,
        "below_db": _below_db(own, np.abs(q)),
    }
    some = Combinations(e * ones, 0 * ones, -e * ones, tuning.intermediate_hz, e * q * own.reference_hz)
    # Each is some 10 dB weaker than the one before, as the orders of other products are; common practice, no source.
    return Sums(some, columns, 2 + 2 * np.abs(q))


def ripple(plan: Plan, tuning: Tuning) -> Sums:
    """Return the harmonics of the reference as frequencies in what an FM set's demodulator gives."""
    own = plan.synthesiser
    if own is None or plan.band.modulation != "fm":
        return joined([], tuning.intermediate_hz)
    m = np.arange(1, MOST_SIDEBANDS + 1, dtype=np.int64)
    zeros = np.zeros_like(m)
    columns = {
        "mechanism": np.full(len(m), RIPPLE.id, object),
        "oscillator": np.full(len(m), tuning.side, object),
        "m": m,
        "name": np.full(len(m), NAME, object),
        "sources_hz": text_column([(own.reference_hz,)] * len(m)),
        "tone_hz": m * own.reference_hz,
        "beat_rate": zeros,
        "level_law": zeros,
        "below_db": _below_db(own, m),
    }
    return Sums(Combinations(zeros, zeros, zeros, tuning.intermediate_hz), columns, m)


def _below_db(own: Synthesiser, number: Int64) -> np.ndarray:
    """Return how far each sideband lies below the oscillator [dB]: known of the first at most."""
    known = np.nan if own.sidebands_db is None else own.sidebands_db
    below: np.ndarray = np.where(number == 1, known, np.nan)
    return below


FAMILY = Family(mechanisms=(SIDEBAND, RIPPLE), station_spots=sidebands, birdies=ripple)
