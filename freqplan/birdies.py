"""Spots of the dial at which the set disturbs itself, and what of its own making is everywhere."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import TYPE_CHECKING

import numpy as np

from freqplan.findings import Findings, Values, stack, text_column
from freqplan.hearing import JUST_AUDIBLE_DB, NOTHING, WHISTLE, zones_of
from freqplan.hertz import Ratios
from freqplan.mechanisms import FAMILIES, Family, Sums
from freqplan.mixing import Tuning
from freqplan.reach import clipped, touches
from freqplan.tones import Zone, audible, loudness_db, pitches_hz

if TYPE_CHECKING:
    from freqplan.plan import Plan

BIRDIE_COLUMNS = (
    "mechanism", "oscillator", "order", "k", "m", "n", "q", "e", "name", "lands_on", "dial_hz", "dial_low_hz",
    "dial_high_hz", "beat_rate", "level_law", "sources_hz", "tuning_slope", "zone", "pitch_hz", "heard", "loudness_db",
    "margin_db",
)  # fmt: skip
DETAILS = ("order", "e", "tuning_slope", "sources_hz")
WHERE_THERE_IS_MORE = ("level_law", "zone", "pitch_hz", "heard", "loudness_db")
"""Left out of an overview too where names and notes would make it wider than a screen."""

BOTH_SIDEBANDS_DB = 20 * np.log10(2)
"""Two equal sidebands turn the phase of a carrier by twice their voltage ratio."""


def birdies(
    plan: Plan, sides: Sequence[Tuning], families: Sequence[Family] = FAMILIES, *, low_hz: Fraction | int | None = None,
    high_hz: Fraction | int | None = None,
) -> Findings:  # fmt: skip
    """Return the spots of the dial at which the set disturbs itself, along the dial; last what is everywhere.

    Parameters
    ----------
    plan : Plan
        The receiver.
    sides : sequence of Tuning
        Oscillator sides to answer for.
    families : sequence of Family
        The mechanisms to compute.
    low_hz, high_hz : Fraction or int, optional [Hz]
        Part of the dial to look at, the band by default.  Ranges from the IF tolerance are clipped to the band.

    Returns
    -------
    Findings
        ``dial_hz`` is None for what is everywhere; its range is the whole band.
    """
    start, stop = low_hz or plan.band.low_hz, high_hz or plan.band.high_hz
    tables = [
        _birdie_table(plan, sums, start, stop)
        for tuning in sides
        for family in families
        if family.birdies and len(sums := family.birdies(plan, tuning))
    ]
    has_more = plan.synthesiser is not None or len(plan.conversion) > 1
    details = DETAILS + (WHERE_THERE_IS_MORE if has_more else ())
    table = stack("Birdies", tables, BIRDIE_COLUMNS, details=details, by="order")
    return table.take(np.argsort(table.hertz("dial_hz").rough(), kind="stable"))


def _birdie_table(plan: Plan, sums: Sums, start_hz: Fraction | int, stop_hz: Fraction | int) -> Findings:
    band = plan.band
    low, high = sums.combinations.own_range(plan.conversion[0].tolerance_hz)
    everywhere = sums.combinations.everywhere(plan.if_filter.bandwidth_hz)
    meets = touches(low, high, start_hz, stop_hz) | everywhere
    sums, low, high, everywhere = sums.take(meets), low[meets], high[meets], everywhere[meets]
    table = sums.findings(
        "Birdies",
        dial_hz=sums.combinations.own_dial(),
        dial_low_hz=clipped(low, band.low_hz, band.high_hz).replaced(everywhere, band.low_hz),
        dial_high_hz=clipped(high, band.low_hz, band.high_hz).replaced(everywhere, band.high_hz),
    )
    return _as_notes(plan, table) if "tone_hz" in table.columns else table


def _as_notes(plan: Plan, tones: Findings) -> Findings:
    """Return tones in what the demodulator gives as the notes that the set makes of them, a row for each."""
    return stack("Birdies", [_notes(plan, tones, zone) for zone in zones_of(plan)], BIRDIE_COLUMNS)


def _notes(plan: Plan, tones: Findings, zone: Zone) -> Findings:
    tones = tones.take(audible(zone, tones.array("tone_hz")))
    tone_hz = tones.array("tone_hz")
    loudness = loudness_db(
        modulation=plan.band.modulation, zone=zone, offset_hz=tone_hz,
        ratio_db=BOTH_SIDEBANDS_DB - tones.floats("below_db"), deviation_hz=plan.band.deviation_hz,
        deemphasis_us=plan.stereo.deemphasis_us,
    )  # fmt: skip
    margin = JUST_AUDIBLE_DB[plan.band.modulation] - loudness
    heard = np.where(margin < 0, WHISTLE, NOTHING).astype(object)
    heard[np.isnan(margin)] = None
    notes: dict[str, Values] = {
        "zone": text_column([zone.name] * len(tones)),
        "pitch_hz": Ratios(pitches_hz(zone, tone_hz)),
        "heard": heard,
        "loudness_db": loudness,
        "margin_db": margin,
    }
    return Findings("Birdies", {**tones.columns, **notes})
