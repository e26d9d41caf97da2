"""Which test to do next: what each would tell, in bits, and what it should read for the leading causes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from freqplan.decibel import Float64
from freqplan.diagnosis.candidates import NOBODY, Candidates
from freqplan.diagnosis.causes import Cause
from freqplan.diagnosis.generator import Feed, feed
from freqplan.diagnosis.numbers import MISTAKEN, RECOGNISED, stop_share
from freqplan.diagnosis.observables import FALL, OBSERVABLES, RATE, SIDE
from freqplan.diagnosis.weighing import Weighed
from freqplan.mechanisms.own_if import OPEN_SET
from freqplan.remarks import BENCH_CAUTION

if TYPE_CHECKING:
    from freqplan.evidence import Symptom

AS_GOOD, SLIGHTLY_LESS = 0.9, 0.03
"""A test that tells so much of what the best one tells, or so many bits less, is as good, and the cheapest is taken."""

INSTRUMENTS, HALF = 4, 0.5
"""A test of this effort or more waits for a cheaper one that tells this share of it; common practice, no source."""

MOST_NOTCHED = 4
"""Stations for which a trap is considered."""

FM_ALONE = "In mono and with the AFC off, "
"""Left out where a set has neither."""

VOICES = ("programme", "speech", "noise")


@dataclass(frozen=True)
class Way:
    """How a test is done.

    Attributes
    ----------
    effort : int
        1 nothing but hands and ears; 2 something at hand; 3 a pad or a trap; 4 instruments; 5 time.
    what : str
        What to do.
    readings : tuple of str
        What each outcome looks like, in the order of the outcomes.
    caution : str
        What can hurt where something is connected to the set.
    """

    effort: int
    what: str
    readings: tuple[str, ...]
    caution: str = BENCH_CAUTION


WAYS: Mapping[str, Way] = {
    "everywhere": Way(1, "Tune across the whole band.", ("it is all over the dial", "it is in one place")),
    "aerial_out": Way(1, "Pull out the aerial.", ("it goes", "it stays")),
    "meter": Way(
        1, "Watch the tuning meter while tuning slowly upwards across it, and across a station.",
        ("it swings as on a station", "it swings the other way"),
    ),
    "pitch": Way(
        1, FM_ALONE + "tune slowly across the station and listen to the pitch.",
        ("it stands still", "it moves", "it flicks past"),
    ),
    "stereo_only": Way(1, "Switch to mono.", ("it goes", "it stays")),
    "own_place_too": Way(
        1, "Tune to the right place of the programme.", ("it is there too", "it is not there")
    ),
    "other_input_too": Way(1, "Switch the amplifier to another input.", ("it is there too", "it is gone")),
    "single": Way(1, "Listen for a while.", ("one programme alone", "two or three at once")),
    "width": Way(
        2, "Compare how wide it is on the dial with a station of like strength.",
        ("as wide as a station", "half as wide", "a third or less", "several channels wide"),
    ),
    "other_set_too": Way(2, "Tune another set in the same place there.", ("it has it too", "it has not")),
    "other_set_off_stops": Way(
        2, "Switch off every other receiver nearby, one after the other.", ("it stops", "it goes on")
    ),
    "anti_phase": Way(
        2, "Put left and right in parallel, in stereo.", ("it is gone: anti-phase", "it is still there")
    ),
    "by_ear": Way(
        3, "Put a 10 dB pad in the aerial lead and listen at the dead place.",
        ("it comes to life", "it stays dead", "it gets worse"),
    ),
    "fall": Way(
        3, "Put a 10 dB pad in the aerial lead and read the limiter or AGC voltage.",
        ("the reading does not fall", "it falls by 10 dB", "it falls by 20 dB", "it falls by 30 dB, or is gone"),
    ),
    "pitch_rate": Way(
        4, FM_ALONE + "tune on by 1 kHz by a counter at the oscillator and count the pitch.",
        ("it stands still", *(f"by {number} kHz" for number in (1, 2, 3, 4)), "by 5 kHz or more"), OPEN_SET,
    ),
    "warm_up_stops": Way(5, "Listen from cold for half an hour.", ("it goes or comes", "it stays as it is")),
    "comes_and_goes": Way(
        5, "Note the hours and the weather for some days.", ("it comes and goes", "it is always there")
    ),
}  # fmt: skip
"""Tests of what a symptom tells in words, by its attribute."""

_OBSERVED = {**OBSERVABLES, "fall": FALL, "pitch_rate": RATE}


@dataclass(frozen=True, eq=False)
class BenchTest:
    """One test with what each cause would make of it.

    Attributes
    ----------
    key : str
        What it observes.
    way : Way
        How it is done.
    shares : (k, outcomes) float64
        How likely each outcome is with each candidate.
    bits : float
        How much it tells of the mechanism.
    """

    key: str
    way: Way
    shares: Float64
    bits: float = 0.0

    def reading(self, cause: Cause, probability: Float64) -> str:
        """Return what it reads if a cause is the right one."""
        return self.way.readings[int(np.argmax(self._mean(cause, probability)))]

    def _mean(self, cause: Cause, probability: Float64) -> Float64:
        weight = probability[cause.rows] + 1e-12
        mean: Float64 = weight @ self.shares[cause.rows] / weight.sum()
        return mean

    def separates(self, one: Cause, other: Cause, probability: Float64) -> bool:
        """Return whether it reads differently for two causes."""
        return self.reading(one, probability) != self.reading(other, probability)


def bench_tests(
    weighed: Weighed, place: int, symptom: Symptom, found: Sequence[Cause]
) -> tuple[BenchTest, ...]:
    """Return every test that is still to be done, the most telling first, of equals the cheapest.

    What tells the first two causes apart stands before what only sorts out others.
    """
    probability = weighed.probability(place)
    rows = [(cause.rows, cause.probability) for cause in found if cause.probability > 0]
    told = [
        BenchTest(each.key, each.way, each.shares, _bits(each.shares, rows, probability))
        for each in _possible(weighed, place, symptom, found)
    ]
    first, *others = found

    def parts(each: BenchTest) -> bool:
        return not others or each.separates(first, others[0], probability)

    ranked = sorted(told, key=lambda each: (not parts(each), -each.bits))
    return tuple(_cheapest_first(ranked, [parts(each) for each in ranked]))


def _cheapest_first(ranked: list[BenchTest], parting: list[bool]) -> Iterator[BenchTest]:
    """Yield tests so that of those about as good as the best left the cheapest comes first."""
    left = list(zip(ranked, parting, strict=True))
    while left:
        best, group = left[0]
        if best.way.effort >= INSTRUMENTS:
            cheap = (each for each, part in left if part == group and each.way.effort < INSTRUMENTS)
            best = next((each for each in cheap if each.bits >= HALF * best.bits), best)
        enough = min(AS_GOOD * best.bits, best.bits - SLIGHTLY_LESS)
        equals = [pair for pair in left if pair[1] == group and pair[0].bits >= enough]
        chosen = min(equals, key=lambda pair: pair[0].way.effort)
        left.remove(chosen)
        yield chosen[0]


def _bits(shares: Float64, rows: Sequence[tuple[np.ndarray, float]], probability: Float64) -> float:
    """Return the mutual information of mechanism and outcome [bit]."""
    weight = np.array([share for _, share in rows])
    mean = np.array([probability[where] @ shares[where] for where, _ in rows]) / weight[:, None]
    weight = weight / weight.sum()
    return max(float(_entropy(weight @ mean) - weight @ _entropy(mean)), 0.0)


def _entropy(shares: Float64) -> Float64:
    known = np.maximum(shares, 1e-300)
    entropy: Float64 = -(known * np.log2(known)).sum(axis=-1)
    return entropy


def _possible(weighed: Weighed, place: int, symptom: Symptom, found: Sequence[Cause]) -> Iterator[BenchTest]:
    scene, some = weighed.scene, weighed.cases[place].some
    for key, way in WAYS.items():
        if _makes_sense(weighed, key, symptom):
            text = way.what if scene.is_fm else way.what.removeprefix(FM_ALONE)
            own = replace(way, what=text[0].upper() + text[1:])
            yield BenchTest(key, own, _OBSERVED[key].shares(scene, some))
    if symptom.heard in (None, *VOICES) and not symptom.programme_of:
        yield from _who(weighed, some, found)
    yield from _notches(weighed, place, found)
    if len(scene.tunings) > 1 or any(cause.mechanism == "wrong-side" for cause in found[:3]):
        yield BenchTest("side", _second_radio(weighed, place, found), SIDE.shares(scene, some))
    for cause in found[:2]:
        if (fed := feed(weighed, cause)) is not None:
            yield _generator(weighed, cause, fed, some)


def _makes_sense(weighed: Weighed, key: str, symptom: Symptom) -> bool:
    """Return whether a test is still open and can be done with what is heard."""
    if key != "fall" and getattr(symptom, key) is not None:
        return False
    fm, heard = weighed.scene.is_fm, symptom.heard
    return {
        "fall": (symptom.pad_db is None or symptom.fell_db is None) and heard != "nothing",
        "by_ear": heard == "nothing",
        "meter": fm and heard in (None, *VOICES) and symptom.afc is None,
        "pitch": heard == "whistle",
        "pitch_rate": heard == "whistle",
        "stereo_only": fm and heard in ("whistle", "noise") and weighed.scene.plan.stereo.decoder != "none",
        "anti_phase": fm and bool(symptom.stereo_only),
        "own_place_too": heard == "programme",
        "single": heard == "programme",
        "width": heard in (None, *VOICES),
    }.get(key, True)


def _second_radio(weighed: Weighed, place: int, found: Sequence[Cause]) -> Way:
    """Return how a second radio tells the side of the oscillator: by what plays, where the scale is in doubt."""
    scene, rounding = weighed.scene, weighed.scene.plan.rounding
    at = weighed.cases[place].spot.near(scene).centre_hz
    playing = next((each.told.stations[0] for each in found[:2] if each.told.block.form == "misplaced"), None)
    if playing is not None:
        at = float(scene.cast.frequency_hz[playing])
    dial = scene.plan.middle_channel_hz if at is None else round(at)
    where = (
        f"the dial on {rounding.fine(dial)}" if playing is None else f"{scene.cast.names[playing]} playing"
    )
    places = {tuning.side != "low": tuning.oscillator_hz(dial) for tuning in scene.tunings}
    own = scene.intermediate_hz
    above, below = places.get(True, dial + own), places.get(False, abs(dial - own))
    return Way(
        2,
        f"With {where}, look with a second radio for the set's oscillator.",
        (f"a carrier on {rounding.fine(above)}", f"a carrier on {rounding.fine(below)}"),
    )


def _who(weighed: Weighed, some: Candidates, found: Sequence[Cause]) -> Iterator[BenchTest]:
    """Yield the test that waits for the programme's name, where causes differ in whose it is."""
    likely = _stations_of(found, MOST_NOTCHED)
    if not likely:
        return
    takes_part = np.stack([(some.who == place).any(axis=1) for place in likely], axis=1)
    count = np.maximum(takes_part.sum(axis=1, keepdims=True), 1)
    named = np.where(takes_part, RECOGNISED / count, MISTAKEN)
    shares = np.concatenate([named, 1 - np.minimum(named.sum(axis=1, keepdims=True), 0.99)], axis=1)
    names = tuple(weighed.scene.cast.names[place] for place in likely)
    yield BenchTest(
        "programme_of", Way(1, "Wait until the programme says who it is.", (*names, "none of these")), shares
    )


def _notches(weighed: Weighed, place: int, found: Sequence[Cause]) -> Iterator[BenchTest]:
    """Yield traps for the stations of the likeliest causes, but for those that were tried, or are to be heard."""
    cast, case = weighed.scene.cast, weighed.cases[place]
    own = () if case.witness.on_station is None else (case.witness.on_station,)
    done = cast.places_of((*case.witness.notch_stops, *case.witness.notch_keeps, *own))
    for station in _stations_of(found, MOST_NOTCHED):
        if station in done:
            continue
        name, share = cast.names[station], stop_share(station, case.some)
        way = Way(3, f"Put a trap for {name} at the aerial socket.", ("it stops", "it goes on"))
        yield BenchTest(f"notch {name}", way, np.stack([share, 1 - share], axis=1))


def _stations_of(found: Sequence[Cause], most: int) -> list[int]:
    """Return the stations that take part in the likeliest causes."""
    every = [place for cause in found[:3] for place in cause.told.stations if place != NOBODY]
    return list(dict.fromkeys(every))[:most]


def _generator(weighed: Weighed, cause: Cause, fed: Feed, some: Candidates) -> BenchTest:
    """Return the test that feeds in what a cause says is received."""
    rounding = weighed.scene.plan.rounding
    same = (some.mechanism == cause.mechanism) & (some.side == cause.told.some.side[0])
    same &= (some.a == cause.told.some.a[0]) & (some.b == cause.told.some.b[0])
    share = np.where(same, 0.93, 0.12)
    what = (
        f"Aerial out; dial on {rounding.fine(fed.dial_hz)}; feed {rounding.fine(fed.signal_hz)} {rounding.unit} from a "
        "generator by cable and a pad into the aerial socket."
    )
    way = Way(4, what, ("it comes in", "nothing comes in"))
    return BenchTest(f"generator {cause.mechanism}", way, np.stack([share, 1 - share], axis=1))
