"""Bad input about levels: one clear line for each fault, exit code 2, no file left; and what is good stays good."""

from __future__ import annotations

import csv
import io
import json
import math

import pytest
from commandline import FM, call, refused, write_inputs

from freqplan import StationList, load_stations
from freqplan.errors import PlanError, StationsError
from freqplan.mechanisms import several_signals
from freqplan.plan import FrontEnd, IfFilter, Mixer, RfStage, Suppression

COMMANDS = [("survey", "p.toml"), ("channel", "p.toml", "98 MHz"), ("circuits", "p.toml")]
FORMATS = ("table", "markdown", "csv", "json", "html", "latex")
TENTH_DB = 0.1
LOADED_Q = 45


def circuit_db(hertz_ratio):
    """Loss of one tuned circuit."""
    return 10 * math.log10(1 + (LOADED_Q * (hertz_ratio - 1 / hertz_ratio)) ** 2)


GAINS_DB = [(mhz / 2, -circuit_db(mhz / 196)) for mhz in range(80, 301)]
SWEEP = "frequency_mhz,gain_db\n" + "".join(f"{mhz},{gain:.3f}\n" for mhz, gain in GAINS_DB)
ROWS = "".join(f"{mhz} -9 0 {gain:.3f} 0 {gain:.3f} 0 -9 0\n" for mhz, gain in GAINS_DB)
TOUCHSTONE = f"! bench\n# MHz S DB R 50\n{ROWS}"
CIRCUITS = f"circuits_before_mixer = 1\nloaded_q = {LOADED_Q}\n"
FRONT_END_LINE = FM.count("\n") + 3
"""Line of the first key of a [front_end] appended to the plan after a blank line."""


@pytest.fixture(autouse=True)
def folder(tmp_path, monkeypatch):
    """A folder with plans, a station list and measured responses good and bad, from which commands are run."""
    write_inputs(tmp_path)
    files = {
        "front_end.csv": SWEEP, "empty.csv": "", "two.csv": "".join(SWEEP.splitlines(keepends=True)[:3]),
        "good.s2p": TOUCHSTONE, "comma.s2p": TOUCHSTONE.replace("\n98.0 -9 0 -0.000", "\n98.0 -9 0 -0,500"),
        "comma.csv": SWEEP.replace("\n40.0,", "\n40,0,"), "semicolon.csv": "frequency_mhz;gain_db\n90;-20\n98;0,5\n",
    }  # fmt: skip
    for name, text in files.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    (tmp_path / "sub").mkdir()
    monkeypatch.chdir(tmp_path)
    return tmp_path


def refused_in_one_line(folder, words, *parts):
    """Assert a refusal in a single line that holds `parts`, and that no file was left."""
    before = sorted(folder.rglob("*"))
    answer = call(*words, "-o", "answer.txt")
    refused(answer, "freqplan: ", *parts)
    assert answer.err.count("\n") == 1
    assert sorted(folder.rglob("*")) == before


def plan_with(folder, keys, table="front_end"):
    (folder / "p.toml").write_text(f"{FM}\n[{table}]\n{keys}\n", encoding="utf-8")


def list_with(folder, columns, *rows):
    (folder / "it.csv").write_text("\n".join([f"name;frequency_mhz;{columns}", *rows, ""]), encoding="utf-8")


# Station lists


@pytest.mark.parametrize(
    ("column", "cell", "what", "hint"),
    [
        ("level_dbuv", "loud", "not a number", "such as 54"),
        ("level_dbuv", "-54 dBm", 'unknown unit "dBm"', 'in 75 ohm that is "54.8"'),
        ("level_dbuv", "54,5", "decimal comma", 'write "54.5" with a point'),
        ("level_dbuv", "1e3", "found 1e3", "such as 54"),
        ("level_dbuv", "nan", "not a number, found nan", "leave it empty where unknown"),
        ("distance_km", "-3", "must be above 0", "write the number of km"),
        ("distance_km", "0", "must be above 0", "write the number of km"),
        ("erp_kw", "-1", "must be above 0", "write the number of kW"),
        ("erp_kw", "0", "must be above 0", "write the number of kW"),
    ],
)
@pytest.mark.parametrize("command", COMMANDS)
def test_a_cell_of_a_station_list(folder, command, column, cell, what, hint):
    plan_with(folder, CIRCUITS)
    list_with(folder, column, "A;90.5;", f"B;101.2;{cell}")
    refused_in_one_line(folder, (*command, "--stations", "it.csv"), f"it.csv, line 3, {column}: ", what, hint)


def test_a_decimal_comma_between_commas_is_told_with_its_line(folder):
    (folder / "it.csv").write_text("name,frequency_mhz,level_dbuv\nA,101.2,54,5\n", encoding="utf-8")
    words = ("survey", "fm.toml", "--stations", "it.csv")
    refused_in_one_line(folder, words, "it.csv, line 2: ", "a decimal comma", "with a point")


def test_every_bad_level_is_told_on_a_line_of_its_own(folder):
    rows = ("A;90.5;loud;0;-1", "B;95.0;54;1;2", "C;96.0;54 dBm;;")
    list_with(folder, "level_dbuv;erp_kw;distance_km", *rows)
    refused(answer := call("survey", "fm.toml", "--stations", "it.csv"))
    faulty = ["line 2, level_dbuv", "line 2, erp_kw", "line 2, distance_km", "line 4, level_dbuv"]
    assert [line.split(": ")[1] for line in answer.err.splitlines()] == [f"it.csv, {at}" for at in faulty]


@pytest.mark.parametrize("cell", ["54 dBuV", "54", "54.0", "+54", " 54  dBµV "])
def test_a_level_with_and_without_its_unit(folder, cell):
    list_with(folder, "level_dbuv", f"A;101.2;{cell}")
    assert load_stations("it.csv").level_dbuv.tolist() == [54.0]
    assert call("survey", "fm.toml", "--stations", "it.csv").err == ""


def test_a_list_of_power_and_distance_alone(folder):
    list_with(folder, "erp_kw;distance_km", "A;101.2;1;10")
    plan_with(folder, CIRCUITS)
    stations = load_stations("it.csv")
    # 1 kW at 1 km gives 106.9 dB(uV/m) in free space; a matched dipole hands over its field times wavelength/(2 pi).
    by_hand = 106.9 - 20 + 20 * math.log10(299.792458 / 101.2 / (2 * math.pi)) + 10 * math.log10(75 / 73)
    assert math.isnan(stations.level_dbuv[0])
    assert stations.terminal_dbuv(75.0)[0] == pytest.approx(by_hand, abs=TENTH_DB)
    answer = call("channel", "p.toml", "101.2 MHz", "--stations", "it.csv", "--format", "json")
    assert (answer.code, answer.err) == (0, "")
    assert json.loads(answer.out)["wanted_dbuv"] == pytest.approx(by_hand, abs=TENTH_DB)


# Plans


@pytest.mark.parametrize(
    ("keys", "parts"),
    [
        ("floor = 80", ["floor: unit missing", '"80 dB"']), ('floor = "0 dB"', ["floor: not above 0"]),
        ('gain = "20"', ["gain: unit missing", '"20 dB"']), ('gain = "20 dBm"', ["where dB is needed", '"20 dB"']),
        ('wanted = "54 dB"', ["where dBuV is needed", '"54 dBuV"']), ("wanted = 54", ["unit missing", '"54 dBuV"']),
        ('impedance = "0 ohm"', ["not above 0"]), ('impedance = "75"', ["impedance: unit missing", '"75 ohm"']),
        ('sensitivity = "4,5 dBuV"', ["front_end.sensitivity: decimal comma", '"4.5 dBuV"']),
        ('response = ""', ["front_end.response: no file name", '"front_end.csv"']),
        (f'response = "good.s2p"\n{CIRCUITS}', ["front_end.response: given together with tuned circuits", "keep"]),
    ],
)  # fmt: skip
@pytest.mark.parametrize("command", ["survey", "circuits", "whistle"])
def test_a_key_of_the_front_end(folder, command, keys, parts):
    plan_with(folder, keys)
    place = f"p.toml, line {FRONT_END_LINE}, front_end.{keys.split()[0]}: "
    refused_in_one_line(folder, (command, "p.toml"), place, *parts)


@pytest.mark.parametrize("skirts", ["180 kHz", "150 kHz"])
def test_skirts_no_wider_than_the_bandwidth(folder, skirts):
    plan_with(folder, f'bandwidth_20db = "{skirts}"\nbandwidth = "180 kHz"', table="if_filter")
    place = f"p.toml, line {FRONT_END_LINE}, if_filter.bandwidth_20db: no wider"
    refused_in_one_line(folder, ("survey", "p.toml"), place, "between the -20 dB points")


@pytest.mark.parametrize(
    ("name", "parts"),
    [
        ("sub/none.csv", ["sub/none.csv: there is no such file", "check the name"]),
        ("empty.csv", ["empty.csv: the file is empty", "save the sweep again"]),
        ("sub", ["sub: this is a folder", "name the file inside it"]),
        ("two.csv", ["two.csv: a sweep needs at least 3 points, found 2", "measure more"]),
        ("comma.s2p", ["comma.s2p, line 119: decimal comma, found -0,500", "with a point"]),
        ("comma.csv", ["comma.csv, line 2: ", "a decimal comma?", "with a point"]),
        ("semicolon.csv", ["semicolon.csv, line 3, gain_db: decimal comma", 'write "0.5" with a point']),
        ("town.csv", ["town.csv, line 1: more than two columns"]),
    ],
)
@pytest.mark.parametrize("command", COMMANDS)
def test_a_response_that_cannot_be_used(folder, command, name, parts):
    plan_with(folder, f'response = "{name}"')
    refused_in_one_line(folder, command, *parts)


@pytest.mark.parametrize("name", ["front_end.csv", "good.s2p"])
def test_a_response_is_looked_for_beside_the_plan(folder, monkeypatch, name):
    plan_with(folder, f'response = "{name}"')
    at_home = call("survey", "p.toml", "--format", "json")
    assert (at_home.code, at_home.err) == (0, "")
    monkeypatch.chdir(folder / "sub")
    for path in ("../p.toml", str(folder / "p.toml")):
        away = call("survey", path, "--format", "json")
        assert (away.code, away.err) == (0, "")
        assert json.loads(away.out)["responses"] == json.loads(at_home.out)["responses"]
    here = json.loads(call("channel", "../p.toml", "98 MHz", "--format", "json").out)["responses"]
    (image,) = [row for row in here if row["mechanism"] == "image"]
    assert image["rejection_db"] == pytest.approx(circuit_db(119.4 / 98), abs=TENTH_DB)


# Options


@pytest.mark.parametrize(
    ("options", "parts"),
    [
        (["--pad", "10"], ["--pad '10': unit missing", '"10 dB"']),
        (["--pad", "-3 dB"], ["--pad '-3 dB': must be above 0"]), (["--pad", "0 dB"], ["above 0", '"10 dB"']),
        (["--pad", "10,5 dB"], ["--pad '10,5 dB': decimal comma", '"10.5 dB"']),
        (["--pad", "201 dB"], ["--pad '201 dB'", "at most 200 dB"]), (["--pad", ""], ["--pad ''", '"50 dB"']),
        (["--notch", "101.2 MHz"], ["--notch '101.2 MHz': frequency and depth", '"101.2 MHz,30 dB"']),
        (["--notch", "101.2,30"], ["--notch '101.2': unit missing", '"101.2 MHz"']),
        (["--notch", "101.2 MHz,30"], ["--notch '30': unit missing", '"30 dB"']),
        (["--notch", "0 MHz,30 dB"], ["--notch '0 MHz,30 dB': zero is not a frequency"]),
        (["--notch", "101.2 MHz,30 dB,5"], ["--notch '101.2 MHz,30 dB': "]),
        (["--notch", "101.2 MHz,-30 dB"], ["--notch", "must be above 0"]), (["--notch", ""], ["--notch ''"]),
        (["--notch", "101.2 MHz,30 dB", "--notch", "102 MHz"], ["--notch '102 MHz': frequency and depth"]),
    ],
)  # fmt: skip
@pytest.mark.parametrize("command", [("survey", "fm.toml"), ("channel", "fm.toml", "98.1 MHz")])
def test_a_pad_or_notch_that_cannot_be_used(folder, command, options, parts):
    refused_in_one_line(folder, (*command, "--stations", "town.csv", *options), *parts)


@pytest.mark.parametrize(
    ("words", "part"),
    [
        (("survey", "fm.toml", "--pad", "10 dB"), "--pad and --notch need --stations"),
        (("channel", "fm.toml", "98.1", "--notch", "101.2 MHz,30 dB"), "--pad and --notch need --stations"),
        (("circuits", "fm.toml", "--against", "Mill Lane"), "--against needs --stations"),
    ],
)
def test_options_that_need_a_station_list(folder, words, part):
    refused(call(*words, "-o", "answer.txt"), "Usage: freqplan", part)
    assert not (folder / "answer.txt").exists()


@pytest.mark.parametrize(
    ("words", "parts"),
    [
        (("circuits", "fm.toml", "--stations", "town.csv", "--against", "Hill"), ['called "Hill"', "as in the list"]),
        (("circuits", "fm.toml", "--reject", "0 dB"), ["--reject '0 dB': must be above 0", '"10 dB"']),
        (("whistle", "fm.toml", "--ratio", "3 dB"), ["ratio 3 dB: give less than 0", "the weaker carrier"]),
        (("whistle", "fm.toml", "--pitch", "20 kHz"), ["pitch 20 kHz", "less than 15 kHz"]),
    ],
)  # fmt: skip
def test_an_answer_that_cannot_be_asked_for(folder, words, parts):
    refused_in_one_line(folder, words, *parts)


@pytest.mark.parametrize("form", FORMATS)
@pytest.mark.parametrize("command", [("survey", "p.toml"), ("channel", "p.toml", "95.9 MHz")])
def test_pad_and_notch_together_in_every_format(folder, command, form):
    plan_with(folder, CIRCUITS + 'gain = "20 dB"')
    tried = ("--pad", "10 dB", "--notch", "101.2 MHz,30 dB", "--notch", "119.4 MHz,20 dB")
    answer = call(*command, "--stations", "town.csv", *tried, "--format", form)
    assert (answer.code, answer.err) == (0, "")
    assert answer.out.endswith("\n")
    assert "High Moor" in answer.out or form == "csv"
    if form == "csv":
        assert len({len(row) for row in csv.reader(io.StringIO(answer.out))}) == 1
    if form == "json":
        check_changes(json.loads(answer.out, parse_constant=pytest.fail))


def check_changes(result):
    """Assert the level law: a product falls m dB for each dB its station loses, the wanted one what it loses."""
    lost = {"Lower Fen": 10, "Mill Lane": 10, "High Moor": 40, "Approach": 30}
    table = result["changes"] if result["command"] == "survey" else result["responses"]
    sums = {one.id for one in several_signals.FAMILY.mechanisms}
    rows = [row for row in table if row["change_db"] is not None and row["mechanism"] not in sums]
    assert {row["mechanism"] for row in rows} >= {"half-if"}
    for row in rows:
        who = row["wanted"] if "wanted" in row else (result["wanted"] or [None])[0]
        sources = [row["station"]] if "station" in row else row["stations"]
        # An IF harmonic has no source in the list: only the station on which it is heard gets weaker.
        falls = {row["m"] * lost[name] if name else 0 for name in sources}
        assert lost.get(who, 0) - row["change_db"] in falls


# From Python


@pytest.mark.parametrize("level", ["54", "54 dBuV", True, math.inf, [54.0]])
def test_a_level_that_is_no_number(level):
    with pytest.raises(StationsError, match=r"level_dbuv\[1\]: not a level"):
        StationList.from_frequencies([90_500_000, 101_200_000], level_dbuv=[None, level])


def test_a_level_too_few():
    with pytest.raises(StationsError, match="one value for each name"):
        StationList.from_frequencies([90_500_000, 101_200_000], level_dbuv=[54.0])


@pytest.mark.parametrize(
    ("make", "key"),
    [
        (lambda: FrontEnd(floor_db="80 dB"), "floor_db"), (lambda: FrontEnd(gain_db=math.nan), "gain_db"),
        (lambda: FrontEnd(wanted_dbuv=True), "wanted_dbuv"), (lambda: FrontEnd(impedance_ohm=0), "impedance_ohm"),
        (lambda: RfStage(iip3_dbm="5 dBm"), "iip3_dbm"), (lambda: Mixer(reference_dbm=math.inf), "reference_dbm"),
        (lambda: Suppression(m=2, n=2, db="loud"), "db"), (lambda: FrontEnd(floor="80 dB"), "floor"),
        (lambda: IfFilter(bandwidth_hz="180 kHz"), "bandwidth_hz"),
    ],
)  # fmt: skip
def test_a_level_of_a_plan_that_is_no_number(make, key):
    with pytest.raises(PlanError) as caught:
        make()
    (fault,) = caught.value.faults
    assert fault.key == key
    assert fault.hint
