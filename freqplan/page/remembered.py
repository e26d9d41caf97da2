"""Results kept for a while in memory, and a bound on how many are computed at once."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable, Iterator
from contextlib import contextmanager
from typing import Any, TypeVar

SEATS = 4
"""Results in the making at once; all other threads answer what needs no computing."""

PATIENCE_S = 10.0
"""How long a question waits for a seat, or for another that asks the same, before it is told to come back."""

MOST_WEIGHT = 20
"""How much is kept: a result without stations weighs one."""

STATIONS_PER_WEIGHT = 50
Kept = TypeVar("Kept")


class BusyError(Exception):
    """A question has to come back: too much is being computed just now."""


class _Slot:
    """One result, and who computes it."""

    def __init__(self) -> None:
        self.lock = threading.Lock()
        self.result: Any = None
        self.weight = 0


class Remembered:
    """Results by what was asked, those used least lately going first; safe among threads.

    Parameters
    ----------
    most_weight : int
        How much is kept.
    seats : int
        How many are in the making at once.
    patience_s : float [s]
        How long a question waits.
    """

    def __init__(
        self, *, most_weight: int = MOST_WEIGHT, seats: int = SEATS, patience_s: float = PATIENCE_S
    ) -> None:
        self._most_weight, self._patience_s = most_weight, patience_s
        self._seats = threading.BoundedSemaphore(seats)
        self._slots: OrderedDict[Hashable, _Slot] = OrderedDict()
        self._lock = threading.Lock()

    @contextmanager
    def kept(self, key: Hashable, compute: Callable[[], Kept]) -> Iterator[Kept]:
        """Compute a result or take the one kept; while it is in use no other thread touches it.

        Raises
        ------
        BusyError
            Others have been computing for as long as this question waits.
        """
        with self._taking(self._seats), self._taking((slot := self._slot(key)).lock):
            if slot.result is None:
                self._fill(slot, key, compute)
            try:
                yield slot.result
            finally:
                self._weigh(slot)

    def _fill(self, slot: _Slot, key: Hashable, compute: Callable[[], object]) -> None:
        try:
            slot.result = compute()
        except BaseException:
            with self._lock:
                self._slots.pop(key, None)
            raise

    @contextmanager
    def _taking(self, thing: threading.Lock | threading.BoundedSemaphore) -> Iterator[None]:
        if not thing.acquire(timeout=self._patience_s):
            raise BusyError
        try:
            yield
        finally:
            thing.release()

    def _slot(self, key: Hashable) -> _Slot:
        with self._lock:
            slot = self._slots.setdefault(key, _Slot())
            self._slots.move_to_end(key)
            return slot

    def _weigh(self, slot: _Slot) -> None:
        """Weigh a result that was computed, and let the oldest ones go."""
        stations = getattr(slot.result, "stations", None)
        slot.weight = 1 + (0 if stations is None else len(stations)) // STATIONS_PER_WEIGHT
        with self._lock:
            while (
                len(self._slots) > 1 and sum(one.weight for one in self._slots.values()) > self._most_weight
            ):
                self._slots.popitem(last=False)
