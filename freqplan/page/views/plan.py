"""The set itself: plan and station list as text, to be read and changed."""

from __future__ import annotations

from freqplan.errors import FreqplanError
from freqplan.page.faults import faults_of
from freqplan.page.incoming import bench_sent, onward
from freqplan.page.state import Bench
from freqplan.page.visit import Download, Moved, Page, Reply, View, Visit


def show(visit: Visit) -> Reply:
    """Show plan and station list, with what is wrong with them."""
    try:
        visit.answers.check(visit.here)
    except FreqplanError as error:
        return _form(visit.here, faults_of(error), status=422)
    return _form(visit.here)


def change(visit: Visit) -> Reply:
    """Go on with what was sent, or show it again with what is wrong."""
    try:
        bench = bench_sent(visit, before=visit.here)
        visit.answers.check(bench)
        return Moved(f"../{onward(visit, bench)}")
    except FreqplanError as error:
        return _form(bench_sent(visit, before=visit.here, lenient=True), faults_of(error), status=422)


def _form(bench: Bench, faults: tuple[str, ...] = (), *, status: int = 200) -> Page:
    return Page("set.html", {"bench": bench, "faults": faults}, status)


def plan_file(visit: Visit) -> Reply:
    """Hand over the plan as a file."""
    return Download(visit.here.plan_text, "application/toml; charset=utf-8", "plan.toml")


def station_file(visit: Visit) -> Reply:
    """Hand over the station list as a file."""
    return Download(visit.here.stations_text, "text/csv; charset=utf-8", "stations.csv")


VIEWS = (
    View("set", show, change, label="Set"),
    View("plan.toml", plan_file),
    View("stations.csv", station_file),
)
