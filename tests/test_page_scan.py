"""Whatever is written into any form, link, path or file of the page: a calm answer, nothing of it becomes the page."""

from __future__ import annotations

import json
import os
import sys
import tomllib
from contextlib import contextmanager, suppress
from itertools import product
from pathlib import Path
from urllib.parse import urlsplit
from xml.etree import ElementTree

import pytest
from benchpages import FEW, HOME, PANTRY, TOKEN, asked, client
from flask import render_template_string, request
from markupsafe import escape
from pagescan import BOUNDARY, Site, addresses, elements, encoded, is_shown, parts_of, paths, within, written
from thoroughness import THOROUGH

import freqplan
from freqplan.page.guard import HEADERS
from freqplan.page.state import Bench, pack

pytestmark = pytest.mark.timeout(300)

FILES = sorted(file for file in (Path(__file__).parent / "hostile").iterdir() if file.suffix)
PRODUCT = "7230047"
"""What a template would make of `{{913*7919}}`."""

TEXTS = [
    "<zq><script>zq()</script>", '"><zq a="', '" onzq="1', "' onzq='1", "</textarea></title></select><zq>", "--><!--zq",
    "javascript:zq()", "<zq/onload=zq()//", "&lt;zq&gt;&#60;zq", "]]><zq>", "\0", "9\0zq", "\x1b[2J\x1b]0;zq\x07",
    "\u202e\u2066zq", "x" * 100_000, "x" * 15_000, "9" * 15_000, " " * 15_000 + "9", "1e400", "1e-400", "nan", "-inf",
    "-1", "0", "1/0", "\u0663", "../../../../../../etc/passwd", "/etc/passwd", "..\\..\\zq", "\\\\host\\zq",
    "file:///etc/passwd", "http://evil.example/zq.toml", "=cmd|' /C calc'!A0", "@SUM(1)", "{{913*7919}}",
    "{% for x in 'zq' %}zq{% endfor %}", "${913*7919}", "{0.__class__}", "%s%n", "zq\r\nX-Zq: 1\r\n\r\n<zq>",
    "\ufffe\uffff", "\ud800", b"\xff\xfe\xfa", b"\xc0\xae\xc0\xae\xc0\xaf", "[" * 5_000, ",;\t\n'\"", "\N{HOLE}",
    '"""\n[front_end]\nresponse = "/etc/passwd"\n', "true", "self", "__class__", "5" + " " * 14_000 + ",5",
]  # fmt: skip
CHANGES = {
    "missing": lambda pairs, name: [pair for pair in pairs if pair[0] != name],
    "twice": lambda pairs, name: [*pairs, (name, "98"), (name, "zq")],
    "often": lambda pairs, name: [*pairs, *[(name, "98")] * 400],
    "a list": lambda pairs, name: [*pairs, (f"{name}[]", "1"), (f"{name}[0]", "2")],
    "below": lambda pairs, name: [*pairs, (f"{name}.zq", "1"), (f"1.{name}", "2"), (f"99999.{name}", "3")],
}
WORST = "zq\"'></textarea></title><zq onzq=1>{{913*7919}}"
"""What is tried in every field of every view, whatever else is."""

ONE_IN = 67 if THOROUGH else 211
"""How many of all other attacks are tried, of those on all fields at once and on files more."""

MOST, MOST_TIMES = 300_000, 60
"""Bytes of the longest answer, and of an answer to each byte that was sent."""

OWN = (sys.prefix, sys.base_prefix, str(Path(freqplan.__file__).parent))
"""Where the program may read: itself, and the libraries that it loads when they are needed."""

ACTING = ("os.", "shutil.", "tempfile.", "socket.", "subprocess.", "urllib.")
WRITTEN = written()
_touched: list[tuple[str, str]] | None = None


def _note(event, told):
    """Write down what touches files, other processes and the net, while somebody watches."""
    if _touched is None:
        return
    if event == "open":
        path, mode, flags = told
        writes = flags & (os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_TRUNC) or set(mode or "") & set("wax+")
        if writes or not str(path).startswith(OWN):
            _touched.append((event, str(path)))
    elif event.startswith(ACTING) and event not in ("os.listdir", "os.scandir"):  # these two find modules
        _touched.append((event, str(told)))


sys.addaudithook(_note)


@contextmanager
def untouched():
    """Fail where anything is written, asked of the net or of another process, or read that is not of the program."""
    global _touched
    _touched = []
    try:
        yield
        assert _touched == []
    finally:
        _touched = None


@pytest.fixture(scope="module")
def site():
    """The page without charts and without what a report holds: what is refused is so before either would be made."""
    plan = PANTRY.replace("signal = 5\noscillator = 5", "signal = 3\noscillator = 2")
    benches = [pack(Bench(plan, town, plan_name="pantry.toml")) for town in (FEW, "")]
    views = ("survey", "channel?dial=96.3", "diagnosis?heard=noise", "readings?reads=89.3&is=100.7")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("freqplan.charts.drawing.find_spec", lambda _: None)
        patch.setattr("freqplan.reports.writing.report", lambda *_, **__: "")
        starts = [f"/bench/{bench}/{view}" for bench in benches for view in views]
        yield Site(client(), [*starts, "/start", "/"])


def tried(site, one, pairs, files=(), path=""):
    """Send pairs of name and value, and files, as a browser does; return the answer, and what it sends on to."""
    at = path or one.path
    if one.method == "GET":
        answers = [asked(site.own, at, query_string=encoded(pairs))]
    else:
        # Without files as plain pairs, which bring names of all signs along.
        kind = (
            f"multipart/form-data; boundary={BOUNDARY.decode()}"
            if files
            else "application/x-www-form-urlencoded"
        )
        body = parts_of(pairs, files) if files else encoded(pairs)
        answers = [site.own.post(at, base_url=HOME, data=body, content_type=kind, headers={"Origin": HOME})]
    if answers[0].status_code == 303:
        answers.append(asked(site.own, within(at, answers[0].headers["Location"])))
    return answers


def judge(answers, sent):
    """Assert that answers are calm, whole and harmless, whatever was sent."""
    for answer in answers:
        assert answer.status_code in (200, 303, 308, 400, 403, 404, 405, 410, 413, 414, 422)
        assert {name: answer.headers.get(name) for name in HEADERS} == dict(HEADERS)
        assert "X-Zq" not in answer.headers
        assert len(answer.data) <= MOST + MOST_TIMES * sent
        text = answer.get_data(as_text=True)
        assert "Traceback" not in text
        assert "root:x:0:" not in text
        if answer.status_code in (303, 308):
            assert urlsplit(answer.headers["Location"]).netloc in ("", urlsplit(HOME).netloc)
        elif is_shown(answer):
            assert elements(text) <= WRITTEN
            assert text.count("<script") <= 1
            assert PRODUCT not in text
            assert "zqzq" not in text
            assert all(urlsplit(address)[:2] == ("", "") for address in addresses(text))
        elif answer.mimetype in READ:
            READ[answer.mimetype](text)


READ = {
    "application/json": json.loads,
    "application/toml": tomllib.loads,
    "image/svg+xml": ElementTree.fromstring,
}
"""What must be readable where it is handed over."""


def test_every_address_that_is_answered_is_scanned(site):
    rules = {rule.rule for rule in site.own.application.url_map.iter_rules()}
    assert {one.rule for one in site.takings} >= rules
    assert {(one.rule, file) for one in site.takings for file in one.files} >= {("/bench", "plan_file")}
    assert sum(len(one.names) for one in site.takings) > 400


def test_every_page_that_is_led_to_is_answered_by_get_and_head(site):
    for at, answer in site.answers.items():
        assert answer.status_code in (200, 303), at
        head = site.own.head(at, base_url=HOME)
        assert (head.status_code, head.data) == (answer.status_code, b""), at


def test_the_worst_value_in_every_field_and_others_in_some(site):
    named = [(one, name) for one in site.takings for name in one.names]
    worst = {(one.method, one.rule, name): (one, name) for one, name in named}
    others = list(product(named, (*TEXTS, *CHANGES.values())))[::ONE_IN]
    with untouched():
        for (one, name), how in [*product(worst.values(), [WORST]), *others]:
            rest = [pair for pair in one.pairs if pair[0] != name]
            pairs = how(one.pairs, name) if callable(how) else [*rest, (name, how)]
            judge(tried(site, one, pairs), len(encoded(pairs)))


def test_hostile_values_in_all_fields_at_once_and_as_names(site):
    """Also where the form is stale, and only handed back."""
    others = list(product(site.takings, TEXTS, [TOKEN]))[:: ONE_IN // 4]
    with untouched():
        stale = [(one, WORST, "stale") for one in site.takings if one.method == "POST"]
        for one, text, token in [*product(site.takings, [WORST], [TOKEN]), *stale, *others]:
            pairs = [*((name, text) for name in one.names if name != "token"), ("token", token), (text, text)]
            judge(tried(site, one, pairs), len(encoded(pairs)))


def test_hostile_paths(site):
    worst = {one.rule: path for one in site.takings for path in paths(one, WORST)}
    every = [(one, path) for one, text in product(site.takings, TEXTS) for path in paths(one, text)]
    with untouched():
        for one, path in [*((one, worst[one.rule]) for one in site.takings), *every[:: ONE_IN // 4]]:
            judge(tried(site, one, one.pairs, path=path), len(path) + len(encoded(one.pairs)))


def test_hostile_files_in_every_field_for_files(site):
    contents = [(file.name, file.read_bytes()) for file in FILES]
    fields = [(one, field) for one in site.takings for field in one.files]
    with untouched():
        for (one, field), (name, content) in list(product(fields, contents))[:: ONE_IN // 8]:
            answers = tried(site, one, one.pairs, [(field, f"../../{name}", content)])
            judge(answers, len(content) + len(encoded(one.pairs)))


CARELESS = {
    "a tag": lambda text: f"<p>{text}</p>",
    "an attribute": lambda text: f'<p id="{text}"></p>',
    "a template": lambda text: render_template_string("<p>" + escape(text) + "</p>"),
    "a link": lambda text: f'<p><a href="{escape(text)}">there</a></p>',
    "a file": lambda text: f"<p>{escape(Path(text).read_text('utf-8'))}</p>",
    "as long as it likes": lambda text: f"<p>{escape(text) * 100}</p>" + "x" * 400_000,
}


@pytest.mark.parametrize("careless", CARELESS.values(), ids=CARELESS)
def test_a_careless_view_would_be_found(careless):
    """Guard against a scan that finds nothing: a form that is added is found by itself, and so is what is wrong."""
    own = client()
    form = '<form method="get" action="/careless"><input name="zz"></form>'

    def show():
        with suppress(OSError):
            return form + careless(request.args.get("zz", ""))
        return form

    own.application.add_url_rule("/careless", view_func=show)
    other = Site(own, ["/careless"])
    (found,) = other.takings
    assert found.names == ("zz",)
    with pytest.raises(AssertionError):
        everything(other, found)


def everything(site, one):
    """Try all texts on one thing."""
    with untouched():
        for text in TEXTS:
            judge(tried(site, one, [(name, text) for name in one.names]), 100)
