"""The images of later conversions."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from freqplan.chains import chains, sides_told
from freqplan.findings import text_column
from freqplan.if_filters import filter_loss_db
from freqplan.mechanisms.kinds import Family, Mechanism, Sums, joined
from freqplan.mechanisms.one_signal import LIVE_CHASSIS
from freqplan.mixing import Combinations, Tuning

if TYPE_CHECKING:
    from freqplan.plan import Plan

SECOND_IMAGE = Mechanism(
    id="second-image",
    title="image of a later conversion",
    formula="fX = fT - 2*s1*s2*fI2",
    fingerprint=(
        "A strong station again close by, two of the later IFs away, on one side only; on FM the meter and the AFC "
        "act backwards; a whistle moves 2 kHz per kHz of tuning."
    ),
    check="10 dB pad: falls 10 dB; a whistle moves 2 kHz per kHz. A better filter ahead of that mixer takes it out.",
    test=(
        "A generator by cable on that frequency comes in; turning the circuits of the IF before it changes how strong, "
        "and a pad takes off just its dB."
    ),
    cure="Line up the filter of the IF before it, or fit a narrower one; a trap on the station; a higher last IF.",
    caution=LIVE_CHASSIS,
    source="two IFs beyond the wanted signal at a later mixer, referred to the aerial: fX = fT - 2 s1 s2 fI2, exact",
)


def second_images(plan: Plan, tuning: Tuning) -> Sums:
    """Return the image of each later conversion, referred to the aerial."""
    _, n, e = tuning.wanted
    found: dict[tuple[str, int, int], float] = {}
    for chain in chains(plan):
        for place, later in enumerate(chain):
            times, source_hz = later.image_step
            for before in chain[:place]:
                times *= before.beta
            name = f"conversion {later.number}{sides_told(chain[: place + 1])}"
            found[name, -e * times, source_hz] = _filters_db(plan, later.number, abs(times) * source_hz)
    if not found:
        return joined([], tuning.intermediate_hz)
    q = np.array([times for _, times, _ in found], dtype=np.int64)
    source = np.array([hertz for *_, hertz in found], dtype=np.int64)
    ones = np.ones_like(q)
    columns = {
        "mechanism": np.full(len(q), SECOND_IMAGE.id, object),
        "oscillator": np.full(len(q), tuning.side, object),
        "m": ones,
        "n": n * ones,
        "e": e * ones,
        "name": text_column([name for name, *_ in found]),
        "q": q,
        "sources_hz": text_column([(hertz,) for hertz in source.tolist()]),
        "tuning_slope": -ones,
        "beat_rate": 2 * ones,
        "level_law": ones,
        "below_db": np.array(list(found.values())),
    }
    # Turned over against the wanted station, so that it moves the other way.
    some = Combinations(-e * ones, 0 * ones, e * ones, tuning.intermediate_hz, -e * q * source)
    return Sums(some, columns, 2 * ones)


def _filters_db(plan: Plan, number: int, offset_hz: int) -> float:
    """Return what the filters before mixer `number` take off [dB]; NaN where the last of them is not known."""
    known = [conversion.filter for conversion in plan.conversion[: number - 1]]
    if known[-1] is None:
        return float("nan")
    offset = np.array([offset_hz], dtype=np.int64)
    losses = [
        filter_loss_db(offset, bandwidth_hz=one.bandwidth_hz, bandwidth_20db_hz=one.skirts_hz)
        for one in known
        if one is not None
    ]
    return float(np.sum(losses))


FAMILY = Family(mechanisms=(SECOND_IMAGE,), responses=second_images)
