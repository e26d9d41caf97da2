"""From a figure to SVG: the same on every run, text as text, nothing that a content policy forbids."""

from __future__ import annotations

import re
import subprocess
import sys
import threading
from xml.etree import ElementTree

import pytest

from freqplan.charts import drawing
from freqplan.errors import MissingExtraError

SVG = "{http://www.w3.org/2000/svg}"
HOSTILE = "Radio </text><script>$x_1$ & \x07\x1b[31m\ud800 \u202eabc 日本"


def picture(name="one", text="Dial", alt="A line."):
    with drawing.look():
        figure = drawing.new_figure(height_mm=60)
        axes = figure.add_axes((0.1, 0.2, 0.8, 0.7))
        axes.plot([1, 2], [1, 2], dashes=(4, 2), marker="o", label=drawing.label(text))
        axes.fill_between([1, 2], [1, 1], [1.1, 1.2], hatch="//")
        axes.set_xlabel(drawing.label(text), fontweight="bold")
        axes.legend()
        return drawing.svg(figure, name=name, title=text, alt=alt)


def test_the_same_figure_is_the_same_text():
    assert picture() == picture()


def test_it_is_the_same_in_another_process():
    code = "import sys; sys.path.insert(0, 'tests'); import test_drawing; print(hash(test_drawing.picture()))"
    hashes = {
        subprocess.run(
            [sys.executable, "-c", code], capture_output=True, text=True, check=True,
            env={"PYTHONHASHSEED": "0", "PATH": "", "HOME": "/nonexistent"},
        ).stdout
        for _ in range(2)
    }  # fmt: skip
    assert len(hashes) == 1


def test_text_is_text_and_hostile_text_is_only_text():
    root = ElementTree.fromstring(picture(text=HOSTILE, alt=HOSTILE))
    texts = ["".join(one.itertext()) for one in root.iter(f"{SVG}text")]
    assert any("Radio </text><script>$x_1$ & " in one and "日本" in one for one in texts)
    assert root.find(f"{SVG}desc").text.startswith("Radio </text><script>")
    assert {one.tag.removeprefix(SVG) for one in root.iter()} <= {
        "svg", "g", "path", "text", "title", "desc", "defs", "use", "clipPath", "rect", "pattern", "tspan",
    }  # fmt: skip


def test_nothing_in_it_needs_a_style_sheet_or_the_network():
    text = picture()
    assert "style=" not in text
    assert "<style" not in text
    assert "<?xml" not in text
    root = ElementTree.fromstring(text)
    links = [value for one in root.iter() for key, value in one.attrib.items() if key.endswith("href")]
    assert links
    assert all(link.startswith("#one-") for link in links)
    assert set(re.findall(r"url\(([^)]*)\)", text)) <= {
        f"#{one.get('id')}" for one in root.iter() if one.get("id")
    }


def test_ids_of_two_pictures_differ():
    first, second = (set(re.findall(r' id="([^"]*)"', picture(name=name))) for name in ("one", "two"))
    assert first
    assert not first & second


def test_sizes_are_those_on_paper():
    root = ElementTree.fromstring(picture())
    assert (root.get("width"), root.get("height")) == ("180mm", "60mm")


def test_settings_of_the_process_are_left_as_they_were():
    import matplotlib

    before = dict(matplotlib.rcParams)
    picture()
    assert dict(matplotlib.rcParams) == before


def test_several_threads_draw_the_same():
    wanted, found = picture(), []
    threads = [threading.Thread(target=lambda: found.append(picture())) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert found == [wanted] * 4


def test_colours_can_be_told_from_white():
    def luminance(colour):
        parts = [int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5)]
        linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    # WCAG 2.1, 1.4.11: graphical objects 3 to 1; text 4.5 to 1.
    ratios = {colour: 1.05 / (luminance(colour) + 0.05) for colour in (*drawing.COLOURS, drawing.FAINT)}
    assert min(ratios.values()) >= 3
    assert ratios[drawing.FAINT] >= 4.5


def test_without_matplotlib_it_says_how_to_get_it(monkeypatch):
    monkeypatch.setattr(drawing, "find_spec", lambda name: None)
    with pytest.raises(MissingExtraError, match=r'pip install "freqplan\[plot\]"'), drawing.look():
        pass


@pytest.mark.parametrize(
    ("written", "told"),
    [
        ("font: 7px 'DejaVu Sans'", {"font-size": "7px"}),
        ("font: 700 8.5px x; text-anchor: end", {"font-weight": "700", "font-size": "8.5px", "text-anchor": "end"}),
        ("font: italic 700 8px 'A 9px B'", {"font-style": "italic", "font-weight": "700", "font-size": "8px"}),
    ],
)  # fmt: skip
def test_a_font_in_one_declaration_as_older_versions_write_it_keeps_its_size(written, told):
    """No browser knows an attribute of that name: the words would stand there in the size of the page."""
    element = ElementTree.Element("text", {"style": written})
    drawing._style_to_attributes(element)
    assert element.attrib == told
