"""The rows of a list: whatever people really keep is read exactly, every fault is told with its place."""

from __future__ import annotations

import csv
import io
import math
import time

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from freqplan.csvfile import LARGEST_LIST
from freqplan.errors import StationsError
from freqplan.stations import StationList, frequency_name, load_stations

HEADER = "name,frequency_mhz,level_dbuv,erp_kw,distance_km\n"


def read(text: str | bytes) -> StationList:
    return load_stations(io.StringIO(text, newline="") if isinstance(text, str) else io.BytesIO(text))


def faults(text: str | bytes) -> list[tuple[int | None, str, str]]:
    with pytest.raises(StationsError) as caught:
        read(text)
    return [(fault.line, fault.key, fault.found) for fault in caught.value.faults]


def message(text: str | bytes) -> str:
    with pytest.raises(StationsError) as caught:
        read(text)
    return str(caught.value)


# --- what is read -------------------------------------------------------------------------------


def test_a_plain_list_is_read_exactly():
    stations = read(HEADER + "Alpha,98.1,54,,\nBeta,101.25,,0.5,12\n")
    assert len(stations) == 2
    assert stations.names == ("Alpha", "Beta")
    assert stations.frequency_hz.tolist() == [98_100_000, 101_250_000]
    assert stations.frequency_hz.dtype == np.int64
    assert stations.level_dbuv[0] == 54
    assert math.isnan(stations.level_dbuv[1])
    assert (stations.erp_kw[1], stations.distance_km[1]) == (0.5, 12)
    assert stations.remarks == ()


def test_every_channel_of_the_fm_band_is_exact():
    # In floats 98.1 * 1e6 and its like miss; the text is the truth.
    channels = range(87_500_000, 108_000_001, 50_000)
    text = "name,frequency_mhz\n" + "".join(f"s,{hz // 10**6}.{hz % 10**6:06}\n" for hz in channels)
    assert read(text).frequency_hz.tolist() == list(channels)


texts = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"), max_size=20)
rows = st.lists(st.tuples(texts, st.integers(1, 300 * 10**9)), unique=True, max_size=8)


@given(rows, st.sampled_from([",", ";", "\t"]), st.sampled_from(["\n", "\r\n", "\r"]))
def test_whatever_is_written_comes_back_unchanged(rows, delimiter, end):
    file = io.StringIO(newline="")
    writer = csv.writer(file, delimiter=delimiter, lineterminator=end, quoting=csv.QUOTE_ALL)
    writer.writerows([["name", "frequency"], *([name, f"{hz} Hz"] for name, hz in rows)])
    stations = read(file.getvalue())
    assert stations.frequency_hz.tolist() == [hz for _, hz in rows]
    wanted = [name if name.strip() else frequency_name(hz) for name, hz in rows]
    assert list(stations.names) == wanted
    again = read(file.getvalue().encode("utf-8-sig"))
    assert again.names == stations.names


@pytest.mark.parametrize(
    "name",
    ["NA", "007", "=cmd", "a|b<c&d", "nan", "None", " spaced ", "it's", "רדיו", "1e5", "Trieste, Uno", '"Q"'],
)
def test_names_that_look_like_something_else_are_kept(name):
    quoted = '"' + name.replace('"', '""') + '"'
    assert read(f"name,frequency_mhz\n{quoted},98.1\n").names == (name,)


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_the_delimiter_is_found_from_the_header(delimiter):
    text = delimiter.join(["Notes", " NAME ", "Frequency_MHz"]) + "\n" + delimiter.join(["x", "A", "98.1"])
    stations = read(text)
    assert (stations.names, stations.frequency_hz.tolist()) == (("A",), [98_100_000])


def test_blank_lines_and_rows_of_delimiters_are_passed_over_and_lines_still_count():
    text = "\n\nname;frequency_mhz\r\n\r\n;;\r\nA;98.1\r\n\r\nB;bad\r\n"
    assert faults(text) == [(8, "frequency_mhz", "bad")]


def test_a_quoted_name_over_two_lines_does_not_shift_the_line_numbers():
    assert faults('name,frequency_mhz\n"two\nlines",98.1\nB,bad\n') == [(4, "frequency_mhz", "bad")]


def test_latin_1_is_read_with_a_remark():
    stations = read("name;frequency_mhz\nÖrtlich Süd;98.1\n".encode("latin-1"))
    assert stations.names == ("Örtlich Süd",)
    assert "Latin-1" in stations.remarks[0]


def test_the_frequency_column_takes_units_and_remarks_bare_numbers_once():
    stations = read("name,frequency\nA,98.1\nB,531 kHz\nC,10.7 Mc/s\nD,100\n")
    assert stations.frequency_hz.tolist() == [98_100_000, 531_000, 10_700_000, 100_000_000]
    assert stations.remarks == ("frequencies without a unit taken as MHz: line 2, 5",)


def test_a_missing_name_becomes_the_frequency():
    text = "name,frequency_mhz\n,101.2\n  ,0.531\n,101.25\n"
    assert read(text).names == ("101.2 MHz", "531 kHz", "101.25 MHz")


def test_a_list_of_frequencies_alone_is_enough():
    stations = read("frequency_mhz\n98.1\n99.2\n")
    assert stations.names == ("98.1 MHz", "99.2 MHz")
    assert "no column name" in stations.remarks[0]


def test_several_stations_may_share_a_channel():
    assert read("name,frequency_mhz\nA,98.1\nB,98.1\n").names == ("A", "B")


def test_a_row_repeated_in_everything_is_left_out_with_its_lines():
    stations = read(HEADER + "A,98.1,54,,\nB,99,,,\nA,98.10,54.0 dBuV,,\nA,98.1,60,,\n")
    assert stations.names == ("A", "B", "A")
    assert stations.remarks == ("repeated rows left out: line 4 (as 2)",)


@pytest.mark.parametrize(
    "text", ["54", "54.0", "54 dBuV", "54dBµV", "+54 dBμV", " 54 dbuv ", "54 dB(µV)", "54 dB(uV)"]
)
def test_levels_are_read_with_and_without_the_unit(text):
    assert read(f"name,frequency_mhz,level_dbuv\nA,98.1,{text}\n").level_dbuv[0] == 54


@pytest.mark.parametrize("text", ["", "-", "?", "unknown", " "])
def test_an_unknown_level_is_nan(text):
    assert math.isnan(read(f"name,frequency_mhz,level_dbuv\nA,98.1,{text}\n").level_dbuv[0])


def test_power_without_distance_leaves_the_level_unknown_with_a_remark():
    stations = read(HEADER + "A,98.1,,5,\nB,99,,,7\nC,100,50,5,\nD,101,,,\nE,102,,5,7\n")
    assert stations.remarks == (
        "level unknown, because only one of erp_kw and distance_km is given: line 2, 3",
    )


def test_unknown_columns_are_ignored_with_one_remark_that_names_the_likely_one():
    stations = read("name,frequency_mhz,level_dbv,,owner\nA,98.1,54,,x\n")
    assert stations.remarks == ('columns ignored: "level_dbv" (meant to be level_dbuv?), "owner"',)
    assert math.isnan(stations.level_dbuv[0])


@pytest.mark.parametrize(
    ("column", "meant"), [("level", "level_dbuv"), ("ERP", "erp_kw"), ("distance", "distance_km")]
)
def test_a_column_named_without_its_unit_is_ignored_and_the_name_with_it_told(column, meant):
    stations = read(f"name,frequency_mhz,{column}\nA,98.1,54\n")
    assert stations.remarks == (f'columns ignored: "{column}" (meant to be {meant}?)',)


def test_short_rows_leave_the_rest_unknown():
    assert len(read(HEADER + "A,98.1\n")) == 1


def test_a_header_alone_is_an_empty_list():
    stations = read(HEADER)
    assert len(stations) == 0
    assert stations.remarks == ("the list holds no stations",)


# --- what is refused ----------------------------------------------------------------------------


@pytest.mark.parametrize("delimiter", [";", "\t"])
def test_a_decimal_comma_is_never_read_as_a_larger_number(delimiter):
    text = message(f"name{delimiter}frequency_mhz{delimiter}level_dbuv\nA{delimiter}98,5{delimiter}54,5\n")
    assert "decimal comma" in text.splitlines()[0]
    assert '"98.5 MHz"' in text.splitlines()[0]
    assert "decimal comma" in text.splitlines()[1]
    assert '"54.5"' in text.splitlines()[1]


def test_a_decimal_comma_between_commas_is_seen_as_a_field_too_many():
    assert "decimal comma" in message("name,frequency_mhz\nA,98,5\n")
    assert "decimal comma" in message("frequency_mhz\n98,5\n")


def test_every_fault_is_told_at_once_with_line_and_column():
    text = HEADER + "A,0,54,,\nB,,loud,,\nC,98.1,nan,0,-3\nD,98.1234567,54 dBuV/m,,\nE,300001,,1e3,inf\n"
    assert faults(text) == [
        (2, "frequency_mhz", "0"),
        (3, "frequency_mhz", ""),
        (3, "level_dbuv", "loud"),
        (4, "level_dbuv", "nan"),
        (4, "erp_kw", "0"),
        (4, "distance_km", "-3"),
        (5, "frequency_mhz", "98.1234567"),
        (5, "level_dbuv", "54 dBuV/m"),
        (6, "frequency_mhz", "300001"),
        (6, "erp_kw", "1e3"),
        (6, "distance_km", "inf"),
    ]


@pytest.mark.parametrize(
    "text", ["-98.1", "98.1.2", "1e2", "٩٨", "98.1 mhz", "abc", "0x10", "9" * 400, "98.1 98.2"]
)
def test_frequencies_that_are_none(text):
    assert [(line, key) for line, key, _ in faults(f"name,frequency_mhz\nA,{text}\n")] == [
        (2, "frequency_mhz")
    ]


def test_a_header_without_known_columns_says_what_is_needed_and_found():
    text = message("Radio A;98.1\nRadio B;99.2\n")
    assert "frequency_mhz" in text
    assert "Radio A, 98.1" in text


def test_a_misspelt_frequency_column_is_named():
    text = message("name,freqency_mhz\nA,98.1\n")
    assert "no frequency column" in text
    assert '"freqency_mhz" (meant to be frequency_mhz?)' in text


@pytest.mark.parametrize(
    "header", ["name,frequency_mhz,Frequency_MHz", "name,frequency_mhz,frequency", "name,name,frequency"]
)
def test_a_column_given_twice_is_refused(header):
    assert len(faults(header + "\nA,98.1,98.1\n")) == 1


def test_an_open_quotation_mark_does_not_swallow_the_rest():
    text = 'name,frequency_mhz\n"A,98.1\nB,99\nC,100\n'
    assert [line for line, _, _ in faults(text)] == [2]
    assert "quotation mark" in message(text)


def test_a_field_without_end_is_refused():
    assert [line for line, _, _ in faults(f"name,frequency_mhz\n{'x' * 200_000},98.1\n")] == [2]


@pytest.mark.parametrize(
    "data", [b"", b"\n\n", b"\xef\xbb\xbf", b"PK\x03\x04\x00\x00", "name".encode("utf-16")]
)
def test_files_that_are_no_list(data):
    assert len(faults(data)) == 1


def test_a_list_larger_than_5_mb_is_refused():
    assert "5 MB" in message(b"name,frequency_mhz\n" + b"\n" * LARGEST_LIST)


def test_a_list_just_below_the_limit_is_read_in_time():
    row = "Station number one of many,98.1,54,,\n"
    count = (LARGEST_LIST - len(HEADER)) // (len(row) + 6)
    text = HEADER + "".join(f"{index:06}{row}" for index in range(count))
    start = time.process_time()
    assert len(read(text)) == count
    assert time.process_time() - start < 20
