"""What readings of the dial tell: worked cases, laws, the next test, and the command as its user runs it."""

from __future__ import annotations

import csv
import io
import json
from fractions import Fraction

import numpy as np
import pytest
from commandline import AM, FM, call, process, refused
from dial_model import ERROR_HZ, Faulty, plan_of, readings
from hypothesis import assume, given
from hypothesis import strategies as st

from freqplan import Band, Conversion, ModelRangeError, Plan, Readings, ReadingsError, dial
from freqplan.alignment import MOST_TAU
from freqplan.services import safety_ranges_hz

KHZ, MHZ = 10**3, 10**6
SPREAD = (88.7, 92.0, 96.0, 100.0, 104.0, 107.0)


def rows(result):
    return list(result.explanations.rows())


def kinds(result, verdict="fits"):
    return [row["kind"] for row in rows(result) if row["verdict"] == verdict]


def row_of(result, kind):
    return next(row for row in rows(result) if row["kind"] == kind)


def shifted(by, settings=SPREAD):
    return readings(*((at, at + by) for at in settings))


# --- worked cases -------------------------------------------------------------------------------


SWAPPED = readings((88.7, 100.2), (92.0, 103.1), (101.6, 90.4), (107.0, 95.2))
"""An oscillator 10 % low on a high-side set for 87.5-108 MHz with an IF of 10.7: 0.9 x 99.4 = 89.46 receives 100.16
above itself, 0.9 x 112.3 = 101.07 receives 90.37 below itself. From the equation, read to 0.1 MHz."""


def test_an_oscillator_ten_per_cent_low_swaps_the_halves_of_the_dial():
    result = dial(plan_of(), SWAPPED)
    first = rows(result)[0]
    assert (first["kind"], first["unit"], first["oscillator"]) == ("oscillator-scaled", "ratio", "high")
    assert first["value"] == pytest.approx(0.9, abs=5e-4)
    assert first["residual_hz"] < 50 * KHZ
    assert not result.undecided
    assert result.next_test is None
    assert [row["oscillator"] for row in result.readings.rows()] == ["low", "low", "high", "high"]
    ((low, high),) = result.unreachable
    assert float(low) == pytest.approx(96.13e6, abs=30 * KHZ)
    assert float(high) == pytest.approx(99.08e6, abs=30 * KHZ)
    sentence = (
        "At 88.7 the oscillator should be on 99.40 and is on 89.46: 10.0 % low, capacitance 23 % too high"
    )
    assert any(line.startswith(sentence) for line in result.headlines)


def test_with_a_ratio_of_exactly_nine_tenths_the_missing_part_is_exact():
    exact = Faulty(q=0.9)
    image = Faulty(q=0.9, image=True)
    pairs = [*zip((88.7e6, 92e6), image.plays_hz(np.array([88.7e6, 92e6])), strict=True),
             *zip((101.6e6, 107e6), exact.plays_hz(np.array([101.6e6, 107e6])), strict=True)]  # fmt: skip
    result = dial(plan_of(), Readings.from_pairs([(round(a), round(b)) for a, b in pairs]))
    assert rows(result)[0]["value"] == 0.9
    # 0.9 (108 + 10.7) - 10.7 and 0.9 (87.5 + 10.7) + 10.7
    assert result.unreachable == ((96_130_000, 99_080_000),)
    assert [tuple(row.values()) for row in result.received.rows()] == [
        (87_500_000, 96_130_000, Fraction(885_700_000, 9), 108_000_000, "high"),
        (99_080_000, 108_000_000, 87_500_000, Fraction(876_700_000, 9), "low"),
    ]


@pytest.mark.parametrize("by", [2.0, -2.0])
def test_a_constant_shift_is_imitated_by_coil_and_trimmer_to_a_hundredth_of_a_megahertz(by):
    result = dial(plan_of(), shifted(by))
    assert [row["kind"] for row in rows(result)[:2]] == ["pointer", "coil"]
    pointer, coil = rows(result)[:2]
    assert (pointer["value"], pointer["unit"], pointer["residual_hz"]) == (-by * MHZ, "hz", 0)
    assert coil["residual_hz"] < 13 * KHZ
    assert result.undecided
    # Both have the oscillator on the same frequencies, so only the pointer itself can tell.
    test = result.next_test.to_dict()
    assert "end stop" in test["what"]
    assert test["separates"] == ["pointer", "coil"]
    assert test["predicted"] == {
        "pointer": "pointer 2.00 MHz beside the end mark",
        "coil": "pointer on the end mark",
    }


def test_an_if_two_megahertz_off_is_ruled_out_with_the_reason():
    row = row_of(dial(plan_of(), shifted(2.0)), "if-off-centre")
    assert row["verdict"] == "ruled-out"
    assert "300 kHz" in row["advice"]


@pytest.mark.parametrize(
    ("side", "real_khz"), [("high", 10_500), ("low", 10_900)]
)  # fmt: skip
def test_a_small_shift_may_be_the_if_and_the_oscillator_itself_tells(side, real_khz):
    # PHYSICS of the case: reads - is = s (real - nominal); every reading 0.2 MHz low.
    result = dial(plan_of(side=side), shifted(0.2))
    assert kinds(result)[:2] == ["pointer", "if-off-centre"]
    assert row_of(result, "if-off-centre")["value"] == real_khz * KHZ
    # Where a second radio for 87.5-108 MHz hears it.
    should, at = (99.4, "88.7") if side == "high" else (89.3, "100.0")
    assert result.next_test.predicted == (
        f"oscillator on {should + 0.2:.2f} with the dial at {at}",
        f"oscillator on {should:.2f} with the dial at {at}",
    )


def test_in_a_sum_converter_the_if_works_the_other_way():
    plan = Plan(
        band=Band(low_hz=2 * MHZ, high_hz=10 * MHZ),
        conversion=(Conversion(intermediate_hz=45 * MHZ, oscillator="sum"),),
    )
    pairs = [(at * MHZ, at * MHZ + 8 * KHZ) for at in (2, 4, 7, 10)]
    result = dial(plan, Readings.from_pairs(pairs), reading_error_hz=1000)
    row = row_of(result, "if-off-centre")
    assert (row["value"], row["residual_hz"]) == (45_008_000, 0)
    assert "wrong-side" not in [row["kind"] for row in rows(result)]


WRONG_SIDE = [(at, round(0.8 * (at + 10.7) + 10.7, 1)) for at in SPREAD]


def test_the_wrong_side_fits_with_one_ratio_and_is_imitated_by_coil_and_trimmer():
    result = dial(plan_of(), readings(*WRONG_SIDE))
    first = rows(result)[0]
    assert (first["kind"], first["unit"], first["verdict"]) == ("wrong-side", "ratio", "fits")
    assert first["value"] == pytest.approx(0.8, abs=1e-3)
    assert {row["oscillator"] for row in result.readings.rows()} == {"low"}
    assert row_of(result, "oscillator-scaled")["residual_hz"] > MHZ
    assert kinds(result)[1:] == ["trimmer"]
    assert result.undecided
    test = result.next_test
    assert "second radio" in test.what
    assert "half an IF" in test.what
    numbers = [float(text.split()[2]) for text in test.predicted]
    assert abs(numbers[0] - numbers[1]) == pytest.approx(2 * 10.7, abs=0.1)


@pytest.mark.parametrize(
    ("q", "kind", "value", "unit"),
    [(0.99, "coil", 2.03, "percent"), (1.015, "coil", -2.935, "percent"),
     (0.96, "oscillator-scaled", 0.96, "ratio"), (1.05, "oscillator-scaled", 1.05, "ratio")],
)  # fmt: skip
def test_one_ratio_is_a_matter_of_the_core_or_of_a_wrong_part_by_its_size(q, kind, value, unit):
    # Percent is 1/q^2 - 1.
    result = dial(plan_of("am"), Faulty("am", q=q).readings(np.linspace(540e3, 1580e3, 5)))
    first = rows(result)[0]
    assert (first["kind"], first["unit"]) == (kind, unit)
    assert first["value"] == pytest.approx(value, abs=0.02 if unit == "percent" else 1e-5)
    assert not result.undecided


def test_a_trimmer_puts_the_high_end_wrong():
    result = dial(plan_of("am"), Faulty("am", tau=0.05).readings(np.linspace(540e3, 1580e3, 5)))
    first = rows(result)[0]
    assert (first["kind"], first["unit"]) == ("trimmer", "percent")
    assert first["value"] == pytest.approx(5.0, abs=0.02)
    assert "trimmer out" in first["advice"]
    assert not result.undecided


def test_a_dial_that_is_right_is_told_so_and_does_not_tell_the_side():
    for side in ("high", "low", "unknown"):
        result = dial(plan_of(side=side), readings((88.7, 88.7), (92, 92.1), (98, 97.9), (107, 107)))
        assert kinds(result) == ["no-fault"]
        assert not result.undecided
        assert result.unreachable == ()
        assert "side" in rows(result)[0]["advice"]


def test_with_the_side_unknown_every_side_is_tried_and_named():
    result = dial(plan_of(side="unknown"), Faulty(side="low", q=0.93).readings(np.array(SPREAD) * MHZ))
    first = rows(result)[0]
    assert (first["kind"], first["oscillator"], first["value"]) == ("oscillator-scaled", "low", 0.93)
    assert {row["oscillator"] for row in rows(result)} == {"high", "low", "either"}
    assert {row["kind"] for row in rows(result) if row["oscillator"] == "either"} == {"no-fault", "pointer"}
    assert any(line.startswith("If the scale is made for the oscillator low: ") for line in result.headlines)


# --- what cannot be told ------------------------------------------------------------------------


@pytest.mark.parametrize(
    "given_pairs", [[(88.7, 90.6)], [(88.7, 90.6), (92.0, 93.9)], [(98, 98)], [(88.7, 90.6)] * 5]
)
def test_one_or_two_settings_cannot_tell_and_a_far_one_is_asked_for(given_pairs):
    result = dial(plan_of(), readings(*given_pairs))
    assert result.undecided
    assert result.unreachable is None
    assert "3 settings" in result.reason
    assert "Take one more reading" in result.next_test.what
    asked = float(result.next_test.what.split("dial at ")[1].split()[0])
    assert min(abs(asked - reads) for reads, _ in given_pairs) > 7


def test_a_wrong_reading_is_named_and_asked_for_again():
    result = dial(plan_of(), readings((88.7, 88.7), (92, 92.1), (95, 98.1), (98, 98), (107, 106.9)))
    assert kinds(result) == []
    assert result.undecided
    assert "the reading at 95.0 is wrong, for no-fault explains the others" in result.reason
    assert (
        "Take this reading again: find the station that plays with the dial at 95.0" in result.next_test.what
    )
    assert result.next_test.predicted[0] == "95.00 plays with the dial at 95.0"


def test_a_wrong_reading_of_a_sum_converter_is_named_too():
    plan = Plan(
        band=Band(low_hz=2 * MHZ, high_hz=10 * MHZ),
        conversion=(Conversion(intermediate_hz=45 * MHZ, oscillator="sum"),),
    )
    pairs = [(at * MHZ, at * MHZ + (at == 4) * MHZ) for at in (2, 3, 4, 5, 7, 9, 10)]
    result = dial(plan, Readings.from_pairs(pairs))
    assert "the reading at 4000 is wrong" in result.reason


def test_readings_that_nothing_explains_leave_it_open():
    result = dial(plan_of(), readings((88, 95), (92, 90), (96, 104), (101, 93), (106, 99)))
    assert kinds(result) == []
    assert "image" in result.reason
    assert result.unreachable is None


def test_readings_a_little_too_rough_say_so():
    result = dial(plan_of(), readings((88.7, 88.9), (92, 91.8), (98, 98.2), (102, 101.8), (107, 107.2)))
    assert "reading error" in result.reason
    assert "no-fault" in kinds(result, "roughly")
    assert not dial(plan_of(), result.readings_given, reading_error_hz=200 * KHZ).undecided


def test_coil_and_trimmer_together_need_four_settings():
    faulty = Faulty("am", q=1.05, tau=0.1)
    three = dial(plan_of("am"), faulty.readings([540e3, 1000e3, 1580e3]))
    assert (kinds(three), three.undecided) == (["coil"], True)
    assert "4 settings" in three.reason
    four = dial(plan_of("am"), faulty.readings([540e3, 900e3, 1200e3, 1580e3]))
    assert (kinds(four), four.undecided) == (["coil"], False)
    assert rows(four)[0]["trimmer_percent"] == pytest.approx(10, abs=0.01)


def test_readings_that_stand_close_together_leave_it_open():
    close = dial(plan_of(), readings((97.5, 97.5), (97.8, 97.8), (98.1, 98.1)))
    assert kinds(close) == ["no-fault", "wrong-side"]
    assert close.undecided
    assert close.next_test.separates == ("no-fault", "wrong-side")


# --- laws ---------------------------------------------------------------------------------------


@st.composite
def faulty_sets(draw, modulations=("fm", "am")):
    """Draw a set with one fault, three to eight settings, and what is read wrongly at each."""
    modulation = draw(st.sampled_from(modulations))
    side = draw(st.sampled_from(["high", "low"])) if modulation == "fm" else "high"
    kind = draw(
        st.sampled_from(
            ["no-fault", "pointer", "if-off-centre", "oscillator-scaled", "trimmer", "wrong-side"]
        )
    )
    error = ERROR_HZ[modulation]
    plan = plan_of(modulation, side)
    band, sign = plan.band, 1 if side == "high" else -1
    own_if = plan.conversion[0].intermediate_hz
    middle = (band.low_hz + band.high_hz) / 2
    changes = {
        "no-fault": {},
        "pointer": {"shift_hz": draw(st.floats(-20, 20)) * error},
        "if-off-centre": {"if_error_hz": draw(st.floats(-1, 1)) * {"fm": 300e3, "am": 10e3}[modulation]},
        "oscillator-scaled": {"q": draw(st.floats(0.9, 1.1))},
        "trimmer": {"tau": draw(st.floats(-0.2, 0.3))},
        "wrong-side": {
            "q": (middle - sign * own_if) / (middle + sign * own_if) * draw(st.floats(0.97, 1.03)),
            "image": True,
        },
    }
    faulty = Faulty(modulation, side, **changes[kind])
    settings = draw(st.lists(st.integers(band.low_hz, band.high_hz), min_size=3, max_size=8, unique=True))
    noise = (
        np.array(draw(st.lists(st.floats(-0.99, 0.99), min_size=len(settings), max_size=len(settings))))
        * error
    )
    heard = faulty.plays_hz(np.array(settings, dtype=float)) + noise
    assume(heard.min() > band.low_hz / 2 and heard.max() < 2 * band.high_hz)
    return kind, faulty, faulty.readings(settings, noise), float(np.sqrt(np.mean(noise**2)))


def counts_as(kind, row):
    return row["kind"] == kind or (row["kind"] == "coil" and kind == "oscillator-scaled")


@given(faulty_sets())
def test_the_true_cause_leaves_no_more_than_the_reading_error(case):
    kind, faulty, given_readings, noise_hz = case
    result = dial(faulty.plan, given_readings)
    first = rows(result)[0]
    # A hundred hertz for what is rounded: whole hertz, six decimals of a ratio.
    assert first["verdict"] == "fits"
    fitting = [row for row in rows(result) if row["verdict"] == "fits"]
    if first["kind"] != "no-fault":
        own = next(row for row in fitting if counts_as(kind, row))
        assert own["residual_hz"] <= noise_hz + 100


@given(faulty_sets(), st.integers(2, 5))
def test_order_and_repetition_of_readings_do_not_matter(case, times):
    _, faulty, given_readings, _ = case
    once = dial(faulty.plan, given_readings)
    pairs = list(zip(given_readings.reads_hz.tolist(), given_readings.is_hz.tolist(), strict=True))
    again = dial(faulty.plan, Readings.from_pairs(pairs[::-1] * times))
    assert again.undecided == once.undecided
    for one, other in zip(rows(once), rows(again), strict=True):
        assert one["kind"] == other["kind"]
        assert one["residual_hz"] == pytest.approx(other["residual_hz"], abs=100)


@given(faulty_sets())
def test_what_is_said_hangs_together(case):
    _, faulty, given_readings, _ = case
    result = dial(faulty.plan, given_readings)
    said = result.to_dict()
    error = said["reading_error_hz"]
    fitting = [row for row in said["explanations"] if row["verdict"] == "fits"]
    assert said["explanations"][: len(fitting)] == fitting
    assert all(row["residual_hz"] <= error for row in fitting)
    if len(given_readings) <= 6:
        assert len(fitting) == sum(row["residual_hz"] <= error for row in said["explanations"])
    assert len({(row["kind"], row["oscillator"]) for row in said["explanations"]}) == len(
        said["explanations"]
    )
    assert (said["reason"] is None) == (not said["undecided"])
    assert (said["next_test"] is None) == (
        not said["undecided"] or "No reading of this dial" in said["reason"]
    )
    if said["next_test"]:
        separates = said["next_test"]["separates"]
        assert len(set(separates)) == 2
        assert list(said["next_test"]["predicted"]) == separates
        assert len(set(said["next_test"]["predicted"].values())) == 2
        assert separates[0] == said["explanations"][0]["kind"]
    left = np.array([row["error_hz"] for row in said["readings"]])
    assert np.sqrt(np.mean(left**2.0)) == pytest.approx(
        said["explanations"][0]["residual_hz"], abs=error / 50
    )


@given(faulty_sets(modulations=("fm",)))
def test_nobody_is_sent_to_listen_where_lives_depend_on_it_if_there_is_another_place(case):
    _, faulty, given_readings, _ = case
    test = dial(faulty.plan, given_readings).next_test
    if test is not None and test.predicted[0].startswith("oscillator on"):
        for text in test.predicted:
            place = float(text.split()[2]) * MHZ
            assert not any(low < place < high for low, high in safety_ranges_hz())


@given(st.floats(0.85, 1.15), st.floats(-0.3, 0.5), st.integers(87_500_000, 108_000_000))
def test_the_oscillator_of_an_explanation_is_that_of_the_circuit(q, tau, dial_hz):
    settings = np.linspace(88e6, 107.5e6, 6)
    faulty = Faulty(q=q, tau=tau)
    heard = faulty.plays_hz(settings)
    assume(heard.min() > 44e6 and tau < MOST_TAU)
    first = dial(faulty.plan, faulty.readings(settings), reading_error_hz=2000).found.first
    assert float(first.oscillator_hz(dial_hz)) == pytest.approx(
        float(faulty.oscillator_hz(dial_hz)), abs=20 * KHZ
    )
    assert float(first.dial_hz(first.oscillator_hz(dial_hz))) == pytest.approx(dial_hz, abs=2)


# --- what is refused ----------------------------------------------------------------------------


def test_readings_off_the_scale_are_all_named():
    with pytest.raises(ReadingsError) as caught:
        dial(
            plan_of(),
            Readings.from_pairs([(88_700, 90_600), (98_000_000, 98_000_000), (114_000_000, 9_800_000)]),
        )
    assert [(fault.key, fault.found) for fault in caught.value.faults] == [
        ("reads_hz[0]", "88.7 kHz"), ("is_hz[0]", "90.6 kHz"), ("reads_hz[2]", "114 MHz"), ("is_hz[2]", "9.8 MHz"),
    ]  # fmt: skip


def test_a_reading_where_the_oscillator_would_stand_still_is_refused():
    plan = Plan(
        band=Band(low_hz=31 * MHZ, high_hz=40 * MHZ),
        conversion=(Conversion(intermediate_hz=30 * MHZ, oscillator="low"),),
    )
    with pytest.raises(ReadingsError, match="off the scale"):
        dial(plan, Readings.from_pairs([(30 * MHZ, 31 * MHZ)]))


@pytest.mark.parametrize("error", [0, -1, 0.5, "100 kHz", 10**9])
def test_a_reading_error_that_is_none(error):
    with pytest.raises(ModelRangeError, match="reading error"):
        dial(plan_of(), shifted(1), reading_error_hz=error)


# --- the command --------------------------------------------------------------------------------

LIST = "station,reads_mhz,is_mhz\nLower Fen,88.7,100.2\nMill Lane,92.0,103.1\nHigh Moor,101.6,90.4\n,107.0,95.2\n"


@pytest.fixture
def folder(tmp_path, monkeypatch):
    """A folder with plans and readings, which the commands are run from."""
    files = {
        "fm.toml": FM,
        "am.toml": AM,
        "read.csv": LIST,
        "am.csv": "reads_khz,is_khz\n540,566\n900,930\n1500,1540\n",
    }
    for name, text in files.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_the_screen_begins_with_the_verdict(folder):
    answer = call("dial", "fm.toml", "read.csv")
    assert (answer.code, answer.err) == (0, "")
    lines = answer.out.splitlines()
    assert lines[0] == "Kitchen set: dial"
    assert lines[2] == "4 readings from read.csv, taken as good to 100 kHz"
    assert lines[3].startswith("At 88.7 the oscillator should be on 99.40 and is on 89.46: 10.0 % low")
    for head in (
        "WHAT EXPLAINS THE READINGS",
        "THE READINGS",
        "WHAT IS RECEIVED",
        "CAUTIONS",
        "high voltage",
        "live",
    ):
        assert head in answer.out
    assert max(map(len, lines)) <= 100


def test_the_json_has_the_keys_that_scripts_rely_on(folder):
    said = json.loads(call("dial", "fm.toml", "read.csv", "--format", "json").out)
    assert said["command"] == "dial"
    assert {"kind", "oscillator", "value", "unit", "residual_hz", "advice"} <= set(said["explanations"][0])
    assert said["undecided"] is False
    assert said["next_test"] is None
    assert [[round(hz, -5) for hz in part] for part in said["unreachable"]] == [[96_100_000, 99_100_000]]
    assert [row["plays"] for row in said["readings"]] == ["Lower Fen", "Mill Lane", "High Moor", None]


def test_csv_and_one_table(folder):
    table = list(csv.DictReader(io.StringIO(call("dial", "fm.toml", "read.csv", "--format", "csv").out)))
    assert (table[0]["kind"], table[0]["unit"]) == ("oscillator-scaled", "ratio")
    assert (
        call("dial", "fm.toml", "read.csv", "--table", "received").out.splitlines()[-1].split()[0] == "99.08"
    )


def test_side_if_and_reading_error_are_overridden(folder):
    words = (
        "--oscillator",
        "low",
        "--intermediate",
        "10.67 MHz",
        "--reading-error",
        "0.2 MHz",
        "--format",
        "json",
    )
    said = json.loads(call("dial", "fm.toml", "read.csv", *words).out)
    assert said["plan"]["conversion"][0]["intermediate_hz"] == 10_670_000
    assert {row["oscillator"] for row in said["explanations"]} == {"low"}
    assert said["reading_error_hz"] == 200_000


def test_readings_in_kilohertz_of_a_medium_wave_set(folder):
    answer = call("dial", "am.toml", "am.csv")
    assert answer.code == 0
    assert "taken as good to 2 kHz" in answer.out


def test_plan_or_readings_come_from_standard_input(folder):
    for words, given_text in (((str(folder / "fm.toml"), "-"), LIST), (("-", str(folder / "read.csv")), FM)):
        done = process("dial", *words, stdin=given_text.encode())
        assert done.returncode == 0, done.stderr
        assert b"10.0 % low" in done.stdout
    refused(call("dial", "-", "-"), "PLAN and READINGS cannot both come from standard input")


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("reads_mhz,is_mhz\n88,7;90\n", ["bad.csv, line 2"]),
        ("reads_mhz,is_mhz\nx,90\n98,y\n", ["bad.csv, line 2, reads_mhz", "bad.csv, line 3, is_mhz"]),
        (
            "reads_khz,is_khz\n88.7,90.6\n",
            ["bad.csv, line 2, reads: off the scale", "found 88.7 kHz", "87.50-108.00 MHz"],
        ),
        ("name,frequency_mhz\nA,98.1\n", ["no known column", "reads_mhz and is_mhz"]),
        ("", ["empty"]),
    ],
)
def test_a_list_that_cannot_be_used_leaves_no_file(text, parts, folder):
    (folder / "bad.csv").write_text(text, encoding="utf-8")
    refused(call("dial", "fm.toml", "bad.csv", "-o", "new.txt"), *parts)
    assert not (folder / "new.txt").exists()


@pytest.mark.parametrize(
    ("words", "part"),
    [
        (("fm.toml",), "Missing argument 'READINGS'"),
        (("fm.toml", "none.csv"), "none.csv: there is no such file"),
        (("fm.toml", "read.csv", "--reading-error", "0.1"), "--reading-error '0.1': unit missing"),
        (("fm.toml", "read.csv", "--reading-error", "0 Hz"), "give more than 0"),
        (("fm.toml", "read.csv", "--table", "ghosts"), "there are: explanations, readings, received"),
        (("fm.toml", "read.csv", "-o", "read.csv"), "stays as it is"),
    ],
)
def test_a_command_that_cannot_be_carried_out(words, part, folder):
    refused(call("dial", *words), part)
