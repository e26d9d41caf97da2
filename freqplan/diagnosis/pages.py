"""The answer as one page of text."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from typing import TYPE_CHECKING, Any

from freqplan.decibel import Float64
from freqplan.diagnosis.bench_tests import BenchTest
from freqplan.diagnosis.cases import Case
from freqplan.diagnosis.causes import FITS, PROVED, RULED_OUT, Cause
from freqplan.diagnosis.elsewhere import elsewhere
from freqplan.diagnosis.priors import NONE, weight
from freqplan.diagnosis.said import everything_said, said
from freqplan.diagnosis.weighing import Weighed
from freqplan.mechanisms import Family, Mechanism, catalogue
from freqplan.services import cautions_for, services_in
from freqplan.words import setting

if TYPE_CHECKING:
    from freqplan.evidence import Symptom
    from freqplan.plan import Plan

VERDICTS = {PROVED: "proved", FITS: "fits", "possible": "possible", RULED_OUT: "ruled out"}
MOST_RULED_OUT = 6
MOST_ELSEWHERE = 4
CONNECTED = 3
"""Effort from which something is connected to the set: to its aerial socket, a counter to its oscillator."""


@dataclass(frozen=True, eq=False)
class Finding:
    """What was found of one symptom.

    Attributes
    ----------
    weighed : Weighed
        All symptoms of the set.
    place : int
        Which of them this is.
    symptom : Symptom
        What was observed.
    causes : tuple of Cause
        Best first.
    tests : tuple of BenchTest
        Most telling first.
    undecided : bool
        Whether the first two causes are near each other.
    """

    weighed: Weighed
    place: int
    symptom: Symptom
    causes: tuple[Cause, ...]
    tests: tuple[BenchTest, ...]
    undecided: bool

    @property
    def case(self) -> Case:
        """Return the candidates."""
        return self.weighed.cases[self.place]

    @cached_property
    def probability(self) -> Float64:
        """The probability of each candidate; (k,)."""
        return self.weighed.probability(self.place)

    @property
    def leaders(self) -> tuple[Cause, Cause]:
        """Return the first cause and its rival."""
        return self.causes[0], self.causes[1]

    @property
    def next_test(self) -> dict[str, Any] | None:
        """Return the test to do next with its readings; None where none is left that tells anything.

        It separates the leaders, or if no test does, the first cause from the likeliest one that reads otherwise.
        """
        if not self.tests:
            return None
        test, first = self.tests[0], self.causes[0]
        others = (each for each in self.causes[1:] if test.separates(first, each, self.probability))
        pair = (first, next(others, self.causes[1]))
        return {
            "what": test.way.what,
            "separates": [cause.mechanism for cause in pair],
            "predicted": {cause.mechanism: test.reading(cause, self.probability) for cause in pair},
        }


def sections(findings: Sequence[Finding], families: tuple[Family, ...]) -> Mapping[str, tuple[str, ...]]:
    """Return the parts of the page with their lines."""
    known = catalogue(families)
    page: dict[str, tuple[str, ...]] = {}
    for found in findings:
        number = f" {found.place + 1}" if len(findings) > 1 else ""
        observed = "; ".join(everything_said(found.weighed.scene, found.case, found.symptom))
        page[f"Observed{number}"] = (observed or "nothing",)
        page[f"Verdict{number}"] = tuple(_verdict(found, known))
        page[f"Next test{number}"] = tuple(_next_test(found))
        page[f"Ruled out{number}"] = tuple(_ruled_out(found))
        page[f"Cure{number}"] = tuple(_cures(found, known))
        page[f"Look at again{number}"] = tuple(_again(found))
    return {title: lines for title, lines in page.items() if lines}


def _share(cause: Cause) -> str:
    percent = 100 * cause.probability
    if percent >= 99.5:
        return "over 99 %"
    return f"{percent:.0f} %" if percent >= 1 else "under 1 %"


def _titled(cause: Cause, known: Mapping[str, Mechanism]) -> str:
    own = known.get(cause.mechanism)
    if own is None or cause.mechanism == NONE or own.title == cause.mechanism:
        return cause.mechanism
    return f"{cause.mechanism}, {own.title}"


def _verdict(found: Finding, known: Mapping[str, Mechanism]) -> Iterator[str]:
    first, second = found.leaders
    if first.mechanism == NONE:
        yield f"Nothing that is known fits ({_share(first)} none of these)."
    else:
        yield f"{VERDICTS[first.verdict].capitalize()}, {_share(first)}: {_titled(first, known)}."
    yield from _sum_lines(found, first)
    word = "Undecided; the rival" if found.undecided else "The rival"
    yield f"{word}, {_share(second)}: {_titled(second, known)}."
    yield from _sum_lines(found, second)
    yield from _the_set(found)


def _sum_lines(found: Finding, cause: Cause) -> Iterator[str]:
    if cause.told.sum:
        yield f"  {cause.told.sum}"
    if cause.against:
        scene = found.weighed.scene
        words = (said(key, scene, found.symptom) for key in cause.against)
        yield f"  Against it: {'; '.join(words)}."


def _the_set(found: Finding) -> Iterator[str]:
    """Yield what the first cause tells of the set itself."""
    scene, first = found.weighed.scene, found.causes[0]
    rounding = scene.plan.rounding
    told = []
    if len(scene.tunings) > 1 and first.oscillator:
        told.append(f"the oscillator is {first.oscillator}")
    if first.told.intermediate_hz != scene.intermediate_hz:
        told.append(f"the real IF is {rounding.fine(first.told.intermediate_hz)} {rounding.unit}")
    if told:
        yield f"If so, {' and '.join(told)}."


def _next_test(found: Finding) -> Iterator[str]:
    test = found.next_test
    if test is None:
        yield "No test that is known separates them: follow the signals on their way through the set."
        return
    yield str(test["what"])
    for mechanism, reading in test["predicted"].items():
        yield f"  {mechanism}: {reading}."
    rival = found.leaders[1].mechanism
    if rival not in test["separates"]:
        yield f"  No test that is known tells {found.leaders[0].mechanism} from {rival}."


def _ruled_out(found: Finding) -> Iterator[str]:
    """Yield causes that are ruled out, the likeliest to be thought of first, and by what."""
    scene = found.weighed.scene
    out = [cause for cause in found.causes if cause.verdict == RULED_OUT]
    known = sorted(out, key=lambda cause: -weight(cause.mechanism))
    for cause in known[:MOST_RULED_OUT]:
        words = (said(key, scene, found.symptom) for key in cause.against)
        yield f"{cause.mechanism}: {'; '.join(words)}."
    if len(out) > MOST_RULED_OUT:
        yield f"And {len(out) - MOST_RULED_OUT} more."


def _cures(found: Finding, known: Mapping[str, Mechanism]) -> Iterator[str]:
    shown = found.leaders if found.undecided else found.leaders[:1]
    for cause in shown:
        if own := known.get(cause.mechanism):
            head = f"{cause.mechanism}: " if len(shown) > 1 else ""
            yield f"{head}{own.cure[0].lower() if head else own.cure[0]}{own.cure[1:]}"


def _again(found: Finding) -> Iterator[str]:
    """Yield where else the first cause must be met if it is the right one."""
    places = elsewhere(found.weighed, found.causes[0])
    rounding = found.weighed.scene.plan.rounding
    for place in places[:MOST_ELSEWHERE]:
        yield f"{setting(place.dial_hz, rounding)} {rounding.unit}: {place.sum}"
    if places:
        yield "If nothing is heard there either, with the same station or a carrier there, think again."
    told = found.causes[0].told
    here = told.at_hz or told.spot_hz
    if here is not None:
        yield f"After the cure: {setting(here, rounding)} {rounding.unit}."


def cautions_of(findings: Sequence[Finding], plan: Plan, families: tuple[Family, ...]) -> tuple[str, ...]:
    """Return the cautions of the causes that lead, of the tests to be done, and of the services that take part."""
    known = catalogue(families)
    found: list[str] = []
    for one in findings:
        leading = [cause for cause in one.causes[:2] if cause.probability >= 0.05]
        signals = [cause.told.signal_hz for cause in leading if cause.told.signal_hz is not None]
        found += cautions_for(service for hertz in signals for service in _lives(hertz, plan))
        found += [known[cause.mechanism].caution for cause in leading if cause.mechanism in known]
        if one.tests and one.tests[0].way.effort >= CONNECTED:
            found.append(one.tests[0].way.caution)
    return tuple(dict.fromkeys(text for text in found if text))


def _lives(hertz: Fraction, plan: Plan) -> Sequence[Any]:
    return services_in(hertz, hertz, region=plan.region)
