"""One dial setting: every frequency that lands on the IF there, and who of the listed stations does."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction
from functools import cached_property
from typing import TYPE_CHECKING, Any, ClassVar

import numpy as np

from freqplan.arguments import checked
from freqplan.birdies import birdies
from freqplan.changes import NO_TRIAL, Trial
from freqplan.channel_rows import response_table
from freqplan.errors import ModelRangeError
from freqplan.findings import Findings, stack, text_column
from freqplan.hertz import whole_hertz
from freqplan.listening import Listening
from freqplan.mechanisms import FAMILIES, Family, explained
from freqplan.mechanisms.clocks import OTHER
from freqplan.neighbours import has_decoder, neighbours_at
from freqplan.product_changes import Tried, with_trial
from freqplan.products import Products, products_at
from freqplan.results import Result
from freqplan.words import birdie_sum, heard_words

if TYPE_CHECKING:
    from freqplan.plan import Plan
    from freqplan.stations import StationList

RESPONSE_COLUMNS = (
    "mechanism", "oscillator", "order", "m", "n", "e", "response_hz", "stations", "beat_hz", "reach",
    "station", "heard", "level_dbuv", "pitch_hz", "loudness_db", "margin_db", "change_db", "margin_after_db",
    "heard_after",
    "tuning_slope", "beat_rate", "level_law", "rejection_db", "ratio_db", "protection_margin_db", "services",
    "name", "q", "sources_hz", "sum",
)  # fmt: skip
DETAILS = (
    "order", "tuning_slope", "beat_rate", "level_law", "e", "station", "ratio_db", "protection_margin_db", "level_dbuv",
    "pitch_hz", "loudness_db", "services", "q", "sources_hz",
)  # fmt: skip
MOST_HEARD = 3
"""Sentences on what is heard, above the tables."""


@dataclass(frozen=True)
class Channel(Result):
    """Everything that can be heard at one dial setting; each table is computed when it is first asked for.

    Attributes
    ----------
    dial_hz : int
        The dial setting.
    """

    command: ClassVar[str] = "channel"
    table_names: ClassVar[tuple[str, ...]] = ("responses", "birdies", "products", "neighbours", "mechanisms")

    dial_hz: int = field(kw_only=True)
    trial: Trial = field(default=NO_TRIAL, kw_only=True)
    every_product: bool = field(default=False, kw_only=True)

    @cached_property
    def _listening(self) -> Listening:
        return Listening.at(self.plan, self.dial_hz, self.stations, self.trial)

    @cached_property
    def responses(self) -> Findings:
        """Frequencies that land on the IF: what is heard first, then those with a listed station, then by order."""
        heard = self._listening
        tables = [
            response_table(tuning, sums, heard, always=sums_of is family.responses)
            for tuning in self.sides
            for family in self.families
            for sums_of in (family.responses, family.station_spots)
            if sums_of and len(sums := sums_of(self.plan, tuning))
        ]
        details = DETAILS
        if heard.known is not None and self.stations is not None:
            details += ("reach", "rejection_db", *(("beat_hz", "sum") if self.trial else ()))
        table = stack("Responses at this dial setting", tables, RESPONSE_COLUMNS, details=details, by="order")
        table = replace(table, spare=("services",))
        listed, margins = table.values("stations"), table.values("margin_db")
        rank = [
            (2, 0) if not names else (1, 0) if margin is None or margin >= 0 else (0, margin)
            for names, margin in zip(listed, margins, strict=True)
        ]
        return table.take(np.array(sorted(range(len(rank)), key=rank.__getitem__), dtype=np.int64))

    @cached_property
    def birdies(self) -> Findings:
        """Spots of the set's own making whose range lies within half the IF filter of the dial setting.

        What is everywhere is here as well.
        """
        half, band = Fraction(self.plan.if_filter.bandwidth_hz, 2), self.plan.band
        low = max(Fraction(band.low_hz), self.dial_hz - half)
        high = min(Fraction(band.high_hz), self.dial_hz + half)
        table = birdies(self.plan, self.sides, self.families, low_hz=low, high_hz=high)
        side_of = {tuning.side: tuning for tuning in self.sides}
        written = [birdie_sum(row, side_of[row["oscillator"]], self.plan.rounding) for row in table.rows()]
        columns = {**table.columns, "sum": text_column(written)}
        return Findings("Birdies near this dial setting", columns, details=table.details)

    @property
    def names(self) -> tuple[str, ...]:
        """Return the names of the tables: sums need stations, neighbours also a stereo decoder."""
        left_out = set() if has_decoder(self.plan) else {"neighbours"}
        left_out |= set() if self.stations is not None else {"products", "neighbours"}
        return tuple(name for name in self.table_names if name not in left_out)

    @cached_property
    def _products(self) -> Products | None:
        if self.stations is None:
            return None
        return products_at(
            self.plan, self.sides, self.stations, self.dial_hz, self.families, every=self.every_product
        )

    @cached_property
    def products(self) -> Findings | None:
        """Sums of two and three listed stations that land here; None without a station list.

        Those within half the IF filter, and of those whose modulation reaches in what is heard by its level; the order
        is that of the ghosts.
        """
        if self._products is None or self.stations is None or not self.trial:
            return None if self._products is None else self._products.table
        weakened = self.trial.applied(self.plan, self.stations)
        after = products_at(
            self.plan, self.sides, weakened, self.dial_hz, self.families, every=self.every_product
        )
        tried = Tried(self.plan, self.stations, self.trial, self.dial_hz)
        return with_trial(tried, before=self._products.table, after=after.table)

    @cached_property
    def neighbours(self) -> Findings | None:
        """Tones that listed stations beside make in the stereo decoder; None without stations or decoder."""
        if "neighbours" not in self.names or self.stations is None:
            return None
        return neighbours_at(self.plan, self.stations, self.dial_hz, self.families)

    @cached_property
    def mechanisms(self) -> Findings:
        """What is heard here and how, the test that confirms it, and what helps.

        With a station list only birdies and the mechanisms by which a listed station is received.
        """
        rows = self.responses.rows()
        heard = [row["mechanism"] for row in rows if row["stations"] or self.stations is None]
        for table in (self.birdies, self.products, self.neighbours):
            heard += [] if table is None else table.values("mechanism")
        return explained(heard, self.families)

    @property
    def wanted(self) -> tuple[str, ...] | None:
        """Listed stations inside the IF filter here; None without a station list."""
        if self.stations is None:
            return None
        inside = 2 * np.abs(self.stations.frequency_hz - self.dial_hz) <= self.plan.if_filter.bandwidth_hz
        return tuple(self.stations.names[place] for place in np.flatnonzero(inside).tolist())

    @property
    def heading(self) -> Mapping[str, Any]:
        """Return dial setting, oscillator and the stations on it."""
        own = {tuning.side: tuning.oscillator_hz(self.dial_hz) for tuning in self.sides}
        return {
            "dial_hz": self.dial_hz,
            "oscillator_hz": next(iter(own.values())) if len(own) == 1 else None,
            "oscillators_hz": own,
            "wanted": None if self.wanted is None else list(self.wanted),
            "wanted_dbuv": self._listening.wanted_dbuv,
            "rejection_against_dbuv": self._listening.against_dbuv,
            **({} if self._products is None else {"products_total": self._products.total}),
            **self.trial.to_dict(),
        }

    @property
    def assumptions(self) -> tuple[str, ...]:
        """Return the defaults in force, the limits of the computation, and which sums of stations are left out."""
        left_out = "" if self._products is None else self._products.remark
        return (*super().assumptions, *([left_out] if left_out else []))

    @property
    def headlines(self) -> tuple[str, ...]:
        """Return the plan, the dial setting with its oscillator, and the stations listed there."""
        rounding = self.plan.rounding
        own = ", ".join(
            f"{rounding.fine(tuning.oscillator_hz(self.dial_hz))} ({tuning.side})" for tuning in self.sides
        )
        dial = f"Dial on {rounding.fine(self.dial_hz)} {rounding.unit}, oscillator on {own}"
        listed = "" if self.wanted is None else f"; listed there: {', '.join(self.wanted) or 'nobody'}"
        tried = (
            [self.trial.in_words(self.plan, self.stations)]
            if self.trial and self.stations is not None
            else []
        )
        return (*super().headlines, dial + listed, *tried, *self._spots, *self._heard)

    def _is_received(self, row: Mapping[str, Any]) -> bool:
        """Return whether a spot of the set's own making lies in the IF filter here: what moves faster is narrower."""
        if row["dial_hz"] is None:
            return True
        beside = max(row["dial_low_hz"] - self.dial_hz, self.dial_hz - row["dial_high_hz"], 0)
        moves = max(abs(row["tuning_slope"] or 1), 1)
        return bool(2 * beside * moves <= self.plan.if_filter.bandwidth_hz)

    @property
    def _spots(self) -> Iterator[str]:
        """Yield the spots of the set's own making, a sentence each."""
        # What takes harmonics of a clock and of the oscillator together is the last to be heard.
        rows = sorted(
            filter(self._is_received, self.birdies.rows()), key=lambda row: row["lands_on"] == OTHER
        )
        for row in rows[:MOST_HEARD]:
            where = (
                "here" if row["dial_hz"] is not None else "on every station" if row["zone"] else "everywhere"
            )
            name = f" ({row['name']})" if row["name"] else ""
            yield f"{row['mechanism']}{name} {where}: {row['sum']}"

    @property
    def _heard(self) -> Iterator[str]:
        """Yield what is heard by its level, worst first, in a sentence each."""
        tables = [table for table in (self.responses, self.products, self.neighbours) if table is not None]
        told = (row for table in tables for row in table.rows() if row["margin_db"] is not None)
        rows = sorted((row for row in told if row["margin_db"] < 0), key=lambda row: row["margin_db"])
        for row in rows[:MOST_HEARD]:
            here = {**row, "heard_on_hz": self.dial_hz, "wanted": self._listening.wanted_name}
            words = heard_words(here, self.plan.rounding, am=self.plan.band.modulation == "am")
            stereo = ", in stereo only" if "zone" in row else ""
            yield f"{row.get('station') or ', '.join(row['stations'])} by {row['mechanism']}: {words}{stereo}"
        if len(rows) > MOST_HEARD:
            yield f"and {len(rows) - MOST_HEARD} more that are heard"


@checked
def channel(
    plan: Plan,
    frequency_hz: int,
    stations: StationList | None = None,
    *,
    trial: Trial = NO_TRIAL,
    every_product: bool = False,
    families: tuple[Family, ...] = FAMILIES,
) -> Channel:
    """Compute everything that can be heard at one dial setting.

    Parameters
    ----------
    plan : Plan
        The receiver; with its oscillator side unknown, both sides are answered.
    frequency_hz : int [Hz]
        The dial setting, inside the band.
    stations : StationList, optional
        Who is on the air.
    trial : Trial
        A pad or traps at the aerial: what they change is told beside what is there without them.
    every_product : bool
        Whether all sums of stations are listed, also where they are more than anybody reads.
    families : tuple of Family
        The mechanisms to compute.

    Returns
    -------
    Channel

    Raises
    ------
    ModelRangeError
        The dial setting is no whole number of hertz, or lies off the band; a trial without a station list.
    """
    if trial and stations is None:
        raise ModelRangeError("what a pad or a trap changes needs a station list")
    return Channel(
        plan,
        stations,
        families,
        dial_hz=_on_the_dial(plan, frequency_hz),
        trial=trial,
        every_product=every_product,
    )


def _on_the_dial(plan: Plan, frequency_hz: int) -> int:
    dial_hz = whole_hertz(frequency_hz, "dial setting")
    rounding, band = plan.rounding, plan.band
    if not band.low_hz <= dial_hz <= band.high_hz:
        raise ModelRangeError(
            f"dial setting {rounding.fine(dial_hz)} {rounding.unit} lies off the band "
            f"{rounding.fine(band.low_hz)}-{rounding.fine(band.high_hz)} {rounding.unit}"
        )
    return dial_hz
