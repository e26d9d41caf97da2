"""What a view is given and what it hands back, free of any web library."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, TypeAlias
from urllib.parse import urlencode

from freqplan.page.state import KEPT

if TYPE_CHECKING:
    from freqplan.page.answers import Answers
    from freqplan.page.state import Bench, Shelf

Values: TypeAlias = Mapping[str, Sequence[str]]
"""What an address or a form holds: the values of each name, in their order."""

CARRIED = ("intermediate", "oscillator", "orders", "region", "pad")
"""What is put in place of the plan's own values; goes along from view to view."""


@dataclass(frozen=True)
class Upload:
    """A file chosen in a form.

    Attributes
    ----------
    name : str
        Of the file; never a path to anything here.
    content : bytes
        What it holds.
    """

    name: str
    content: bytes


@dataclass(frozen=True)
class Page:
    """A page to show: a template and what it needs."""

    template: str
    content: Mapping[str, Any] = field(default_factory=dict)
    status: int = 200


@dataclass(frozen=True)
class Download:
    """A file to keep, or a picture where `name` is empty."""

    text: str
    kind: str
    name: str = ""


@dataclass(frozen=True)
class Moved:
    """Where to go on, relative to the page asked for."""

    to: str


Reply: TypeAlias = "Page | Download | Moved"


@dataclass(frozen=True)
class Visit:
    """One question put to the page.

    Attributes
    ----------
    answers : Answers
        Computes, and remembers for a while.
    shelf : Shelf
        Turns benches into segments of an address.
    bench : Bench or None
        What is worked on; None on pages that need none.
    segment : str
        What stands for it in the address.
    up : str
        From this view back to where the views of the bench stand, such as ``"../"``.
    query, form : mapping
        What the address and a form sent hold.
    files : mapping
        Files chosen in it.
    parts : mapping
        What stands in the place of names in the path.
    """

    answers: Answers
    shelf: Shelf
    bench: Bench | None = None
    segment: str = ""
    up: str = ""
    query: Values = field(default_factory=dict)
    form: Values = field(default_factory=dict)
    files: Mapping[str, Upload] = field(default_factory=dict)
    parts: Mapping[str, str] = field(default_factory=dict)

    @property
    def here(self) -> Bench:
        """Return the bench of a page that has one."""
        assert self.bench is not None
        return self.bench

    def one(self, name: str) -> str:
        """Return a value of the address with single blanks inside and none around it, or an empty text."""
        return next((" ".join(value.split()) for value in self.query.get(name, ())), "")

    def several(self, name: str) -> tuple[str, ...]:
        """Return the values of a name in the address that are not blank, as `one` does."""
        return tuple(plain for value in self.query.get(name, ()) if (plain := " ".join(value.split())))

    def sent(self, name: str) -> str:
        """Return a value of the form as it was sent, with plain line feeds."""
        return next(iter(self.form.get(name, ())), "").replace("\r\n", "\n")

    @property
    def carried(self) -> dict[str, str]:
        """Return what stands in place of the plan's own values; of several IFs that are compared, none does."""
        return {name: told[0] for name in CARRIED if len(told := self.several(name)) == 1}

    @property
    def is_kept(self) -> bool:
        """Return whether the bench is too large for an address and lies in memory."""
        return self.segment.startswith(KEPT)

    def link(self, path: str, /, **query: str | Sequence[str]) -> str:
        """Return an address beside this view, with what is carried along unless `query` says otherwise."""
        return self.as_planned(path, **{**self.carried, **query})

    def as_planned(self, path: str, /, **query: str | Sequence[str]) -> str:
        """Return an address beside this view with the plan's own values."""
        asked = urlencode({name: text for name, text in query.items() if text}, doseq=True)
        place, mark, anchor = path.partition("#")
        return f"{self.up}{place}{'?' if asked else ''}{asked}{mark}{anchor}"


@dataclass(frozen=True)
class View:
    """One address of the page.

    Attributes
    ----------
    path : str
        Below the bench, such as ``"survey"`` or ``"table/<name>"``; with a slash before it, below the root.
    show : callable
        Answers a question.
    send : callable, optional
        Takes in a form.
    label : str
        Its entry in the navigation; empty for none.
    """

    path: str
    show: Callable[[Visit], Reply] | None
    send: Callable[[Visit], Reply] | None = None
    label: str = ""
