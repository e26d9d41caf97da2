"""Candidates that show a station in the wrong place: scale, oscillator, IF, detector, synthesiser."""

from __future__ import annotations

import numpy as np

from freqplan.decibel import Float64
from freqplan.diagnosis.bare import Heard, bare, free, known_of
from freqplan.diagnosis.candidates import candidates, stations_of
from freqplan.diagnosis.gathering import Gathered, in_band
from freqplan.diagnosis.numbers import NAMELESS
from freqplan.diagnosis.scene import Scene
from freqplan.hertz import Int64

NEVER = 1e-6
"""A share that is never met, and yet above zero."""

NOT_STATED = 0.3
"""How likely a set has a synthesiser of which its plan says nothing; common practice, no source."""


def misplaced(found: Gathered, scene: Scene, heard: Heard, side: int) -> None:
    """Add everything that shows a station in the wrong place."""
    _off(found, scene, heard, side)
    _turned_over(found, scene, heard, side)
    _synthesiser(found, scene, heard, side)
    if scene.is_fm:
        _detector_sides(found, scene, heard, side)


def _off(found: Gathered, scene: Scene, heard: Heard, side: int) -> None:
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
                weight=scene.cast.weight[voices] if by_if else weight, **known_of(name),
            ),
            bare(scene, side, "misplaced"),
        )  # fmt: skip


def _turned_over(found: Gathered, scene: Scene, heard: Heard, side: int) -> None:
    """Add stations that come in by what should be their image: two IFs from where the dial should have them.

    Either the scale is that of the other side, or the station comes in on it.
    """
    voices, tuning = heard.at_home, scene.tunings[side]
    hertz, twice = scene.cast.frequency_hz[voices], 2 * scene.intermediate_hz
    spot = np.concatenate([tuning.sigma * hertz + twice, abs(twice - hertz)])
    there = in_band(scene, spot)
    place, many = np.tile(voices, 2)[there], int(there.sum())
    found.keep(
        candidates(
            many, mechanism="wrong-side", side=side, a=1, rest_hz=-spot[there], placed=True,
            who=stations_of([place], many), misses_hz=scene.step_hz / 2, weight=0.3 * scene.cast.weight[place],
            **known_of("wrong-side"),
        ),
        bare(scene, side, "misplaced"),
    )  # fmt: skip


def _free_again(found: Gathered, scene: Scene, side: int, name: str) -> None:
    found.keep(
        candidates(1, mechanism=name, side=side, voices=0, weight=NAMELESS, **known_of(name)),
        bare(scene, side),
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
        free(found, scene, side, "reference-ripple", NOT_STATED)
    voices = heard.voices
    hertz = scene.cast.frequency_hz[voices]
    found.count("synthesiser-sideband", side, 1.0)
    found.keep(
        candidates(
            len(voices), mechanism="synthesiser-sideband", side=side, a=1, rest_hz=-hertz, placed=True, law=1, slope=1,
            beat=0, who=stations_of([voices], len(voices)), misses_hz=1.5 * scene.plan.band.raster_hz,
            weight=NOT_STATED * scene.cast.weight[voices] * _noticed(heard, hertz),
        ),
        bare(scene, side),
    )  # fmt: skip


def _detector_sides(found: Gathered, scene: Scene, heard: Heard, side: int) -> None:
    """Add the outer slopes of the detector, just outside the IF filter on either side of each station."""
    count = len(scene.cast)
    step = scene.plan.if_filter.bandwidth_hz * 2 // 3
    place = np.tile(np.arange(count), 2)
    spot = scene.cast.frequency_hz[place] + np.repeat([-step, step], count)
    free(found, scene, side, "detector-side", 0.1)
    keep = np.flatnonzero(heard.near.keeps(spot.astype(np.float64), 3 * step))
    found.keep(
        candidates(
            len(keep), mechanism="detector-side", side=side, a=1, rest_hz=-spot[keep], placed=True,
            who=stations_of([place[keep]], len(keep)), misses_hz=step / 2, weight=scene.cast.weight[place[keep]] / 2,
            **known_of("detector-side"),
        ),
        bare(scene, side),
    )  # fmt: skip
