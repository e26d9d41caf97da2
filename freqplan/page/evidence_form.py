"""What was observed, as a form: its questions, and from an address to the tables of evidence and back.

An address holds what was answered only.  A key of the first disturbance stands in it as in a file (``dial``), one of
the second with its number (``2.dial``), one of the set with its table (``set.dial_error``).  What stands in an address
for a change of the plan is no answer: the pad of the first disturbance is ``1.pad``.
"""

from __future__ import annotations

import io
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from pydantic.fields import FieldInfo

from freqplan.csvfile import is_bare
from freqplan.errors import EvidenceError, Fault
from freqplan.evidence import MOST_SYMPTOMS, Evidence, SetKnowledge, Symptom
from freqplan.evidencefile import evidence_file
from freqplan.page.evidence_words import SET_SECTION, SYMPTOM_SECTIONS
from freqplan.page.form_fields import (
    Field,
    Section,
    Words,
    field_of,
    given,
    sorted_out,
    to_text,
    to_value,
)
from freqplan.page.visit import CARRIED, Values
from freqplan.plan_faults import spelt
from freqplan.plan_reading import Table

SET = "set"
SHOWN = "disturbances"
"""How many disturbances the form shows where that is more than are told of."""

BARE = {"dial_hz": "", "other_set_dial_hz": "", "pad_db": "dB", "fell_db": "dB"}
"""Where digits alone are enough, and their unit; an empty one is that of the dial."""

_NUMBERED = re.compile(r"([1-9][0-9]{0,3})\.(.*)", re.ASCII | re.DOTALL)

Told = dict[tuple[int, str], tuple[str, ...]]
"""Values by number of the disturbance, 0 for the set, and key as in a file."""


@dataclass(frozen=True)
class Disturbance:
    """The questions on one disturbance.

    Attributes
    ----------
    number : int
        Which it is, from 1.
    sections : tuple of Section
        Its questions.
    """

    number: int
    sections: tuple[Section, ...]


@dataclass(frozen=True)
class EvidenceForm:
    """The questions with what is filled in.

    Attributes
    ----------
    disturbances : tuple of Disturbance
        One at least.
    about_the_set : Section
        What all of them share.
    faults : tuple of str
        What is wrong and belongs to no question.
    """

    disturbances: tuple[Disturbance, ...]
    about_the_set: Section
    faults: tuple[str, ...]

    @property
    def parts(self) -> tuple[Section, ...]:
        """Return all its questions."""
        return (*(part for one in self.disturbances for part in one.sections), self.about_the_set)

    @property
    def more(self) -> int | None:
        """Return how many disturbances to show when one more is asked for; None where there are enough."""
        shown = len(self.disturbances) + 1
        return shown if shown <= MOST_SYMPTOMS else None


def evidence_tables(answers: Values, *, unit: str) -> dict[str, Any]:
    """Return what an address tells as an evidence file has it, not yet looked at; no symptom where none is told of.

    Parameters
    ----------
    answers : mapping
        By name; blank values count for nothing, names that are no question become unknown keys.
    unit : str
        MHz or kHz: of a dial setting in digits alone.

    Raises
    ------
    EvidenceError
        A question with one answer is answered twice, or there are too many disturbances.
    """
    told = _told(answers)
    places = _places(told)
    tables: dict[str, Any] = {}
    faults = []
    if len(places) > MOST_SYMPTOMS:
        faults.append(Fault("too many disturbances", f"at most {MOST_SYMPTOMS} can be told of"))
    symptoms: list[dict[str, Any]] = [{} for _ in places]
    for (number, key), values in told.items():
        table = symptoms[places[number]] if number else tables.setdefault(SET, {})
        attribute, info = _keys(number).get(key, ("", None))
        if info is None:
            table[key] = values[0]
        elif field_of("", info, Words("")).several:
            table[key] = list(values)
        elif len(values) > 1:
            faults.append(Fault("answered twice", "keep one of them", key=_dotted(places, number, key)))
        else:
            table[key] = to_value(_with_unit(attribute, values[0], unit), info)
    if faults:
        raise EvidenceError(faults)
    return tables | {"symptom": symptoms}


def evidence_answers(tables: Mapping[str, Any]) -> dict[str, tuple[str, ...]]:
    """Return the address of what a good evidence file holds."""
    answers = {}
    symptoms = (row for row in tables.get("symptom", ()) if row)
    for number, table in enumerate((tables.get(SET, {}), *symptoms)):
        for key, value in table.items():
            texts = value if isinstance(value, list) else [value]
            answers[_name(number, key)] = tuple(map(to_text, texts))
    return tidy(answers)


def answers_of_toml(text: str) -> dict[str, tuple[str, ...]]:
    """Return the address of the text of an evidence file.

    Raises
    ------
    EvidenceError
        Holds every fault found, with its line.
    """
    try:
        file = evidence_file(io.StringIO(text))
        Evidence.from_file_keys(file.tables, origin=file.origin)
    except EvidenceError as error:
        raise EvidenceError(replace(fault, source="") for fault in error.faults) from None
    return evidence_answers(file.tables)


def tidy(answers: Values) -> dict[str, tuple[str, ...]]:
    """Return the answers without blank ones, the disturbances numbered from 1 without gaps."""
    told = _told(answers)
    places = _places(told)
    tidied = {
        _name(places[number] + 1 if number else 0, key): values for (number, key), values in told.items()
    }
    shown = _asked_for(answers)
    if shown > max(len(places), 1):
        tidied[SHOWN] = (str(shown),)
    return tidied


def without(answers: Values, number: int) -> dict[str, tuple[str, ...]]:
    """Return the answers without those on one disturbance, tidied."""
    told = _told(answers)
    return tidy({_name(*place): values for place, values in told.items() if place[0] != number})


def evidence_form(answers: Values, faults: tuple[Fault, ...] = (), *, unit: str) -> EvidenceForm:
    """Return the questions on each disturbance and on the set, filled in.

    Parameters
    ----------
    answers : mapping
        What was answered.
    faults : tuple of Fault
        What is wrong with it, keys spelt as in a file.
    unit : str
        Of the dial.
    """
    told = _told(tidy(answers))
    places = _places(told)
    shown = max(_asked_for(answers), len(places), 1)
    asked = [(number, section) for number in range(1, shown + 1) for section in SYMPTOM_SECTIONS]
    keys = {
        (number, spelt(attribute, info, file=True))
        for number, (_, _, words) in (*asked, (0, SET_SECTION))
        for attribute, info in _table(number).model_fields.items()
        if attribute in words
    }
    at_home, others = sorted_out(
        faults,
        {_dotted(places, *place): _name(*place) for place in keys if place[0] in places or not place[0]},
    )

    def section(number: int, title: str, folded: bool, words: Mapping[str, Words]) -> Section:
        fields = []
        for attribute, one in words.items():
            field = _question(number, attribute, one, unit)
            place = number, _key(number, attribute)
            fields.append(field.filled(told.get(place, ()), at_home.get(field.name, ())))
        return Section(title, tuple(fields), folded)

    disturbances = tuple(
        Disturbance(number, tuple(section(number, *each) for each in SYMPTOM_SECTIONS))
        for number in range(1, shown + 1)
    )
    return EvidenceForm(disturbances, section(0, *SET_SECTION), others)


def _question(number: int, attribute: str, words: Words, unit: str) -> Field:
    info = _table(number).model_fields[attribute]
    field = field_of(_name(number, _key(number, attribute)), info, words)
    if attribute not in BARE:
        return field
    hint = f"In {BARE[attribute]}." if BARE[attribute] else f"In {unit}, unless you write another unit."
    return replace(field, digits=True, help=f"{words.help} {hint}".strip())


def _table(number: int) -> type[Table]:
    return Symptom if number else SetKnowledge


def _key(number: int, attribute: str) -> str:
    return spelt(attribute, _table(number).model_fields[attribute], file=True)


def _keys(number: int) -> dict[str, tuple[str, FieldInfo]]:
    """Return attribute and field of each key, spelt as in a file."""
    fields = _table(number).model_fields.items()
    return {spelt(name, info, file=True): (name, info) for name, info in fields}


def _with_unit(attribute: str, text: str, unit: str) -> str:
    return f"{text.strip()} {BARE[attribute] or unit}" if attribute in BARE and is_bare(text) else text


def _name(number: int, key: str) -> str:
    if not number:
        return f"{SET}.{key}"
    return key if number == 1 and key not in CARRIED else f"{number}.{key}"


def _told(answers: Values) -> Told:
    """Return what is answered; the first disturbance may bear its number too."""
    told: Told = {}
    for name, values in given(answers):
        if name == SHOWN or name in CARRIED:
            continue
        numbered = _NUMBERED.fullmatch(name)
        if name.startswith(f"{SET}."):
            place = 0, name.removeprefix(f"{SET}.")
        elif numbered:
            place = int(numbered.group(1)), numbered.group(2)
        else:
            place = 1, name
        told[place] = told.get(place, ()) + values
    return told


def _places(told: Told) -> dict[int, int]:
    """Return where each disturbance that is told of stands in the list, by its number."""
    numbers = sorted({number for number, _ in told if number})
    return {number: place for place, number in enumerate(numbers)}


def _dotted(places: Mapping[int, int], number: int, key: str) -> str:
    return f"symptom[{places[number]}].{key}" if number else f"{SET}.{key}"


def _asked_for(answers: Values) -> int:
    """Return how many disturbances the form is asked to show; none where that cannot be read."""
    text = "".join(answers.get(SHOWN, ()))
    readable = text.isascii() and text.isdigit() and len(text) < 4
    return min(int(text), MOST_SYMPTOMS) if readable else 0
