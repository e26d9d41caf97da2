"""What candidates without a sum of the set have in common."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from freqplan.diagnosis.airwaves import PROGRAMME, WHISTLE
from freqplan.diagnosis.candidates import Block, candidates
from freqplan.diagnosis.gathering import Gathered, Near
from freqplan.diagnosis.scene import Scene
from freqplan.diagnosis.traits import trait
from freqplan.hertz import Int64


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


def bare(scene: Scene, side: int, form: str = "bare") -> Block:
    """Return a block of candidates that no sums stand behind."""
    return Block(form, scene.tunings[side])


def known_of(name: str) -> dict[str, float]:
    """Return law, slope and beat rate of a mechanism, NaN where unknown."""
    own = trait(name)
    told = {"law": own.law, "slope": own.slope, "beat": own.beat}
    return {key: np.nan if value is None else value for key, value in told.items()}


def free(found: Gathered, scene: Scene, side: int, name: str, weight: float = 1.0) -> None:
    """Add a cause that may be met anywhere, of nobody known."""
    kind = WHISTLE if name in ("if-oscillation", "other-receiver") else PROGRAMME
    found.count(name, side, 1.0)
    found.keep(
        candidates(
            1, mechanism=name, side=side, kind=kind, voices=0, steady=trait(name).everywhere > 0.5, weight=weight,
            **known_of(name),
        ),
        bare(scene, side),
    )  # fmt: skip
