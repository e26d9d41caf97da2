"""What all symptoms of one set share: the plan as far as it is trusted, its unknowns, and who may be heard."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from freqplan.decibel import Float64
from freqplan.diagnosis.airwaves import PROGRAMME, SILENCE, SPEECH, airwaves
from freqplan.errors import EvidenceError, Fault, PlanError
from freqplan.hertz import Int64
from freqplan.mixing import Tuning
from freqplan.plan import Band, Conversion, Plan
from freqplan.plan_reading import hertz_text
from freqplan.station_sums import Listing, listing

if TYPE_CHECKING:
    from freqplan.evidence import Evidence, SetKnowledge
    from freqplan.stations import StationList
    from freqplan.witnesses import Carrier, Witness

ROOT_3 = 3**0.5
"""From the half-width of what is uniform to its standard deviation."""

USUAL_TOLERANCE_HZ = {"fm": 30_000, "am": 3_000}
"""How far an IF may lie from its nominal value where nobody says: a rank of ceramic filters; common practice."""

MEASURED_TO_HZ = {"fm": 3_000, "am": 300}
"""How well an IF is known that was measured; common practice, no source."""

USUAL_DIAL_ERROR = {"fm": 2, "am": 1}
"""How far a scale may be off where nobody says, in channels; common practice, no source."""

FEW_STATIONS = 20
"""A station that somebody recognised, in no list, counts as one of so many."""

OCTAVES, FAR_AWAY = 4, 0.02
"""A listed station so many times below or above the band is so much less likely behind something, for the front end
keeps it out; common practice, no source."""

LEAST_WEIGHT = 0.05
"""Of the weakest listed station against the strongest."""


@dataclass(frozen=True, eq=False)
class Cast:
    """The signals that may take part, listed ones first.

    Attributes
    ----------
    names : tuple of str
        As they are told.
    frequency_hz : (s,) int64 [Hz]
        Carriers.
    weight : (s,) float64
        How likely each is behind something, against the others.
    listed : int
        How many of them come from a station list.
    """

    names: tuple[str, ...]
    frequency_hz: Int64
    weight: Float64
    listed: int

    def __len__(self) -> int:
        return len(self.names)

    @cached_property
    def listing(self) -> Listing:
        """The signals prepared for the search of their sums."""
        return listing(self.frequency_hz)

    def places_of(self, who: Sequence[Carrier]) -> tuple[int, ...]:
        """Return the places of signals by name and frequency [Hz]."""
        return tuple(self._place_of[each.name, each.frequency_hz] for each in who)

    @cached_property
    def _place_of(self) -> dict[tuple[str, int], int]:
        """The first place of each name and frequency."""
        places: dict[tuple[str, int], int] = {}
        for place, each in enumerate(zip(self.names, self.frequency_hz.tolist(), strict=True)):
            places.setdefault(each, place)
        return places


def cast_of(stations: StationList | None, seen: Sequence[Witness], band: Band) -> Cast:
    """Return the stations of a list with the signals that somebody named beside them."""
    listed = (
        [] if stations is None else list(zip(stations.names, stations.frequency_hz.tolist(), strict=True))
    )
    named = (
        (each.name, each.frequency_hz)
        for one in seen
        for each in (one.on_station, *one.programme_of, *one.notch_stops, *one.notch_keeps)
        if each is not None
    )
    further = [each for each in dict.fromkeys(named) if each not in set(listed)]
    weight = np.full(len(listed) + len(further), 1 / max(len(listed) + len(further), FEW_STATIONS))
    if stations is not None and len(listed):
        weight[: len(listed)] *= _strength(stations) * len(listed) / max(_strength(stations).sum(), 1e-9)
    names, hertz = zip(*listed, *further, strict=True) if listed or further else ((), ())
    frequency = np.array(hertz, dtype=np.int64)
    away = (frequency * OCTAVES < band.low_hz) | (frequency > OCTAVES * band.high_hz)
    weight[: len(listed)] *= np.where(away[: len(listed)], FAR_AWAY, 1.0)
    return Cast(tuple(names), frequency, weight, len(listed))


def _strength(stations: StationList) -> Float64:
    """Return how likely each station is behind something against the strongest: by the square root of its voltage."""
    level = stations.level_dbuv
    if np.isnan(level).all():
        return np.ones(len(level))
    level = np.where(np.isnan(level), np.nanmedian(level), level)
    strength: Float64 = np.maximum(10 ** ((level - level.max()) / 40), LEAST_WEIGHT)
    return strength


@dataclass(frozen=True, eq=False)
class Scene:
    """One set with what is known of it.

    Attributes
    ----------
    plan : Plan
        With the side that the evidence states in place of its own.
    sides : tuple of str
        Oscillator sides to reckon with: those that go with the IF.
    intermediate_hz : int [Hz]
        The IF as it is stated, by the evidence or else by the plan.
    if_sd_hz, dial_sd_hz : float [Hz]
        Standard deviations of real IF and scale from what is stated.
    cast : Cast
        Who may be heard.
    """

    plan: Plan
    sides: tuple[str, ...]
    intermediate_hz: int
    if_sd_hz: float
    dial_sd_hz: float
    cast: Cast

    @cached_property
    def tunings(self) -> tuple[Tuning, ...]:
        """The oscillator sides to reckon with."""
        return tuple(Tuning(side, self.intermediate_hz) for side in self.sides)

    @cached_property
    def kinds(self) -> tuple[np.ndarray, np.ndarray]:
        """What each of the cast carries for this set, one of `airwaves.KINDS`, and whose speech; (s,) each.

        A frequency of nobody counts as a programme, and so does every one that somebody named and no list holds,
        but for speech.
        """
        used = airwaves(self.cast.frequency_hz, region=self.plan.region, modulation=self.plan.band.modulation)
        named = np.arange(len(self.cast)) >= self.cast.listed
        programme = (used.kind == SILENCE) | named & (used.kind != SPEECH)
        return np.where(programme, PROGRAMME, used.kind), used.speaker

    @property
    def is_fm(self) -> bool:
        """Whether the set is for FM."""
        return self.plan.band.modulation == "fm"

    @property
    def width_hz(self) -> int:
        """The width of the dial [Hz]."""
        return max(self.plan.band.high_hz - self.plan.band.low_hz, 1)

    @property
    def step_hz(self) -> float:
        """How far apart two places must be to be told apart with certainty [Hz]: a channel."""
        return float(self.plan.band.raster_hz)

    def reading_sd_hz(self, error_hz: int | None) -> float:
        """Return the standard deviation of one reading [Hz]; one that is not stated is good to a channel."""
        return float(self.plan.band.raster_hz if error_hz is None else error_hz) / ROOT_3 + 1.0


def scene(plan: Plan, evidence: Evidence, stations: StationList | None, seen: Sequence[Witness]) -> Scene:
    """Return what the symptoms of a set share.

    Raises
    ------
    EvidenceError
        The side or the IF stated in the evidence does not go with the plan.
    """
    known = evidence.set
    stated_hz = known.intermediate_hz or plan.conversion[0].intermediate_hz
    try:
        used = plan.with_changes(oscillator=known.oscillator)
        # Alone, for later oscillators may well not fit the real IF: that can be the very fault.
        first = Conversion(intermediate_hz=stated_hz, oscillator=used.conversion[0].oscillator)
        sides = Plan(band=plan.band, conversion=(first,)).sides
    except PlanError as error:
        raise EvidenceError(evidence.placed(_of_the_set(fault, known) for fault in error.faults)) from None
    # Uniform within what is stated: the standard deviation is that over the root of three.
    return Scene(
        plan=used,
        sides=sides,
        intermediate_hz=stated_hz,
        if_sd_hz=if_error_hz(plan, known) / ROOT_3 + 1.0,
        dial_sd_hz=_dial_error_hz(plan, known) / ROOT_3 + 1.0,
        cast=cast_of(stations, seen, plan.band),
    )


def _of_the_set(fault: Fault, known: SetKnowledge) -> Fault:
    """Return a fault of the plan with side and IF of the evidence as one of the evidence."""
    if known.oscillator is not None and not fault.key.endswith("intermediate_hz"):
        return replace(fault, key="set.oscillator")
    found = f'"{hertz_text(known.intermediate_hz or 0)}"'
    return replace(fault, key="set.intermediate", found=found, hint="write the real IF of this set")


def if_error_hz(plan: Plan, known: SetKnowledge) -> int:
    """Return how far the real IF may lie from the one stated, either way [Hz]."""
    if known.intermediate_error_hz is not None:
        return known.intermediate_error_hz
    if known.intermediate_known == "measured":
        return MEASURED_TO_HZ[plan.band.modulation]
    first = plan.conversion[0]
    return USUAL_TOLERANCE_HZ[plan.band.modulation] if first.defaulted("tolerance_hz") else first.tolerance_hz


def _dial_error_hz(plan: Plan, known: SetKnowledge) -> int:
    if known.dial_error_hz is not None:
        return known.dial_error_hz
    return USUAL_DIAL_ERROR[plan.band.modulation] * plan.band.raster_hz
