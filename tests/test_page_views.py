"""Each view: figures of the Python API, faults where they belong, hostile names as text, files as by command."""

from __future__ import annotations

import dataclasses
import io
import json
import re
from html import unescape
from urllib.parse import parse_qsl, urlencode, urljoin

import pytest
from benchpages import ALONE, FEW, HOME, ORVESSA, PANTRY, TOWN, asked, client, evil, links, sent, words
from commandline import AM, DEMO, FM, UNKNOWN_SIDE, call
from markupsafe import escape
from thoroughness import some

import freqplan
from freqplan.card import place
from freqplan.charts.spectrum import PICTURED, spectra
from freqplan.mechanisms import catalogue
from freqplan.page.lines import clauses, entries, setting
from freqplan.page.state import Bench, pack, unpack
from freqplan.page.views import VIEWS
from freqplan.reports.writing import report
from freqplan.starters import KINDS


@pytest.fixture(scope="module")
def own():
    return client()


@pytest.fixture(scope="module")
def plan():
    return freqplan.load_plan(DEMO / "pantry.toml")


@pytest.fixture(scope="module")
def town():
    return freqplan.load_stations(DEMO / "orvessa.csv")


@pytest.fixture(scope="module")
def surveyed(plan, town):
    return freqplan.survey(plan, town)


def of(own, view, segment=TOWN, **query):
    return asked(own, f"/bench/{segment}/{view}{'?' if query else ''}{urlencode(query, doseq=True)}")


def cells(answer, title):
    """Return the rows of a table on a page by its title."""
    page = answer.get_data(as_text=True)
    box = page[page.index(f'aria-label="{escape(title)}"') :]
    body = box[box.index("<tbody>") : box.index("</tbody>")]
    body = re.sub(r'<td class="why">.*?</td>', "", body)
    row = re.compile(r"<t[hd][^>]*>(.*?)</t[hd]>", re.DOTALL)
    return [[re.sub(r"<[^>]+>", "", cell) for cell in row.findall(line)] for line in body.split("</tr>")[:-1]]


# Start


def test_the_start_page_offers_every_kind_of_set(own):
    answer = asked(own, "/")
    assert answer.status_code == 200
    for kind in KINDS:
        assert kind.description in words(answer)


@pytest.mark.parametrize("kind", [kind.name for kind in KINDS])
def test_every_kind_of_set_can_be_surveyed_as_it_stands(own, kind):
    shown = asked(own, f"/start?kind={kind}").get_data(as_text=True)
    plan = re.search(r'<textarea id="plan".*?>\n(.*?)</textarea>', shown, re.DOTALL)[1]
    assert unescape(plan) == freqplan.starter(kind)
    went = sent(own, "/bench", {"plan": unescape(plan)})
    assert went.status_code == 303
    assert asked(own, f"/{went.headers['Location']}").status_code == 200


def test_a_plan_given_at_the_start_is_where_the_page_begins():
    own = client(first=Bench(PANTRY, ORVESSA))
    answer = asked(own, "/")
    assert answer.status_code == 303
    assert "Pantry table set" in words(asked(own, f"/{answer.headers['Location']}"))
    assert "Begin with a kind of set" in words(asked(own, "/start"))


def test_texts_and_files_go_into_the_address_and_a_file_goes_first(own):
    form = {
        "plan": FM,
        "stations": "name,frequency_mhz\nNobody,99",
        "plan_file": (io.BytesIO(PANTRY.encode()), "/home/me/sets/pantry.toml"),
        "stations_file": (io.BytesIO(ORVESSA.encode()), "../lists/orvessa.csv"),
    }
    went = sent(own, "/bench", form).headers["Location"]
    assert unpack(went.split("/")[1]) == Bench(PANTRY, ORVESSA, "orvessa.csv", "pantry.toml")


def test_line_ends_of_a_browser_are_those_of_a_file(own):
    went = sent(own, "/bench", {"plan": FM.replace("\n", "\r\n")}).headers["Location"]
    assert unpack(went.split("/")[1]).plan_text == FM


def test_faults_of_both_are_shown_with_their_lines_and_what_was_typed_stays(own):
    typed = {
        "plan": FM.replace("10.7 MHz", "10,7 MHz").replace("108 MHz", "108"),
        "stations": "name,frequency_mhz\nA,x\nB,98,5",
    }
    answer = sent(own, "/bench", typed)
    assert answer.status_code == 422
    said = words(answer)
    for part in (
        "line 5, band.high",
        "line 8, conversion[0].intermediate",
        "line 2, frequency_mhz",
        "line 3",
    ):
        assert part in said
    for text in typed.values():
        assert escape(text) in answer.get_data(as_text=True)


@pytest.mark.parametrize("text", ["", " ", "x", "\0", "[band", "a.b." * 5000 + "c=1", "[" * 5000, "= " * 100])
def test_what_is_no_plan_is_shown_again(own, text):
    answer = sent(own, "/bench", {"plan": text})
    assert answer.status_code == 422
    assert "What is wrong" in words(answer) or "cannot be used" in words(answer)


def test_a_plan_that_is_no_utf8_is_refused_and_shown_as_far_as_it_can_be(own):
    answer = sent(own, "/bench", {"plan_file": (io.BytesIO(b'title = "K\xfcche"\n'), "a.toml")})
    assert answer.status_code == 422
    assert "UTF-8" in words(answer)


def test_a_list_that_is_no_utf8_is_read_and_remarked(own):
    form = {
        "plan": FM,
        "stations_file": (io.BytesIO("name,frequency_mhz\nFeldùna,98.5".encode("latin-1")), "a.csv"),
    }
    went = sent(own, "/bench", form).headers["Location"]
    said = words(asked(own, f"/{went}"))
    assert "Feldùna" in said
    assert "not UTF-8" in said
    assert "not UTF-8" not in words(asked(own, f"/{went.partition('?')[0]}"))


def test_a_list_too_large_for_an_address_is_kept_and_the_page_says_so(own):
    rows = "".join(f"Station {i * 7919 % 99991},{60 + i % 500 / 10:.1f}\n" for i in range(12_000))
    went = sent(
        own, "/bench", {"plan": FM.replace("87.5", "107.9"), "stations": "name,frequency_mhz\n" + rows}
    )
    location = went.headers["Location"]
    assert location.startswith("bench/kept-")
    answer = asked(own, f"/{location.removesuffix('survey')}set")
    assert "holds only until the program ends" in words(answer)


# The set


def test_the_set_is_shown_and_changed(own):
    shown = of(own, "set")
    assert escape(PANTRY) in shown.get_data(as_text=True)
    changed = PANTRY.replace("10.7 MHz", "10.67 MHz")
    went = sent(own, f"/bench/{TOWN}/set", {"plan": changed, "stations": ORVESSA})
    assert went.status_code == 303
    segment = went.headers["Location"].split("/")[1]
    assert unpack(segment) == Bench(changed, ORVESSA, "orvessa.csv", "pantry.toml")
    assert "IF 10.67" in words(asked(own, f"/bench/{segment}/survey"))


def test_a_change_that_is_no_plan_is_shown_again(own):
    answer = sent(own, f"/bench/{TOWN}/set", {"plan": "x = ", "stations": ORVESSA})
    assert answer.status_code == 422
    assert "line 1" in words(answer)


def test_an_address_with_a_faulty_plan_says_what_is_wrong_and_leads_to_the_set(own):
    segment = pack(Bench("x = "))
    for view in ("survey", "channel?dial=98", "compare", "survey.json", "table/ghosts"):
        answer = asked(own, f"/bench/{segment}/{view}")
        assert answer.status_code == 422
        assert "line 1" in words(answer)
        assert any(address.endswith("set") for _, address in links(answer)[0])
    assert "line 1" in words(asked(own, f"/bench/{segment}/set"))


def test_plan_and_list_come_back_as_files(own):
    assert of(own, "plan.toml").get_data(as_text=True) == PANTRY
    assert of(own, "stations.csv").get_data(as_text=True) == ORVESSA
    assert "attachment" in of(own, "plan.toml").headers["Content-Disposition"]


# Survey


def test_the_survey_shows_the_check_list_of_the_python_api(own, surveyed):
    answer = of(own, "survey")
    said = words(answer)
    for line in (*surveyed.headlines[1:], *surveyed.cautions, *surveyed.assumptions):
        assert " ".join(line.replace(str(DEMO) + "/", "").split()) in said
    for row in list(surveyed.check_list.rows())[:20]:
        assert place(row, surveyed.rounding) in said
        assert row["what_to_do"] in said
        for name in row["stations"]:
            assert name in said
    assert "dial 96.3 MHz (96.0-96.6)" in said
    assert "9 × 10.70 = 96.30" in said


def test_a_reason_taken_apart_is_whole(surveyed):
    for text in surveyed.check_list.values("why"):
        parts = clauses(text)
        assert "; ".join(part.text for part in parts) == text
        assert [part.kind for part in parts].count("why") == 1


def test_every_setting_of_the_check_list_can_be_dialled(own, surveyed):
    offered = [entry.dial for entry in entries(surveyed, most=1000) if entry.dial]
    assert len(offered) > 100
    for dial in dict.fromkeys(offered[::15]):
        assert of(own, "channel", dial=dial).status_code == 200


@pytest.mark.parametrize("kind", [kind.name for kind in KINDS])
def test_every_setting_can_be_dialled_on_every_kind_of_set(own, kind):
    segment = pack(Bench(freqplan.starter(kind)))
    found = freqplan.survey(unpacked(segment))
    dials = {entry.dial for entry in entries(found, most=1000) if entry.dial}
    ends = {setting(found.plan, hertz) for hertz in (found.plan.band.low_hz, found.plan.band.high_hz)}
    for dial in [*sorted(dials)[:4], *ends]:
        assert of(own, "channel", segment, dial=dial).status_code == 200


def unpacked(segment):
    return freqplan.load_plan(io.StringIO(unpack(segment).plan_text))


def test_the_survey_without_stations_has_no_table_of_ghosts(own):
    answer = of(own, "survey", ALONE)
    assert "Ghosts" not in words(answer)
    assert "Pad on trial" not in words(answer)


OVERRIDES = [
    ({"intermediate": "10.67"}, {"intermediate_hz": 10_670_000}),
    ({"intermediate": "10.67 MHz"}, {"intermediate_hz": 10_670_000}),
    ({"oscillator": "low"}, {"oscillator": "low"}),
    (
        {"oscillator": "unknown", "intermediate": "10640 kHz"},
        {"oscillator": "unknown", "intermediate_hz": 10_640_000},
    ),
    ({"orders": "3,4"}, {"orders": (3, 4)}),
    ({"region": "2"}, {"region": 2}),
]


@pytest.mark.parametrize(("asked_for", "changes"), OVERRIDES)
def test_what_is_asked_for_goes_in_place_of_the_plan(own, plan, town, asked_for, changes):
    expected = freqplan.survey(plan.with_changes(**changes), town)
    told = json.loads(of(own, "survey.json", **asked_for).get_data(as_text=True))
    assert told == json.loads(freqplan.render(expected, "json"))
    answer = of(own, "survey", **asked_for)
    assert expected.headlines[0] in words(answer)
    within = [
        address
        for tag, address in links(answer)[0]
        if tag == "a" and address.startswith(("channel", "table"))
    ]
    assert within
    for address in within:
        assert set(asked_for.items()) <= set(parse_qsl(address.partition("?")[2]))


def test_blanks_inside_a_value_do_not_swell_the_page(own):
    """Every link on a page carries it along."""
    short, long = (of(own, "survey", ALONE, orders=f"5{blanks},5").data for blanks in (" ", " " * 14_000))
    assert long == short


def test_with_the_if_one_filter_rank_lower_the_ninth_harmonic_is_at_96_03(own):
    said = words(of(own, "survey", intermediate="10.67"))
    assert "9 × 10.67 = 96.03" in said


def test_a_pad_on_trial_is_the_one_of_the_command_line(own, plan, town):
    expected = freqplan.survey(plan, town, trial=freqplan.Trial(pad_db=10.0))
    told = json.loads(of(own, "survey.json", pad="10").get_data(as_text=True))
    assert told == json.loads(freqplan.render(expected, "json"))
    assert expected.changes.title in words(of(own, "survey", pad="10 dB"))


WRONG = {
    "intermediate": ("abc", "10,67", "-1 MHz", "0 MHz", "9" * 5000, "108 THz", "10.7 mHz"),
    "oscillator": ("sideways", "sum"),
    "orders": ("5", "0,0", "99,99", "5;5", "5,5,5", "x" * 5000),
    "region": ("0", "4", "x", "1.0"),
    "pad": ("x", "-10", "0", "1e9", "10 km"),
}


@pytest.mark.parametrize(
    ("name", "value"), [(name, value) for name, values in WRONG.items() for value in values]
)
def test_a_value_that_cannot_be_used_is_told_on_the_form_and_stays_in_it(own, name, value):
    answer = of(own, "survey", **{name: value})
    assert answer.status_code == 422
    assert "cannot be used" in words(answer)
    if name in ("intermediate", "orders", "pad"):
        assert escape(value) in answer.get_data(as_text=True)


@pytest.mark.parametrize(
    "name", ["ghosts", "responses", "birdies", "products", "oscillators", "channel_hits"]
)
def test_a_table_by_itself_holds_the_rows_of_the_python_api(own, surveyed, name):
    findings = surveyed.table(name)
    _, rows = findings.take(slice(1000)).readable(surveyed.rounding, one_side=True)
    assert cells(of(own, f"table/{name}"), findings.title) == [[escape(cell) for cell in row] for row in rows]


def test_tables_among_others_are_short_and_count_their_rows(own, surveyed):
    answer = of(own, "survey")
    for name in ("ghosts", "products", "birdies"):
        findings = surveyed.table(name)
        assert len(cells(answer, findings.title)) == 25
        assert f"25 of {len(findings)} rows" in words(answer)


def test_a_table_that_is_not_there_is_a_clear_page(own):
    for view in ("table/nothing", "survey.csv?table=nothing"):
        answer = asked(own, f"/bench/{TOWN}/{view}")
        assert answer.status_code == 422
        assert "check_list" in words(answer)


def test_the_whole_check_list_has_its_page(own, surveyed):
    answer = of(own, "table/check_list")
    assert answer.get_data(as_text=True).count("<li value=") == len(surveyed.check_list)
    assert '"../channel?dial=96.3+MHz"' in answer.get_data(as_text=True)


# Channel


@pytest.mark.parametrize(
    ("text", "hertz"), [("96.3", 96_300_000), ("96300", 96_300_000), ("98.05 MHz", 98_050_000)]
)
def test_a_dial_setting_reads_like_on_the_command_line(own, plan, town, text, hertz):
    expected = freqplan.channel(plan, hertz, town)
    answer = of(own, "channel", dial=text)
    for line in expected.headlines:
        assert line in words(answer)
    _, rows = expected.responses.take(slice(25)).readable(expected.rounding, overview=True, one_side=True)
    shown = cells(answer, expected.responses.title)
    assert shown == [[escape(cell) for cell in row] for row in rows]


def test_the_birdie_at_96_3_is_told_with_its_sum(own):
    assert "if-harmonic here: 9 × 10.70 = 96.30" in words(of(own, "channel", dial="96.3"))


def test_a_medium_wave_set_is_dialled_in_khz(own):
    segment = pack(Bench(AM))
    for text in ("936", "0.936", "936 kHz"):
        assert "Dial on 936 kHz" in words(of(own, "channel", segment, dial=text))


def test_the_channels_beside_are_one_step_away_and_end_with_the_band(own):
    for dial, below, above in (
        ("96.3", "96.2", "96.4"),
        ("96.35 MHz", "96.3", "96.4"),
        ("87.5", None, "87.6"),
        ("108", "107.9", None),
    ):
        page = of(own, "channel", dial=dial).get_data(as_text=True)
        steps = dict(re.findall(r'id="(below|above)"[^>]*href="channel\?dial=([\d.]+)\+MHz"', page))
        assert steps == {name: at for name, at in (("below", below), ("above", above)) if at}


@pytest.mark.parametrize("dial", ["7", "x", "200 MHz", "96,3", "-96.3", "9" * 5000, "96.3 kHz"])
def test_a_setting_that_cannot_be_dialled_is_told_and_stays_in_the_form(own, dial):
    answer = of(own, "channel", dial=dial)
    assert answer.status_code == 422
    assert escape(dial) in answer.get_data(as_text=True)


def test_without_a_setting_there_is_the_form(own):
    answer = of(own, "channel")
    assert answer.status_code == 200
    assert 'placeholder="97.8 MHz"' in answer.get_data(as_text=True)


def test_mechanisms_are_explained_on_the_page_of_the_channel(own, plan, town):
    answer = of(own, "channel", dial="96.3")
    found, ids = links(answer)
    for row in freqplan.channel(plan, 96_300_000, town).mechanisms.rows():
        assert row["mechanism"] in ids
        assert row["test"] in words(answer)
    for tag, address in found:
        if tag == "a" and address.startswith("#"):
            assert address[1:] in ids


# Compare, mechanisms, files


def test_the_comparison_is_that_of_the_python_api(own, plan, town):
    expected = freqplan.compare(plan, [10_670_000, 10_640_000], town)
    answer = of(own, "compare", intermediate=["10.67", "10640 kHz", " "])
    heads, rows = expected.plans.readable(expected.rounding, overview=True)
    assert cells(answer, expected.plans.title) == [[escape(cell) for cell in row] for row in rows]
    assert heads == ["IF [MHz]", "10.70", "10.70", "10.67", "10.67", "10.64", "10.64"]
    told = of(own, "compare.json", intermediate=["10.67", "10640 kHz"]).get_data(as_text=True)
    assert json.loads(told) == json.loads(freqplan.render(expected, "json"))


def test_too_many_ifs_at_once_are_refused(own):
    answer = of(own, "compare", intermediate=[f"10.{i}" for i in range(1, 10)])
    assert answer.status_code == 422
    assert "at most 8" in words(answer)


def test_of_several_ifs_none_goes_along_to_the_survey(own):
    for query, carried in (
        ({"intermediate": ["10.67", "10.64"]}, "survey"),
        ({"intermediate": "10.67"}, "survey?intermediate=10.67"),
    ):
        assert ("a", carried) in links(of(own, "compare", **query))[0]


def test_every_mechanism_is_listed_and_every_link_to_one_leads_to_its_page(own):
    answer = of(own, "mechanisms")
    found, ids = links(answer)
    assert set(catalogue()) <= set(ids)
    assert {address for _, address in found if "mechanisms/" in address} == {
        f"mechanisms/{one}" for one in catalogue()
    }
    for one in catalogue().values():
        assert " ".join(one.fingerprint.split()) in words(answer)
    for view in ("survey", "channel?dial=96.3", "table/ghosts", "table/check_list"):
        named = [
            address
            for _, address in links(asked(own, f"/bench/{TOWN}/{view}"))[0]
            if "mechanisms/" in address
        ]
        assert named
        assert {re.sub(r".*mechanisms/([^?]*).*", r"\1", address) for address in named} <= set(catalogue())


@pytest.mark.parametrize("mechanism", catalogue())
def test_a_mechanism_has_a_page_with_all_that_the_catalogue_says(own, mechanism):
    answer = of(own, f"mechanisms/{mechanism}")
    assert answer.status_code == 200
    said, one = words(answer), catalogue()[mechanism]
    for name in ("formula", "fingerprint", "test", "cure", "caution", "source"):
        assert " ".join(getattr(one, name).split()) in said
    assert one.title.casefold() in said.casefold()
    assert ("chart/spectrum.svg" in answer.get_data(as_text=True)) == (mechanism in PICTURED)
    assert (mechanism in PICTURED) != ("No sum of frequencies makes it" in said)


@pytest.mark.parametrize("mechanism", some(PICTURED))
def test_the_words_of_its_picture_are_those_of_the_python_api(own, plan, town, mechanism):
    chart = freqplan.chart(plan, "spectrum", town, mechanism=mechanism)
    answer = of(own, f"mechanisms/{mechanism}")
    shown, _ = spectra(freqplan.survey(plan, town), mechanism)
    for text in (*(one.alt for one in shown), *(one.sum for one in shown), chart.caption):
        assert " ".join(text.split()) in words(answer)
    picture = of(own, "chart/spectrum.svg", mechanism=mechanism)
    assert picture.get_data(as_text=True) == chart.to_svg()


@pytest.mark.parametrize("mechanism", catalogue())
def test_its_derivation_is_that_of_the_python_api(own, plan, mechanism):
    lesson = freqplan.lesson(plan, mechanism)
    said = words(of(own, f"mechanisms/{mechanism}"))
    for step in lesson.steps.rows():
        for text in (step["says"], step["formula_text"], step["numbers"]):
            assert " ".join((text or "").split()) in said
    for text in lesson.remarks:
        assert text in said


def test_links_of_a_mechanism_lead_somewhere_and_carry_what_was_changed(own):
    query = {"dial": "95.9 MHz", "intermediate": "10.67", "oscillator": "low"}
    answer = of(own, "mechanisms/half-if", **query)
    base = f"{HOME}/bench/{TOWN}/mechanisms/half-if"
    within = {urljoin(base, address).removeprefix(HOME) for _, address in links(answer)[0]}
    for address in within:
        assert asked(own, address).status_code == 200
    carried = [address for address in within if "/bench/" in address and "intermediate=10.67" in address]
    assert len(carried) > 5
    assert "oscillator on 85.23, below the signal" in words(answer)
    assert "pair-half-if" in answer.get_data(as_text=True)


@pytest.mark.parametrize("name", ["nothing", "half-IF", "<script>", "a" * 500])
def test_a_mechanism_that_there_is_not_is_no_page(own, name):
    answer = of(own, f"mechanisms/{name}")
    assert answer.status_code == 404
    assert "There is no mechanism" in words(answer)
    assert "<script>" not in answer.get_data(as_text=True)


def test_a_mechanism_is_told_in_words_where_the_set_or_the_setting_is_at_fault(own):
    for segment, query, said in (
        (pack(Bench("x = ")), {}, "line 1"),
        (TOWN, {"dial": "soon"}, "dial setting"),
        (TOWN, {"dial": "120 MHz"}, "lies off the band"),
        (TOWN, {"intermediate": "abc"}, "IF"),
    ):
        answer = of(own, "mechanisms/image", segment, **query)
        assert answer.status_code == 422
        assert said in words(answer)
        assert " ".join(catalogue()["image"].test.split()) in words(answer)


def test_where_no_such_set_can_have_it_the_page_says_so(own):
    segment = pack(Bench(freqplan.starter("am")))
    answer = of(own, "mechanisms/decoder-neighbour", segment)
    assert answer.status_code == 200
    assert "no spectrum of decoder-neighbour: no such sum" in words(answer)


def test_files_are_those_of_the_command_line(own, tmp_path, monkeypatch):
    monkeypatch.chdir(DEMO)
    given = ("pantry.toml", "--stations", "orvessa.csv")
    for view, command in (
        ("survey.json", ("survey", *given, "--format", "json")),
        ("survey.csv?table=ghosts", ("survey", *given, "--format", "csv", "--table", "ghosts")),
        ("channel.json?dial=96.3+MHz", ("channel", given[0], "96.3 MHz", *given[1:], "--format", "json")),
        (
            "channel.csv?dial=96.3&table=birdies",
            ("channel", given[0], "96.3 MHz", *given[1:], "--format", "csv", "--table", "birdies"),
        ),
        ("compare.csv?intermediate=10.67", ("compare", *given, "--intermediate", "10.67 MHz", "--format", "csv")),
    ):  # fmt: skip
        answer = asked(own, f"/bench/{TOWN}/{view}")
        assert answer.get_data(as_text=True) == call(*command).out
        assert "attachment" in answer.headers["Content-Disposition"]


@pytest.mark.parametrize(
    ("query", "option", "changes"),
    [
        ({}, None, {}),
        ({"intermediate": "10.67"}, {"--intermediate": "10.67 MHz"}, {"intermediate_hz": 10_670_000}),
    ],
)
def test_the_report_is_that_of_the_python_api(own, plan, town, query, option, changes, monkeypatch):
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "0")
    answer = of(own, "report.html", **query)
    named = dataclasses.replace(town, source="orvessa.csv")
    changed = plan.with_changes(**changes) if changes else plan
    assert answer.get_data(as_text=True) == report(changed, named, plan_source="pantry.toml", changed=option)
    assert "attachment" in answer.headers["Content-Disposition"]


def test_only_json_and_csv_are_handed_over(own):
    for form in ("html", "latex", "xml", ""):
        assert asked(own, f"/bench/{TOWN}/survey.{form}").status_code == 404


# Links


def test_every_link_of_every_view_is_answered(own, monkeypatch):
    """Follow every link once, another setting or row of the same view counted as the same; then those to charts."""
    monkeypatch.setattr("freqplan.charts.drawing.find_spec", lambda _: None)
    few = pack(Bench(PANTRY, FEW))
    waiting, seen = [f"/bench/{few}/survey", "/start"], set()
    while waiting:
        at = waiting.pop()
        kind = re.sub(r"dial=[^&]+|kind=[^&]+|row=[^&]+", "", at.replace(few, ""))
        if kind in seen:
            continue
        seen.add(kind)
        answer = asked(own, at)
        assert answer.status_code in (200, 303), at
        if answer.mimetype == "text/html" and "attachment" not in answer.headers.get(
            "Content-Disposition", ""
        ):
            found, ids = links(answer)
            assert len(ids) == len(set(ids)), at
            waiting += [joined(at, address) for tag, address in found if tag != "form"]
    labels = {view.path for view in VIEWS if view.label}
    assert labels <= {path.rpartition("/")[2].partition("?")[0] for path in seen}
    assert len(seen) > 30
    monkeypatch.undo()
    at = f"/bench/{few}/survey"
    charts = {joined(at, address) for _, address in links(asked(own, at))[0] if "chart/" in address}
    assert len(charts) >= 4
    assert {asked(own, chart).status_code for chart in charts} == {200}


def joined(at, address):
    return urljoin(HOME + at, address).removeprefix(HOME).partition("#")[0]


# Names


@pytest.mark.parametrize(
    "view", ["set", "survey", "channel?dial=98.5", "compare", "table/ghosts", "table/products"]
)
@pytest.mark.parametrize("plan", [FM, UNKNOWN_SIDE, PANTRY])
def test_hostile_names_only_ever_show_as_text(own, plan, view):
    answer = asked(own, f"/bench/{evil(plan)}/{view}")
    page = answer.get_data(as_text=True)
    assert answer.status_code == 200
    assert page.count("<script") == 1
    assert page.count("<img src=x") == 0
    assert page.count("<b>") == 0
    assert page.count("</title>") == 1
    for tag, address in links(answer)[0]:
        assert not address.startswith(("javascript", "data", "//", "http")), (tag, address)


def test_hostile_queries_only_ever_show_as_text(own):
    evil = '"><script>alert(1)</script>'
    for view, name in (
        ("survey", "intermediate"),
        ("channel", "dial"),
        ("compare", "intermediate"),
        ("survey", "region"),
    ):
        page = of(own, view, **{name: evil}).get_data(as_text=True)
        assert page.count("<script") == 1
    for view in (f"table/{evil}", f"start?kind={evil}", evil):
        assert asked(own, f"/bench/{TOWN}/{view}").get_data(as_text=True).count("<script") == 1


def test_a_file_name_in_a_header_stays_one_line(own):
    answer = asked(own, f"/bench/{TOWN}/survey.csv?table=ghosts%0d%0aX-Evil:1")
    assert answer.status_code == 422
    assert "X-Evil" not in answer.headers


# Why a row is there


@pytest.mark.parametrize(
    ("kind", "query"),
    [
        ("survey", {"table": "check_list", "row": "4"}),
        ("survey", {"table": "ghosts", "row": "2"}),
        ("survey", {"table": "if_pairs", "row": "1"}),
        ("survey", {"table": "oscillators", "row": "1"}),
        ("channel", {"table": "responses", "row": "1", "dial": "94.1 MHz"}),
        ("channel", {"table": "products", "row": "2", "dial": "94.1 MHz"}),
    ],
)
def test_a_row_tells_why_it_is_there(own, plan, town, surveyed, kind, query):
    result = surveyed if kind == "survey" else freqplan.channel(plan, 94_100_000, town)
    lesson = freqplan.explain(result, query["row"], query["table"])
    answer = of(own, f"why/{kind}", **query)
    said = words(answer)
    for row in lesson.steps.rows():
        for text in (row["says"], row["formula_text"], row["numbers"]):
            assert text is None or " ".join(text.split()) in said
    pictures = [address for tag, address in links(answer)[0] if tag == "img"]
    for address in pictures:
        assert asked(own, urljoin(answer.request.url, address)).mimetype == "image/svg+xml"
    assert bool(pictures) == (query["table"] != "oscillators")


def test_every_row_shown_leads_to_its_own_sum(own, surveyed):
    found = [
        address for _, address in links(of(own, "channel", dial="94.1 MHz"))[0] if "why/channel" in address
    ]
    assert len(found) == len(set(found)) >= 30
    assert "why/channel?table=responses&row=7&dial=94.1+MHz" in found
    page = of(own, "survey").get_data(as_text=True)
    numbers = re.findall(r"why/survey\?table=birdies&amp;row=(\d+)", page)
    assert [int(number) - 1 for number in numbers] == surveyed.first_places("birdies", 25).tolist()


@pytest.mark.parametrize(
    "query", [{"row": "0"}, {"row": "9999"}, {"row": "<script>"}, {"table": "towns", "row": "1"}, {}]
)
def test_a_row_that_there_is_not_is_refused_plainly(own, query):
    answer = of(own, "why/survey", **query)
    assert answer.status_code == 422
    assert "<script>" not in answer.get_data(as_text=True)
