"""The page in a real browser: the way of a workshop through it, by finger, by keyboard, in the dark, without script."""

from __future__ import annotations

import re
import shutil
import threading
from contextlib import contextmanager
from urllib.parse import urlsplit

import pytest
from benchpages import ALONE, TOWN, evil
from commandline import DEMO, FM

from freqplan.page import serving
from freqplan.page.guard import Guard
from freqplan.page.views import VIEWS

CHROMIUM = "/usr/bin/chromium"
if shutil.which(CHROMIUM) is None:
    pytest.skip("no chromium here", allow_module_level=True)
playwright = pytest.importorskip("playwright.sync_api")
axe_playwright = pytest.importorskip("axe_playwright_python.sync_playwright")

PHONE, TABLET, DESK = (320, 640), (1024, 768), (1440, 900)
TOUCH = 44
"""Least height of what is touched [CSS pixels]; links inside running text are smaller, as they may be."""

PLACES = {
    "start": "start", "kind": "start?kind=fm", "set": f"bench/{TOWN}/set", "survey": f"bench/{TOWN}/survey",
    "survey with a pad": f"bench/{TOWN}/survey?pad=10&intermediate=10.67", "alone": f"bench/{ALONE}/survey",
    "faulty": f"bench/{TOWN}/survey?intermediate=abc", "channel": f"bench/{TOWN}/channel?dial=96.3",
    "dial": f"bench/{TOWN}/channel", "compare": f"bench/{TOWN}/compare?intermediate=10.67",
    "mechanisms": f"bench/{TOWN}/mechanisms", "table": f"bench/{TOWN}/table/if_pairs",
    "list": f"bench/{TOWN}/table/check_list", "chart": f"bench/{TOWN}/chart/response-map", "nowhere": "nowhere",
    "mechanism": f"bench/{TOWN}/mechanisms/half-if?dial=95.9", "no sum": f"bench/{TOWN}/mechanisms/multipath",
    "no mechanism": f"bench/{TOWN}/mechanisms/nothing", "broken": "bench/x/survey",
    "diagnosis": f"bench/{TOWN}/diagnosis", "readings": f"bench/{TOWN}/readings",
}  # fmt: skip


@pytest.fixture(scope="module")
def address():
    server, at = serving.start(port=0)
    threading.Thread(target=server.run, daemon=True).start()
    yield at
    server.close()


@pytest.fixture(scope="module")
def browser():
    with playwright.sync_playwright() as library:
        one = library.chromium.launch(executable_path=CHROMIUM, args=["--disable-gpu"])
        yield one
        one.close()


@contextmanager
def looking(browser, size=TABLET, scheme="light", script=True):
    """Yield a page; whatever it complains of, or asks of another machine, fails the test."""
    width, height = size
    context = browser.new_context(
        viewport={"width": width, "height": height}, color_scheme=scheme, java_script_enabled=script
    )
    page, complaints = context.new_page(), []
    page.on("pageerror", lambda error: complaints.append(str(error)))
    page.on(
        "console", lambda told: complaints.append(told.text) if told.type in ("error", "warning") else None
    )
    page.on("dialog", lambda told: (complaints.append(told.message), told.dismiss()))
    page.on(
        "request", lambda asked: urlsplit(asked.url).hostname == "127.0.0.1" or complaints.append(asked.url)
    )
    yield page
    context.close()
    # A page that is refused is told as an error by the browser itself, which is no fault of the page.
    assert [text for text in complaints if "the server responded with a status of 4" not in text] == []


def text(page):
    return " ".join(page.inner_text("main").split())


@pytest.mark.parametrize("script", [True, False], ids=["script", "no script"])
def test_a_workshop_finds_its_way(browser, address, script):
    with looking(browser, script=script) as page:
        page.goto(address)
        page.set_input_files("#plan_file", DEMO / "pantry.toml")
        page.set_input_files("#stations_file", DEMO / "orvessa.csv")
        page.click("text=Survey this set")
        assert "/survey" in page.url
        assert "dial 96.3 MHz (96.0-96.6)" in text(page)
        page.click("text=dial 96.3 MHz")
        assert "if-harmonic here: 9 × 10.70 = 96.30" in text(page)
        page.click("nav >> text=Survey")
        page.fill("#intermediate", "10.67")
        page.click("text=Show")
        assert "IF 10.67 ± 0.03 MHz" in text(page)
        assert "9 × 10.67 = 96.03" in text(page)
        page.click("text=dial 96.0 MHz")
        assert "In place of the plan's own: IF 10.67" in text(page)
        assert "9 × 10.67 = 96.03" in text(page)


def test_a_bookmark_works_in_another_run(browser, address):
    server, other = serving.start(port=0)
    threading.Thread(target=server.run, daemon=True).start()
    with looking(browser) as page:
        page.goto(address)
        page.set_input_files("#plan_file", DEMO / "pantry.toml")
        page.click("text=Survey this set")
        bookmark = page.url.removeprefix(address)
        page.goto(other + bookmark)
        assert "Pantry table set" in text(page)
    server.close()


def test_a_list_as_people_keep_it_is_read_and_remarked(browser, address):
    with looking(browser) as page:
        page.goto(f"{address}start?kind=fm")
        page.set_input_files("#stations_file", DEMO / "orvessa-messy.csv")
        page.click("text=Survey this set")
        assert "About the station list" in text(page)
        page.click("text=About the station list")
        assert "repeated rows left out" in text(page)


def test_a_ghost_leads_to_its_explanation(browser, address):
    with looking(browser) as page:
        page.goto(f"{address}bench/{TOWN}/survey")
        page.click("summary:has-text('Ghosts of listed stations')")
        box = page.locator("[aria-label='Ghosts of listed stations']")
        assert box.is_visible()
        box.locator("a:has-text('half-if')").first.click()
        assert page.url.endswith("mechanisms/half-if")
        assert "Half-IF response" in page.locator("h1").inner_text()
        pytest.importorskip("matplotlib")
        picture = page.locator(".chart img")
        picture.scroll_into_view_if_needed()
        page.wait_for_function("one => one.complete && one.naturalWidth > 100", arg=picture.element_handle())


def test_a_fault_is_shown_where_it_was_typed_and_nothing_is_lost(browser, address):
    with looking(browser) as page:
        page.goto(address)
        page.fill("#plan", '[band]\nlow = "87.5 MHz"\nhigh = "108"\n')
        page.fill("#stations", "name,frequency_mhz\nÆrø,98.5\n")
        page.click("text=Survey this set")
        assert "line 3, band.high" in page.locator("[role=alert]").inner_text()
        assert page.input_value("#stations") == "name,frequency_mhz\nÆrø,98.5\n"
        page.fill("#plan", (DEMO / "pantry.toml").read_text("utf-8"))
        page.click("text=Survey this set")
        assert "Pantry table set" in text(page)


def test_the_set_is_changed_in_its_text(browser, address):
    with looking(browser) as page:
        page.goto(f"{address}bench/{TOWN}/set")
        plan = page.input_value("#plan")
        assert plan.startswith("# Table set from the pantry")
        page.fill("#plan", plan.replace('"Pantry table set"', '"Bench set"'))
        page.click("text=Use this")
        assert page.locator("h1").inner_text() == "Bench set"
        assert "80 stations" in text(page)


def test_arrow_keys_step_along_the_dial_but_not_while_something_is_typed(browser, address):
    with looking(browser) as page:
        page.goto(f"{address}bench/{TOWN}/channel?dial=96.3")
        page.keyboard.press("ArrowRight")
        page.wait_for_url("**/channel?dial=96.4*")
        page.keyboard.press("ArrowLeft")
        page.wait_for_url("**/channel?dial=96.3*")
        page.focus("#dial")
        page.keyboard.press("ArrowRight")
        page.focus(".box >> nth=0")
        page.keyboard.press("ArrowRight")
        page.wait_for_timeout(300)
        assert "dial=96.3" in page.url


def test_a_long_table_is_filtered(browser, address):
    with looking(browser) as page:
        page.goto(f"{address}bench/{TOWN}/table/ghosts")
        rows = page.locator("tbody tr:visible")
        assert rows.count() == 349
        page.fill("input[type=search]", "half-if lettura")
        told = page.locator("[role=status]").inner_text()
        assert told == f"{rows.count()} of 349 rows here"
        assert 0 < rows.count() < 20
        for row in rows.all():
            assert "half-if" in row.inner_text()
            assert "Lettura" in row.inner_text()
        page.fill("input[type=search]", "")
        assert rows.count() == 349


def test_charts_are_drawn(browser, address):
    pytest.importorskip("matplotlib")
    with looking(browser) as page:
        page.goto(f"{address}bench/{TOWN}/survey")
        pictures = page.locator(".chart img")
        assert pictures.count() >= 2
        for picture in pictures.all():
            picture.scroll_into_view_if_needed()
            page.wait_for_function(
                "one => one.complete && one.naturalWidth > 100", arg=picture.element_handle()
            )
            assert len(picture.get_attribute("alt")) > 20
        page.click("text=Response map, by itself and in words")
        assert len(page.locator("h2:has-text('In words') + p").inner_text()) > 100


def test_a_file_is_handed_over(browser, address):
    with looking(browser) as page:
        page.goto(f"{address}bench/{TOWN}/survey")
        with page.expect_download() as waiting:
            page.click("text=check list (csv)")
        assert waiting.value.suggested_filename == "survey.csv"


@pytest.mark.parametrize("place", PLACES)
def test_no_barrier_is_found(browser, address, place):
    # One after the other by day on a telephone and by night at a desk: every part stands in several places.
    size, scheme = [(PHONE, "light"), (DESK, "dark")][list(PLACES).index(place) % 2]
    if place == "chart":
        pytest.importorskip("matplotlib")
    with looking(browser, size, scheme) as page:
        page.goto(address + PLACES[place])
        for details in page.locator("details").all():
            details.evaluate("one => { one.open = true; }")
        found = axe_playwright.Axe().run(page, options={"resultTypes": ["violations"]})
        assert found.violations_count == 0, found.generate_report()
        assert page.evaluate("document.documentElement.scrollWidth") <= size[0]


def test_every_view_of_the_navigation_was_looked_at():
    named = {place.rpartition("/")[2].partition("?")[0] for place in PLACES.values()}
    assert {view.path for view in VIEWS if view.label} <= named


@pytest.mark.parametrize("place", ["start", "survey", "channel", "compare", "set", "table"])
def test_what_is_touched_is_large_enough(browser, address, place):
    with looking(browser, PHONE) as page:
        page.goto(address + PLACES[place])
        controls = "button, select, input:not([type=hidden]), summary, nav a, .files a, .steps a, .kinds a"
        sizes = page.eval_on_selector_all(
            controls,
            "all => all.filter(one => one.checkVisibility())"
            ".map(one => [one.outerHTML, one.getBoundingClientRect().height])",
        )
        assert len(sizes) >= 3
        assert [told for told, height in sizes if height < TOUCH] == []


def test_the_keyboard_alone_is_enough(browser, address):
    with looking(browser, DESK) as page:
        page.goto(f"{address}bench/{TOWN}/channel?dial=96.3")
        page.keyboard.press("Tab")
        assert page.evaluate("document.activeElement.className") == "skip"
        assert page.evaluate("document.activeElement.getBoundingClientRect().left") == 0
        page.keyboard.press("Enter")
        page.keyboard.press("Tab")
        assert page.evaluate("document.activeElement.id") == "dial"
        outline = page.evaluate("getComputedStyle(document.activeElement).outlineWidth")
        assert float(outline.removesuffix("px")) >= 2
        page.keyboard.press("Control+a")
        page.keyboard.type("107")
        page.keyboard.press("Enter")
        page.wait_for_url(re.compile("dial=107"))
        assert "10 × 10.70 = 107.00" in text(page)


def test_the_page_works_where_nothing_is_stored(browser, address):
    with looking(browser) as page:
        page.goto(f"{address}bench/{TOWN}/survey")
        assert page.context.cookies() == []
        assert page.evaluate("localStorage.length + sessionStorage.length") == 0


def test_hostile_names_do_nothing_on_any_view(browser, address):
    """No error, no breach of the policy, no box that opens, nothing asked of another machine."""
    views = [view.path for view in VIEWS if view.label]
    with looking(browser) as page:
        for view in (*views, "channel?dial=98.5", "diagnosis?heard=noise", "<script>", "table/ghosts"):
            page.goto(f"{address}bench/{evil(FM)}/{view}")
            assert page.locator("main h1").count() == 1
            assert page.locator("script").count() == 1
        page.fill("input[type=search]", "onerror")
        assert page.locator("tbody tr:visible").count() >= 1


def test_another_page_cannot_send_a_form_here_nor_ask_unseen(browser, address, tmp_path, monkeypatch):
    """A page from elsewhere on this machine: only the link that somebody follows is answered."""
    let_in, asked = set(), set()

    def noted(guard, method, headers, *, query, length, check=Guard.check):
        asked.add(query)
        check(guard, method, headers, query=query, length=length)
        let_in.add(query)

    monkeypatch.setattr(Guard, "check", noted)
    place = tmp_path / "evil.html"
    place.write_text(
        f"<form method=post action={address}bench?form><input name=plan><button>x</button></form>"
        f"<img src={address}start?img><iframe src={address}start?frame></iframe><script>"
        f"fetch('{address}start?cors').catch(() => 0); fetch('{address}start?fetch', {{mode: 'no-cors'}});"
        f"new WebSocket('{address.replace('http', 'ws')}start?line')</script><a href={address}start?link>link</a>"
    )
    context = browser.new_context()
    page = context.new_page()
    page.goto(place.as_uri(), wait_until="networkidle")
    page.click("button")
    assert "not sent by a form of this page" in text(page)
    page.goto(place.as_uri(), wait_until="networkidle")
    page.click("a")
    assert "Begin with a kind of set" in text(page)
    context.close()
    assert asked - let_in == {"form", "img", "frame", "cors", "fetch", "line"}
    assert "link" in let_in
