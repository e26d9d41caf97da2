"""What is mutated together, and by which tests: exact ones, all of a group within seconds."""

from __future__ import annotations

from typing import NamedTuple


class Group(NamedTuple):
    """Source files below freqplan/ (patterns), and what judges them: test files, or ``file::test``."""

    sources: tuple[str, ...]
    tests: tuple[str, ...]


GROUPS = {
    "hertz": Group(
        ("hertz.py",),
        ("test_hertz", "test_plan", "test_decibel", "test_scale", "test_published", "test_services"),
    ),
    "mixing": Group(("mixing.py",), ("test_mixing", "test_laws", "test_published")),
    "reach": Group(("reach.py",), ("test_reach", "test_laws")),
    "spans": Group(("spans.py",), ("test_compare_full::test_merged_parts_hold_the_same_points",)),
    "if_edges": Group(("if_edges.py",), ("test_if_ranges", "test_if_ranges_laws")),
    "if_choices": Group(("if_choices.py",), ("test_if_ranges", "test_if_ranges_laws")),
    "tones": Group(("tones.py",), ("test_tones", "test_judge_tones")),
    "whistles": Group(("whistles.py",), ("test_whistles",)),
}
