"""Levels of products: how strong a signal must be, and how strong a station comes out.

A product of signal order m moves m dB for each dB of its signal.  With S how far it lies below the wanted product for
a signal of level P0 at the mixer, G the gain from aerial to mixer and A(f) the loss before the mixer, a signal of
level P on fX is as strong in the IF as a wanted station of this level at the aerial::

    m*(P - A(fX)) + A(fT) - S - (m - 1)*(P0 - G)

and rejection is how far P lies above the wanted level when both are equal.  All levels in dB(uV), so that
the numbers of the aerial and of the mixer join in one impedance.
"""

from __future__ import annotations

import functools
from collections.abc import Sequence
from dataclasses import dataclass
from math import log10
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from freqplan.arguments import checked
from freqplan.decibel import Float64, dbuv_of_dbm
from freqplan.hertz import Int64
from freqplan.mixers import BOLTZMANN_J_PER_K, more_ways_db, reference_dbuv, suppressions_db, ways_db
from freqplan.preselectors import Preselector, preselector

if TYPE_CHECKING:
    from freqplan.plan import FrontEnd, Plan
    from freqplan.stations import StationList

THERMAL_DBM_PER_HZ = 10 * log10(BOLTZMANN_J_PER_K * 290 / 1e-3)
"""Thermal noise at 290 K in 1 Hz."""

ABOVE_THERMAL_DB = 17.0
"""Noise figure 7 dB, and 10 dB of carrier over noise at the FM threshold; common practice, no source."""


@dataclass(frozen=True)
class Levels:
    """What a plan says of levels.

    Attributes
    ----------
    plan : Plan
        The receiver; it has a front end.
    selectivity : Preselector
        The loss before its mixer.
    """

    plan: Plan
    selectivity: Preselector

    @property
    def front_end(self) -> FrontEnd:
        """The front end of the plan."""
        return self.selectivity.front_end

    @property
    def sensitivity_dbuv(self) -> float:
        """Return the least level at the aerial that rises out of the noise [dB(uV)].

        The one given, or thermal noise in the IF filter and `ABOVE_THERMAL_DB`.
        """
        if self.front_end.sensitivity_dbuv is not None:
            return self.front_end.sensitivity_dbuv
        noise_dbm = THERMAL_DBM_PER_HZ + 10 * log10(self.plan.if_filter.bandwidth_hz)
        return dbuv_of_dbm(noise_dbm, self.front_end.impedance_ohm) + ABOVE_THERMAL_DB

    def at_aerial(self, stations: StationList) -> Float64:
        """Return the levels of stations at the plan's aerial terminal [dB(uV)], NaN where unknown; (k,)."""
        return stations.terminal_dbuv(self.front_end.impedance_ohm)

    def rejection_db(
        self,
        m: Int64,
        n: Int64,
        *,
        signal_hz: npt.ArrayLike,
        dial_hz: npt.ArrayLike,
        wanted_dbuv: npt.ArrayLike,
    ) -> Float64:
        """Return how much stronger than the wanted station a signal must be for equal output [dB].

        Parameters
        ----------
        m, n : (k,) int64
            Harmonics of signal and oscillator.
        signal_hz, dial_hz : (k,) or scalar [Hz]
            The signal and the dial setting at which it falls on the IF.
        wanted_dbuv : (k,) or scalar [dB(uV)]
            Level of the wanted station at the aerial.

        Returns
        -------
        (k,) float64 [dB]
            ``(S + (m-1)(P0 - Pw - G))/m + A(fX) - A(fT)/m``; NaN where a part of it is unknown.
        """
        mixer = self._mixer_db(m, n) - (m - 1) * np.asarray(wanted_dbuv)
        lost = self.selectivity.loss_db(signal_hz, dial_hz)
        on_tune = self.selectivity.loss_db(dial_hz, dial_hz)
        rejection: Float64 = (mixer - on_tune) / m + lost
        return rejection

    def equivalent_dbuv(
        self,
        m: Int64,
        n: Int64,
        *,
        signal_hz: npt.ArrayLike,
        dial_hz: npt.ArrayLike,
        level_dbuv: npt.ArrayLike,
    ) -> Float64:
        """Return the level of a wanted station that would be as strong in the IF as a signal [dB(uV)].

        Parameters
        ----------
        m, n : (k,) int64
            Harmonics of signal and oscillator.
        signal_hz, dial_hz : (k,) or scalar [Hz]
            The signal and the dial setting.
        level_dbuv : (k,) or scalar [dB(uV)]
            Level of the signal at the aerial.

        Returns
        -------
        (k,) float64 [dB(uV)]
            For m = 2 and more never above the signal itself behind the front end: there the law has long ended.
        """
        at_mixer = np.asarray(level_dbuv) - self.selectivity.loss_db(signal_hz, dial_hz)
        on_tune = self.selectivity.loss_db(dial_hz, dial_hz)
        level: Float64 = (
            np.minimum(m * at_mixer - self._mixer_db(m, n), np.where(m == 1, np.inf, at_mixer)) + on_tune
        )
        return level

    def _mixer_db(self, m: Int64, n: Int64) -> Float64:
        """Return S + (m - 1)(P0 - G); S alone for m = 1, whatever else is unknown."""
        own = self.front_end
        gain = np.nan if own.gain_db is None else own.gain_db
        reference = reference_dbuv(self.plan.mixer, own.impedance_ohm) - gain
        above = np.where(m == 1, 0.0, (m - 1) * reference)
        total: Float64 = suppressions_db(self.plan.mixer, m, n) + above
        return total

    def mixer_product_dbuv(
        self,
        times: tuple[int, ...],
        signals_hz: Sequence[npt.ArrayLike],
        levels_dbuv: Sequence[npt.ArrayLike],
        *,
        n: int,
        dial_hz: npt.ArrayLike,
    ) -> Float64:
        """Return the equivalent level of a product that several stations make in the mixer [dB(uV)].

        Parameters
        ----------
        times : tuple of int
            How many times each station is taken, such as (2, -1) in 2A - B; the sign does not matter here.
        signals_hz, levels_dbuv : sequence of (k,) or scalar [Hz], [dB(uV)]
            The stations in that order, and their levels at the aerial.
        n : int
            Harmonic of the oscillator that takes part.
        dial_hz : (k,) or scalar [Hz]
            The dial setting.

        Returns
        -------
        (k,) or scalar float64
            As for one signal of order m = sum of the times, and higher by the number of ways in which the
            stations share it, m!/(product of the factorials): two equal ones at half-IF 6.02 dB.  Never above the
            weakest of the stations behind the front end: there the law has long ended.  NaN where a part is unknown.
        """
        counts = [abs(count) for count in times]
        m = np.array([sum(counts)])
        at_mixer = [
            np.asarray(level) - self.selectivity.loss_db(hertz, dial_hz)
            for hertz, level in zip(signals_hz, levels_dbuv, strict=True)
        ]
        made = _weighed(counts, at_mixer) - self._mixer_db(m, np.array([n]))[0] + ways_db(counts)
        level: Float64 = np.minimum(made, _weakest(at_mixer)) + self.selectivity.loss_db(dial_hz, dial_hz)
        return level

    def rf_stage_product_dbuv(
        self, times: tuple[int, ...], signals_hz: Sequence[npt.ArrayLike], levels_dbuv: Sequence[npt.ArrayLike], *,
        product_hz: npt.ArrayLike, dial_hz: npt.ArrayLike, n: int = 1,
    ) -> Float64:  # fmt: skip
        """Return the equivalent level of a product that several stations make in the RF stage [dB(uV)].

        Parameters
        ----------
        times, signals_hz, levels_dbuv, dial_hz : as for `mixer_product_dbuv`
            Of order two (A + B, A - B) or three (2A - B, A + B - C).
        product_hz : (k,) or scalar [Hz]
            Where the product falls: it passes the circuits behind the RF stage there.
        n : int
            Harmonic of the oscillator that brings it to the IF; 0 where it falls on the IF itself.

        Returns
        -------
        (k,) or scalar float64
            NaN where the intercept point, or the split of the selectivity, is unknown.

        Notes
        -----
        With levels at the RF stage and two-tone intercept points: ``PA + PB - IIP2``, ``2 PA + PB - 2 IIP3``, and
        6.02 dB more for three different stations; never above the weakest of them.
        """
        counts = [abs(count) for count in times]
        select, order = self.selectivity, sum(counts)
        at_stage = [
            np.asarray(level) - select.before_rf_stage_db(hertz, dial_hz)
            for hertz, level in zip(signals_hz, levels_dbuv, strict=True)
        ]
        made = _weighed(counts, at_stage) - (order - 1) * self._intercept_dbuv(order) + more_ways_db(counts)
        on_tune = select.before_rf_stage_db(dial_hz, dial_hz) + select.before_mixer_db(dial_hz, dial_hz)
        mixed = self._mixer_db(np.array([1]), np.array([n]))[0] + select.before_mixer_db(product_hz, dial_hz)
        level: Float64 = np.minimum(made, _weakest(at_stage)) + on_tune - mixed
        return level

    def product_dbuv(
        self, times: tuple[int, ...], signals_hz: Sequence[npt.ArrayLike], levels_dbuv: Sequence[npt.ArrayLike], *,
        product_hz: npt.ArrayLike, dial_hz: npt.ArrayLike, n: int,
    ) -> Float64:  # fmt: skip
        """Return the equivalent level of a product of several stations, made in RF stage or mixer [dB(uV)].

        The stronger of `rf_stage_product_dbuv` and `mixer_product_dbuv`, which name the parameters; where one is
        unknown, the other, and it may be more.
        """
        level: Float64 = np.fmax(
            self.rf_stage_product_dbuv(
                times, signals_hz, levels_dbuv, product_hz=product_hz, dial_hz=dial_hz, n=n
            ),
            self.mixer_product_dbuv(times, signals_hz, levels_dbuv, n=n, dial_hz=dial_hz),
        )
        return level

    def most_product_db(self, times: tuple[int, ...], n: int, *, low_hz: int, high_hz: int) -> float:
        """Return by how much at most a product lies above the levels of its stations added up [dB]; NaN: unknown.

        Each level is taken as often as its station, less what `least_lost_db` tells for that part of the dial.  The
        loss before the mixer is never less than that before the RF stage, and the circuits behind pass no more than
        what is on tune, so leaving both out makes a ceiling.
        """
        counts = [abs(count) for count in times]
        order, one, harmonic = sum(counts), np.array([1]), np.array([n])
        in_stage = (
            more_ways_db(counts)
            - (order - 1) * self._intercept_dbuv(order)
            - self._mixer_db(one, harmonic)[0]
        )
        if self.selectivity.sweep is not None:
            in_stage = np.nan  # a measured response does not tell what is lost before the RF stage
        in_mixer = ways_db(counts) - self._mixer_db(order * one, harmonic)[0]
        return float(np.fmax(in_stage, in_mixer)) + self.selectivity.most_on_tune_db(low_hz, high_hz)

    def least_lost_db(
        self, times: tuple[int, ...], signal_hz: Int64, *, low_hz: npt.ArrayLike, high_hz: npt.ArrayLike
    ) -> Float64:
        """Return what stations (s,) [Hz] lose at least on the way to where a product is made, by parts of the dial."""
        in_stage = not np.isnan(self._intercept_dbuv(sum(map(abs, times))))
        return self.selectivity.least_db(signal_hz, low_hz, high_hz, before_rf_stage=in_stage)

    def _intercept_dbuv(self, order: int) -> float:
        stage = self.plan.rf_stage
        points = {} if stage is None else {2: stage.iip2_dbm, 3: stage.iip3_dbm}
        point = points.get(order)
        return float("nan") if point is None else dbuv_of_dbm(point, self.front_end.impedance_ohm)


def _weighed(counts: list[int], levels: list[Float64]) -> Float64:
    total: Float64 = functools.reduce(
        np.add, [count * level for count, level in zip(counts, levels, strict=True)]
    )
    return total


def _weakest(levels: list[Float64]) -> Float64:
    weakest: Float64 = functools.reduce(np.minimum, levels)
    return weakest


@checked
def levels_of(plan: Plan) -> Levels | None:
    """Return what a plan says of levels, or None where it tells nothing of its front end.

    Raises
    ------
    SweepError
        The measured response of the front end cannot be read.
    """
    selectivity = preselector(plan)
    return None if selectivity is None else Levels(plan, selectivity)
