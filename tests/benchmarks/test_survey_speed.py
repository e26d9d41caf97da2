"""The survey against what one would write instead, all in one run; the ratios are what counts.

``pytest tests/benchmarks -s``
"""

from __future__ import annotations

import statistics
import subprocess
import sys
from pathlib import Path

import pytest
from by_hand import (
    FIRST_CALLS,
    hits_by_grid,
    hits_by_loops,
    program_hits,
    program_plan,
    program_tables,
    ranges_by_grid,
    ranges_by_loops,
    town,
)

from freqplan import StationList, survey

HITS = 190
"""Hits of the 80 stations of `town`: counted by the loops, which share nothing with the program."""

COLD_RUNS = 9
MEDIANS: dict[str, float] = {}


def as_hits(table):
    rows = table.rows()
    # A station on the oscillator is no sum e(n fL - m fX) = fI, and neither the loops nor the grid look for it.
    return sorted(
        (int(r["channel_hz"]), int(r["station_hz"]), r["m"], r["n"], r["e"])
        for r in rows
        if r["m"] is not None
    )


def as_ranges(result):
    return {(r["m"], r["n"], r["e"]): (r["low_hz"], r["high_hz"]) for r in result.responses.rows()}


def timed(benchmark, name, call, rounds):
    result = benchmark.pedantic(call, rounds=rounds, warmup_rounds=1)
    MEDIANS[name] = benchmark.stats.stats.median
    return result


def test_program(benchmark):
    plan, stations = program_plan(), StationList.from_frequencies(town())
    assert len(as_hits(timed(benchmark, "program", lambda: program_hits(plan, stations), 50))) == HITS


def test_program_with_every_table(benchmark):
    plan, stations = program_plan(), StationList.from_frequencies(town())
    call = lambda: program_tables(plan, stations)  # noqa: E731
    assert len(as_hits(timed(benchmark, "program with every table", call, 50))) == HITS


def test_program_with_its_check_list(benchmark):
    plan, stations = program_plan(), StationList.from_frequencies(town())
    call = lambda: survey(plan, stations).check_list  # noqa: E731
    assert len(timed(benchmark, "program with its check list", call, 20)) > 0


def test_loops(benchmark):
    assert len(timed(benchmark, "loops", lambda: hits_by_loops(town()), 3)) == HITS


def test_grid(benchmark):
    assert len(timed(benchmark, "grid", lambda: hits_by_grid(town()), 10)) == HITS


def test_program_without_stations(benchmark):
    plan = program_plan()
    assert timed(benchmark, "program without stations", lambda: program_tables(plan), 50)[-1] is None


def test_loops_without_stations(benchmark):
    assert timed(benchmark, "loops without stations", ranges_by_loops, 10)


def test_grid_without_stations(benchmark):
    assert timed(benchmark, "grid without stations", ranges_by_grid, 50)


def test_all_three_find_the_same():
    found = as_hits(program_hits(program_plan(), StationList.from_frequencies(town())))
    assert found == sorted(hits_by_loops(town())) == sorted(hits_by_grid(town()))
    assert as_ranges(survey(program_plan())) == ranges_by_loops() == ranges_by_grid()


def show(title, seconds):
    """Print the ratios, and assert that the program is the faster one."""
    print(f"\n{title}")
    for suffix in ("", " without stations"):
        own = seconds[f"program{suffix}"]
        print(f"  program{suffix}: {1e3 * own:.2f} ms")
        for other in ("loops", "grid"):
            ratio = seconds[f"{other}{suffix}"] / own
            print(
                f"  {other}{suffix}: {1e3 * seconds[f'{other}{suffix}']:.2f} ms, {ratio:.1f} times the program"
            )


def test_ratios():
    if len(MEDIANS) < 8:
        pytest.fail("run the whole file: ratios are of figures measured in one run")
    show("Warm, medians", MEDIANS)
    for name in ("program with every table", "program with its check list"):
        print(f"  {name}: {1e3 * MEDIANS[name]:.2f} ms, loops {MEDIANS['loops'] / MEDIANS[name]:.1f} times")
    assert MEDIANS["loops"] > MEDIANS["grid"] > MEDIANS["program"]


def test_first_calls_in_fresh_processes():
    script = Path(__file__).with_name("by_hand.py")
    seconds = {name: [] for name in FIRST_CALLS}
    for _ in range(COLD_RUNS):
        for name, runs in seconds.items():
            done = subprocess.run([sys.executable, script, name], capture_output=True, check=True, timeout=60)
            runs.append(float(done.stdout))
    medians = {name: statistics.median(runs) for name, runs in seconds.items()}
    show("First call of a fresh process, imports left out, medians", medians)
    assert medians["loops"] > medians["program"]
    assert medians["grid"] > medians["program"]
