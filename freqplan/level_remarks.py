"""What a result says of its levels: by what they are judged, what is a ceiling, and what is unknown."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

import numpy as np

from freqplan.hearing import JUST_AUDIBLE_DB
from freqplan.levels import Levels, levels_of
from freqplan.mixers import reference_dbuv, suppressions_db
from freqplan.plan_reading import hertz_text

if TYPE_CHECKING:
    from freqplan.hertz import Int64
    from freqplan.plan import Plan
    from freqplan.stations import StationList
    from freqplan.sweeps import Sweep

MOST_NAMED = 6
EXTRAPOLATED_DB = 10.0
"""So far above the level for which the mixer's figures hold they are no more than upper estimates."""

TUNED_DB = 6.0
"""A front end that is to pass the whole band does not fall so far inside it."""

BY_ORDER = (
    "by order of the product (m + n), lowest first, after the harmonics of the IF; of equal rows the stronger listed "
    "station comes first, then the one nearer to the dial setting"
)
BY_MARGIN = (
    "The list to check begins with harmonics of the IF on listed stations, which every set makes; then comes what is "
    f"heard by its level, by margin; then what has no level, {BY_ORDER}; last what stays below being heard."
)


def about_levels(plan: Plan, stations: StationList | None, *, card: bool) -> Iterator[str]:
    """Yield what is assumed of levels, one sentence or two each; with `card` also how the list to check is ranked.

    Raises
    ------
    SweepError
        The measured response of the front end cannot be read.
    """
    known = levels_of(plan)
    if known is None:
        order = f": the list to check goes {BY_ORDER}" if card else ""
        yield f"Levels are not computed, for the plan has no [front_end]{order}."
        return
    if stations is None:
        order = (
            f", the smallest over the dial. Without stations the list to check goes {BY_ORDER}"
            if card
            else ""
        )
        yield f"Rejection is told against a wanted station of {known.front_end.wanted_dbuv:g} dB(uV){order}."
    else:
        if card:
            yield BY_MARGIN
        yield _yardsticks(known)
        yield from _about_stations(known, stations)
    yield from about_the_set(known)


def _yardsticks(known: Levels) -> str:
    plan = known.plan
    noise = f"where nobody is tuned in what rises above neighbours and {known.sensitivity_dbuv:.0f} dB(uV)"
    if known.front_end.sensitivity_dbuv is None:
        noise += " (thermal noise in the IF filter and 17 dB)"
    text = f"Heard is what comes above {JUST_AUDIBLE_DB[plan.band.modulation]:.0f} dB of full programme, and {noise}"
    if plan.band.modulation == "am":
        return f"{text}; noise from outside, as a rule far stronger on AM, is left out."
    return (
        f"{text}; on FM also what misses the protection ratio of Rec. ITU-R BS.412 (figures from memory). Carriers are "
        "taken as unmodulated."
    )


def _about_stations(known: Levels, stations: StationList) -> Iterator[str]:
    terminal = known.at_aerial(stations)
    if stations.reckoned.any():
        yield (
            f"{_named(stations, stations.reckoned)}: level from power and distance in free space and a half-wave "
            "dipole, the most it can be; where such a station is tuned in, a whistle may be louder than told."
        )
    if np.isnan(terminal).any():
        yield f"Level unknown, so ranked by order: {_named(stations, np.isnan(terminal))}."
    gain, reference = known.front_end.gain_db, reference_dbuv(known.plan.mixer, known.front_end.impedance_ohm)
    m, n = _pairs(known.plan)
    has_figures = not np.isnan(suppressions_db(known.plan.mixer, m, n)[m > 1]).all()
    if gain is not None and not np.isnan(reference) and has_figures:
        limit = reference - gain + EXTRAPOLATED_DB
        strong = np.nan_to_num(terminal, nan=-np.inf) > limit
        if strong.any():
            yield (
                f"Above {limit:.0f} dB(uV), where the mixer's figures are stretched by more than {EXTRAPOLATED_DB:g} "
                f"dB: {_named(stations, strong)}. Their products with m = 2 and more are upper estimates; RF AGC "
                "lowers them."
            )


def _named(stations: StationList, chosen: np.ndarray) -> str:
    names: Sequence[str] = list(
        dict.fromkeys(stations.names[place] for place in np.flatnonzero(chosen).tolist())
    )
    more = f" and {len(names) - MOST_NAMED} more" if len(names) > MOST_NAMED else ""
    return ", ".join(names[:MOST_NAMED]) + more


def about_the_set(known: Levels) -> Iterator[str]:
    """Yield what a plan leaves open of its front end and mixer, a sentence each."""
    plan, sweep = known.plan, known.selectivity.sweep
    if sweep is not None:
        ends = f"{hertz_text(int(sweep.frequency_hz[0]))} to {hertz_text(int(sweep.frequency_hz[-1]))}"
        dial_hz = known.front_end.response_dial_hz
        how = "as it stands at every dial setting" if dial_hz is None else (
            f"as measured with the dial on {hertz_text(dial_hz)}, and at other settings in proportion"
        )  # fmt: skip
        yield f"The front end's response is taken from {sweep.source}, {ends}, {how}; beyond it levels are unknown."
        yield from (f"{sweep.source}: {remark}." for remark in sweep.remarks)
        yield from _about_the_sweep(known, sweep)
    m, n = _pairs(plan)
    figures = suppressions_db(plan.mixer, m, n)
    pairs = [f"({i},{j})" for i, j, db in zip(m, n, figures, strict=True) if not np.isnan(db)]
    if len(pairs) < len(figures):
        more = f" and {len(pairs) - 2 * MOST_NAMED} more" if len(pairs) > 2 * MOST_NAMED else ""
        yield (
            f"Of the mixer's products (m,n) those with a figure are {' '.join(pairs[: 2 * MOST_NAMED])}{more}; the "
            "others have no level."
        )
    if plan.orders.signal > 1 and known.front_end.gain_db is None:
        yield "The plan gives no gain from aerial to mixer: products with m = 2 and more have no level."


def _pairs(plan: Plan) -> tuple[Int64, Int64]:
    """Return m and n of every product up to the plan's orders, n from 0; (k,) each, m rising."""
    m, n = np.mgrid[1 : plan.orders.signal + 1, 0 : plan.orders.oscillator + 1]
    return m.ravel(), n.ravel()


def _about_the_sweep(known: Levels, sweep: Sweep) -> Iterator[str]:
    """Yield what makes a measured response doubtful: points too far apart, a tuned one taken for a fixed one."""
    if sweep.coarse.any():
        place = int(np.flatnonzero(sweep.coarse)[0])
        why = sweep.why_unknown(float(sweep.frequency_hz[place : place + 2].mean()))
        yield f"{sweep.source}: {why}; in {sweep.coarse.sum()} of {len(sweep.coarse)} gaps levels are unknown."
    band = known.plan.band
    ends_hz = np.array([band.low_hz, band.high_hz], dtype=np.int64)
    ends = known.selectivity.loss_db(ends_hz, ends_hz)
    if known.front_end.response_dial_hz is None and np.nanmax(np.append(ends, 0.0)) > TUNED_DB:
        yield (
            f"{sweep.source}: down by {np.nanmax(ends):.0f} dB at an end of the band, as a tuned front end is: then "
            "write response_dial, the dial setting at which it was measured."
        )
