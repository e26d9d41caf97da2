"""What is believed of the unknowns that all symptoms of a set share, given a cause for each: Gaussians, kept exactly.

The unknowns are how far the real IF lies from the stated one, how far the scale is off, and a fault of scale or
oscillator that is the same everywhere.  Every reading is linear in them, so that each combination of causes leaves a
Gaussian and a weight; nothing is searched.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from freqplan.decibel import Float64
from freqplan.hertz import Int64

IF, DIAL, SHIFT = range(3)
UNKNOWNS = 3


@dataclass(frozen=True, eq=False)
class Reading:
    """One linear observation of each component: off = residual + gain . unknowns, of which nothing but noise is left.

    Attributes
    ----------
    residual_hz : (k,) float64 [Hz]
        With all unknowns zero.
    gain : (k, 3) float64
        How much each unknown adds.
    sd_hz : (k,) float64 [Hz]
        Of the noise.
    per_hz : (k,) float64
        By what the density is multiplied to be one over the dial.
    anyhow : (k,) float64
        The density of components the reading says nothing of; NaN for the others.
    """

    residual_hz: Float64
    gain: Float64
    sd_hz: Float64
    per_hz: Float64
    anyhow: Float64

    def take(self, keep: np.ndarray) -> Reading:
        """Return the reading for the components selected by a mask or index array."""
        return Reading(
            self.residual_hz[keep], self.gain[keep], self.sd_hz[keep], self.per_hz[keep], self.anyhow[keep]
        )


@dataclass(frozen=True, eq=False)
class Belief:
    """Weighted Gaussians.

    Attributes
    ----------
    log_weight : (k,) float64
        Natural logarithms, not normalised.
    mean : (k, 3) float64 [Hz]
        Of the unknowns.
    cov : (k, 3, 3) float64 [Hz^2]
        Their covariance.
    side : (k,) int64
        Oscillator side of each component.
    causes : (k, s) int64
        The candidate taken for each symptom so far.
    """

    log_weight: Float64
    mean: Float64
    cov: Float64
    side: Int64
    causes: Int64

    def __len__(self) -> int:
        return len(self.log_weight)

    @classmethod
    def start(cls, sd_hz: tuple[float, float, float], sides: int) -> Belief:
        """Return what is believed before any symptom: one component a side, all sides alike."""
        cov = np.broadcast_to(np.diag(np.square(sd_hz)), (sides, UNKNOWNS, UNKNOWNS))
        return cls(
            np.full(sides, -np.log(sides)), np.zeros((sides, UNKNOWNS)), cov.copy(), np.arange(sides),
            np.zeros((sides, 0), dtype=np.int64),
        )  # fmt: skip

    def take(self, keep: np.ndarray) -> Belief:
        """Return the components selected by a mask or index array."""
        return Belief(
            self.log_weight[keep], self.mean[keep], self.cov[keep], self.side[keep], self.causes[keep]
        )

    @property
    def weight(self) -> Float64:
        """Return the weights as shares; (k,)."""
        weight = np.exp(self.log_weight - self.log_weight.max())
        share: Float64 = weight / weight.sum()
        return share

    def weighed(self, log_likelihood: Float64) -> Belief:
        """Return the belief with each component weighed by something that says nothing of the unknowns; (k,)."""
        return Belief(self.log_weight + log_likelihood, self.mean, self.cov, self.side, self.causes)

    def with_causes(self, rows: Int64) -> Belief:
        """Return the belief with a candidate (k,) added to each component."""
        return Belief(
            self.log_weight,
            self.mean,
            self.cov,
            self.side,
            np.concatenate([self.causes, rows[:, None]], axis=1),
        )

    def updated(self, reading: Reading) -> Belief:
        """Return the belief after a reading of each component."""
        told = np.isnan(reading.anyhow)
        spread = np.einsum("kij,kj->ki", self.cov, reading.gain)
        variance = np.einsum("ki,ki->k", reading.gain, spread) + reading.sd_hz**2
        off = reading.residual_hz + np.einsum("ki,ki->k", reading.gain, self.mean)
        density = -(off**2) / (2 * variance) - np.log(2 * np.pi * variance) / 2 + np.log(reading.per_hz)
        with np.errstate(divide="ignore"):
            anyhow = np.log(np.where(told, 1.0, reading.anyhow))
        step = spread / variance[:, None] * told[:, None]
        return Belief(
            self.log_weight + np.where(told, density, anyhow),
            self.mean - step * off[:, None],
            self.cov - step[:, :, None] * spread[:, None, :],
            self.side,
            self.causes,
        )

    def strongest(self, most: int, *, least_log: float = -30.0) -> Belief:
        """Return the components that matter, at most so many."""
        keep = np.flatnonzero(self.log_weight >= self.log_weight.max() + least_log)
        if len(keep) > most:
            keep = keep[np.argpartition(-self.log_weight[keep], most)[:most]]
        return self.take(keep)
