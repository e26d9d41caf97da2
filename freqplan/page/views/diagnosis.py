"""From what was heard to its cause: the answer first, then the form in which it was told."""

from __future__ import annotations

from contextlib import AbstractContextManager
from typing import TYPE_CHECKING, Any

from freqplan.errors import EvidenceError, Fault, FreqplanError, InputError
from freqplan.page.evidence_form import (
    SHOWN,
    answers_of_toml,
    evidence_form,
    evidence_tables,
    tidy,
    without,
)
from freqplan.page.incoming import pasted
from freqplan.page.visit import CARRIED, Download, Moved, Page, Reply, Values, View, Visit

if TYPE_CHECKING:
    from freqplan.diagnoses import Diagnosis
    from freqplan.evidence import Evidence
    from freqplan.page.lines import Shown

TAKE_OUT = "without"
OTHERS = (*CARRIED, TAKE_OUT, "table")
"""What may stand in the address besides the answers."""

NAMING = ("on_station", "programme_of", "notch_stops", "notch_keeps")
MOST_OFFERED = 500
"""Names of stations offered while one is written."""

MOST_PLACES = 4
_NOTHING = "Nothing was noticed yet: answer at least one question on the disturbance."


def show(visit: Visit) -> Reply:
    """Show the causes of what the address tells; an address with blanks goes on to one without."""
    told, out = told_by(visit), visit.one(TAKE_OUT)
    if out.isascii() and out.isdigit() and len(out) < 5:
        return Moved(visit.link("diagnosis", **without(told, int(out))))
    neat = tidy(told)
    if neat != {name: tuple(values) for name, values in told.items()}:
        anchor = f"#disturbance-{neat[SHOWN][0]}" if SHOWN in neat else ""
        return Moved(visit.link(f"diagnosis{anchor}", **neat))
    return _page(visit, neat)


def take_in(visit: Visit) -> Reply:
    """Go on with an evidence file that was sent, or show what is wrong with it."""
    text = pasted(visit, "evidence")
    try:
        return Moved(visit.link("diagnosis", **answers_of_toml(text)))
    except EvidenceError as error:
        return _page(visit, {}, faults=tuple(map(str, error.faults)), text=text)


def told_by(visit: Visit) -> Values:
    """Return what the address tells of disturbances."""
    return {name: values for name, values in visit.query.items() if name not in OTHERS}


def evidence_of(visit: Visit, told: Values) -> Evidence:
    """Return what was told as evidence.

    Raises
    ------
    FreqplanError
        It cannot be used.
    """
    from freqplan.evidence import Evidence

    unit = visit.answers.plan(visit.here, visit.carried).rounding.unit
    return Evidence.from_file_keys(evidence_tables(told, unit=unit))


def diagnosed(visit: Visit, told: Values) -> AbstractContextManager[Diagnosis]:
    """Find the causes; see `freqplan.diagnoses.diagnose`.

    Raises
    ------
    FreqplanError
        What was told cannot be used, or does not go with plan and list.
    """
    return visit.answers.diagnosis(visit.here, visit.carried, evidence_of(visit, told))


def _page(visit: Visit, told: Values, *, faults: tuple[str, ...] = (), text: str = "") -> Page:
    unit = visit.answers.plan(visit.here).rounding.unit
    offered = _offered(visit)
    content: dict[str, Any] = {
        "answers": told,
        "faults": faults,
        "text": text,
        "stations": offered,
        "lists": dict.fromkeys(NAMING, "on-the-air") if offered else {},
        "result": None,
    }
    wrong: tuple[Fault, ...] = ()
    try:
        if evidence_tables(told, unit=unit)["symptom"]:
            with diagnosed(visit, told) as result:
                content |= _answer(result) | {"form": evidence_form(told, unit=unit)}
                return Page("diagnosis.html", content)
        if told and SHOWN not in told:
            content["faults"] = (_NOTHING,)
    except InputError as error:
        wrong = error.faults
    except FreqplanError as error:
        content["faults"] = (*faults, str(error))
    content["form"] = evidence_form(told, wrong, unit=unit)
    return Page("diagnosis.html", content, 422 if wrong or content["faults"] else 200)


def _offered(visit: Visit) -> tuple[str, ...]:
    stations = visit.answers.stations(visit.here)
    return () if stations is None else tuple(dict.fromkeys(stations.names))[:MOST_OFFERED]


def _answer(result: Diagnosis) -> dict[str, Any]:
    from freqplan.page.lines import setting, shown

    band = result.plan.band
    places: dict[str, str] = {}
    for row in result.causes.rows():
        spot = row["dial_hz"]
        if spot is None or not band.low_hz <= spot <= band.high_hz or row["verdict"] == "ruled-out":
            continue
        dial_hz = spot if isinstance(spot, int) else result.plan.nearest_channel_hz(spot)
        places.setdefault(setting(result.plan, dial_hz), row["mechanism"])
    tables = [
        _cut(table, result.rows_shown(name, alone=False))
        for name in result.names
        if (table := shown(result, name))
    ]
    return {"result": result, "tables": tables, "places": list(places.items())[:MOST_PLACES]}


def _cut(table: Shown, most: int) -> tuple[Shown, Shown]:
    """Return the rows to be seen at once, and those that are folded away."""
    rest = table._replace(rows=table.rows[most:], title=f"{table.title}, continued")
    return table._replace(rows=table.rows[:most]), rest


def evidence_file(visit: Visit) -> Reply:
    """Hand over what the address tells as an evidence file."""
    from freqplan.tomltext import toml_text

    unit = visit.answers.plan(visit.here).rounding.unit
    tables = evidence_tables(told_by(visit), unit=unit)
    return Download(toml_text(tables), "application/toml; charset=utf-8", "evidence.toml")


VIEWS = (
    View("diagnosis", show, take_in, label="Diagnosis"),
    View("evidence.toml", evidence_file),
)
