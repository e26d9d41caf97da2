"""What every table of a plan, or of evidence, has in common: how its keys and quantities are read.

A table comes from a file, with short keys and text with units, or from Python, with attribute names and
numbers.  One set of classes serves both; `Reading` says which it is.
"""

from __future__ import annotations

import operator
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from numbers import Real
from typing import Annotated, Any, ClassVar

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    ValidationError,
    ValidationInfo,
    field_validator,
    model_validator,
)

from freqplan.decibel import finite, parse_decibel, parse_microseconds, parse_ohms
from freqplan.errors import LONGEST_NAME, InputError, PlanError
from freqplan.hertz import HIGHEST_HZ, HZ_IN, QuantityError, decimal_text, parse_hertz
from freqplan.lengths import checked_um, parse_micrometres
from freqplan.plan_faults import field_faults, plain_text


@dataclass(frozen=True)
class Reading:
    """How the values at hand are written.

    Attributes
    ----------
    file : bool
        Quantities are text with a unit, as in a file, else plain numbers, as in Python.
    lenient : bool
        What cannot be read becomes None, so that what can be read is checked all the same.
    """

    file: bool = False
    lenient: bool = False


def _reading(info: ValidationInfo) -> Reading:
    return info.context if isinstance(info.context, Reading) else Reading()


class Table(BaseModel):
    """One table of a file: frozen, strict, no unknown keys.

    Attributes
    ----------
    refusal : type of InputError
        What a faulty one raises.
    """

    refusal: ClassVar[type[InputError]] = PlanError

    model_config = ConfigDict(
        frozen=True, strict=True, extra="forbid", validate_by_name=True, validate_by_alias=False
    )

    def __init__(self, /, **values: object) -> None:
        try:
            super().__init__(**values)
        except ValidationError as error:
            raise self.refusal(field_faults(error, type(self), file=False)) from None

    # pydantic would otherwise build the inner tables of a file through this constructor, which knows
    # nothing of the file's units.
    __init__.__pydantic_base_init__ = True  # type: ignore[attr-defined]

    @model_validator(mode="before")
    @classmethod
    def _known_keys_only(cls, values: object, info: ValidationInfo) -> object:
        """Let a lenient reading pass unknown and missing keys."""
        if not (_reading(info).lenient and isinstance(values, dict)):
            return values
        fields = cls.model_fields.items()
        return {name: values.get(name) for name, field in fields if name in values or field.is_required()}

    @field_validator("*", mode="wrap")
    @classmethod
    def _unreadable_is_none(
        cls, value: object, handler: Callable[[Any], Any], info: ValidationInfo
    ) -> object:
        try:
            return handler(value)
        except ValidationError:
            if _reading(info).lenient:
                return None
            raise

    def given(self) -> dict[str, Any]:
        """Return the values that were given, without the defaults, by attribute name."""
        return {
            name: getattr(self, name) for name in type(self).model_fields if name in self.model_fields_set
        }

    def defaulted(self, name: str) -> bool:
        """Return whether the value of attribute `name` is a default."""
        return name not in self.model_fields_set


def hertz_text(hz: int) -> str:
    """Write whole hertz in the unit a person would choose, such as ``10.7 MHz`` or ``455 kHz``."""
    unit = "MHz" if abs(hz) >= HZ_IN["MHz"] else "kHz"
    return f"{decimal_text(hz, unit_hz=HZ_IN[unit], decimals=0, extra=6)} {unit}"


def _hertz(value: object, info: ValidationInfo) -> int:
    return _read_hertz(value, _reading(info), signed=False)


def _signed_hertz(value: object, info: ValidationInfo) -> int:
    return _read_hertz(value, _reading(info), signed=True)


def _read_hertz(value: object, reading: Reading, *, signed: bool) -> int:
    if reading.file:
        return parse_hertz(_text_of_quantity(value), signed=signed)
    if isinstance(value, bool) or not hasattr(value, "__index__"):
        raise QuantityError("not whole hertz", "give an integer such as 10_700_000")
    hertz = operator.index(value)
    if hertz < 0 and not signed:
        raise QuantityError("negative", "leave out the sign")
    if abs(hertz) > HIGHEST_HZ:
        raise QuantityError("above 300 GHz", "give hertz")
    return hertz


def _micrometres(value: object, info: ValidationInfo) -> int:
    if _reading(info).file:
        return parse_micrometres(_text_of_quantity(value))
    if isinstance(value, bool) or not hasattr(value, "__index__"):
        raise QuantityError("not whole micrometres", "give an integer such as 165_000")
    return checked_um(operator.index(value))


def _text_of_quantity(value: object) -> str:
    """Return the text of a quantity; a bare number passes too, for its unit is then reported missing."""
    return plain_text(value) if isinstance(value, str | int | Decimal) else "?"


def _number(value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, Real | Decimal):
        raise QuantityError("not a number", "write a number without quotes")
    try:
        return finite(float(value))
    except OverflowError:
        return finite(float("inf"))


def _decibel(unit: str) -> Callable[[Any, ValidationInfo], float]:
    def read(value: object, info: ValidationInfo) -> float:
        return parse_decibel(_text_of_quantity(value), unit) if _reading(info).file else _number(value)

    return read


def _decibel_or_number(value: object) -> float:
    return parse_decibel(value) if isinstance(value, str) else _number(value)


def _microseconds(value: object, info: ValidationInfo) -> float:
    return parse_microseconds(_text_of_quantity(value)) if _reading(info).file else _number(value)


def _ohms(value: object, info: ValidationInfo) -> float:
    return parse_ohms(_text_of_quantity(value)) if _reading(info).file else _number(value)


REGIONS = (1, 2, 3)
"""ITU Regions: Europe, Africa and northern Asia; the Americas; the rest of Asia, and Oceania."""


def _region(value: object) -> int:
    if isinstance(value, int) and not isinstance(value, bool) and value in REGIONS:
        return value
    if isinstance(value, str) and value.strip() in map(str, REGIONS):
        raise QuantityError("text, not a number", f"write {value.strip()} without quotation marks")
    raise QuantityError(
        "not an ITU Region",
        "write 1 (Europe, Africa, northern Asia), 2 (the Americas) or 3 (the rest of Asia, Oceania)",
    )


def _title(value: str) -> str:
    # Not by a bound of the field, which refuses file names that are no text.
    if len(value) > LONGEST_NAME:
        raise QuantityError(f"longer than {LONGEST_NAME} signs", "shorten it")
    return value


def _tuple(value: object) -> object:
    return tuple(value) if isinstance(value, list) else value


Title = Annotated[str, AfterValidator(_title)]
Hertz = Annotated[int, BeforeValidator(_hertz)]
SignedHertz = Annotated[int, BeforeValidator(_signed_hertz)]
Micrometres = Annotated[int, BeforeValidator(_micrometres)]
Number = Annotated[float, BeforeValidator(_number)]
Decibel = Annotated[float, BeforeValidator(_decibel("dB"))]
Dbm = Annotated[float, BeforeValidator(_decibel("dBm"))]
Dbuv = Annotated[float, BeforeValidator(_decibel("dBuV"))]
DecibelOrNumber = Annotated[float, BeforeValidator(_decibel_or_number)]
Microseconds = Annotated[float, BeforeValidator(_microseconds)]
Ohms = Annotated[float, BeforeValidator(_ohms)]
Region = Annotated[int, BeforeValidator(_region)]
AsTuple = BeforeValidator(_tuple)
"""Marks a tuple that may also be given as a list, which is what a file holds."""
