"""A telling example of each mechanism: a row of the engine's own tables, of the plan or of what stands in for it."""

from __future__ import annotations

import difflib
from collections.abc import Callable, Iterator, Mapping
from fractions import Fraction
from itertools import islice
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, NamedTuple, TypeAlias

import numpy as np

from freqplan.channels import channel
from freqplan.charts.drawing import label
from freqplan.charts.spectrum_row import Row, row_of
from freqplan.charts.spectrum_stand_ins import STAND_INS
from freqplan.errors import FreqplanError, ModelRangeError
from freqplan.mechanisms import FAMILIES, Family, catalogue
from freqplan.mechanisms.other_sets import between, ways_in
from freqplan.reach import ordered

if TYPE_CHECKING:
    from freqplan.findings import Findings
    from freqplan.surveys import Survey

Found: TypeAlias = "Iterator[Mapping[str, Any]]"

MOST_PICTURES = 2
"""A product and the one with the other sense of the difference, such as the near and the far half-IF response."""

PLACES = ("dial", "image", "if", "half-if", "other")
"""What a sum may land on, the plainest first."""


class Examples(NamedTuple):
    """What is drawn of a mechanism.

    Attributes
    ----------
    survey : Survey
        Of the set drawn: the one asked for, or an example beside it.
    rows : tuple of Row
        At least one.
    remark : str
        What of it is an example only; empty where all is of the plan.
    """

    survey: Survey
    rows: tuple[Row, ...]
    remark: str


def check_mechanism(mechanism: str) -> None:
    """Refuse a mechanism that there is not, or that no sum of frequencies explains.

    Raises
    ------
    FreqplanError
        There is no such mechanism; the message names the nearest.
    ModelRangeError
        It has no sum of frequencies; the message names those that have one.
    """
    known = catalogue()
    if mechanism not in known:
        near = difflib.get_close_matches(mechanism, known, n=1, cutoff=0.4)
        hint = f"nearest: {near[0]}" if near else f"there are: {', '.join(PICTURED)}"
        raise FreqplanError(f'no mechanism "{label(mechanism, 40)}"; {hint}')
    if mechanism not in PICTURED:
        raise ModelRangeError(
            f"no spectrum of {mechanism}: no sum of frequencies makes it; there are those of: {', '.join(PICTURED)}"
        )


def examples(survey: Survey, mechanism: str, dial_hz: int | None = None) -> Examples:
    """Choose what to draw of a mechanism.

    Parameters
    ----------
    survey : Survey
        Its plan and stations come first; where they have none of it, an example is taken that says so.
    mechanism : str
        Id in the catalogue.
    dial_hz : int, optional [Hz]
        The dial setting, mid-band by default; of what has a place of its own on the dial, the one nearest to it.

    Raises
    ------
    FreqplanError, ModelRangeError
        As for `check_mechanism`; or no such sum comes about with the plan, or the dial setting lies off the band.
    """
    check_mechanism(mechanism)
    used_hz = survey.plan.middle_channel_hz if dial_hz is None else channel(survey.plan, dial_hz).dial_hz
    for remark, other in _candidates(survey, mechanism):
        rows = tuple(row_of(other.plan, found) for found in FINDERS[mechanism](other, mechanism, used_hz))
        if rows:
            return Examples(other, rows[:MOST_PICTURES], remark)
        used_hz = other.plan.nearest_channel_hz(used_hz)
    raise ModelRangeError(f"no spectrum of {mechanism}: no such sum comes about with this plan")


def _candidates(survey: Survey, mechanism: str) -> Iterator[tuple[str, Survey]]:
    """Yield the survey itself, then what stands in for it where it has no such sum."""
    yield "", survey
    for remark, plan, stations in STAND_INS.get(mechanism, lambda plan: ())(survey.plan):
        yield remark, type(survey)(plan, stations, survey.families)


def _family(mechanism: str) -> Family:
    return next(family for family in FAMILIES if mechanism in [one.id for one in family.mechanisms])


def _responses(survey: Survey, mechanism: str, dial_hz: int) -> Found:
    """Yield the products of lowest order at a dial setting whose signal lies above zero."""
    family = _family(mechanism)
    for tuning in survey.sides:
        for make in (family.responses, family.station_spots):
            sums = None if make is None else make(survey.plan, tuning)
            if sums is None or not len(sums):
                continue
            sums = sums.take(sums.array("mechanism") == mechanism)
            signal = sums.combinations.signal(dial_hz)
            sums, signal = sums.take(signal.num > 0), signal[signal.num > 0]
            lowest = np.flatnonzero(sums.order == sums.order.min(initial=np.iinfo(np.int64).max))
            table = sums.findings("", response_hz=signal).take(lowest[: 1 if "q" in sums.columns else None])
            yield from ({**row, "dial_hz": dial_hz} for row in table.rows())
            if len(sums):
                return


def _borrowed(survey: Survey, mechanism: str, dial_hz: int) -> Found:
    """Yield what looks like another mechanism, whose sum it shares."""
    shared = {"wrong-side": "image", "transmitter-harmonic": "signal-harmonic"}[mechanism]
    for row in _responses(survey, shared, dial_hz):
        if shared == "image" or row["m"] * row["response_hz"] == dial_hz:
            yield {**row, "mechanism": mechanism}


def _of(table: Findings, mechanism: str) -> Found:
    """Return the rows of one mechanism."""
    return table.take(np.flatnonzero(table.array("mechanism") == mechanism)).rows()


def _birdies(survey: Survey, mechanism: str, dial_hz: int) -> Found:
    """Yield the spot of the set's own making that is the plainest, and of equals the nearest."""
    rows = [row for row in _of(survey.birdies, mechanism) if row["dial_hz"]]

    def plainness(row: Mapping[str, Any]) -> tuple[object, ...]:
        place = PLACES.index((row["lands_on"] or "dial").partition("-")[0])
        order = 0 if row["k"] else row["order"]
        return bool(row["k"] and row["sources_hz"]), place, order, abs(row["dial_hz"] - dial_hz)

    yield from sorted(rows, key=plainness)[:1]


def _ripple(survey: Survey, mechanism: str, dial_hz: int) -> Found:
    """Yield the first note that a reference leaves in the sound."""
    yield from ({**row, "dial_hz": dial_hz} for row in islice(_of(survey.birdies, mechanism), 1))


def _products(survey: Survey, mechanism: str, dial_hz: int) -> Found:
    """Yield the sum of stations that matters most, by preference one that lands on the dial itself."""
    table = survey.products
    if table is None:
        return
    at = np.flatnonzero(table.array("mechanism") == mechanism)
    lands_on = table.array("lands_on")[at]
    for place in PLACES:
        for row in table.take(at[lands_on == place][:1]).rows():
            yield {**row, "dial_hz": dial_hz if row["dial_hz"] is None else row["dial_hz"]}
            return


def _other_set(survey: Survey, mechanism: str, dial_hz: int) -> Found:
    """Yield how the oscillator of another set of the same kind comes in, both dials inside the band."""
    band, nearest = survey.plan.band, survey.plan.nearest_channel_hz
    for tuning in survey.sides:
        sums = between(tuning, tuning, 1)
        some, ways = sums.combinations, ways_in(tuning)
        ends = zip(
            *(each.exact() for each in ordered(some.dial(band.low_hz), some.dial(band.high_hz))), strict=True
        )
        for place, (low, high) in enumerate(ends):
            there = dial_hz if low is None or high is None else nearest(min(max(dial_hz, low), high))
            theirs = some.signal(there).exact()[place]
            if theirs is not None and band.low_hz <= theirs <= band.high_hz:
                yield {
                    "mechanism": mechanism, "oscillator": tuning.side, "dial_hz": there, "harmonic": 1, "m": 1,
                    "n": int(ways.n[place]), "e": int(ways.e[place]), "other_dial_hz": theirs,
                    "other_oscillator_hz": tuning.oscillator_hz(Fraction(theirs)),
                }  # fmt: skip
                return


def _neighbour(survey: Survey, mechanism: str, dial_hz: int) -> Found:
    """Yield the station beside another whose carrier matters most in the stereo decoder."""
    table = survey.neighbours
    rows = () if table is None else table.take(np.flatnonzero(table.array("line") == "carrier")[:1]).rows()
    for row in rows:
        both = {
            "stations": (row["wanted"], row["station"]),
            "stations_hz": (row["heard_on_hz"], row["station_hz"]),
        }
        yield {**row, **both, "dial_hz": row["heard_on_hz"]}


FINDERS: Mapping[str, Callable[[Survey, str, int], Found]] = MappingProxyType(
    {
        "if-breakthrough": _responses,
        "image": _responses,
        "half-if": _responses,
        "fractional-if": _responses,
        "oscillator-harmonic": _responses,
        "signal-harmonic": _responses,
        "harmonic-mixing": _responses,
        "self-mixing": _birdies,
        "if-harmonic": _birdies,
        "oscillator-in-if": _birdies,
        "oscillator-on-station": _responses,
        "second-order": _products,
        "third-order": _products,
        "third-order-outside": _products,
        "if-spaced-pair": _products,
        "pair-half-if": _products,
        "internal-clock": _birdies,
        "synthesiser-sideband": _responses,
        "reference-ripple": _ripple,
        "second-image": _responses,
        "oscillator-product": _birdies,
        "decoder-neighbour": _neighbour,
        "other-receiver": _other_set,
        "wrong-side": _borrowed,
        "transmitter-harmonic": _borrowed,
    }
)
"""How an example of each mechanism is found; what is not here has no sum of frequencies."""

PICTURED = tuple(FINDERS)
"""The mechanisms that have a picture, in the order of the catalogue."""
