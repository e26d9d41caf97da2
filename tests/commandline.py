"""Runs the command line as its user does, in this process or in one of its own."""

from __future__ import annotations

import io
import os
import signal
import subprocess
import sys
from pathlib import Path
from typing import NamedTuple

import pytest

from freqplan.cli import main

ROOT = Path(__file__).resolve().parents[1]
DEMO = ROOT / "plans_demo"

FM = """\
title = "Kitchen set"

[band]
low = "87.5 MHz"
high = "108 MHz"

[[conversion]]
intermediate = "10.7 MHz"
oscillator = "high"
"""

AM = """\
title = "Parlour set"

[band]
low = "526.5 kHz"
high = "1606.5 kHz"
first_channel = "531 kHz"
modulation = "am"

[[conversion]]
intermediate = "455 kHz"
tolerance = "2 kHz"
oscillator = "high"
"""

UNKNOWN_SIDE = FM.replace('oscillator = "high"\n', "")

STATIONS = """\
name,frequency_mhz,level_dbuv
Lower Fen,90.5,60
Mill Lane,96.3,55
High Moor,101.2,80
Approach,119.4,42
"""


class Answer(NamedTuple):
    """What a command did."""

    code: int
    out: str
    err: str


def call(*words: str) -> Answer:
    """Run a command in this process; standard input and the folder are those of the moment."""
    # Streams of bytes, as a process has them, so that encodings and line ends are those of the program.
    streams = [io.TextIOWrapper(io.BytesIO(), encoding="utf-8", newline="") for _ in ("out", "err")]
    code = 0
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(sys, "argv", ["freqplan", *words])
        patch.setattr(sys, "stdout", streams[0])
        patch.setattr(sys, "stderr", streams[1])
        try:
            main()
        except SystemExit as end:
            code = 1 if isinstance(end.code, str) else end.code or 0
    for stream in streams:
        stream.flush()
    out, err = (stream.buffer.getvalue().decode("utf-8") for stream in streams)
    return Answer(code, out, err)


def process(
    *words: str, stdin: bytes | None = None, **environment: str
) -> subprocess.CompletedProcess[bytes]:
    """Run a command in a process of its own, in the project's folder."""
    return subprocess.run(
        [sys.executable, "-m", "freqplan", *words],
        input=stdin,
        stdin=subprocess.DEVNULL if stdin is None else None,
        capture_output=True,
        cwd=ROOT,
        env={**os.environ, **environment},
        timeout=60,
        check=False,
    )


def interruptible() -> None:
    """Let Ctrl-C through, in a new process: a shell starts its jobs in the background with that signal ignored."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)


def refused(answer: Answer, *parts: str) -> None:
    """Assert exit code 2, nothing on standard output, no traceback, and these words on standard error."""
    assert answer.code == 2
    assert answer.out == ""
    assert "Traceback" not in answer.err
    assert answer.err.endswith("\n")
    for part in parts:
        assert part in answer.err


def write_inputs(folder: Path) -> None:
    """Write the plans and the station list above into a folder."""
    inputs = {"fm.toml": FM, "am.toml": AM, "unknown.toml": UNKNOWN_SIDE, "town.csv": STATIONS}
    for name, text in inputs.items():
        (folder / name).write_text(text, encoding="utf-8")
