"""The report in a browser: printed on A4 and Letter, at true size, and on screens from 320 px on."""

from __future__ import annotations

import datetime
import re
import subprocess
from pathlib import Path

import pytest
from commandline import DEMO
from thoroughness import some

import freqplan
from freqplan.charts.chart import Chart

CHROMIUM = "/usr/bin/chromium"
pytestmark = pytest.mark.skipif(not Path(CHROMIUM).exists(), reason="chromium is not installed")

MM_PER_POINT = 25.4 / 72
MARGINS_MM = 30
HINTING_POINTS = 3
"""By how much letters are told wider than they are printed."""

PAPERS = {"A4": 210, "Letter": 215.9}
"""Widths in millimetres."""

every_paper = pytest.mark.parametrize("paper", PAPERS)

RULE = Chart(
    "rule",
    "A rule",
    "A rule of 180 mm.",
    "Two marks, 150 mm apart.",
    (
        '<svg xmlns="http://www.w3.org/2000/svg" width="180mm" height="20mm" viewBox="0 0 180 20" '
        'role="img" aria-label="rule">'
        '<text x="10" y="10" font-size="5">left</text><text x="160" y="10" font-size="5">right</text></svg>',
    ),
)


@pytest.fixture(scope="module")
def browser():
    from playwright.sync_api import sync_playwright

    with sync_playwright() as player:
        started = player.chromium.launch(executable_path=CHROMIUM, args=["--disable-gpu"])
        yield started
        started.close()


@pytest.fixture(scope="module")
def report_file(tmp_path_factory):
    """The report of the demonstration set with everything in it, and a ruler among its charts."""
    folder = tmp_path_factory.mktemp("report")
    plan, stations = freqplan.load_plan(DEMO / "pantry.toml"), freqplan.load_stations(DEMO / "orvessa.csv")
    with pytest.MonkeyPatch.context() as patch:
        from freqplan.charts import gallery

        drawn = gallery.charts_of
        patch.setattr(gallery, "charts_of", lambda *given, **options: (*drawn(*given, **options), RULE))
        text = freqplan.report(
            plan, stations, evidence=freqplan.load_evidence(DEMO / "pantry-heard.toml"),
            date=datetime.date(2026, 11, 26),
        )  # fmt: skip
    file = folder / "page.html"
    file.write_text(text, encoding="utf-8")
    return file


@pytest.fixture
def opened(browser, report_file):
    """The page, with what it says and asks for while it is open."""
    page = browser.new_page()
    page.said, page.asked = [], []
    page.on("console", lambda message: page.said.append(message.text))
    page.on("pageerror", lambda error: page.said.append(str(error)))
    page.on("request", lambda request: page.asked.append(request.url))
    page.goto(report_file.as_uri())
    yield page
    page.close()


@pytest.fixture(scope="module")
def printed(browser, report_file, tmp_path_factory):
    """The report as it is printed, by paper."""
    return print_out(browser, report_file, tmp_path_factory.mktemp("printed"))


@pytest.fixture(scope="module")
def printed_tuner(browser, tmp_path_factory):
    """The report of another set as it is printed, by paper: its first chart follows half a page of dial readings."""
    folder = tmp_path_factory.mktemp("tuner")
    readings = freqplan.load_readings(DEMO / "loft-readings.csv")
    text = freqplan.report(freqplan.load_plan(DEMO / "loft.toml"), readings=readings)
    (folder / "page.html").write_text(text, encoding="utf-8")
    return print_out(browser, folder / "page.html", folder)


def print_out(browser, file, folder):
    found = {paper: folder / f"{paper}.pdf" for paper in PAPERS}
    for paper, printed_file in found.items():
        page = browser.new_page()
        page.goto(file.as_uri())
        page.pdf(path=printed_file, format=paper)
        page.close()
    return found


def pages_of(file):
    text = subprocess.run(["pdftotext", "-layout", str(file), "-"], capture_output=True, check=True).stdout
    return text.decode("utf-8").split("\f")[:-1]


def words_of(file):
    """Return (left, right, word) of every word [points]."""
    places = subprocess.run(["pdftotext", "-bbox", str(file), "-"], capture_output=True, check=True).stdout
    found = re.findall(r'xMin="([\d.]+)".*? xMax="([\d.]+)".*?>(.*?)</word>', places.decode("utf-8"))
    return [(float(left), float(right), word) for left, right, word in found]


def test_the_policy_stops_nothing_and_nothing_is_fetched(opened, report_file):
    assert opened.said == []
    assert opened.asked == [report_file.as_uri()]


@every_paper
def test_it_takes_a_sensible_number_of_pages_which_are_numbered(paper, printed):
    pages = pages_of(printed[paper])
    assert 15 <= len(pages) <= 32
    for number, page in enumerate(pages, start=1):
        assert f"page {number} of {len(pages)}" in page
        assert "Pantry table set, 26 November 2026" in page


@every_paper
def test_the_set_and_what_to_read_first_share_one_page(paper, printed):
    first, second = pages_of(printed[paper])[:2]
    assert "Read this first" in first
    assert "Check list" in second


@every_paper
def test_heads_of_tables_come_again_on_every_page_of_theirs(paper, printed):
    pages = pages_of(printed[paper])
    with_list = [page for page in pages if re.search(r"Done +No\. +Where and by what +Sum", page)]
    assert len(with_list) >= 3
    for number in range(1, 21):
        assert sum(bool(re.search(rf"^ *{number} +\S", page, re.MULTILINE)) for page in with_list) >= 1


@every_paper
def test_no_heading_stands_alone_at_the_foot_of_a_page(paper, printed):
    for page in pages_of(printed[paper]):
        lines = [line.strip() for line in page.splitlines() if line.strip()]
        last = next(line for line in reversed(lines) if not re.search(r"page \d+ of \d+", line))
        assert not re.search(
            r"\(\d+( of \d+)?\)$|^All of them:|^(Charts|Tables|Mechanisms|Columns|Cautions)$", last
        )


CAPTIONS = "The heavy line is|Print at 100 %:|How much weaker|Each bar covers|Look up how far"


@every_paper
def test_what_a_chart_means_stands_on_the_page_of_the_chart(paper, printed, printed_tuner):
    for file in (printed[paper], printed_tuner[paper]):
        pages = pages_of(file)
        assert sum(len(re.findall(rf"^ *({CAPTIONS})", page, re.MULTILINE)) for page in pages) == 5
        assert not [page for page in pages if re.match(CAPTIONS, page.strip())]


@every_paper
def test_no_page_has_nothing_but_its_foot(paper, printed, printed_tuner):
    for file in (printed[paper], printed_tuner[paper]):
        for page in pages_of(file):
            assert len([line for line in page.splitlines() if line.strip()]) > 3


@every_paper
def test_a_ruler_is_printed_at_its_true_length(paper, printed):
    left, right = (
        [at for at, _, word in words_of(printed[paper]) if word == mark] for mark in ("left", "right")
    )
    spans = [(there - here) * MM_PER_POINT for here in left for there in right]
    assert any(abs(span - 150) < 0.3 for span in spans)


@every_paper
def test_nothing_is_wider_than_the_paper(paper, opened, printed):
    opened.emulate_media(media="print")
    width_mm = PAPERS[paper] - MARGINS_MM
    opened.set_viewport_size({"width": int(width_mm / 25.4 * 96), "height": 1000})
    assert opened.evaluate("document.documentElement.scrollWidth <= innerWidth")
    edge_points = (PAPERS[paper] - MARGINS_MM / 2) / MM_PER_POINT
    assert max(right for _, right, _ in words_of(printed[paper])) <= edge_points + HINTING_POINTS


def test_lines_to_write_on_and_boxes_to_tick_are_printed(opened):
    opened.emulate_media(media="print")
    look = opened.evaluate(
        """() => {
            const style = (selector) => getComputedStyle(document.querySelector(selector));
            const [line, box] = [style('.line input'), style('.tick input')];
            return [line.borderBottomStyle, line.borderBottomColor, box.appearance, box.borderTopStyle, box.width,
                    box.height, getComputedStyle(document.querySelector('nav')).display];
        }"""
    )
    black = "rgb(0, 0, 0)"
    assert look[:4] == ["solid", black, "none", "solid"]
    assert look[4] == look[5]
    assert look[6] == "none"


@pytest.mark.parametrize("dark", [False, True])
def test_print_is_black_on_white_whatever_the_screen_is(browser, report_file, dark):
    page = browser.new_page(color_scheme="dark" if dark else "light")
    page.goto(report_file.as_uri())
    dark_paper = page.evaluate("getComputedStyle(document.body).backgroundColor") != "rgb(255, 255, 255)"
    inverted = page.evaluate("getComputedStyle(document.querySelector('svg')).filter") != "none"
    assert (dark_paper, inverted) == (dark, dark)
    page.emulate_media(media="print")
    assert page.evaluate(
        """() => [getComputedStyle(document.body).backgroundColor, getComputedStyle(document.body).color,
                  getComputedStyle(document.querySelector('svg')).filter]"""
    ) == ["rgb(255, 255, 255)", "rgb(0, 0, 0)", "none"]
    page.close()


@pytest.mark.parametrize("width", [320, 600, 1280])
def test_on_a_screen_nothing_runs_out_at_the_side(opened, width):
    opened.set_viewport_size({"width": width, "height": 800})
    assert opened.evaluate("document.documentElement.scrollWidth") <= width


def test_boxes_are_ticked_and_notes_are_taken_by_the_keyboard_alone(opened):
    first = opened.locator(".tick input").first
    first.focus()
    opened.keyboard.press("Space")
    assert first.is_checked()
    opened.keyboard.press("Tab")
    opened.keyboard.press("Tab")
    opened.keyboard.type("dead since the flood")
    assert opened.locator("textarea").first.input_value() == "dead since the flood"


def test_a_link_of_the_contents_leads_there(opened):
    opened.get_by_role("navigation").get_by_role("link", name="Mechanisms").click()
    assert opened.url.endswith("#mechanisms")
    assert opened.evaluate(
        "Math.abs(document.querySelector('#mechanisms').getBoundingClientRect().top) < 100"
    )


@pytest.mark.parametrize(("width", "dark"), some([(320, True), (1280, False)]))
def test_a_tool_for_accessibility_finds_nothing(browser, report_file, width, dark):
    from axe_playwright_python.sync_playwright import Axe

    page = browser.new_page(
        viewport={"width": width, "height": 800}, color_scheme="dark" if dark else "light"
    )
    page.goto(report_file.as_uri())
    found = Axe().run(page, options={"resultTypes": ["violations"]})
    page.close()
    assert [(one["id"], one["nodes"][0]["html"]) for one in found.response["violations"]] == []
