"""Lists of dial readings: what people write down is read exactly, every fault is told with its place."""

from __future__ import annotations

import csv
import io

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from freqplan.csvfile import LARGEST_LIST
from freqplan.errors import ReadingsError
from freqplan.readings import Readings, load_readings


def read(text: str | bytes) -> Readings:
    return load_readings(io.StringIO(text, newline="") if isinstance(text, str) else io.BytesIO(text))


def faults(text: str | bytes) -> list[tuple[int | None, str, str]]:
    with pytest.raises(ReadingsError) as caught:
        read(text)
    return [(fault.line, fault.key, fault.found) for fault in caught.value.faults]


def message(text: str | bytes) -> str:
    with pytest.raises(ReadingsError) as caught:
        read(text)
    return str(caught.value)


def pairs(readings: Readings) -> list[tuple[int, int]]:
    return list(zip(readings.reads_hz.tolist(), readings.is_hz.tolist(), strict=True))


# --- what is read -------------------------------------------------------------------------------


def test_a_plain_list_is_read_exactly():
    readings = read("reads_mhz,is_mhz\n88.7,100.2\n101.6,90.45\n")
    assert pairs(readings) == [(88_700_000, 100_200_000), (101_600_000, 90_450_000)]
    assert readings.reads_hz.dtype == readings.is_hz.dtype == np.int64
    assert (readings.remarks, readings.stations, readings.lines) == ((), ("", ""), (2, 3))


frequencies = st.integers(1, 300 * 10**9)
names = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"), max_size=20)


@given(
    st.lists(st.tuples(frequencies, frequencies, names), min_size=1, max_size=50),
    st.sampled_from([",", ";", "\t"]),
    st.sampled_from(["\n", "\r\n", "\r"]),
    st.permutations([0, 1, 2]),
)
def test_whatever_is_written_comes_back_unchanged(rows, delimiter, end, order):
    file = io.StringIO(newline="")
    writer = csv.writer(file, delimiter=delimiter, lineterminator=end, quoting=csv.QUOTE_ALL)
    for row in [["reads", "is", "station"], *([f"{a} Hz", f"{b} Hz", name] for a, b, name in rows)]:
        writer.writerow([row[place] for place in order])
    readings = read(file.getvalue())
    assert pairs(readings) == [(a, b) for a, b, _ in rows]
    assert list(readings.stations) == [name for _, _, name in rows]
    assert pairs(read(file.getvalue().encode("utf-8-sig"))) == pairs(readings)


@pytest.mark.parametrize(
    ("header", "row"),
    [
        ("reads_khz,is_khz", "540,566"),
        ("READS_KHZ , Is_kHz", "540, 566"),
        ("reads_khz,is_mhz", "540,0.566"),
        ("reads,is", "540 kHz,0.566 MHz"),
        ("reads_mhz,is", "540 kHz,566 kc/s"),
    ],
)
def test_bare_numbers_are_in_the_unit_of_their_column(header, row):
    assert pairs(read(f"{header}\n{row}\n")) == [(540_000, 566_000)]


def test_readings_that_repeat_or_contradict_each_other_are_kept():
    text = "reads_mhz,is_mhz\n88.7,100.2\n88.7,100.2\n88.7,78.8\n101.6,100.2\n"
    assert len(read(text)) == 4


def test_stations_are_named_and_other_columns_ignored_with_a_remark():
    readings = read("Station;reads_mhz;is_mhz;mood\nFeldùna;88.7;88.7;good\n".encode("latin-1"))
    assert readings.stations == ("Feldùna",)
    assert readings.remarks == (
        "not UTF-8, read as Latin-1: check the accents in the names",
        'columns ignored: "mood"',
    )


# --- what is refused ----------------------------------------------------------------------------


def test_every_fault_is_told_at_once_with_line_and_column():
    text = "reads_mhz;is_mhz\n88,7;\n\n;ninety\n0;98.1 mhz\n98.1;98.1;1\n-5;98.12345678\n"
    assert faults(text) == [
        (2, "reads_mhz", "88,7"),
        (2, "is_mhz", ""),
        (4, "reads_mhz", ""),
        (4, "is_mhz", "ninety"),
        (5, "reads_mhz", "0"),
        (5, "is_mhz", "98.1 mhz"),
        (6, "", "1"),
        (7, "reads_mhz", "-5"),
        (7, "is_mhz", "98.12345678"),
    ]
    assert 'decimal comma, found 88,7; write "88.7 MHz" with a point' in message(text)


def test_a_bare_number_needs_a_column_with_a_unit():
    assert 'line 2, reads: unit missing, found 88.7; write "88.7 MHz" or "88.7 kHz"' in message(
        "reads,is\n88.7,88.7 MHz\n"
    )


@pytest.mark.parametrize(
    ("header", "parts"),
    [
        ("reads_mhz", ["no column is_mhz or is_khz", "found reads_mhz"]),
        ("is_mhz,station", ["no column reads_mhz"]),
        ("station", ["no column reads_mhz", "no column is_mhz"]),
        ("88.7,100.2", ["no known column", "88.7, 100.2"]),
        ("readsmhz,is_mhz", ["no column reads_mhz", '"readsmhz" (meant to be reads_mhz?)']),
        ("reads_mhz,reads_khz,is_mhz", ["reads_mhz and reads_khz both given"]),
        ("reads_mhz,is_mhz,is_mhz", ["column given twice"]),
    ],
)
def test_a_header_that_lacks_something(header, parts):
    text = message(f"{header}\n1,2,3\n")
    for part in parts:
        assert part in text


@pytest.mark.parametrize(
    "data",
    [b"", b"\n\n", b"\xef\xbb\xbf", b"PK\x03\x04\x00\x00", b"reads_mhz,is_mhz\n", b"x" * (LARGEST_LIST + 1)],
)
def test_files_that_hold_no_readings(data):
    assert len(faults(data)) == 1


def test_more_readings_than_anybody_writes_down_are_refused():
    rows = "88.7,88.7\n" * 50
    assert len(read("reads_mhz,is_mhz\n" + rows)) == 50
    assert "51 readings, more than 50" in message("reads_mhz,is_mhz\n" + rows + "88.7,88.7\n")


def test_an_open_quotation_mark_does_not_swallow_the_rest():
    assert [line for line, _, _ in faults('reads_mhz,is_mhz,station\n88.7,88.7,"A\n90,90,B\n')] == [2]


@pytest.mark.parametrize("place", ["absent.csv", "."])
def test_places_that_are_no_file(place, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    with pytest.raises(ReadingsError, match="folder"):
        load_readings(place)


# --- from Python --------------------------------------------------------------------------------


def test_pairs_make_readings_that_nobody_can_change():
    reads = np.array([88_700_000])
    readings = Readings(reads, np.array([90_700_000]))
    reads[0] = 1
    assert (
        pairs(readings)
        == pairs(Readings.from_pairs([(88_700_000, 90_700_000)]))
        == [(88_700_000, 90_700_000)]
    )
    with pytest.raises(ValueError, match="read-only"):
        readings.is_hz[0] = 1


@pytest.mark.parametrize("value", [88.7, 88_700_000.0, True, 0, -1, 300 * 10**9 + 1, "88.7", None])
def test_only_whole_hertz_are_frequencies(value):
    with pytest.raises(ReadingsError, match=r"reads_hz\[1\]"):
        Readings.from_pairs([(1, 1), (value, 1)])
    with pytest.raises(ReadingsError, match=r"is_hz\[0\]"):
        Readings.from_pairs([(1, value)])


def test_lengths_must_agree_and_be_of_a_list():
    with pytest.raises(ReadingsError, match="2 dial settings for 1 stations"):
        Readings(np.array([1, 2]), np.array([1]))
    for pairs_given in ([], [(1, 1)] * 51):
        with pytest.raises(ReadingsError, match="give 1 to 50"):
            Readings.from_pairs(pairs_given)
