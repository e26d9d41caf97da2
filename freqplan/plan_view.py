"""A plan of which some values may be missing, as the checks across its fields look at it."""

from __future__ import annotations


class View:
    """A plan of which some values may be missing."""

    def __init__(self, plan: object) -> None:
        self.plan = plan

    def at(self, *path: str | int) -> object:
        """Return the value at `path` of attribute names and indices, or None."""
        value: object = self.plan
        for step in path:
            if isinstance(step, str):
                value = getattr(value, step, None)
            else:
                value = value[step] if isinstance(value, tuple) and step < len(value) else None
        return value

    def whole(self, *path: str | int) -> int | None:
        """Return the whole number at `path`, or None."""
        value = self.at(*path)
        return value if isinstance(value, int) else None

    def is_given(self, *path: str) -> bool:
        """Return whether the table or value at `path` was written, not taken by default."""
        return path[-1] in getattr(self.at(*path[:-1]), "model_fields_set", ())

    def count(self, *path: str | int) -> int:
        """Return how many there are at `path`."""
        value = self.at(*path)
        return len(value) if isinstance(value, tuple) else 0

    @property
    def band(self) -> tuple[int, int] | None:
        """The ends of the band, the lower one first, where both are known."""
        low, high = self.whole("band", "low_hz"), self.whole("band", "high_hz")
        return None if low is None or high is None else (min(low, high), max(low, high))
