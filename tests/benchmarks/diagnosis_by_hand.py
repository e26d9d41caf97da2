"""What one would write instead to weigh the causes of one symptom: nested loops over stations, products and sums."""

from __future__ import annotations

import math
from collections import defaultdict
from dataclasses import dataclass

from by_hand import HALF_FILTER_HZ, HIGH_HZ, IF_HZ, LOW_HZ

DEVIATION_HZ, ORDER = 75_000, 5
SIDES = (1, -1)
IF_SD_HZ, DIAL_SD_HZ, READING_SD_HZ = 17_300.0, 115_000.0, 57_700.0
STOPS_HZ = 0.35 * HALF_FILTER_HZ
PER_ORDER, RECOGNISED, MISTAKEN = 0.5, 0.72, 0.012
PRIOR = {
    "image": 8.0, "half-if": 8.0, "fractional-if": 2.0, "oscillator-harmonic": 2.5, "signal-harmonic": 2.0,
    "harmonic-mixing": 1.5, "third-order": 7.0, "second-order": 1.5, "pair-half-if": 1.0, "if-harmonic": 8.0,
}  # fmt: skip
"""Relative weights of mechanisms, those of the program."""


@dataclass(frozen=True)
class Heard:
    """One symptom: where, whose programme, and how much it fell behind a pad."""

    dial_hz: int
    station: int
    pad_db: float
    fell_db: float


def name_of(m: int, n: int) -> str:
    """Return the mechanism of a product of one signal."""
    if n < 0:
        return "harmonic-mixing"
    if m == n:
        return {1: "image", 2: "half-if"}.get(m, "fractional-if")
    return "oscillator-harmonic" if m == 1 else "signal-harmonic" if n == 1 else "harmonic-mixing"


def place(heard: Heard, spot_hz: float, a: int, b: int) -> float:
    """Return the density of a reading of the dial, the real IF, scale and stopping place unknown."""
    variance = (STOPS_HZ / abs(a)) ** 2 + READING_SD_HZ**2 + DIAL_SD_HZ**2 + (b * IF_SD_HZ / a) ** 2
    off = heard.dial_hz - spot_hz
    return math.exp(-off * off / (2 * variance)) / math.sqrt(2 * math.pi * variance)


def words(heard: Heard, who: tuple[int, ...], law: int) -> float:
    """Return how likely the programme is recognised and the pad reads so."""
    likely = RECOGNISED if heard.station in who else MISTAKEN
    likely *= (1 - RECOGNISED) ** (len(who) - (heard.station in who))
    sd = math.hypot(1 / heard.pad_db, 0.07 * law)
    off = (heard.fell_db / heard.pad_db - law) / sd
    return likely * (0.9 * math.exp(-off * off / 2) / (sd * math.sqrt(2 * math.pi)) + 0.01)


def causes_by_loops(hertz: list[int], heard: Heard) -> dict[str, float]:
    """Return the probability of each mechanism with a sum of stations or one signal, both oscillator sides alike."""
    total, weight = defaultdict(float), defaultdict(float)
    for s in SIDES:
        for m in range(1, ORDER + 1):
            for n in range(-ORDER, ORDER + 1):
                for e in (1, -1):
                    if n and (m, n, e) != (1, 1, s):
                        _products(hertz, heard, s, m, n, e, total, weight)
        _sums(hertz, heard, s, total, weight)
    told = {name: PRIOR[name] * weight[name] / total[name] for name in weight}
    everything = sum(told.values())
    return {name: share / everything for name, share in told.items()}


def _products(hertz, heard, s, m, n, e, total, weight):
    name, a, b = name_of(m, n), e * n, e * n * s - 1
    share = PER_ORDER ** (m + abs(n))
    reach = (HALF_FILTER_HZ + m * DEVIATION_HZ + 4 * IF_SD_HZ * abs(b)) / abs(a) + 4 * math.hypot(
        READING_SD_HZ, DIAL_SD_HZ
    )
    for who, station_hz in enumerate(hertz):
        spot = (m * e * station_hz - b * IF_HZ) / a
        if LOW_HZ <= spot <= HIGH_HZ:
            total[name] += share
            if abs(spot - heard.dial_hz) <= reach:
                weight[name] += share * place(heard, spot, a, b) * words(heard, (who,), m)


def _sums(hertz, heard, s, total, weight):
    """Weigh 2A-B, A+B-C and A+B, A-B as received on the dial, the image and by half-IF."""
    ways = [("third-order", 1, s), ("third-order", 1, -s), ("pair-half-if", 2, s), ("pair-half-if", 2, -s)]
    lines = [(name, e * n, e * n * s - 1, e) for name, n, e in ways]
    near = 4 * math.hypot(READING_SD_HZ, DIAL_SD_HZ) + HALF_FILTER_HZ + 4 * IF_SD_HZ * 3

    def meet(total_hz, who, order):
        for name, a, b, e in lines:
            if (name == "pair-half-if") != (order == 2 and abs(a) == 2):
                continue
            spot = (e * total_hz - b * IF_HZ) / a
            if LOW_HZ <= spot <= HIGH_HZ:
                total[name] += 1
                if abs(spot - heard.dial_hz) <= near:
                    weight[name] += place(heard, spot, a, b) * words(heard, who, order)

    count = len(hertz)
    for one in range(count):
        for two in range(count):
            if one == two:
                continue
            meet(2 * hertz[one] - hertz[two], (one, two), 3)
            if one < two:
                both = hertz[one] + hertz[two]
                meet(both, (one, two), 2)
                for three in range(count):
                    if three not in (one, two):
                        meet(both - hertz[three], (one, two, three), 3)
