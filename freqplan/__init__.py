"""freqplan: exact frequency plans of superhet receivers.

From band, intermediate frequency and oscillator side it computes every image, half-IF response, harmonic
mixing product, birdie and ghost, and lists the frequencies to check.

>>> import freqplan
>>> plan = freqplan.load_plan("plans_demo/pantry.toml")    # doctest: +SKIP
>>> freqplan.survey(plan).to_dataframe("birdies")         # doctest: +SKIP

Frequencies are whole hertz or exact ratios; MHz and kHz exist only in text.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from freqplan.answers import Answers as Answers
    from freqplan.answers import load_answers as load_answers
    from freqplan.changes import Notch as Notch
    from freqplan.changes import Trial as Trial
    from freqplan.channels import Channel as Channel
    from freqplan.channels import channel as channel
    from freqplan.charts.chart import Chart as Chart
    from freqplan.charts.gallery import chart as chart
    from freqplan.charts.spectrum import row_chart as row_chart
    from freqplan.comparisons import Comparison as Comparison
    from freqplan.comparisons import compare as compare
    from freqplan.designs import Circuits as Circuits
    from freqplan.designs import circuits as circuits
    from freqplan.diagnoses import Diagnosis as Diagnosis
    from freqplan.diagnoses import diagnose as diagnose
    from freqplan.dials import Dial as Dial
    from freqplan.dials import dial as dial
    from freqplan.errors import AnswersError as AnswersError
    from freqplan.errors import ArgumentError as ArgumentError
    from freqplan.errors import EvidenceError as EvidenceError
    from freqplan.errors import FreqplanError as FreqplanError
    from freqplan.errors import InputError as InputError
    from freqplan.errors import MissingExtraError as MissingExtraError
    from freqplan.errors import ModelRangeError as ModelRangeError
    from freqplan.errors import PlanError as PlanError
    from freqplan.errors import ReadingsError as ReadingsError
    from freqplan.errors import StationsError as StationsError
    from freqplan.errors import SweepError as SweepError
    from freqplan.errors import WeightsError as WeightsError
    from freqplan.evidence import Evidence as Evidence
    from freqplan.evidence import SetKnowledge as SetKnowledge
    from freqplan.evidence import Symptom as Symptom
    from freqplan.evidencefile import load_evidence as load_evidence
    from freqplan.exercises import Exercise as Exercise
    from freqplan.exercises import exercise as exercise
    from freqplan.explanations import explain as explain
    from freqplan.households import Household as Household
    from freqplan.households import receivers as receivers
    from freqplan.if_choices import IfRanges as IfRanges
    from freqplan.if_choices import if_ranges as if_ranges
    from freqplan.lessons import Lesson as Lesson
    from freqplan.lessons import lesson as lesson
    from freqplan.lessons import topics as topics
    from freqplan.levels import Levels as Levels
    from freqplan.levels import levels_of as levels_of
    from freqplan.marking import Marking as Marking
    from freqplan.plan import Band as Band
    from freqplan.plan import Clock as Clock
    from freqplan.plan import Conversion as Conversion
    from freqplan.plan import FrontEnd as FrontEnd
    from freqplan.plan import IfFilter as IfFilter
    from freqplan.plan import Mixer as Mixer
    from freqplan.plan import Orders as Orders
    from freqplan.plan import Plan as Plan
    from freqplan.plan import RfStage as RfStage
    from freqplan.plan import Scale as Scale
    from freqplan.plan import ScaleMark as ScaleMark
    from freqplan.plan import Stereo as Stereo
    from freqplan.plan import Suppression as Suppression
    from freqplan.plan import Synthesiser as Synthesiser
    from freqplan.planfile import load_plan as load_plan
    from freqplan.readings import Readings as Readings
    from freqplan.readings import load_readings as load_readings
    from freqplan.reports.writing import report as report
    from freqplan.sounds import Sound as Sound
    from freqplan.sounds import sound as sound
    from freqplan.starters import starter as starter
    from freqplan.stations import StationList as StationList
    from freqplan.stations import load_stations as load_stations
    from freqplan.surveys import Survey as Survey
    from freqplan.surveys import survey as survey
    from freqplan.sweeping import Sweep as Sweep
    from freqplan.sweeping import sweep as sweep
    from freqplan.tables import render as render
    from freqplan.towns import load_towns as load_towns
    from freqplan.whistles import Whistle as Whistle
    from freqplan.whistles import whistle as whistle

_HOMES = {
    "answers": ("Answers", "load_answers"),
    "channels": ("Channel", "channel"),
    "changes": ("Notch", "Trial"),
    "charts.chart": ("Chart",),
    "charts.gallery": ("chart",),
    "charts.spectrum": ("row_chart",),
    "comparisons": ("Comparison", "compare"),
    "diagnoses": ("Diagnosis", "diagnose"),
    "designs": ("Circuits", "circuits"),
    "dials": ("Dial", "dial"),
    "errors": (
        "AnswersError",
        "ArgumentError",
        "EvidenceError",
        "FreqplanError",
        "InputError",
        "MissingExtraError",
        "ModelRangeError",
        "PlanError",
        "ReadingsError",
        "StationsError",
        "SweepError",
        "WeightsError",
    ),
    "evidence": ("Evidence", "SetKnowledge", "Symptom"),
    "evidencefile": ("load_evidence",),
    "explanations": ("explain",),
    "exercises": ("Exercise", "exercise"),
    "households": ("Household", "receivers"),
    "if_choices": ("IfRanges", "if_ranges"),
    "lessons": ("Lesson", "lesson", "topics"),
    "levels": ("Levels", "levels_of"),
    "marking": ("Marking",),
    "plan": (
        "Band",
        "Clock",
        "Conversion",
        "FrontEnd",
        "IfFilter",
        "Mixer",
        "Orders",
        "Plan",
        "RfStage",
        "Scale",
        "ScaleMark",
        "Stereo",
        "Suppression",
        "Synthesiser",
    ),
    "planfile": ("load_plan",),
    "readings": ("Readings", "load_readings"),
    "reports.writing": ("report",),
    "sounds": ("Sound", "sound"),
    "starters": ("starter",),
    "stations": ("StationList", "load_stations"),
    "surveys": ("Survey", "survey"),
    "sweeping": ("Sweep", "sweep"),
    "tables": ("render",),
    "towns": ("load_towns",),
    "whistles": ("Whistle", "whistle"),
}
_HOME_OF = {name: home for home, names in _HOMES.items() for name in names}

__all__ = [
    "Answers",
    "AnswersError",
    "ArgumentError",
    "Band",
    "Channel",
    "Chart",
    "Circuits",
    "Clock",
    "Comparison",
    "Conversion",
    "Diagnosis",
    "Dial",
    "Evidence",
    "EvidenceError",
    "Exercise",
    "FreqplanError",
    "FrontEnd",
    "Household",
    "IfFilter",
    "IfRanges",
    "InputError",
    "Lesson",
    "Levels",
    "Marking",
    "MissingExtraError",
    "Mixer",
    "ModelRangeError",
    "Notch",
    "Orders",
    "Plan",
    "PlanError",
    "Readings",
    "ReadingsError",
    "RfStage",
    "Scale",
    "ScaleMark",
    "SetKnowledge",
    "Sound",
    "StationList",
    "StationsError",
    "Stereo",
    "Suppression",
    "Survey",
    "Sweep",
    "SweepError",
    "Symptom",
    "Synthesiser",
    "Trial",
    "WeightsError",
    "Whistle",
    "channel",
    "chart",
    "circuits",
    "compare",
    "diagnose",
    "dial",
    "exercise",
    "explain",
    "if_ranges",
    "lesson",
    "levels_of",
    "load_answers",
    "load_evidence",
    "load_plan",
    "load_readings",
    "load_stations",
    "load_towns",
    "receivers",
    "render",
    "report",
    "row_chart",
    "sound",
    "starter",
    "survey",
    "sweep",
    "topics",
    "whistle",
]


def __getattr__(name: str) -> object:
    home = _HOME_OF.get(name)
    if home is None:
        raise AttributeError(f"module 'freqplan' has no attribute {name!r}")
    value = getattr(import_module(f"freqplan.{home}"), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return sorted(__all__)
