"""Reads a report as a browser does: its tags, its headings, its tables, its text."""

from __future__ import annotations

from dataclasses import dataclass, field
from html.parser import HTMLParser

HEADINGS = ("h1", "h2", "h3", "h4", "h5", "h6")
VOID = frozenset({"meta", "br", "hr", "link", "img", "input"})


def one_line(text: str) -> str:
    """Return a text with every gap a single blank, as it is shown."""
    return " ".join(text.split())


@dataclass
class Table:
    """A table: its caption, its heads, its rows of cells, and which of its heads have a scope."""

    caption: str = ""
    heads: list[str] = field(default_factory=list)
    rows: list[list[str]] = field(default_factory=list)
    scopes: list[str | None] = field(default_factory=list)


class ReportPage(HTMLParser):
    """Collects what stands on a page; a tag that is closed out of turn fails at once."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.tags: list[str] = []
        self.attributes: list[tuple[str, str, str | None]] = []
        self.headings: list[tuple[int, str]] = []
        self.tables: list[Table] = []
        self.style = self.text = ""
        self._open: list[str] = []
        self.feed(text)
        self.close()
        assert self._open == []
        for table in self.tables:
            table.caption = one_line(table.caption)
            table.heads = list(map(one_line, table.heads))
            table.rows = [list(map(one_line, row)) for row in table.rows]
        self.headings = [(level, one_line(words)) for level, words in self.headings]
        self.text = one_line(self.text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += [(tag, name, value) for name, value in attrs]
        if tag in VOID:
            return
        self._open.append(tag)
        if tag in HEADINGS:
            self.headings.append((HEADINGS.index(tag) + 1, ""))
        if tag == "table":
            self.tables.append(Table())
        if tag == "tr" and "tbody" in self._open:
            self.tables[-1].rows.append([])
        if tag in ("td", "th"):
            cells = self.tables[-1].rows[-1] if "tbody" in self._open else self.tables[-1].heads
            cells.append("")
        if tag == "th":
            self.tables[-1].scopes.append(dict(attrs).get("scope"))

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += [(tag, name, value) for name, value in attrs]

    def handle_endtag(self, tag: str) -> None:
        assert self._open.pop() == tag

    def handle_data(self, data: str) -> None:
        if "style" in self._open:
            self.style += data
            return
        # Paragraphs and cells end a word.
        self.text += f" {data}"
        if self._open and self._open[-1] in HEADINGS:
            level, words = self.headings[-1]
            self.headings[-1] = (level, words + data)
        if "caption" in self._open:
            self.tables[-1].caption += data
        elif "tbody" in self._open:
            if self.tables[-1].rows[-1:] and self.tables[-1].rows[-1]:
                self.tables[-1].rows[-1][-1] += f" {data}"
        elif "thead" in self._open and self.tables[-1].heads:
            self.tables[-1].heads[-1] += data

    def values(self, name: str) -> list[str | None]:
        """Return the values of an attribute, wherever it stands."""
        return [value for _, given, value in self.attributes if given == name]

    def table(self, caption: str) -> Table:
        """Return the table whose caption begins so."""
        return next(table for table in self.tables if table.caption.startswith(caption))
