"""The whole band against the catalogue: every response, birdie and ghost, and what to check first."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, Any, ClassVar

import numpy as np

from freqplan.arguments import checked
from freqplan.birdies import birdies
from freqplan.changes import NO_TRIAL, Trial, by_worse, changes
from freqplan.checklist import check_list
from freqplan.errors import ModelRangeError
from freqplan.findings import Findings, stack
from freqplan.ghosts import by_margin, channel_hits, ghosts
from freqplan.heard import COLUMNS as HEARD_COLUMNS
from freqplan.heard import DETAILS as HEARD_DETAILS
from freqplan.heard import heard
from freqplan.if_pairs import if_pairs
from freqplan.mechanisms import FAMILIES, Family, catalogue, explained
from freqplan.neighbour_lines import heard_neighbours
from freqplan.neighbours import has_decoder, neighbours
from freqplan.oscillators import oscillators
from freqplan.product_changes import Tried, product_changes
from freqplan.product_lines import heard_products
from freqplan.products import Products, products
from freqplan.responses import responses
from freqplan.results import Result

if TYPE_CHECKING:
    from freqplan.plan import Plan
    from freqplan.stations import StationList


@dataclass(frozen=True)
class Survey(Result):
    """Everything that can be heard over the whole band; each table is computed when it is first asked for."""

    command: ClassVar[str] = "survey"
    table_names: ClassVar[tuple[str, ...]] = (
        "check_list", "changes", "heard", "oscillators", "birdies", "ghosts", "products", "if_pairs", "neighbours",
        "responses", "mechanisms",
    )  # fmt: skip
    on_request: ClassVar[tuple[str, ...]] = ("channel_hits",)
    along_the_dial: ClassVar[frozenset[str]] = frozenset({"birdies"})

    trial: Trial = field(default=NO_TRIAL, kw_only=True)
    every_product: bool = field(default=False, kw_only=True)

    @property
    def names(self) -> tuple[str, ...]:
        """Return the names of the tables.

        All that speaks of stations needs a list; neighbours also a stereo decoder, what is heard a front end.
        """
        needs_stations = {"ghosts", "products", "if_pairs", "neighbours", "heard", "changes"}
        left_out = set() if self.stations is not None else needs_stations
        left_out |= set() if has_decoder(self.plan) else {"neighbours"}
        left_out |= {"heard"} if self.plan.front_end is None else set()
        left_out |= set() if self.trial else {"changes"}
        return tuple(name for name in self.table_names if name not in left_out)

    @cached_property
    def oscillators(self) -> Findings:
        """Range of the oscillator on each side asked for, and what it radiates into."""
        return oscillators(self.plan, self.sides)

    @cached_property
    def responses(self) -> Findings:
        """One row per (mechanism, m, n, e): what lands on the IF while the dial runs over the band.

        With the part of the dial over which that signal lies inside the band itself.
        """
        return responses(self.plan, self.sides, self.families)

    @cached_property
    def birdies(self) -> Findings:
        """Dial settings at which the set disturbs itself, along the dial."""
        return birdies(self.plan, self.sides, self.families)

    @cached_property
    def ghosts(self) -> Findings | None:
        """Listed stations received in the wrong place; None without a station list.

        What is heard by its level comes first, by margin; then what has no level, by order; then the rest by margin.
        """
        return None if self._judged is None else by_margin(self._judged)

    @cached_property
    def _judged(self) -> Findings | None:
        """The ghosts, lowest order first whatever their levels."""
        if self.stations is None:
            return None
        return ghosts(self.plan, self.sides, self.stations, self.families)

    @cached_property
    def heard(self) -> Findings:
        """What is heard by its level, worst first, one row a cause.

        Raises
        ------
        ModelRangeError
            Without a station list.
        """
        if self.ghosts is None:
            raise ModelRangeError("what is heard needs a station list")
        table = heard(self.plan, self.ghosts)
        parts = [table]
        if self.products is not None:
            parts.append(heard_products(self.plan, self.products))
        if self.neighbours is not None:
            parts.append(heard_neighbours(self.plan, self.neighbours))
        whole = stack(table.title, parts, HEARD_COLUMNS, details=HEARD_DETAILS)
        return whole.take(np.argsort(whole.floats("margin_db"), kind="stable"))

    @cached_property
    def _products(self) -> Products | None:
        if self.stations is None:
            return None
        return products(self.plan, self.sides, self.stations, self.families, every=self.every_product)

    @cached_property
    def products(self) -> Findings | None:
        """Sums of two and three listed stations that are received; None without a station list.

        In the order of the ghosts.  Of more than `products.MOST_LISTED` only those that matter, unless
        ``every_product`` asks for all.
        """
        return None if self._products is None else self._products.table

    @cached_property
    def if_pairs(self) -> Findings | None:
        """Pairs of listed stations an IF apart, and what can come of each; None without a station list."""
        return None if self.stations is None else if_pairs(self.plan, self.sides, self.stations)

    @cached_property
    def neighbours(self) -> Findings | None:
        """Tones that listed stations make in the stereo decoder; None without stations, decoder or this mechanism."""
        if self.stations is None or not has_decoder(self.plan):
            return None
        return neighbours(self.plan, self.stations, self.families)

    @cached_property
    def changes(self) -> Findings:
        """What the pad or the traps on trial change.

        Raises
        ------
        ModelRangeError
            Without a station list.
        """
        before = self._judged
        if before is None or self.stations is None:
            raise ModelRangeError("what a pad or a trap changes needs a station list")
        table = changes(
            self.plan, self.sides, self.stations, self.trial, ghosts=before, birdies=self.birdies,
            families=self.families,
        )  # fmt: skip
        return by_worse(
            stack(table.title, [table, self._product_changes], list(table.columns), details=table.details)
        )

    @property
    def _product_changes(self) -> Findings:
        assert self.stations is not None
        assert self.products is not None
        weakened = self.trial.applied(self.plan, self.stations)
        after = products(self.plan, self.sides, weakened, self.families, every=self.every_product)
        tried = Tried(self.plan, self.stations, self.trial)
        return product_changes(tried, before=self.products, after=after.table)

    @cached_property
    def check_list(self) -> Findings:
        """What to take to the bench, most worth checking first."""
        return check_list(
            self.plan,
            catalogue(self.families),
            products=self.products,  # First, for it refuses lists that are too long for the others as well.
            responses=self.responses,
            birdies=self.birdies,
            ghosts=self.ghosts,
            stations=self.stations,
            neighbours=self.neighbours,
        )

    @cached_property
    def mechanisms(self) -> Findings:
        """What each mechanism named in the other tables is, how to confirm it, and what helps."""
        tables = (self.birdies, self.ghosts, self.products, self.neighbours, self.responses)
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
        return {
            "stations_used": None if self.stations is None else len(self.stations),
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
        """Return the plan, and how many stations were used."""
        if self.stations is None:
            return super().headlines
        source = f" from {self.stations.source}" if self.stations.source else ""
        listed = f"{len(self.stations)} station{'' if len(self.stations) == 1 else 's'}{source}"
        tried = [self.trial.in_words(self.plan, self.stations)] if self.trial else []
        return (*super().headlines, listed, *tried, *self._counts())

    def _counts(self) -> Iterator[str]:
        """Yield how many ghosts and sums of stations are heard by their level."""
        if self.plan.front_end is None or self.ghosts is None or self._products is None:
            return
        margins = self.ghosts.values("margin_db")
        unknown, heard = margins.count(None), _heard_of(margins)
        yield (
            f"{len(margins)} ghosts of listed stations: {heard} heard by their level, {unknown} of unknown level, "
            f"{len(margins) - heard - unknown} below being heard"
        )
        if self._products.total:
            heard = _heard_of(self._products.table.values("margin_db"))
            fall = "; a 10 dB pad takes 20 or 30 dB off them" if heard else ""
            least = "at least " if self._products.is_cut else ""
            yield (
                f"Sums of two and three of them are received in {self._products.total} ways: {least}{heard} heard by "
                f"their level{fall}"
            )


def _heard_of(margins: list[float | None]) -> int:
    return sum(margin is not None and margin < 0 for margin in margins)


@checked
def survey(
    plan: Plan, stations: StationList | None = None, *, trial: Trial = NO_TRIAL, every_product: bool = False,
    families: tuple[Family, ...] = FAMILIES,
) -> Survey:  # fmt: skip
    """Survey a plan over its whole band: every response, birdie and ghost, and what to check.

    Parameters
    ----------
    plan : Plan
        The receiver; with its oscillator side unknown, both sides are answered.
    stations : StationList, optional
        Who is on the air; without it there are no ghosts.
    trial : Trial
        A pad or traps at the aerial: what they change is told beside what is there without them.
    every_product : bool
        Whether all sums of stations are listed, also where they are more than anybody reads.
    families : tuple of Family
        The mechanisms to compute.

    Returns
    -------
    Survey

    Raises
    ------
    ModelRangeError
        A trial without a station list.
    """
    if trial and stations is None:
        raise ModelRangeError("what a pad or a trap changes needs a station list")
    return Survey(plan, stations, families, trial=trial, every_product=every_product)
