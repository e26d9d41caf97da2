"""What one would write instead to find sums of three stations: triple loops, and the towns both are given."""

from __future__ import annotations

import numpy as np
from by_hand import HIGH_HZ, LOW_HZ

Sums = list[tuple[str, int, int, int, int]]


def crowd(count: int) -> tuple[list[int], list[float]]:
    """Return carriers over the FM band, 10 kHz apart at least, and levels [dB(uV)]; the same on every run."""
    random = np.random.default_rng(count)
    hertz = random.choice(np.arange(LOW_HZ, HIGH_HZ + 1, 10_000), count, replace=False)
    return hertz.tolist(), np.clip(random.normal(45, 18, count), 0, 110).round(1).tolist()


def sums_by_loops(hertz: list[int]) -> Sums:
    """Return (kind, A, B, C, sum) by places of all third-order sums on the dial; C is -1 where there is none."""
    found = []
    count = len(hertz)
    for a in range(count):
        for b in range(count):
            if a == b:
                continue
            total = 2 * hertz[a] - hertz[b]
            if LOW_HZ <= total <= HIGH_HZ:
                found.append(("2A-B", a, b, -1, total))
            if a < b:
                for c in range(count):
                    if c != a and c != b:
                        total = hertz[a] + hertz[b] - hertz[c]
                        if LOW_HZ <= total <= HIGH_HZ:
                            found.append(("A+B-C", a, b, c, total))
    return found


def strong_sums_by_loops(hertz: list[int], level: list[float], least: float) -> Sums:
    """Return the same of those whose levels, each as often as its station is taken, reach a threshold [dB(uV)].

    The sums of the outer loops are taken out of the inner ones, as anybody would.
    """
    found = []
    count = len(hertz)
    for a in range(count):
        for b in range(count):
            if a == b:
                continue
            total = 2 * hertz[a] - hertz[b]
            if 2 * level[a] + level[b] >= least and LOW_HZ <= total <= HIGH_HZ:
                found.append(("2A-B", a, b, -1, total))
            if a < b:
                both, both_level = hertz[a] + hertz[b], level[a] + level[b]
                for c in range(count):
                    if both_level + level[c] >= least and c != a and c != b:
                        total = both - hertz[c]
                        if LOW_HZ <= total <= HIGH_HZ:
                            found.append(("A+B-C", a, b, c, total))
    return found


def landings_by_loops(hertz: list[int], intermediate_hz: int, oscillator: int) -> int:
    """Return how many sums of two and three stations land on the dial by any (1, n, e), each listed with its setting.

    Oscillator above the signal; rows of the third order count once, though they may be made in or outside the set.
    """
    count, ways, found = len(hertz), [], []
    for n in range(-oscillator, oscillator + 1):
        for e in (1, -1):
            if n:
                ends = [n * (dial + intermediate_hz) - e * intermediate_hz for dial in (LOW_HZ, HIGH_HZ)]
                if max(ends) > 0:
                    ways.append((n, e, max(min(ends), 1), max(ends)))

    def land(kind, a, b, c, total):
        for n, e, low, high in ways:
            if low <= total <= high:
                found.append((kind, a, b, c, n, e, (total + e * intermediate_hz) / n - intermediate_hz))
        if abs(total - intermediate_hz) <= 90_000:
            found.append((kind, a, b, c, 0, -1, None))

    for a in range(count):
        for b in range(count):
            if a != b:
                land("A-B", a, b, -1, hertz[a] - hertz[b])
                land("2A-B", a, b, -1, 2 * hertz[a] - hertz[b])
            if a < b:
                land("A+B", a, b, -1, hertz[a] + hertz[b])
                for c in range(count):
                    if c not in (a, b):
                        land("A+B-C", a, b, c, hertz[a] + hertz[b] - hertz[c])
    return len(found)
