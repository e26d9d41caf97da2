"""From pydantic's findings to faults that say where, what, and what to write."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Iterator, Mapping
from typing import NamedTuple, get_args

from pydantic import BaseModel, ValidationError
from pydantic.fields import FieldInfo
from pydantic_core import ErrorDetails

from freqplan.errors import MOST_FAULTS, Fault
from freqplan.hertz import QuantityError

Path = tuple[str | int, ...]
UNKNOWN_KEY = "unknown key"

_WANTED = {
    "int_type": "not a whole number",
    "string_type": "not text",
    "literal_error": "not one of the choices",
    "tuple_type": "not a list",
    "model_type": "not a table",
    "too_short": "missing",
}
_BOUND = {
    "greater_than": ("not above {gt}", "more than {gt} is needed"),
    "greater_than_equal": ("below {ge}", "{ge} or more is needed"),
    "less_than": ("not below {lt}", "less than {lt} is needed"),
    "less_than_equal": ("above {le}", "{le} or less is needed"),
    "too_long": ("too many values", "at most {max_length} can be given"),
}
# In front of a key of a file that no attribute has, lest it be taken for an attribute's name.
_UNKNOWN_MARK = "?"
# What follows from another fault only: a default that could not be worked out, a list emptied by its faults.
_CONSEQUENCES = ("default_factory_not_called",)


class Trouble(NamedTuple):
    """Something wrong at a place named by attribute names; `Fault` is how it is told."""

    path: Path
    what: str
    hint: str


def plain_text(value: object) -> str:
    """Return `value` as text; Python refuses to write out integers of thousands of digits."""
    try:
        return str(value)
    except ValueError:
        return "a very long number"


def found_text(value: object) -> str:
    """Return how `value` looked where it was found."""
    match value:
        case str():
            return f'"{value}"'
        case bool():
            return "true" if value else "false"
        case dict() | list() | tuple():
            return "" if not value else "a table" if isinstance(value, dict) else "a list"
        case BaseModel() | None:
            return ""
        case _:
            return plain_text(value)


def inner_table(annotation: object) -> type[BaseModel] | None:
    """Return the table class that an annotation such as ``tuple[Conversion, ...]`` holds."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    return next((table for part in get_args(annotation) if (table := inner_table(part))), None)


def spelt(name: str, field: FieldInfo, *, file: bool) -> str:
    """Return how attribute `name` is spelt in a file or in Python."""
    return field.validation_alias if file and isinstance(field.validation_alias, str) else name


class Place(NamedTuple):
    """Where a path leads: the dotted key, the table and field there, the last name as spelt there."""

    key: str
    table: type[BaseModel]
    field: FieldInfo | None
    name: str


def attribute_names(values: Mapping[str, object], table: type[BaseModel]) -> dict[str, object]:
    """Return the tables of a file with attribute names for keys, unknown keys marked as such."""
    names = {spelt(name, field, file=True): name for name, field in table.model_fields.items()}
    renamed: dict[str, object] = {}
    for key, value in values.items():
        if key not in names:
            renamed[_UNKNOWN_MARK + key] = value
            continue
        inner = inner_table(table.model_fields[names[key]].annotation)
        if inner and isinstance(value, dict):
            value = attribute_names(value, inner)
        elif inner and isinstance(value, list):
            value = [attribute_names(row, inner) if isinstance(row, dict) else row for row in value]
        renamed[names[key]] = value
    return renamed


def place(path: Path, table: type[BaseModel], *, file: bool) -> Place:
    """Follow `path`, of attribute names and unknown keys, from the outermost `table`."""
    key, field, name, inner = "", None, "", table
    for step in path:
        if isinstance(step, int):
            key += f"[{step}]"
            continue
        table = inner
        field = table.model_fields.get(step)
        name = spelt(step, field, file=file) if field else step.removeprefix(_UNKNOWN_MARK)
        inner = (field and inner_table(field.annotation)) or table
        key += f".{name}" if key else name
    return Place(key, table, field, name)


def fault_of(trouble: Trouble, table: type[BaseModel], values: object, *, file: bool) -> Fault:
    """Tell a trouble with the key and the value as they were written."""
    spot = place(trouble.path, table, file=file)
    value = _value_at(trouble.path, table, values, file=file)
    found = "" if isinstance(value, Mapping | list | tuple) else found_text(value)
    return Fault(what=trouble.what, hint=trouble.hint, key=spot.key, found=found)


def _value_at(path: Path, table: type[BaseModel], values: object, *, file: bool) -> object:
    for depth, step in enumerate(path, start=1):
        name = place(path[:depth], table, file=file).name if isinstance(step, str) else step
        if isinstance(values, BaseModel):
            values = getattr(values, str(name), None)
        elif isinstance(values, Mapping):
            values = values.get(name)
        elif isinstance(values, list | tuple) and isinstance(name, int):
            values = values[name] if name < len(values) else None
        else:
            return None
    return values


def field_faults(error: ValidationError, table: type[BaseModel], *, file: bool) -> list[Fault]:
    """Return one fault for each thing that pydantic found wrong.

    Parameters
    ----------
    error : ValidationError
        What pydantic found.
    table : type of Table
        The outermost table that was being read.
    file : bool
        Whether keys are spelt as in a file.
    """
    details = [item for item in error.errors(include_url=False) if not _is_consequence(item)]
    surplus, details = len(details) - MOST_FAULTS, details[:MOST_FAULTS]
    misspelt = dict(_misspelt(details, table, file=file))
    meant = {(*path[:-1], right) for path, right in misspelt.items()}
    faults = []
    for item in details:
        path = tuple(item["loc"])
        spot = place(path, table, file=file)
        if item["type"] == "extra_forbidden":
            faults.append(_unknown_key(spot, misspelt.get(path), table, file=file))
        elif not (item["type"] == "missing" and (*path[:-1], spot.name) in meant):
            faults.append(_field_fault(item, spot, file=file))
    if surplus > 0:
        faults.append(Fault(f"{surplus} more faults", "mend these first"))
    return faults


def spoken_of(faults: Iterable[Fault]) -> Iterator[str]:
    """Yield the keys that `faults` are about: each as written and, where it is misspelt, the right one too."""
    for fault in faults:
        yield fault.key
        if fault.what == UNKNOWN_KEY and fault.hint.startswith("write "):
            table, dot, _ = fault.key.rpartition(".")
            right, _, _ = fault.hint.removeprefix("write ").partition(",")
            yield f"{table}{dot}{right}"


def _is_consequence(item: ErrorDetails) -> bool:
    emptied_by_its_faults = item["type"] == "too_short" and bool(item["input"])
    return item["type"] in _CONSEQUENCES or emptied_by_its_faults


def _misspelt(
    details: Iterable[ErrorDetails], table: type[BaseModel], *, file: bool
) -> Iterator[tuple[Path, str]]:
    """Yield each unknown key with the right one nearest to it."""
    for item in details:
        if item["type"] == "extra_forbidden":
            path = tuple(item["loc"])
            spot = place(path, table, file=file)
            keys = [spelt(name, field, file=file) for name, field in spot.table.model_fields.items()]
            close = difflib.get_close_matches(spot.name[:80].lower(), keys, n=1)
            if close:
                yield path, close[0]


def _unknown_key(spot: Place, right: str | None, table: type[BaseModel], *, file: bool) -> Fault:
    home = next(_homes(spot.name, table, file=file), None)
    if right is not None:
        hint = f"write {right}, unless {home}" if home else f"write {right}"
    elif home is not None:
        hint = home
    else:
        known = ", ".join(spelt(name, field, file=file) for name, field in spot.table.model_fields.items())
        hint = f"known here: {known}"
    return Fault(what=UNKNOWN_KEY, hint=hint, key=spot.key)


def _homes(key: str, table: type[BaseModel], *, file: bool) -> Iterator[str]:
    """Yield where a key belongs that stands in the wrong table."""
    # A table that stands but once is the likelier home: the IF filter before that behind a mixer.
    for name, field in sorted(
        table.model_fields.items(), key=lambda item: "tuple" in str(item[1].annotation)
    ):
        inner = inner_table(field.annotation)
        own = spelt(name, field, file=file)
        if own == key:
            at_the_top = "it belongs at the top of the plan, before the first table"
            yield f"it is a table of its own, {header(own, field)}" if inner else at_the_top
        elif inner and key in [spelt(n, f, file=file) for n, f in inner.model_fields.items()]:
            yield f"it belongs in {header(own, field)}"


def header(name: str, field: FieldInfo) -> str:
    """Return the line that begins a table in a file."""
    return f"[[{name}]]" if "tuple" in str(field.annotation) else f"[{name}]"


def _field_fault(item: ErrorDetails, spot: Place, *, file: bool) -> Fault:
    kind, found, context = item["type"], found_text(item["input"]), item.get("ctx", {})
    what, hint = _WANTED.get(kind, ""), _example(spot, file=file)
    if kind == "missing":
        what, found = "missing", ""
    elif kind == "value_error" and isinstance(context["error"], QuantityError):
        what, hint = context["error"].what, context["error"].hint
    elif kind in _BOUND:
        what, hint = (text.format(**context) for text in _BOUND[kind])
    elif kind == "literal_error":
        what, hint = _choice(str(context["expected"]), item["input"])
    elif not what:
        what = item["msg"][:1].lower() + item["msg"][1:]
    return Fault(what=what, hint=hint, key=spot.key, found=found)


def _choice(expected: str, value: object) -> tuple[str, str]:
    choices = expected.replace("'", "").replace(" or ", ", ").split(", ")
    close = difflib.get_close_matches(str(value)[:80].lower(), choices, n=1) if isinstance(value, str) else []
    listed = ", ".join(f'"{choice}"' for choice in choices)
    return "not one of the choices", f'write "{close[0]}"' if close else f"write one of {listed}"


def _example(spot: Place, *, file: bool) -> str:
    if spot.field is None:
        return ""
    if spot.field.examples and file:
        return f"write {spot.name} = {spot.field.examples[0]}"
    inner = inner_table(spot.field.annotation)
    if inner is None or file:
        return f"write {header(spot.name, spot.field)} on a line of its own" if inner else f"give {spot.name}"
    return f"give a {inner.__name__}"
