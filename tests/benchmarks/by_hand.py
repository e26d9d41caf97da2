"""What one would write instead of the program: nested loops, and a plain NumPy grid.

``python by_hand.py NAME`` prints how long the first call of one of `FIRST_CALLS` takes in a fresh process, in
seconds, its imports left out.
"""

from __future__ import annotations

import sys
import time
from fractions import Fraction

import numpy as np

LOW_HZ, HIGH_HZ, RASTER_HZ = 87_500_000, 108_000_000, 100_000
IF_HZ, HALF_FILTER_HZ, ORDER = 10_700_000, 90_000, 15
CHANNELS_HZ = range(LOW_HZ, HIGH_HZ + 1, RASTER_HZ)
SUMS = [
    (m, n, e)
    for m in range(1, ORDER + 1)
    for n in range(-ORDER, ORDER + 1)
    for e in (1, -1)
    if (m, n, e) != (1, 1, 1)
]
"""Every sum e(n fL - m fX) = fI but the wanted one; oscillator above the signal."""


def town() -> list[int]:
    """Return 80 different channels that carry a station, the same on every run."""
    return sorted(np.random.default_rng(1).choice(np.array(CHANNELS_HZ), 80, replace=False).tolist())


def hits_by_loops(stations_hz: list[int]) -> list[tuple[int, int, int, int, int]]:
    """Return (channel, station, m, n, e) wherever a station sits in the IF filter."""
    hits = []
    for dial_hz in CHANNELS_HZ:
        oscillator_hz = dial_hz + IF_HZ
        for m, n, e in SUMS:
            for station_hz in stations_hz:
                if abs(e * (n * oscillator_hz - m * station_hz) - IF_HZ) <= HALF_FILTER_HZ:
                    hits.append((dial_hz, station_hz, m, n, e))
    return hits


def hits_by_grid(stations_hz: list[int]) -> list[tuple[int, int, int, int, int]]:
    """Return the same from one array of sums by channels by stations."""
    dial_hz = np.array(CHANNELS_HZ, dtype=np.int64)
    sums, stations = np.array(SUMS, dtype=np.int64), np.array(stations_hz, dtype=np.int64)
    m, n, e = (sums[:, column, None, None] for column in range(3))
    offset_hz = e * (n * (dial_hz + IF_HZ)[None, :, None] - m * stations[None, None, :]) - IF_HZ
    place, dial, who = np.nonzero(np.abs(offset_hz) <= HALF_FILTER_HZ)
    return list(
        zip(dial_hz[dial].tolist(), stations[who].tolist(), *sums[place].T.tolist(), strict=True)
    )  # fmt: skip


def ranges_by_loops() -> dict[tuple[int, int, int], tuple[Fraction, Fraction]]:
    """Return the range of fX over the channels for each sum that has one above zero."""
    ranges = {}
    for m, n, e in SUMS:
        tops = [n * (dial_hz + IF_HZ) - e * IF_HZ for dial_hz in CHANNELS_HZ]
        if max(tops) > 0:
            ranges[m, n, e] = Fraction(max(min(tops), 0), m), Fraction(max(tops), m)
    return ranges


def ranges_by_grid() -> dict[tuple[int, int, int], tuple[Fraction, Fraction]]:
    """Return the same from one array of sums by channels."""
    oscillator_hz = np.array(CHANNELS_HZ, dtype=np.int64) + IF_HZ
    sums = np.array(SUMS, dtype=np.int64)
    tops = sums[:, 1, None] * oscillator_hz - sums[:, 2, None] * IF_HZ
    low, high = np.maximum(tops.min(axis=1), 0), tops.max(axis=1)
    return {
        (m, n, e): (Fraction(below, m), Fraction(above, m))
        for (m, n, e), below, above in zip(SUMS, low.tolist(), high.tolist(), strict=True)
        if above > 0
    }


def program_hits(plan, stations):
    """Return the program's table of the same hits."""
    from freqplan import survey

    return survey(plan, stations).channel_hits


def program_tables(plan, stations=None):
    """Return the hits, if there are stations, after every table of the survey but the card has been computed."""
    from freqplan import survey

    result = survey(plan, stations)
    tables = [result.oscillators, result.birdies, result.responses, result.ghosts]
    return tables if stations is None else result.channel_hits


def program_plan():
    """Return the plan that the loops and the grid have built in."""
    from freqplan import Band, Conversion, Orders, Plan

    return Plan(
        title="Speed",
        band=Band(low_hz=LOW_HZ, high_hz=HIGH_HZ),
        conversion=(Conversion(intermediate_hz=IF_HZ, oscillator="high"),),
        orders=Orders(signal=ORDER, oscillator=ORDER),
    )


def _program(with_stations: bool):
    from freqplan import StationList, survey  # noqa: F401  (loaded here, so that the first call is not charged)

    plan, stations = program_plan(), StationList.from_frequencies(town())
    return (lambda: program_hits(plan, stations)) if with_stations else (lambda: program_tables(plan))


FIRST_CALLS = {
    "program": lambda: _program(True),
    "loops": lambda: lambda: hits_by_loops(town()),
    "grid": lambda: lambda: hits_by_grid(town()),
    "program without stations": lambda: _program(False),
    "loops without stations": lambda: ranges_by_loops,
    "grid without stations": lambda: ranges_by_grid,
}

if __name__ == "__main__":
    call = FIRST_CALLS[sys.argv[1]]()
    start = time.perf_counter()
    call()
    print(time.perf_counter() - start)
