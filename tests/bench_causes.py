"""Every cause that a bench can have, as rows: where on the dial, how likely, and by which formula.

A *part* is a dict of equal arrays, one row for each instance.  `num / den` is the exact dial setting [Hz]; `scope` says
under which configurations (side, real IF) a row exists; `share` is how likely it is among those of its mechanism.
This file holds what one signal, the IF, the oscillator and the things inside the set do.
"""

from __future__ import annotations

from math import gcd

import numpy as np

COLUMNS = {
    "num": 0, "den": 1, "scope": 0, "share": 1.0, "m": 0, "n": 0, "e": 0, "k": 0, "rho": 1, "rate": 0, "law": 1,
    "width": 1, "kind": 0, "a": -1, "b": -1, "c": -1, "tone_hz": 0, "other_hz": 0, "quantity": 0, "every": 0, "beat": 0,
}  # fmt: skip
"""Defaults.  rate -1: tuning tells nothing; width 0: everywhere, 4: several channels; tone -1: any pitch;
every: 0 one place, 1 all over the dial, 2 on several stations; beat: pitch per hertz between station and spot, else rho."""

KINDS = (
    "programme", "unlisted", "other", "aircraft", "amateurs", "beacon", "digital", "carrier", "dead", "tone", "rough",
    "hum", "audio", "any",
)  # fmt: skip
KIND = {name: number for number, name in enumerate(KINDS)}

OUTSIDE = (
    (148_500, 283_500, "unlisted", 1.0), (283_500, 526_500, "beacon", 1.0), (1_606_500, 1_810_000, "other", 0.5),
    (1_810_000, 2_000_000, "amateurs", 1.0), (2_000_000, 2_850_000, "other", 0.3), (3_500_000, 3_800_000, "amateurs", 1.0),
    (5_250_000, 5_450_000, "other", 0.5), (5_900_000, 6_200_000, "unlisted", 1.5), (7_000_000, 7_200_000, "amateurs", 1.0),
    (7_200_000, 7_450_000, "unlisted", 1.5), (9_400_000, 9_900_000, "unlisted", 1.5),
    (10_150_000, 11_175_000, "other", 0.5), (11_600_000, 12_100_000, "unlisted", 1.5),
    (21_000_000, 21_450_000, "amateurs", 1.0), (26_960_000, 27_410_000, "other", 1.0),
    (28_000_000, 29_700_000, "amateurs", 1.0), (30_000_000, 50_000_000, "other", 0.3),
    (50_000_000, 54_000_000, "amateurs", 1.0), (68_000_000, 87_500_000, "other", 1.0),
    (108_000_000, 117_975_000, "beacon", 0.5), (117_975_000, 137_000_000, "aircraft", 2.0),
    (137_000_000, 144_000_000, "other", 0.5), (144_000_000, 146_000_000, "amateurs", 2.0),
    (146_000_000, 174_000_000, "other", 1.0), (174_000_000, 230_000_000, "digital", 1.5),
    (380_000_000, 430_000_000, "digital", 0.5), (430_000_000, 440_000_000, "amateurs", 1.0),
    (470_000_000, 694_000_000, "digital", 1.0),
)  # fmt: skip
"""Who sends outside the station list: from, to [Hz], what is heard of it, how busy.  From memory, Region 1, simplified."""
_LOW, _HIGH = (np.array([row[i] for row in OUTSIDE], dtype=np.int64) for i in (0, 1))
_WHAT = np.array([KIND[row[2]] for row in OUTSIDE] + [0])
_BUSY = np.array([row[3] for row in OUTSIDE] + [0.0])

OUTSIDE_OVER_DIAL = 10.0
"""A response that meets a busy service all over the dial counts like so many listed stations."""


def lives_at(hertz):
    """Row of `OUTSIDE` for whole hertz; the last (one past the table) where nobody is."""
    row = np.searchsorted(_LOW, hertz, side="right") - 1
    return np.where((row >= 0) & (hertz < _HIGH[row]), row, len(OUTSIDE))


def any_scope(bench):
    return len(bench.sides) + 2


def side_scope(bench, side):
    return len(bench.sides) + (side < 0)


def members(bench):
    """Which configurations each scope holds; (scopes, c)."""
    own = np.eye(len(bench.sides), dtype=bool)
    return np.vstack([own, bench.sides > 0, bench.sides < 0, np.ones(len(own), dtype=bool)])


def part(bench, num, den=1, **columns):
    """Rows of a broadcast of `columns` whose dial setting lies in the band and whose share is not zero."""
    names = list(columns)
    num, den, *values = np.broadcast_arrays(num, den, *columns.values())
    low, high = bench.band_hz
    keep = (num >= low * den) & (num <= high * den) & (values[names.index("share")] > 0)
    return {"num": num[keep], "den": den[keep]} | {
        name: value[keep] for name, value in zip(names, values, strict=True)
    }


def grid_hz(bench):
    """Places between and on channels, half a raster of the usual kind apart."""
    low, high = bench.band_hz
    return np.arange(low, high + 1, 50_000 if bench.fm else 4500, dtype=np.int64)


def places(bench, on_stations=0.6, **columns):
    """Rows for something that has no place of its own: where somebody happens to listen."""
    station, channel = bench.station_hz, grid_hz(bench)
    share = np.concatenate(
        [np.full(len(station), on_stations / len(station)), np.full(len(channel), (1 - on_stations) / len(channel))]
    )
    columns["share"] = share * columns.get("share", 1.0)
    return part(bench, np.concatenate([station, channel]), scope=any_scope(bench), **columns)


def victims(bench, **columns):
    """One row for each station: something that is noticed on stations."""
    columns["share"] = np.ones(len(bench.station_hz)) * columns.get("share", 1.0)
    return part(bench, bench.station_hz, scope=any_scope(bench), **columns)


# --- one signal -------------------------------------------------------------------------------------


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
    found = {}
    for m in range(1, 6):
        for n in range(-5, 6):
            if n:
                rows = (row for e in (1, -1) for row in _pattern(bench, m, n, e))
                found.setdefault(name_of(m, n), []).extend(rows)
    return found


def _pattern(bench, m, n, e):
    share = 0.5 ** (m + abs(n) - 2)
    for side in sorted(set(bench.sides.tolist())):
        if (m, n, e) != (1, 1, side):
            rho = e * n * side
            told = {"m": m, "n": n, "e": e, "rho": rho, "rate": abs(rho - 1), "law": m, "width": min(abs(n), 3)}
            yield _of_listed(bench, side, share, told)
            yield _of_outside(bench, side, share, told)


def _of_listed(bench, side, share, told):
    """n fL = m fX + e fI solved for the dial, for every station and real IF."""
    at = np.flatnonzero(bench.sides == side)[:, None]
    own_if, station = bench.intermediates_hz[at], np.arange(len(bench.station_hz))
    n = told["n"]
    num = (told["m"] * bench.station_hz + told["e"] * own_if - n * side * own_if) * (1 if n > 0 else -1)
    return part(bench, num, abs(n), scope=at, share=share * bench.loudness, a=station, kind=KIND["programme"], **told)


def _of_outside(bench, side, share, told):
    """The dial in small steps: whom the response meets there."""
    dial = grid_hz(bench)
    signal = (told["n"] * (dial + side * bench.nominal_hz) - told["e"] * bench.nominal_hz) // told["m"]
    who = lives_at(signal)
    share = share * OUTSIDE_OVER_DIAL * _BUSY[who] / len(dial)
    told = told | {"kind": _WHAT[who], "width": np.where(_WHAT[who] == KIND["digital"], 4, told["width"])}
    return part(bench, dial, scope=side_scope(bench, side), share=share, **told)


def breakthrough(bench):
    """Signals on the IF and on its half and third: whoever sends there is heard all over the dial."""
    kinds = (("other", 0.5), ("unlisted", 0.2), ("digital", 0.15), ("beacon", 0.15))
    return [
        places(
            bench, m=m, e=-1, rho=0, rate=1, law=m, width=0, kind=KIND[kind], tone_hz=-1, every=1, share=0.5 ** (m - 1) * share
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
            bench, bench.station_hz + 2 * side * second * 455_000, scope=side_scope(bench, side), share=bench.loudness,
            a=np.arange(len(bench.station_hz)), m=1, n=side, quantity=2 * side * second * 455_000, rho=-1, rate=2,
        )
        for side in sorted(set(bench.sides.tolist()))
    ]  # fmt: skip


# --- the set's own --------------------------------------------------------------------------------------


def near_a_station(bench, rows, within_hz):
    """Those rows with a listed carrier within so many hertz of their spot."""
    hertz = rows["num"] / rows["den"]
    beside = np.abs(bench.station_hz[None, :] - hertz[:, None]).min(axis=1) <= within_hz
    return {name: values[beside] for name, values in rows.items()}


def if_harmonics(bench):
    """fW = k fI, on a station near enough for a tone; odd k are likelier, high ones weaker."""
    k = np.arange(2, 13)
    at = np.arange(len(bench.sides))[:, None]
    share = 0.8**k * np.where(k % 2, 1.5, 1.0)
    rows = part(
        bench, k * bench.intermediates_hz[:, None], scope=at, share=share, k=k, rate=k, law=0, kind=KIND["tone"]
    )
    return [near_a_station(bench, rows, 60_000 if bench.fm else 4500)]


def self_mixing(bench):
    """fW (n - m) = fI (e - n s) on a station."""
    found = []
    for m in range(2, 6):
        for n in range(1, 6):
            for e in (1, -1):
                if m != n:
                    num = bench.intermediates_hz * (e - n * bench.sides) * (1 if n > m else -1)
                    rate = np.abs(e * n - bench.sides)
                    rows = part(
                        bench, num, abs(n - m), scope=np.arange(len(num)), share=0.5 ** (m + n - 3), m=m, n=n, e=e,
                        rate=rate, law=m, beat=abs(n - m), kind=KIND["tone"],
                    )  # fmt: skip
                    found.append(near_a_station(bench, rows, 60_000 if bench.fm else 4500))
    return found


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
    """n fL + q fL2 = fT solved for the dial; n = 1 does not tune."""
    if bench.second_oscillator_hz is None:
        return []
    at, found = np.arange(len(bench.sides)), []
    for n in (-3, -2, -1, 2, 3):
        for q in range(-12, 13):
            if q and gcd(n, q) == 1:
                num = n * bench.sides * bench.intermediates_hz + q * bench.second_oscillator_hz
                num, den = (num, 1 - n) if n < 1 else (-num, n - 1)
                found.append(
                    part(
                        bench, num, den, scope=at, share=0.7 ** (abs(n) + abs(q)), n=n, k=q, rate=abs(n - 1), rho=1 - n,
                        width=min(abs(n - 1), 3), law=0, kind=KIND["carrier"],
                    )  # fmt: skip
                )
    return found


# --- clocks, synthesiser, other sets ------------------------------------------------------------------------


def clocks(bench):
    """Harmonics of clocks on the dial, on the image and on the IF; of unknown clocks anywhere."""
    told = {"law": 0, "kind": KIND["carrier"]}
    unknown = 0.4 if bench.clocks_hz else 1.0
    found = [places(bench, on_stations=0.0, share=unknown, n=1, **told)]
    for clock in bench.clocks_hz:
        p = np.arange(1, 40 + 2 * bench.band_hz[1] // clock)
        found.append(
            part(bench, p * clock, scope=any_scope(bench), share=0.4 / np.sqrt(p), m=p, n=1, quantity=clock, **told)
        )
        at = np.arange(len(bench.sides))[:, None]
        image = p * clock - (2 * bench.sides * bench.intermediates_hz)[:, None]
        found.append(
            part(bench, image, scope=at, share=0.1 / np.sqrt(p), m=p, n=1, e=-1, rho=-1, rate=2, quantity=clock, **told)
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
            bench, bench.station_hz + j * bench.reference_hz, scope=any_scope(bench), kind=KIND["programme"],
            share=heard * bench.loudness * 0.5 ** np.abs(j), a=np.arange(len(bench.station_hz)), k=j, n=1,
            quantity=bench.reference_hz,
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
            victims(bench, k=k, law=0, width=0, every=1, kind=KIND["tone"], tone_hz=tone, share=0.5**k) for tone in tones
        ]
    return found


def other_sets(bench):
    """f'T + s' f'I on the dial or on the image, the other set tuned to a listed station or anywhere."""
    usual = (10_650_000, 10_700_000, 10_750_000) if bench.fm else (450_000, 455_000, 460_000, 465_000, 470_000)
    shares = (0.25, 0.5, 0.25) if bench.fm else (0.1, 0.6, 0.1, 0.1, 0.1)
    count = len(bench.station_hz)
    tuned = np.concatenate([bench.station_hz, bench.channels_hz])
    likely = np.concatenate([np.full(count, 0.7 / count), np.full(len(bench.channels_hz), 0.3 / len(bench.channels_hz))])
    told = {"kind": KIND["carrier"], "n": 1, "other_hz": tuned}
    at, found = np.arange(len(bench.sides))[:, None], []
    for own_if, share in zip(usual, shares, strict=True):
        for side in (1, -1):
            sent = tuned + side * own_if
            told |= {"k": side, "quantity": own_if}
            found.append(part(bench, sent, scope=any_scope(bench), share=0.85 * share * likely, **told))
            image = sent - (2 * bench.sides * bench.intermediates_hz)[:, None]
            found.append(part(bench, image, scope=at, share=0.15 * share * likely, e=-1, rho=-1, rate=2, **told))
    return found
