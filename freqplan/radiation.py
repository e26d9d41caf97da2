"""Which oscillators, and which of their harmonics, lie on frequencies that lives may depend on."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np

from freqplan.conflicts import Receiver
from freqplan.findings import Findings
from freqplan.hertz import Ratios
from freqplan.mixing import Combinations, Tuning
from freqplan.reach import ordered
from freqplan.services import AERONAUTICAL_HZ, Service, services_in

RADIATION_COLUMNS = (
    "set", "harmonic", "oscillator", "service", "low_hz", "high_hz", "dial_low_hz", "dial_high_hz",
)  # fmt: skip
KEPT_DOWN = (
    "What a receiver's oscillator sends out is radiation and must be kept to the lowest practical value (ITU Radio "
    "Regulations 1.138, 51.2): screen and lid on, aerial lead and chokes as they were."
)
WHOLE = "108-137 MHz, aeronautical, altogether"


def radiation(sets: Sequence[Receiver]) -> Findings:
    """Return the part of each dial over which the oscillator or a harmonic lies on a safety service.

    Harmonics go as far as the set's own plan follows its oscillator, the fundamentals of all sets first; 108-137 MHz
    are always looked at, as a whole.
    """
    rows = [row for each in sets for tuning in each.tunings for row in _rows(each, tuning)]
    rows.sort(key=lambda row: int(row["harmonic"]))
    details = () if any(len(each.tunings) > 1 for each in sets) else ("oscillator",)
    return Findings.of_rows(
        "Where oscillators fall on safety services", rows, RADIATION_COLUMNS, details=details
    )


def own_harmonics(tuning: Tuning, harmonics: int) -> Combinations:
    """Return h*fL - fX for the harmonics 1 ... of an oscillator; solved for fX it is what the set sends out."""
    h = np.arange(1, harmonics + 1, dtype=np.int64)
    return Combinations(h * tuning.sigma, h * tuning.t, -np.ones_like(h), tuning.intermediate_hz)


def safety_services(sets: Sequence[Receiver]) -> tuple[Service, ...]:
    """Return the safety services on which any oscillator or harmonic falls, each once, lowest first."""
    found = {
        service
        for each in sets
        for tuning in each.tunings
        for low, high in _ranges(each, tuning)
        for service in services_in(low, high, region=each.plan.region)
        if service.safety
    }
    return tuple(sorted(found, key=lambda service: (service.low_hz, service.high_hz)))


def _ranges(each: Receiver, tuning: Tuning) -> Iterator[tuple[int, int]]:
    """Yield the range of each harmonic [Hz]; whole hertz, for they are multiples of dial and IF."""
    some = own_harmonics(tuning, each.plan.orders.oscillator)
    low_hz, high_hz = each.ends_hz
    low, high = ordered(some.signal(low_hz), some.signal(high_hz))
    yield from zip(low.num.tolist(), high.num.tolist(), strict=True)


def _rows(each: Receiver, tuning: Tuning) -> Iterator[dict[str, Any]]:
    some = own_harmonics(tuning, each.plan.orders.oscillator)
    for place, (low, high) in enumerate(_ranges(each, tuning)):
        here = [
            (one.name, one.low_hz, one.high_hz)
            for one in services_in(low, high, region=each.plan.region)
            if one.safety
        ]
        if low < AERONAUTICAL_HZ[1] and AERONAUTICAL_HZ[0] < high:
            here.insert(0, (WHOLE, *AERONAUTICAL_HZ))
        for name, from_hz, to_hz in here:
            part = max(low, from_hz), min(high, to_hz)
            dial = (_dial(some, place, edge) for edge in part)
            start, stop = ordered(*dial)
            yield {
                "set": each.name,
                "harmonic": place + 1,
                "oscillator": tuning.side,
                "service": name,
                "low_hz": part[0],
                "high_hz": part[1],
                "dial_low_hz": start.exact()[0],
                "dial_high_hz": stop.exact()[0],
            }


def _dial(some: Combinations, place: int, frequency_hz: int) -> Ratios:
    """Return the dial setting at which one harmonic stands on a frequency; (1,) [Hz]."""
    return some.take(np.array([place])).dial(frequency_hz)
