"""Everything about one set as one page to print and to file with it."""

from __future__ import annotations

from collections.abc import Hashable
from typing import TYPE_CHECKING

from freqplan.page.views import diagnosis, readings
from freqplan.page.visit import Download, Reply, View, Visit

if TYPE_CHECKING:
    from freqplan.evidence import Evidence
    from freqplan.readings import Readings


def report(visit: Visit) -> Reply:
    """Hand over the report on the set of the bench."""
    return _written(visit)


def with_evidence(visit: Visit) -> Reply:
    """Hand over the report with what was observed, and its causes."""
    return _written(visit, evidence=diagnosis.evidence_of(visit, diagnosis.told_by(visit)))


def with_readings(visit: Visit) -> Reply:
    """Hand over the report with dial readings, and what explains them."""
    told = readings.told_by(visit)
    given, error_hz = readings.readings_of(visit, told)
    return _written(
        visit,
        readings=given,
        reading_error_hz=error_hz,
        told=tuple((name, tuple(values)) for name, values in sorted(told.items())),
    )


def _written(
    visit: Visit,
    *,
    evidence: Evidence | None = None,
    readings: Readings | None = None,
    reading_error_hz: int | None = None,
    told: Hashable = (),
) -> Download:
    from freqplan.reports.writing import report as written

    plan = visit.answers.plan(visit.here, visit.carried)

    def compute() -> str:
        return written(
            plan,
            visit.answers.stations(visit.here),
            evidence=evidence,
            readings=readings,
            reading_error_hz=reading_error_hz,
            plan_source=visit.here.plan_name or "plan.toml",
            changed=_options(visit),
        )

    key = "report", visit.here, evidence, told, *sorted(visit.carried.items())
    with visit.answers.kept(key, compute) as text:
        return Download(text, "text/html; charset=utf-8", "report.html")


def _options(visit: Visit) -> dict[str, str]:
    """Return the options of the command line that say what stands in place of the plan's own values."""
    from freqplan.questions import with_unit

    unit = visit.answers.plan(visit.here).rounding.unit
    told = {name: text for name, text in visit.carried.items() if name != "pad"}
    if "intermediate" in told:
        told["intermediate"] = with_unit(told["intermediate"], unit)
    return {f"--{name}": text for name, text in told.items()}


VIEWS = (
    View("report.html", report),
    View("diagnosis-report.html", with_evidence),
    View("readings-report.html", with_readings),
)
