"""Choices in order by weights that a person gives: what speaks against each, weight times a share from 0 to 1.

Shares are measured on scales of their own (`terms`), never against the rivals: adding a choice changes nobody's
score.  They and the weights are held as exact fractions, so that equal scores are equal and no weight upsets them.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from math import log
from numbers import Real
from typing import TYPE_CHECKING, Any

import numpy as np

from freqplan.errors import Fault, WeightsError
from freqplan.findings import DECIMALS, Findings
from freqplan.levels import levels_of
from freqplan.services import safety_ranges_hz
from freqplan.spans import Span, merged, shared, width
from freqplan.terms import FULL_DB, MANY_HARMONICS, TERM_NAMES, TERMS, WIDEST_TUNING

if TYPE_CHECKING:
    from freqplan.plan import Plan
    from freqplan.stations import StationList

HEAVIEST = 10**6
BY_STATIONS = ("heard", "worst")
BY_LEVEL = ("rejection", *BY_STATIONS)
RANKING_COLUMNS = ("place", "intermediate_hz", "oscillator", "score", *(term.column for term in TERMS))
WORST_CASE = Fraction(1)
"""What nothing is known of counts in full, for so it may be."""


def checked_weights(
    weights: Mapping[str, float | Fraction], plan: Plan, stations: StationList | None
) -> dict[str, Fraction]:
    """Return weights as exact fractions by term, in the order of `terms.TERMS`.

    Raises
    ------
    WeightsError
        Unknown terms, weights that are no numbers from 0 to a million, none above 0, or terms that neither plan nor
        stations can answer; every fault at once.
    """
    faults = [fault for name, weight in weights.items() for fault in _faults(name, weight, plan, stations)]
    if weights and not faults and not any(weights.values()):
        faults.append(Fault("every weight is 0", "give at least one above 0", key="weights"))
    if faults:
        raise WeightsError(faults)
    # By way of the text 0.1 is a tenth, as on the command line.
    return {name: Fraction(str(weights[name])) for name in TERM_NAMES if name in weights}


def _faults(name: str, weight: object, plan: Plan, stations: StationList | None) -> Iterator[Fault]:
    key = f"weight {name}"
    if name not in TERM_NAMES:
        near = difflib.get_close_matches(str(name), TERM_NAMES, n=1, cutoff=0.4)
        hint = f"nearest: {near[0]}" if near else f"there are: {', '.join(TERM_NAMES)}"
        yield Fault("no such term", hint, key="weight", found=str(name))
        return
    if not isinstance(weight, Real) or isinstance(weight, bool) or not 0 <= float(weight) <= HEAVIEST:
        yield Fault("not a weight", f"give a number from 0 to {HEAVIEST:,}", key=key, found=str(weight))
    if name in BY_STATIONS and stations is None:
        yield Fault("needs a station list", "give --stations, or stations= in Python", key=key)
    if name in BY_LEVEL:
        known = levels_of(plan)
        if known is None:
            yield Fault("needs levels", "describe the [front_end] in the plan", key=key)
        elif name in BY_STATIONS and stations is not None and np.isnan(known.at_aerial(stations)).all():
            yield Fault(
                "no listed station has a level", "add level_dbuv, or erp_kw with distance_km", key=key
            )


def ranking(
    plan: Plan, rows: Sequence[Mapping[str, Any]], weights: Mapping[str, Fraction], *, listed: int = 0
) -> Findings:
    """Return the choices by their weighted sum, best first; equal sums share a place.

    Parameters
    ----------
    plan : Plan
        The receiver.
    rows : sequence of mapping
        Rows of the comparison; a side that is not possible is not ranked.
    weights : mapping of str to Fraction
        Those that `checked_weights` returns.
    listed : int
        Stations in the list.

    Returns
    -------
    Findings
        What each term adds to the score of each choice; None for terms without a weight.
    """
    scored = []
    for row in rows:
        if row["oscillator_low_hz"] is None:
            continue
        shares = {**_shares_of_ranges(plan, row), **_shares_of_levels(row, listed)}
        added = {
            term.column: weights[term.name] * _known(shares[term.name])
            for term in TERMS
            if term.name in weights
        }
        scored.append((sum(added.values(), Fraction(0)), row, added))
    scored.sort(key=lambda one: one[0])
    scores = [score for score, _, _ in scored]
    table = [
        {
            **dict.fromkeys(RANKING_COLUMNS), **{name: float(part) for name, part in added.items()},
            "place": scores.index(score) + 1, "score": float(score),
            "intermediate_hz": row["intermediate_hz"], "oscillator": row["oscillator"],
        }
        for score, row, added in scored
    ]  # fmt: skip
    return replace(
        Findings.of_rows("By the weights given, best first", table, RANKING_COLUMNS), sideways=True
    )


def _known(share: Fraction | None) -> Fraction:
    return WORST_CASE if share is None else share


def rejection_unknown(row: Mapping[str, Any]) -> bool:
    """Return whether a possible choice has an image, and it is unknown how far that must be, or is, kept down."""
    return _shares_of_levels(row, 1)["rejection"] is None


def _shares_of_ranges(plan: Plan, row: Mapping[str, Any]) -> dict[str, Fraction]:
    """Return the exact shares of dial, image range and oscillator range."""
    band, safety = plan.band, safety_ranges_hz(region=plan.region)
    dial_hz = band.high_hz - band.low_hz
    own = (row["oscillator_low_hz"], row["oscillator_high_hz"])
    image = (row["image_low_hz"], row["image_high_hz"])
    overtones = [(n * own[0], n * own[1]) for n in range(2, plan.orders.oscillator + 1)]

    def of_the_dial(*spans: Span | None) -> Fraction:
        return width(merged(span for span in spans if span is not None)) / dial_hz

    return {
        "image-in-band": of_the_dial(row["in_band_image_dial"]),
        "image-on-safety": _share([] if image[0] is None else [image], safety),
        "half-if-in-band": of_the_dial(row["half_if_near_dial"], row["half_if_far_dial"]),
        "fractional-if-in-band": of_the_dial(*(row["fractional_if_dial"] or ())),
        "if-in-band": Fraction(band.low_hz <= row["intermediate_hz"] <= band.high_hz),
        "if-harmonics": min(WORST_CASE, Fraction(len(row["if_harmonics_hz"]), MANY_HARMONICS)),
        "oscillator-in-band": Fraction(row["oscillator_in_band_hz"]) / dial_hz,
        "oscillator-on-safety": _share([own], safety),
        "oscillator-harmonics": _share(overtones, safety),
    }


def _share(ranges: Sequence[Span], spans: Sequence[Span]) -> Fraction:
    """Return how much of all ranges together `spans` cover; a frequency in two of the ranges counts twice."""
    whole = sum((Fraction(high - low) for low, high in ranges), Fraction(0))
    return sum((shared(spans, *ends) for ends in ranges), Fraction(0)) / whole if whole else Fraction(0)


def _shares_of_levels(row: Mapping[str, Any], listed: int) -> dict[str, Fraction | None]:
    """Return the shares that rest on floats; None where unknown."""
    short: float | None = 0.0
    if row["image_low_hz"] is not None:
        needed, given = row["needed_rejection_db"], row["image_rejection_db"]
        short = None if needed is None or given is None else (needed - given) / FULL_DB
    count = sum(row[name] or 0 for name in ("heard_ghosts", "heard_whistles", "heard_noise"))
    return {
        "capacitance-ratio": _between(log(row["capacitance_ratio"]) / log(WIDEST_TUNING)),
        "rejection": None if short is None else _between(short),
        "heard": min(WORST_CASE, Fraction(count, max(listed, 1))),
        "worst": _between(-(row["worst_margin_db"] or 0.0) / FULL_DB),
    }


def _between(share: float) -> Fraction:
    """Return a share between 0 and 1, rounded as results are, so that no last bit breaks a tie."""
    return Fraction(round(min(max(share, 0.0), 1.0) * 10**DECIMALS), 10**DECIMALS)
