"""The results that go into a report, and the set they are answered for: the evidence goes before the plan."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from freqplan.comparisons import Comparison, compare
from freqplan.errors import PlanError
from freqplan.plan import Conversion, Plan
from freqplan.results import Result
from freqplan.surveys import Survey, survey

if TYPE_CHECKING:
    from freqplan.diagnoses import Diagnosis
    from freqplan.dials import Dial
    from freqplan.evidence import Evidence
    from freqplan.readings import Readings
    from freqplan.stations import StationList


@dataclass(frozen=True)
class Asked:
    """What a report is asked for.

    Attributes
    ----------
    plan : Plan
        The receiver.
    stations, evidence, readings : StationList, Evidence, Readings or None
        Who is on the air, what was observed, what the dial reads.
    source : str
        The file of the plan, as the commands that write more rows name it.
    changed : mapping of str to str
        Options by which the plan was changed from what its file says, with their values.
    reading_error_hz : int or None [Hz]
        How well the dial is read; None for the usual.
    """

    plan: Plan
    stations: StationList | None = None
    evidence: Evidence | None = None
    readings: Readings | None = None
    source: str = "PLAN"
    changed: Mapping[str, str] = field(default_factory=dict)
    reading_error_hz: int | None = None


@dataclass(frozen=True)
class Gathered:
    """The results of a report.

    Attributes
    ----------
    asked : Asked
        What they answer.
    survey : Survey
        Of the set as it is known best.
    comparison : Comparison or None
        Both sides; None where the set cannot have another one.
    diagnosis : Diagnosis or None
        With evidence.
    dial : Dial or None
        With readings.
    """

    asked: Asked
    survey: Survey
    comparison: Comparison | None
    diagnosis: Diagnosis | None
    dial: Dial | None

    @property
    def results(self) -> Iterator[Result]:
        """Yield every result, in the order of the page."""
        every = (self.survey, self.diagnosis, self.dial, self.comparison)
        return (result for result in every if result is not None)


def gather(asked: Asked) -> Gathered:
    """Compute everything a report holds.

    Raises
    ------
    EvidenceError, ReadingsError
        What was observed or read does not go with the plan or the list.
    """
    diagnosis, dial = _diagnosed(asked), _read(asked)
    known = asked.plan if diagnosis is None else _as_observed(diagnosis)
    return Gathered(asked, survey(known, asked.stations), _compared(known, asked.stations), diagnosis, dial)


def _diagnosed(asked: Asked) -> Diagnosis | None:
    if asked.evidence is None:
        return None
    from freqplan.diagnoses import diagnose

    return diagnose(asked.plan, asked.evidence, asked.stations)


def _read(asked: Asked) -> Dial | None:
    if asked.readings is None:
        return None
    from freqplan.dials import dial

    return dial(asked.plan, asked.readings, reading_error_hz=asked.reading_error_hz)


def _as_observed(diagnosis: Diagnosis) -> Plan:
    """Return the plan with the side and the IF that the evidence states.

    A real IF that the later conversions do not go with is left to the diagnosis: that can be the very fault.
    """
    from freqplan.diagnosis.scene import if_error_hz

    plan, known = diagnosis.scene.plan, diagnosis.evidence.set
    if known.intermediate_hz is None:
        return plan
    stated = {
        "intermediate_hz": known.intermediate_hz,
        "tolerance_hz": if_error_hz(diagnosis.plan, known),
    }
    try:
        first = Conversion(**plan.conversion[0].given() | stated)
        return Plan(**plan.given() | {"conversion": (first, *plan.conversion[1:])})
    except PlanError:
        return plan


def _compared(plan: Plan, stations: StationList | None) -> Comparison | None:
    try:
        return compare(plan, (), stations)
    except PlanError:
        return None
