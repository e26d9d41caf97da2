"""What broadcast planning asks for: how much stronger than an unwanted FM station the wanted one must be.

A second yardstick beside the note of two bare carriers, for stations that carry their programmes.
"""

from __future__ import annotations

import csv
import functools
from dataclasses import dataclass
from importlib import resources

import numpy as np
import numpy.typing as npt

from freqplan.decibel import Float64
from freqplan.hertz import HZ_IN, Int64


@dataclass(frozen=True, eq=False)
class ProtectionTable:
    """Protection ratios against the spacing of the carriers, for steady interference.

    Attributes
    ----------
    spacing_hz : (k,) int64 [Hz]
        Spacing, rising from 0.
    stereo_db, mono_db : (k,) float64 [dB]
        Wanted to unwanted signal at the aerial, for reception in stereo and in mono.
    sources : tuple of str
        Where each row comes from.
    """

    spacing_hz: Int64
    stereo_db: Float64
    mono_db: Float64
    sources: tuple[str, ...]


@functools.cache
def protection_table() -> ProtectionTable:
    """Return the table of protection ratios, read once."""
    text = resources.files("freqplan").joinpath("data/protection_ratios.csv").read_text(encoding="utf-8")
    rows = list(csv.DictReader(text.splitlines()))
    columns: tuple[Int64, Float64, Float64] = (
        np.array([int(row["spacing_khz"]) * HZ_IN["kHz"] for row in rows], dtype=np.int64),
        np.array([float(row["stereo_db"]) for row in rows]),
        np.array([float(row["mono_db"]) for row in rows]),
    )
    for column in columns:
        column.flags.writeable = False
    return ProtectionTable(*columns, tuple(row["source"] for row in rows))


def protection_ratio_db(offset_hz: npt.ArrayLike, *, stereo: bool) -> Float64:
    """Return the protection ratio of FM broadcasting against steady interference.

    Parameters
    ----------
    offset_hz : (k,) or scalar int64 [Hz]
        Unwanted less wanted carrier; either sign gives the same.
    stereo : bool
        Whether the set receives in stereo.

    Returns
    -------
    (k,) float64 [dB]
        Wanted to unwanted signal at the aerial, ahead of every filter of the set; linear in dB between the rows.
        NaN beyond 400 kHz, where the table ends.

    References
    ----------
    Rec. ITU-R BS.412-9, planning standards for FM sound broadcasting, from memory.
    """
    table = protection_table()
    ratio = table.stereo_db if stereo else table.mono_db
    return np.asarray(np.interp(np.abs(offset_hz), table.spacing_hz, ratio, right=np.nan), dtype=np.float64)
