"""What all forms have in common: a question with its words, how an answer reads, and where a fault belongs."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any, Literal, NamedTuple, get_args, get_origin

from pydantic.fields import FieldInfo

from freqplan.errors import Fault, shortened
from freqplan.page.visit import Values

YES, NO = "yes", "no"
FEWEST_BOXES, MOST_BOXES = 2, 20
"""Where several values may be given: so many boxes, or one more than there are values."""

_TRUTHS = {YES: True, NO: False, "true": True, "false": False}
_WHOLE = re.compile(r"[+-]?[0-9]{1,50}", re.ASCII)
_DECIMAL = re.compile(r"[+-]?[0-9]{1,50}\.[0-9]{1,50}", re.ASCII)
_OWN_EXAMPLE = re.compile(r"write (\w+) = (.+)")
_HINTS = {
    "write a number without quotes": "write digits, such as 3 or 0.5",
    "write true or false": "choose yes or no",
    "write true, without quotation marks": "choose yes or no",
    "write false, without quotation marks": "choose yes or no",
    "leave it out": "leave it empty",
    "write its frequency or give --stations": "write its frequency, or put a station list beside the set",
}
"""What a file would need, and what a form needs instead."""


class Words(NamedTuple):
    """What a question is called, one line of help, and the words for each choice."""

    label: str
    help: str = ""
    choices: Mapping[str, str] = {}


@dataclass(frozen=True)
class Field:
    """One question of a form.

    Attributes
    ----------
    name : str
        What the form sends it as.
    label, help : str
        What is asked, and one line of help.
    choices : tuple of (str, str)
        Value and words of each; none where the answer is written.
    several : bool
        Whether several values may be given.
    needed : bool
        Whether it must be answered.
    digits : bool
        Whether digits alone are an answer.
    values : tuple of str
        What is filled in.
    faults : tuple of str
        What is wrong with it, each a sentence.
    place : int
        Which it is of several that bear the same name, from 1; 0 where there is one.
    """

    name: str
    label: str
    help: str = ""
    choices: tuple[tuple[str, str], ...] = ()
    several: bool = False
    needed: bool = False
    digits: bool = False
    values: tuple[str, ...] = ()
    faults: tuple[str, ...] = ()
    place: int = 0

    @property
    def id(self) -> str:
        """Return what the page calls it: a letter first, then letters, digits and hyphens."""
        place = f"-{self.place}" if self.place else ""
        return f"q-{re.sub(r'[^a-z0-9]+', '-', self.name.lower()).strip('-')}{place}"

    @property
    def value(self) -> str:
        """Return what is filled in where one value may be."""
        return self.values[0] if self.values else ""

    @property
    def boxes(self) -> tuple[str, ...]:
        """Return what stands in each box to write in; where several values may be given, some are left blank."""
        if not self.several:
            return (self.value,)
        blank = max(FEWEST_BOXES - len(self.values), 1)
        return (*self.values, *[""] * blank)[: max(MOST_BOXES, len(self.values))]

    @property
    def described_by(self) -> str:
        """Return the names of the texts that belong to it, for a screen reader; the fault comes first."""
        parts = [(self.faults, "fault"), (self.help, "help")]
        return " ".join(f"{self.id}-{part}" for text, part in parts if text)

    def filled(self, values: Iterable[str], faults: Iterable[Fault] = ()) -> Field:
        """Return the question with values filled in and what is wrong with them."""
        told = tuple(sentence(fault, self.choices) for fault in faults)
        return replace(self, values=tuple(values), faults=told)


@dataclass(frozen=True)
class Section:
    """Questions that are asked together.

    Attributes
    ----------
    title : str
        What they are about.
    fields : tuple of Field
        In the order in which they are asked.
    folded : bool
        Whether they are out of sight until somebody opens them; never where one is answered or faulty.
    """

    title: str
    fields: tuple[Field, ...]
    folded: bool = False

    @property
    def open(self) -> bool:
        """Return whether it stands open."""
        return not self.folded or any(field.values or field.faults for field in self.fields)


def field_of(name: str, info: FieldInfo, words: Words) -> Field:
    """Return the question for a key of a model, by its kind of value and its example.

    Parameters
    ----------
    name : str
        What the form sends it as.
    info : FieldInfo
        The key in the model.
    words : Words
        How it is asked.
    """
    example = example_of(info)
    choices = [(value, words.choices.get(value, value)) for value in literals(info.annotation)]
    choices = choices or list(words.choices.items())
    if isinstance(example, bool):
        choices = [(YES, "yes"), (NO, "no")]
    shown = example[0] if isinstance(example, list) and example else example
    such_as = "" if choices or shown in ("", None) else f"Such as {shown}."
    return Field(
        name,
        words.label,
        " ".join(text for text in (words.help, such_as) if text),
        tuple(choices),
        several=isinstance(example, list),
        needed=info.is_required(),
        digits=not choices and isinstance(example, int | Decimal),
    )


def example_of(info: FieldInfo) -> Any:
    """Return the example of a key, as TOML has it read; an empty text where there is none."""
    if not info.examples:
        return ""
    return tomllib.loads(f"x = {info.examples[0]}", parse_float=Decimal)["x"]


def literals(annotation: object) -> tuple[str, ...]:
    """Return the words that a key may hold, where it may hold a few only."""
    if get_origin(annotation) is Literal:
        return get_args(annotation)
    return next((found for part in get_args(annotation) if (found := literals(part))), ())


def to_value(text: str, info: FieldInfo) -> Any:
    """Return an answer as a file would hold it; what cannot be read stays the text it is.

    Parameters
    ----------
    text : str
        What was filled in.
    info : FieldInfo
        The key in the model; its example tells the kind of value.
    """
    example = example_of(info)
    if isinstance(example, bool):
        return _TRUTHS.get(text.strip().lower(), text)
    if isinstance(example, int | Decimal):
        return _number(text)
    return text


def _number(text: str) -> int | Decimal | str:
    bare = text.strip()
    if _WHOLE.fullmatch(bare):
        return int(bare)
    return Decimal(bare) if _DECIMAL.fullmatch(bare) else text


def to_text(value: object) -> str:
    """Return a single value of a file as a form shows it; nothing for a list or a table."""
    if isinstance(value, bool):
        return YES if value else NO
    if isinstance(value, Decimal):
        return f"{value:f}"
    return str(value) if isinstance(value, str | int) else ""


def sentence(fault: Fault, choices: tuple[tuple[str, str], ...] = ()) -> str:
    """Return a fault as a sentence under its question, which shows already what was found there.

    Parameters
    ----------
    fault : Fault
        Its hint is for a file: quotation marks go, and a choice is named by its words.
    choices : tuple of (str, str)
        Value and words of each choice of the question.
    """
    hint = _hint(fault)
    for value, words in choices:
        if f'"{value}"' in hint:
            hint = hint.replace(f'"{value}"', words).replace("write ", "choose ", 1)
    parts = [fault.what, hint.replace('"', "")]
    text = "; ".join(part for part in parts if part)
    return f"{text[:1].upper()}{text[1:]}."


def in_full(fault: Fault) -> str:
    """Return a fault as a sentence that stands by itself, with its place and what was found."""
    return f"{replace(fault, hint=_hint(fault), key=shortened(fault.key, 80))}."


def _hint(fault: Fault) -> str:
    own = _OWN_EXAMPLE.fullmatch(fault.hint)
    if own and own.group(1) == re.split(r"[.\]]", fault.key)[-1]:
        return "such as {}".format(own.group(2).strip('"'))
    return _HINTS.get(fault.hint, fault.hint)


def sorted_out(
    faults: Iterable[Fault], names: Mapping[str, str]
) -> tuple[dict[str, list[Fault]], tuple[str, ...]]:
    """Return the faults of each question by its name, and the others as sentences.

    Parameters
    ----------
    faults : iterable of Fault
        Their keys spelt as in a file.
    names : mapping
        From dotted key to the name of the question; a fault of one value in a list belongs to the list's.
    """
    at_home: dict[str, list[Fault]] = {}
    others = []
    for fault in faults:
        name = names.get(fault.key) or names.get(fault.key[: max(fault.key.rfind("["), 0)])
        if name is None:
            others.append(in_full(fault))
        else:
            at_home.setdefault(name, []).append(fault)
    return at_home, tuple(others)


def given(answers: Values) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Yield the names that are answered, with their values, blank ones left out."""
    for name, values in answers.items():
        kept = tuple(value for value in values if value.strip())
        if kept:
            yield name, kept
