"""Station lists: from Python, from a path, and the demonstration town."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import pytest

from freqplan.errors import StationsError
from freqplan.planfile import load_plan
from freqplan.stations import StationList, load_stations

DEMO = Path(__file__).parent.parent / "plans_demo"


# --- from Python --------------------------------------------------------------------------------


def test_frequencies_alone_make_a_list():
    stations = StationList.from_frequencies([98_100_000, np.int64(531_000)])
    assert stations.names == ("98.1 MHz", "531 kHz")
    assert np.isnan(stations.level_dbuv).all()
    levels = StationList.from_frequencies(
        [98_100_000, 99_000_000], ["A", "B"], level_dbuv=[54, None]
    ).level_dbuv
    assert levels[0] == 54
    assert np.isnan(levels[1])


@pytest.mark.parametrize("value", [98.1, 98_100_000.0, True, 0, -1, 300 * 10**9 + 1, "98.1", None])
def test_only_whole_hertz_are_frequencies(value):
    with pytest.raises(StationsError, match=r"frequency_hz\[1\]"):
        StationList.from_frequencies([98_100_000, value])


def test_lengths_must_agree():
    with pytest.raises(StationsError, match="1 names"):
        StationList.from_frequencies([98_100_000, 99_000_000], ["A"])


def test_arrays_are_read_only_copies():
    hz = np.array([98_100_000])
    stations = StationList.from_frequencies(hz)
    hz[0] = 1
    assert stations.frequency_hz.tolist() == [98_100_000]
    for column in ("frequency_hz", "level_dbuv", "erp_kw", "distance_km"):
        with pytest.raises(ValueError, match="read-only"):
            getattr(stations, column)[0] = 1


# --- from a path ----------------------------------------------------------------------


def test_places_that_are_no_file_give_a_message(tmp_path):
    for place, words in (
        (tmp_path, "folder"),
        (tmp_path / "absent.csv", "no such file"),
        ("a\0b", "cannot be read"),
    ):
        with pytest.raises(StationsError, match=words):
            load_stations(place)


def test_an_unreadable_file_gives_a_message(monkeypatch):
    # The error is staged, because permissions do not bind every user who runs the tests.
    def refuse(*_args, **_options):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("builtins.open", refuse)
    with pytest.raises(StationsError) as caught:
        load_stations("locked.csv")
    monkeypatch.undo()
    assert "cannot be read (permission denied)" in str(caught.value)


def test_messages_name_the_file(tmp_path):
    path = tmp_path / "list.csv"
    path.write_text("name,frequency_mhz\nA,bad\n", encoding="utf-8")
    with pytest.raises(StationsError, match=r"list\.csv, line 2, frequency_mhz: not a frequency, found bad"):
        load_stations(path)


def test_standard_input_is_read_for_a_dash(monkeypatch):
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO("name;frequency_mhz\nÄ;98.1\n".encode())))
    stations = load_stations("-")
    assert (stations.source, stations.names) == ("<stdin>", ("Ä",))


# --- the demonstration town ---------------------------------------------------------------------


def entries(stations: StationList) -> set[tuple[str, ...]]:
    columns = (stations.frequency_hz, stations.level_dbuv, stations.erp_kw, stations.distance_km)
    return set(zip(stations.names, *(map(str, column.tolist()) for column in columns), strict=True))


def test_the_messy_list_of_the_town_holds_the_same_stations():
    tidy, messy = load_stations(DEMO / "orvessa.csv"), load_stations(DEMO / "orvessa-messy.csv")
    assert len(tidy) == len(messy) == 80
    assert entries(tidy) == entries(messy)
    assert tidy.remarks == ()
    assert [remark.split(":")[0].split(",")[0] for remark in messy.remarks] == [
        "not UTF-8",
        "columns ignored",
        "repeated rows left out",
    ]


def test_the_town_shows_what_its_readme_says():
    stations = load_stations(DEMO / "orvessa.csv")
    at = dict(zip(stations.names, stations.frequency_hz.tolist(), strict=True))
    listed, if_hz = set(at.values()), 10_700_000
    assert {9 * if_hz, 10 * if_hz} <= listed
    assert at["Tower"] - 2 * if_hz in listed
    assert at["Munzerò Studio"] - if_hz // 2 in listed
    assert abs(at["Feldùna Rock"] - if_hz // 2 - 98_000_000) == 50_000
    assert at["Orvessa Alta"] - if_hz == 90_500_000
    assert np.nanargmax(stations.level_dbuv) == stations.names.index("Orvessa Alta")
    assert len(listed) == 79
    assert sum(87_500_000 <= hz <= 108_000_000 for hz in stations.frequency_hz.tolist()) == 60


@pytest.mark.parametrize(
    ("file", "side", "intermediate_hz", "low_hz", "high_hz"),
    [
        ("pantry.toml", "high", 10_700_000, 87_500_000, 108_000_000),
        ("workshop.toml", "low", 10_670_000, 87_500_000, 108_000_000),
        ("attic.toml", "high", 455_000, 526_500, 1_606_500),
        ("balcony.toml", "low", 10_700_000, 118_000_000, 137_000_000),
    ],
)
def test_the_sets_of_the_house_load(file, side, intermediate_hz, low_hz, high_hz):
    plan = load_plan(DEMO / file)
    assert (plan.conversion[0].oscillator, plan.conversion[0].intermediate_hz) == (side, intermediate_hz)
    assert (plan.band.low_hz, plan.band.high_hz) == (low_hz, high_hz)
    assert plan.front_end is not None
