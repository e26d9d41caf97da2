"""Which IF, side and number of tuned circuits: every choice in every town, with sets as they leave the bench."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, Any, ClassVar

import numpy as np

from freqplan.arguments import checked
from freqplan.batches import Progress, Workload, computed
from freqplan.errors import ModelRangeError
from freqplan.findings import Findings
from freqplan.level_remarks import about_the_set
from freqplan.levels import levels_of
from freqplan.mixing import Tuning
from freqplan.plan_reading import hertz_text
from freqplan.remarks import about_the_plan, about_the_region
from freqplan.results import Result
from freqplan.sweep_answers import answer, counted
from freqplan.sweep_checks import (
    QUIET,
    check_front_end,
    check_jobs,
    check_options,
    check_size,
    distinct_circuits,
    distinct_hertz,
    distinct_sides,
)
from freqplan.sweep_choices import SIDES, Choice
from freqplan.sweep_tables import MOST_ROWS, choice_table, draw_table, town_table
from freqplan.towns import named_towns
from freqplan.words import span

if TYPE_CHECKING:
    from freqplan.plan import Plan
    from freqplan.stations import StationList

MOST_SIDES = 100
"""Sides and IFs of which the cautions are told."""


@dataclass(frozen=True)
class Sweep(Result):
    """Choices of IF, oscillator side and number of tuned circuits, over many towns and sets.

    Attributes
    ----------
    work : Workload
        What was computed.
    rows : (t, c, d) structured array
        One row a set, by town, choice and draw; `batches.ROW` names its fields.
    goal : str or None
        What the choices are ranked by: ``"quiet"``, or None for the order in which they were asked for.
    left_out : tuple of str
        Choices of which there is no set, and why.
    """

    command: ClassVar[str] = "sweep"
    table_names: ClassVar[tuple[str, ...]] = ("choices", "towns")
    on_request: ClassVar[tuple[str, ...]] = ("towns", "draws")

    work: Workload = field(kw_only=True)
    rows: np.ndarray = field(kw_only=True, repr=False)
    goal: str | None = field(default=None, kw_only=True)
    left_out: tuple[str, ...] = field(default=(), kw_only=True)

    @property
    def complete(self) -> bool:
        """Return whether every set was computed; not so after an interruption."""
        return bool(self.rows["done"].all())

    @property
    def names(self) -> tuple[str, ...]:
        """Return the names of the tables; that of the towns is given by name only where it is very long."""
        return self.table_names if self.rows[..., 0].size <= MOST_ROWS else self.table_names[:1]

    @property
    def sides(self) -> tuple[Tuning, ...]:
        """Return sides and IFs for the cautions: all computed, or of very many some, evenly spread, and the outermost.

        From one to the next the oscillator moves by far less than its own range, so that no service slips between.
        """
        every = sorted(
            {choice.tuning for choice in self.work.choices}, key=lambda one: (one.side, one.intermediate_hz)
        )
        stride = -(-len(every) // MOST_SIDES)
        return tuple(
            dict.fromkeys((*every[::stride], *(tuning for side in SIDES for tuning in _ends(every, side))))
        )

    @cached_property
    def choices(self) -> Findings:
        """One row per choice, over all towns and sets: by the goal, or else in the order asked for."""
        return choice_table(self.work, self.rows, ranked=self.goal is not None)

    @cached_property
    def towns(self) -> Findings:
        """One row per choice and town, over all sets."""
        return town_table(self.work, self.rows)

    @cached_property
    def draws(self) -> Findings:
        """One row per set computed."""
        return draw_table(self.work, self.rows)

    @property
    def heading(self) -> Mapping[str, Any]:
        """Return what was asked, and how much of it was computed."""
        work = self.work
        return {
            "complete": self.complete,
            "sets_total": len(work),
            "sets_done": int(self.rows["done"].sum()),
            "towns_used": list(work.towns),
            "draws_each": work.draws,
            "seed": work.seed,
            "tracking_hz": work.tracking_hz,
            "goal": self.goal,
        }

    @property
    def headlines(self) -> tuple[str, ...]:
        """Return the band, and how many choices, towns and sets there are."""
        rounding, band, work = self.plan.rounding, self.plan.band, self.work
        listed = sum(map(len, work.towns.values()))
        return (
            f"{span(band.low_hz, band.high_hz, rounding)} {rounding.unit} {band.modulation.upper()}",
            f"{counted(len(work.choices), 'choice')} in {counted(len(work.towns), 'town')} with "
            f"{counted(listed, 'station')}, {counted(work.draws, 'set')} each: {counted(len(work), 'set')}",
        )

    @property
    def sections(self) -> Mapping[str, tuple[str, ...]]:
        """Return which choices serve all towns."""
        return {"Which serves all": tuple(answer(self.work, self.rows))}

    @property
    def assumptions(self) -> tuple[str, ...]:
        """Return what the figures rest on, and what was left out."""
        return tuple(self._assumptions())

    def _assumptions(self) -> Iterator[str]:
        work = self.work
        yield from about_the_plan(self.plan)
        known = levels_of(self.plan)
        if known is None:
            yield "Levels are not computed, for the plan has no [front_end]."
        else:
            yield from about_the_set(known)
        yield _about_draws(work)
        yield (
            "A station is disturbed where a ghost, a whistle or noise is heard with it tuned in. Stations on a "
            "harmonic of the IF count as affected without a level: how loud it is, the ear decides; harmonics count "
            "up to the 25th at least."
        )
        if work.sums:
            yield "Sums of stations count where each is heard best."
        else:
            yield "Sums of several stations are left out: they depend little on the IF."
        if any(choice.circuits is not None for choice in work.choices):
            yield (
                "The circuits have the plan's Q and leakage; those before the RF stage stay, as far as there are so "
                "many, and the others stand before the mixer."
            )
        if self.goal == QUIET:
            yield (
                "Goal quiet: fewest stations affected by the worst set in the worst town come first, of equal ones "
                "those with fewer stations that something of unknown level lands on; what is still equal shares its "
                "place. An IF in the band stands behind all others, and a choice with missing sets has no place."
            )
        yield from (f"Left out, for there is no such set: {text}." for text in self.left_out)
        if len(self.names) == 1:
            yield f"The table of towns has more than {MOST_ROWS:,} rows and is given by name only: --table towns."
        yield about_the_region(self.plan)


def _ends(every: Sequence[Tuning], side: str) -> tuple[Tuning, ...]:
    own = [tuning for tuning in every if tuning.side == side]
    return (own[0], own[-1]) if own else ()


def _about_draws(work: Workload) -> str:
    if work.draws == 1:
        return "Every set is the nominal one: its IF exactly as named, its front end where the plan has it."
    tolerance = hertz_text(work.plan.conversion[0].tolerance_hz)
    return (
        f"Draw 0 is the nominal set. In each of the {work.draws - 1} others the IF lies anywhere within ±{tolerance} "
        f"and the front end anywhere within ±{hertz_text(work.tracking_hz)}, all equally likely; seed {work.seed}. "
        "Every choice has sets of its own, so that small differences between choices can be chance: take more draws."
    )


@checked
def sweep(
    plan: Plan, *, intermediates_hz: Iterable[int], towns: Mapping[str, StationList] | Iterable[StationList],
    sides: Iterable[str] = ("high", "low"), circuits: Iterable[int | None] = (None,), draws: int = 1, seed: int = 0,
    tracking_hz: int = 0, products: bool = False, goal: str | None = None, n_jobs: int | None = None,
    progress: Progress | None = None,
) -> Sweep:  # fmt: skip
    """Find which IF, oscillator side and number of tuned circuits serve many towns.

    Parameters
    ----------
    plan : Plan
        The receiver; IF, side and circuits are replaced by those swept.
    intermediates_hz : iterable of int [Hz]
        The IFs.
    towns : mapping of str to StationList, or iterable of StationList
        Who is on the air in each town; `load_towns` reads many.  Lists without a name are called after their file.
    sides : iterable of {"high", "low", "sum"}
        Sides of the oscillator.
    circuits : iterable of int or None
        Numbers of tuned circuits before the mixer, before and behind the RF stage together; None: as in the plan.
    draws : int
        Sets of each choice in each town.  The first is the nominal one; the others have their IF within the plan's
        tolerance and their front end within `tracking_hz`.
    seed : int
        Of the draws.
    tracking_hz : int [Hz]
        How far a front end may stand off, on either side.
    products : bool
        Whether sums of several stations count too; that takes some fifty times as long.
    goal : {"quiet"}, optional
        What to rank the choices by.
    n_jobs : int, optional
        Processes, where joblib is installed, as far as there are processors and work for them; by default what the
        backend in force (``joblib.parallel_config``) says, else one.
    progress : callable, optional
        Called after each batch with the number of sets computed and their number in all.

    Returns
    -------
    Sweep
        The same numbers whatever the order of the towns, the number of processes and the backend.  After an
        interruption from the keyboard it holds what was finished, and ``complete`` is false.

    Raises
    ------
    ModelRangeError
        A value out of range, more than `sweep_checks.MOST_TASKS` sets, no choice that is possible, or circuits asked of
        a plan that tells nothing of them.
    StationsError
        Two towns are called alike, or something is no station list.
    """
    every_if = distinct_hertz(intermediates_hz)
    sides, numbers = distinct_sides(sides), distinct_circuits(circuits)
    check_options(draws=draws, seed=seed, goal=goal)
    check_jobs(n_jobs)
    check_front_end(plan, numbers, tracking_hz)
    named = named_towns(towns)
    check_size(len(every_if) * len(sides) * len(numbers) * draws, len(named))
    chosen = [Choice(hertz, side, number) for hertz in every_if for side in sides for number in numbers]
    tunings = {choice.tuning: choice for choice in chosen}
    why_not = {
        one: "; ".join(dict.fromkeys(choice.obstacles(plan, tracking_hz))) for one, choice in tunings.items()
    }
    possible = tuple(choice for choice in chosen if not why_not[choice.tuning])
    left_out = tuple(
        f"{hertz_text(one.intermediate_hz)} {one.side} ({why})" for one, why in why_not.items() if why
    )
    if not possible:
        raise ModelRangeError(f"no choice is possible: {left_out[0]}")
    work = Workload(plan, possible, named, draws, seed, tracking_hz, products)
    rows = computed(work, n_jobs=n_jobs, progress=progress)
    return Sweep(plan, work=work, rows=rows, goal=goal, left_out=left_out)
