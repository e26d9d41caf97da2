"""What people who import the package rely on: results, data frames, display, and errors that teach."""

import dataclasses
import inspect
import re

import pandas as pd
import pytest

import freqplan
from freqplan import Band, Conversion, FreqplanError, ModelRangeError, Orders, Plan, StationList

PLAN = Plan(
    title="<Pantry>",
    band=Band(low_hz=87_500_000, high_hz=108_000_000),
    conversion=(Conversion(intermediate_hz=10_700_000, oscillator="high"),),
)
STATIONS = StationList.from_frequencies(
    [101_200_000, 96_300_000, 119_400_000], ["High & Moor", "Mill", "Approach"]
)
SHEET = freqplan.exercise(PLAN, level=3, count=12)
RESULTS = {
    "exercise": SHEET,
    "marking": SHEET.marked(freqplan.Answers.of({"1a": "<b>"}, "High & Moor")),
    "survey": freqplan.survey(PLAN, STATIONS),
    "survey without stations": freqplan.survey(PLAN),
    "channel": freqplan.channel(PLAN, 98_000_000, STATIONS),
    "compare": freqplan.compare(PLAN, [8_300_000]),
    "if-ranges": freqplan.if_ranges(PLAN, 5_000_000, 30_000_000),
    "sweep": freqplan.sweep(PLAN, intermediates_hz=[10_650_000], towns={"<Fens>": STATIONS}, draws=2),
    "dial": freqplan.dial(
        PLAN,
        freqplan.Readings.from_pairs([(hz, hz + 2_000_000) for hz in (88_700_000, 96_000_000, 104_000_000)]),
    ),
}
every_result = pytest.mark.parametrize("result", RESULTS.values(), ids=RESULTS)


@every_result
def test_each_table_becomes_a_data_frame_with_the_keys_of_the_json(result):
    whole = result.to_dict()
    for name in result.names:
        frame = result.to_dataframe(name)
        assert isinstance(frame, pd.DataFrame)
        assert list(frame.columns) == list(result.table(name).columns)
        assert len(frame) == len(whole[name])


def test_frequencies_of_a_data_frame_are_hertz_and_unknown_is_missing():
    frame = RESULTS["survey"].to_dataframe("responses").set_index("mechanism")
    assert frame.loc["image", "low_hz"] == 108_900_000
    assert pd.isna(frame.loc["image", "dial_low_hz"])
    assert frame["m"].dtype == "Int64"


def test_the_first_table_is_the_one_most_wanted():
    assert RESULTS["survey"].to_dataframe().equals(RESULTS["survey"].to_dataframe("check_list"))


@every_result
def test_a_notebook_shows_names_escaped_and_at_most_twenty_rows_a_table(result):
    page = result._repr_html_()
    assert "&lt;Pantry&gt;" in page
    assert "<Pantry>" not in page
    assert "High & Moor" not in page
    for table in page.split("<tbody>")[1:]:
        assert table.split("</tbody>")[0].count("<tr>") <= 20


def test_a_table_alone_has_a_display_too():
    assert "if-harmonic" in RESULTS["survey"].birdies._repr_html_()


@every_result
def test_results_are_frozen(result):
    with pytest.raises(dataclasses.FrozenInstanceError):
        result.plan = PLAN
    with pytest.raises(ValueError, match="read-only"):
        RESULTS["survey"].responses.hertz("low_hz").num[0] = 1


def test_an_unknown_table_is_answered_with_those_there_are():
    with pytest.raises(
        FreqplanError,
        match="there are: check_list, oscillators, birdies, ghosts, products, if_pairs, neighbours, responses",
    ):
        RESULTS["survey"].to_dataframe("ghost")
    with pytest.raises(FreqplanError, match="there are: check_list, oscillators, birdies, responses"):
        RESULTS["survey without stations"].table("ghosts")


def test_channels_hit_are_given_by_name_only():
    result = RESULTS["survey"]
    assert "channel_hits" not in result.to_dict()
    hits = result.table("channel_hits")
    assert (98_000_000, "Approach", "image") in {
        (row["channel_hz"], row["station"], row["mechanism"]) for row in hits.rows()
    }
    assert list(hits.hertz("channel_hz").num) == sorted(hits.hertz("channel_hz").num)


def test_channels_hit_need_stations():
    with pytest.raises(ModelRangeError, match="station list"):
        RESULTS["survey without stations"].table("channel_hits")


def test_a_raster_too_fine_to_be_listed_is_refused():
    fine = Plan(
        band=Band(low_hz=87_500_000, high_hz=108_000_000, raster_hz=1),
        conversion=PLAN.conversion,
        orders=Orders(signal=1, oscillator=1),
    )
    near_the_if = StationList.from_frequencies([10_700_000])
    with pytest.raises(ModelRangeError, match="wider raster"):
        freqplan.survey(fine, near_the_if).table("channel_hits")


@pytest.mark.parametrize("dial", [87_499_999, 108_000_001, 98])
def test_a_dial_setting_off_the_band_is_refused(dial):
    with pytest.raises(ModelRangeError, match=r"lies off the band 87\.50-108\.00 MHz"):
        freqplan.channel(PLAN, dial)


def test_a_dial_setting_is_whole_hertz():
    assert freqplan.channel(PLAN, 98e6).dial_hz == 98_000_000
    with pytest.raises(ModelRangeError, match="no whole number of hertz"):
        freqplan.channel(PLAN, 98_000_000.5)


def test_a_list_without_a_station_in_the_band_is_remarked():
    in_khz = StationList.from_frequencies([98_000, 101_200])
    assert any("check the unit" in text for text in freqplan.survey(PLAN, in_khz).assumptions)
    assert not any("check the unit" in text for text in RESULTS["survey"].assumptions)


def test_more_ghosts_than_anybody_reads_are_refused():
    crowd = StationList.from_frequencies(range(60_000_000, 130_000_000, 5_000))
    wide = Plan(band=PLAN.band, conversion=PLAN.conversion, orders=Orders(signal=25, oscillator=25))
    with pytest.raises(ModelRangeError, match="shorten the station list or lower the orders"):
        freqplan.survey(wide, crowd).ghosts  # noqa: B018


def test_frequencies_given_to_the_functions_are_whole_hertz():
    for wrong in (8.3, "8.3 MHz", float("nan")):
        with pytest.raises(ModelRangeError, match="no whole number of hertz"):
            freqplan.compare(PLAN, [wrong])
        with pytest.raises(ModelRangeError, match="no whole number of hertz"):
            freqplan.channel(PLAN, wrong)


def test_an_unknown_form_or_limit_is_answered_with_what_there_is():
    with pytest.raises(FreqplanError, match="there are: table, markdown, csv, json, html, latex"):
        freqplan.render(RESULTS["survey"], "pdf")
    with pytest.raises(FreqplanError, match="give 1 or more"):
        freqplan.render(RESULTS["survey"], limit=0)


FUNCTIONS = [name for name in freqplan.__all__ if inspect.isfunction(getattr(freqplan, name))]


@pytest.mark.parametrize("name", FUNCTIONS)
def test_every_function_says_what_it_takes_and_in_which_unit(name):
    function = getattr(freqplan, name)
    text, taken = inspect.getdoc(function), list(inspect.signature(function).parameters)
    if len(taken) > 1:
        assert re.search(r"^Parameters\n-+$", text, re.MULTILINE)
        assert re.search(r"^(Returns|Yields)\n-+$", text, re.MULTILINE)
    for one in taken if len(taken) > 1 else ():
        (line,) = re.findall(rf"^[\w, ]*\b{one}\b[\w, ]* : .+$", text, re.MULTILINE)
        for ending, unit in (("_hz", "[Hz]"), ("_db", "[dB]"), ("_dbuv", "[dB(uV)]"), ("_us", "[us]")):
            assert unit in line or not one.endswith(ending)
