"""From a bench to results: read, computed once, kept for the charts and files that belong to them."""

from __future__ import annotations

import io
import os
from collections.abc import Callable, Hashable, Mapping
from contextlib import AbstractContextManager
from dataclasses import dataclass
from pathlib import PurePath
from typing import TYPE_CHECKING, Any

from freqplan.errors import Fault, InputError, PlanError
from freqplan.page.remembered import Kept, Remembered

if TYPE_CHECKING:
    from freqplan.changes import Trial
    from freqplan.channels import Channel
    from freqplan.charts.chart import Chart
    from freqplan.comparisons import Comparison
    from freqplan.diagnoses import Diagnosis
    from freqplan.dials import Dial
    from freqplan.evidence import Evidence
    from freqplan.lessons import Lesson
    from freqplan.page.state import Bench
    from freqplan.plan import Plan
    from freqplan.readings import Readings
    from freqplan.stations import StationList
    from freqplan.surveys import Survey

MOST_DRAWN, MOST_DRAWING = 20, 64
"""Charts kept, and how many may be in the making: more than there are threads, for a survey has its seat already."""

NAMES = {"conversion[0].intermediate": "IF", "conversion[0].oscillator": "oscillator"}


@dataclass(frozen=True)
class Measured:
    """The measured response that the plan given at the start names.

    Attributes
    ----------
    name : str
        As the plan has it.
    folder : str
        Where the plan lies, and the response is looked for.
    """

    name: str
    folder: str


def response_of(tables: Mapping[str, Any]) -> object:
    """Return what the tables of a plan name as the measured response of the front end, None where they do not."""
    front_end = tables.get("front_end")
    return front_end.get("response") if isinstance(front_end, dict) else None


class _NamedText(io.StringIO):
    """A text with the name of the file it came from."""

    def __init__(self, text: str, name: str) -> None:
        super().__init__(text)
        self.name = name


class Answers:
    """Reads benches and computes results; safe among threads.

    Parameters
    ----------
    measured : Measured, optional
        The one file that may be read besides; no other is, whatever a plan says.
    """

    def __init__(self, measured: Measured | None = None) -> None:
        self._measured = measured
        self._remembered, self._drawn = Remembered(), Remembered(seats=MOST_DRAWING, most_weight=MOST_DRAWN)

    def kept(self, key: Hashable, compute: Callable[[], Kept]) -> AbstractContextManager[Kept]:
        """Compute a result or take the one kept; see `Remembered.kept`."""
        return self._remembered.kept(key, compute)

    def plan(self, bench: Bench, changed: Mapping[str, str] | None = None) -> Plan:
        """Return the set of a bench, with other values in place of the plan's.

        Parameters
        ----------
        bench : Bench
            With the text of the plan.
        changed : mapping, optional
            Texts by ``intermediate``, ``oscillator``, ``orders``, ``region``.

        Raises
        ------
        PlanError
            Holds every fault of the plan, or of the values given.
        FreqplanError
            A value given cannot be read.
        SweepError
            The measured response cannot be used.
        """
        from freqplan import questions

        plan = self._read(bench)
        given = {name: text for name, text in (changed or {}).items() if name != "pad"}
        if not given:
            return plan
        if given.get("region", "1") not in ("1", "2", "3"):
            raise PlanError([Fault("no such ITU Region", "choose 1, 2 or 3", key="Region")])
        unit, hertz, orders = plan.rounding.unit, given.get("intermediate"), given.get("orders")
        with questions.faults_by_name(NAMES, "orders"):
            return plan.with_changes(
                oscillator=given.get("oscillator"),
                intermediate_hz=questions.read_hertz(questions.with_unit(hertz, unit), "IF")
                if hertz
                else None,
                orders=questions.read_orders(orders, "orders", '"5,5"') if orders else None,
                region=int(given["region"]) if "region" in given else None,
            )

    def _read(self, bench: Bench) -> Plan:
        from freqplan.planfile import load_plan
        from freqplan.tomlfile import read_toml

        name = PurePath(bench.plan_name).name
        beginning = "write [band] and [[conversion]]; the start page has plans to begin with"
        file = read_toml(
            _NamedText(bench.plan_text, name), content="plan", beginning=beginning, refusal=PlanError
        )
        response = response_of(file.tables)
        if response is None:
            return load_plan(_NamedText(bench.plan_text, name))
        if self._measured is None or response != self._measured.name:
            fault = Fault(
                "a measured response is read only where the plan was given when the program was started",
                "stop the program and start it with that plan, or describe the front end by its circuits",
                key="front_end.response",
                found=str(response),
            )
            raise PlanError(file.origin.placed([fault]))
        return load_plan(_NamedText(bench.plan_text, os.path.join(self._measured.folder, name)))

    def stations(self, bench: Bench) -> StationList | None:
        """Return the station list of a bench, None where there is none.

        Raises
        ------
        StationsError
            Holds every fault of the list.
        """
        from freqplan.stations import load_stations

        if not bench.stations_text.strip():
            return None
        return load_stations(_NamedText(bench.stations_text, PurePath(bench.stations_name).name))

    def check(self, bench: Bench) -> None:
        """Read plan and station list and refuse them together.

        Raises
        ------
        InputError
            Holds every fault of both.
        """
        faults: list[Fault] = []
        for read in (self.plan, self.stations):
            try:
                read(bench)
            except InputError as error:
                faults += error.faults
        if faults:
            raise InputError(faults)

    def trial(self, pad: str) -> Trial:
        """Return a pad on trial; a bare number is dB.

        Raises
        ------
        FreqplanError
            It cannot be read.
        """
        from freqplan import questions

        return questions.read_trial(questions.with_unit(pad, "dB") if pad else None, (), ("pad", "trap"))

    def survey(self, bench: Bench, changed: Mapping[str, str]) -> AbstractContextManager[Survey]:
        """Survey the whole band; see `freqplan.surveys.survey`."""
        from freqplan.surveys import survey

        def compute() -> Survey:
            trial = self.trial(changed.get("pad", ""))
            return survey(self.plan(bench, changed), self.stations(bench), trial=trial)

        return self.kept(_key("survey", bench, changed), compute)

    def chart(
        self, bench: Bench, changed: Mapping[str, str], name: str, dial_hz: int | None = None,
        mechanism: str | None = None,
    ) -> Chart:  # fmt: skip
        """Draw one chart of a survey; see `freqplan.charts.gallery.charts_of`."""
        from freqplan.charts.gallery import charts_of

        key = _key("chart", bench, changed, name, dial_hz, mechanism)
        with (
            self.survey(bench, changed) as result,
            self._drawn.kept(
                key, lambda: charts_of(result, [name], dial_hz=dial_hz, mechanism=mechanism)[0]
            ) as chart,
        ):
            return chart

    def channel(
        self, bench: Bench, changed: Mapping[str, str], dial_hz: int
    ) -> AbstractContextManager[Channel]:
        """Compute one dial setting; see `freqplan.channels.channel`."""
        from freqplan.channels import channel

        def compute() -> Channel:
            trial = self.trial(changed.get("pad", ""))
            return channel(self.plan(bench, changed), dial_hz, self.stations(bench), trial=trial)

        return self.kept(_key("channel", bench, changed, dial_hz), compute)

    def lesson(
        self, bench: Bench, changed: Mapping[str, str], topic: str, dial_hz: int | None = None
    ) -> AbstractContextManager[Lesson]:
        """Derive a mechanism step by step; see `freqplan.lessons.lesson`."""
        from freqplan.lessons import lesson

        return self.kept(
            _key("lesson", bench, changed, topic, dial_hz),
            lambda: lesson(self.plan(bench, changed), topic, dial_hz),
        )

    def comparison(
        self, bench: Bench, changed: Mapping[str, str], intermediates_hz: tuple[int, ...]
    ) -> AbstractContextManager[Comparison]:
        """Set sides and IFs against each other; see `freqplan.comparisons.compare`."""
        from freqplan.comparisons import compare

        def compute() -> Comparison:
            return compare(self.plan(bench, changed), intermediates_hz, self.stations(bench))

        return self.kept(_key("compare", bench, changed, intermediates_hz), compute)

    def diagnosis(
        self, bench: Bench, changed: Mapping[str, str], evidence: Evidence
    ) -> AbstractContextManager[Diagnosis]:
        """Find the causes of what was observed; see `freqplan.diagnoses.diagnose`."""
        from freqplan.diagnoses import diagnose

        def compute() -> Diagnosis:
            return diagnose(self.plan(bench, changed), evidence, self.stations(bench))

        return self.kept(_key("diagnosis", bench, changed, evidence), compute)

    def dial(
        self, bench: Bench, changed: Mapping[str, str], given: Readings, error_hz: int | None
    ) -> AbstractContextManager[Dial]:
        """Tell what explains readings of the dial; see `freqplan.dials.dial`."""
        from freqplan.dials import dial

        def compute() -> Dial:
            return dial(self.plan(bench, changed), given, reading_error_hz=error_hz)

        told = *given.reads_hz.tolist(), *given.is_hz.tolist(), given.stations, error_hz
        return self.kept(_key("dial", bench, changed, told), compute)


def _key(what: str, bench: Bench, changed: Mapping[str, str], *asked: Hashable) -> Hashable:
    """Return what tells one question from all others."""
    return (what, bench, *asked, *sorted(changed.items()))
