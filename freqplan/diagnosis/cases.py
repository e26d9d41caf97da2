"""What one symptom says of every candidate for it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from freqplan.decibel import Float64
from freqplan.diagnosis.bare import Heard
from freqplan.diagnosis.belief import Belief, Reading
from freqplan.diagnosis.candidates import Block, Candidates
from freqplan.diagnosis.gathering import Gathered, own_spots, signals
from freqplan.diagnosis.numbers import fall, nameless, notched, rate, recognised
from freqplan.diagnosis.observables import OBSERVABLES, WRONG, by_trait
from freqplan.diagnosis.pitches import LIKELY, Branch, offsets, pitch_branches
from freqplan.diagnosis.places import Spot, readings
from freqplan.diagnosis.priors import NONE, weight
from freqplan.diagnosis.scene import Scene
from freqplan.diagnosis.station_rows import station_sums
from freqplan.diagnosis.unsummed import unsummed
from freqplan.hertz import Int64

if TYPE_CHECKING:
    from freqplan.evidence import Symptom
    from freqplan.mechanisms import Family
    from freqplan.witnesses import Carrier, Witness

DIAL = "dial"
"""Under what the place, the pitch, and the station it is heard on are told."""

UNRECOGNISED = "unrecognised"
"""Under what it is told that nobody knows whose programme it is."""

NOT_SAID = 0.7
"""Share of disturbances met all over the dial that somebody would tell as such; common practice, no source."""

ON_A_STATION = np.array([0.7, 0.8, 2.0, 0.1, 1.2, 0.3])
"""How much likelier each thing is heard where a station is tuned in, in the order of what is heard."""


@dataclass(frozen=True, eq=False)
class Case:
    """One symptom with its candidates.

    Attributes
    ----------
    some : Candidates
        (k,) of them.
    blocks : sequence of Block
        Where they come from.
    spot : Spot
        Where it was met.
    witness : Witness
        The stations it speaks of.
    likelihoods : mapping of str to (k,) float64
        What each observation says of each candidate, by its key.
    alone : (k,) float64
        Probabilities by this symptom alone.
    readings, branches : sequence
        What is linear in the unknowns of the set.
    log_weight : (k,) float64
        Of prior and likelihoods without those.
    """

    some: Candidates
    blocks: Sequence[Block]
    spot: Spot
    witness: Witness
    likelihoods: Mapping[str, Float64]
    alone: Float64
    readings: Sequence[Reading]
    branches: Sequence[Branch]
    log_weight: Float64


def case_of(
    scene: Scene, start: Belief, symptom: Symptom, witness: Witness, families: Sequence[Family]
) -> Case:
    """Return what one symptom says of its candidates, the others left aside."""
    spot = spot_of(scene, symptom, witness)
    found = _gathered(scene, symptom, witness, spot, families)
    some = found.whole()
    likelihoods = dict(_likelihoods(scene, symptom, witness, some))
    log_weight = _log_prior(some) + sum(np.log(each) for each in likelihoods.values())
    linear = list(readings(scene, spot, some))
    branches = pitch_branches(scene, spot, symptom, some)
    before = start.take(some.side).weighed(log_weight)
    after = _told(before, linear, branches, np.arange(len(some)))
    if linear or branches:
        # Against a cause that may be met anywhere.
        told = after - before.log_weight
        likelihoods[DIAL] = np.exp(told - told[_anywhere(some)])
    weight = np.exp(after - after.max())
    return Case(
        some, found.blocks, spot, witness, likelihoods, weight / weight.sum(), linear, branches, log_weight
    )


def _anywhere(some: Candidates) -> int:
    """Return one candidate of which the place says nothing."""
    return int(np.flatnonzero((some.mechanism == NONE) & ~some.placed)[0])


def spot_of(scene: Scene, symptom: Symptom, witness: Witness) -> Spot:
    """Return where a symptom was met; a whistle is on a station, if none is named on the nearest that may be meant."""
    wanted = None if witness.on_station is None else witness.on_station.frequency_hz
    whistle = symptom.heard == "whistle" or (wanted is not None and symptom.heard != "programme")
    reading_sd = scene.reading_sd_hz(symptom.reading_error_hz)
    if (
        wanted is None
        and symptom.heard == "whistle"
        and symptom.pitch_khz is not None
        and symptom.dial_hz is not None
    ):
        wanted = _nearest(scene, symptom.dial_hz, np.hypot(reading_sd, scene.dial_sd_hz))
    likely = tuple(offset for offset, share in offsets(scene, symptom) if share >= LIKELY)
    return Spot(wanted, symptom.dial_hz, reading_sd, whistle, likely)


def _nearest(scene: Scene, dial_hz: int, sd_hz: float) -> int | None:
    """Return the listed station nearest to a setting, if one may be meant; without a list the setting itself."""
    if not scene.cast.listed:
        return dial_hz
    listed = scene.cast.frequency_hz[: scene.cast.listed]
    nearest = int(listed[np.argmin(np.abs(listed - dial_hz))])
    return nearest if abs(nearest - dial_hz) <= 2 * sd_hz else None


def _gathered(
    scene: Scene, symptom: Symptom, witness: Witness, spot: Spot, families: Sequence[Family]
) -> Gathered:
    found, near = Gathered(), spot.near(scene)
    named = scene.cast.places_of(_voices(witness))
    voices = np.array(named, dtype=np.int64)
    on = scene.cast.places_of([] if witness.on_station is None else [witness.on_station])
    heard = Heard(
        near=near,
        voices=voices,
        at_home=voices if len(voices) or witness.on_station is None else np.array(on, dtype=np.int64),
        wanted_hz=spot.wanted_hz,
        reading_sd_hz=float(np.hypot(spot.reading_sd_hz, scene.dial_sd_hz)),
        other_set_hz=symptom.other_set_dial_hz,
    )
    for side in range(len(scene.tunings)):
        signals(found, scene, near, side, families)
        own_spots(found, scene, near, side, families)
        station_sums(found, scene, near, side, families, named)
        unsummed(found, scene, heard, side)
    return found


def _voices(witness: Witness) -> list[Carrier]:
    """Return the stations recognised, without the one that is disturbed."""
    return list(dict.fromkeys(each for each in witness.programme_of if each != witness.on_station))


def _log_prior(some: Candidates) -> Float64:
    """Return the logarithms of the shares of mechanisms that each side can have, and of candidates in them; (k,)."""
    log_prior = np.log(some.weight)
    for side in set(some.side.tolist()):
        here = some.side == side
        names = {name: weight(name) for name in set(some.mechanism[here].tolist())}
        total = sum(names.values())
        log_prior[here] += np.log([names[name] / total for name in some.mechanism[here].tolist()])
    return log_prior


def _likelihoods(
    scene: Scene, symptom: Symptom, witness: Witness, some: Candidates
) -> list[tuple[str, Float64]]:
    """Return what each observation but the place says of every candidate, by its key."""
    found: list[tuple[str, Float64]] = []
    for key, observable in OBSERVABLES.items():
        value = getattr(symptom, key)
        if key == "everywhere" and value is None and symptom.dial_hz is not None:
            found.append((key, 1 - NOT_SAID * observable.shares(scene, some)[:, 0]))
        if value is None or (key == "pitch" and symptom.heard not in (None, "whistle")):
            continue
        shares = observable.shares(scene, some)
        if key == "heard" and witness.on_station is not None:
            shares = shares * ON_A_STATION
            shares /= shares.sum(axis=1, keepdims=True)
        found.append((key, shares[:, observable.outcomes.index(value)]))
    for key, numbers in (("fell", fall(symptom, some)), ("pitch_rate", rate(symptom, some))):
        if numbers is not None:
            found.append((key, numbers))
    voices = scene.cast.places_of(_voices(witness))
    if voices and symptom.heard in (None, "programme", "speech", "noise", "whistle"):
        found.append(("programme_of", (1 - WRONG) * recognised(voices, some) + WRONG * 1e-3))
    if symptom.heard == "programme" and not witness.programme_of:
        found.append((UNRECOGNISED, nameless(some)))
    if witness.on_station is not None and witness.programme_of and not voices:
        found.append(("programme_of", by_trait(some, "itself")))
    stops, keeps = (scene.cast.places_of(each) for each in (witness.notch_stops, witness.notch_keeps))
    for key, likely in (("notch_stops", notched(stops, (), some)), ("notch_keeps", notched((), keeps, some))):
        if getattr(witness, key):
            found.append((key, likely))
    return found


def _told(belief: Belief, linear: Sequence[Reading], branches: Sequence[Branch], rows: Int64) -> Float64:
    """Return the logarithms of the weights after the readings, all branches of a pitch together; (k,)."""
    for reading in linear:
        belief = belief.updated(reading.take(rows))
    if not branches:
        return belief.log_weight
    ways = [
        belief.updated(branch.reading.take(rows)).log_weight + np.log(branch.share[rows])
        for branch in branches
    ]
    told: Float64 = np.logaddexp.reduce(ways, axis=0)
    return told
