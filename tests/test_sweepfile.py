"""Measured responses in CSV: read as instruments and people write them, and every fault told with its place."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from sweepfiles import MHZ, faults, read

from freqplan.sweepfile import LARGEST_SWEEP
from freqplan.sweeps import MOST_FAULTS


@pytest.mark.parametrize(
    ("column", "cells"),
    [
        ("frequency_mhz", ("98", "98.5", "99.25")),
        ("Frequency (MHz)", ("98.0", "9.85E+01", "99.25 MHz")),
        ("frequency_khz", ("98000", "98500", "9.925e4")),
        ("frequency_hz", ("9.8E+07", "98500000.0", "99250000")),
        ("frequency_hz", ("97999999.6", "98500000.4", "99.25 MHz")),
        ("frequency", ("98 MHz", "98500 kHz", "99250000 Hz")),
        ("frequency", ("98", "98.5", "99.25")),
    ],
)
def test_every_way_to_write_frequencies(column, cells):
    sweep = read(f"{column},loss_db\n" + "".join(f"{cell},{i}\n" for i, cell in enumerate(cells)))
    assert sweep.frequency_hz.tolist() == [98_000_000, 98_500_000, 99_250_000]
    assert sweep.frequency_hz.dtype == np.int64
    assert sweep.loss_db.tolist() == [0, 1, 2]
    bare = column == "frequency" and cells[0] == "98"
    assert sweep.remarks == (("frequencies without a unit taken as MHz",) if bare else ())


@pytest.mark.parametrize(
    ("column", "cells"),
    [
        ("gain_db", ("-3", "-1 dB", "-21.5")),
        ("S21_dB", ("17", "19", "-1.5")),
        ("S21 [dB]", ("1.7E+01", "1.9e1", "-.15e1")),
        ("loss_db", ("3", "1", "21.5dB")),
        ("attenuation_db", ("-17", "-19", "+1.5")),
    ],
)
def test_every_name_of_a_level(column, cells):
    rows = "".join(f"{98 + i},{cell}\n" for i, cell in enumerate(cells))
    sweep = read(f"frequency_mhz,{column}\n{rows}")
    assert sweep.loss_db.tolist() == [2, 0, 20.5]
    assert sweep.remarks == ()


@pytest.mark.parametrize(
    ("levels", "losses", "taken"),
    [
        ((0.5, 0, 20), [0.5, 0, 20], "loss"),
        ((2.9, 3, 20), [0, 0.1, 17.1], "loss"),
        ((3, 20, 4), [17, 0, 16], "gain"),
        ((-3, -1, -20), [2, 0, 19], "gain"),
        ((10, -1, 0), [0, 11, 10], "gain"),
    ],
)
@pytest.mark.parametrize("header", ["", "frequency_mhz,db\n"])
def test_a_level_without_a_name_is_taken_by_its_sign_and_remarked(header, levels, losses, taken):
    sweep = read(header + "".join(f"{98 + i},{level}\n" for i, level in enumerate(levels)))
    assert sweep.loss_db == pytest.approx(losses)
    other = {"loss": "gain_db", "gain": "loss_db"}[taken]
    assert f"levels taken as {taken}; name the column {other} if " in " ".join(sweep.remarks)
    assert ("frequencies without a unit taken as MHz" in sweep.remarks) == (header == "")


def test_losses_that_are_all_negative_are_remarked():
    remarks = read("frequency_mhz,loss_db\n98,-3\n99,-1\n100,-30\n").remarks
    assert remarks == ("every loss_db is negative; name the column gain_db if less is weaker",)


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
@pytest.mark.parametrize("new_line", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
def test_delimiters_line_ends_remarks_and_blank_lines(delimiter, new_line, mark):
    rows = [
        "! analyser, 2 W",
        "# made in spring",
        "",
        '"frequency_mhz"|gain_db',
        "98 | -1|",
        "",
        "99|-2",
        "! end",
        "100|-3",
        "||",
    ]
    sweep = read(mark + new_line.join(rows).replace("|", delimiter) + new_line)
    assert sweep.frequency_hz.tolist() == [98 * MHZ, 99 * MHZ, 100 * MHZ]
    assert sweep.loss_db.tolist() == [0, 1, 2]


def test_latin_1_is_read():
    assert len(read("# Messung für Spule\n98,0\n99,1\n100,2\n".encode("latin-1")).frequency_hz) == 3


def test_rows_are_sorted_and_repeated_ones_left_out():
    sweep = read("frequency_mhz,gain_db\n100,-3\n98,-1\n99,-2\n98,-1\n")
    assert sweep.frequency_hz.tolist() == [98 * MHZ, 99 * MHZ, 100 * MHZ]
    assert sweep.remarks == ("repeated points left out: 1",)


@given(
    st.dictionaries(st.integers(1, 10**9), st.integers(-9999, 9999), min_size=3, max_size=20),
    st.sampled_from(",;\t"),
    st.sampled_from(["gain_db", "loss_db"]),
    st.data(),
)
def test_what_is_written_is_read_back(points, delimiter, column, data):
    rows = [f"frequency{delimiter}{column}"]
    for hertz, hundredths in points.items():
        written = data.draw(
            st.sampled_from([f"{hertz} Hz", f"{hertz}E+00 Hz", f"{hertz // 1000}.{hertz % 1000:03d} kHz"])
        )
        rows.append(f"{written}{delimiter}{hundredths / 100}")
    sweep = read("\n".join(rows))
    assert sweep.frequency_hz.tolist() == sorted(points)
    sign = -1 if column == "gain_db" else 1
    losses = np.array([sign * points[hertz] / 100 for hertz in sorted(points)])
    assert sweep.loss_db == pytest.approx(losses - losses.min(), abs=1e-9)
    assert sweep.loss_db.min() == 0


# --- bad input ---

GOOD = "98,0\n99,1\n100,2\n"


@pytest.mark.parametrize(
    ("content", "line", "found", "what", "hint"),
    [
        ("", None, "", "the file is empty", "save the sweep again"),
        (" \n\t\n", None, "", "the file is empty", "save the sweep again"),
        ("# only remarks\n", None, "", "no points", "frequency_mhz,gain_db"),
        ("frequency_mhz,gain_db\n", None, "", "no points", "frequency_mhz,gain_db"),
        ("98,0\n99,1\n98,0\n", None, "2", "a sweep needs at least 3 points", "measure more"),
        (GOOD + "101,5,3\n", 4, "101, 5, 3", "more than two fields", "decimal comma"),
        ("98,5,-3,2\n", 1, "98, 5, -3, 2", "more than two fields", "decimal comma"),
        ("98;0\n98,5;1\n99;2\n", 2, "98,5", "decimal comma", '"98.5 MHz" with a point'),
        ("98;0\n98.5;-1,5 dB\n99;2\n", 2, "-1,5 dB", "decimal comma", '"-1.5" with a point'),
        (GOOD + "abc,1\n", 4, "abc", "not a frequency", "10.7 MHz"),
        (GOOD + "9 8,1\n", 4, "9 8", "not a frequency", "10.7 MHz"),
        (GOOD + "98 mhz,1\n", 4, "98 mhz", 'unknown unit "mhz"', "98 MHz"),
        (GOOD + "101,x\n", 4, "x", "not a number", "-3.2"),
        (GOOD + "101,3 V\n", 4, "3 V", "not a number", "-3.2"),
        (GOOD + "101,1_0\n", 4, "1_0", "not a number", "-3.2"),
        (GOOD + "101,\n", 4, "", "no level", "delete the row"),
        (GOOD + ",3\n", 4, "", "empty", "10.7 MHz"),
        (GOOD + "101,nan\n", 4, "nan", "not a finite number", "ordinary number"),
        (GOOD + "101,-INF\n", 4, "-INF", "not a finite number", "ordinary number"),
        ("nan,1\n" + GOOD, 1, "nan", "not a finite number", "ordinary number"),
        (GOOD + "-98,1\n", 4, "-98", "not above zero", "98.5"),
        (GOOD + "0,1\n", 4, "0", "not above zero", "98.5"),
        (GOOD + "1e-9,1\n", 4, "1e-9", "less than one hertz", "unit"),
        (GOOD + "98000000,1\n", 4, "98000000", "above 300 GHz", "frequency_hz"),
        ("frequency_mhz,db\n98000000,1\n" + GOOD, 2, "98000000", "above 300 GHz", "check the unit"),
        (GOOD + "1e999,1\n", 4, "1e999", "above 300 GHz", "frequency_hz"),
        (GOOD + "1e999999999,1\n", 4, "1e999999999", "not a frequency", "10.7 MHz"),
        (GOOD + "101,301\n", 4, "301 dB", "beyond 300 dB", "check the number"),
        (GOOD + "101,-1e999\n", 4, "inf dB", "beyond 300 dB", "check the number"),
        (GOOD + "99,1.5\n", 4, "99 MHz", "the frequency of line 2 with another level", "keep one"),
        (
            "frequency_mhz,gian_db\n" + GOOD,
            1,
            "gian_db",
            "unknown column",
            '"gian_db" is meant to be gain_db?',
        ),
        ("gain_db,frequency_mhz\n" + GOOD, 1, "gain_db", "unknown column", "the first column"),
        ("frequency_mhz\n" + GOOD, 1, "", "no second column", "the second gain_db"),
        ("f,gain_db,phase\n" + GOOD, 1, "f, gain_db, phase", "more than two columns", "keep the frequency"),
        ("98," + "1" * 200_000, 1, "", "cannot be split into fields", "rows of a frequency"),
        ("98,0\n\0\n", None, "", "not a text file", "CSV"),
        (GOOD.encode("utf-16"), None, "", "not a text file", "UTF-8"),
        ("98,0\n" * (LARGEST_SWEEP // 5 + 1), None, "", "larger than 5 MB", "fewer points"),
    ],
)
def test_bad_csv_is_told_with_its_place_and_how_to_mend_it(content, line, found, what, hint):
    fault = next(fault for fault in faults(content) if what in fault.what)
    assert (fault.line, fault.found) == (line, found)
    assert hint in fault.hint
    assert fault.source.endswith("front_end.csv")


def test_all_faults_are_told_at_once_in_the_order_of_the_file():
    told = faults("frequency_mhz;loss_db\n98;0\n98;1\nx;y\n99,5;nan\n")
    assert [(fault.line, fault.key) for fault in told] == [
        (3, ""), (4, "frequency_mhz"), (4, "loss_db"), (5, "frequency_mhz"), (5, "loss_db"),
    ]  # fmt: skip
    assert str(told[1]).count("line 4, frequency_mhz: not a frequency, found x; write") == 1


def test_of_very_many_faults_the_first_are_told_and_the_rest_counted():
    told = faults("98;x\n" * 1000)
    assert len(told) == MOST_FAULTS + 1
    assert told[-1].what == f"{1000 - MOST_FAULTS} more faults"


def test_ten_megabytes_are_refused_unread():
    assert [fault.what for fault in faults(b"98,0\n" * 2_000_000)] == ["larger than 5 MB"]
