"""The candidates for what somebody heard, as equal-length arrays: each a sum, or a cause without one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields
from functools import cached_property
from typing import Any

import numpy as np
import numpy.typing as npt

from freqplan.decibel import Float64
from freqplan.diagnosis.airwaves import PROGRAMME
from freqplan.hertz import Int64
from freqplan.mechanisms import Sums
from freqplan.mixing import Tuning
from freqplan.station_sums import StationSums

MOST_STATIONS = 3
NOBODY = -1
"""Stands for a station that takes no part."""


@dataclass(frozen=True, eq=False)
class Block:
    """Where some candidates come from: enough to write their sums.

    Attributes
    ----------
    form : str
        ``"signal"``, ``"birdie"``, ``"sum"``, ``"receiver"``, ``"misplaced"``, ``"neighbour"`` or ``"bare"``.
    tuning : Tuning
        The oscillator side.
    sums : Sums or None
        The sums that candidates are rows of.
    stations : StationSums or None
        The sums of stations, where the signal is one.
    """

    form: str
    tuning: Tuning
    sums: Sums | None = None
    stations: StationSums | None = None


@dataclass(frozen=True, eq=False)
class Candidates:
    """Candidates; every array is (k,) but `who`.

    Attributes
    ----------
    mechanism : object
        Ids.
    side : int64
        Place of the oscillator side in the scene's tunings.
    a, b, rest_hz : int64
        a fT + b fI + rest is how far the product lies from the middle of the IF.
    placed : bool
        Whether that says where on the dial it is; False where the signal is free, or there is no sum.
    steady : bool
        Whether the sum holds all over the dial or nowhere.
    times : int64
        How many times the deviation of a programme its own is.
    voices : int64
        How many programmes take part.
    law, slope, beat : float64
        Level law, tuning slope, beat rate; NaN where unknown.
    who : (k, 3) int64
        Places of the stations in the cast, or `NOBODY`.
    kind, speaker : object
        What is on the carrier, one of `airwaves.KINDS`, and whose speech.
    signal_hz : int64
        The signal from outside, or sum of signals, behind it; 0 where there is none.
    misses_hz : float64
        How far beside its place a candidate may be met for reasons of its own, standard deviation.
    shift : float64
        How many times the fault of the scale or the oscillator, the same at every place, moves it.
    weight : float64
        How likely it is against the others of its mechanism and side; not yet normalised.
    block, row : int64
        Where it comes from.
    """

    mechanism: npt.NDArray[np.object_]
    side: Int64
    a: Int64
    b: Int64
    rest_hz: Int64
    placed: npt.NDArray[np.bool_]
    steady: npt.NDArray[np.bool_]
    times: Int64
    voices: Int64
    law: Float64
    slope: Float64
    beat: Float64
    who: Int64
    kind: npt.NDArray[np.object_]
    speaker: npt.NDArray[np.object_]
    signal_hz: Int64
    misses_hz: Float64
    shift: Float64
    weight: Float64
    block: Int64
    row: Int64

    def __len__(self) -> int:
        return len(self.mechanism)

    @cached_property
    def by_name(self) -> tuple[list[str], Int64]:
        """The mechanisms there are, each once, and which of them each candidate is; (k,)."""
        listed = self.mechanism.tolist()
        names = list(dict.fromkeys(listed))
        place = {name: number for number, name in enumerate(names)}
        return names, np.array([place[name] for name in listed], dtype=np.int64)

    def take(self, keep: np.ndarray) -> Candidates:
        """Return the candidates selected by a mask or index array."""
        return Candidates(**{each.name: getattr(self, each.name)[keep] for each in fields(self)})

    @classmethod
    def concatenate(cls, parts: Sequence[Candidates]) -> Candidates:
        """Put candidates end to end."""
        names = [each.name for each in fields(cls)]
        return cls(**{name: np.concatenate([getattr(part, name) for part in parts]) for name in names})


_DEFAULTS: Mapping[str, Any] = {
    "a": 0, "b": 0, "rest_hz": 0, "placed": False, "steady": False, "times": 1, "voices": 1, "law": np.nan,
    "slope": np.nan, "beat": np.nan, "kind": PROGRAMME, "speaker": "", "signal_hz": 0, "misses_hz": 0.0,
    "shift": 0.0, "weight": 1.0, "block": -1,
}  # fmt: skip
_TYPES = {"mechanism": object, "kind": object, "speaker": object, "placed": bool, "steady": bool}
_FLOATS = {"law", "slope", "beat", "misses_hz", "shift", "weight"}


def candidates(count: int, *, mechanism: object, side: int, **given: Any) -> Candidates:
    """Make `count` candidates of scalars or (count,) arrays; what is not given is of no account."""
    values: dict[str, np.ndarray] = {}
    given = {**_DEFAULTS, "row": np.arange(count), **given, "mechanism": mechanism, "side": side}
    who = given.pop("who", np.full((count, MOST_STATIONS), NOBODY))
    for name, value in given.items():
        kind = _TYPES.get(name, np.float64 if name in _FLOATS else np.int64)
        values[name] = np.empty(count, dtype=kind)
        values[name][...] = value
    return Candidates(**values, who=np.asarray(who, dtype=np.int64))


def stations_of(places: Sequence[Int64], count: int) -> Int64:
    """Return places of stations (k,) each as the rows of `Candidates.who`; (k, 3)."""
    who = np.full((count, MOST_STATIONS), NOBODY, dtype=np.int64)
    for column, place in enumerate(places):
        who[:, column] = place
    return who
