"""Mutation testing of the exact core: `python tests/mutation/run.py [GROUP ...]` prints a table of who was killed.

Needs `pip install mutmut`.  Works in a copy of the repository in a temporary directory and leaves the
repository as it is.
"""

from __future__ import annotations

import argparse
import json
import random
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import NamedTuple

from constants import changed
from groups import GROUPS, Group
from rewriting import opened

ROOT = Path(__file__).resolve().parents[2]
COPIED = ("freqplan", "tests", "plans_demo", "pyproject.toml", "README.md", "DEVELOPERS.md")
NOT_COPIED = shutil.ignore_patterns("__pycache__", "charts", "benchmarks", "mutation", ".*")
REASONS = Path(__file__).with_name("survivors.md")

FORKED, ANEW = 'isolation = "fork"', 'isolation = "forkserver"'
"""Mutants are tried in a process that has the package and its tests in memory, which is quick; but what was worked out
when they were imported comes from the right program, so that some may survive that a fresh process would kill."""

PRELOADED = ("numpy", "hypothesis", "pytest", "pydantic", "click", "scipy.stats", "sympy", "pandas")
"""What is in memory even where the package is imported anew: what every mutant needs and none changes."""

ADDED = """
import sys

from hypothesis import Phase

settings.register_profile(
    "mutants", settings.get_profile("repeatable"), phases=(Phase.explicit, Phase.generate), database=None
)
settings.load_profile("mutants")


def pytest_sessionstart():
    for name, module in list(sys.modules.items()):
        for value in list(vars(module).values()) if name.startswith("freqplan") else ():
            if hasattr(value, "cache_clear"):
                value.cache_clear()
"""
"""To conftest.py: a mutant is dead at the first counterexample, however long that is, and nothing of what
functions have kept comes from the right program."""

CONFIGURATION = """
[tool.mutmut]
source_paths = ["freqplan"]
only_mutate = {sources}
also_copy = ["plans_demo", "README.md", "DEVELOPERS.md"]
pytest_add_cli_args = {unneeded}
pytest_add_cli_args_test_selection = {tests}
process_isolation = "fork"
forkserver_warmup = "import"
preload_modules_file = "preloaded.txt"
timeout_multiplier = 15.0
timeout_constant = 2.0
use_git_change_detection = false
"""

NOT_NEEDED = ("xdist", "benchmark", "playwright", "axe_playwright_python")
"""Plugins of pytest that would only take time to start."""

LONGEST_S = 600

WIDTH, CLOSING = re.compile(r",?\s*dtype=(np\.int64|None)"), re.compile(r",?\s*\)")

KILLED, SURVIVED, TIMEOUT = "killed", "survived", "timeout"
ENDED = {0: SURVIVED, 5: SURVIVED, 33: SURVIVED, 1: KILLED, 2: KILLED, 3: KILLED}
"""Exit codes of pytest: 2 is a mutant that cannot even be imported; 5 and 33 one that no test reaches."""


class Verdict(NamedTuple):
    """What became of one mutant, and the line of it as it was and has become; those of the dead are not told."""

    name: str
    fate: str
    old: str = ""
    new: str = ""


def sources_of(group: Group, place: Path) -> list[Path]:
    """Return the files of a group in a copy of the repository."""
    return [path for pattern in group.sources for path in sorted((place / "freqplan").glob(pattern))]


def prepared(group: Group, place: Path) -> None:
    """Copy the repository to `place`, with the sources of a group made ready and mutmut told of them."""
    for name in COPIED:
        whole = ROOT / name
        if whole.is_dir():
            shutil.copytree(whole, place / name, ignore=NOT_COPIED)
        else:
            shutil.copy(whole, place / name)
    sources = sources_of(group, place)
    for path in sources:
        path.write_text(opened(path.read_text("utf-8")), "utf-8")
    with (place / "pyproject.toml").open("a") as file:
        named = [str(path.relative_to(place)) for path in sources]
        unneeded = [f"-pno:{name}" for name in NOT_NEEDED]
        texts = {"sources": named, "tests": told(group.tests), "unneeded": unneeded}
        file.write(CONFIGURATION.format(**{name: json.dumps(value) for name, value in texts.items()}))
    with (place / "tests/conftest.py").open("a") as file:
        file.write(ADDED)
    (place / "preloaded.txt").write_text("\n".join(PRELOADED), "utf-8")


def told(tests: Sequence[str]) -> list[str]:
    """Return what pytest is told to run."""
    parts = (name.partition("::") for name in tests)
    return [f"tests/{file}.py{colons}{test}" for file, colons, test in parts]


def mutmut(place: Path, *arguments: str) -> str:
    """Run mutmut in `place` and return what it printed."""
    command = [sys.executable, "-m", "mutmut", *arguments]
    done = subprocess.run(command, cwd=place, capture_output=True, text=True, check=False)
    return done.stdout + done.stderr


def exit_codes(place: Path) -> dict[str, int | None]:
    """Return the exit code of every mutant, None where it was not run."""
    found: dict[str, int | None] = {}
    for meta in sorted((place / "mutants/freqplan").rglob("*.meta")):
        found |= json.loads(meta.read_text("utf-8"))["exit_code_by_key"]
    return found


def of_functions(
    place: Path, *, children: int, sample: int | None, seed: int, anew: bool
) -> Iterator[Verdict]:
    """Run the mutants in `place`, all or a sample, survivors `anew` if asked, and yield what became of each."""
    many, chosen = ["run", "--max-children", str(children)], []
    if sample is not None:
        mutmut(place, *many, "none of them")
        names = sorted(exit_codes(place))
        chosen = random.Random(seed).sample(names, min(sample, len(names)))
    printed = mutmut(place, *many, *chosen)
    alive = [name for name, code in exit_codes(place).items() if code == 0]
    if anew and alive:
        settings = place / "pyproject.toml"
        settings.write_text(settings.read_text("utf-8").replace(FORKED, ANEW), "utf-8")
        printed += mutmut(place, *many, *alive)
    ended = {name: code for name, code in exit_codes(place).items() if not chosen or name in set(chosen)}
    if not ended or None in ended.values():
        sys.exit(f"mutmut did not get through:\n{printed[-3000:]}")
    for name, code in ended.items():
        fate = ENDED.get(code, SURVIVED if name in alive else TIMEOUT)
        yield Verdict(name, fate, *(difference(place, name) if fate == SURVIVED else ()))


def difference(place: Path, name: str) -> tuple[str, str]:
    """Return the lines of a mutant that differ: as they were, and as they have become."""
    shown = mutmut(place, "show", name).splitlines()
    old = [line[1:].strip() for line in shown if re.match(r"-(?!--)", line)]
    new = [line[1:].strip() for line in shown if re.match(r"\+(?!\+\+)", line)]
    return " ".join(old), " ".join(new)


def of_constants(group: Group, place: Path) -> Iterator[Verdict]:
    """Put one constant of a group after the other wrong, in the copy of its sources, and yield what became of it."""
    for path in sources_of(group, place):
        right = (ROOT / path.relative_to(place)).read_text("utf-8")
        every = list(changed(right))
        path.write_text(right, "utf-8")
        if every and fate_of(group, place) != SURVIVED:
            sys.exit(f"the tests of {path.name} fail without any mutant")
        for one in every:
            path.write_text(one.source, "utf-8")
            yield Verdict(f"{path.name}, line {one.number}", fate_of(group, place), one.old, one.new)
        path.write_text(right, "utf-8")


def fate_of(group: Group, place: Path) -> str:
    """Run the tests of a group on what lies in `place` now."""
    command = [sys.executable, "-B", "-m", "pytest", "-x", "-q", *(f"-pno:{name}" for name in NOT_NEEDED)]
    command += told([*group.tests, *group.of_constants])
    try:
        done = subprocess.run(command, cwd=place, capture_output=True, timeout=LONGEST_S, check=False)
    except subprocess.TimeoutExpired:
        return TIMEOUT
    return ENDED.get(done.returncode, TIMEOUT)


def report(title: str, found: Sequence[Verdict]) -> str:
    """Return one row of the table."""
    counts = [sum(one.fate == fate for one in found) for fate in (KILLED, SURVIVED, TIMEOUT)]
    share = 100 * (counts[0] + counts[2]) / len(found)
    return f"| {title} | {len(found)} | {counts[0]} | {counts[1]} | {counts[2]} | {share:.1f} |"


def is_explained(one: Verdict, reasons: str) -> bool:
    """Return whether a survivor stands in survivors.md, or leaves out nothing but the width of whole numbers."""
    old, new = (CLOSING.sub(")", WIDTH.sub("", line)) for line in (one.old, one.new))
    return f"`{one.new}`" in reasons or old == new


def arguments() -> argparse.Namespace:
    """Read the command line."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("groups", nargs="*", choices=[*GROUPS, []], metavar="GROUP", help=", ".join(GROUPS))
    parser.add_argument("--children", type=int, default=1, help="mutants at once (1)")
    parser.add_argument("--sample", type=int, help="so many mutants of each group, drawn by the seed")
    parser.add_argument("--seed", type=int, default=1, help="another sample (1)")
    parser.add_argument("--anew", action="store_true", help="try survivors once more with all imported anew")
    parser.add_argument("--keep", type=Path, help="work in this directory and leave it for `mutmut browse`")
    return parser.parse_args()


def tried(title: str, asked: argparse.Namespace) -> list[Verdict]:
    """Return what became of the mutants of one group."""
    group = GROUPS[title]
    sample = group.sample if asked.sample is None else asked.sample
    with tempfile.TemporaryDirectory(prefix="mutants-") as temporary:
        place = (asked.keep or Path(temporary)) / title
        place.mkdir(parents=True)
        prepared(group, place)
        found = list(
            of_functions(place, children=asked.children, sample=sample, seed=asked.seed, anew=asked.anew)
        )
        return [*found, *(of_constants(group, place) if sample is None else ())]


def main() -> None:
    """Run group after group and print the table, then the survivors that have no reason yet."""
    asked, reasons, unexplained = arguments(), REASONS.read_text("utf-8"), []
    print(
        "| group | mutants | killed | survived | timeouts | percent |\n|---|---|---|---|---|---|", flush=True
    )
    for title in asked.groups or GROUPS:
        found = tried(title, asked)
        print(report(title, found), flush=True)
        alive = [one for one in found if one.fate == SURVIVED and not is_explained(one, reasons)]
        unexplained += [f"{one.name}\n    - {one.old}\n    + {one.new}" for one in alive]
    print("\nSurvivors without a reason in survivors.md:", *(unexplained or ["none"]), sep="\n")
    sys.exit(bool(unexplained))


if __name__ == "__main__":
    main()
