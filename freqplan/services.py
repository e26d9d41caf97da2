"""Who lives where in the spectrum, and the cautions that go with it."""

from __future__ import annotations

import csv
import functools
from bisect import bisect_left, bisect_right
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from importlib import resources
from math import ceil, floor

import numpy as np

from freqplan.errors import ModelRangeError
from freqplan.hertz import HZ_IN, Ratios, Rounding, decimal_text
from freqplan.plan_reading import REGIONS

AERONAUTICAL_HZ = (108_000_000, 137_000_000)
"""Aeronautical radionavigation and aeronautical voice together, edge to edge."""


MOST_NAMED = 5
"""Services that a caution names."""


@dataclass(frozen=True)
class Service:
    """One row of the allocation table, as it holds in one ITU Region.

    Attributes
    ----------
    low_hz, high_hz : int [Hz]
        Edges of the allocation.
    service : str
        Radio service as the allocation tables call it.
    name : str
        What people at the bench call it.
    region : int
        ITU Region, 1 to 3.
    source : str
        Where the row comes from.
    safety : bool
        Whether lives may depend on it.
    """

    low_hz: int
    high_hz: int
    service: str
    name: str
    region: int
    source: str
    safety: bool


@functools.cache
def allocations(region: int = 1) -> tuple[Service, ...]:
    """Return the allocations of one ITU Region, sorted by their lower edge.

    Raises
    ------
    ModelRangeError
        There is no table for the Region: better than "nobody lives here".
    """
    if region not in REGIONS:
        known = ", ".join(map(str, REGIONS))
        raise ModelRangeError(f"no allocation table for Region {region}; there is one for Region {known}")
    table = resources.files("freqplan").joinpath("data/allocations.csv").read_text(encoding="utf-8")
    rows = csv.DictReader(table.splitlines())
    # What is the same in several Regions stands once, so that it cannot differ between them.
    return tuple(_service(row, region) for row in rows if str(region) in row["region"].split())


def _service(row: dict[str, str], region: int) -> Service:
    edges = int(row["low_hz"]), int(row["high_hz"])
    return Service(*edges, row["service"], row["name"], region, row["source"], row["safety"] == "yes")


@functools.cache
def allocation_edges(region: int) -> list[int]:
    """Return every edge in the table of a Region [Hz], rising and each once."""
    return sorted({edge for each in allocations(region) for edge in (each.low_hz, each.high_hz)})


# Between two neighbouring edges the same services live, so there are few different answers.
@functools.cache
def _between(region: int, first: int, last: int) -> tuple[Service, ...]:
    """Return the services with their upper edge at place `first` or later and their lower one before place `last`."""
    place = {edge: i for i, edge in enumerate(allocation_edges(region))}
    return tuple(
        each for each in allocations(region) if place[each.high_hz] >= first and place[each.low_hz] < last
    )


@functools.cache
def _names_between(region: int, first: int, last: int) -> tuple[str, ...]:
    return names_of(_between(region, first, last))


def names_over(low: Ratios, high: Ratios, *, region: int = 1) -> list[tuple[str, ...]]:
    """Return, for each of many ranges, the names of those `services_in` returns for it, each name once.

    Parameters
    ----------
    low, high : (k,) Ratios [Hz]
        Edges of the ranges, none upside down; equal for a single frequency.  Where one is none, nobody lives.
    region : int
        ITU Region.

    Raises
    ------
    ModelRangeError
        There is no table for the Region.
    """
    known = low.known & high.known
    low_den, high_den = np.where(known, low.den, 1), np.where(known, high.den, 1)
    single = low.num * high_den == high.num * low_den
    # Edges are whole hertz, so whole numbers beside the ends decide the same, and faster than fractions.
    below = np.searchsorted(allocation_edges(region), low.num // low_den, side="right")
    above = np.searchsorted(allocation_edges(region), -(-high.num // high_den), side="left")
    first, last = np.where(single, above, below), np.where(known, np.where(single, below, above), 0)
    return [_names_between(region, *places) for places in zip(first.tolist(), last.tolist(), strict=True)]


def services_in(low_hz: Fraction | int, high_hz: Fraction | int, *, region: int = 1) -> tuple[Service, ...]:
    """Return the services that share some width with a range, or that hold a single frequency.

    Parameters
    ----------
    low_hz, high_hz : Fraction or int [Hz]
        Edges of the range; equal for a single frequency, which the edges of a service include.
    region : int
        ITU Region.

    Returns
    -------
    tuple of Service
        Sorted by their lower edge.

    Raises
    ------
    ModelRangeError
        The range is upside down, or there is no table for the Region.
    """
    if low_hz > high_hz:
        raise ModelRangeError(f"a range from {low_hz} Hz down to {high_hz} Hz; give the lower edge first")
    below = bisect_right(allocation_edges(region), floor(low_hz))
    above = bisect_left(allocation_edges(region), ceil(high_hz))
    return _between(region, above, below) if low_hz == high_hz else _between(region, below, above)


def names_of(services: Iterable[Service]) -> tuple[str, ...]:
    """Return the names of services, each once."""
    return tuple(dict.fromkeys(service.name for service in services))


def safety_ranges_hz(*, region: int = 1) -> tuple[tuple[int, int], ...]:
    """Return the edges of everything lives may depend on [Hz]; 108-137 MHz always, whatever the table says.

    Raises
    ------
    ModelRangeError
        There is no table for the Region.
    """
    listed = ((each.low_hz, each.high_hz) for each in allocations(region) if each.safety)
    return (AERONAUTICAL_HZ, *listed)


def describe(
    low_hz: Fraction | int, high_hz: Fraction | int, rounding: Rounding, *, region: int = 1, most: int = 4
) -> str:
    """Write who lives in a range, each with the edges of its own allocation.

    Parameters
    ----------
    low_hz, high_hz : Fraction or int [Hz]
        Edges of the range.
    rounding : Rounding
        Gives the unit; the edges are written exactly.
    region : int
        ITU Region.
    most : int
        Services named; of more, the safety services are named before others and the rest is counted.

    Returns
    -------
    str
        Such as ``aeronautical radionavigation 108-117.975, aeronautical voice 117.975-137``; empty
        where the table lists nobody.
    """
    here = services_in(low_hz, high_hz, region=region)
    named = sorted(
        sorted(here, key=lambda service: not service.safety)[:most], key=lambda service: service.low_hz
    )
    text = ", ".join(
        f"{service.name} {_edge(service.low_hz, rounding)}-{_edge(service.high_hz, rounding)}"
        for service in named
    )
    return f"{text} and {len(here) - most} more" if len(here) > most else text


def _edge(frequency_hz: int, rounding: Rounding) -> str:
    return decimal_text(frequency_hz, unit_hz=HZ_IN[rounding.unit], decimals=0, extra=6)


def cautions_for(services: Iterable[Service]) -> tuple[str, ...]:
    """Return what to mind where safety services live; nothing where there are none.

    Parameters
    ----------
    services : iterable of Service
        As `services_in` returns them.

    Returns
    -------
    tuple of str
        Short sentences, each standing alone.
    """
    names = names_of(service for service in services if service.safety)
    if not names:
        return ()
    more = f" and {len(names) - MOST_NAMED} more" if len(names) > MOST_NAMED else ""
    listed = ", ".join(names[:MOST_NAMED]) + more
    return (
        f"Lives depend on services such as {listed}: never radiate a test signal there, not even for a moment.",
        "If a set may disturb such a service: stop, log time and frequency, report it to the authority.",
        "Whether one may listen there differs by country: local codes and licensed practice come first.",
    )
