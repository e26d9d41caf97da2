"""What a sweep refuses before it starts."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, TypeVar

from freqplan.errors import ModelRangeError, shortened
from freqplan.hertz import quoted, whole_hertz
from freqplan.sweep_choices import SIDES

if TYPE_CHECKING:
    from freqplan.plan import Plan

Item = TypeVar("Item")

MOST_TASKS = 1_000_000
MOST_CIRCUITS = 20

QUIET = "quiet"
GOALS = (QUIET,)


def check_options(*, draws: int, seed: int, goal: str | None) -> None:
    """Refuse numbers and goals that there are not, by a `ModelRangeError`."""
    if draws < 1:
        raise ModelRangeError(f"{draws} draws: at least 1 is needed, the nominal set")
    if seed < 0:
        raise ModelRangeError(f"seed {seed}: give a whole number, 0 or more")
    if goal is not None and goal not in GOALS:
        raise ModelRangeError(f"goal {quoted(str(goal))}: there is {', '.join(GOALS)}")


def check_jobs(n_jobs: int | None) -> None:
    """Refuse what is no number of processes, by a `ModelRangeError`; None leaves it to the backend."""
    if n_jobs is not None and n_jobs < 1:
        raise ModelRangeError(f"jobs {n_jobs}: give how many processes, a whole number from 1")


def check_front_end(plan: Plan, numbers: tuple[int | None, ...], tracking_hz: int) -> None:
    """Refuse to change circuits of which the plan tells nothing, by a `ModelRangeError`."""
    own, asked = plan.front_end, [number for number in numbers if number is not None]
    if whole_hertz(tracking_hz, "tracking") < 0:
        raise ModelRangeError(f"tracking {tracking_hz} Hz: give 0 or more")
    if not asked and not tracking_hz:
        return
    if own is None or own.response is not None:
        why = "has no [front_end]" if own is None else "has a measured front end"
        what = "numbers of circuits" if asked else "a front end that stands off"
        raise ModelRangeError(f"the plan {why}: {what} cannot be tried; give circuits and loaded_q there")
    if any(asked) and own.loaded_q is None:
        raise ModelRangeError("numbers of circuits need loaded_q in the [front_end] of the plan")


def distinct_hertz(values: Iterable[int]) -> tuple[int, ...]:
    """Return the IFs [Hz], each once, or refuse what is none and far too many by a `ModelRangeError`."""
    found: dict[int, None] = {}
    for value in several(values, "intermediates_hz"):
        found[whole_hertz(value, "intermediate frequency")] = None
        if len(found) > MOST_TASKS:
            raise ModelRangeError(f"more than {MOST_TASKS:,} IFs: take a wider step")
    return tuple(found)


def distinct_sides(values: Iterable[str]) -> tuple[str, ...]:
    """Return the sides, each once, or refuse what is none by a `ModelRangeError`."""
    sides = tuple(several(values, "sides"))
    for side in sides:
        if side not in SIDES:
            raise ModelRangeError(f"oscillator side {quoted(str(side))}: give {', '.join(SIDES)}")
    return tuple(dict.fromkeys(sides))


def distinct_circuits(values: Iterable[int | None]) -> tuple[int | None, ...]:
    """Return the numbers of circuits, each once, or refuse what is none by a `ModelRangeError`."""
    numbers = tuple(several(values, "circuits"))
    for number in numbers:
        if number is not None and (not isinstance(number, int) or not 0 <= number <= MOST_CIRCUITS):
            raise ModelRangeError(f"{shortened(str(number))} circuits: give 0 to {MOST_CIRCUITS}")
    return tuple(dict.fromkeys(numbers))


def several(values: Iterable[Item], name: str) -> Iterable[Item]:
    """Return several values as they are; refuse a single one by a `ModelRangeError`."""
    if isinstance(values, Iterable) and not isinstance(values, str):
        return values
    raise ModelRangeError(
        f"{name} {shortened(repr(values))}: give a list, such as [{shortened(repr(values))}]"
    )


def check_size(sets_each: int, towns: int) -> None:
    """Refuse to compute nothing, or more than `MOST_TASKS` sets, by a `ModelRangeError`."""
    if not towns:
        raise ModelRangeError("no town: give at least one station list")
    if not sets_each:
        raise ModelRangeError("nothing to compute: give at least one IF, one side and one number of circuits")
    if sets_each * towns > MOST_TASKS:
        raise ModelRangeError(
            f"{sets_each * towns:,} sets, more than {MOST_TASKS:,}: take a wider step, fewer towns or fewer draws"
        )
