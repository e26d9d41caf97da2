"""What is wrong with something, as lines for a page."""

from __future__ import annotations

from freqplan.errors import FreqplanError, InputError

MOST_FAULTS = 50
"""Told one by one; of more, the rest is counted."""


def faults_of(error: FreqplanError) -> tuple[str, ...]:
    """Return what is wrong, a line each, with its place."""
    if not isinstance(error, InputError):
        return (str(error),)
    told = tuple(map(str, error.faults[:MOST_FAULTS]))
    left = len(error.faults) - len(told)
    return (*told, f"and {left} more") if left else told
