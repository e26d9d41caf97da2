"""Many sets in many towns, in batches: by several processes where joblib is installed, else one after the other."""

from __future__ import annotations

import os
import signal
import sys
import threading
import time
import warnings
from collections.abc import Callable, Generator, Iterator
from contextlib import closing, suppress
from dataclasses import dataclass
from importlib.util import find_spec
from itertools import islice, product
from typing import TYPE_CHECKING

import numpy as np

from freqplan.scores import COUNTS, score
from freqplan.sweep_choices import Choice

if TYPE_CHECKING:
    from freqplan.plan import Plan
    from freqplan.stations import StationList

ROW = np.dtype(
    [
        ("done", np.bool_), ("real_hz", np.int64), ("detuning_hz", np.int64),
        *((name, np.int32) for name in COUNTS), ("margin_db", np.float64),
    ]
)  # fmt: skip
"""What is kept of one set in one town."""

BATCH_S = 0.3
"""So long one batch takes about: far more than sending it costs, and short enough to be stopped."""

FIRST_TASKS = 8
"""So many are computed here before anything is sent, to see how long one takes."""

SHORTEST_S = 0.001
"""A coarse clock may tell nothing at all."""

Progress = Callable[[int, int], None]
"""(sets computed, sets in all)"""


@dataclass(frozen=True)
class Task:
    """One set in one town."""

    choice: Choice
    town: str
    stations: StationList
    draw: int


@dataclass(frozen=True)
class Workload:
    """What is to be computed: every choice in every town, in each of some sets drawn.

    Attributes
    ----------
    plan : Plan
        The receiver.
    choices : tuple of Choice
        How it may be made.
    towns : dict of str to StationList
        Where it may play.
    draws : int
        Sets of each choice in each town, the nominal one first.
    seed : int
        Of the draws.
    tracking_hz : int [Hz]
        Within this the front end of a set drawn stands off, on either side.
    sums : bool
        Whether sums of several stations count too.
    """

    plan: Plan
    choices: tuple[Choice, ...]
    towns: dict[str, StationList]
    draws: int = 1
    seed: int = 0
    tracking_hz: int = 0
    sums: bool = False

    def __len__(self) -> int:
        return len(self.towns) * len(self.choices) * self.draws

    def tasks(self) -> Iterator[Task]:
        """Yield all tasks, town by town, so that a batch holds few station lists."""
        for (town, stations), choice, draw in product(self.towns.items(), self.choices, range(self.draws)):
            yield Task(choice, town, stations, draw)


@dataclass(frozen=True)
class Batch:
    """Some tasks and what they share; a station list that serves several of them is sent once."""

    plan: Plan
    seed: int
    tracking_hz: int
    sums: bool
    tasks: tuple[Task, ...]
    sender: int

    def rows(self) -> np.ndarray:
        """Return the rows of all tasks, (k,) `ROW`."""
        if os.getpid() != self.sender and threading.current_thread() is threading.main_thread():
            # Ctrl-C reaches every process of a terminal; whoever sent the batch ends the workers.
            signal.signal(signal.SIGINT, signal.SIG_IGN)
        return np.array([self._row(task) for task in self.tasks], dtype=ROW)

    def _row(self, task: Task) -> tuple[object, ...]:
        real = task.choice.drawn(
            self.plan, town=task.town, draw=task.draw, seed=self.seed, tracking_hz=self.tracking_hz
        )
        found = score(task.choice.made(self.plan, real), task.stations, sums=self.sums)
        counts = (getattr(found, name) for name in COUNTS)
        return (True, *real, *counts, found.margin_db)


def computed(work: Workload, *, n_jobs: int | None, progress: Progress | None) -> np.ndarray:
    """Compute a workload.

    Parameters
    ----------
    work : Workload
        What to compute.
    n_jobs : int, optional
        Processes, no more than there are batches and processors; None leaves that to the joblib backend in force.
    progress : callable, optional
        Called after each batch.

    Returns
    -------
    (t, c, d) `ROW`
        By town, choice and draw.  After an interruption from the keyboard ``done`` is false in the rest.
    """
    rows = np.zeros(len(work), dtype=ROW)
    at = 0
    # What is finished by an interruption is worth keeping: `done` says how far it goes.
    with suppress(KeyboardInterrupt), closing(_parts(work, n_jobs)) as parts:
        for part in parts:
            rows[at : at + len(part)] = part
            at += len(part)
            if progress is not None:
                progress(at, len(rows))
    rows.flags.writeable = False
    return rows.reshape(len(work.towns), len(work.choices), work.draws)


def _parts(work: Workload, n_jobs: int | None) -> Generator[np.ndarray]:
    tasks = work.tasks()
    sender = os.getpid()

    def batches(size: int) -> Iterator[Batch]:
        while some := tuple(islice(tasks, size)):
            yield Batch(work.plan, work.seed, work.tracking_hz, work.sums, some, sender)

    # The very first set loads and caches what all others find ready: it is no measure.
    for size in (1, FIRST_TASKS):
        started = time.perf_counter()
        yield from (batch.rows() for batch in islice(batches(size), 1))
    each_s = max(time.perf_counter() - started, SHORTEST_S) / FIRST_TASKS
    size = max(1, round(BATCH_S / each_s))
    yield from _sent(batches(size), _useful(n_jobs, -(-(len(work) - 1 - FIRST_TASKS) // size)))


def _useful(n_jobs: int | None, left: int) -> int | None:
    """Return how many of the processes asked for can be of use to the batches left, on this machine."""
    return None if n_jobs is None else max(1, min(n_jobs, left, os.cpu_count() or 1))


def _sent(batches: Iterator[Batch], n_jobs: int | None) -> Iterator[np.ndarray]:
    """Yield the rows of batches in their order, by the joblib backend in force where joblib is installed."""
    # Nobody who has not imported joblib can have chosen a backend.
    if not has_joblib() or (n_jobs is None and "joblib" not in sys.modules):
        yield from map(Batch.rows, batches)
        return
    from joblib import Parallel, delayed

    calls = (delayed(Batch.rows)(batch) for batch in batches)
    try:
        parallel = Parallel(n_jobs=n_jobs, batch_size=1, return_as="generator")
    except ValueError:  # a backend that gives everything at the end
        parallel = Parallel(n_jobs=n_jobs, batch_size=1)
    with warnings.catch_warnings():
        # Of an interruption more is said than that some calls were in vain.
        warnings.filterwarnings("ignore", r"\d+ tasks (have been|which were)", UserWarning)
        yield from parallel(calls)


def has_joblib() -> bool:
    """Return whether several processes can be used; joblib is not loaded by asking."""
    if "joblib" in sys.modules:
        return sys.modules["joblib"] is not None
    return find_spec("joblib") is not None
