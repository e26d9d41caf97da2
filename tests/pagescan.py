"""What the page takes in, found by reading its pages: forms with their fields, links with questions, files, paths."""

from __future__ import annotations

import re
from html import unescape
from html.parser import HTMLParser
from pathlib import Path
from typing import NamedTuple
from urllib.parse import parse_qsl, quote_from_bytes, unquote, urljoin, urlsplit

from benchpages import HOME, asked, links

from freqplan.page import app
from freqplan.page.visit import CARRIED

TAG = re.compile(r"<(/?[a-z][a-z0-9]*)((?:\s+[a-z-]+(?:=\"[^\"<>]*\")?)*)\s*>")
"""A tag as the templates write it; what else begins with < or ends with > got there unescaped."""

ATTRIBUTE = re.compile(r"([a-z-]+)(=\"[^\"<>]*\")?")
BOUNDARY = b"a-line-between"


class Taking(NamedTuple):
    """One thing that takes something in: where, what as plain pairs of name and value, and which files."""

    method: str
    rule: str
    path: str
    pairs: tuple[tuple[str, str], ...]
    files: tuple[str, ...] = ()

    @property
    def names(self):
        """Return every name that it takes, without files."""
        return tuple(dict.fromkeys(name for name, _ in self.pairs))


class _Forms(HTMLParser):
    def __init__(self):
        super().__init__()
        self.forms, self._into, self._choice = [], None, None

    def handle_starttag(self, tag, attrs):
        told = dict(attrs)
        if tag == "form":
            self.forms.append((told.get("method", "get").upper(), told.get("action", ""), [], []))
        elif tag == "option":
            if "selected" in told:
                self._choice[1] = told["value"]
        elif "name" in told and tag in ("input", "select", "textarea", "button"):
            self._take(tag, told)

    def _take(self, tag, told):
        _, _, pairs, files = self.forms[-1]
        if told.get("type") == "file":
            files.append(told["name"])
        elif told.get("type") != "radio" or "checked" in told:
            self._choice = [told["name"], told.get("value", "") if tag == "input" else ""]
            pairs.append(self._choice)
            self._into = self._choice if tag == "textarea" else None

    def handle_data(self, data):
        if self._into is not None:
            self._into[1] += data.removeprefix("\n")

    def handle_endtag(self, tag):
        self._into = None if tag == "textarea" else self._into


class Site:
    """Every page that can be reached from some addresses, each kind of address asked for a few times.

    Parameters
    ----------
    own : client
        Of the page.
    starts : iterable of str
        Where to begin.
    most : int
        How many addresses of one kind are followed, a kind being a view with certain names behind the question mark.
    """

    def __init__(self, own, starts, most=1):
        self._routes = own.application.url_map.bind(urlsplit(HOME).netloc)
        self.own, self.answers, self._takings, kinds = own, {}, {}, {}
        waiting = list(starts)
        while waiting:
            at = waiting.pop()
            rule, parts = self._view(at)
            kind = rule, parts.get("packed"), frozenset(dict(parse_qsl(urlsplit(at).query)))
            if at not in self.answers and kinds.get(kind, 0) < most:
                kinds[kind] = kinds.get(kind, 0) + 1
                waiting += self._read(at)
        self._take_rules(next(iter(starts)))

    def _view(self, at, method="GET"):
        """Return the rule that an address belongs to and what stands in the place of its names."""
        rule, parts = self._routes.match(unquote(urlsplit(at).path), method, return_rule=True)
        return rule.rule, parts

    def _read(self, at):
        answer = self.answers[at] = asked(self.own, at)
        carried = [(name, "") for name in CARRIED if "/bench/" in at]
        self._take("GET", at, [*parse_qsl(urlsplit(at).query), *carried])
        if answer.status_code == 303:
            return [within(at, answer.headers["Location"])]
        if not is_shown(answer):
            return []
        reader = _Forms()
        reader.feed(answer.get_data(as_text=True))
        for method, action, pairs, files in reader.forms:
            self._take(method, within(at, action), pairs, files)
        return [within(at, address) for tag, address in links(answer)[0] if tag != "form"]

    def _take(self, method, at, pairs, files=()):
        rule, parts = self._view(at, method)
        place = method, rule, parts.get("packed")
        known = self._takings.setdefault(place, Taking(method, rule, urlsplit(at).path, (), tuple(files)))
        more = tuple((name, value) for name, value in pairs if name not in known.names)
        self._takings[place] = known._replace(pairs=known.pairs + more)

    def _take_rules(self, start):
        """Take in what is answered below a bench and no page leads to, with every name that any page asks under."""
        packed = self._view(start)[1].get("packed")
        if packed is None:
            return
        names = {
            name: value for one in self._takings.values() if one.method == "GET" for name, value in one.pairs
        }
        known = {one.rule for one in self._takings.values()}
        for rule in sorted(
            {one.rule for one in self._routes.map.iter_rules() if "GET" in one.methods} - known
        ):
            path = re.sub(r"<any\((\w+)[^>]*>", r"\1", rule.replace("<packed>", packed))
            self._take("GET", re.sub(r"<[^>]+>", "x", path), names.items())

    @property
    def takings(self):
        """Return everything that takes something in, in the order found."""
        return list(self._takings.values())


def is_shown(answer):
    """Return whether an answer is a page that the browser shows, neither keeping it as a file nor going on at once."""
    sent_on = 300 <= answer.status_code < 400
    return answer.mimetype == "text/html" and "Content-Disposition" not in answer.headers and not sent_on


def within(at, address):
    """Return where an address on a page leads, without the name of the machine and the place on the page."""
    return urljoin(HOME + at, address).removeprefix(HOME).partition("#")[0]


def paths(one, text):
    """Yield the path of a taking with a text in the place of each of its names in turn, and behind it."""
    yield f"{one.path}/{_quoted(text)}"
    pieces = [piece for piece in re.split(r"(<[^>]+>)", one.rule) if piece]
    shape = "".join(r"(.+)" if piece[0] == "<" else f"({re.escape(piece)})" for piece in pieces)
    here = re.fullmatch(shape, one.path).groups()
    for place, piece in enumerate(pieces):
        if piece[0] == "<":
            yield "".join([*here[:place], _quoted(text), *here[place + 1 :]])


def elements(page):
    """Return the names of all tags and attributes of a page, and fail on what is not written as the templates do."""
    rest = TAG.sub("", page.removeprefix("<!DOCTYPE html>"))
    assert "<" not in rest, rest[max(rest.find("<") - 60, 0) :][:160]
    assert ">" not in rest, rest[max(rest.find(">") - 60, 0) :][:160]
    found = set()
    for tag, attributes in set(TAG.findall(page)):
        found |= {tag.strip("/"), *(name for name, _ in ATTRIBUTE.findall(attributes))}
    return found


def addresses(page):
    """Return everything that a page, written as the templates do, leads to or loads."""
    return {unescape(address) for address in re.findall(r'(?:href|src|action)="([^"]*)"', page)}


def written():
    """Return the names of all tags and attributes that the templates hold."""
    found = {"html"}
    for template in (Path(app.__file__).parent / "templates").iterdir():
        text = re.sub(r"\{\{.*?\}\}|\{%.*?%\}|\{#.*?#\}", "", template.read_text("utf-8"), flags=re.DOTALL)
        found |= {*re.findall(r"</?([a-z][a-z0-9]*)", text), *re.findall(r"([a-z-]+)=\"", text)}
        found |= {name for _, attributes in TAG.findall(text) for name, _ in ATTRIBUTE.findall(attributes)}
    return found


def encoded(pairs):
    """Return pairs of name and value, as text or bytes, as they stand behind a question mark."""
    return "&".join(f"{_quoted(name)}={_quoted(value)}" for name, value in pairs)


def _quoted(text):
    return quote_from_bytes(text if isinstance(text, bytes) else text.encode("utf-8", "surrogatepass"))


def parts_of(pairs, files=()):
    """Return pairs and (name, file name, content) as a browser puts a form with files together."""
    whole = b""
    for name, value in pairs:
        whole += b'--%s\r\nContent-Disposition: form-data; name="%s"\r\n\r\n' % (BOUNDARY, _bytes(name))
        whole += _bytes(value) + b"\r\n"
    for name, called, content in files:
        place = b'name="%s"; filename="%s"' % (_bytes(name), _bytes(called))
        whole += b"--%s\r\nContent-Disposition: form-data; %s\r\n\r\n%s\r\n" % (BOUNDARY, place, content)
    return whole + b"--%s--\r\n" % BOUNDARY


def _bytes(text):
    return text if isinstance(text, bytes) else text.encode("utf-8", "surrogatepass")
