"""Run quick tests with the oldest releases that pyproject.toml allows: python tests/lowest.py [pytest argument ...].

An environment is made in a temporary folder; with ``--keep FOLDER`` it is made there, and taken again next time.
Arguments for pytest replace the tests below.  Charts are drawn a little differently by older releases of matplotlib,
so pictures kept for comparison are left out.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tempfile
import tomllib
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
QUICK = (
    "test_api", "test_formats", "test_docs", "test_planfile", "test_published", "test_published_products",
    "test_readme_screens", "test_int64", "test_page_guard", "test_sweep_workers", "test_touchstone",
    "test_response_map", "test_lessons",
)  # fmt: skip
TOOLS = {"pytest", "hypothesis", "pytest-benchmark", "pytest-timeout", "pytest-xdist", "scipy"}
"""Of the extra `test`, what these tests need; any release will do."""


def lowest() -> list[str]:
    """Return each dependency of the package and its extras as it is pinned to the oldest release allowed."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    extras = {name: listed for name, listed in project["optional-dependencies"].items() if name != "test"}
    wanted = [*project["dependencies"], *(one for listed in extras.values() for one in listed)]
    return sorted({re.sub(">=", "==", one) for one in wanted})


def main() -> int:
    """Make the environment and run the tests; the exit code is that of pytest."""
    words = sys.argv[1:]
    with tempfile.TemporaryDirectory() as folder:
        if words[:1] == ["--keep"]:
            folder, words = words[1], words[2:]
        python = Path(folder, "bin", "python")
        if not python.exists():
            subprocess.run([sys.executable, "-m", "venv", folder], check=True)
            subprocess.run([python, "-m", "pip", "install", "-q", *lowest(), *sorted(TOOLS)], check=True)
        print("\n".join(lowest()))
        files = [f"tests/{name}.py" for name in QUICK]
        return subprocess.run(
            [python, "-m", "pytest", "-q", *(words or ["-n", "auto", "--dist", "loadfile", *files])],
            cwd=ROOT,
            env={**os.environ, "PYTHONPATH": str(ROOT)},
            check=False,
        ).returncode


if __name__ == "__main__":
    sys.exit(main())
