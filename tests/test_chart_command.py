"""The command chart and the function of that name: one picture as a file, whole or not at all."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest
from commandline import DEMO, call, refused
from pictures import SVG, demo, listed, size_mm, words_in

import freqplan
from freqplan.charts import drawing
from freqplan.charts.gallery import KINDS, NAMES, charts_of
from freqplan.errors import FreqplanError, ModelRangeError
from freqplan.plan import Plan, Scale
from freqplan.surveys import survey

PANTRY, TOWN = str(DEMO / "pantry.toml"), str(DEMO / "orvessa.csv")
BARE = """\
[band]
low = "87.5 MHz"
high = "108 MHz"

[[conversion]]
intermediate = "10.7 MHz"
"""


@pytest.fixture
def bare(tmp_path):
    path = tmp_path / "bare.toml"
    path.write_text(BARE, encoding="utf-8")
    return str(path)


# The command


@pytest.mark.parametrize("name", NAMES)
def test_every_chart_is_written_as_one_svg_file(name, tmp_path):
    file = tmp_path / "chart.svg"
    answer = call("chart", PANTRY, name, "--stations", TOWN, "-o", str(file))
    assert (answer.code, answer.out, answer.err) == (0, "", "")
    text = file.read_text("utf-8")
    assert ElementTree.fromstring(text).tag == f"{SVG}svg"
    assert "Pantry table set" in text
    assert call("chart", PANTRY, name, "--stations", TOWN).out == text


def test_the_dial_setting_is_that_of_the_option():
    out = call("chart", PANTRY, "front-end", "--dial", "98.1 MHz").out
    assert "Dial on 98.1 MHz" in out
    assert call("chart", PANTRY, "front-end", "--dial", "98.1").err.startswith(
        "freqplan: dial setting 98.1 taken as"
    )


def test_the_spectrum_is_that_of_the_mechanism_asked_for():
    out = call(
        "chart", PANTRY, "spectrum", "--mechanism", "half-if", "--dial", "98 MHz", "--oscillator", "low"
    ).out
    assert "2 × 87.30 − 2 × 81.95 = 10.70 MHz" in out
    assert "oscillator on 87.30, below the signal" in out
    assert (
        out
        == freqplan.chart(
            demo("pantry").with_changes(oscillator="low"), "spectrum", mechanism="half-if", dial_hz=98_000_000
        ).to_svg()
    )


def test_the_options_of_the_plan_hold_for_the_chart():
    out = call(
        "chart", PANTRY, "response-map", "--oscillator", "low", "--intermediate", "10.67 MHz", "--region", "2",
        "--orders", "2,2",
    ).out  # fmt: skip
    assert "IF 10.67" in out
    assert "oscillator low" in out
    assert "fractional-if" not in out


def test_what_cannot_be_drawn_is_refused_and_leaves_no_file(tmp_path, bare):
    file = tmp_path / "chart.svg"
    for words, parts in (
        ((PANTRY, "no-such"), ('no chart "no-such"', "response-map", "front-end")),
        ((bare, "front-end"), ("[front_end]",)),
        ((PANTRY, "response-map", "--dial", "98 MHz"), ("holds for the whole dial", "front-end")),
        ((PANTRY, "front-end", "--dial", "120 MHz"), ("lies off the band",)),
        ((PANTRY, "front-end", "--dial", "soon"), ("dial setting",)),
        ((PANTRY, "front-end", "--stations", str(tmp_path / "none.csv")), ("none.csv",)),
        (("-", "front-end", "--stations", "-"), ("standard input",)),
        ((PANTRY, "spectrum", "--mechanism", "halfif"), ('no mechanism "halfif"', "nearest: half-if")),
        ((PANTRY, "spectrum", "--mechanism", "multipath"), ("no sum of frequencies makes it", "half-if")),
        ((PANTRY, "whistle", "--mechanism", "image"), ("is of no one mechanism", "spectrum")),
    ):
        refused(call("chart", *words, "-o", str(file)), *parts)
        assert not file.exists()


def test_a_file_that_is_read_is_not_written_over(tmp_path, bare):
    refused(call("chart", bare, "response-map", "-o", bare), "is read by this command")
    refused(call("chart", bare, "response-map", "-o", str(tmp_path / "no" / "a.svg")), "there is no folder")


def test_without_matplotlib_it_says_how_to_get_it_and_leaves_no_file(tmp_path, monkeypatch):
    monkeypatch.setattr(drawing, "find_spec", lambda name: None)
    file = tmp_path / "chart.svg"
    refused(call("chart", PANTRY, "response-map", "-o", str(file)), 'pip install "freqplan[plot]"')
    assert not file.exists()


def test_help_names_every_chart():
    out = " ".join(call("chart", "--help").out.split())
    assert [name for name in NAMES if name not in out] == []


# The gallery


def test_the_names_are_the_six_in_their_order():
    assert (
        NAMES
        == ("response-map", "dial-strip", "front-end", "if-ranges", "whistle", "spectrum")
        == tuple(KINDS)
    )


def test_all_that_apply_are_drawn_in_order_and_named_ones_as_asked_for():
    answer = survey(demo("pantry"), listed(80))
    assert [chart.name for chart in charts_of(answer)] == [name for name in NAMES if name != "spectrum"]
    assert [chart.name for chart in charts_of(answer, ["whistle", "response-map"])] == [
        "whistle",
        "response-map",
    ]
    assert charts_of(answer, []) == ()


def test_what_does_not_apply_is_left_out_and_refused_when_named():
    answer = survey(Plan(**(demo("pantry").given() | {"front_end": None})))
    assert "front-end" not in [chart.name for chart in charts_of(answer)]
    with pytest.raises(ModelRangeError, match="front_end"):
        charts_of(answer, ["response-map", "front-end"])
    with pytest.raises(FreqplanError, match="no chart"):
        charts_of(answer, ["response-map", "nothing"])


def test_a_name_that_there_is_not_is_refused_before_anything_is_drawn(monkeypatch):
    monkeypatch.setattr(drawing, "find_spec", lambda name: None)
    with pytest.raises(FreqplanError, match="no chart"):
        charts_of(survey(demo("pantry")), ["response-map", "nothing"])


def test_from_python_it_is_one_call():
    plan, stations = demo("pantry"), listed(80)
    found = freqplan.chart(plan, "front-end", stations, dial_hz=98_100_000)
    assert isinstance(found, freqplan.Chart)
    assert found == charts_of(survey(plan, stations), ["front-end"], dial_hz=98_100_000)[0]
    with pytest.raises(ModelRangeError, match="whole dial"):
        freqplan.chart(plan, "whistle", dial_hz=98_100_000)


# The file


def test_a_file_holds_the_pictures_below_each_other_and_the_caption_last():
    plan = Plan(**(demo("pantry").given() | {"scale": Scale(length_um=400_000)}))
    chart = freqplan.chart(plan, "dial-strip", listed(80))
    assert len(chart.pictures) > 1
    whole = ElementTree.fromstring(chart.to_svg())
    parts = whole.findall(f"{SVG}svg")
    below = 0.0
    for part, picture in zip(parts, chart.pictures, strict=True):
        width, height = size_mm(picture)
        assert float(part.get("y").removesuffix("mm")) == pytest.approx(below)
        assert part.get("width") == f"{width:g}mm"
        below += height
        assert len(list(part.iter(f"{SVG}text"))) == len(list(words_in(picture)))
    caption = [(one.text, float(one.get("y").removesuffix("mm"))) for one in whole.findall(f"{SVG}text")]
    assert " ".join(text for text, _ in caption) == chart.caption
    assert all(place > below for _, place in caption)
    assert float(whole.get("height").removesuffix("mm")) > caption[-1][1]


def test_ids_in_a_file_are_unique_and_references_lead_somewhere():
    plan = Plan(**(demo("pantry").given() | {"scale": Scale(length_um=400_000)}))
    text = freqplan.chart(plan, "dial-strip", listed(80)).to_svg()
    ids = re.findall(r' id="([^"]*)"', text)
    assert len(ids) == len(set(ids))
    assert set(re.findall(r'(?:href="|url\()#([^")]*)', text)) <= set(ids)
    assert "style=" not in text


def test_a_notebook_shows_the_picture_and_its_caption():
    drawn = freqplan.chart(demo("pantry"), "front-end")
    page = drawn._repr_html_()
    assert all(picture in page for picture in drawn.pictures)
    assert drawn.caption.split(".")[0] in page
