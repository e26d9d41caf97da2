"""Causes made of several stations, of what is on the air as it is, of a set out of adjustment, and of no radio at all.

With `bench_causes` this makes the whole list of a bench: `every_cause`.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from bench_causes import (
    breakthrough,
    clocks,
    if_harmonics,
    one_signal,
    oscillator_in_if,
    oscillator_on_station,
    oscillator_products,
    other_sets,
    ripple,
    second_image,
    self_mixing,
    sidebands,
)
from bench_rows import (
    BUSY,
    COLUMNS,
    KIND,
    OUTSIDE_OVER_DIAL,
    WHAT,
    any_scope,
    grid_hz,
    lives_at,
    part,
    places,
    victims,
)

from freqplan.diagnosis.priors import NONE, WEIGHTS

MECHANISMS = tuple(WEIGHTS)


@lru_cache
def _pairs(count):
    """Every ordered pair of different stations."""
    a, b = np.divmod(np.arange(count * count), count)
    return a[a != b], b[a != b]


@lru_cache
def _triples(count):
    """Every A + B - C of different stations, A before B."""
    a, b, c = (axis.ravel() for axis in np.indices((count,) * 3))
    keep = (a < b) & (c != a) & (c != b)
    return a[keep], b[keep], c[keep]


# --- sums of stations ---


def third_order(bench):
    """2A - B and A + B - C on the dial, 2A - B on the image as well.  Of one kind each, two stations are likelier."""
    hertz, loud = bench.station_hz, bench.loudness
    a, b = _pairs(len(hertz))
    two, likely = 2 * hertz[a] - hertz[b], 10 * loud[a] ** 2 * loud[b]
    told = {"n": 1, "law": 3, "kind": KIND["programme"]}
    d, f, g = _triples(len(hertz))
    at = np.arange(len(bench.sides))[:, None]
    shift = (2 * bench.sides * bench.intermediates_hz)[:, None]
    return [
        part(bench, two, scope=any_scope(bench), share=likely, a=a, b=b, m=2, **told),
        part(
            bench, hertz[d] + hertz[f] - hertz[g], scope=any_scope(bench),
            share=loud[d] * loud[f] * loud[g], a=d, b=f, c=g, m=1, **told,
        ),
        part(bench, two - shift, scope=at, share=0.15 * likely, a=a, b=b, m=2, e=-1, rho=-1, rate=2, **told),
    ]  # fmt: skip


def second_order(bench):
    hertz, loud = bench.station_hz, bench.loudness
    a, b = _pairs(len(hertz))
    told = {"scope": any_scope(bench), "share": loud[a] * loud[b], "a": a, "b": b, "n": 1, "law": 2}
    return [
        part(bench, hertz[a] - hertz[b], e=-1, kind=KIND["programme"], **told),
        part(bench, np.where(a < b, hertz[a] + hertz[b], 0), e=1, kind=KIND["programme"], **told),
    ]


def pair_half_if(bench):
    """A + B = 2 fL - e fI."""
    hertz, loud = bench.station_hz, bench.loudness
    a, b = (side[_pairs(len(hertz))[0] < _pairs(len(hertz))[1]] for side in _pairs(len(hertz)))
    found = []
    for e in (1, -1):
        rho = (2 * e * bench.sides)[:, None]
        num = hertz[a] + hertz[b] + ((e - 2 * bench.sides) * bench.intermediates_hz)[:, None]
        found.append(
            part(
                bench, num, 2, scope=np.arange(len(bench.sides))[:, None], share=loud[a] * loud[b], a=a,
                b=b, m=1, n=2, e=e, rho=rho, rate=np.abs(rho - 1), law=2, width=2, kind=KIND["programme"],
            )
        )  # fmt: skip
    return found


def if_spaced_pair(bench):
    """|A - B| within half the filter of the real IF."""
    hertz, loud = bench.station_hz, bench.loudness
    a, b = _pairs(len(hertz))
    miss = (hertz[a] - hertz[b])[None, :] - bench.intermediates_hz[:, None]
    at, pair = np.nonzero(np.abs(miss) <= (90_000 if bench.fm else 4500))
    if not len(at):
        return []
    spots = places(bench)
    told = {"scope": at[:, None], "a": a[pair][:, None], "b": b[pair][:, None]}
    share = (loud[a] * loud[b])[pair][:, None] * spots["share"]
    return [
        part(
            bench, spots["num"], share=share, rho=0, rate=1, law=2, width=0, tone_hz=-1, every=1,
            kind=KIND["programme"], **told,
        )
    ]  # fmt: skip


def neighbours(bench):
    """A station beside a station: 50 kHz away for any decoder, 100 and 200 for a switching one."""
    if not bench.fm or bench.decoder == "none":
        return []
    tones = {50_000: 12_000} | ({100_000: 14_000, 200_000: 10_000} if bench.decoder == "switching" else {})
    hertz = bench.station_hz
    a, b = _pairs(len(hertz))
    return [
        part(
            bench, hertz[a], scope=any_scope(bench),
            share=(np.abs(hertz[a] - hertz[b]) == away) * bench.loudness[b], a=b, n=1, quantity=away,
            tone_hz=tone, kind=KIND["tone"],
        )
        for away, tone in tones.items()
    ]  # fmt: skip


# --- on the air as it is, adjustment, no radio ---


def elsewhere(bench):
    """A listed programme from a second transmitter, on any channel that is not its own."""
    station, channel = bench.station_hz[:, None], bench.channels_hz
    share = (channel != station).astype(float)
    named = np.arange(len(bench.station_hz))[:, None]
    return [part(bench, channel, scope=any_scope(bench), share=share, a=named, n=1, kind=KIND["programme"])]


def co_channel(bench):
    return [places(bench, n=1, kind=KIND["unlisted"])]


def transmitter_harmonics(bench):
    """h fX = fT: of listed stations where the band is wide enough, else of those who send outside."""
    dial, found = grid_hz(bench), []
    for h in (2, 3):
        who = lives_at(dial // h)
        busy = BUSY[who] * OUTSIDE_OVER_DIAL / len(dial)
        what = WHAT[who]
        told = {"scope": any_scope(bench), "m": h, "n": 1}
        found.append(part(bench, dial, share=busy * 0.5**h, kind=what, **told))
        named = np.arange(len(bench.station_hz))
        share = bench.loudness * 0.5**h
        found.append(part(bench, h * bench.station_hz, share=share, a=named, kind=KIND["programme"], **told))
    return found


def wrong_side(bench):
    """The oscillator runs on the other side: a station stands two IFs from its place."""
    at = np.arange(len(bench.sides))[:, None]
    num = bench.station_hz + (2 * bench.sides * bench.intermediates_hz)[:, None]
    named = np.arange(len(bench.station_hz))
    told = {"n": 1, "e": -1, "rho": -1, "rate": -1, "every": 2, "kind": KIND["programme"]}
    return [part(bench, num, scope=at, share=bench.loudness, a=named, **told)]


def oscillator_off(bench):
    """A station stands off its place by more than the scale is said to be wrong."""
    step = 100_000 if bench.fm else 5000
    least = bench.dial_error_hz // step + 2
    away = np.concatenate([np.arange(least, least + 14), -np.arange(least, least + 14)])[:, None] * step
    named = np.arange(len(bench.station_hz))
    share = bench.loudness * 0.9 ** (np.abs(away) // step - least)
    return [
        part(
            bench, bench.station_hz + away, scope=any_scope(bench), share=share, a=named, n=1, rate=-1,
            every=2, quantity=away, kind=KIND["programme"],
        )
    ]  # fmt: skip


def detector_side(bench):
    """The outer slopes of the discriminator: a station again on either side."""
    if not bench.fm:
        return []
    away = np.array([-200_000, -150_000, -100_000, 100_000, 150_000, 200_000])[:, None]
    named = np.arange(len(bench.station_hz))
    return [
        part(
            bench, bench.station_hz + away, scope=any_scope(bench), share=bench.loudness, a=named, n=1,
            quantity=away, kind=KIND["programme"],
        )
    ]  # fmt: skip


def on_stations(bench):
    """What is noticed on stations and has no place of its own."""
    named = np.arange(len(bench.station_hz))
    loudest = part(
        bench, bench.station_hz[:, None], scope=any_scope(bench), a=named, every=2, law=3, rate=-1, width=0,
        share=(named[:, None] != named) * bench.loudness, kind=KIND["programme"],
    )  # fmt: skip
    return {
        "if-off-centre": [victims(bench, a=named, n=1, rate=-1, every=2, kind=KIND["rough"])],
        "blocking": [victims(bench, n=1, law=3, rate=-1, width=4, every=2, kind=KIND["dead"])],
        "cross-modulation": [] if bench.fm else [loudest],
        "multipath": [victims(bench, a=named, n=1, rate=-1, every=2, kind=KIND["rough"])] if bench.fm else [],
        "modulation-hum": [victims(bench, n=1, tone_hz=100, width=0, every=1, kind=KIND["hum"])],
        "audio-only": [places(bench, law=0, width=0, rate=0, tone_hz=-1, every=1, kind=KIND["audio"])],
        NONE: [places(bench, on_stations=0.3, tone_hz=-1, kind=KIND["any"])],
        "if-oscillation": [
            places(bench, rho=0, rate=1, law=0, width=0, tone_hz=-1, every=1, kind=KIND["carrier"])
        ],
    }


def every_cause(bench):
    """One table of columns for each mechanism; empty ones where the bench cannot have it."""
    sums = third_order(bench)
    parts = one_signal(bench) | on_stations(bench)
    parts |= {
        "if-breakthrough": breakthrough(bench), "second-image": second_image(bench),
        "if-harmonic": if_harmonics(bench), "self-mixing": self_mixing(bench),
        "oscillator-on-station": oscillator_on_station(bench), "oscillator-in-if": oscillator_in_if(bench),
        "oscillator-product": oscillator_products(bench), "internal-clock": clocks(bench),
        "synthesiser-sideband": sidebands(bench), "reference-ripple": ripple(bench),
        "other-receiver": other_sets(bench), "third-order": sums,
        "third-order-outside": [rows | {"law": 1} for rows in sums[:2]],
        "second-order": second_order(bench), "pair-half-if": pair_half_if(bench),
        "if-spaced-pair": if_spaced_pair(bench), "decoder-neighbour": neighbours(bench),
        "second-transmitter": elsewhere(bench), "co-channel": co_channel(bench),
        "transmitter-harmonic": transmitter_harmonics(bench), "wrong-side": wrong_side(bench),
        "oscillator-off": oscillator_off(bench), "detector-side": detector_side(bench),
    }  # fmt: skip
    return {mechanism: _joined(parts[mechanism]) for mechanism in MECHANISMS}


def _joined(parts):
    """One table of all parts; columns that no part has hold their default."""
    counts = [len(rows["num"]) for rows in parts]
    return {
        name: _column([rows.get(name, default) for rows in parts], counts)
        for name, default in COLUMNS.items()
    }


def _column(values, counts):
    if all(np.ndim(value) == 0 for value in values) and len(set(values)) < 2:
        return np.broadcast_to(values[0] if values else 0, sum(counts))
    return np.concatenate(
        [
            value if np.ndim(value) else np.full(count, value)
            for value, count in zip(values, counts, strict=True)
        ]
    )
