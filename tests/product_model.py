"""Sums of stations by plain loops and fractions, their levels one number at a time: shares no code with the package."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from fractions import Fraction
from functools import cache

from hearing_model import UNKNOWN, dbuv, hear_level, is_known, lg, mixer_db, tuned_in
from test_brute_force import channels, meeting, nearest, off_if, reach_of, sides_of, slopes, window

WANTED = {"high": (1, 1), "low": (1, -1), "sum": (-1, -1)}
TAKEN = {"A-B": (1, -1), "A+B": (1, 1), "2A-B": (2, -1), "A+B-C": (1, 1, -1)}


@dataclass(frozen=True)
class Sum:
    """One sum of entries of the list, by their places."""

    kind: str
    places: tuple[int, ...]
    hertz: int

    @property
    def order(self):
        return sum(map(abs, TAKEN[self.kind]))


def every_sum(hertz):
    """Every sum above zero of two and three entries; where two are added, either order is the same sum."""
    for a, b in itertools.permutations(range(len(hertz)), 2):
        yield Sum("A-B", (a, b), hertz[a] - hertz[b])
        yield Sum("2A-B", (a, b), 2 * hertz[a] - hertz[b])
    for a, b in itertools.combinations(range(len(hertz)), 2):
        yield Sum("A+B", (a, b), hertz[a] + hertz[b])
        for c in range(len(hertz)):
            if c not in (a, b):
                yield Sum("A+B-C", (a, b, c), hertz[a] + hertz[b] - hertz[c])


def landings(plan, hertz, dial=None):
    """Each sum with the side and the (n, e) by which it lands on the band, or within half the filter at a setting."""
    intermediate, half = plan.conversion[0].intermediate_hz, Fraction(plan.if_filter.bandwidth_hz, 2)
    most = max(2, plan.orders.oscillator)
    ends = (plan.band.low_hz, plan.band.high_hz) if dial is None else (dial, dial)
    for one in every_sum(hertz):
        if one.hertz > 0:
            for side in sides_of(plan):
                for n in range(-most, most + 1):
                    for e in (1, -1):
                        low, high = (off_if(side, 1, n, e, at, one.hertz, intermediate) for at in ends)
                        if low * high <= 0 or ((n == 0 or dial is not None) and abs(low) <= half):
                            yield one, side, n, e


def called(kind, n):
    if kind == "A-B" and n == 0:
        return "if-spaced-pair"
    if kind == "A+B" and n == 2:
        return "pair-half-if"
    return "second-order" if kind in ("A-B", "A+B") else "third-order"


def lands_on(kind, side, n, e):
    if n == 0:
        return "if"
    if (n, e) == WANTED[side]:
        return "dial"
    if n == 1:
        return "image"
    return "half-if" if kind == "A+B" and n == 2 else "other"


def named(kind, names, hertz):
    """Names with their frequencies, those that are added in the order of the numbers."""
    pairs = list(zip(names, map(int, hertz), strict=True))
    added = sum(count == 1 for count in TAKEN[kind])
    return tuple(sorted(pairs[:added], key=lambda pair: (pair[1], pair[0])) + pairs[added:])


def rows(plan, stations, dial=None):
    """Every row of the table of products, as a dict."""
    hertz, intermediate = stations.frequency_hz.tolist(), plan.conversion[0].intermediate_hz
    nearest_of = cache(lambda spot: nearest(plan, spot))  # many sums fall on the same spot
    for one, side, n, e in landings(plan, hertz, dial):
        spot = meeting(side, 1, n, e, one.hertz, intermediate)
        channel_hz = None if spot is None else nearest_of(spot)
        here = channel_hz if dial is None else dial
        beat = off_if(side, 1, n, e, here or plan.band.low_hz, one.hertz, intermediate)
        slope, rate = slopes(side, n, e)
        row = {
            "kind": one.kind, "mechanism": called(one.kind, n), "oscillator": side, "n": n, "e": e,
            "stations": named(one.kind, [stations.names[i] for i in one.places], [hertz[i] for i in one.places]),
            "frequency_hz": one.hertz, "lands_on": lands_on(one.kind, side, n, e), "dial_hz": spot,
            "beat_hz": beat, "reach": reach_of(plan, one.order, beat),
            "tuning_slope": slope, "beat_rate": rate, "level_law": one.order,
        }  # fmt: skip
        if dial is None:
            row["channel_hz"] = channel_hz
        yield row
        if one.order == 3:
            yield row | {"mechanism": "third-order-outside", "level_law": 1}


# --- levels -------------------------------------------------------------------------------------


def circuits_db(plan, count, signal, dial):
    own = plan.front_end
    if not count:
        return 0.0
    ratio = signal / (dial + own.detuning_hz)
    return min(own.floor_db, 10 * count * math.log10(1 + (own.loaded_q * (ratio - 1 / ratio)) ** 2))


def level_dbuv(plan, kind, signals, product_hz, dial, n):
    """Level of a wanted station as strong as a product of stations [(hertz, level)], made in RF stage or mixer."""
    return max(
        [value for value in (in_rf_stage(plan, kind, signals, product_hz, dial, n),
                             in_mixer(plan, kind, signals, dial, n)) if is_known(value)],
        default=UNKNOWN,
    )  # fmt: skip


def in_rf_stage(plan, kind, signals, product_hz, dial, n):
    own, stage, counts = plan.front_end, plan.rf_stage, [abs(count) for count in TAKEN[kind]]
    before = lambda hertz: circuits_db(plan, own.circuits_before_rf_stage, hertz, dial)  # noqa: E731
    behind = lambda hertz: circuits_db(plan, own.circuits_before_mixer, hertz, dial)  # noqa: E731
    levels = [level - before(hertz) for hertz, level in signals]
    point = None if stage is None else (stage.iip2_dbm if sum(counts) == 2 else stage.iip3_dbm)
    if point is None:
        return UNKNOWN
    total = sum(count * level for count, level in zip(counts, levels, strict=True))
    made = total - (sum(counts) - 1) * dbuv(point, plan) + (lg(2) if len(counts) == 3 else 0)
    if not is_known(made):
        return UNKNOWN
    wanted_path = before(dial) + behind(dial)
    return min(made, *levels) - behind(product_hz) - mixer_db(plan, 1, n) + wanted_path


def in_mixer(plan, kind, signals, dial, n):
    own, counts = plan.front_end, [abs(count) for count in TAKEN[kind]]
    circuits = own.circuits_before_rf_stage + own.circuits_before_mixer
    levels = [level - circuits_db(plan, circuits, hertz, dial) for hertz, level in signals]
    ways = {(1, 1): 2, (2, 1): 3, (1, 1, 1): 6}[tuple(counts)]
    total = sum(count * level for count, level in zip(counts, levels, strict=True))
    made = total - mixer_db(plan, sum(counts), n) + lg(ways)
    return min(made, *levels) + circuits_db(plan, circuits, dial, dial) if is_known(made) else UNKNOWN


# --- what is heard ------------------------------------------------------------------------------


def hear(plan, told, one, side, n, e, setting):
    """How a sum of the stations `told` is heard on a setting."""
    of = [told[place] for place in one.places]
    offset = off_if(side, 1, n, e, setting, one.hertz, plan.conversion[0].intermediate_hz)
    level = level_dbuv(plan, one.kind, [(each.hertz, each.dbuv) for each in of], one.hertz, setting, n)
    return hear_level(plan, told, side, setting, offset, level, UNKNOWN, [each.hertz for each in of])


def settings(plan, told, one, side, n, e):
    """Where somebody leaves the dial: carriers; where nobody is tuned in, channels and the spot; else the spot."""
    intermediate, band = plan.conversion[0].intermediate_hz, plan.band
    spot = meeting(side, 1, n, e, one.hertz, intermediate)
    close = nearest(plan, band.low_hz) if spot is None else math.floor(spot + Fraction(1, 2))
    close = min(max(close, band.low_hz), band.high_hz)
    free = [hz for hz in channels(plan) if tuned_in(plan, told, hz)[0] is None]
    own = [each.hertz for each in told if band.low_hz <= each.hertz <= band.high_hz]
    found = [
        hz
        for hz in {*free, *own}
        if abs(off_if(side, 1, n, e, hz, one.hertz, intermediate)) <= window(plan, one.order)
    ]
    if tuned_in(plan, told, close)[0] is None or not found:
        found.append(close)
    return found
