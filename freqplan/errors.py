"""What can go wrong, with the evidence attached.

Every message says where the trouble is, what was found there and what to write instead.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

LONGEST_SOURCE, LONGEST_KEY, LONGEST_MESSAGE = 160, 80, 600
"""Signs of a file name, of a key and of one whole message: a hostile file must not fill the screen."""

MOST_FAULTS = 1_000
"""A wrong file has a fault in each of its million rows; after so many the rest is not looked into."""

LONGEST_NAME = 200
"""Signs of what a set, a station or a student is called: it stands on every page and in every row."""


@dataclass(frozen=True)
class Fault:
    """One thing wrong in something a person wrote.

    Attributes
    ----------
    what : str
        What is wrong, as a clause that starts in lower case.
    hint : str
        What to write instead; may be empty.
    key : str
        Dotted key or column, such as ``band.low`` or ``conversion[0].intermediate``.
    found : str
        The text that was found, or empty.
    source : str
        File name, ``<stdin>``, or empty when the value came from Python.
    line : int or None
        Line in the source, counted from 1.
    """

    what: str
    hint: str = ""
    key: str = ""
    found: str = ""
    source: str = ""
    line: int | None = None

    def __str__(self) -> str:
        line = f"line {self.line}" if self.line is not None else ""
        place = [shortened(self.source, LONGEST_SOURCE), line, shortened(self.key, LONGEST_KEY)]
        where = ", ".join(part for part in place if part)
        text = f"{where}: {self.what}" if where else self.what
        if self.found:
            text += f", found {shortened(self.found)}"
        return shortened(f"{text}; {self.hint}" if self.hint else text, LONGEST_MESSAGE)


def shortened(text: str, limit: int = 60) -> str:
    """Return `text` fit for one line of a message: control signs escaped, long text cut."""
    if len(text) <= limit and text.isprintable():
        return text
    # Cut before it is escaped as well, since a text may have millions of signs.
    clean = "".join(_escaped(sign) for sign in text[: limit + 1])
    return clean if len(clean) <= limit else f"{clean[: limit - 1]}…"


def _escaped(sign: str) -> str:
    return sign if sign.isprintable() else sign.encode("unicode_escape").decode()


class FreqplanError(Exception):
    """Base of every error that freqplan raises on purpose."""


class InputError(FreqplanError, ValueError):
    """Something a person wrote cannot be used; holds every fault at once.

    Attributes
    ----------
    faults : tuple of Fault
        All faults, in the order of the source.
    """

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(str(fault) for fault in self.faults))


class PlanError(InputError):
    """A plan is faulty."""


class StationsError(InputError):
    """A station list is faulty."""


class EvidenceError(InputError):
    """What was observed cannot be read."""


class ReadingsError(InputError):
    """A list of dial readings is faulty, or does not belong to the plan."""


class AnswersError(InputError):
    """A list of answers is faulty, or does not belong to the exercise."""


class WeightsError(InputError):
    """Weights of a comparison cannot be used."""


class SweepError(InputError):
    """A measured response is faulty."""


class ModelRangeError(FreqplanError, ValueError):
    """A question lies outside what the plan covers, such as a dial setting off the band."""


class ArgumentError(FreqplanError, TypeError):
    """A function was given something of another kind than it asks for, such as a file name for a plan."""


class MissingExtraError(FreqplanError, ImportError):
    """A library that only some tasks need is not installed; the message says how to get it or do without."""
