"""How many examples a property is tried on: a third of what is named, or all with FREQPLAN_THOROUGH=1."""

from __future__ import annotations

import os

THOROUGH = os.environ.get("FREQPLAN_THOROUGH") == "1"
SHARE, FEWEST = 3, 8


def examples(count: int) -> int:
    """Return how many of `count` examples are tried in this run."""
    return count if THOROUGH else max(count // SHARE, min(count, FEWEST))
