"""The sets of one house against each other: whose oscillator disturbs whom, and where a second radio hears it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, Any, ClassVar

from freqplan.arguments import checked
from freqplan.conflicts import Lines, Receiver, all_lines, both_sides, conflicts, receivers_of
from freqplan.errors import ModelRangeError
from freqplan.findings import Findings
from freqplan.hertz import Rounding
from freqplan.mechanisms import explained
from freqplan.mechanisms.other_sets import OTHER_RECEIVER
from freqplan.mutual import mutual
from freqplan.overheard import Spots, listen_at, spots_of
from freqplan.plan import Plan
from freqplan.radiation import KEPT_DOWN, radiation, safety_services
from freqplan.remarks import BENCH_CAUTION, about_the_plan, about_the_region
from freqplan.results import Result, in_brief
from freqplan.services import cautions_for
from freqplan.station_pairs import station_pairs
from freqplan.words import dial_span, span

if TYPE_CHECKING:
    from freqplan.stations import StationList

MOST_SETS = 20
"""More sets than any house holds: 20 make 380 ordered pairs."""


@dataclass(frozen=True)
class Household(Result):
    """Sets in one house; `plan` is the first of them, and each table is computed when it is first asked for.

    Attributes
    ----------
    plans : tuple of Plan
        All of them, in the order given.
    """

    command: ClassVar[str] = "receivers"
    table_names: ClassVar[tuple[str, ...]] = (
        "conflicts", "listen_at", "mutual", "pairs", "radiation", "mechanisms",
    )  # fmt: skip

    plans: tuple[Plan, ...] = field(kw_only=True)

    @cached_property
    def sets(self) -> tuple[Receiver, ...]:
        """The sets with names of their own: those of one title are numbered."""
        return receivers_of(self.plans)

    @cached_property
    def _lines(self) -> tuple[Lines, ...]:
        return all_lines(self.sets)

    @property
    def names(self) -> tuple[str, ...]:
        """Return the names of the tables: a set alone is listened to first, and pairs need stations and two sets."""
        alone = len(self.sets) == 1
        if alone:
            return ("listen_at", "conflicts", "radiation", "mechanisms")
        return tuple(name for name in self.table_names if name != "pairs" or self.stations is not None)

    @property
    def title(self) -> str:
        """Return the first set, and how many others there are."""
        others = len(self.sets) - 1
        more = f" and {others} other set{'' if others == 1 else 's'}" if others else ""
        return f"{self.sets[0].name}{more}"

    @property
    def rounding(self) -> Rounding:
        """Return kHz where every set is written in kHz, else MHz with the decimals of the finest."""
        habits = [plan.rounding for plan in self.plans]
        if all(one.unit == "kHz" for one in habits):
            return habits[0]
        decimals = [3 if one.unit == "kHz" else one.dial_decimals for one in habits]
        fine = [3 if one.unit == "kHz" else one.fine_decimals for one in habits]
        return Rounding("MHz", dial_decimals=max(decimals), fine_decimals=max(fine))

    @cached_property
    def conflicts(self) -> Findings:
        """Whose oscillator falls on whose dial, image or IF, by which harmonic, over which parts of both dials."""
        return conflicts(self._lines, self.rounding)

    @cached_property
    def listen_at(self) -> Findings:
        """Where to set a second radio to hear each oscillator."""
        return listen_at(self.sets, self.stations, self.rounding)

    @cached_property
    def mutual(self) -> Findings:
        """Settings at which two sets disturb each other at once: points, lines, or whole parts of both dials."""
        return mutual(self._lines, sides=both_sides(self._lines))

    @cached_property
    def pairs(self) -> Findings:
        """Listed stations on which one set disturbs another.

        Raises
        ------
        ModelRangeError
            Without a station list, or with more pairs than anybody reads.
        """
        if self.stations is None:
            raise ModelRangeError("pairs of stations need a station list")
        return station_pairs(self.sets, self.stations)

    @cached_property
    def radiation(self) -> Findings:
        """Where oscillators and their harmonics fall on 108-137 MHz and on other safety services."""
        return radiation(self.sets)

    @cached_property
    def mechanisms(self) -> Findings:
        """What another set's oscillator does, how to confirm it, and what helps."""
        return explained([OTHER_RECEIVER.id], self.families)

    @property
    def heading(self) -> Mapping[str, Any]:
        """Return all plans, the names the sets go by, and how many stations were used."""
        return {
            "plans": [plan.to_dict() for plan in self.plans],
            "sets": [each.name for each in self.sets],
            "stations_used": None if self.stations is None else len(self.stations),
        }

    @property
    def assumptions(self) -> tuple[str, ...]:
        """Return the defaults in force in each set and the limits of the computation."""
        return tuple(dict.fromkeys(self._assumptions()))

    def _assumptions(self) -> Iterator[str]:
        for each in self.sets:
            if len(each.tunings) > 1:
                sides = " and ".join(tuning.side for tuning in each.tunings)
                yield f"{each.name}: oscillator side not given, answered for {sides}."
            *own, everywhere = about_the_plan(each.plan)
            yield from (f"{each.name}: {text[0].lower()}{text[1:]}" for text in own)
        yield everywhere
        yield "Each IF is taken as exact; where the real one is off, the spots move with it."
        yield "Harmonics of an oscillator are followed as far as the orders of the set that hears them go."
        yield "How strongly one set's oscillator reaches another is not computed: screens, leads, distance."
        if self.stations is None:
            yield "No station list: the places to listen may hold stations."
        regions = {each.plan.region for each in self.sets}
        for each in self.sets:
            text = about_the_region(each.plan)
            yield text if len(regions) == 1 else f"{each.name}: {text[0].lower()}{text[1:]}"

    @property
    def cautions(self) -> tuple[str, ...]:
        """Return what can hurt: what the plans say, and what oscillators radiate into."""
        own = [f"{each.name}: {text}" for each in self.sets for text in each.plan.cautions]
        endangered = safety_services(self.sets)
        return (*own, *cautions_for(endangered), KEPT_DOWN, BENCH_CAUTION)

    @property
    def headlines(self) -> tuple[str, ...]:
        """Return every set, the stations, and what in the house can hear each oscillator."""
        sets = (f"{each.name}: {in_brief(each.plan)}" for each in self.sets)
        return (*sets, *self._listed(), *self._alone(), *self._unheard())

    def _listed(self) -> Iterator[str]:
        if self.stations is not None:
            source = f" from {self.stations.source}" if self.stations.source else ""
            yield f"{len(self.stations)} station{'' if len(self.stations) == 1 else 's'}{source}"

    def _alone(self) -> Iterator[str]:
        """Yield, of a single set, which part of its oscillator another radio of its band can hear."""
        if len(self.sets) == 1:
            yield "One set alone: the radio to listen with is any other of the same band."
            yield from self._heard_by_its_like(self.sets[0])

    def _unheard(self) -> Iterator[str]:
        """Yield the sets that no other one of the house can hear."""
        reached = {name for name in self.listen_at.values("set")}
        for each in self.sets if len(self.sets) > 1 else ():
            if each.name not in reached:
                yield f"No other set here can be used to hear the oscillator of {each.name}."

    def _heard_by_its_like(self, each: Receiver) -> Iterator[str]:
        found = {spots.lines.sides[0]: spots for spots in spots_of(each, each)}
        for tuning in each.tunings:
            spots = found.get(tuning.side)
            low, high = sorted(map(tuning.oscillator_hz, each.ends_hz))
            rounding = each.plan.rounding
            own = f"{span(low, high, rounding)} {rounding.unit}"
            side = f" ({tuning.side})" if len(each.tunings) > 1 else ""
            if spots is None:
                yield f"The oscillator{side}, {own}, can be heard nowhere on such a radio."
                continue
            yield f"The oscillator{side}, {own}, can be heard there with the dial {_where(each, spots)}."


def _where(each: Receiver, spots: Spots) -> str:
    """Write over which part of its dial a set is heard by one like it, and what is the matter with the rest."""
    first, last = int(spots.dial_hz[0]), int(spots.dial_hz[-1])
    by = "" if spots.harmonic == 1 else f", by its harmonic {spots.harmonic}"
    gaps = ", but for places on which lives depend" if spots.has_gaps else ""
    part = f"on {dial_span(first, last, each.plan.rounding)}{by}{gaps}"
    band = each.plan.band
    if (first, last) == tuple(map(each.plan.nearest_channel_hz, (band.low_hz, band.high_hz))):
        return part
    return f"{part}; elsewhere it lies outside that band, or lives depend on the frequency"


@checked
def receivers(plans: Iterable[Plan], stations: StationList | None = None) -> Household:
    """Set the receivers of one house against each other: whose oscillator disturbs whom.

    Parameters
    ----------
    plans : iterable of Plan
        The sets, at least one; two may be of the same plan.
    stations : StationList, optional
        Who is on the air: then also on which stations sets disturb each other, and places to listen clear of them.

    Returns
    -------
    Household

    Raises
    ------
    ModelRangeError
        No set, or more than `MOST_SETS`.
    """
    house = (plans,) if isinstance(plans, Plan) else tuple(plans)
    if not house:
        raise ModelRangeError("no set: give at least one plan")
    check_number(len(house))
    return Household(house[0], stations, plans=house)


def check_number(sets: int) -> None:
    """Refuse a house with more sets than `MOST_SETS`.

    Raises
    ------
    ModelRangeError
        There are too many.
    """
    if sets > MOST_SETS:
        raise ModelRangeError(f"{sets} sets, more than {MOST_SETS}: take those that stand near each other")
