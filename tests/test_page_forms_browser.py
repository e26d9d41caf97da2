"""Forms in a real browser: by keyboard alone, on a narrow screen, in the dark, without script."""

from __future__ import annotations

import shutil
import threading

import pytest
from formpages import bench

from freqplan.page.serving import start

playwright = pytest.importorskip("playwright.sync_api")
axe = pytest.importorskip("axe_playwright_python.sync_playwright")
CHROMIUM = shutil.which("chromium")
pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="no chromium")

FINGER = 44
NARROWEST = 320
WHISTLE = (
    "diagnosis?set.dial_error=0.1+MHz&dial=95.9+MHz&reading_error=0.05+MHz&on_station=Zirvo+Notizie&heard=whistle"
    "&pitch=moves&aerial_out=goes&1.pad=10&by_ear=better"
)
PAGES = (
    "diagnosis",
    WHISTLE,
    "diagnosis?dial=x&heard=noise&disturbances=2&herd=1&programme_of=unknown",
    "readings",
    "readings?reads=89.3&is=100.7&reads=92.3&is=103.4&reads=100.4&is=89.3&reads=104.4&is=92.9",
    "readings?reads=x&is=98&error=3",
    "set",
)
TOO_SMALL = """finger => [...document.querySelectorAll(
    "main input:not([type=hidden]), main select, main button, main summary"
)].map(one => (one.closest(".choices label") || one).getBoundingClientRect())
    .filter(box => box.height && box.right > 0 && box.height < finger - 0.5).length"""
OPEN_ALL = "() => document.querySelectorAll('details').forEach(one => one.open = true)"
HIDDEN_BEHIND = """() => {
    const own = document.activeElement.getBoundingClientRect(), bar = document.querySelector(".sticky");
    return !!bar && !bar.contains(document.activeElement) && own.top >= bar.getBoundingClientRect().top
        && own.bottom <= bar.getBoundingClientRect().bottom;
}"""


@pytest.fixture(scope="module")
def root():
    """Where the views of the demo set are, on a server of its own."""
    server, address = start(bench(), port=0)
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    with playwright.sync_playwright() as started:
        chromium = started.chromium.launch(executable_path=CHROMIUM)
        page = chromium.new_page()
        page.goto(address)
        yield chromium, page.url.rsplit("/", 1)[0] + "/"
        chromium.close()
    server.close()


def opened(root, view, **context):
    chromium, address = root
    page = chromium.new_context(**context).new_page()
    page.goto(address + view)
    return page


def tab_to(page, name):
    """Press Tab until what is sent as `name` has the focus, which must never be out of sight."""
    for _ in range(80):
        page.keyboard.press("Tab")
        assert not page.evaluate(HIDDEN_BEHIND)
        if page.evaluate("document.activeElement.name || document.activeElement.textContent") == name:
            return
    raise AssertionError(f"the keyboard does not reach {name}")


def test_the_worked_example_is_told_and_answered_by_the_keyboard_alone(root):
    page = opened(root, "diagnosis")
    for name, keys in (
        ("heard", ["ArrowDown"] * 3),
        ("dial", "95.9"),
        ("on_station", "Zirvo Notizie"),
        ("aerial_out", ["ArrowDown"]),
        ("pitch", ["ArrowDown"] * 2),
        ("by_ear", ["ArrowRight"]),
        ("1.pad", "10"),
    ):
        tab_to(page, name)
        if isinstance(keys, str):
            page.keyboard.type(keys)
        else:
            for key in keys:
                page.keyboard.press(key)
    tab_to(page, "Find the cause")
    page.keyboard.press("Enter")
    page.wait_for_url("**/diagnosis?*dial=95.9&*")
    assert "half-if, half-IF response." in page.locator("#told-2 + p").inner_text()
    assert "heard=whistle" in page.url
    assert "1.pad=10" in page.url
    assert "width" not in page.url


def test_enter_in_a_box_asks_and_takes_no_disturbance_out(root):
    page = opened(root, "diagnosis?heard=noise&2.heard=nothing")
    page.locator("#q-dial").fill("95.9")
    page.keyboard.press("Enter")
    page.wait_for_url("**dial=95.9**")
    assert "2.heard=nothing" in page.url


def test_the_link_of_a_fault_leads_to_its_question(root):
    page = opened(root, "diagnosis?dial=x&heard=noise")
    page.get_by_role("link", name="Where does the dial stand?").click()
    assert page.locator("#q-dial").get_attribute("aria-invalid") == "true"
    assert page.locator("#q-dial").bounding_box()["y"] < 700


def test_fields_of_the_set_are_changed_in_the_browser(root):
    page = opened(root, "set")
    page.get_by_label("Low end of the dial").fill("88 MHz")
    page.get_by_role("button", name="Use these").click()
    page.wait_for_url("**/survey")
    assert "88.00-108.00 MHz FM" in page.locator("main").inner_text()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("view", PAGES)
def test_everybody_can_use_it_on_the_narrowest_screen(root, view, scheme):
    page = opened(root, view, viewport={"width": NARROWEST, "height": 640}, color_scheme=scheme)
    page.evaluate(OPEN_ALL)
    found = axe.Axe().run(page, options={"resultTypes": ["violations"]}).response["violations"]
    assert [(one["id"], [node["html"] for node in one["nodes"]]) for one in found] == []
    assert page.evaluate("document.documentElement.scrollWidth") == NARROWEST
    assert page.evaluate(TOO_SMALL, FINGER) == 0


def test_it_works_without_script(root):
    page = opened(root, WHISTLE, java_script_enabled=False)
    page.get_by_label("a third or less").check()
    page.get_by_role("button", name="Find the cause").click()
    page.wait_for_url("**width=third**")
    assert "Verdict" in page.locator("main").inner_text()
