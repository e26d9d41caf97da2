"""Who lives where in the spectrum, and the cautions that go with it."""

from __future__ import annotations

import csv
import functools
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from importlib import resources
from math import ceil, floor

from freqplan.errors import ModelRangeError
from freqplan.hertz import HZ_IN, Rounding, decimal_text

AERONAUTICAL_HZ = (108_000_000, 137_000_000)
"""Aeronautical radionavigation and aeronautical voice together, edge to edge."""


@dataclass(frozen=True)
class Service:
    """One row of the allocation table.

    Attributes
    ----------
    low_hz, high_hz : int [Hz]
        Edges of the allocation.
    service : str
        Radio service as the allocation tables call it.
    name : str
        What people at the bench call it.
    region : str
        ITU Region, ``1`` to ``3``.
    source : str
        Where the row comes from.
    safety : bool
        Whether lives may depend on it.
    """

    low_hz: int
    high_hz: int
    service: str
    name: str
    region: str
    source: str
    safety: bool


@functools.cache
def allocations(region: str = "1") -> tuple[Service, ...]:
    """Return the allocations of one ITU Region, sorted by their lower edge.

    Raises
    ------
    ModelRangeError
        There is no table for the Region: better than "nobody lives here".
    """
    table = resources.files("freqplan").joinpath("data/allocations.csv").read_text(encoding="utf-8")
    services = tuple(_service(row) for row in csv.DictReader(table.splitlines()))
    chosen = tuple(service for service in services if service.region == region)
    if not chosen:
        known = ", ".join(sorted({service.region for service in services}))
        raise ModelRangeError(f"no allocation table for Region {region}; there is one for Region {known}")
    return chosen


def _service(row: dict[str, str]) -> Service:
    edges = int(row["low_hz"]), int(row["high_hz"])
    return Service(*edges, row["service"], row["name"], row["region"], row["source"], row["safety"] == "yes")


def services_in(low_hz: Fraction | int, high_hz: Fraction | int, *, region: str = "1") -> tuple[Service, ...]:
    """Return the services that share some width with a range, or that hold a single frequency.

    Parameters
    ----------
    low_hz, high_hz : Fraction or int [Hz]
        Edges of the range; equal for a single frequency, which the edges of a service include.
    region : str
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
    # Edges are whole hertz, so whole numbers beside the ends decide the same, and faster than fractions.
    low, high, here = floor(low_hz), ceil(high_hz), allocations(region)
    if low_hz == high_hz:
        return tuple(each for each in here if each.low_hz <= low and high <= each.high_hz)
    return tuple(each for each in here if each.low_hz < high and low < each.high_hz)


def safety_ranges_hz(*, region: str = "1") -> tuple[tuple[int, int], ...]:
    """Return the edges of everything lives may depend on [Hz]; 108-137 MHz always, whatever the table says.

    Raises
    ------
    ModelRangeError
        There is no table for the Region.
    """
    listed = ((each.low_hz, each.high_hz) for each in allocations(region) if each.safety)
    return (AERONAUTICAL_HZ, *listed)


def describe(
    low_hz: Fraction | int, high_hz: Fraction | int, rounding: Rounding, *, region: str = "1", most: int = 4
) -> str:
    """Write who lives in a range, each with the edges of its own allocation.

    Parameters
    ----------
    low_hz, high_hz : Fraction or int [Hz]
        Edges of the range.
    rounding : Rounding
        Gives the unit; the edges are written exactly.
    region : str
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
    names = list(dict.fromkeys(service.name for service in services if service.safety))
    if not names:
        return ()
    listed = ", ".join(names)
    return (
        f"Lives depend on services such as {listed}: never radiate a test signal there, not even for a moment.",
        "If a set may disturb such a service: stop, log time and frequency, report it to the authority.",
        "Whether one may listen there differs by country: local codes and licensed practice come first.",
    )
