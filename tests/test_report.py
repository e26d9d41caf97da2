"""The report: what stands on it is what the results say, and it is whole in itself."""

from __future__ import annotations

import base64
import datetime
import hashlib
import io
import math
import re
import shlex
from itertools import pairwise

import numpy as np
import pytest
from commandline import AM, DEMO, FM, UNKNOWN_SIDE, call
from hostile import HOSTILE, write_inputs
from reportpages import ReportPage, one_line

import freqplan
from freqplan.card import place
from freqplan.charts.chart import Chart
from freqplan.mechanisms import catalogue
from freqplan.reports import writing
from freqplan.reports.grids import MOST_ROWS
from freqplan.reports.writing import HOW_TO_GET, LONGEST_TEXT

DAY = datetime.date(2026, 11, 26)
PICTURE = Chart(
    "one", "What is seen", "How to read it.", "A line.", ('<svg role="img"><title>A</title></svg>',)
)


def load(text):
    return freqplan.load_plan(io.StringIO(text))


def listed(rows):
    return freqplan.load_stations(io.StringIO("name,frequency_mhz\n" + "\n".join(rows)))


def observed(text):
    return freqplan.load_evidence(io.StringIO(text))


def page_of(plan, stations=None, **options):
    return ReportPage(freqplan.report(plan, stations, date=DAY, **{"charts": False, **options}))


@pytest.fixture(scope="module")
def pantry():
    return freqplan.load_plan(DEMO / "pantry.toml"), freqplan.load_stations(DEMO / "orvessa.csv")


@pytest.fixture(scope="module")
def survey(pantry):
    return freqplan.survey(*pantry)


@pytest.fixture(scope="module")
def evidence():
    return freqplan.load_evidence(DEMO / "pantry-heard.toml")


@pytest.fixture(scope="module")
def text(pantry, evidence):
    return freqplan.report(*pantry, evidence=evidence, date=DAY, plan_source="pantry.toml")


@pytest.fixture(scope="module")
def page(text):
    return ReportPage(text)


SETS = {
    "alone": (FM, None),
    "no stations in the list's band": (FM, ["Far away,1.0"]),
    "a few": (FM, [f"Number {i},{88 + i}.0" for i in range(10)]),
    "both sides": (UNKNOWN_SIDE, ["Mill Lane,96.3", "High Moor,101.2"]),
    "AM": (AM, ["Long Acre,0.936", "Far Hill,1.845"]),
    "two conversions": ((DEMO / "shed.toml").read_text("utf-8"), ["Tower,119.4", "Mill Lane,101.2"]),
    "without a front end": (FM.replace("Kitchen set", ""), ["Mill Lane,96.3"]),
}
every_set = pytest.mark.parametrize("name", SETS)


@pytest.fixture(scope="module")
def pages():
    return {
        name: page_of(load(plan), None if rows is None else listed(rows))
        for name, (plan, rows) in SETS.items()
    }


# A page whole in itself


def whole(page):
    """Assert what holds for every report."""
    levels = [level for level, _ in page.headings]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))
    assert page.tables
    for table in page.tables:
        assert table.caption
        assert table.heads
        assert table.rows
        assert set(table.scopes) <= {"col", "row"}
        assert {len(row) for row in table.rows} == {len(table.heads)}
    ids = page.values("id")
    assert len(ids) == len(set(ids))
    links = page.values("href") + page.values("xlink:href")
    assert {link.removeprefix("#") for link in links} <= set(ids)
    for name in ("for", "aria-labelledby", "aria-describedby"):
        assert set(page.values(name)) <= set(ids)
    assert not {"script", "img", "link", "iframe", "object", "embed", "base", "b", "form"} & set(page.tags)
    names = {name for _, name, _ in page.attributes}
    assert not {"src", "srcset", "style", "action"} & names
    assert not any(name.startswith("on") for name in names)
    assert {"header", "nav", "main", "footer"} <= set(page.tags)
    assert ("html", "lang", "en") in page.attributes


def test_the_whole_report_is_well_formed_in_order_and_refers_to_nothing_outside(page):
    whole(page)
    assert page.tags.count("svg") >= 4


@every_set
def test_so_is_the_report_of(name, pages):
    whole(pages[name])


def test_the_policy_allows_the_one_style_that_is_there_and_nothing_else(text, page):
    policy = next(value for value in page.values("content") if "default-src" in value)
    own = base64.b64encode(hashlib.sha256(page.style.encode()).digest()).decode()
    assert f"default-src 'none'; style-src 'sha256-{own}'" in policy
    assert "unsafe" not in policy
    assert not re.search(r"url\(|@import|https?:", page.style)
    # Names of XML dialects are no addresses that anything is fetched from.
    outside = re.findall(r"https?://[^\s\"'<]+", text)
    assert set(outside) <= {"http://www.w3.org/2000/svg", "http://www.w3.org/1999/xlink"}


def test_links_of_the_contents_lead_to_the_parts_in_their_order(page):
    titles = [title for level, title in page.headings if level == 2]
    assert titles == [
        "The set", "Read this first", "Check list", "Diagnosis", "Charts", "Tables", "Side against side",
        "Mechanisms", "Assumptions and cautions", "Columns",
    ]  # fmt: skip
    links = [link for link in page.values("href") if not link.startswith("#mechanism-")]
    assert [link.removeprefix("#") for link in links[: len(titles)]] == [
        "set", "first", "check-list", "diagnosis", "charts", "tables", "comparison", "mechanisms", "assumptions",
        "glossary",
    ]  # fmt: skip


# What it says


def test_the_list_to_check_is_that_of_the_survey_row_for_row(page, survey):
    table = page.table("Frequencies to check")
    assert f"(20 of {len(survey.check_list)})" in table.caption
    wanted = [
        [
            str(row["priority"]),
            one_line(f"{place(row, survey.rounding)} {row['mechanism']} {', '.join(row['stations'])}"),
            one_line(row["why"]),
            one_line(row["what_to_do"]),
        ]
        for row in survey.check_list.take(slice(20)).rows()
    ]
    assert [row[1:5] for row in table.rows] == wanted
    assert table.rows[0][1] == "1"
    assert table.rows[0][2].startswith("dial 96.3 MHz (96.0-96.6) if-harmonic Ora Lintrova")
    assert "9 × 10.70 = 96.30" in table.rows[0][3]


def test_every_row_has_a_box_to_tick_and_room_for_a_note(page):
    rows = len(page.table("Frequencies to check").rows)
    boxes = [value for tag, name, value in page.attributes if (tag, name) == ("input", "type")]
    assert boxes == ["checkbox"] * rows
    assert page.tags.count("textarea") == rows


def test_the_list_to_check_has_as_many_rows_as_asked_for(pantry, survey):
    assert len(page_of(*pantry, limit=3).table("Frequencies to check").rows) == 3
    rows = len(survey.check_list)
    every = page_of(*pantry, limit=rows).table("Frequencies to check")
    assert len(every.rows) == rows
    assert every.caption.endswith(f"({rows})")


def first_of_each(table, most):
    """Take the first row of every mechanism, then the second, until there are so many; in the order of the table."""
    rows: dict[str, list[int]] = {}
    for row, mechanism in enumerate(table.values("mechanism")):
        rows.setdefault(mechanism, []).append(row)
    turns = [own[turn] for turn in range(len(table)) for own in rows.values() if turn < len(own)]
    return table.take(np.array(sorted(turns[:most])))


@pytest.mark.parametrize(
    "name",
    ["heard", "oscillators", "birdies", "ghosts", "products", "if_pairs", "neighbours", "responses"],
)
def test_a_table_holds_the_first_rows_of_the_result(name, page, survey):
    whole_table = survey.table(name)
    part = first_of_each(whole_table, MOST_ROWS) if name == "birdies" else whole_table.take(slice(MOST_ROWS))
    heads, rows = part.readable(survey.rounding, overview=True, one_side=True)
    shown = page.table(f"{whole_table.title} (")
    assert shown.heads == heads
    assert shown.rows == [list(map(one_line, row)) for row in rows]


def test_harmonics_of_the_if_are_not_crowded_out_by_a_clock(page, survey):
    assert survey.birdies.values("mechanism").count("internal-clock") > MOST_ROWS
    shown = page.table("Birdies (")
    named = [row[shown.heads.index("Mechanism")] for row in shown.rows]
    assert len(named) == MOST_ROWS
    assert named.count("if-harmonic") == 2


def test_the_sides_stand_beside_each_other(page, pantry):
    compared = freqplan.compare(pantry[0], (), pantry[1])
    heads, rows = compared.plans.readable(compared.rounding, overview=True)
    shown = page.table(compared.plans.title)
    assert (shown.heads, shown.rows) == (heads, [list(map(one_line, row)) for row in rows])


def test_the_diagnosis_stands_on_the_page_line_for_line(page, pantry, evidence):
    diagnosis = freqplan.diagnose(pantry[0], evidence, pantry[1])
    assert "Fits, 90 %: half-if, half-IF response." in page.text
    for title, lines in diagnosis.sections.items():
        assert (3, title) in page.headings
        assert " ".join(map(one_line, lines)) in page.text
    assert page.table("Causes").rows[0][0] == "half-if"


def test_dial_readings_stand_on_the_page(pantry):
    plan = freqplan.load_plan(DEMO / "loft.toml")
    readings = freqplan.load_readings(DEMO / "loft-readings.csv")
    shown = page_of(plan, readings=readings)
    dial = freqplan.dial(plan, readings)
    for line in dial.headlines[1:]:
        assert one_line(line) in shown.text
    assert shown.table("What explains the readings").rows[0][0] == "oscillator-scaled"
    assert (2, "Dial readings") in shown.headings
    assert (2, "Dial readings") not in page_of(plan).headings


def test_every_mechanism_named_is_explained_and_a_shared_caution_is_written_once(
    page, survey, pantry, evidence
):
    diagnosis = freqplan.diagnose(pantry[0], evidence, pantry[1])
    words = catalogue()
    ids = {*survey.mechanisms.values("mechanism"), *diagnosis.mechanisms.values("mechanism")}
    for name in ids:
        assert any(title.startswith(name) for level, title in page.headings if level == 3)
        for said in (words[name].fingerprint, words[name].test, words[name].cure):
            assert one_line(said) in page.text
    cautions = {f"Caution {one_line(words[name].caution)}" for name in ids} - {"Caution "}
    for caution in cautions:
        # One may begin like another and say more.
        assert page.text.count(caution) == sum(other.startswith(caution) for other in cautions)
    named = survey.check_list.take(slice(20)).values("mechanism")
    assert {f"#mechanism-{name}" for name in named} <= set(page.values("href"))


def test_what_can_hurt_stands_before_the_list_and_again_at_the_end(page, survey):
    first, last = page.text.index("Check list Ticks"), page.text.index("Assumptions and cautions Cautions")
    for caution in survey.cautions:
        assert one_line(caution) in page.text[:first]
        assert one_line(caution) in page.text[last:]


def test_what_was_assumed_stands_on_the_page_once_each(page, survey, pantry, evidence):
    results = (
        survey,
        freqplan.diagnose(pantry[0], evidence, pantry[1]),
        freqplan.compare(pantry[0], (), pantry[1]),
    )
    end = page.text[page.text.index("Assumptions and cautions Cautions") :]
    for result in results:
        for text in result.assumptions:
            assert end.count(one_line(text)) == 1


def test_the_glossary_explains_the_columns_that_occur_and_no_other(page, survey):
    end = page.text[page.text.rindex("Columns Mechanism") :]
    assert "Margin [dB] How far it stays below being heard; negative: it is heard." in end
    assert "Culprit" not in end
    heads = {head for table in page.tables[1:] for head in table.heads}
    across = {row[0] for row in page.table("Side against side").rows}
    for head in (heads | across) - {"10.70"}:
        assert f" {head} " in end


def test_the_commands_for_the_rest_give_all_of_it(page, monkeypatch, tmp_path):
    for name in ("pantry.toml", "orvessa.csv"):
        (tmp_path / name).write_bytes((DEMO / name).read_bytes())
    monkeypatch.chdir(tmp_path)
    cut = [table.caption for table in page.tables if "All of them: freqplan survey" in table.caption]
    assert len(cut) >= 5
    for caption in cut:
        total = re.search(r"\(\d+ of (\d+)\)", caption).group(1)
        words = shlex.split(
            caption.partition("All of them: ")[2].replace(str(DEMO / "orvessa.csv"), "orvessa.csv")
        )
        answer = call(*words[1:], "--format", "csv")
        assert answer.code == 0, answer.err
        assert len(answer.out.splitlines()) == int(total) + 1


# Where IF and side come from

FRONT = FM + "\n[front_end]\ncircuits_before_mixer = 2\nloaded_q = 40\n"
HEARD = '\n[[symptom]]\ndial = "98 MHz"\nheard = "whistle"\n'
ORIGINS = [
    (FM, "", {}, ["10.70 MHz, from the plan", "high: above the signal, from the plan"]),
    (UNKNOWN_SIDE, "", {}, ["Oscillator not known answered for high and low Stations"]),
    (
        FM,
        "",
        {"--intermediate": "10.7 MHz", "--oscillator": "high"},
        ["10.70 MHz, given for this report in place of the plan's", "signal, given for this report in place"],
    ),
    (
        FM,
        '[set]\nintermediate = "10.675 MHz"\nintermediate_known = "measured"\nintermediate_error = "5 kHz"'
        + HEARD,
        {},
        ["10.675 ± 0.005 MHz, measured, says the evidence the plan says 10.70 MHz"],
    ),
    (
        FM,
        '[set]\nintermediate = "10.64 MHz"\nintermediate_known = "dot"' + HEARD,
        {},
        ["10.64 ± 0.03 MHz, by the colour dot of the filter, says the evidence"],
    ),
    (
        FM,
        '[set]\nintermediate = "10.7 MHz"\nintermediate_known = "nominal"' + HEARD,
        {},
        ["10.70 ± 0.03 MHz, as printed, says the evidence Oscillator"],
    ),
    (
        FM,
        '[set]\nintermediate_known = "measured"' + HEARD,
        {},
        ["from the plan; measured, says the evidence"],
    ),
    (
        FM,
        '[set]\noscillator = "unknown"' + HEARD,
        {},
        [
            "not known, says the evidence; the plan says high answered for high and low by what was observed high "
        ],
    ),
    (
        FM,
        '[set]\noscillator = "low"' + HEARD,
        {},
        ["low: below the signal, says the evidence; the plan says high"],
    ),
]


@pytest.mark.parametrize(("plan", "seen", "changed", "said"), ORIGINS)
def test_the_heading_says_where_if_and_side_come_from(plan, seen, changed, said):
    evidence = observed(seen) if seen else None
    shown = page_of(load(plan), evidence=evidence, changed=changed)
    for words in said:
        assert words in shown.text


def test_tables_are_answered_for_the_if_that_the_evidence_states():
    seen = observed('[set]\nintermediate = "10.6 MHz"\noscillator = "low"' + HEARD)
    shown = page_of(load(FM), evidence=seen, plan_source="my set.toml")
    wanted = freqplan.survey(load(FM).with_changes(intermediate_hz=10_600_000, oscillator="low"))
    rows = wanted.responses.take(slice(MOST_ROWS)).readable(wanted.rounding, overview=True, one_side=True)[1]
    table = shown.table(wanted.responses.title)
    assert table.rows == [list(map(one_line, row)) for row in rows]
    assert "freqplan survey 'my set.toml' --oscillator low --intermediate '10.6 MHz'" in table.caption


def test_an_if_that_later_conversions_do_not_go_with_is_left_to_the_diagnosis():
    plan = freqplan.load_plan(DEMO / "shed.toml")
    seen = observed('[set]\nintermediate = "20.9 MHz"\n[[symptom]]\ndial = "120 MHz"\nheard = "whistle"\n')
    shown = page_of(plan, evidence=seen)
    assert "21.400 ± 0.002 MHz, from the plan" in shown.text
    assert "only the diagnosis reckons with it" in shown.text


BY_READINGS = [
    # The fourth is an image: only the IF moves it the other way.
    (
        [(90_000, 89_800), (94_000, 93_800), (102_000, 101_800), (88_000, 109_600)],
        "IF 10.70 MHz, from the plan by the dial readings real IF 10.90 MHz (fits)",
    ),
    (
        [(90_000, 91_260), (94_000, 94_460), (98_000, 97_660), (106_000, 104_060)],
        "from the plan by the dial readings oscillator below the station, 20.0 % low (undecided)",
    ),
]


@pytest.mark.parametrize(("pairs_khz", "said"), BY_READINGS)
def test_readings_that_point_at_if_or_side_are_told_beside_it(pairs_khz, said):
    reads, plays = ([khz * 1000 for khz in column] for column in zip(*pairs_khz, strict=True))
    assert said in page_of(load(FM), readings=freqplan.Readings(reads, plays)).text


def test_a_front_end_and_a_mixer_take_a_line_each():
    assert "Front end nothing known: what depends on levels has none Mixer unknown" in page_of(load(FM)).text
    told = page_of(load(FRONT)).text
    assert "tuned circuits: 0 before the RF stage, 2 before the mixer, loaded Q 40, at most 80 dB" in told
    loft = page_of(freqplan.load_plan(DEMO / "loft.toml")).text
    assert "measured response" in loft
    assert "polynomial; oscillator drive 0.7; coefficients 0.008 0.015 0.004 -0.0012 -0.0005" in loft


# Charts


def test_charts_come_with_their_words_and_each_picture_has_a_name(page, survey):
    from freqplan.charts.gallery import charts_of

    for chart in charts_of(survey, dial_hz=95_900_000):
        assert (3, one_line(chart.title)) in page.headings
        assert one_line(chart.caption) in page.text
        assert one_line(chart.alt) in page.text


def test_charts_of_one_setting_are_drawn_where_the_disturbance_is(monkeypatch, pantry, evidence):
    asked = []

    def stand_in(survey, names=None, *, dial_hz=None):
        asked.append(dial_hz)
        return (PICTURE,)

    monkeypatch.setattr("freqplan.charts.gallery.charts_of", stand_in)
    shown = page_of(*pantry, charts=True, evidence=evidence)
    page_of(*pantry, charts=True)
    assert asked == [95_900_000, None]
    assert "How to read it." in shown.text
    whole(shown)


def test_without_matplotlib_everything_else_comes_and_one_line_says_how_to_get_charts(monkeypatch, pantry):
    monkeypatch.setattr(writing, "can_draw", lambda: False)
    shown = page_of(*pantry, charts=True)
    assert shown.text.count(HOW_TO_GET) == 1
    assert "svg" not in shown.tags
    assert len(shown.tables) > 10
    assert HOW_TO_GET not in page_of(*pantry).text


# Names as people write them


def test_hostile_names_only_ever_show_as_text(tmp_path):
    write_inputs(tmp_path)
    plan, stations = freqplan.load_plan(tmp_path / "evil.toml"), freqplan.load_stations(tmp_path / "town.csv")
    readings = freqplan.load_readings(tmp_path / "read.csv")
    shown = page_of(plan, stations, readings=readings, limit=1000, charts=True)
    whole(shown)
    assert (1, "</title>$_&*<b>") in shown.headings
    for name in HOSTILE:
        assert one_line(name) in shown.text


def test_signs_that_act_are_replaced_and_what_nobody_reads_is_cut():
    names = ("ab\u202ecd", "null\x00sign", "W" * 10_000, "</style><script>alert(1)</script>")
    title = '\u202etitle \x00 "; } body { display: none } </style>'
    conversion = freqplan.Conversion(intermediate_hz=10_700_000, oscillator="high")
    plan = freqplan.Plan(title=title, band=load(FM).band, conversion=(conversion,))
    unknown = [math.nan] * len(names)
    stations = freqplan.StationList(
        "", names, [96_300_000, 101_200_000, 98_000_000, 91_000_000], unknown, unknown, unknown
    )
    text = freqplan.report(plan, stations, date=DAY, limit=1000)
    shown = ReportPage(text)
    whole(shown)
    assert not re.search("[\x00\u202a-\u202e\u2066-\u2069]", text)
    assert "</style><script>alert(1)</script>" in shown.text
    assert len(text) < 1_000_000
    assert max(len(word) for word in shown.text.split()) <= LONGEST_TEXT


# The same input, the same bytes


def test_the_same_day_gives_the_same_bytes(pantry, text, evidence):
    again = freqplan.report(*pantry, evidence=evidence, date=DAY, plan_source="pantry.toml")
    assert again == text
    assert '<time datetime="2026-11-26">26 November 2026</time>' in text


def test_the_day_of_a_build_is_kept_to_and_today_is_the_default(monkeypatch):
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "86399")
    assert '<time datetime="1970-01-01">1 January 1970</time>' in freqplan.report(load(FM), charts=False)
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "")
    days = {datetime.date.today().isoformat()}
    text = freqplan.report(load(FM), charts=False)
    days.add(datetime.date.today().isoformat())
    assert any(f'datetime="{day}"' in text for day in days)


@pytest.mark.parametrize("wrong", ["yesterday", "1e9", "9" * 30])
def test_a_day_of_a_build_that_is_no_time_is_refused(wrong, monkeypatch):
    monkeypatch.setenv("SOURCE_DATE_EPOCH", wrong)
    with pytest.raises(
        freqplan.FreqplanError, match=r"SOURCE_DATE_EPOCH .*: not a time in seconds since 1970"
    ):
        freqplan.report(load(FM), charts=False)


def test_a_limit_below_one_is_refused():
    with pytest.raises(freqplan.FreqplanError, match="at least one row"):
        freqplan.report(load(FM), limit=0)


def test_a_crowd_of_stations_stays_below_a_megabyte(pantry):
    rows = [f"Voice of the {i}th valley,{87.6 + 0.1 * (i * 37 % 204):.1f},{40 + i % 50}" for i in range(300)]
    crowd = freqplan.load_stations(io.StringIO("name,frequency_mhz,level_dbuv\n" + "\n".join(rows)))
    text = freqplan.report(pantry[0], crowd, date=DAY)
    assert len(text.encode()) < 1_000_000
    whole(ReportPage(text))
