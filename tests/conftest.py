"""Settings for every test: hypothesis draws the same examples on each run, and what takes long comes first."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, settings
from thoroughness import examples

SLOW = (
    "test_diagnosis_cases", "test_page_views", "test_page_browser", "test_report_in_print", "test_page_forms_browser",
    "test_dial_strip", "test_heard_order", "test_spectrum", "test_start_up", "test_sounds", "test_report",
    "test_notebook", "test_benches", "test_page_serving", "test_docs", "test_lessons", "test_bench_tests",
)  # fmt: skip
"""Files that take longest: begun last, one of them would keep one processor busy while the others wait."""

settings.register_profile(
    "repeatable",
    derandomize=True,
    deadline=None,
    max_examples=examples(40),
    # Plans are drawn from many small choices; how long that takes says nothing about the program.
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
)
settings.load_profile("repeatable")


def pytest_configure(config: pytest.Config) -> None:
    """Keep pytest-xdist from putting the files with most tests first; not an option, which runs without it refuse."""
    config.option.loadscopereorder = False


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Put the files that take longest first, the others behind them in their order."""
    place = {name: at for at, name in enumerate(SLOW)}
    items.sort(key=lambda item: place.get(item.path.stem, len(SLOW)))
