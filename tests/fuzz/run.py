"""Feed hostile bytes to every reader: python tests/fuzz/run.py --inputs 1000000 --seconds 60 [reader ...].

With atheris installed it is guided by coverage, else inputs are damaged at random.  Each reader runs in a
process of its own; what it should not do is printed with its input, and ends the run with exit code 1.
"""

from __future__ import annotations

import argparse
import collections
import contextlib
import os
import random
import signal
import subprocess
import sys
import tempfile
import time
import traceback
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

SLOW_S = 2.0
"""Seconds of processor time for one input; more is a fault."""

HANG_S = 60
"""Seconds by the clock after which an input is given up, on a machine that has other work as well."""

MOST_MB = 2048

MOST_TOLD = 4000
"""Signs of what the fuzzer itself says where it has stopped."""


class Account:
    """Counts inputs and keeps what came out of a reader that should not, one input for each place in the code."""

    def __init__(self, name: str) -> None:
        from fuzz.readers import READERS

        self.reader = READERS[name]
        self.begun = time.monotonic()
        self.inputs = self.read = 0
        self.slowest_s = 0.0
        self.wrong: collections.Counter[str] = collections.Counter()

    def take(self, data: bytes) -> None:
        """Feed one input to the reader."""
        from fuzz.readers import checked

        self.inputs += 1
        begun = time.process_time()
        try:
            self.read += checked(self.reader, data)
        except Exception as error:
            frame = traceback.extract_tb(error.__traceback__)[-1]
            self._note(
                f"{type(error).__name__} at {Path(frame.filename).name}:{frame.lineno}", str(error), data
            )
        took = time.process_time() - begun
        self.slowest_s = max(self.slowest_s, took)
        if took > SLOW_S:
            self._note("slow", f"{took:.1f} s", data)

    def _note(self, place: str, what: str, data: bytes) -> None:
        self.wrong[place] += 1
        if self.wrong[place] == 1:
            print(f"{place}: {what}\n  by {data!r}", flush=True)

    def told(self, name: str) -> str:
        """Return the figures as one row of a table."""
        seconds = time.monotonic() - self.begun
        wrong = sum(self.wrong.values())
        return (
            f"| {name} | {self.inputs:,} | {self.read:,} | {seconds:.0f} | {self.slowest_s:.2f} | {wrong} |"
        )


def _by_coverage(name: str, inputs: int, seconds: int) -> None:
    import atheris

    with atheris.instrument_imports(include=["freqplan", "tomllib", "csv"]):
        account = Account(name)

    def take(data: bytes) -> None:
        account.take(data)
        # libFuzzer ends the process itself, so the last word is said here.
        if account.inputs >= inputs or time.monotonic() - account.begun >= seconds:
            _end(account, name)

    with tempfile.TemporaryDirectory() as folder:
        for index, seed in enumerate(account.reader.seeds):
            Path(folder, f"seed-{index}").write_bytes(seed)
        options = (
            f"-timeout={HANG_S}",
            f"-rss_limit_mb={MOST_MB}",
            f"-max_len={account.reader.longest}",
            f"-artifact_prefix={tempfile.gettempdir()}/",
            "-verbosity=0",
        )
        atheris.Setup([sys.argv[0], *options, folder], take)
        atheris.Fuzz()


def _at_random(name: str, inputs: int, seconds: int) -> None:
    from fuzz.mutation import mutated

    account = Account(name)
    for data in mutated(account.reader.seeds, account.reader.longest, random.Random(name)):
        signal.alarm(HANG_S)
        account.take(data)
        if account.inputs >= inputs or time.monotonic() - account.begun >= seconds:
            _end(account, name)


def _end(account: Account, name: str) -> None:
    print(account.told(name), flush=True)
    sys.stderr.flush()
    os._exit(1 if account.wrong else 0)


def main() -> int:
    """Run every reader asked for, each in a process of its own."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("readers", nargs="*", help="which; all of them when none is named")
    asked.add_argument("--inputs", type=int, default=1_000_000, help="most inputs for each")
    asked.add_argument("--seconds", type=int, default=600, help="most seconds for each")
    asked.add_argument("--at-random", action="store_true", help="without atheris, even where it is installed")
    asked.add_argument("--one", action="store_true", help=argparse.SUPPRESS)
    given = asked.parse_args()
    if given.one:
        with contextlib.suppress(ImportError):
            if not given.at_random:
                _by_coverage(given.readers[0], given.inputs, given.seconds)
        _at_random(given.readers[0], given.inputs, given.seconds)
    from fuzz.readers import READERS

    print(
        "| reader | inputs | of these read | seconds | slowest [s] | faults |\n|---|---|---|---|---|---|",
        flush=True,
    )
    failed = []
    for name in given.readers or READERS:
        words = [
            sys.executable,
            __file__,
            name,
            "--one",
            "--inputs",
            str(given.inputs),
            "--seconds",
            str(given.seconds),
        ]
        words += ["--at-random"] if given.at_random else []
        done = subprocess.run(words, stderr=subprocess.PIPE, text=True, errors="replace", check=False)
        if done.returncode:
            print(done.stderr[-MOST_TOLD:])
            failed.append(name)
    if failed:
        print(f"not sound: {', '.join(failed)}")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
