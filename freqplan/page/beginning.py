"""The files named when the program is started, as the bench that the page begins with."""

from __future__ import annotations

import os

from freqplan.csvfile import content
from freqplan.errors import PlanError, StationsError
from freqplan.page.answers import Answers, Measured, response_of
from freqplan.page.incoming import list_text, plain_name
from freqplan.page.state import Bench
from freqplan.tomlfile import read_toml


def bench_of_files(plan: str, stations: str | None) -> tuple[Bench, Measured | None]:
    """Read a plan and a station list.

    Parameters
    ----------
    plan, stations : str
        Names of files; ``-`` is standard input.

    Returns
    -------
    (Bench, Measured or None)
        The texts, and the measured response that the plan names.

    Raises
    ------
    InputError
        Holds every fault of both files.
    """
    file = read_toml(
        plan, content="plan", beginning="`freqplan start` makes a plan to begin with", refusal=PlanError
    )
    response = response_of(file.tables)
    measured = (
        Measured(response, os.path.dirname(os.path.abspath(plan))) if isinstance(response, str) else None
    )
    name, listed = content(stations, StationsError) if stations is not None else ("", "")
    text = list_text(listed) if isinstance(listed, bytes) else listed
    bench = Bench(
        file.origin.text, text, stations_name=plain_name(name), plan_name=plain_name(file.origin.source)
    )
    Answers(measured).check(bench)
    return bench, measured
