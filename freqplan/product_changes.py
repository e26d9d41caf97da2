"""What a pad or a trap changes in sums of stations: each falls by what its stations lose, as often as it takes them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, Any, TypeAlias

import numpy as np

from freqplan.changes import COLUMNS, DETAILS, NOBODY, Trial
from freqplan.findings import Findings, text_column
from freqplan.hearing import NOTHING
from freqplan.mechanisms.several_signals import IF_SPACED_PAIR, THIRD_ORDER_OUTSIDE
from freqplan.station_sums import TIMES

if TYPE_CHECKING:
    from freqplan.plan import Plan
    from freqplan.stations import StationList

Row: TypeAlias = Mapping[str, Any]
Station: TypeAlias = tuple[str, int]
"""Name and carrier [Hz]: relays of one programme share a name."""

NAMING = ("mechanism", "oscillator", "kind", "stations", "stations_hz", "n", "e")
ROUNDING_DB = 1e-6
"""Below this a level and the law are the same."""

CHANGED = ("change_db", "margin_after_db", "heard_after")
"""What `with_trial` adds to a table."""


@dataclass(frozen=True, eq=False)
class Tried:
    """What a trial takes off: a plan, its stations and what is tried between aerial and set."""

    plan: Plan
    stations: StationList
    trial: Trial
    dial_hz: int | None = None
    """Where the dial stands, if it does not run over the band."""

    @cached_property
    def _lost(self) -> dict[Station, float]:
        """What each station loses [dB]."""
        hertz = self.stations.frequency_hz
        loss = self.trial.loss_db(self.plan, hertz).tolist()
        return dict(zip(zip(self.stations.names, hertz.tolist(), strict=True), loss, strict=True))

    def own_loss_db(self, row: Row) -> float:
        """Return what the station tuned in loses: of several of one name, as relays are, the one next to the dial."""
        if row["wanted"] is None:
            return 0.0
        setting = self.dial_hz if self.dial_hz is not None else row["heard_on_hz"]
        same = [who for who in self._lost if who[0] == row["wanted"]]
        return self._lost[min(same, key=lambda who: abs(who[1] - setting))]

    def change_db(self, row: Row, new: Row | None) -> float:
        """Return how much louder a sum becomes: what the station tuned in loses, less what the sum does.

        By the law, or by the levels where both are known on one setting, for at its ceiling a sum falls by less.  What
        is made outside comes in on a frequency of its own, which a trap for one of the stations does not touch.
        """
        own = self.own_loss_db(row)
        if row["mechanism"] == THIRD_ORDER_OUTSIDE.id:
            return own - float(self.trial.loss_db(self.plan, np.array([row["frequency_hz"]]))[0])
        parts = zip(TIMES[row["kind"]], row["stations"], row["stations_hz"], strict=True)
        law = own - sum(abs(count) * self._lost[name, hertz] for count, name, hertz in parts)
        if new is None or None in (row["level_dbuv"], new["level_dbuv"]) or not _same_place(row, new):
            return law
        real = own + float(new["level_dbuv"] - row["level_dbuv"])
        return real if real > law + ROUNDING_DB else law


def product_changes(tried: Tried, *, before: Findings, after: Findings) -> Findings:
    """Return what a trial changes in the sums of stations that are heard before or after, and in pairs one IF apart.

    Parameters
    ----------
    tried : Tried
        The plan, the stations and the trial.
    before, after : Findings
        The products of the survey without the trial, and with it.

    Returns
    -------
    Findings
        The columns of `changes.changes`.  A sum that is not among those listed with the trial is not heard then.
    """
    found = [row for row in _changed(tried, before, after) if row["change_db"] != 0]
    return Findings.of_rows(
        "What the pad or trap changes in sums of stations", found, COLUMNS, details=DETAILS
    )


def with_trial(tried: Tried, *, before: Findings, after: Findings) -> Findings:
    """Return the products of one setting with what a trial changes in each: `CHANGED` are added."""
    then = {_key(row): row for row in after.rows()}
    rows = [_row(tried, row, row, then.get(_key(row))) for row in before.rows()]
    columns = {name: text_column([row[name] for row in rows]) for name in CHANGED}
    details = (*before.details, "frequency_hz", "lands_on", "level_dbuv")
    return replace(before, columns={**before.columns, **columns}, details=details)


def _changed(tried: Tried, before: Findings, after: Findings) -> Iterator[dict[str, Any]]:
    first = {_key(row): row for row in before.rows()}
    then = {_key(row): row for row in after.rows()}
    for key in first | then:
        old, new = first.get(key), then.get(key)
        row = old or new
        if row is None or row["mechanism"] == THIRD_ORDER_OUTSIDE.id:
            continue
        if _is_heard(old) or _is_heard(new) or row["mechanism"] == IF_SPACED_PAIR.id:
            yield _row(tried, row, old, new)


def _row(tried: Tried, row: Row, old: Row | None, new: Row | None) -> dict[str, Any]:
    gone = old is not None and new is not None and old["wanted"] is not None and new["wanted"] is None
    moved = old is not None and new is not None and not _same_place(old, new)
    unheard = NOTHING if row["margin_db"] is not None else None
    return {
        **row,
        "station": ", ".join(row["stations"]),
        "station_hz": None,
        "k": None,
        "m": None,
        "heard": old["heard"] if old else NOTHING,
        "margin_db": old["margin_db"] if old else None,
        "change_db": tried.change_db(row, new if old else None),
        "margin_after_db": new["margin_db"] if new else None,
        "heard_after": new["heard"] if new else unheard,
        "then_on_hz": new["heard_on_hz"] if moved and new else None,
        "wanted_after": NOBODY if gone else None,
    }


def _same_place(one: Row, other: Row) -> bool:
    """Return whether two rows speak of one setting; those of a single setting always do."""
    return bool(one.get("heard_on_hz") == other.get("heard_on_hz"))


def _key(row: Row) -> tuple[Any, ...]:
    return tuple(row[name] for name in NAMING)


def _is_heard(row: Row | None) -> bool:
    return row is not None and row["margin_db"] is not None and row["margin_db"] < 0
