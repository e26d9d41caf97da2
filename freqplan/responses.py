"""What lands on the IF while the dial runs over the band, and how strong it must be."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from freqplan.findings import Findings, stack, text_column
from freqplan.hertz import Int64, Ratios
from freqplan.levels import Levels, levels_of
from freqplan.mechanisms import FAMILIES, Family, Sums
from freqplan.mixing import Tuning
from freqplan.reach import clipped, ordered, touches
from freqplan.services import names_over

if TYPE_CHECKING:
    from freqplan.plan import Plan

RESPONSE_COLUMNS = (
    "mechanism", "oscillator", "order", "m", "n", "e", "low_hz", "high_hz", "dial_low_hz", "dial_high_hz",
    "tuning_slope", "beat_rate", "level_law", "rejection_db", "services", "name", "q", "sources_hz",
)  # fmt: skip
DETAILS = ("order", "services", "q", "sources_hz")
MOST_SETTINGS = 257
"""Settings of the dial among which the worst is sought; selectivity changes steadily between them."""


def settings_over(plan: Plan) -> Int64:
    """Return settings over the whole dial, both ends among them; (g,) [Hz]."""
    settings = np.linspace(plan.band.low_hz, plan.band.high_hz, MOST_SETTINGS)
    return np.unique(settings.astype(np.int64))


def responses(plan: Plan, sides: Sequence[Tuning], families: Sequence[Family] = FAMILIES) -> Findings:
    """Return one row per (mechanism, m, n, e), lowest order first.

    Parameters
    ----------
    plan : Plan
        The receiver.
    sides : sequence of Tuning
        Oscillator sides to answer for.
    families : sequence of Family
        The mechanisms to compute.

    Returns
    -------
    Findings
        Range of the signal and who lives there, the part of the dial over which it lies inside the band itself, and,
        with a front end, the smallest rejection.

    Raises
    ------
    SweepError
        The measured response of the front end cannot be read.
    """
    known = levels_of(plan)
    tables = [
        _response_table(plan, sums, known)
        for tuning in sides
        for family in families
        if family.responses and len(sums := family.responses(plan, tuning))
    ]
    details: tuple[str, ...] = DETAILS if known is None else (*DETAILS, "tuning_slope")
    # The names of later conversions take their place; the law is m.
    details += ("beat_rate", "level_law") if len(plan.conversion) > 1 else ()
    return stack("Responses over the band", tables, RESPONSE_COLUMNS, details=details, by="order")


def signal_ranges(plan: Plan, sums: Sums) -> tuple[Sums, Ratios, Ratios]:
    """Return the sums that have a signal above zero somewhere on the dial, and its range over the dial, each (k,)."""
    low, high = ordered(
        sums.combinations.signal(plan.band.low_hz), sums.combinations.signal(plan.band.high_hz)
    )
    exists = high.num > 0
    low, high = low[exists], high[exists]
    return sums.take(exists), Ratios(np.maximum(low.num, 0), low.den), high


def _response_table(plan: Plan, sums: Sums, known: Levels | None) -> Findings:
    sums, low, high = signal_ranges(plan, sums)
    dial_low, dial_high = _dial_in_band(plan, sums)
    return sums.findings(
        "Responses over the band",
        low_hz=low,
        high_hz=high,
        dial_low_hz=dial_low,
        dial_high_hz=dial_high,
        services=text_column(names_over(low, high, region=plan.region)),
        rejection_db=np.full(len(sums), None, object) if known is None else _least_rejection_db(known, sums),
    )


def _least_rejection_db(known: Levels, sums: Sums) -> np.ndarray:
    """Return the smallest rejection over the dial, against the plan's usual wanted station; (k,) [dB].

    Over a few hundred settings, both ends among them, and the setting where the response crosses the very
    frequency to which the front end is tuned.
    """
    plan, some = known.plan, sums.combinations
    crossing = some.own_dial(above_hz=known.front_end.detuning_hz).rough()
    inside = (plan.band.low_hz <= crossing) & (crossing <= plan.band.high_hz)
    own = np.where(inside, crossing, plan.band.low_hz)[:, None]
    settings = settings_over(plan)
    dial = np.concatenate([np.broadcast_to(settings, (len(sums), len(settings))), own], axis=1)
    signal = some.signal_about(dial)
    rejection = sums.below_db[:, None] + known.rejection_db(
        sums.array("m")[:, None], sums.array("n")[:, None], signal_hz=np.where(signal > 0, signal, np.nan),
        dial_hz=dial, wanted_dbuv=known.front_end.wanted_dbuv,
    )  # fmt: skip
    # Unknown at one setting is unknown altogether: the smallest may lie just there.
    least: np.ndarray = np.where(signal > 0, rejection, np.inf).min(axis=1)
    return np.where(np.isinf(least), np.nan, least)


def _dial_in_band(plan: Plan, sums: Sums) -> tuple[Ratios, Ratios]:
    """Return the part of the dial over which each response lies inside the band; "none" where nowhere."""
    low_hz, high_hz = plan.band.low_hz, plan.band.high_hz
    some = sums.combinations
    one, other = ordered(some.dial(low_hz), some.dial(high_hz))
    meets = touches(one, other, low_hz, high_hz)
    one, other = clipped(one, low_hz, high_hz).where(meets), clipped(other, low_hz, high_hz).where(meets)
    # A response that tuning does not move (a = 0) lies in the band over all of the dial or nowhere.
    signal = some.signal(low_hz)
    fixed = (some.a == 0) & touches(signal, signal, low_hz, high_hz)
    return one.replaced(fixed, low_hz), other.replaced(fixed, high_hz)
