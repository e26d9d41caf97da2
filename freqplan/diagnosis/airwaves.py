"""What would be heard from each part of the spectrum, and how likely somebody strong enough is on the air there."""

from __future__ import annotations

import functools
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

import numpy as np
import numpy.typing as npt

from freqplan.hertz import Int64
from freqplan.services import Service, allocation_edges, services_in

PROGRAMME, SPEECH, WHISTLE, NOISE, SILENCE = KINDS = ("programme", "speech", "whistle", "noise", "silence")
"""What is heard, as evidence names it.  Of equal weights the first counts.

A whistle is a carrier without much on it: a whistle on a station, and quiet where there is none.  Silence is nobody.
"""

AIRCRAFT, AMATEURS, OTHER = "aircraft", "amateurs", "other"
"""Whose speech it is."""


@dataclass(frozen=True)
class Use:
    """How a service is heard.

    Attributes
    ----------
    kind : str
        One of `KINDS`; of a broadcast ``"programme"``, for sets of its own modulation.
    weight : float
        How likely a signal strong enough to make a disturbance is on the air at a frequency of it, 0 to 1.
    speaker : str
        Whose speech; empty where it is none.
    modulation : str
        Of a broadcast: ``"fm"`` or ``"am"``.
    """

    kind: str
    weight: float
    speaker: str = ""
    modulation: str = ""

    def heard_on(self, modulation: str) -> str:
        """Return what a set for ``"fm"`` or ``"am"`` makes of it.

        The limiter of an FM set leaves of an AM broadcast the carrier, which whistles against a station; through the
        narrow filter of an AM set an FM broadcast is torn to a rustle.
        """
        if self.kind != PROGRAMME or self.modulation == modulation:
            return self.kind
        return WHISTLE if modulation == "fm" else NOISE


NOBODY = Use(SILENCE, 0.03)
FLIGHT = Use(SPEECH, 0.6, AIRCRAFT)
LAND, POINTS, SEA = Use(SPEECH, 0.25, OTHER), Use(SPEECH, 0.15, OTHER), Use(SPEECH, 0.3, OTHER)
AM_BROADCAST, FM_BROADCAST = Use(PROGRAMME, 1.0, modulation="am"), Use(PROGRAMME, 1.0, modulation="fm")
DIGITAL = Use(NOISE, 0.6)

USES: Mapping[str, Use] = MappingProxyType(
    {
        "aeronautical mobile": FLIGHT,
        "aeronautical mobile (R)": FLIGHT,
        "aeronautical mobile (OR)": FLIGHT,
        "government and military aircraft": FLIGHT,
        "aeronautical distress (243 MHz)": FLIGHT,
        "aeronautical radionavigation": Use(WHISTLE, 0.4),
        "amateur": Use(SPEECH, 0.2, AMATEURS),
        "mobile": LAND,
        "land mobile (low band)": Use(SPEECH, 0.15, OTHER),
        "fixed, mobile": LAND,
        "fixed and mobile (coast stations among them)": POINTS,
        "fixed and mobile (government services among them)": POINTS,
        "fixed and mobile (short wave)": POINTS,
        "fixed and mobile (waterways among them)": POINTS,
        "weather broadcasts": Use(SPEECH, 0.6, OTHER),
        "emergency services": Use(NOISE, LAND.weight),
        "maritime mobile": SEA,
        "maritime distress and calling": SEA,
        "AM broadcasting (long wave)": AM_BROADCAST,
        "AM broadcasting (medium wave)": AM_BROADCAST,
        "AM broadcasting (short wave)": AM_BROADCAST,
        "AM broadcasting (tropical zone)": Use(PROGRAMME, 0.3, modulation="am"),
        "FM broadcasting": FM_BROADCAST,
        "FM broadcasting (76 MHz band)": Use(PROGRAMME, 0.3, modulation="fm"),
        "FM broadcasting (former band)": Use(PROGRAMME, 0.1, modulation="fm"),
        "broadcasting": DIGITAL,
        "television (former band I)": Use(NOISE, NOBODY.weight),
        "standard frequency and time signal": Use(WHISTLE, 0.4),
        "ISM applications": Use(NOISE, 0.3),
        "meteorological aids": Use(NOISE, 0.1),
        "space operation, meteorological satellite": Use(NOISE, 0.05),
        "mobile satellite": Use(NOISE, NOBODY.weight),
        "radio astronomy": NOBODY,
    }
)
"""Uses by the name of a service at the bench, else by the radio service; every weight: common practice, no source.

Aircraft are high up, so they come in strongly from afar; weather broadcasts never pause.  Broadcasting without a
name of its own is television and digital broadcasting; emergency services of 380-395 MHz are digital.
"""


def use_of(service: Service) -> Use:
    """Return how a service of the allocation table is heard.

    Raises
    ------
    KeyError
        Neither its name nor its radio service is in `USES`.
    """
    return USES[service.name] if service.name in USES else USES[service.service]


@dataclass(frozen=True)
class _Parts:
    """The spectrum of one Region cut where somebody else lives, as arrays over its parts."""

    starts_hz: Int64
    kind: npt.NDArray[np.object_]
    weight: npt.NDArray[np.float64]
    speaker: npt.NDArray[np.object_]
    by_kind: Mapping[str, npt.NDArray[np.float64]]


@dataclass(frozen=True)
class Airwaves:
    """What would be heard from some frequencies; looked up when asked for, each an array of shape (k,).

    Attributes
    ----------
    part : (k,) int64
        The part of the spectrum in which each frequency lies.
    """

    part: Int64
    parts: _Parts = field(repr=False)

    @property
    def kind(self) -> npt.NDArray[np.object_]:
        """What is heard from there first of all, one of `KINDS`: the most likely one; (k,) str."""
        return self.parts.kind.take(self.part)

    @property
    def weight(self) -> npt.NDArray[np.float64]:
        """How likely that is on the air there, strong enough to be heard, 0 to 1; (k,)."""
        return self.parts.weight.take(self.part)

    @property
    def speaker(self) -> npt.NDArray[np.object_]:
        """Whose speech is heard there, aircraft, amateurs or other; empty where nobody speaks; (k,) str."""
        return self.parts.speaker.take(self.part)

    def weight_of(self, kind: str) -> npt.NDArray[np.float64]:
        """Return how likely something of one of `KINDS` is on the air, 0 where no service of that kind lives; (k,)."""
        return self.parts.by_kind[kind].take(self.part)


def airwaves(frequency_hz: Int64, *, region: int, modulation: str) -> Airwaves:
    """Return what a set would make of each frequency if it were received.

    Parameters
    ----------
    frequency_hz : (k,) int64 [Hz]
        Where a signal would have to be, above 0; the edges of a service are its own.
    region : int
        ITU Region, 1 to 3.
    modulation : str
        ``"fm"`` or ``"am"``: what the set is made for.

    Raises
    ------
    ModelRangeError
        There is no table for the Region.
    """
    parts = _parts(region, modulation)
    return Airwaves(parts.starts_hz.searchsorted(frequency_hz, side="right") - 1, parts)


@functools.cache
def _parts(region: int, modulation: str) -> _Parts:
    """Cut the spectrum of a Region, beginning with nobody.

    A service lives at its edge and no longer one hertz beyond it: for whole hertz these are all the places to cut.
    """
    edges = set(allocation_edges(region))
    rows: list[tuple[int, str, tuple[float, ...]]] = []
    for start in sorted({0} | edges | {edge + 1 for edge in edges}):
        here = [use_of(each) for each in services_in(start, start, region=region)] or [NOBODY]
        heard = _speaker(here), _weights(here, modulation)
        # Every part more is paid for in each bisection.
        if not rows or heard != rows[-1][1:]:
            rows.append((start, *heard))
    starts, speakers, weights = zip(*rows, strict=True)
    by_kind = np.array(weights)
    return _Parts(
        starts_hz=np.array(starts, dtype=np.int64),
        kind=np.array(KINDS, dtype=object)[by_kind.argmax(axis=1)],
        weight=by_kind.max(axis=1),
        speaker=np.array(speakers, dtype=object),
        by_kind=dict(zip(KINDS, by_kind.T.copy(), strict=True)),
    )


def _weights(uses: Iterable[Use], modulation: str) -> tuple[float, ...]:
    """Return the strongest weight of each of `KINDS`."""
    heard = [(use.heard_on(modulation), use.weight) for use in uses]
    return tuple(max((weight for kind, weight in heard if kind == one), default=0.0) for one in KINDS)


def _speaker(uses: Iterable[Use]) -> str:
    """Return whose speech is the most likely; empty where nobody speaks."""
    return max(uses, key=lambda use: use.weight * bool(use.speaker)).speaker
