"""From figures to SVG: one look for all charts, the same bytes on every run, text as text.

Colours alone never carry a meaning: each goes with a dash or a marker of its own, so that a print in black and
white and an eye that confuses colours read the same.
"""

from __future__ import annotations

import io
import re
import threading
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from importlib.util import find_spec
from typing import TYPE_CHECKING, Any
from xml.etree import ElementTree

from freqplan.errors import MissingExtraError
from freqplan.screen import plain

if TYPE_CHECKING:
    from matplotlib.figure import Figure

INK, FAINT, PAPER = "#000000", "#767676", "#ffffff"
COLOURS = ("#0072b2", "#d55e00", "#007a5a", "#a8478a", "#8a6d00", "#2a86c4", "#000000")
"""Told apart by eyes that confuse red and green, and dark enough for thin lines on white; after Okabe and Ito, "Color
universal design" (2008), from memory, three of them darkened."""

DASHES: tuple[tuple[float, ...], ...] = (
    (),
    (6, 2),
    (2, 2),
    (8, 2, 2, 2),
    (4, 4),
    (10, 3),
    (8, 2, 2, 2, 2, 2),
)
"""Dashes to go with the colours, in line widths; the first is a whole line."""

MARKERS = ("o", "s", "^", "D", "v", "P", "X", "*")
"""Markers to go with the colours."""

WIDTH_MM = 180
"""As wide as A4 and Letter leave room for between their margins."""

MM_PER_INCH = 25.4
HOW_TO_GET = 'charts need matplotlib: pip install "freqplan[plot]"'

FONT = "DejaVu Sans, Verdana, Arial, sans-serif"
"""All letters, the first of these that the reader's machine has."""

_SVG, _XLINK = "http://www.w3.org/2000/svg", "http://www.w3.org/1999/xlink"
# For every process, also one that is handed finished charts and draws none.
ElementTree.register_namespace("", _SVG)
ElementTree.register_namespace("xlink", _XLINK)
_LINK = f"{{{_XLINK}}}href"
_FORBIDDEN = re.compile("[\ud800-\udfff\ufffe\uffff]")
_REFERENCE = re.compile(r"url\(#([^)]+)\)")
_LOOK: dict[Any, Any] = {
    "svg.fonttype": "none",
    "svg.hashsalt": "freqplan",
    "text.parse_math": False,
    "axes.unicode_minus": True,
    "font.family": "DejaVu Sans",
    "font.size": 8.5,
    "axes.linewidth": 0.7,
    "axes.edgecolor": INK,
    "axes.titlesize": 9.5,
    "legend.frameon": False,
    "hatch.linewidth": 0.5,
    "path.simplify": True,
}
_ONE_AT_A_TIME = threading.RLock()
"""The settings of matplotlib are those of the process."""


def can_draw() -> bool:
    """Return whether matplotlib is installed."""
    return find_spec("matplotlib") is not None


@contextmanager
def look() -> Iterator[None]:
    """Draw with the one look; figures are made and written inside.

    Raises
    ------
    MissingExtraError
        matplotlib is not installed.
    """
    if not can_draw():
        raise MissingExtraError(HOW_TO_GET)
    import matplotlib

    with _ONE_AT_A_TIME, matplotlib.rc_context(_LOOK), warnings.catch_warnings():
        # Names in signs that the font at hand lacks are text in the picture all the same.
        warnings.filterwarnings("ignore", "Glyph .* missing from font", UserWarning)
        yield


def new_figure(*, width_mm: float = WIDTH_MM, height_mm: float) -> Figure:
    """Return an empty figure of a size on paper; to be called inside `look`."""
    from matplotlib.figure import Figure

    return Figure(figsize=(width_mm / MM_PER_INCH, height_mm / MM_PER_INCH), layout=None, facecolor=PAPER)


def svg(figure: Figure, *, name: str, title: str, alt: str) -> str:
    """Write a figure as one SVG element; to be called inside `look`.

    Parameters
    ----------
    figure : Figure
        What `new_figure` made, drawn on.
    name : str
        Goes before every id, so that several pictures can stand in one page.
    title, alt : str
        Short and long text in place of the picture.

    Returns
    -------
    str
        Sizes in millimetres; no declaration before it, so that it can stand in a page or a file.
    """
    file = io.StringIO()
    figure.savefig(file, format="svg", metadata={"Date": None, "Creator": None, "Format": None, "Type": None})
    root = ElementTree.fromstring(file.getvalue())
    width, height = (f"{inches * MM_PER_INCH:.4g}mm" for inches in figure.get_size_inches())
    _tidy(root, name)
    words = {"aria-labelledby": f"{name}-title", "aria-describedby": f"{name}-desc"}
    root.attrib.update({"width": width, "height": height, "role": "img", **words})
    for place, (tag, text) in enumerate((("title", title), ("desc", alt))):
        element = ElementTree.Element(f"{{{_SVG}}}{tag}", {"id": f"{name}-{tag}"})
        element.text = label(text)
        root.insert(place, element)
    return ElementTree.tostring(root, encoding="unicode")


def label(text: str, longest: int | None = None) -> str:
    """Return a text fit to be drawn: without signs that XML forbids, which names may hold, and not too long."""
    fit = _FORBIDDEN.sub("\N{REPLACEMENT CHARACTER}", plain(text))
    return (
        fit
        if longest is None or len(fit) <= longest
        else f"{fit[: longest - 1].rstrip()}\N{HORIZONTAL ELLIPSIS}"
    )


def _tidy(root: ElementTree.Element, name: str) -> None:
    """Turn style into attributes, drop what is not drawn, and make ids those of this picture."""
    for parent in list(root.iter()):
        for child in list(parent):
            if child.tag in (f"{{{_SVG}}}metadata", f"{{{_SVG}}}style"):
                parent.remove(child)
    root.attrib.update({"stroke-linejoin": "round", "font-family": FONT})
    used = _referred_to(root)
    for element in root.iter():
        _style_to_attributes(element)
        given = element.attrib.pop("id", None)
        if given in used:
            element.set("id", f"{name}-{given}")
        for key, value in element.attrib.items():
            if key == _LINK:
                element.set(key, f"#{name}-{value.removeprefix('#')}")
            elif "url(#" in value:
                element.set(key, _REFERENCE.sub(rf"url(#{name}-\1)", value))


def _referred_to(root: ElementTree.Element) -> set[str]:
    links = {element.get(_LINK, "").removeprefix("#") for element in root.iter()}
    return links | {
        one
        for element in root.iter()
        for value in element.attrib.values()
        for one in _REFERENCE.findall(value)
    }


def _style_to_attributes(element: ElementTree.Element) -> None:
    """Write the declarations of a style attribute as attributes, which no content policy forbids."""
    for declaration in element.attrib.pop("style", "").split(";"):
        key, _, value = (part.strip() for part in declaration.partition(":"))
        if key == "font":
            element.attrib.update(_parts_of_font(value))
        elif key and key != "font-family":
            element.set(key, value)


def _parts_of_font(value: str) -> dict[str, str]:
    """Return what matplotlib before 3.10 writes in one, such as ``italic 700 7px 'DejaVu Sans'``: no such attribute."""
    *words, size = value.partition("px")[0].split()
    named = {"font-weight" if word.isdigit() else "font-style": word for word in words}
    return {"font-size": f"{size}px", **named}
