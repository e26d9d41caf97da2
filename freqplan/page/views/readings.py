"""What a few readings of the dial say about oscillator, IF and pointer."""

from __future__ import annotations

from contextlib import AbstractContextManager
from typing import TYPE_CHECKING, Any

from freqplan.errors import Fault, FreqplanError, InputError, ReadingsError
from freqplan.page.incoming import pasted
from freqplan.page.readings_form import (
    COLUMNS,
    ERROR,
    ROWS_SHOWN,
    reading_error_hz,
    readings,
    readings_answers,
    readings_form,
    rows_of,
    rows_of_csv,
    tidy,
)
from freqplan.page.visit import Moved, Page, Reply, Values, View, Visit

if TYPE_CHECKING:
    from freqplan.dials import Dial
    from freqplan.readings import Readings

ASKED = (*COLUMNS, ERROR, ROWS_SHOWN)


def show(visit: Visit) -> Reply:
    """Show what explains the readings in the address; an address with blank rows goes on to one without."""
    told = told_by(visit)
    neat = tidy(told)
    if neat != {name: tuple(values) for name, values in told.items()}:
        anchor = f"#q-reads-{len(rows_of(told)) + 1}" if ROWS_SHOWN in neat else ""
        return Moved(visit.link(f"readings{anchor}", **neat))
    return _page(visit, neat)


def take_in(visit: Visit) -> Reply:
    """Go on with a list that was sent, or show what is wrong with it."""
    text = pasted(visit, "readings")
    try:
        return Moved(visit.link("readings", **readings_answers(rows_of_csv(text))))
    except ReadingsError as error:
        return _page(visit, {}, faults=tuple(map(str, error.faults)), text=text)


def told_by(visit: Visit) -> Values:
    """Return what the address tells of readings."""
    return {name: values for name, values in visit.query.items() if name in ASKED}


def readings_of(visit: Visit, told: Values) -> tuple[Readings, int | None]:
    """Return the readings told, and how well the dial is read [Hz] where that is told.

    Raises
    ------
    FreqplanError
        They cannot be used.
    """
    plan = visit.answers.plan(visit.here, visit.carried)
    faults: list[Fault] = []
    error_hz = None
    try:
        error_hz = reading_error_hz(told, unit=plan.rounding.unit)
    except ReadingsError as error:
        faults += error.faults
    try:
        given = readings(rows_of(told), unit=plan.rounding.unit)
    except ReadingsError as error:
        raise ReadingsError([*error.faults, *faults]) from None
    if faults:
        raise ReadingsError(faults)
    return given, error_hz


def explained(visit: Visit, told: Values) -> AbstractContextManager[Dial]:
    """Find what explains readings; see `freqplan.dials.dial`.

    Raises
    ------
    FreqplanError
        They cannot be used, or do not go with the plan.
    """
    given, error_hz = readings_of(visit, told)
    return visit.answers.dial(visit.here, visit.carried, given, error_hz)


def _page(visit: Visit, told: Values, *, faults: tuple[str, ...] = (), text: str = "") -> Page:
    unit = visit.answers.plan(visit.here).rounding.unit
    content: dict[str, Any] = {
        "answers": told,
        "faults": faults,
        "text": text,
        "columns": tuple(COLUMNS.values()),
        "unit": unit,
        "result": None,
    }
    wrong: tuple[Fault, ...] = ()
    try:
        if rows_of(told) or ERROR in told:
            with explained(visit, told) as result:
                content |= _answer(result) | {"form": readings_form(told, unit=unit)}
                return Page("readings.html", content)
    except InputError as error:
        wrong = error.faults
    except FreqplanError as error:
        content["faults"] = (*faults, str(error))
    content["form"] = readings_form(told, wrong, unit=unit)
    return Page("readings.html", content, 422 if wrong or content["faults"] else 200)


def _answer(result: Dial) -> dict[str, Any]:
    from freqplan.page.lines import shown

    return {"result": result, "tables": [table for name in result.names if (table := shown(result, name))]}


VIEWS = (View("readings", show, take_in, label="Dial readings"),)
