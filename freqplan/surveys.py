"""The whole band against the catalogue: every response, birdie and ghost, and what to check first."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from typing import TYPE_CHECKING, Any, ClassVar

import numpy as np

from freqplan.checklist import check_list
from freqplan.errors import ModelRangeError
from freqplan.findings import Findings, stack
from freqplan.ghosts import channel_hits, ghosts
from freqplan.hertz import Ratios
from freqplan.mechanisms import FAMILIES, Family, Sums, catalogue, explained
from freqplan.mixing import Tuning
from freqplan.oscillators import oscillators
from freqplan.reach import clipped, ordered, touches
from freqplan.results import Result

if TYPE_CHECKING:
    from freqplan.plan import Plan
    from freqplan.stations import StationList

RESPONSE_COLUMNS = (
    "mechanism", "oscillator", "order", "m", "n", "e", "low_hz", "high_hz", "dial_low_hz", "dial_high_hz",
    "tuning_slope", "beat_rate", "level_law", "rejection_db",
)  # fmt: skip
BIRDIE_COLUMNS = (
    "mechanism", "oscillator", "order", "k", "m", "n", "e", "name", "dial_hz", "dial_low_hz", "dial_high_hz",
    "beat_rate", "level_law",
)  # fmt: skip


@dataclass(frozen=True)
class Survey(Result):
    """Everything that can be heard over the whole band; each table is computed when it is first asked for."""

    command: ClassVar[str] = "survey"
    table_names: ClassVar[tuple[str, ...]] = (
        "check_list", "oscillators", "birdies", "ghosts", "responses", "mechanisms",
    )  # fmt: skip
    on_request: ClassVar[tuple[str, ...]] = ("channel_hits",)

    @property
    def names(self) -> tuple[str, ...]:
        """Return the names of the tables; without a station list there are no ghosts."""
        return tuple(name for name in self.table_names if name != "ghosts" or self.stations is not None)

    @cached_property
    def oscillators(self) -> Findings:
        """Range of the oscillator on each side asked for, and what it radiates into."""
        return oscillators(self.plan, self.sides)

    @cached_property
    def responses(self) -> Findings:
        """One row per (mechanism, m, n, e): what lands on the IF while the dial runs over the band.

        With the part of the dial over which that signal lies inside the band itself.
        """
        tables = [
            _response_table(self.plan, family.responses(self.plan, tuning))
            for tuning in self.sides
            for family in self.families
            if family.responses
        ]
        return stack("Responses over the band", tables, RESPONSE_COLUMNS, details=("order",), by="order")

    @cached_property
    def birdies(self) -> Findings:
        """Dial settings at which the set disturbs itself, along the dial."""
        return birdies(self.plan, self.sides, self.families)

    @cached_property
    def ghosts(self) -> Findings | None:
        """Listed stations received in the wrong place; None without a station list."""
        if self.stations is None:
            return None
        return ghosts(self.plan, self.sides, self.stations, self.families)

    @cached_property
    def check_list(self) -> Findings:
        """What to take to the bench, most worth checking first."""
        return check_list(
            self.plan,
            catalogue(self.families),
            responses=self.responses,
            birdies=self.birdies,
            ghosts=self.ghosts,
            stations=self.stations,
        )

    @cached_property
    def mechanisms(self) -> Findings:
        """What each mechanism named in the other tables is, how to confirm it, and what helps."""
        tables = (self.birdies, self.ghosts, self.responses)
        ids = [name for table in tables if table is not None for name in table.values("mechanism")]
        return explained(ids, self.families)

    @cached_property
    def channel_hits(self) -> Findings:
        """Every ghost once for each channel on which it sits in the IF filter.

        ``channel_hz, station, station_hz, mechanism, oscillator, m, n, e, beat_hz``; along the dial.

        Raises
        ------
        ModelRangeError
            Without a station list, or when a raster of a few hertz makes more than five million rows.
        """
        if self.stations is None:
            raise ModelRangeError("channels hit by stations need a station list")
        return channel_hits(self.plan, self.sides, self.stations, self.families)

    @property
    def heading(self) -> Mapping[str, Any]:
        """Return how many stations were used."""
        return {"stations_used": None if self.stations is None else len(self.stations)}

    @property
    def headlines(self) -> tuple[str, ...]:
        """Return the plan, and how many stations were used."""
        if self.stations is None:
            return super().headlines
        source = f" from {self.stations.source}" if self.stations.source else ""
        return (*super().headlines, f"{len(self.stations)} stations{source}")


def survey(
    plan: Plan, stations: StationList | None = None, *, families: tuple[Family, ...] = FAMILIES
) -> Survey:
    """Survey a plan over its whole band: every response, birdie and ghost, and what to check.

    Parameters
    ----------
    plan : Plan
        The receiver; with its oscillator side unknown, both sides are answered.
    stations : StationList, optional
        Who is on the air; without it there are no ghosts.
    families : tuple of Family
        The mechanisms to compute.

    Returns
    -------
    Survey
    """
    return Survey(plan, stations, families)


def _response_table(plan: Plan, sums: Sums) -> Findings:
    low_hz, high_hz = plan.band.low_hz, plan.band.high_hz
    low, high = ordered(sums.combinations.signal(low_hz), sums.combinations.signal(high_hz))
    exists = high.num > 0
    sums, low, high = sums.take(exists), low[exists], high[exists]
    low = Ratios(np.maximum(low.num, 0), low.den)
    dial_low, dial_high = _dial_in_band(plan, sums)
    return sums.findings(
        "Responses over the band",
        low_hz=low,
        high_hz=high,
        dial_low_hz=dial_low,
        dial_high_hz=dial_high,
        rejection_db=np.full(len(sums), None, object),
    )


def _dial_in_band(plan: Plan, sums: Sums) -> tuple[Ratios, Ratios]:
    """Return the part of the dial over which each response lies inside the band; "none" where nowhere."""
    low_hz, high_hz = plan.band.low_hz, plan.band.high_hz
    some = sums.combinations
    one, other = ordered(some.dial(low_hz), some.dial(high_hz))
    meets = touches(one, other, low_hz, high_hz)
    one, other = clipped(one, low_hz, high_hz).where(meets), clipped(other, low_hz, high_hz).where(meets)
    # A response that tuning does not move (a = 0) lies in the band over all of the dial or nowhere.
    signal = some.signal(low_hz)
    fixed = (some.a == 0) & touches(signal, signal, low_hz, high_hz)
    return one.replaced(fixed, low_hz), other.replaced(fixed, high_hz)


def birdies(
    plan: Plan, sides: Sequence[Tuning], families: Sequence[Family] = FAMILIES, *, low_hz: Fraction | int | None = None,
    high_hz: Fraction | int | None = None,
) -> Findings:  # fmt: skip
    """Return the spots of the dial at which the set disturbs itself, along the dial.

    Parameters
    ----------
    plan : Plan
        The receiver.
    sides : sequence of Tuning
        Oscillator sides to answer for.
    families : sequence of Family
        The mechanisms to compute.
    low_hz, high_hz : Fraction or int, optional [Hz]
        Part of the dial to look at, the band by default.  Ranges from the IF tolerance are clipped to the band.
    """
    start, stop = low_hz or plan.band.low_hz, high_hz or plan.band.high_hz
    tables = [
        _birdie_table(plan, family.birdies(plan, tuning), start, stop)
        for tuning in sides
        for family in families
        if family.birdies
    ]
    table = stack("Birdies", tables, BIRDIE_COLUMNS, details=("order",), by="order")
    return table.take(np.argsort(table.hertz("dial_hz").rough(), kind="stable"))


def _birdie_table(plan: Plan, sums: Sums, start_hz: Fraction | int, stop_hz: Fraction | int) -> Findings:
    conversion = plan.conversion[0]
    some = sums.combinations
    low, high = ordered(
        some.own_dial(conversion.intermediate_hz - conversion.tolerance_hz),
        some.own_dial(conversion.intermediate_hz + conversion.tolerance_hz),
    )
    meets = touches(low, high, start_hz, stop_hz)
    sums, low, high = sums.take(meets), low[meets], high[meets]
    return sums.findings(
        "Birdies",
        dial_hz=sums.combinations.own_dial(),
        dial_low_hz=clipped(low, plan.band.low_hz, plan.band.high_hz),
        dial_high_hz=clipped(high, plan.band.low_hz, plan.band.high_hz),
    )
