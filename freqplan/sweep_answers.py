"""The answer of a sweep in sentences: which choices serve all towns, and how far that can be said."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from freqplan.batches import Workload
from freqplan.levels import levels_of
from freqplan.sweep_tables import Standing, places

MOST_NAMED = 12
"""Choices named in a sentence."""


def answer(work: Workload, rows: np.ndarray) -> Iterator[str]:
    """Yield which choices serve all towns; rows (t, c, d) `batches.ROW` by town, choice and draw."""
    standing, done = places(work, rows), rows["done"]
    if not done.all():
        yield _how_far(standing, int(done.sum()), done.size)
    if not standing.whole.any():
        return
    if levels_of(work.plan) is None:
        yield (
            "The plan has no [front_end], so no level is known: nothing is called quiet, and only harmonics of the IF "
            "count as affecting."
        )
    if standing.fit.any():
        yield from _best(work, standing)
    if inside := np.flatnonzero(standing.in_band).tolist():
        yield (
            "Not called quiet, for the IF lies inside the tuned band or within half its filter of it, and what is "
            f"received there passes the mixer at every dial setting: {_named(work, inside)}."
        )


def _how_far(standing: Standing, done: int, total: int) -> str:
    told = f"Stopped before the end: {done} of {total} sets are computed."
    whole, asked = int(standing.whole.sum()), len(standing.whole)
    if not whole:
        return f"{told} No choice has all of its sets in every town, so nothing can be said of all towns."
    return (
        f"{told} {whole} of {counted(asked, 'choice')} have all of their sets; the answer is of these alone."
    )


def _best(work: Workload, standing: Standing) -> Iterator[str]:
    fit, affected = standing.fit, standing.affected
    known = levels_of(work.plan) is not None
    best = np.flatnonzero(fit & (standing.place == standing.place[fit].min()))
    quiet = np.flatnonzero(fit & (affected == 0) & known)
    finished = "" if standing.whole.all() else "finished "
    if len(quiet):
        yield f"Every town stays quiet with {len(quiet)} of the {finished}choices: {_named(work, quiet.tolist())}."
    else:
        none = f"With no {finished}choice does every town stay quiet. " if known else ""
        yield (
            f"{none}Fewest listed stations affected by the worst set in the worst town, "
            f"{counted(int(affected[best[0]]), 'station')}: {_named(work, best.tolist())}."
        )
    open_there = int(standing.unknown[quiet if len(quiet) else best].max())
    if open_there:
        yield (
            f"With these, something of unknown level lands on up to {counted(open_there, 'further station')} of a "
            "town."
        )


def _named(work: Workload, which: list[int]) -> str:
    said = [work.choices[place].in_words for place in which[:MOST_NAMED]]
    more = f"; and {len(which) - MOST_NAMED} more" if len(which) > MOST_NAMED else ""
    return "; ".join(said) + more


def counted(number: int, what: str) -> str:
    """Return a number with what is counted, such as ``2 towns``."""
    return f"{number} {what}{'' if number == 1 else 's'}"
