"""Candidates without a sum of the set: other receivers, adjustment, transmitters, overload, and no radio at all."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from freqplan.decibel import Float64
from freqplan.diagnosis.airwaves import PROGRAMME, WHISTLE, airwaves
from freqplan.diagnosis.candidates import Block, candidates, stations_of
from freqplan.diagnosis.gathering import Gathered, Near, in_band, spots
from freqplan.diagnosis.numbers import NAMELESS
from freqplan.diagnosis.priors import NONE
from freqplan.diagnosis.scene import Scene
from freqplan.diagnosis.traits import trait
from freqplan.hertz import Int64
from freqplan.mechanisms.other_sets import WANTED, between
from freqplan.mixing import Tuning
from freqplan.neighbours import has_decoder

USUAL_IF_HZ = 10_700_000
"""Of FM sets in other hands."""

HARMONICS = 2
"""Of another set's oscillator."""

BY_IMAGE, BY_HARMONIC = 0.3, 0.25
"""How likely another set comes in by image or second harmonic, against the plain way; common practice, no source."""

NEVER = 1e-6
"""A share that is never met, and yet above zero."""

NOT_STATED = 0.3
"""How likely a set has a synthesiser of which its plan says nothing; common practice, no source."""

FARTHEST_HARMONIC = 5
"""Of a transmitter."""

NEIGHBOURS_FROM_HZ, NEIGHBOURS_TO_HZ = 23_000, 205_000
"""Distances of which a stereo decoder makes tones."""

ANYWHERE = ("second-transmitter", "cross-modulation", "blocking", NONE)
"""What may be met at any place, whoever is heard."""

AT_HOME = ("co-channel", "multipath", "modulation-hum")
"""What troubles a station at its own place."""

FM_ONLY = ("multipath", "detector-side", "decoder-neighbour", "reference-ripple")


@dataclass(frozen=True)
class Heard:
    """What decides which candidates without a sum there are.

    Attributes
    ----------
    near : Near
        Where it was heard.
    voices : (v,) int64
        Places in the cast of the stations recognised.
    at_home : (w,) int64
        Those stations, or if there are none the one it was heard on: what may be troubled itself, or misplaced.
    wanted_hz : int or None [Hz]
        The carrier it was heard on.
    reading_sd_hz : float [Hz]
        Of the reading and the scale together.
    other_set_hz : int or None [Hz]
        Where another set stood that stops it when it is switched off.
    """

    near: Near
    voices: Int64
    at_home: Int64
    wanted_hz: int | None
    reading_sd_hz: float
    other_set_hz: int | None


def unsummed(found: Gathered, scene: Scene, heard: Heard, side: int) -> None:
    """Add every candidate without a sum of its own."""
    for name in (*ANYWHERE, "if-oscillation", "audio-only", *AT_HOME):
        if scene.is_fm or name not in FM_ONLY:
            _free(found, scene, side, name)
    for name in ANYWHERE:
        _voiced(found, scene, heard.voices, side, name, placed=False)
    for name in AT_HOME:
        if scene.is_fm or name not in FM_ONLY:
            _voiced(found, scene, heard.at_home, side, name, placed=True)
    _unknown_clocks(found, scene, side)
    _misplaced(found, scene, heard, side)
    _synthesiser(found, scene, heard, side)
    if scene.is_fm:
        _detector_sides(found, scene, heard, side)
        if has_decoder(scene.plan):
            _neighbours(found, scene, heard, side)
    _transmitter_harmonics(found, scene, heard, side)
    _other_receivers(found, scene, heard, side)


def _bare(scene: Scene, side: int, form: str = "bare") -> Block:
    return Block(form, scene.tunings[side])


def _traits(name: str) -> dict[str, float]:
    own = trait(name)
    told = {"law": own.law, "slope": own.slope, "beat": own.beat}
    return {key: np.nan if value is None else value for key, value in told.items()}


def _free(found: Gathered, scene: Scene, side: int, name: str, weight: float = 1.0) -> None:
    """Add a cause that may be met anywhere, of nobody known."""
    kind = WHISTLE if name == "if-oscillation" else PROGRAMME
    found.count(name, side, 1.0)
    found.keep(
        candidates(
            1, mechanism=name, side=side, kind=kind, voices=0, steady=trait(name).everywhere > 0.5, weight=weight,
            **_traits(name),
        ),
        _bare(scene, side),
    )  # fmt: skip


def _unknown_clocks(found: Gathered, scene: Scene, side: int) -> None:
    """Add clocks that no plan mentions: on the dial, on the image, or in the IF."""
    weight = np.array([0.7, 0.15, 0.15])
    slope = np.array([1.0, -1.0, 0.0])
    for share in weight.tolist():
        found.count("internal-clock", side, share)
    found.keep(
        candidates(
            3, mechanism="internal-clock", side=side, kind=WHISTLE, voices=0, law=0, slope=slope,
            beat=np.abs(slope - 1), steady=slope == 0, weight=weight,
        ),
        _bare(scene, side),
    )  # fmt: skip


def _voiced(found: Gathered, scene: Scene, voices: Int64, side: int, name: str, *, placed: bool) -> None:
    """Add a cause for each station recognised, at its own place or at any."""
    weight = scene.cast.weight[voices]
    found.count(name, side, 1.0)
    found.keep(
        candidates(
            len(voices), mechanism=name, side=side, a=int(placed), rest_hz=-scene.cast.frequency_hz[voices],
            placed=placed, who=stations_of([voices], len(voices)), weight=weight, **_traits(name),
        ),
        _bare(scene, side),
    )  # fmt: skip


def _misplaced(found: Gathered, scene: Scene, heard: Heard, side: int) -> None:
    """Add the faults that show a station in the wrong place: the scale, the oscillator, its side, the IF."""
    voices, t = heard.at_home, scene.tunings[side].t
    hertz, own_if = scene.cast.frequency_hz[voices], scene.intermediate_hz
    weight = _noticed(heard, hertz) * scene.cast.weight[voices]
    for name in ("oscillator-off", "wrong-side", "if-off-centre"):
        by_if = name == "if-off-centre"
        found.count(name, side, 1.0)
        if not len(voices):
            _free_again(found, scene, side, name)
            continue
        # A dial reads too much by t (real - nominal) where the real IF is higher: the sum holds the IF -t times.
        found.keep(
            candidates(
                len(voices), mechanism=name, side=side, a=1, b=-t if by_if else 0,
                rest_hz=-hertz + (t * own_if if by_if else 0), placed=True, who=stations_of([voices], len(voices)),
                misses_hz=scene.step_hz / 2, shift=0.0 if by_if else 1.0,
                weight=scene.cast.weight[voices] if by_if else weight, **_traits(name),
            ),
            _bare(scene, side, "misplaced"),
        )  # fmt: skip


def _free_again(found: Gathered, scene: Scene, side: int, name: str) -> None:
    found.keep(
        candidates(1, mechanism=name, side=side, voices=0, weight=NAMELESS, **_traits(name)),
        _bare(scene, side),
    )


def _noticed(heard: Heard, spot_hz: Int64) -> Float64:
    """Return how likely anybody would call a station misplaced that belongs to some place; (v,)."""
    if heard.near.centre_hz is None:
        return np.ones(len(spot_hz))
    off = (spot_hz - heard.near.centre_hz) / heard.reading_sd_hz
    noticed: Float64 = 1 - np.exp(-(off**2) / 8) + NEVER
    return noticed


def _synthesiser(found: Gathered, scene: Scene, heard: Heard, side: int) -> None:
    """Add what a synthesiser does that the plan does not mention."""
    if scene.plan.synthesiser is not None:
        return
    if scene.is_fm:
        _free(found, scene, side, "reference-ripple", NOT_STATED)
    voices = heard.voices
    hertz = scene.cast.frequency_hz[voices]
    found.count("synthesiser-sideband", side, 1.0)
    found.keep(
        candidates(
            len(voices), mechanism="synthesiser-sideband", side=side, a=1, rest_hz=-hertz, placed=True, law=1, slope=1,
            beat=0, who=stations_of([voices], len(voices)), misses_hz=1.5 * scene.plan.band.raster_hz,
            weight=NOT_STATED * scene.cast.weight[voices] * _noticed(heard, hertz),
        ),
        _bare(scene, side),
    )  # fmt: skip


def _detector_sides(found: Gathered, scene: Scene, heard: Heard, side: int) -> None:
    """Add the outer slopes of the detector, just outside the IF filter on either side of each station."""
    count = len(scene.cast)
    step = scene.plan.if_filter.bandwidth_hz * 2 // 3
    place = np.tile(np.arange(count), 2)
    spot = scene.cast.frequency_hz[place] + np.repeat([-step, step], count)
    _free(found, scene, side, "detector-side", 0.1)
    keep = np.flatnonzero(heard.near.keeps(spot.astype(np.float64), 3 * step))
    found.keep(
        candidates(
            len(keep), mechanism="detector-side", side=side, a=1, rest_hz=-spot[keep], placed=True,
            who=stations_of([place[keep]], len(keep)), misses_hz=step / 2, weight=scene.cast.weight[place[keep]] / 2,
            **_traits("detector-side"),
        ),
        _bare(scene, side),
    )  # fmt: skip


def _neighbours(found: Gathered, scene: Scene, heard: Heard, side: int) -> None:
    """Add the stations beside the one tuned in, near enough for the decoder."""
    _free(found, scene, side, "decoder-neighbour", 0.3)
    if heard.wanted_hz is None:
        return
    distance = np.abs(scene.cast.frequency_hz - heard.wanted_hz)
    place = np.flatnonzero((distance > NEIGHBOURS_FROM_HZ) & (distance < NEIGHBOURS_TO_HZ))
    found.keep(
        candidates(
            len(place), mechanism="decoder-neighbour", side=side, who=stations_of([place], len(place)), a=-1,
            rest_hz=scene.cast.frequency_hz[place], signal_hz=scene.cast.frequency_hz[place], weight=0.7, kind=WHISTLE,
            **_traits("decoder-neighbour"),
        ),
        _bare(scene, side, "neighbour"),
    )  # fmt: skip


def _transmitter_harmonics(found: Gathered, scene: Scene, heard: Heard, side: int) -> None:
    """Add the harmonics that transmitters of the cast, or of lower bands, may radiate on the dial."""
    name, m = "transmitter-harmonic", np.arange(2, FARTHEST_HARMONIC + 1)
    place, times = (part.ravel() for part in np.meshgrid(np.arange(len(scene.cast)), m, indexing="ij"))
    spot = times * scene.cast.frequency_hz[place]
    keep = np.flatnonzero(in_band(scene, spot) & heard.near.keeps(spot.astype(np.float64), scene.step_hz))
    band = scene.plan.band
    middle = (band.low_hz + band.high_hz) / 2 if heard.near.centre_hz is None else heard.near.centre_hz
    used = airwaves((middle / m).astype(np.int64), region=scene.plan.region, modulation=band.modulation)
    found.count(name, side, 1.0)
    plain = {"law": 1, "slope": 1, "beat": 0}
    found.keep(
        candidates(
            len(m), mechanism=name, side=side, kind=used.kind, speaker=used.speaker, signal_hz=middle / m, times=m,
            weight=used.weight / len(m), row=m, **plain,
        ),
        _bare(scene, side, "harmonic"),
    )  # fmt: skip
    found.keep(
        candidates(
            len(keep), mechanism=name, side=side, a=1, rest_hz=-spot[keep], placed=True, times=times[keep],
            row=times[keep], signal_hz=scene.cast.frequency_hz[place[keep]], who=stations_of([place[keep]], len(keep)),
            weight=scene.cast.weight[place[keep]], **plain,
        ),
        _bare(scene, side, "harmonic"),
    )  # fmt: skip


def _other_receivers(found: Gathered, scene: Scene, heard: Heard, side: int) -> None:
    """Add the oscillator of another set of the band, on the dial or the image, wherever that set stands."""
    band, name = scene.plan.band, "other-receiver"
    theirs = USUAL_IF_HZ if scene.is_fm else scene.intermediate_hz
    for culprit in (Tuning("high", theirs), Tuning("low", theirs)):
        sums = between(culprit, scene.tunings[side], HARMONICS)
        way, h = sums.array("way"), sums.array("harmonic")
        some = sums.combinations
        weight = np.where(way == WANTED, 1.0, BY_IMAGE) * np.where(h == 1, 1.0, BY_HARMONIC)
        steady = some.b * scene.intermediate_hz + some.fixed_hz
        ends = np.array([band.low_hz, band.high_hz], dtype=np.float64)
        reach = np.sort(spots(some.a[:, None], steady[:, None] + some.c[:, None] * ends), axis=1)
        there = np.clip(reach, band.low_hz, band.high_hz)
        share = np.nan_to_num((there[:, 1] - there[:, 0]) / scene.width_hz)
        for each in np.flatnonzero(share):
            found.count(name, side, float(weight[each] * share[each]))
        known = heard.other_set_hz is not None
        rest = some.c * (heard.other_set_hz or 0) + some.fixed_hz
        spot = spots(some.a, some.b * scene.intermediate_hz + rest)
        near = heard.near
        met = near.keeps(spot, 5 * scene.step_hz) if known else _meets(near, reach)
        rows = np.flatnonzero(met & (share > 0))
        found.keep(
            candidates(
                len(rows), mechanism=name, side=side, a=some.a[rows], b=some.b[rows], rest_hz=rest[rows], placed=known,
                voices=0, kind=WHISTLE, times=0, law=1, slope=sums.array("tuning_slope")[rows],
                beat=sums.array("beat_rate")[rows], weight=weight[rows] * (share[rows] if known or heard.near.centre_hz is None else 1.0), row=rows,
                misses_hz=np.abs(some.c[rows]) * scene.step_hz,
            ),
            Block("receiver", culprit, sums),
        )  # fmt: skip


def _meets(near: Near, reach: Float64) -> np.ndarray:
    if near.centre_hz is None:
        return np.ones(len(reach), dtype=bool)
    met: np.ndarray = (reach[:, 0] - near.half_hz <= near.centre_hz) & (
        near.centre_hz <= reach[:, 1] + near.half_hz
    )
    return met
