"""A chart as it is handed over: a picture with its words, whole in itself."""

from __future__ import annotations

import html
import textwrap
from dataclasses import dataclass
from xml.etree import ElementTree

from freqplan.charts.drawing import FONT

SVG = "http://www.w3.org/2000/svg"
LETTERS, LINE_MM, LETTER_MM = 118, 4.0, 2.65
"""Letters to a line of the caption on paper, from one line to the next, and the height of a letter: 7.5 pt."""


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

    def to_svg(self) -> str:
        """Return one SVG file: the pictures below one another, and the caption below them."""
        parts = [ElementTree.fromstring(picture) for picture in self.pictures]
        sizes = [
            tuple(float(part.attrib[side].removesuffix("mm")) for side in ("width", "height"))
            for part in parts
        ]
        lines = textwrap.wrap(self.caption, LETTERS, break_on_hyphens=False)
        width, height = max(wide for wide, _ in sizes), sum(high for _, high in sizes)
        whole = ElementTree.Element(f"{{{SVG}}}svg")
        below = 0.0
        for part, (_, high) in zip(parts, sizes, strict=True):
            part.set("y", f"{below:g}mm")
            whole.append(part)
            below += high
        for number, line in enumerate(lines, 1):
            place = {"x": "1mm", "y": f"{height + number * LINE_MM:g}mm", "font-size": f"{LETTER_MM}mm"}
            ElementTree.SubElement(whole, f"{{{SVG}}}text", place).text = line
        total = height + (len(lines) + 1) * LINE_MM
        whole.attrib.update({"font-family": FONT, "width": f"{width:g}mm", "height": f"{total:g}mm"})
        return f"{ElementTree.tostring(whole, encoding='unicode')}\n"

    def to_html(self) -> str:
        """Return the pictures and the caption as a figure for a page."""
        return (
            f"<figure>{''.join(self.pictures)}<figcaption>{html.escape(self.caption)}</figcaption></figure>"
        )

    def _repr_html_(self) -> str:
        return self.to_html()
