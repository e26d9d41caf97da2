"""What to feed in from a generator: a response of the suspected cause, clear of stations and of safety services."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from freqplan.diagnosis.causes import Cause
from freqplan.diagnosis.weighing import Weighed
from freqplan.plan import Plan
from freqplan.plan_tables import FM_FROM_HZ
from freqplan.reach import channels_around
from freqplan.services import safety_ranges_hz

CLEAR_CHANNELS = 2
"""How many channels from every station dial and generator stay."""

WIDE_HZ, NARROW_HZ = 200_000, 20_000
"""The same above and below 30 MHz, where FM and AM broadcasting live."""

MOST_TRIED = 400
"""Dial settings tried, from the place outwards."""


@dataclass(frozen=True)
class Feed:
    """A dial setting and a generator's frequency [Hz]."""

    dial_hz: int
    signal_hz: Fraction


def feed(weighed: Weighed, cause: Cause) -> Feed | None:
    """Return what to feed in to find a response of the set; None where the cause is none, or no place is allowed.

    On the wanted response itself a generator tells nothing; on frequencies on which lives depend none is used.
    """
    told, scene = cause.told, weighed.scene
    if not told.takes_a_signal:
        return None
    plan, cast = scene.plan, np.sort(scene.cast.frequency_hz)
    for dial in channels_around(plan, told.at_hz or plan.middle_channel_hz, MOST_TRIED).tolist():
        signal = Fraction(told.combination.signal(dial).exact()[0] or 0)
        beside = [_distance_hz(plan, hertz) for hertz in (Fraction(dial), signal)]
        if signal <= 0 or not _is_clear(cast, dial, beside[0]) or not _is_clear(cast, signal, beside[1]):
            continue
        if not _is_safety(signal, plan.region) and abs(signal - dial) > max(beside):
            return Feed(dial, signal)
    return None


def _distance_hz(plan: Plan, hertz: Fraction) -> int:
    """Return how far from a station to stay: channels of this set, and of whoever may be on the air there."""
    theirs = WIDE_HZ if hertz >= FM_FROM_HZ else NARROW_HZ
    return max(CLEAR_CHANNELS * plan.band.raster_hz, theirs)


def _is_clear(rising_hz: np.ndarray, hertz: Fraction | int, distance_hz: int) -> bool:
    """Return whether no station lies nearer."""
    place = int(np.searchsorted(rising_hz, float(hertz)))
    return all(
        abs(Fraction(int(one)) - hertz) >= distance_hz for one in rising_hz[max(place - 1, 0) : place + 1]
    )


def _is_safety(hertz: Fraction, region: int) -> bool:
    """Return whether lives depend on a frequency, edges included."""
    return any(low <= hertz <= high for low, high in safety_ranges_hz(region=region))
