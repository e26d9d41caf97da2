"""A formula as text that knows how it is written elsewhere."""

from __future__ import annotations

import html
import re

_NAME = re.compile(r"\b([fzF])([A-Z][0-9]?|[0-2])\b|\b(rho|tau|theta|phi|pi|dX)\b")
_POWER = re.compile(r"\^(?:\(([^()]*)\)|([0-9a-zA-Z.]+))")
_GREEK = {"rho": "ρ", "tau": "τ", "theta": "θ", "phi": "φ", "pi": "π", "dX": "Δ"}


class Formula(str):
    """A line of text that is a formula.

    Attributes
    ----------
    latex : str
        The same for LaTeX, without dollar signs.
    """

    __slots__ = ("latex",)
    latex: str

    def __new__(cls, text: str, latex: str) -> Formula:
        """Return a formula, written as `text` and for LaTeX as `latex`."""
        own = super().__new__(cls, text)
        own.latex = latex
        return own


def marked_up(text: str) -> str:
    """Return a text for HTML, escaped; a formula with indices and powers where they belong."""
    if not isinstance(text, Formula):
        return html.escape(text)
    signs = html.escape(text.strip()).replace(" - ", " − ").replace("*", "\N{MIDDLE DOT}")
    signs = _POWER.sub(lambda found: f"<sup>{found[1] or found[2]}</sup>", signs)
    return _NAME.sub(
        lambda found: _GREEK[found[3]] if found[3] else f"{found[1]}<sub>{found[2]}</sub>", signs
    )
