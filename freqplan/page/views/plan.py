"""The set itself by fields, and plan and station list as text, to be read and changed."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import replace
from typing import Any

from freqplan.errors import Fault, FreqplanError, PlanError
from freqplan.page.faults import faults_of
from freqplan.page.incoming import bench_sent, onward
from freqplan.page.plan_form import changed_plan, plan_sections, plan_tables
from freqplan.page.state import Bench
from freqplan.page.visit import Download, Moved, Page, Reply, Values, View, Visit


def show(visit: Visit) -> Reply:
    """Show plan and station list, with what is wrong with them."""
    try:
        visit.answers.check(visit.here)
    except FreqplanError as error:
        return _form(visit.here, faults_of(error), status=422)
    return _form(visit.here)


def change(visit: Visit) -> Reply:
    """Go on with the texts that were sent, or show them again with what is wrong."""
    try:
        bench = bench_sent(visit, before=visit.here)
        visit.answers.check(bench)
        return Moved(f"../{onward(visit, bench)}")
    except FreqplanError as error:
        return _form(bench_sent(visit, before=visit.here, lenient=True), faults_of(error), status=422)


def change_fields(visit: Visit) -> Reply:
    """Go on with the fields that were sent, or show them again with what is wrong."""
    here = visit.here
    try:
        text = changed_plan(plan_tables(here.plan_text), visit.form)
    except PlanError as error:
        return _form(here, sent=visit.form, wrong=error.faults, status=422)
    bench = here if text is None else replace(here, plan_text=text)
    try:
        visit.answers.check(bench)
        return Moved(f"../{visit.shelf.segment(bench)}/survey")
    except FreqplanError as error:
        return _form(here, faults_of(error), sent=visit.form, status=422)


def _form(
    bench: Bench,
    faults: tuple[str, ...] = (),
    *,
    sent: Values | None = None,
    wrong: tuple[Fault, ...] = (),
    status: int = 200,
) -> Page:
    """Return the page; without the fields where the text cannot be taken apart."""
    content: dict[str, Any] = {"bench": bench, "faults": faults, "parts": (), "others": ()}
    with suppress(PlanError):
        content["parts"], content["others"] = plan_sections(plan_tables(bench.plan_text), sent, wrong)
    return Page("set.html", content, status)


def plan_file(visit: Visit) -> Reply:
    """Hand over the plan as a file."""
    return Download(visit.here.plan_text, "application/toml; charset=utf-8", "plan.toml")


def station_file(visit: Visit) -> Reply:
    """Hand over the station list as a file."""
    return Download(visit.here.stations_text, "text/csv; charset=utf-8", "stations.csv")


VIEWS = (
    View("set", show, change, label="Set"),
    View("fields", show, change_fields),
    View("plan.toml", plan_file),
    View("stations.csv", station_file),
)
