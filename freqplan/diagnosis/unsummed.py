"""Candidates without a sum of the set: other receivers, adjustment, transmitters, overload, and no radio at all."""

from __future__ import annotations

import numpy as np

from freqplan.diagnosis.airwaves import WHISTLE, airwaves
from freqplan.diagnosis.bare import Heard, bare, free, known_of
from freqplan.diagnosis.candidates import candidates, stations_of
from freqplan.diagnosis.gathering import UNLISTED, Gathered, in_band
from freqplan.diagnosis.misplaced import misplaced
from freqplan.diagnosis.priors import NONE
from freqplan.diagnosis.receiver_rows import other_receivers
from freqplan.diagnosis.scene import Scene
from freqplan.hertz import Int64
from freqplan.neighbours import has_decoder

FARTHEST_HARMONIC = 5
"""Of a transmitter."""

NEIGHBOURS_FROM_HZ, NEIGHBOURS_TO_HZ = 23_000, 205_000
"""Distances of which a stereo decoder makes tones."""

ANYWHERE = ("second-transmitter", "cross-modulation", "blocking", NONE)
"""What may be met at any place, whoever is heard."""

KNOWN_BY_VOICE = ("second-transmitter", "cross-modulation")
"""Of those, what is heard as the programme of one station."""

AT_HOME = ("co-channel", "multipath", "modulation-hum")
"""What troubles a station at its own place."""

FM_ONLY = ("multipath", "detector-side", "decoder-neighbour", "reference-ripple")


def unsummed(found: Gathered, scene: Scene, heard: Heard, side: int) -> None:
    """Add every candidate without a sum of its own."""
    for name in (*ANYWHERE, "if-oscillation", "audio-only", *AT_HOME):
        if scene.is_fm or name not in FM_ONLY:
            # Whose programme rides on another is known once it is recognised, but for a station in no list.
            known = name in KNOWN_BY_VOICE and len(heard.voices)
            free(found, scene, side, name, UNLISTED if known else 1.0)
    for name in ANYWHERE:
        _voiced(found, scene, heard.voices, side, name, placed=False)
    for name in AT_HOME:
        if scene.is_fm or name not in FM_ONLY:
            _voiced(found, scene, heard.at_home, side, name, placed=True)
    _unknown_clocks(found, scene, side)
    misplaced(found, scene, heard, side)
    if scene.is_fm and has_decoder(scene.plan):
        _neighbours(found, scene, heard, side)
    _transmitter_harmonics(found, scene, heard, side)
    other_receivers(found, scene, heard, side)


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
        bare(scene, side),
    )  # fmt: skip


def _voiced(found: Gathered, scene: Scene, voices: Int64, side: int, name: str, *, placed: bool) -> None:
    """Add a cause for each station recognised, at its own place or at any."""
    weight = scene.cast.weight[voices]
    found.count(name, side, 1.0)
    found.keep(
        candidates(
            len(voices), mechanism=name, side=side, a=int(placed), rest_hz=-scene.cast.frequency_hz[voices],
            placed=placed, who=stations_of([voices], len(voices)), weight=weight, **known_of(name),
        ),
        bare(scene, side),
    )  # fmt: skip


def _neighbours(found: Gathered, scene: Scene, heard: Heard, side: int) -> None:
    """Add the stations beside the one tuned in, near enough for the decoder."""
    free(found, scene, side, "decoder-neighbour", 0.3)
    if heard.wanted_hz is None:
        return
    distance = np.abs(scene.cast.frequency_hz - heard.wanted_hz)
    place = np.flatnonzero((distance > NEIGHBOURS_FROM_HZ) & (distance < NEIGHBOURS_TO_HZ))
    found.keep(
        candidates(
            len(place), mechanism="decoder-neighbour", side=side, who=stations_of([place], len(place)), a=-1,
            rest_hz=scene.cast.frequency_hz[place], signal_hz=scene.cast.frequency_hz[place], weight=0.7, kind=WHISTLE,
            **known_of("decoder-neighbour"),
        ),
        bare(scene, side, "neighbour"),
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
        bare(scene, side, "harmonic"),
    )  # fmt: skip
    found.keep(
        candidates(
            len(keep), mechanism=name, side=side, a=1, rest_hz=-spot[keep], placed=True, times=times[keep],
            row=times[keep], signal_hz=scene.cast.frequency_hz[place[keep]], who=stations_of([place[keep]], len(keep)),
            weight=scene.cast.weight[place[keep]], **plain,
        ),
        bare(scene, side, "harmonic"),
    )  # fmt: skip
