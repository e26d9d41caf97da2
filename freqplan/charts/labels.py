"""Labels along an axis: pushed apart where they would overlap, or left out where there is no room."""

from __future__ import annotations

from bisect import bisect_left, insort
from collections.abc import Sequence


def spread(places: Sequence[float], *, gap: float, low: float, high: float) -> list[float]:
    """Move labels apart along an axis, as little as can be.

    Parameters
    ----------
    places : sequence of float
        Where each label would stand best, in any order and any unit of length.
    gap : float
        Least distance between neighbours, in the same unit.
    low, high : float
        Ends of the axis; no label leaves it.

    Returns
    -------
    list of float
        A place for each, in the order given: along the axis the labels keep their order, equals that of the list.  The
        sum of the squares of all movements is the least possible.  Where there are too many for the gap they stand
        evenly from end to end.

    References
    ----------
    Least squares under an order, by pooling neighbours: Barlow, Bartholomew, Bremner & Brunk, Statistical Inference
    under Order Restrictions (1972), ch. 1.
    """
    if not places:
        return []
    room = high - low
    used = min(gap, room / (len(places) - 1)) if len(places) > 1 else gap
    rising = sorted(range(len(places)), key=places.__getitem__)
    # Less the gaps before them, places may be equal, but must not fall.
    level = _not_falling([places[index] - rank * used for rank, index in enumerate(rising)])
    last = max(low, high - used * (len(places) - 1))
    moved = [0.0] * len(places)
    for rank, (index, place) in enumerate(zip(rising, level, strict=True)):
        moved[index] = min(max(place, low), last) + rank * used
    return moved


def fits(places: Sequence[float], gap: float) -> list[int]:
    """Return which labels can stand where they belong without coming nearer than `gap` to one another.

    Parameters
    ----------
    places : sequence of float
        Where they stand, the most important first.
    gap : float
        Least distance between neighbours.

    Returns
    -------
    list of int
        Indices of those that are kept, the most important first; each takes its place from all after it.
    """
    kept: list[int] = []
    taken: list[float] = []
    for index, place in enumerate(places):
        after = bisect_left(taken, place)
        if all(abs(place - near) >= gap for near in taken[max(0, after - 1) : after + 1]):
            kept.append(index)
            insort(taken, place)
    return kept


def _not_falling(values: Sequence[float]) -> list[float]:
    """Return the sequence nearest to `values`, by least squares, that never falls."""
    pools: list[tuple[float, int]] = []
    for value in values:
        total, count = value, 1
        while pools and pools[-1][0] / pools[-1][1] > total / count:
            before, others = pools.pop()
            total, count = total + before, count + others
        pools.append((total, count))
    return [total / count for total, count in pools for _ in range(count)]
