"""The catalogue: what each mechanism is, how it shows, its picture, how to confirm it and what helps."""

from __future__ import annotations

from http import HTTPStatus
from typing import TYPE_CHECKING, Any

from freqplan.errors import FreqplanError, ModelRangeError
from freqplan.page.faults import faults_of
from freqplan.page.visit import Page, Reply, View, Visit

if TYPE_CHECKING:
    from freqplan.plan import Plan

LONGEST_NAME = 60


def show(visit: Visit) -> Reply:
    """Show every mechanism of the catalogue."""
    from freqplan.mechanisms import catalogue, explained

    return Page("mechanisms.html", {"mechanisms": list(explained(catalogue()).rows())})


def show_one(visit: Visit) -> Reply:
    """Show one mechanism with its picture; where the set cannot be read, its words all the same."""
    from freqplan import questions
    from freqplan.mechanisms import catalogue, explained
    from freqplan.screen import plain

    mechanism = visit.parts["mechanism"]
    if mechanism not in catalogue():
        texts = (
            f"There is no mechanism {plain(mechanism[:LONGEST_NAME])!r}.",
            "The catalogue lists those there are.",
        )
        return Page("message.html", {"title": "Not Found", "texts": texts}, HTTPStatus.NOT_FOUND)
    (row,) = explained([mechanism]).rows()
    content: dict[str, Any] = {
        "row": row, "dial": visit.one("dial"), "faults": (), "shown": (), "unshown": (), "caption": "", "alike": (),
        "steps": (), "signs": (), "remarks": (),
    }  # fmt: skip
    try:
        plan = visit.answers.plan(visit.here, visit.carried)
        dial_hz = questions.read_dial(visit.one("dial"), plan).dial_hz if visit.one("dial") else None
        content |= {**_picture(visit, plan, mechanism, dial_hz), **_derivation(visit, mechanism, dial_hz)}
        return Page("mechanism.html", content | {"alike": _alike(plan, mechanism)})
    except FreqplanError as error:
        return Page("mechanism.html", content | {"faults": faults_of(error)}, HTTPStatus.UNPROCESSABLE_ENTITY)


def _picture(visit: Visit, plan: Plan, mechanism: str, dial_hz: int | None) -> dict[str, Any]:
    """Return what the spectrum shows in words, and why there is no picture where there is none."""
    from freqplan.charts.drawing import HOW_TO_GET, can_draw
    from freqplan.charts.spectrum import PICTURED, caption_of, spectra

    if mechanism not in PICTURED:
        return {"unshown": ("No sum of frequencies makes it, so there is none to draw.",)}
    with visit.answers.survey(visit.here, visit.carried) as result:
        try:
            shown, remark = spectra(result, mechanism, dial_hz)
        except ModelRangeError as error:
            if dial_hz is not None and not plan.band.low_hz <= dial_hz <= plan.band.high_hz:
                raise
            return {"unshown": (f"{error}.",)}
    return {
        "shown": shown,
        "caption": caption_of(shown, remark),
        "unshown": () if can_draw() else (HOW_TO_GET,),
    }


def _derivation(visit: Visit, mechanism: str, dial_hz: int | None) -> dict[str, Any]:
    """Return the steps by which its formula comes about, with the numbers of the set, and what their signs mean."""
    with visit.answers.lesson(visit.here, visit.carried, mechanism, dial_hz) as lesson:
        signs = [text.split(": ", 1) for text in lesson.sections.get("Signs", ())]
        return {"steps": list(lesson.steps.rows()), "signs": signs, "remarks": lesson.remarks}


def _alike(plan: Plan, mechanism: str) -> list[tuple[Any, str]]:
    from freqplan.alike import taken_for
    from freqplan.mechanisms import catalogue

    return [(catalogue()[name], how) for name, how in taken_for(plan, mechanism).items()]


VIEWS = (View("mechanisms", show, label="Mechanisms"), View("mechanisms/<mechanism>", show_one))
