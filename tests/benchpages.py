"""The page as a test asks it: a client that bears the right name, benches of the demonstrations, what a page says."""

from __future__ import annotations

import re
from html import unescape
from html.parser import HTMLParser

from commandline import DEMO
from hostile import HOSTILE

from freqplan.page.app import create_app
from freqplan.page.state import Bench, pack

PORT, TOKEN = 8107, "a token of the tests"
HOME = f"http://127.0.0.1:{PORT}"
PANTRY = (DEMO / "pantry.toml").read_text("utf-8")
ORVESSA = (DEMO / "orvessa.csv").read_text("utf-8")
FEW = "".join(ORVESSA.splitlines(keepends=True)[:7])
TOWN = pack(Bench(PANTRY, ORVESSA, stations_name="orvessa.csv", plan_name="pantry.toml"))
ALONE = pack(Bench(PANTRY, plan_name="pantry.toml"))


def evil(plan):
    """Return a plan and a list of stations whose names and titles would like to be part of the page, in an address."""
    title = "</title><script>alert(1)</script>\"'"
    titled = re.sub(r'title = ".*"', lambda _: f"title = '''{title}'''", plan)
    town = "name,frequency_mhz,level_dbuv\n"
    for i, name in enumerate(HOSTILE):
        town += '"{}",{:.1f},70\n'.format(name.replace('"', '""'), 98.5 + 0.3 * i)
    return pack(Bench(titled, town, stations_name="</title><b>.csv", plan_name='"><img src=x>.toml'))


def client(**more):
    """Return a client for a page of its own."""
    return create_app(PORT, token=TOKEN, **more).test_client()


def asked(own, path, **more):
    """Ask for an address, as a browser on this machine does."""
    return own.get(path, base_url=HOME, **more)


def sent(own, path, form=None, headers=None, token=TOKEN):
    """Send a form, as a browser does from a page of this very server."""
    return own.post(
        path,
        base_url=HOME,
        data={"token": token, **(form or {})},
        headers={"Origin": HOME, **(headers or {})},
    )


def words(answer):
    """Return the text of a page without tags, blanks run together."""
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", answer.get_data(as_text=True))).split())


class _Links(HTMLParser):
    def __init__(self):
        super().__init__()
        self.found, self.ids = [], []

    def handle_starttag(self, tag, attrs):
        told = dict(attrs)
        self.found += [(tag, told[name]) for name in ("href", "src", "action") if told.get(name) is not None]
        self.ids += [told["id"]] if "id" in told else []


def links(answer):
    """Return (tag, address) of everything a page leads to or loads, and its ids."""
    parser = _Links()
    parser.feed(answer.get_data(as_text=True))
    return parser.found, parser.ids
