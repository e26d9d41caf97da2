"""How much is tried: a third of what properties and long lists of cases name, or all with FREQPLAN_THOROUGH=1."""

from __future__ import annotations

import os
from collections.abc import Iterable
from typing import TypeVar

Case = TypeVar("Case")

THOROUGH = os.environ.get("FREQPLAN_THOROUGH") == "1"
SHARE, FEWEST = 3, 8


def examples(count: int) -> int:
    """Return how many of `count` examples are tried in this run."""
    return count if THOROUGH else max(count // SHARE, min(count, FEWEST))


def some(cases: Iterable[Case]) -> list[Case]:
    """Return every third of cases that differ in the set or the row only, and take long, or all of them."""
    return list(cases)[:: 1 if THOROUGH else SHARE]
