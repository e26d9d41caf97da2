"""A chart as it is handed over: a picture with its words, whole in itself."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Chart:
    """A finished picture.

    Attributes
    ----------
    name : str
        What it is asked for by, such as ``"response-map"``.
    title : str
        What it shows.
    caption : str
        How to read it, in a sentence or two.
    alt : str
        What is to be seen in it, in words and figures, for whoever cannot see it.
    pictures : tuple of str
        One SVG element each, text as text, without style sheets or style attributes, so that it can stand in a page
        under any content policy; a long scale comes in several pieces.
    """

    name: str
    title: str
    caption: str
    alt: str
    pictures: tuple[str, ...]
