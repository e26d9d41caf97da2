"""html and latex are well formed, whatever stations are called."""

from __future__ import annotations

import re
import shutil
import subprocess
from html.parser import HTMLParser

import pytest
from commandline import DEMO
from hostile import COMMANDS, write_inputs, written


@pytest.fixture(autouse=True)
def folder(tmp_path, monkeypatch):
    """Plans and lists, one with hostile names and a hostile title."""
    write_inputs(tmp_path)
    monkeypatch.chdir(tmp_path)
    return tmp_path


every_command = pytest.mark.parametrize("words", COMMANDS.values(), ids=COMMANDS)


# html


class Page(HTMLParser):
    """Collects tags, attributes, cells and text; counts what is left open."""

    VOID = frozenset({"meta", "br", "hr", "link", "img"})

    def __init__(self, text):
        super().__init__(convert_charrefs=True)
        self.tags, self.open, self.rows, self.title, self.attributes = [], [], [], "", []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag, attrs):
        self.tags.append(tag)
        self.attributes += attrs
        if tag not in self.VOID:
            self.open.append(tag)
        if tag == "tr":
            self.rows.append([])
        if tag in ("td", "th"):
            self.rows[-1].append("")

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        if self.open and self.open[-1] in ("td", "th"):
            self.rows[-1][-1] += data
        if self.open and self.open[-1] == "title":
            self.title += data


@every_command
def test_html_is_well_formed_and_refers_to_nothing_outside(words):
    text = written(words, "html")
    page = Page(text)
    assert page.open == []
    assert text.startswith("<!DOCTYPE html>")
    assert not {"script", "img", "link", "iframe", "object", "b"} & set(page.tags)
    assert not {"src", "href"} & {name for name, _ in page.attributes}
    assert not any(name.startswith("on") for name, _ in page.attributes)
    assert not re.search(r"url\(|@import|https?:", text)


def test_html_shows_names_as_they_are():
    page = Page(written(COMMANDS["survey with stations"], "html", "--table", "ghosts"))
    head, *rows = page.rows
    assert {len(row) for row in rows} == {len(head)}
    names = {row[0] for row in rows}
    assert {"</script><img src=x onerror=alert(1)>", "[a\\b] {c} _#$%&~^ | ` *x*", "مرحبا بكم"} <= names


def test_html_title_is_escaped():
    assert Page(written(COMMANDS["survey of a hostile title"], "html")).title == "</title>$_&*<b>: survey"


# latex


@every_command
def test_latex_environments_are_balanced_and_no_special_sign_is_bare(words):
    text = written(words, "latex")
    begun, ended = re.findall(r"\\begin\{(\w+)\}", text), re.findall(r"\\end\{(\w+)\}", text)
    assert begun == ended != []
    for row in text.splitlines()[1:]:
        content = re.sub(r"\\[A-Za-z]+(\{\})?|\\[&%$#_{}^]|\$(\\times|-|\\approx|\\pm)\$|\\\\$", "", row)
        assert re.search(r"[\\%$#_~^]", content) is None
        assert content.count("{") == content.count("}")


def test_latex_title_means_only_itself():
    title = written(COMMANDS["survey of a hostile title"], "latex").splitlines()[2]
    assert (
        title == r"\section*{\ensuremath{<}/title\ensuremath{>}\$\_\&*\ensuremath{<}b\ensuremath{>}: survey}"
    )


@pytest.mark.parametrize("form", ["markdown", "html", "latex"])
def test_pages_carry_the_cautions(form):
    assert "isolating transformer first" in written(COMMANDS["survey"], form)


@every_command
def test_latex_rows_have_one_column_count(words):
    tables = re.findall(r"\\begin\{longtable\}.*?\\end\{longtable\}", written(words, "latex"), re.DOTALL)
    assert tables
    for table in tables:
        spec = re.match(r"\\begin\{longtable\}\{((?:p\{[^}]*\}|[lrc])+)\}", table)
        columns = len(re.findall(r"p\{[^}]*\}|[lrc]", spec.group(1)))
        rows = [line for line in table.splitlines() if line.endswith(r"\\")]
        assert {len(re.split(r"(?<!\\)&", row)) for row in rows} == {columns}


def test_latex_rows_begin_with_nothing_that_the_row_end_before_would_take():
    rows = written(COMMANDS["survey with stations"], "latex", "--table", "ghosts").splitlines()
    names = [row.split("&")[0].strip() for row in rows if row.endswith(r"\\")]
    assert any(name.startswith("{[}a") for name in names)
    assert any(name.startswith("{*}starred") for name in names)
    assert not any(name.startswith(("[", "*")) for name in names)


LATEX = next(
    (found for found in map(shutil.which, ("lualatex", "xelatex", "tectonic", "pdflatex")) if found), None
)


@pytest.mark.skipif(LATEX is None, reason="neither lualatex, xelatex, tectonic nor pdflatex is installed")
def test_latex_compiles(folder):
    text = written(("survey", str(DEMO / "pantry.toml"), "--stations", str(DEMO / "orvessa.csv")), "latex")
    document = rf"\documentclass{{article}}\usepackage{{longtable}}\begin{{document}}{text}\end{{document}}"
    (folder / "page.tex").write_text(document, encoding="utf-8")
    halt = [] if LATEX.endswith("tectonic") else ["-interaction=nonstopmode", "-halt-on-error"]
    done = subprocess.run(
        [LATEX, *halt, "page.tex"], cwd=folder, capture_output=True, timeout=100, check=False
    )
    assert done.returncode == 0, done.stdout[-2000:]
