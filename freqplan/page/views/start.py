"""The start page: a kind of set to begin with, or a plan and a station list of one's own."""

from __future__ import annotations

from freqplan.errors import FreqplanError
from freqplan.page.faults import faults_of
from freqplan.page.incoming import bench_sent, onward
from freqplan.page.state import Bench
from freqplan.page.visit import Moved, Page, Reply, View, Visit
from freqplan.starters import KINDS, starter


def home(visit: Visit) -> Reply:
    """Go on with the plan that was given at the start, or show the start page."""
    if visit.bench is None:
        return start(visit)
    return Moved(f"bench/{visit.shelf.segment(visit.bench)}/survey")


def start(visit: Visit) -> Reply:
    """Show what there is to begin with; ``kind`` puts a commented plan into the form."""
    kind = visit.one("kind")
    return _form(Bench(starter(kind) if kind else "", plan_name=f"{kind}.toml" if kind else ""))


def take_in(visit: Visit) -> Reply:
    """Check what was sent, and go on with it, or show the form again with what is wrong."""
    try:
        bench = bench_sent(visit)
        visit.answers.check(bench)
        return Moved(f"bench/{onward(visit, bench)}")
    except FreqplanError as error:
        return _form(bench_sent(visit, lenient=True), faults_of(error), status=422)


def _form(bench: Bench, faults: tuple[str, ...] = (), *, status: int = 200) -> Page:
    return Page("start.html", {"kinds": KINDS, "bench": bench, "faults": faults}, status)


VIEWS = (
    View("/", home),
    View("/start", start),
    View("/bench", None, take_in),
)
