"""From a form that was sent to a bench: text or file, a file going before what stands in the box."""

from __future__ import annotations

from pathlib import PurePath

from freqplan.errors import Fault, PlanError
from freqplan.page.state import Bench
from freqplan.page.visit import Upload, Visit

LONGEST_NAME = 80
NOT_UTF8 = "latin"
"""In the address behind a list that was read as Latin-1: its text alone does not tell."""

NOTHING = Bench("")


def bench_sent(visit: Visit, *, before: Bench = NOTHING, lenient: bool = False) -> Bench:
    """Return the bench that a form holds: ``plan`` and ``stations``, each as text or as file.

    Parameters
    ----------
    visit : Visit
        With the form.
    before : Bench
        Where names are kept from, as long as no file is chosen.
    lenient : bool
        Whether signs that cannot be read are passed over, to show the form again.

    Raises
    ------
    PlanError
        A file is no text.
    """
    plan, plan_name = _text(visit, "plan", before.plan_name, lenient=lenient)
    stations, stations_name = _text(visit, "stations", before.stations_name, lenient=lenient)
    return Bench(plan, stations, stations_name=stations_name if stations else "", plan_name=plan_name)


def _text(visit: Visit, name: str, known: str, *, lenient: bool) -> tuple[str, str]:
    file = visit.files.get(f"{name}_file")
    if file is None:
        return visit.sent(name), visit.sent(f"{name}_name") or known
    text = list_text(file.content) if name == "stations" else _plan_text(file, lenient=lenient)
    return text, plain_name(file.name)


def pasted(visit: Visit, name: str) -> str:
    """Return a text that was sent, or that of the file chosen in its place; a list may be written without UTF-8."""
    file = visit.files.get(f"{name}_file")
    return visit.sent(name) if file is None else list_text(file.content).replace("\r\n", "\n")


def plain_name(name: str) -> str:
    """Return the name of a file without folders, and not too long; it only ever shows as text."""
    last = PurePath(name.replace("\\", "/")).name
    return "".join(sign if sign.isprintable() else "\N{REPLACEMENT CHARACTER}" for sign in last)[
        -LONGEST_NAME:
    ]


def list_text(content: bytes) -> str:
    """Return the text of a station list, which may come from a program that knows no UTF-8."""
    from freqplan.csvfile import text_of

    return text_of(content)[0]


def onward(visit: Visit, bench: Bench) -> str:
    """Return where a bench that was sent is surveyed, as seen from the root; it tells of a list that is not UTF-8."""
    from freqplan.csvfile import text_of

    file = visit.files.get("stations_file")
    told = f"?{NOT_UTF8}=1" if file is not None and text_of(file.content)[1] else ""
    return f"{visit.shelf.segment(bench)}/survey{told}"


def _plan_text(file: Upload, *, lenient: bool) -> str:
    try:
        return file.content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        if lenient:
            return file.content.decode("utf-8-sig", "replace")
        line = file.content.count(b"\n", 0, error.start) + 1
        fault = Fault("not text in UTF-8", "save it as UTF-8", source=plain_name(file.name), line=line)
        raise PlanError([fault]) from None
