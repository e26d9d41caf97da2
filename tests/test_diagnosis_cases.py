"""The diagnosis on benches it has never seen, whose true causes are known.

The benches come from formulas and tables of their own; what can be decided on them is computed, not guessed.
The gate takes the first 700 of them, ``FREQPLAN_THOROUGH=1`` in the environment all 2,000: the bounds hold for both.
"""

from __future__ import annotations

from concurrent.futures import ProcessPoolExecutor

import pytest
from bench_cases import SEVERAL, case
from bench_scoring import attainable, scored
from thoroughness import THOROUGH

import freqplan

pytestmark = pytest.mark.timeout(900)

COUNT = 2000 if THOROUGH else 700
FIRST, FIRST_THREE, CALIBRATION = 0.90, 0.98, 0.05
UNDECIDED = 0.78
"""Of the cases in which two mechanisms are within a factor of three by the best weighing there is."""

WRONGLY = 0.15
"""Most of the cases that can be decided which may be called undecided: caution is no fault, but it has a limit."""


def diagnosed(plan, evidence_tables, stations):
    """An answer as `scored` wants it, of the first symptom: mechanisms with their probabilities, best first."""
    from freqplan.evidence import Evidence

    evidence = Evidence.from_file_keys(evidence_tables)
    result = freqplan.diagnose(plan, evidence, stations).to_dict()
    causes = [cause for cause in result["causes"] if cause.get("symptom", 1) == 1]
    ranked = [(cause["mechanism"], cause["probability"]) for cause in causes]
    return ranked, result["symptoms"][0]["undecided"]


def examined(seed):
    """Return the case of a seed, and the answer to it."""
    one = case(seed, SEVERAL)
    return one, diagnosed(one.plan, one.evidence_tables, one.stations)


@pytest.fixture(scope="module")
def some_answers():
    """Cases with their answers: they know nothing of each other, so that every core has its share."""
    with ProcessPoolExecutor() as pool:
        return list(pool.map(examined, range(COUNT), chunksize=25))


@pytest.fixture(scope="module")
def some_cases(some_answers):
    return [one for one, _ in some_answers]


@pytest.fixture(scope="module")
def result(some_answers, some_cases):
    found = scored(some_cases, [answer for _, answer in some_answers])
    print(f"\n{found}\n\n{found.markdown()}\n\nattainable:\n{attainable(some_cases)}")
    return found


def test_what_can_be_decided_is(result):
    assert result.first >= FIRST
    assert result.first_three >= FIRST_THREE


def test_what_cannot_be_decided_is_called_undecided(result):
    """Where two mechanisms fit within a factor of three, which is what undecided means."""
    assert result.undecided_open >= UNDECIDED


def test_it_is_no_bolder_than_the_evidence_on_the_rest(result, some_cases):
    """Of cases that cannot be decided, the best weighing finds two causes within a factor of three in some six of ten.

    In the others one cause leads by more and is still not sure: 0.8 against several of 0.05, say.
    """
    best = attainable(some_cases)
    assert result.undecided >= best.undecided
    assert result.undecided_wrongly <= WRONGLY


def test_probabilities_are_what_they_say(result):
    assert result.calibration < CALIBRATION
