"""Rows of causes: their columns, what is heard of each kind, and who sends outside the station list.

A *part* is a dict of equal arrays, one row for each instance of a cause; what is one value for all stays one value.
`num / den` is the exact dial setting [Hz]; `scope` says under which configurations (side, real IF) a row exists;
`share` is how likely it is among those of its mechanism.
"""

from __future__ import annotations

import numpy as np

COLUMNS = {
    "num": 0, "den": 1, "scope": 0, "share": 1.0, "m": 0, "n": 0, "e": 0, "k": 0, "rho": 1, "rate": 0,
    "law": 1, "width": 1, "kind": 0, "a": -1, "b": -1, "c": -1, "tone_hz": 0, "other_hz": 0, "quantity": 0,
    "every": 0, "beat": 0,
}  # fmt: skip
"""Defaults.  rate -1: tuning tells nothing; width 0: everywhere, 4: several channels; tone -1: any pitch;
every: 0 one place, 1 all over the dial, 2 on several stations; beat: pitch per hertz between station and spot, where
that is not rho."""

KINDS = (
    "programme", "unlisted", "other", "aircraft", "amateurs", "beacon", "digital", "carrier", "dead",
    "tone", "rough", "hum", "audio", "any",
)  # fmt: skip
KIND = {name: number for number, name in enumerate(KINDS)}

OUTSIDE = (
    (148_500, 283_500, "unlisted", 1.0), (283_500, 526_500, "beacon", 1.0),
    (1_606_500, 1_810_000, "other", 0.5), (1_810_000, 2_000_000, "amateurs", 1.0),
    (2_000_000, 2_850_000, "other", 0.3), (3_500_000, 3_800_000, "amateurs", 1.0),
    (5_250_000, 5_450_000, "other", 0.5), (5_900_000, 6_200_000, "unlisted", 1.5),
    (7_000_000, 7_200_000, "amateurs", 1.0), (7_200_000, 7_450_000, "unlisted", 1.5),
    (9_400_000, 9_900_000, "unlisted", 1.5), (10_150_000, 11_175_000, "other", 0.5),
    (11_600_000, 12_100_000, "unlisted", 1.5), (21_000_000, 21_450_000, "amateurs", 1.0),
    (26_960_000, 27_410_000, "other", 1.0), (28_000_000, 29_700_000, "amateurs", 1.0),
    (30_000_000, 50_000_000, "other", 0.3), (50_000_000, 54_000_000, "amateurs", 1.0),
    (68_000_000, 87_500_000, "other", 1.0), (108_000_000, 117_975_000, "beacon", 0.5),
    (117_975_000, 137_000_000, "aircraft", 2.0), (137_000_000, 144_000_000, "other", 0.5),
    (144_000_000, 146_000_000, "amateurs", 2.0), (146_000_000, 174_000_000, "other", 1.0),
    (174_000_000, 230_000_000, "digital", 1.5), (380_000_000, 430_000_000, "digital", 0.5),
    (430_000_000, 440_000_000, "amateurs", 1.0), (470_000_000, 694_000_000, "digital", 1.0),
)  # fmt: skip
"""Who sends outside the list: from, to [Hz], what is heard of it, how busy.  From memory, Region 1, simplified."""
_LOW, _HIGH = (np.array([row[i] for row in OUTSIDE], dtype=np.int64) for i in (0, 1))
WHAT = np.array([KIND[row[2]] for row in OUTSIDE] + [0])
BUSY = np.array([row[3] for row in OUTSIDE] + [0.0])

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
    columns = {"num": num, "den": den} | columns
    low, high = bench.band_hz
    keep = np.asarray((num >= low * den) & (num <= high * den) & (columns["share"] > 0))
    several = {name: value for name, value in columns.items() if np.ndim(value)}
    shape = np.broadcast_shapes(keep.shape, *(value.shape for value in several.values()))
    kept = np.nonzero(np.broadcast_to(keep, shape))
    return columns | {name: np.broadcast_to(value, shape)[kept] for name, value in several.items()}


def grid_hz(bench):
    """Places between and on channels, half a raster of the usual kind apart."""
    low, high = bench.band_hz
    return np.arange(low, high + 1, 50_000 if bench.fm else 4500, dtype=np.int64)


def places(bench, on_stations=0.6, **columns):
    """Rows for something that has no place of its own: where somebody happens to listen."""
    station, channel = bench.station_hz, grid_hz(bench)
    share = np.concatenate(
        [
            np.full(len(station), on_stations / len(station)),
            np.full(len(channel), (1 - on_stations) / len(channel)),
        ]
    )
    columns["share"] = share * columns.get("share", 1.0)
    return part(bench, np.concatenate([station, channel]), scope=any_scope(bench), **columns)


def victims(bench, **columns):
    """One row for each station: something that is noticed on stations."""
    columns["share"] = np.ones(len(bench.station_hz)) * columns.get("share", 1.0)
    return part(bench, bench.station_hz, scope=any_scope(bench), **columns)
