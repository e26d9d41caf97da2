"""How likely each candidate makes what was read as a number, or who was recognised."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from freqplan.decibel import Float64
from freqplan.diagnosis.candidates import NOBODY, Candidates
from freqplan.diagnosis.observables import WRONG, by_trait

if TYPE_CHECKING:
    from freqplan.evidence import Symptom

SPOILT = 0.1
"""Share of pad readings that AGC or a saturated limiter spoils; common practice, no source."""

READ_TO_DB, SPREAD = 1.0, 0.07
"""How well a fall is read, and how much a meter and a pad are out of scale; common practice, no source."""

MOST_LAW, MOST_RATE = 6.0, 25.0
"""Ranges over which a spoilt reading may lie anywhere."""

MADE_OUT = ((1, 1, 1, 1), (0.28, 0.72, 1, 1), (0.15, 0.3, 0.25, 1), (0.2, 0.167, 0.08, 0.06))
"""How likely just so many, and which, of the programmes that take part are recognised, by their number: of several as a
rule one is made out. Common practice, no source."""

RECOGNISED, MISTAKEN = MADE_OUT[1][1], 0.012
"""Shares of single programmes that are recognised, and of others taken for them; common practice, no source."""

NAMELESS = 0.4
"""How likely somebody tells of the programme of a known station without saying whose; common practice, no source."""


def fall(symptom: Symptom, some: Candidates) -> Float64 | None:
    """Return the density of the fall over the pad that was read, (k,), or None if none was.

    What is read as less than the law says comes from a limiter that holds.
    """
    if not symptom.pad_db or symptom.fell_db is None:
        return None
    ratio = symptom.fell_db / symptom.pad_db
    sd = np.hypot(READ_TO_DB / symptom.pad_db, SPREAD * np.nan_to_num(some.law, nan=1.0))
    told = np.exp(-(((ratio - some.law) / sd) ** 2) / 2) / (sd * np.sqrt(2 * np.pi))
    below = (ratio <= some.law + 0.3) / np.maximum(some.law + 0.3, 0.3)
    spoilt = 0.7 * below + 0.3 / MOST_LAW
    density: Float64 = np.where(np.isnan(some.law), 1 / 3, (1 - SPOILT) * told + SPOILT * spoilt)
    return density


def rate(symptom: Symptom, some: Candidates) -> Float64 | None:
    """Return the density of the beat rate that was counted, (k,), or None if none was."""
    if symptom.pitch_rate is None:
        return None
    sd = 0.1 + 0.05 * np.nan_to_num(some.beat, nan=1.0)
    told = np.exp(-(((symptom.pitch_rate - some.beat) / sd) ** 2) / 2) / (sd * np.sqrt(2 * np.pi))
    anyhow = np.exp(-symptom.pitch_rate / 3) / 3
    density: Float64 = np.where(np.isnan(some.beat), anyhow, (1 - WRONG) * told + WRONG / MOST_RATE)
    return density


def nameless(some: Candidates) -> Float64:
    """Return how likely a programme is told of without a name; (k,)."""
    return np.where((some.who != NOBODY).any(axis=1), NAMELESS, 1.0)


def recognised(places: tuple[int, ...], some: Candidates) -> Float64:
    """Return how likely just these stations, places in the cast, are recognised; (k,)."""
    takes_part = some.who != NOBODY
    named = (np.isin(some.who, places) & takes_part).sum(axis=1)
    told: Float64 = np.array(MADE_OUT)[takes_part.sum(axis=1), named]
    likely: Float64 = told * MISTAKEN ** (len(places) - named)
    return likely


def notched(stops: tuple[int, ...], keeps: tuple[int, ...], some: Candidates) -> Float64:
    """Return how likely traps on some stations stop it, and on others make no difference; (k,)."""
    likely = np.ones(len(some))
    for places, stopping in ((stops, True), (keeps, False)):
        for place in places:
            share = stop_share(place, some)
            likely *= share if stopping else 1 - share
    return likely


def stop_share(place: int, some: Candidates) -> Float64:
    """Return how likely a trap on one station stops it; (k,)."""
    takes_part = (some.who == place).any(axis=1)
    share: Float64 = np.where(takes_part, by_trait(some, "trap"), by_trait(some, "any_trap"))
    return share
