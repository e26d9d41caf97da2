"""What is lost before the mixer, against frequency: tuned circuits that follow the dial, or a measured response."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from freqplan.decibel import Float64
from freqplan.sweeps import Sweep, load_sweep

if TYPE_CHECKING:
    from freqplan.plan import FrontEnd, Plan


@dataclass(frozen=True)
class Preselector:
    """The selectivity ahead of the mixer.

    Attributes
    ----------
    front_end : FrontEnd
        Circuits, Q, floor and detuning, or where the response was measured.
    sweep : Sweep or None
        The measured response.
    """

    front_end: FrontEnd
    sweep: Sweep | None = None

    def loss_db(self, signal_hz: npt.ArrayLike, dial_hz: npt.ArrayLike) -> Float64:
        """Return A(f), the loss between aerial and mixer against the best frequency.

        Parameters
        ----------
        signal_hz, dial_hz : (k,) or scalar [Hz]
            Signal and dial setting; floats will do, for nothing is decided by them.

        Returns
        -------
        (k,) float64 [dB]
            NaN where a measured response does not reach, or is too coarse to tell.
        """
        if self.sweep is not None:
            return self.sweep.at(self.measured_at(signal_hz, dial_hz))
        own = self.front_end
        return self._circuits_db(own.circuits_before_rf_stage + own.circuits_before_mixer, signal_hz, dial_hz)

    def before_rf_stage_db(self, signal_hz: npt.ArrayLike, dial_hz: npt.ArrayLike) -> Float64:
        """Return the loss in the circuits before the RF stage alone [dB]; NaN for a measured response."""
        return self._group_db(self.front_end.circuits_before_rf_stage, signal_hz, dial_hz)

    def before_mixer_db(self, signal_hz: npt.ArrayLike, dial_hz: npt.ArrayLike) -> Float64:
        """Return the loss in the circuits between RF stage and mixer alone [dB]; NaN for a measured response."""
        return self._group_db(self.front_end.circuits_before_mixer, signal_hz, dial_hz)

    def least_db(
        self,
        signal_hz: npt.ArrayLike,
        low_hz: npt.ArrayLike,
        high_hz: npt.ArrayLike,
        *,
        before_rf_stage: bool,
    ) -> Float64:
        """Return what a signal loses at least, over a part of the dial, before the RF stage or before the mixer [dB].

        With tuned circuits that is with the dial nearest to it.  For a measured response, which does not tell where
        the RF stage stands, it is the least anywhere between: where the loss is unknown, so is the level.
        """
        signal = np.asarray(signal_hz)
        if self.sweep is not None:
            return self.sweep.least_db(self.measured_at(signal, high_hz), self.measured_at(signal, low_hz))
        nearest = np.clip(signal - self.front_end.detuning_hz, low_hz, high_hz)
        return self.before_rf_stage_db(signal, nearest) if before_rf_stage else self.loss_db(signal, nearest)

    def most_on_tune_db(self, low_hz: int, high_hz: int) -> float:
        """Return the most that is lost on the dial setting itself, over a part of the dial [dB].

        Circuits that stand beside the dial lose most at one of the ends; of a measured response it is the most
        anywhere.
        """
        if self.sweep is not None:
            return float(np.nanmax(self.sweep.loss_db))
        ends = np.array([low_hz, high_hz], dtype=np.int64)
        apart = self.before_rf_stage_db(ends, ends) + self.before_mixer_db(ends, ends)
        return float(np.max(np.maximum(apart, self.loss_db(ends, ends))))

    def measured_at(self, signal_hz: npt.ArrayLike, dial_hz: npt.ArrayLike) -> Float64:
        """Return where in the sweep to look for a signal [Hz].

        A response measured at one dial setting stands for another in proportion: circuits of constant Q.
        """
        signal = np.asarray(signal_hz, dtype=np.float64)
        measured_hz = self.front_end.response_dial_hz
        if measured_hz is None:
            return signal
        return signal * measured_hz / np.asarray(dial_hz, dtype=np.float64)

    def _group_db(self, circuits: int, signal_hz: npt.ArrayLike, dial_hz: npt.ArrayLike) -> Float64:
        loss = self._circuits_db(circuits, signal_hz, dial_hz)
        return loss if self.sweep is None else np.full_like(loss, np.nan)

    def _circuits_db(self, circuits: int, signal_hz: npt.ArrayLike, dial_hz: npt.ArrayLike) -> Float64:
        tuned = np.asarray(dial_hz, dtype=np.float64) + self.front_end.detuning_hz
        loss = tuned_circuits_db(
            np.asarray(signal_hz, np.float64), tuned, circuits, self.front_end.loaded_q or 0.0
        )
        return np.minimum(loss, self.front_end.floor_db)


def tuned_circuits_db(signal_hz: Float64, tuned_hz: Float64, circuits: int, loaded_q: float) -> Float64:
    """Return the loss of equal tuned circuits that do not load each other.

    Parameters
    ----------
    signal_hz, tuned_hz : (k,) float64 [Hz]
        Signal, and where the circuits stand.
    circuits : int
        How many.
    loaded_q : float
        Q of each.

    Returns
    -------
    (k,) float64 [dB]
        ``10 N lg(1 + Q^2 (f/f0 - f0/f)^2)``; infinite at zero frequency.

    References
    ----------
    Kennedy & Davis, Electronic Communication Systems, ch. 7 (rejection ratio of a tuned circuit).
    """
    if circuits == 0:
        return np.zeros(np.broadcast(signal_hz, tuned_hz).shape)
    with np.errstate(divide="ignore"):
        detuned = loaded_q * circuits_detuning(signal_hz, tuned_hz)
    return 10 * circuits * np.log10(1 + detuned**2)


def circuits_detuning(signal_hz: npt.ArrayLike, tuned_hz: npt.ArrayLike) -> Float64:
    """Return f/f0 - f0/f, without unit; not the 2 df/f that holds close by only."""
    ratio = np.asarray(signal_hz, np.float64) / np.asarray(tuned_hz, np.float64)
    detuning: Float64 = ratio - 1 / ratio
    return detuning


def preselector(plan: Plan) -> Preselector | None:
    """Return the selectivity ahead of a plan's mixer, or None where the plan tells nothing of it.

    Raises
    ------
    SweepError
        The measured response cannot be read.
    """
    if plan.front_end is None:
        return None
    response = plan.front_end.response
    return Preselector(plan.front_end, load_sweep(response) if response is not None else None)
