"""Parts of a range: put together without overlap, and how much of one they cover; exact."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction
from typing import TypeAlias

Span: TypeAlias = "tuple[Fraction | int, Fraction | int]"


def merged(spans: Iterable[Span]) -> tuple[Span, ...]:
    """Return the parts that spans cover together, rising and apart; those that touch become one [Hz]."""
    parts: list[Span] = []
    for low, high in sorted(spans):
        if parts and low <= parts[-1][1]:
            parts[-1] = (parts[-1][0], max(parts[-1][1], high))
        else:
            parts.append((low, high))
    return tuple(parts)


def width(parts: Sequence[Span]) -> Fraction:
    """Return how wide parts that lie apart are together [Hz]."""
    return sum((Fraction(high - low) for low, high in parts), Fraction(0))


def shared(spans: Iterable[Span], low_hz: Fraction | int, high_hz: Fraction | int) -> Fraction:
    """Return how much of a range spans cover [Hz], each hertz once however many of them hold it."""
    clipped = ((max(low, low_hz), min(high, high_hz)) for low, high in spans)
    return width(merged((low, high) for low, high in clipped if low < high))
