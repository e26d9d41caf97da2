"""Every cause that a bench can have, as parts: where on the dial, how likely, and by which formula.

This file holds what one signal, the IF, the oscillator and the things inside the set do, and other sets.
"""

from __future__ import annotations

from math import gcd

import numpy as np
from bench_rows import (
    BUSY,
    KIND,
    OUTSIDE_OVER_DIAL,
    WHAT,
    any_scope,
    grid_hz,
    lives_at,
    part,
    places,
    side_scope,
    victims,
)

# --- one signal ---


def name_of(m, n):
    if n == 0:
        return "if-breakthrough"
    if n > 0 and m == n:
        return {1: "image", 2: "half-if"}.get(m, "fractional-if")
    if n > 0 and m == 1:
        return "oscillator-harmonic"
    return "signal-harmonic" if n == 1 else "harmonic-mixing"


def one_signal(bench):
    """Parts of the products of one signal and the oscillator, by mechanism."""
    m, n, e = (axis.ravel() for axis in np.meshgrid(np.arange(1, 6), np.arange(-5, 6), np.array([1, -1])))
    called = np.array([name_of(*pair) for pair in zip(m.tolist(), n.tolist(), strict=True)])
    found = {name: [] for name in set(called) if name != "if-breakthrough"}
    for side in sorted(set(bench.sides.tolist())):
        wanted = (m == 1) & (n == 1) & (e == side)
        for name in found:
            some = np.flatnonzero((called == name) & ~wanted)
            found[name] += _patterns(bench, side, m[some], n[some], e[some])
    return found


def _patterns(bench, side, m, n, e):
    """Listed stations and whoever is outside, on some patterns (p,)."""
    rho = e * n * side
    told = {"m": m, "n": n, "e": e, "rho": rho, "rate": np.abs(rho - 1), "law": m}
    told["width"] = np.abs(n).clip(max=3)
    share = 0.5 ** (m + np.abs(n) - 2)
    return [_of_listed(bench, side, share, told), _of_outside(bench, side, share, told)]


def _of_listed(bench, side, share, told):
    """n fL = m fX + e fI solved for the dial, for every pattern, real IF and station."""
    told = {name: column[:, None, None] for name, column in told.items()}
    at = np.flatnonzero(bench.sides == side)[:, None]
    own_if, station, n = bench.intermediates_hz[at], np.arange(len(bench.station_hz)), told["n"]
    num = (told["m"] * bench.station_hz + (told["e"] - n * side) * own_if) * np.sign(n)
    share = share[:, None, None] * bench.loudness
    return part(bench, num, np.abs(n), scope=at, share=share, a=station, kind=KIND["programme"], **told)


def _of_outside(bench, side, share, told):
    """The dial in small steps: whom every pattern meets there."""
    told = {name: column[:, None] for name, column in told.items()}
    dial = grid_hz(bench)
    signal = (told["n"] * (dial + side * bench.nominal_hz) - told["e"] * bench.nominal_hz) // told["m"]
    who = lives_at(signal)
    share = share[:, None] * OUTSIDE_OVER_DIAL * BUSY[who] / len(dial)
    told |= {"kind": WHAT[who], "width": np.where(WHAT[who] == KIND["digital"], 4, told["width"])}
    return part(bench, dial, scope=side_scope(bench, side), share=share, **told)


def breakthrough(bench):
    """Signals on the IF and on its half and third: whoever sends there is heard all over the dial."""
    kinds = (("other", 0.5), ("unlisted", 0.2), ("digital", 0.15), ("beacon", 0.15))
    return [
        places(
            bench, m=m, e=-1, rho=0, rate=1, law=m, width=0, kind=KIND[kind], tone_hz=-1, every=1,
            share=0.5 ** (m - 1) * share
        )
        for m in (1, 2, 3)
        for kind, share in kinds
    ]  # fmt: skip


def second_image(bench):
    """fX = fT - 2 s1 s2 fI2; the sign of the second side is that of its oscillator against the first IF."""
    if bench.second_oscillator_hz is None:
        return []
    second = 1 if bench.second_oscillator_hz > bench.nominal_hz else -1
    return [
        part(
            bench, bench.station_hz + 2 * side * second * 455_000, scope=side_scope(bench, side),
            share=bench.loudness, a=np.arange(len(bench.station_hz)), m=1, n=side,
            quantity=2 * side * second * 455_000, rho=-1, rate=2,
        )
        for side in sorted(set(bench.sides.tolist()))
    ]  # fmt: skip


# --- the set's own ---


def near_a_station(bench, rows):
    """Those rows with a listed carrier so near their spot that a tone may be heard."""
    hertz = rows["num"] / rows["den"]
    beside = np.abs(bench.station_hz[None, :] - hertz[:, None]).min(axis=1) <= (60_000 if bench.fm else 4500)
    return {name: values[beside] if np.ndim(values) else values for name, values in rows.items()}


def if_harmonics(bench):
    """fW = k fI, on a station near enough for a tone; odd k are likelier, high ones weaker."""
    k = np.arange(2, 13)
    at = np.arange(len(bench.sides))[:, None]
    share = 0.8**k * np.where(k % 2, 1.5, 1.0)
    spot = k * bench.intermediates_hz[:, None]
    return [
        near_a_station(bench, part(bench, spot, scope=at, share=share, k=k, rate=k, law=0, kind=KIND["tone"]))
    ]


def self_mixing(bench):
    """fW (n - m) = fI (e - n s) on a station."""
    m, n, e = (
        axis.ravel()[:, None] for axis in np.meshgrid(np.arange(2, 6), np.arange(1, 6), np.array([1, -1]))
    )
    m, n, e = (axis[m[:, 0] != n[:, 0]] for axis in (m, n, e))
    num = bench.intermediates_hz * (e - n * bench.sides) * np.sign(n - m)
    rate, beat = np.abs(e * n - bench.sides), np.abs(n - m)
    at, share = np.arange(len(bench.sides)), 0.5 ** (m + n - 3)
    told = {"m": m, "n": n, "e": e, "rate": rate, "law": m, "beat": beat}
    rows = part(bench, num, beat, scope=at, share=share, kind=KIND["tone"], **told)
    return [near_a_station(bench, rows)]


def oscillator_on_station(bench):
    station = np.arange(len(bench.station_hz))
    at = np.arange(len(bench.sides))[:, None]
    num = bench.station_hz - (bench.sides * bench.intermediates_hz)[:, None]
    return [part(bench, num, scope=at, share=bench.loudness, a=station, rate=-1, width=4, kind=KIND["dead"])]


def oscillator_in_if(bench):
    """n fL = fI, where the oscillator comes so low."""
    n = np.arange(1, 6)
    at = np.arange(len(bench.sides))[:, None]
    own_if = bench.intermediates_hz[:, None]
    num = own_if - n * bench.sides[:, None] * own_if
    return [part(bench, num, n, scope=at, share=0.5**n, n=n, rate=-1, law=0, width=4, kind=KIND["dead"])]


def oscillator_products(bench):
    """n fL + q fL2 = fT solved for the dial; n = 1 does not tune.  rho is 1 - n, so that R is abs(n)."""
    if bench.second_oscillator_hz is None:
        return []
    at, found = np.arange(len(bench.sides)), []
    pairs = ((n, q) for n in (-3, -2, -1, 2, 3) for q in range(-12, 13) if q and gcd(n, q) == 1)
    for n, q in pairs:
        away = n * bench.sides * bench.intermediates_hz + q * bench.second_oscillator_hz
        told = {"n": n, "k": q, "rho": 1 - n, "rate": abs(n), "width": min(abs(n - 1), 3), "law": 0}
        share = 0.7 ** (abs(n) + abs(q))
        num = away if n < 1 else -away
        found.append(part(bench, num, abs(n - 1), scope=at, share=share, kind=KIND["carrier"], **told))
    return found


# --- clocks, synthesiser, other sets ---


def clocks(bench):
    """Harmonics of clocks on the dial, on the image and on the IF; of unknown clocks anywhere."""
    told = {"law": 0, "kind": KIND["carrier"]}
    unknown = 0.4 if bench.clocks_hz else 1.0
    found = [
        places(bench, on_stations=0.0, share=0.9 * unknown, n=1, **told),
        places(bench, share=0.1 * unknown, rho=0, rate=1, width=0, tone_hz=-1, every=1, **told),
    ]
    for clock in bench.clocks_hz:
        told["quantity"], p = clock, np.arange(1, 40 + 2 * bench.band_hz[1] // clock)
        found.append(part(bench, p * clock, scope=any_scope(bench), share=0.4 / np.sqrt(p), m=p, n=1, **told))
        at = np.arange(len(bench.sides))[:, None]
        image = p * clock - (2 * bench.sides * bench.intermediates_hz)[:, None]
        found.append(
            part(bench, image, scope=at, share=0.1 / np.sqrt(p), m=p, n=1, e=-1, rho=-1, rate=2, **told)
        )
    return found


def sidebands(bench):
    """fX = fT + j fref, far enough from the station to be heard beside it."""
    if bench.reference_hz is None:
        return []
    j = np.array([-4, -3, -2, -1, 1, 2, 3, 4])[:, None]
    away = np.abs(j) * bench.reference_hz
    heard = away > (90_000 if bench.fm else 4500)
    return [
        part(
            bench, bench.station_hz + j * bench.reference_hz, scope=any_scope(bench),
            kind=KIND["programme"], share=heard * bench.loudness * 0.5 ** np.abs(j),
            a=np.arange(len(bench.station_hz)), k=j, n=1, quantity=bench.reference_hz,
        )
    ]  # fmt: skip


def ripple(bench):
    """Harmonics of the reference in the multiplex: a tone on every station."""
    if bench.reference_hz is None or not bench.fm or bench.decoder == "none":
        return []
    found = []
    for k in (1, 2, 4):
        line = k * bench.reference_hz
        folds = (38_000,) if bench.decoder == "filtered" else (38_000, 114_000)
        tones = [abs(line - fold) for fold in folds if abs(line - fold) < 15_000]
        found += [
            victims(bench, k=k, law=0, width=0, every=1, kind=KIND["tone"], tone_hz=tone, share=0.5**k)
            for tone in tones
        ]
    return found


def other_sets(bench):
    """f'T + s' f'I on the dial or on the image, the other set tuned to a listed station or anywhere."""
    usual = (
        (10_650_000, 10_700_000, 10_750_000) if bench.fm else (450_000, 455_000, 460_000, 465_000, 470_000)
    )
    shares = (0.25, 0.5, 0.25) if bench.fm else (0.1, 0.6, 0.1, 0.1, 0.1)
    count = len(bench.station_hz)
    tuned = np.concatenate([bench.station_hz, bench.channels_hz])
    likely = np.concatenate(
        [np.full(count, 0.7 / count), np.full(len(bench.channels_hz), 0.3 / len(bench.channels_hz))]
    )
    told = {"kind": KIND["carrier"], "n": 1, "other_hz": tuned}
    at, found = np.arange(len(bench.sides))[:, None], []
    for own_if, share in zip(usual, shares, strict=True):
        for side in (1, -1):
            sent = tuned + side * own_if
            told |= {"k": side, "quantity": own_if}
            found.append(part(bench, sent, scope=any_scope(bench), share=0.85 * share * likely, **told))
            image = sent - (2 * bench.sides * bench.intermediates_hz)[:, None]
            found.append(
                part(bench, image, scope=at, share=0.15 * share * likely, e=-1, rho=-1, rate=2, **told)
            )
    return found
