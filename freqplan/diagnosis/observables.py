"""What a person observes in words, and how likely each candidate makes each word.

One table serves three ends: the likelihood of what was observed, what speaks against a cause, and the reading that a
test still to be done would give.  Shares of misjudgement are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

import numpy as np

from freqplan.decibel import Float64
from freqplan.diagnosis.airwaves import (
    AIRCRAFT,
    AMATEURS,
    NOISE,
    OTHER,
    PROGRAMME,
    SILENCE,
    SPEECH,
    WHISTLE,
)
from freqplan.diagnosis.candidates import Candidates
from freqplan.diagnosis.traits import Trait, trait

if TYPE_CHECKING:
    from freqplan.diagnosis.scene import Scene

WRONG = 0.03
"""Share of observations that are simply wrong, whatever the cause."""

TRIED_WRONG = 0.01
"""The same of what is tried with a switch: off and on again, as often as one likes."""

Table = Callable[["Scene", Candidates], Float64]


@dataclass(frozen=True)
class Observable:
    """Something that is observed in one of a few words.

    Attributes
    ----------
    key : str
        Attribute of a symptom, or a name of its own for what only a test tells.
    outcomes : tuple
        The values it can have there.
    likelihood : callable
        (scene, candidates) -> (k, outcomes) shares.
    wrong : float
        Share of such observations that are simply wrong.
    """

    key: str
    outcomes: tuple[Any, ...]
    likelihood: Table
    wrong: float = WRONG

    def shares(self, scene: Scene, some: Candidates) -> Float64:
        """Return how likely each outcome is (k, outcomes); each row adds up to 1, and nothing is impossible."""
        table = self.likelihood(scene, some)
        shares: Float64 = (1 - self.wrong) * table / table.sum(axis=1, keepdims=True) + self.wrong / len(
            self.outcomes
        )
        return shares


def by_trait(some: Candidates, name: str) -> Float64:
    """Return a share of the traits for each candidate; (k,)."""
    return _looked_up(some, lambda own: getattr(own, name))


def _looked_up(some: Candidates, value: Callable[[Trait], Any]) -> Float64:
    names, place = some.by_name
    looked_up: Float64 = np.array([value(trait(name)) for name in names], dtype=np.float64)[place]
    return looked_up


def _yes(share: Float64) -> Float64:
    return np.stack([share, 1 - share], axis=1)


def _of_trait(name: str) -> Table:
    return lambda scene, some: _yes(by_trait(some, name))


def _everywhere(scene: Scene, some: Candidates) -> Float64:
    share = by_trait(some, "everywhere")
    return _yes(np.where(some.steady & (some.a == 0), np.maximum(share, 0.95), share))


def _heard(scene: Scene, some: Candidates) -> Float64:
    """Return shares of programme, speech, whistle, quiet, noise, nothing."""
    shows = _looked_up(some, lambda own: own.shows).reshape(len(some), -1)
    voice, whistle, quiet, noise, nothing = shows.T
    kind = some.kind
    programme = voice * np.select([kind == PROGRAMME, kind == SILENCE], [0.96, 0.4], 0.03)
    speech = voice * np.select([kind == SPEECH, kind == SILENCE, kind == PROGRAMME], [0.8, 0.3, 0.02], 0.03)
    rest = voice - programme - speech
    whistle = whistle + rest * (kind == WHISTLE)
    noise = noise + rest * (kind != WHISTLE)
    return np.stack([programme, speech, whistle, quiet, noise, nothing], axis=1)


def _aerial(scene: Scene, some: Candidates) -> Float64:
    return _yes(by_trait(some, "aerial_goes"))


def _pitch(scene: Scene, some: Candidates) -> Float64:
    """Return shares of still, moves, flicks: with fast beats a whole whistle takes a hair's breadth of the dial."""
    rate = np.nan_to_num(some.beat, nan=-1)
    conditions = [rate < 0, rate == 0, rate == 1, rate == 2, rate == 3]
    rows = [(0.4, 0.35, 0.25), (0.88, 0.1, 0.02), (0.06, 0.74, 0.2), (0.04, 0.64, 0.32), (0.03, 0.32, 0.65)]
    return _chosen(conditions, rows, (0.02, 0.2, 0.78))


def _width(scene: Scene, some: Candidates) -> Float64:
    """Return shares of full, half, third, wide: by the tuning slope, blurred by a deviation m times as large."""
    slope = np.abs(some.slope)
    blurred = some.times >= np.maximum(slope, 2)
    conditions = [
        (some.kind == NOISE) & (slope > 0), np.isnan(slope), slope == 0, slope == 1, (slope == 2) & blurred, slope == 2,
    ]  # fmt: skip
    rows = [
        (0.25, 0.1, 0.05, 0.6), (0.65, 0.13, 0.07, 0.15), (0.45, 0.05, 0.05, 0.45), (0.81, 0.11, 0.02, 0.06),
        (0.17, 0.72, 0.09, 0.02), (0.12, 0.76, 0.1, 0.02),
    ]  # fmt: skip
    return _chosen(conditions, rows, (0.06, 0.22, 0.7, 0.02))


def _way_round(scene: Scene, some: Candidates) -> Float64:
    """Return shares of the right and the wrong way round of meter and AFC; only FM has a wrong one."""
    if not scene.is_fm:
        return _yes(np.full(len(some), 0.93))
    # On the wrong side of its scale a set receives everything turned over, or everything right.
    conditions = [some.mechanism == "wrong-side", np.isnan(some.slope), some.slope > 0, some.slope < 0]
    return _chosen(conditions, [(0.5, 0.5), (0.8, 0.2), (0.95, 0.05), (0.06, 0.94)], (0.75, 0.25))


def _by_ear(scene: Scene, some: Candidates) -> Float64:
    """Return shares of better, same, worse, against a station that the limiter or the AGC holds."""
    law = some.law
    return _chosen([np.isnan(law), law == 0, law == 1], [(0.35, 0.45, 0.2), (0.06, 0.22, 0.72), (0.1, 0.82, 0.08)],
                   (0.82, 0.13, 0.05))  # fmt: skip


def _law(scene: Scene, some: Candidates) -> Float64:
    """Return shares of a fall of none, one, two and three or more times the pad."""
    law = np.minimum(some.law, 3)
    rows = [
        (0.25, 0.25, 0.25, 0.25),
        (0.9, 0.08, 0.01, 0.01),
        (0.05, 0.88, 0.06, 0.01),
        (0.02, 0.1, 0.84, 0.04),
    ]
    return _chosen([np.isnan(law), law == 0, law == 1, law == 2], rows, (0.02, 0.03, 0.12, 0.83))


def _rate(scene: Scene, some: Candidates) -> Float64:
    """Return shares of a pitch that moves by 0, 1, 2, 3, 4 and by 5 kHz or more while the dial moves by one."""
    beat = np.minimum(some.beat, 5)
    # Where nothing is known of the beat, as `numbers.rate` has it: shares of an exponential with a mean of 3.
    unknown = (0.154, 0.24, 0.172, 0.123, 0.088, 0.223)
    rows = 0.928 * np.eye(6) + 0.012
    return _chosen([np.isnan(beat), *(beat == number for number in range(5))], [unknown, *rows[:5]], rows[5])


def _single(scene: Scene, some: Candidates) -> Float64:
    return _yes(np.where(some.voices >= 2, 0.28, 1 - by_trait(some, "many")))


def _speech_of(scene: Scene, some: Candidates) -> Float64:
    """Return shares of aircraft, amateurs and others."""
    who = np.where(some.kind == SPEECH, some.speaker, "")
    rows = [(0.9, 0.02, 0.08), (0.03, 0.85, 0.12), (0.08, 0.08, 0.84)]
    return _chosen([who == AIRCRAFT, who == AMATEURS, who == OTHER], rows, (0.34, 0.3, 0.36))


def _side(scene: Scene, some: Candidates) -> Float64:
    """Return on which side of the station a second radio finds the oscillator: above, or below."""
    high = np.array([tuning.side != "low" for tuning in scene.tunings])[some.side]
    # An oscillator on the wrong side stands where the scale does not have it.
    high = np.where(some.mechanism == "wrong-side", ~high, high)
    return _yes(np.where(high, 0.97, 0.03))


def _chosen(
    conditions: list[np.ndarray], rows: Sequence[Sequence[float]], default: Sequence[float]
) -> Float64:
    """Return for each candidate the row of the first condition that holds; (k, outcomes)."""
    place = np.select(conditions, range(len(rows)), len(rows))
    table: Float64 = np.array([*rows, default], dtype=np.float64)[place]
    return table


YES_NO = (True, False)

OBSERVABLES: Mapping[str, Observable] = MappingProxyType(
    {
        each.key: each
        for each in (
            Observable("everywhere", YES_NO, _everywhere),
            Observable("heard", ("programme", "speech", "whistle", "quiet", "noise", "nothing"), _heard),
            Observable("speech_of", ("aircraft", "amateurs", "other"), _speech_of),
            Observable("single", YES_NO, _single),
            Observable("own_place_too", YES_NO, _of_trait("own_place")),
            Observable("aerial_out", ("goes", "stays"), _aerial),
            Observable("pitch", ("still", "moves", "flicks"), _pitch),
            Observable("stereo_only", YES_NO, _of_trait("stereo_only")),
            Observable("anti_phase", YES_NO, _of_trait("anti_phase")),
            Observable("width", ("full", "half", "third", "wide"), _width),
            Observable("meter", ("normal", "reversed"), _way_round),
            Observable("afc", ("pulls", "pushes"), _way_round),
            Observable("by_ear", ("better", "same", "worse"), _by_ear),
            Observable("other_set_off_stops", YES_NO, _of_trait("other_set_off"), TRIED_WRONG),
            Observable("other_set_too", YES_NO, _of_trait("other_set_too")),
            Observable("other_input_too", YES_NO, _of_trait("other_input"), TRIED_WRONG),
            Observable("drifts", YES_NO, _of_trait("drifts")),
            Observable("warm_up_stops", YES_NO, _of_trait("warm_up")),
            Observable("comes_and_goes", YES_NO, _of_trait("comes_and_goes")),
        )
    }
)
"""What a symptom tells in words, by its attribute."""

FALL = Observable("fall", (0, 1, 2, 3), _law)
RATE = Observable("pitch_rate", (0, 1, 2, 3, 4, 5), _rate)
SIDE = Observable("side", ("above", "below"), _side)
"""What only a test tells in words."""
