"""What a pad or a trap at the aerial changes: before and after, by the level laws.

A product of signal order m falls m dB for each dB that its station is weakened, and a station on which it is heard
falls by what that one is weakened; the difference is what one hears.  It holds without any level known.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

from freqplan.decibel import Float64
from freqplan.fields import DIPOLE_OHM
from freqplan.findings import Findings, Values, stack, text_column
from freqplan.ghosts import ghosts as ghost_table
from freqplan.hearing import urgency_keys
from freqplan.hertz import Int64, Ratios
from freqplan.levels import levels_of
from freqplan.mechanisms import Family
from freqplan.mixing import Tuning
from freqplan.reception import tuned_in

if TYPE_CHECKING:
    from freqplan.plan import Plan
    from freqplan.stations import StationList

NOBODY = "nobody"
"""Tuned in where a station has gone down in the noise."""

NAMING = ("station", "station_hz", "mechanism", "oscillator", "k", "m", "n", "e")
COLUMNS = (
    "heard_on_hz", "wanted", *NAMING, "heard", "margin_db", "change_db", "margin_after_db", "heard_after", "then_on_hz",
    "wanted_after", "order",
)  # fmt: skip
DETAILS = ("station_hz", "e", "order")


@dataclass(frozen=True)
class Notch:
    """A trap at the aerial socket.

    Attributes
    ----------
    frequency_hz : int [Hz]
        What it is tuned to.
    depth_db : float [dB]
        How much it takes off stations within half the IF filter of that; others pass.
    """

    frequency_hz: int
    depth_db: float

    def acts_on(self, plan: Plan, frequency_hz: Int64) -> npt.NDArray[np.bool_]:
        """Return which carriers (k,) [Hz] it weakens."""
        near: npt.NDArray[np.bool_] = (
            2 * np.abs(frequency_hz - self.frequency_hz) <= plan.if_filter.bandwidth_hz
        )
        return near


@dataclass(frozen=True)
class Trial:
    """What is tried between aerial and set: a pad of `pad_db` [dB] and traps; false where there is neither."""

    pad_db: float = 0.0
    notches: tuple[Notch, ...] = ()

    def __bool__(self) -> bool:
        return self.pad_db != 0 or bool(self.notches)

    def loss_db(self, plan: Plan, frequency_hz: Int64) -> Float64:
        """Return what is taken off carriers (k,) [dB]."""
        loss = np.full(len(frequency_hz), float(self.pad_db))
        for notch in self.notches:
            loss += np.where(notch.acts_on(plan, frequency_hz), notch.depth_db, 0.0)
        return loss

    def applied(self, plan: Plan, stations: StationList) -> StationList:
        """Return the stations as they come in with it."""
        # Without a front end nobody looks at their levels.
        ohm = DIPOLE_OHM if plan.front_end is None else plan.front_end.impedance_ohm
        return stations.weakened(self.loss_db(plan, stations.frequency_hz), ohm)

    def to_dict(self) -> dict[str, Any]:
        """Return the trial as part of a JSON object; empty where nothing is tried."""
        if not self:
            return {}
        notches = [{"frequency_hz": one.frequency_hz, "depth_db": one.depth_db} for one in self.notches]
        return {"trial": {"pad_db": self.pad_db, "notches": notches}}

    def in_words(self, plan: Plan, stations: StationList) -> str:
        """Write what is tried, and whom each trap acts on."""
        parts = [f"a pad of {self.pad_db:g} dB"] if self.pad_db else []
        for notch in self.notches:
            names = dict.fromkeys(
                stations.names_at(np.flatnonzero(notch.acts_on(plan, stations.frequency_hz)))
            )
            whom = ", ".join(names) or "no listed station within half the IF filter of it"
            parts.append(
                f"a trap of {notch.depth_db:g} dB on {plan.rounding.fine(notch.frequency_hz)} "
                f"{plan.rounding.unit} ({whom})"
            )
        return f"Tried: {' and '.join(parts)}; all but the changes is told without it"


NO_TRIAL = Trial()


def changes(
    plan: Plan, sides: Sequence[Tuning], stations: StationList, trial: Trial, *, ghosts: Findings, birdies: Findings,
    families: Sequence[Family],
) -> Findings:  # fmt: skip
    """Return what a trial changes: ghosts of stations it weakens or that fall on such, and birdies on these.

    Parameters
    ----------
    plan, sides, stations, families
        As for `ghosts.ghosts`.
    trial : Trial
        Pad and traps.
    ghosts, birdies : Findings
        Those of the survey, without the trial.

    Returns
    -------
    Findings
        What is heard before or after comes first, by margin; then what is unknown, by order; then the rest.
        ``change_db`` is that at ``heard_on_hz``, negative where it gets better; the margin after is that of the
        setting at which it then is heard best.
    """
    after = ghost_table(plan, sides, trial.applied(plan, stations), families)
    tables = [_of_ghosts(plan, stations, trial, ghosts, after), _of_birdies(plan, stations, trial, birdies)]
    return by_worse(stack("What the pad or trap changes", tables, COLUMNS, details=DETAILS))


def by_worse(table: Findings) -> Findings:
    """Return changes by what is heard before or after, first by margin; then unknown ones by order; then the rest."""
    worse = np.fmin(table.floats("margin_db"), table.floats("margin_after_db"))
    return table.take(np.lexsort((table.floats("order"), *urgency_keys(worse))))


def _of_ghosts(
    plan: Plan, stations: StationList, trial: Trial, before: Findings, after: Findings
) -> Findings:
    heard_on, nearest = before.hertz("heard_on_hz"), before.hertz("channel_hz")
    # Without levels, what is everywhere has no setting of its own: then there is no station to compare with.
    given = heard_on.known | nearest.known
    channel = np.where(heard_on.known, heard_on.num, np.where(nearest.known, nearest.num, 0))
    there = tuned_in(plan, levels_of(plan), stations, channel)
    source = trial.loss_db(plan, before.hertz("station_hz").num)
    own = np.where(there.place >= 0, trial.loss_db(plan, there.frequency_hz), 0.0)
    moved = after.hertz("heard_on_hz")
    level_change = after.floats("level_dbuv") - before.floats("level_dbuv")
    # Where a product stands at its ceiling, its level falls by less than the law has it.
    stayed = (moved.num == channel) & moved.known & ~np.isnan(level_change)
    had, has = (
        np.array([name is not None for name in table.values("wanted")], bool) for table in (before, after)
    )
    touched = (source != 0) | (own != 0)
    place: dict[str, Values] = {
        "heard_on_hz": Ratios(channel, np.where(given, 1, 0)),
        "wanted": stations.names_at(there.place),
    }
    named = {
        name: before[name] for name in (*NAMING, "order", "heard", "margin_db") if name in before.columns
    }
    then = {
        "heard_after": after["heard"],
        "margin_after_db": after["margin_db"],
        "change_db": np.where(stayed, level_change + own, own - before.floats("level_law") * source),
        "wanted_after": text_column([NOBODY if gone else None for gone in (had & ~has).tolist()]),
        "then_on_hz": moved.where((moved.num != channel) & moved.known),
    }
    return Findings("", {**place, **named, **then}).take(touched)


def _of_birdies(plan: Plan, stations: StationList, trial: Trial, birdies: Findings) -> Findings:
    """Return one row for each listed station within half the IF filter of a birdie's range.

    What is everywhere is left out: it is the same on all stations, and no trap finds it.
    """
    found: list[dict[str, Any]] = []
    half = plan.if_filter.bandwidth_hz
    loss = trial.loss_db(plan, stations.frequency_hz)
    for row in birdies.rows():
        if row["dial_hz"] is None:
            continue
        low, high = ceil(2 * row["dial_low_hz"] - half), floor(2 * row["dial_high_hz"] + half)
        near = (2 * stations.frequency_hz >= low) & (2 * stations.frequency_hz <= high) & (loss != 0)
        for who in np.flatnonzero(near).tolist():
            change = (1 - (row["level_law"] or 0)) * loss[who]
            channel = plan.nearest_channel_hz(int(stations.frequency_hz[who]))
            found.append({**row, "wanted": stations.names[who], "heard_on_hz": channel, "change_db": change})
    names = ("mechanism", "oscillator", "k", "m", "n", "e", "wanted", "change_db", "order")
    columns = {name: text_column([row[name] for row in found]) for name in names}
    return Findings("", {**columns, "heard_on_hz": Ratios.of([row["heard_on_hz"] for row in found])})
