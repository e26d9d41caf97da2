"""A set by its fields: what of a plan the form shows, and from the fields filled in back to the text of a plan."""

from __future__ import annotations

import copy
import io
from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

from pydantic.fields import FieldInfo

from freqplan.errors import Fault, PlanError
from freqplan.page.form_fields import Field, Section, Words, field_of, sorted_out, to_text, to_value
from freqplan.page.plan_words import SECTIONS, Key
from freqplan.page.visit import Values
from freqplan.plan import Plan
from freqplan.plan_faults import inner_table, spelt
from freqplan.tomlfile import read_toml
from freqplan.tomltext import toml_text

Path = tuple[str | int, ...]
MOST_SIGNS = 200
"""Of one answer; a title may be as long as a line."""


def plan_tables(text: str) -> dict[str, Any]:
    """Read the tables of a plan's text, not yet looked at; none in a blank one.

    Raises
    ------
    PlanError
        It is no TOML.
    """
    if not text.strip():
        return {}
    try:
        file = read_toml(io.StringIO(text), content="plan", beginning="write [band]", refusal=PlanError)
    except PlanError as error:
        raise PlanError(replace(fault, source="") for fault in error.faults) from None
    return file.tables


def plan_sections(
    tables: Mapping[str, Any], answers: Values | None = None, faults: tuple[Fault, ...] = ()
) -> tuple[tuple[Section, ...], tuple[str, ...]]:
    """Return the questions with what is filled in, and the faults that belong to none of them.

    Parameters
    ----------
    tables : mapping
        The plan as its file has it; may be faulty.
    answers : mapping, optional
        What was sent, to be shown again; by default what the plan says.
    faults : tuple of Fault
        What is wrong with the plan.
    """
    at_home, others = sorted_out(faults, {name: name for _, _, name, _ in _questions(tables)})
    filled: dict[str, list[Field]] = {}
    for title, words, name, info in _questions(tables):
        values = (_shown(tables, name),) if answers is None else answers.get(name, ())
        values = tuple(value for value in values if value)
        filled.setdefault(title, []).append(field_of(name, info, words).filled(values, at_home.get(name, ())))
    sections = tuple(
        Section(title, tuple(filled[title]), folded=folded)
        for title, folded, _ in SECTIONS
        if title in filled
    )
    return sections, others


def changed_plan(tables: Mapping[str, Any], answers: Values) -> str | None:
    """Return the text of the plan with the answers in place, or None where they change nothing.

    Parameters
    ----------
    tables : mapping
        The plan as its file has it.
    answers : mapping
        By name of the question; a blank answer takes its key out, a question that is not answered at all leaves it.

    Raises
    ------
    PlanError
        The plan would be faulty; holds every fault, keys spelt as in a file.

    Notes
    -----
    What the form does not ask for stays as it is.  Comments in the text of a plan that is changed are lost.
    """
    changed = copy.deepcopy(dict(tables))
    refused: list[Fault] = []
    for _, _, name, info in _questions(tables):
        texts = answers.get(name)
        if texts is None:
            continue
        try:
            text = _single(name, texts)
        except PlanError as error:
            refused += error.faults
            continue
        if text != _shown(tables, name).strip():
            _put(changed, path_of(name), to_value(text, info) if text else None)
    changed.setdefault("band", {})
    changed.setdefault("conversion", [{}])
    refused += _faults(changed)
    if refused:
        raise PlanError(refused)
    return None if changed == tables else toml_text(changed)


def path_of(name: str) -> Path:
    """Return the steps of a dotted key such as ``conversion[0].intermediate``."""
    steps = name.replace("[", ".").replace("]", "").split(".")
    return tuple(int(step) if step.isdigit() else step for step in steps)


def _single(name: str, texts: Any) -> str:
    """Return the one answer to a question, without blanks around it."""
    if len(texts) > 1:
        raise PlanError([Fault("answered twice", "keep one of them", key=name)])
    text = "".join(texts).strip()
    if len(text) > MOST_SIGNS:
        raise PlanError([Fault(f"longer than {MOST_SIGNS} signs", "shorten it", key=name, found=text)])
    return text


def _faults(tables: Mapping[str, Any]) -> tuple[Fault, ...]:
    try:
        Plan.from_file_keys(tables)
    except PlanError as error:
        return error.faults
    return ()


def _questions(tables: Mapping[str, Any]) -> Iterator[tuple[str, Words, str, FieldInfo]]:
    """Yield each question: title of its section, words, dotted key in this very plan, key in the model."""
    for title, _, keys in SECTIONS:
        for key, words in keys.items():
            name, info = _home(key, tables)
            yield title, words, name, info


def _home(key: Key, tables: Mapping[str, Any]) -> tuple[str, FieldInfo]:
    """Return where a key stands in this plan; the IF filter may be told with the last conversion as well."""
    table_name, attribute = key
    if not table_name:
        return attribute, Plan.model_fields[attribute]
    table = inner_table(Plan.model_fields[table_name].annotation)
    if table is None:
        raise LookupError(f"no table of a plan: {table_name}")
    info = table.model_fields[attribute]
    prefix = table_name
    if table_name == "conversion":
        prefix = "conversion[0]"
    elif table_name == "if_filter" and table_name not in tables and (last := _last_with_filter(tables)):
        prefix = last
    return f"{prefix}.{spelt(attribute, info, file=True)}", info


def _last_with_filter(tables: Mapping[str, Any]) -> str:
    conversions = tables.get("conversion")
    if isinstance(conversions, list) and conversions and isinstance(conversions[-1], dict):
        return f"conversion[{len(conversions) - 1}]" if "bandwidth" in conversions[-1] else ""
    return ""


def _shown(tables: Mapping[str, Any], name: str) -> str:
    """Return what a plan says at a dotted key, as a form shows it."""
    value: object = tables
    for step in path_of(name):
        if isinstance(value, Mapping) and isinstance(step, str):
            value = value.get(step)
        elif isinstance(value, list) and isinstance(step, int):
            value = value[step] if step < len(value) else None
        else:
            return ""
    return to_text(value)


def _put(tables: dict[str, Any], path: Path, value: object) -> None:
    """Set a key, or take it out where `value` is None, with its table if nothing is left in that."""
    *outer, key = path
    if not outer:
        _set(tables, key, value)
        return
    name, *place = outer
    holder = tables.get(str(name))
    if place:
        _set(_row(tables, str(name), int(place[0])), key, value)
        return
    table = tables[str(name)] = holder if isinstance(holder, dict) else {}
    _set(table, key, value)
    if not table:
        del tables[str(name)]


def _row(tables: dict[str, Any], name: str, place: int) -> dict[str, Any]:
    """Return one of several tables, made where it is missing or no table."""
    holder = tables.get(name)
    rows: list[Any] = holder if isinstance(holder, list) and holder else [holder]
    row: dict[str, Any] = rows[place] if isinstance(rows[place], dict) else {}
    rows[place], tables[name] = row, rows
    return row


def _set(table: dict[Any, Any], key: str | int, value: object) -> None:
    if value is None:
        table.pop(key, None)
    else:
        table[key] = value
