"""What every table of evidence has in common: "unknown" is left out, yes and no are true and false, names are lists."""

from __future__ import annotations

from typing import Annotated, ClassVar

from pydantic import BeforeValidator, Field, model_validator

from freqplan.errors import LONGEST_NAME, EvidenceError, InputError
from freqplan.hertz import QuantityError
from freqplan.plan_reading import Hertz, Table
from freqplan.tomlfile import TRUTHS

UNKNOWN = "unknown"
MOST_NAMES = 20


def _is_unknown(value: object) -> bool:
    return isinstance(value, str) and value.strip() == UNKNOWN


def _truth(value: object) -> object:
    if isinstance(value, bool):
        return value
    meant = TRUTHS.get(value.strip().lower()) if isinstance(value, str) else None
    hint = f"write {meant}, without quotation marks" if meant else "write true or false"
    raise QuantityError("neither true nor false", hint)


def _name(value: object) -> object:
    example = 'write a name or a frequency with its unit, such as "103.4 MHz"'
    if not isinstance(value, str):
        raise QuantityError("not text", example)
    if not value.strip():
        raise QuantityError("empty", example)
    if _is_unknown(value):
        raise QuantityError("not a station", "leave it out")
    if len(value) > LONGEST_NAME:
        raise QuantityError(f"longer than {LONGEST_NAME} signs", "shorten it, or write the frequency")
    return value


def _names(value: object) -> object:
    """Return a list of one for a single text, and none for a list that says nothing but "unknown"."""
    several = [value] if isinstance(value, str) else value
    if not isinstance(several, list | tuple):
        return value
    return () if all(map(_is_unknown, several)) else tuple(several)


Truth = Annotated[bool, BeforeValidator(_truth)]
Name = Annotated[str, BeforeValidator(_name)]
Names = Annotated[tuple[Name, ...], BeforeValidator(_names), Field(max_length=MOST_NAMES)]
Above0Hertz = Annotated[Hertz, Field(gt=0)]


class EvidenceTable(Table):
    """One table of evidence; what is None or "unknown" counts as left out.

    Attributes
    ----------
    keeps_unknown : frozenset of str
        Attributes for which "unknown" says something of its own.
    """

    refusal: ClassVar[type[InputError]] = EvidenceError
    keeps_unknown: ClassVar[frozenset[str]] = frozenset()

    @model_validator(mode="before")
    @classmethod
    def _unknown_is_left_out(cls, values: object) -> object:
        if not isinstance(values, dict):
            return values
        says_nothing = {name for name, value in values.items() if value is None or _is_unknown(value)}
        kept = {name for name in cls.keeps_unknown if values.get(name) is not None}
        left_out = cls.model_fields.keys() & says_nothing - kept
        return {name: value for name, value in values.items() if name not in left_out}
