"""A report as one HTML file: to be printed, filed with the set, and read on a screen."""

from __future__ import annotations

import base64
import datetime
import hashlib
import os
from collections.abc import Mapping
from importlib import resources
from typing import TYPE_CHECKING

from freqplan.arguments import checked
from freqplan.card import DEFAULT_LIMIT
from freqplan.charts.drawing import HOW_TO_GET, can_draw
from freqplan.errors import FreqplanError, shortened
from freqplan.reports.gathered import Asked, gather
from freqplan.reports.pages import page
from freqplan.screen import plain

if TYPE_CHECKING:
    from freqplan.charts.chart import Chart
    from freqplan.evidence import Evidence
    from freqplan.plan import Plan
    from freqplan.readings import Readings
    from freqplan.reports.views import Page
    from freqplan.stations import StationList
    from freqplan.surveys import Survey

LONGEST_TEXT = 2_000
"""Signs of one text; only names that nobody reads to their end are longer."""

LONGEST_FOOT = 60
"""Signs of the title at the foot of a printed page."""

EPOCH = "SOURCE_DATE_EPOCH"


@checked
def report(
    plan: Plan,
    stations: StationList | None = None,
    *,
    evidence: Evidence | None = None,
    readings: Readings | None = None,
    reading_error_hz: int | None = None,
    limit: int = DEFAULT_LIMIT,
    date: datetime.date | None = None,
    charts: bool = True,
    plan_source: str = "PLAN",
    changed: Mapping[str, str] | None = None,
) -> str:
    """Write everything that is known of a set as one page of HTML, to be printed and filed with it.

    Parameters
    ----------
    plan : Plan
        The receiver.
    stations : StationList, optional
        Who is on the air.
    evidence : Evidence, optional
        What was observed: the page then holds the diagnosis, and what the evidence says of IF and side goes before
        the plan.
    readings : Readings, optional
        What the dial reads and what plays there.
    reading_error_hz : int, optional [Hz]
        How well the dial is read; as for `dials.dial`.
    limit : int
        Most rows of the list to check.
    date : datetime.date, optional
        The day it bears; by default that of the environment's ``SOURCE_DATE_EPOCH``, or today.
    charts : bool
        Whether there are charts, where matplotlib is installed.
    plan_source : str
        The file of the plan, named in commands that write the rows left out.
    changed : mapping of str to str, optional
        Options of the command line, with their values, that the plan was changed by from what its file says.

    Returns
    -------
    str
        The page, complete in itself: no script, and nothing is fetched from anywhere.

    Raises
    ------
    EvidenceError, ReadingsError
        What was observed or read does not go with the plan or the list.
    FreqplanError
        The limit is below 1, ``SOURCE_DATE_EPOCH`` is no time, or a reading error is given without readings, or not
        above zero.

    Examples
    --------
    >>> text = report(plan, stations)    # doctest: +SKIP
    """
    if limit < 1:
        raise FreqplanError(f"limit {limit}: at least one row of the list to check; give for example 20")
    if reading_error_hz is not None and readings is None:
        raise FreqplanError("reading error without readings: it says how well these are read; give both")
    day = date or _today()
    asked = Asked(plan, stations, evidence, readings, plan_source, changed or {}, reading_error_hz)
    found = gather(asked)
    drawn = _drawn(found.survey, evidence) if charts and can_draw() else ()
    no_charts = HOW_TO_GET if charts and not can_draw() else ""
    return _written(page(found, limit=limit, date=day, charts=drawn, no_charts=no_charts))


def _today() -> datetime.date:
    """Return today, or the day that builds which are to give the same bytes set in the environment."""
    seconds = os.environ.get(EPOCH)
    if not seconds:
        return datetime.date.today()
    try:
        return datetime.datetime.fromtimestamp(int(seconds), tz=datetime.UTC).date()
    except (ValueError, OverflowError, OSError):
        raise FreqplanError(f"{EPOCH} {shortened(seconds)!r}: not a time in seconds since 1970") from None


def _drawn(survey: Survey, evidence: Evidence | None) -> tuple[Chart, ...]:
    """Return the charts, those of one dial setting at the first disturbance observed."""
    from freqplan.charts.gallery import charts_of

    dials = (symptom.dial_hz for symptom in evidence.symptoms) if evidence is not None else ()
    return charts_of(survey, dial_hz=next((hertz for hertz in dials if hertz is not None), None))


def _written(view: Page) -> str:
    from jinja2 import Environment
    from markupsafe import Markup

    def fit(value: object) -> object:
        if isinstance(value, str) and not isinstance(value, Markup):
            text = plain(value)
            return text if len(text) <= LONGEST_TEXT else f"{text[: LONGEST_TEXT - 1]}\N{HORIZONTAL ELLIPSIS}"
        return value

    style = f"{_read('style.css.j2')}{_foot(f'{view.title}, {view.date}')}"
    environment = Environment(autoescape=True, trim_blocks=True, lstrip_blocks=True, finalize=fit)
    template = environment.from_string(_read("page.html.j2"))
    # The browser compares what stands between the tags, to the byte.
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    return f"{template.render(page=view, style=Markup(style), digest=digest)}\n"


def _read(name: str) -> str:
    return resources.files("freqplan").joinpath(f"reports/{name}").read_text(encoding="utf-8")


def _foot(text: str) -> str:
    """Return the rule that writes a text at the foot of printed pages; every sign by its number, so that none acts."""
    signs = "".join(f"\\{ord(sign):x} " for sign in plain(text)[:LONGEST_FOOT])
    return f'@page {{ @bottom-left {{ content: "{signs}" }} }}\n'
