"""From what was heard to the cause: ranked causes, what speaks against each, and the one test to do next."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, Any, ClassVar

import numpy as np

from freqplan.arguments import checked
from freqplan.diagnosis.bench_tests import BenchTest, bench_tests
from freqplan.diagnosis.causes import Cause, causes, undecided
from freqplan.diagnosis.pages import Finding, cautions_of, sections
from freqplan.diagnosis.places import off_the_band
from freqplan.diagnosis.said import everything_said, said
from freqplan.diagnosis.scene import Scene, scene
from freqplan.diagnosis.weighing import Weighed, weigh
from freqplan.errors import EvidenceError, Fault
from freqplan.findings import Findings
from freqplan.mechanisms import FAMILIES, Family, explained
from freqplan.remarks import about_the_region
from freqplan.results import Result, in_brief
from freqplan.witnesses import Witness, witnesses

if TYPE_CHECKING:
    from freqplan.evidence import Evidence
    from freqplan.plan import Plan
    from freqplan.stations import StationList

CAUSE_COLUMNS = (
    "symptom", "mechanism", "probability", "verdict", "sum", "stations", "m", "n", "e", "k", "oscillator",
    "intermediate_hz", "dial_hz", "signal_hz", "against",
)  # fmt: skip
CAUSE_DETAILS = ("stations", "m", "n", "e", "k", "intermediate_hz", "dial_hz", "signal_hz")
MILLION = 1_000_000
TEST_COLUMNS = ("symptom", "what", "bits", "effort", "first_reading", "second_reading")


@dataclass(frozen=True)
class Diagnosis(Result):
    """Causes of what was observed on one set.

    Attributes
    ----------
    evidence : Evidence
        What was observed.
    seen : tuple of Witness
        The stations that each symptom speaks of.
    scene : Scene
        The set and who may be heard, as far as the symptoms share them.
    """

    command: ClassVar[str] = "diagnose"
    table_names: ClassVar[tuple[str, ...]] = ("causes", "tests")
    on_request: ClassVar[tuple[str, ...]] = ("mechanisms",)
    overview: ClassVar[Mapping[str, int]] = {"causes": 6, "tests": 4}

    evidence: Evidence = field(kw_only=True)
    seen: tuple[Witness, ...] = field(kw_only=True, repr=False)
    scene: Scene = field(kw_only=True, repr=False)

    @cached_property
    def _weighed(self) -> Weighed:
        return weigh(self.scene, self.evidence, self.seen, self.families)

    @cached_property
    def findings(self) -> tuple[Finding, ...]:
        """What was found of each symptom: its causes, best first, and the tests, the most telling first."""
        found = []
        for place, symptom in enumerate(self.evidence.symptoms):
            ranked = causes(self._weighed, place)
            tests = bench_tests(self._weighed, place, symptom, ranked)
            found.append(Finding(self._weighed, place, symptom, ranked, tests, undecided(ranked)))
        return tuple(found)

    @cached_property
    def causes(self) -> Findings:
        """Causes, best first; of each symptom one row for each mechanism, by its likeliest sum."""
        rows = [
            self._row(found, cause, share)
            for found in self.findings
            for cause, share in zip(found.causes, _rounded(found.causes), strict=True)
        ]
        rows.sort(key=lambda row: -row["probability"])
        names = CAUSE_COLUMNS if len(self.findings) > 1 else CAUSE_COLUMNS[1:]
        return Findings.of_rows("Causes", rows, names, details=CAUSE_DETAILS)

    def _row(self, found: Finding, cause: Cause, share: float) -> dict[str, Any]:
        told, here = cause.told, self.scene
        against = (f"{key}: {said(key, here, found.symptom)}" for key in cause.against)
        return {
            "symptom": found.place + 1,
            "mechanism": cause.mechanism,
            "probability": share,
            "verdict": cause.verdict,
            "sum": told.sum,
            "stations": tuple(here.cast.names[place] for place in told.stations),
            **told.integers,
            "oscillator": cause.oscillator,
            "intermediate_hz": told.intermediate_hz,
            "dial_hz": told.spot_hz,
            "signal_hz": told.signal_hz,
            "against": tuple(against),
        }

    @cached_property
    def tests(self) -> Findings:
        """Tests still to be done, the most telling first, of equals the cheapest."""
        rows = [
            self._test_row(found, test) for found in self.findings for test in found.tests if test.bits > 0
        ]
        names = TEST_COLUMNS if len(self.findings) > 1 else TEST_COLUMNS[1:]
        return Findings.of_rows("Tests", rows, names)

    @staticmethod
    def _test_row(found: Finding, test: BenchTest) -> dict[str, Any]:
        readings = [test.reading(cause, found.probability) for cause in found.causes[:2]]
        return {
            "symptom": found.place + 1,
            "what": test.way.what,
            "bits": test.bits,
            "effort": test.way.effort,
            "first_reading": readings[0],
            "second_reading": readings[-1],
        }

    @cached_property
    def mechanisms(self) -> Findings:
        """What each cause that is not ruled out is, its test and its cure."""
        open_ones = [
            cause for found in self.findings for cause in found.causes if cause.verdict != "ruled-out"
        ]
        return explained([cause.mechanism for cause in open_ones], self.families)

    @property
    def heading(self) -> Mapping[str, Any]:
        """Return whether it is undecided, the next test, and what the evidence tells of the set itself."""
        weight, belief = self._weighed.belief.weight, self._weighed.belief
        tunings = self.scene.tunings
        sides = np.bincount(belief.side, weights=weight, minlength=len(tunings))
        first = next((found for found in self.findings if found.undecided), self.findings[0])
        return {
            "undecided": any(found.undecided for found in self.findings),
            "next_test": first.next_test,
            "oscillator_sides": {
                tuning.side: round(float(share), 6) for tuning, share in zip(tunings, sides, strict=True)
            },
            "intermediate_hz": first.causes[0].told.intermediate_hz,
            "symptoms": [
                {
                    "observed": list(everything_said(self.scene, found.case, found.symptom)),
                    "undecided": found.undecided,
                    "next_test": found.next_test,
                }
                for found in self.findings
            ],
        }

    @property
    def headlines(self) -> tuple[str, ...]:
        """Return band, IF and oscillator side as they are reckoned with; the evidence goes before the plan."""
        return (in_brief(self.plan, intermediate_hz=self.scene.intermediate_hz, sides=self.scene.sides),)

    @property
    def sections(self) -> Mapping[str, tuple[str, ...]]:
        """Return the answer as one page: verdict, sum, rival, test, what is ruled out, cure, what to look at again."""
        return sections(self.findings, self.families)

    @property
    def cautions(self) -> tuple[str, ...]:
        """Return what can hurt in just this job."""
        return cautions_of(self.findings, self.plan, self.families)

    @property
    def assumptions(self) -> tuple[str, ...]:
        """Return what was taken for granted."""
        return tuple(self._assumptions())

    def _assumptions(self) -> Iterator[str]:
        here = self.scene
        rounding = here.plan.rounding
        three = np.sqrt(3)
        yield (
            f"The real IF lies within {rounding.fine(round(here.if_sd_hz * three))} {rounding.unit} of "
            f"{rounding.fine(here.intermediate_hz)}, the scale is good to "
            f"{rounding.fine(round(here.dial_sd_hz * three))} {rounding.unit}."
        )
        for found in self.findings:
            if found.case.spot.wanted_hz is not None and found.symptom.on_station is None:
                yield f"The whistle is taken to be on a station on {rounding.fine(found.case.spot.wanted_hz)}."
        if self.stations is None:
            yield "No station list: only stations named in the evidence take part by name."
        yield from self.evidence.remarks
        yield from (remark for one in self.seen for remark in one.remarks)
        yield (
            "How often each cause occurs, and how often each observation is misjudged, is common practice without a "
            "source; a probability holds as far as that does."
        )
        yield about_the_region(self.plan)


def _rounded(found: Sequence[Cause]) -> list[float]:
    """Return the probabilities in whole millionths, cut so that they still add up to one and keep their order."""
    millionths = np.array([cause.probability for cause in found]) * MILLION
    whole = np.floor(millionths)
    missing = round(MILLION - whole.sum())
    whole[np.argsort(whole - millionths, kind="stable")[:missing]] += 1
    shares: list[float] = (whole / MILLION).tolist()
    return shares


@checked
def diagnose(
    plan: Plan,
    evidence: Evidence,
    stations: StationList | None = None,
    *,
    families: tuple[Family, ...] = FAMILIES,
) -> Diagnosis:
    """Find the causes of what was observed on a set, and the test that separates the leading ones.

    Parameters
    ----------
    plan : Plan
        The receiver; what the evidence says of IF and oscillator goes before it.
    evidence : Evidence
        What was observed; several symptoms share real IF, oscillator side and the error of the scale.
    stations : StationList, optional
        Who is on the air.
    families : tuple of Family
        The mechanisms that are reckoned with.

    Returns
    -------
    Diagnosis

    Raises
    ------
    EvidenceError
        A station that the evidence names is not known, or its IF, its side, a dial setting or a wanted
        station does not go with the plan.

    Notes
    -----
    Probabilities by Bayes' rule: prior shares of mechanisms (`diagnosis.priors`), shares of observations
    (`diagnosis.traits`, `diagnosis.observables`), and the place, which is linear in the unknowns, so that these are
    solved for in closed form.
    """
    seen, here = _read(plan, evidence, stations)
    return Diagnosis(plan, stations, families, evidence=evidence, seen=seen, scene=here)


def _read(plan: Plan, evidence: Evidence, stations: StationList | None) -> tuple[tuple[Witness, ...], Scene]:
    """Return who and what the evidence speaks of; EvidenceError holds all that does not go with plan or list."""
    faults: list[Fault] = []
    seen: tuple[Witness, ...] = ()
    try:
        seen = witnesses(plan, evidence, stations)
    except EvidenceError as error:
        faults += error.faults
    try:
        here = scene(plan, evidence, stations, seen)
        faults += off_the_band(here, evidence, seen)
    except EvidenceError as error:
        faults += error.faults
    if faults:
        raise EvidenceError(evidence.placed(faults))
    return seen, here
