"""A plan file (TOML) to a `Plan`; every fault with its line, its key, what was found and what to write."""

from __future__ import annotations

import os
from dataclasses import replace
from typing import Any

from freqplan.arguments import checked
from freqplan.errors import LONGEST_NAME, PlanError, SweepError
from freqplan.plan import Plan
from freqplan.sweeps import load_sweep
from freqplan.tomlfile import LARGEST_FILE, Origin, TomlSource, read_toml

__all__ = ["LARGEST_FILE", "load_plan"]


@checked
def load_plan(source: TomlSource) -> Plan:
    """Read a plan.

    Parameters
    ----------
    source : str, path or open file
        A text or binary file, or its name; ``"-"`` is standard input.

    Returns
    -------
    Plan
        Its title is the name of the file unless the file gives one.

    Raises
    ------
    PlanError
        Holds every fault found, in the order of the file.
    SweepError
        The measured response that it names cannot be used.
    """
    file = read_toml(
        source,
        content="plan",
        beginning="write [band] and [[conversion]]; `freqplan start` makes a plan to begin with",
        refusal=PlanError,
    )
    tables = file.tables
    if file.title:
        tables.setdefault("title", file.title[:LONGEST_NAME])
    _beside(tables, file.origin.source)
    try:
        plan = Plan.from_file_keys(tables)
    except PlanError as error:
        raise PlanError(file.origin.placed(error.faults)) from None
    if plan.front_end is not None and plan.front_end.response is not None:
        _check_response(plan.front_end.response, file.origin)
    return plan


def _check_response(response: str, origin: Origin) -> None:
    """Read a measured response, so that its faults are told with the plan; one of the whole file at the plan's key."""
    try:
        load_sweep(response)
    except SweepError as error:
        key = "front_end.response"
        raise SweepError(
            replace(
                fault,
                what=f"{response}: {fault.what}",
                source=origin.source,
                line=origin.line_of(key),
                key=key,
            )
            if fault.line is None
            else fault
            for fault in error.faults
        ) from None


def _beside(tables: dict[str, Any], name: str) -> None:
    """Look for a measured response beside the plan that names it."""
    front_end = tables.get("front_end")
    if not isinstance(front_end, dict):
        return
    response = front_end.get("response")
    if isinstance(response, str) and response:
        front_end["response"] = os.path.join(os.path.dirname(name), response)
