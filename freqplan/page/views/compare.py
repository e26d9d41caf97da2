"""Sides of the oscillator and IFs against each other."""

from __future__ import annotations

from typing import Any

from freqplan.errors import FreqplanError
from freqplan.page.faults import faults_of
from freqplan.page.forms import instead
from freqplan.page.visit import Page, Reply, View, Visit

MOST_IFS = 8
"""Compared at once: each is a survey of its own, on two sides."""


def show(visit: Visit) -> Reply:
    """Show the plan's IF and those asked for, on each side."""
    from freqplan.page.lines import shown

    own = visit.answers.plan(visit.here)
    content: dict[str, Any] = {"form": instead(visit, own), "result": None, "faults": ()}
    content["asked"] = visit.several("intermediate")
    try:
        with visit.answers.comparison(visit.here, changed(visit), asked_hz(visit)) as result:
            tables = [table for name in result.names if (table := shown(result, name))]
            content |= {"result": result, "tables": tables}
            return Page("compare.html", content)
    except FreqplanError as error:
        return Page("compare.html", content | {"faults": faults_of(error)}, 422)


def changed(visit: Visit) -> dict[str, str]:
    """Return what stands in place of the plan's values: of IF and side all are compared."""
    return {name: text for name, text in visit.carried.items() if name in ("orders", "region")}


def asked_hz(visit: Visit) -> tuple[int, ...]:
    """Return the further IFs asked for [Hz].

    Raises
    ------
    FreqplanError
        One of them cannot be read, or they are too many.
    """
    from freqplan import questions

    texts = visit.several("intermediate")
    if len(texts) > MOST_IFS:
        raise FreqplanError(f"{len(texts)} IFs at once; at most {MOST_IFS} are compared here")
    unit = visit.answers.plan(visit.here).rounding.unit
    return tuple(questions.read_hertz(questions.with_unit(text, unit), "IF") for text in texts)


VIEWS = (View("compare", show, label="Compare"),)
