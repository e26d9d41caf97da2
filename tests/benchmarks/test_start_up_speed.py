"""Whole processes from start to end, against the libraries that they cannot do without."""

from __future__ import annotations

import statistics
import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
RUNS = 21
PLAN, STATIONS = "plans_demo/pantry.toml", "plans_demo/orvessa.csv"
PROGRAM = (sys.executable, "-m", "freqplan")

PROCESSES = {
    "import click": (sys.executable, "-c", "import click"),
    "import numpy": (sys.executable, "-c", "import numpy"),
    "--help": (*PROGRAM, "--help"),
    "survey": (*PROGRAM, "survey", PLAN),
    "survey with 80 stations": (*PROGRAM, "survey", PLAN, "--stations", STATIONS),
    "channel": (*PROGRAM, "channel", PLAN, "98.1 MHz"),
}
AGAINST = {
    "--help": "import click",
    "survey": "import numpy",
    "survey with 80 stations": "import numpy",
    "channel": "import numpy",
}


def seconds(command):
    start = time.perf_counter()
    subprocess.run(command, cwd=ROOT, stdout=subprocess.DEVNULL, check=True, timeout=60)
    return time.perf_counter() - start


def test_start_up():
    # Turn about, so that a busy moment of the machine strikes all of them alike; the first round warms the disk.
    rounds = [{name: seconds(command) for name, command in PROCESSES.items()} for _ in range(RUNS + 1)][1:]
    medians = {name: statistics.median(one[name] for one in rounds) for name in PROCESSES}
    print(f"\nWhole processes, medians of {RUNS}")
    for name, other in AGAINST.items():
        ratio = medians[name] / medians[other]
        print(
            f"  {name}: {1e3 * medians[name]:.0f} ms, {ratio:.2f} times `{other}` ({1e3 * medians[other]:.0f} ms)"
        )
    assert medians["--help"] < 2 * medians["import click"]
    assert medians["survey"] < 6 * medians["import numpy"]
