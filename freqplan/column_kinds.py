"""What is said about a column of a result."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Kind = Literal[
    "text", "count", "sign", "dial", "hertz", "beat", "pitch", "level", "change", "dbuv", "factor", "ratio",
    "names", "notes", "series",
    "span", "spans", "share", "products",
]  # fmt: skip


@dataclass(frozen=True)
class Column:
    """What one column of a result means.

    Attributes
    ----------
    caption : str
        Table head, without the unit.
    kind : str
        How a cell is written: a dial setting, a frequency, a beat in kHz, a level in dB, a list of names ...
    meaning : str
        One sentence for the glossary.
    """

    caption: str
    kind: Kind
    meaning: str
