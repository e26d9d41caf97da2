"""Questions far beyond any set are answered or refused within bounded memory, in processes that have no more."""

from __future__ import annotations

import os
import resource
import subprocess
import sys

import pytest
from commandline import DEMO, ROOT, call, refused
from thoroughness import some

from freqplan import StationList, channel, survey
from freqplan.errors import ModelRangeError
from freqplan.plan import Band, Conversion, Plan
from freqplan.products import MOST_STATIONS

MOST_BYTES = 2 * 2**30
"""Address space of a process, libraries included."""

FINE = """\
[band]
low = "100 MHz"
high = "200 MHz"
raster = "1 Hz"
[[conversion]]
intermediate = "10.7 MHz"
[orders]
signal = 25
oscillator = 25
if_harmonic = 100
"""
FRONT_END = """\
[front_end]
circuits_before_mixer = 2
loaded_q = 40
gain = "20 dB"
[mixer]
kind = "exponential"
oscillator_drive = 4
"""
CLOCKS = "".join(f'[[clock]]\nname = "c{i}"\nfrequency = "{32_768 + 9 * i} Hz"\n' for i in range(64))


@pytest.fixture
def folder(tmp_path):
    plans = {"fine": FINE, "levels": FINE + FRONT_END, "clocks": FINE.replace('"1 Hz"', '"100 kHz"') + CLOCKS}
    for name, text in plans.items():
        (tmp_path / f"{name}.toml").write_text(text, encoding="utf-8")
    return tmp_path


def bounded(folder, *words: str) -> subprocess.CompletedProcess[str]:
    """Run a command in a process that has no more memory than `MOST_BYTES`."""
    return subprocess.run(
        [sys.executable, "-m", "freqplan", *words],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(ROOT), "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"},
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_AS, (MOST_BYTES, MOST_BYTES)),
        capture_output=True,
        text=True,
        timeout=100,
        check=False,
    )


TOWN = ("--stations", str(DEMO / "orvessa.csv"))


@pytest.mark.parametrize(
    "words",
    some(
        [
            ("survey", "fine.toml"),
            ("channel", "levels.toml", "150 MHz", *TOWN),
            ("sweep", "fine.toml", "--towns", str(DEMO / "valley.csv")),
            ("chart", "fine.toml", "response-map", "-o", "map.svg"),
            ("report", "fine.toml", "-o", "report.html", "--limit", "3"),
            ("exercise", "fine.toml", "--level", "3"),
            ("sound", "fine.toml", "--mechanism", "image", "--seconds", "1", "-o", "s.wav"),
            ("lesson", "fine.toml", "image"),
            ("diagnose", "fine.toml", str(DEMO / "pantry-heard.toml"), *TOWN),
            ("dial", "fine.toml", str(DEMO / "loft-readings.csv")),
            ("receivers", "fine.toml", "levels.toml", *TOWN),
            ("survey", "clocks.toml", "--orders", "1,1"),
        ]
    ),
    ids=lambda words: f"{words[0]} {words[1]}",
)
def test_an_exorbitant_plan_is_answered_in_bounded_memory(words, folder):
    done = bounded(folder, *words)
    assert (done.returncode, "Traceback" in done.stderr) == (0, False), done.stderr[-500:]
    assert "memory" not in done.stderr


@pytest.mark.parametrize("command", ["survey", "circuits"])
def test_what_hits_too_many_channels_is_refused_before_it_fills_the_memory(command, folder):
    done = bounded(folder, command, "levels.toml", *TOWN)
    assert done.returncode == 2
    assert "a wider raster is needed" in done.stderr


def test_more_stations_than_can_be_weighed_against_each_other_are_refused():
    plan = Plan(
        band=Band(low_hz=87_500_000, high_hz=108_000_000),
        conversion=(Conversion(intermediate_hz=10_700_000, oscillator="high"),),
    )
    crowd = StationList.from_frequencies(range(87_500_000, 87_500_000 + 1000 * (MOST_STATIONS + 1), 1000))
    for ask in (lambda: survey(plan, crowd), lambda: channel(plan, 98_100_000, crowd)):
        with pytest.raises(ModelRangeError, match=r"3001 stations, more than 3000.*: cut the list down"):
            _ = ask().products


def test_memory_that_runs_out_is_told_in_one_line(folder, monkeypatch):
    def full(*_, **__):
        raise MemoryError

    monkeypatch.setattr("freqplan.planfile.load_plan", full)
    answer = call("survey", "any.toml")
    refused(answer, "freqplan: not enough memory for this")
    assert answer.err.count("\n") == 1
