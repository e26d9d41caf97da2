"""The page as its user's browser has it: asked through the web library's own client, and taken apart."""

from __future__ import annotations

from html.parser import HTMLParser
from typing import NamedTuple
from urllib.parse import parse_qs, urlsplit

from commandline import DEMO

from freqplan.page.app import create_app
from freqplan.page.state import Bench, pack, unpack

PORT = 8107
ORIGIN = f"http://127.0.0.1:{PORT}"
TOKEN = "known to the test"
VOID = frozenset({"meta", "br", "hr", "link", "img", "input"})
ASKING = frozenset({"input", "select", "textarea"})


def bench(name="pantry", stations="orvessa"):
    """Return a demo set with the list of its town."""
    listed = (DEMO / f"{stations}.csv").read_text("utf-8") if stations else ""
    return Bench((DEMO / f"{name}.toml").read_text("utf-8"), listed)


class Got(NamedTuple):
    """What came back."""

    status: int
    text: str
    to: str
    headers: dict

    @property
    def page(self):
        """Return it taken apart."""
        return Parsed(self.text)

    @property
    def told(self):
        """Return what the address that it sends on to holds."""
        return parse_qs(urlsplit(self.to).query)

    @property
    def plan_text(self):
        """Return the plan of the bench that it sends on to."""
        return unpack(self.to.split("/")[-2]).plan_text


class Browser:
    """Asks for views of one bench."""

    def __init__(self, worked_on=None):
        self.bench = worked_on or bench()
        self.client = create_app(PORT, token=TOKEN).test_client()
        self.root = f"/bench/{pack(self.bench)}/"

    def get(self, view, query=None):
        """Ask for a view, and stay where it sends on."""
        return self._got(self.client.get(self.root + view, query_string=query, base_url=ORIGIN))

    def follow(self, view, query=None):
        """Ask for a view, and go where it sends on."""
        got = self.get(view, query)
        return self.get(got.to) if got.to else got

    def post(self, view, **fields):
        """Send a form."""
        data = {"token": TOKEN, **fields}
        return self._got(
            self.client.post(self.root + view, data=data, base_url=ORIGIN, headers={"Origin": ORIGIN})
        )

    @staticmethod
    def _got(response):
        return Got(
            response.status_code, response.get_data(as_text=True), response.headers.get("Location", ""),
            dict(response.headers),
        )  # fmt: skip


class Parsed(HTMLParser):
    """Tags with their attributes, the text, and what is wrong with how questions are named."""

    def __init__(self, text):
        super().__init__(convert_charrefs=True)
        self.tags, self.open, self.words, self.labelled = [], [], "", set()
        self.feed(text)
        self.close()

    def handle_starttag(self, tag, attrs):
        attributes = dict(attrs)
        self.tags.append((tag, attributes))
        if tag not in VOID:
            self.open.append(tag)
        if tag == "label" and "for" in attributes:
            self.labelled.add(attributes["for"])
        if tag in ASKING and "label" in self.open:
            attributes["inside a label"] = ""

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        self.words += data

    @property
    def said(self):
        """Return its words with single blanks."""
        return " ".join(self.words.split())

    @property
    def ids(self):
        """Return every id, in its order."""
        return [attributes["id"] for _, attributes in self.tags if "id" in attributes]

    def named(self, name):
        """Return the attributes of everything that is sent as `name`."""
        return [attributes for _, attributes in self.tags if attributes.get("name") == name]

    def troubles(self):
        """Yield what would keep somebody from finding, reading or answering a question."""
        if self.open:
            yield f"left open: {self.open}"
        if len(set(self.ids)) < len(self.ids):
            yield "an id stands twice"
        for tag, attributes in self.tags:
            names = attributes.get("aria-describedby", "") + " " + attributes.get("aria-labelledby", "")
            yield from (f"nothing is called {name}" for name in names.split() if name not in self.ids)
            if attributes.get("href", "").startswith("#") and attributes["href"][1:] not in self.ids:
                yield f"leads nowhere: {attributes['href']}"
            if "style" in attributes or any(name.startswith("on") for name in attributes):
                yield f"style or script inside: {attributes}"
            if tag in ASKING and attributes.get("type") != "hidden":
                called = attributes.get("id") in self.labelled or "aria-label" in attributes
                if not called and "inside a label" not in attributes:
                    yield f"no label: {attributes}"
