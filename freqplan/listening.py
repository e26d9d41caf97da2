"""What one hears with the dial at one place: levels of the stations that land on the IF there."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from freqplan.changes import NO_TRIAL, Trial
from freqplan.hearing import Hearing, heard_best, hearing
from freqplan.hertz import Int64, Ratios
from freqplan.levels import Levels, levels_of
from freqplan.mechanisms import Sums
from freqplan.mixing import Tuning
from freqplan.reach import channels_around
from freqplan.reception import Wanted, tuned_in

if TYPE_CHECKING:
    from freqplan.findings import Values
    from freqplan.plan import Plan
    from freqplan.stations import StationList


class Met(NamedTuple):
    """Stations that reach the IF: rows of the sums, places in the list, offsets [Hz]; (h,) int64 each."""

    rows: Int64
    places: Int64
    offsets: Int64


@dataclass(frozen=True, eq=False)
class Listening:
    """The dial at one place.

    Attributes
    ----------
    plan : Plan
        The receiver.
    dial_hz : int [Hz]
        Where the dial stands.
    stations : StationList or None
        Who is on the air.
    known : Levels or None
        What the plan says of levels.
    trial : Trial
        A pad or traps to be tried.
    """

    plan: Plan
    dial_hz: int
    stations: StationList | None
    known: Levels | None
    trial: Trial

    @classmethod
    def at(cls, plan: Plan, dial_hz: int, stations: StationList | None, trial: Trial = NO_TRIAL) -> Listening:
        """Listen at one dial setting.

        Raises
        ------
        SweepError
            The measured response of the front end cannot be read.
        """
        return cls(plan, dial_hz, stations, levels_of(plan), trial)

    def tuned_in(self, stations: StationList) -> Wanted:
        """Return who of some stations is tuned in, one entry."""
        return tuned_in(self.plan, self.known, stations, np.array([self.dial_hz], dtype=np.int64))

    @cached_property
    def there(self) -> Wanted | None:
        """Who of the listed stations is tuned in, one entry; None without a list."""
        return None if self.stations is None else self.tuned_in(self.stations)

    @property
    def wanted_name(self) -> str | None:
        """Name of the station tuned in; None where nobody is."""
        if self.stations is None or self.there is None:
            return None
        name: str | None = self.stations.names_at(self.there.place)[0]
        return name

    @property
    def wanted_dbuv(self) -> float | None:
        """Level at the aerial of the station tuned in; None where unknown or nobody is."""
        level = np.nan if self.there is None else float(self.there.level_dbuv[0])
        return None if np.isnan(level) else level

    @property
    def against_dbuv(self) -> float | None:
        """Level of the wanted station that rejections are told against: that one, or the plan's usual one."""
        if self.known is None:
            return None
        return self.known.front_end.wanted_dbuv if self.wanted_dbuv is None else self.wanted_dbuv

    def columns(self, tuning: Tuning, sums: Sums, response: Ratios, met: Met) -> dict[str, Values]:
        """Return the columns of levels for each sum (k,), of the station that is heard best where there are several.

        Parameters
        ----------
        tuning : Tuning
            The oscillator side.
        sums : Sums
            (k,) products.
        response : (k,) Ratios [Hz]
            The signals that land exactly on the IF.
        met : Met
            The listed stations near enough to these.
        """
        if "m" not in sums.columns:
            return {}
        columns: dict[str, Values] = {}
        if self.known is not None:
            signal = np.where(response.num > 0, response.rough(), np.nan)
            columns["rejection_db"] = sums.below_db + self.known.rejection_db(
                sums.array("m"),
                sums.array("n"),
                signal_hz=signal,
                dial_hz=self.dial_hz,
                wanted_dbuv=self.against_dbuv or 0.0,
            )
        if self.stations is not None and len(met.rows):
            columns |= self._heard(tuning, sums, met, self.stations)
        return columns

    def _heard(self, tuning: Tuning, sums: Sums, met: Met, stations: StationList) -> dict[str, Values]:
        before = self._judged(tuning, sums, met, stations)
        margin = np.full(len(met.rows), np.nan) if before is None else before.margin_db
        best = heard_best(met.rows, margin, met.offsets)
        rows = met.rows[best]
        found: dict[str, Values] = {"station": stations.names_at(met.places[best])}
        if before is not None:
            found |= before.columns(best)
            del found["rejection_db"]  # told for every sum, at the exact response
        if self.trial:
            loss = self.trial.loss_db(self.plan, stations.frequency_hz)
            own = int(self.tuned_in(stations).place[0])
            law = sums.array("level_law")[rows]
            found["change_db"] = (loss[own] if own >= 0 else 0.0) - law * loss[met.places[best]]
            after = self._judged(tuning, sums, met, self.trial.applied(self.plan, stations))
            if after is not None:
                then = heard_best(met.rows, after.margin_db, met.offsets)
                found |= {"margin_after_db": after.margin_db[then], "heard_after": after.heard[then]}
        return {name: _spread(values, rows, len(sums)) for name, values in found.items()}

    def _judged(self, tuning: Tuning, sums: Sums, met: Met, stations: StationList) -> Hearing | None:
        if self.known is None:
            return None
        same = np.zeros(len(met.rows), dtype=np.int64)
        return hearing(
            self.known, tuning, sums.take(met.rows), channel_hz=np.full(len(same), self.dial_hz, np.int64),
            signal_hz=stations.frequency_hz[met.places], level_dbuv=self.known.at_aerial(stations)[met.places],
            heard_there=self.tuned_in(stations).take(same),
        )  # fmt: skip


def _spread(values: Values, rows: Int64, length: int) -> Values:
    """Return a column of `length` with `values` at `rows` and nothing elsewhere."""
    if isinstance(values, Ratios):
        num, den = np.zeros((2, length), dtype=np.int64)
        num[rows], den[rows] = values.num, values.den
        return Ratios(num, den)
    column = np.full(length, None, dtype=object)
    column[rows] = values
    return column


def channels_beside(plan: Plan, dial_hz: int) -> tuple[int | None, int | None]:
    """Return the channels below and above a dial setting [Hz]; None beyond the end of the band."""
    near = channels_around(plan, dial_hz, 3).tolist()
    below, above = [hz for hz in near if hz < dial_hz], [hz for hz in near if hz > dial_hz]
    return (below[0] if below else None, above[0] if above else None)
