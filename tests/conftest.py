"""Settings for every test: hypothesis draws the same examples on each run, so that a failure can be repeated."""

from __future__ import annotations

from hypothesis import HealthCheck, settings
from thoroughness import examples

settings.register_profile(
    "repeatable",
    derandomize=True,
    deadline=None,
    max_examples=examples(40),
    # Plans are drawn from many small choices; how long that takes says nothing about the program.
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
)
settings.load_profile("repeatable")
