"""Station lists of many towns: a folder, or one list with a column that names the town."""

from __future__ import annotations

import pytest
from commandline import DEMO

from freqplan import StationsError, load_stations, load_towns

HEAD = "town,name,frequency_mhz,level_dbuv\n"


def test_one_list_with_a_column_town_is_as_many_lists(tmp_path):
    path = tmp_path / "towns.csv"
    path.write_text(
        HEAD + "Fens,Lower Fen,90.5,60\nHills,High Moor,101.2,80\nFens,Mill Lane,96.3,\n", "utf-8"
    )
    towns = load_towns(path)
    assert list(towns) == ["Fens", "Hills"]
    assert towns["Fens"].names == ("Lower Fen", "Mill Lane")
    assert towns["Fens"].frequency_hz.tolist() == [90_500_000, 96_300_000]
    assert towns["Hills"].level_dbuv.tolist() == [80.0]
    assert towns["Fens"].remarks == ()


def test_a_row_is_repeated_only_within_one_town(tmp_path):
    path = tmp_path / "towns.csv"
    path.write_text(HEAD + "Fens,Both,90.5,60\nHills,Both,90.5,60\nFens,Both,90.5,60\n", "utf-8")
    towns = load_towns(path)
    assert [len(listed) for listed in towns.values()] == [1, 1]
    assert towns["Fens"].remarks == ("repeated rows left out: line 4 (as 2)",)


def test_a_folder_holds_one_list_for_each_town(tmp_path):
    for name, ending in (("hills", "csv"), ("fens", "CSV")):
        (tmp_path / f"{name}.{ending}").write_text(f"name,frequency_mhz\n{name} one,90.5\n", "utf-8")
    (tmp_path / ".fens.csv").write_text("left by an editor", "utf-8")
    (tmp_path / "notes.txt").write_text("not a list", "utf-8")
    towns = load_towns(tmp_path)
    assert list(towns) == ["fens", "hills"]
    assert towns["fens"].names == load_stations(tmp_path / "fens.CSV").names
    assert towns["fens"].remarks == ("files beside it that do not end in .csv are not read: notes.txt",)
    assert towns["hills"].remarks == ()


def faults_of(path):
    with pytest.raises(StationsError) as caught:
        load_towns(path)
    return [str(fault) for fault in caught.value.faults]


def test_every_fault_of_every_list_is_told_at_once(tmp_path):
    (tmp_path / "a.csv").write_text("name,frequency_mhz\nOne,ninety\nTwo,0\n", "utf-8")
    (tmp_path / "b.csv").write_text("name\nThree\n", "utf-8")
    told = faults_of(tmp_path)
    assert [str(tmp_path / name) in text for name, text in zip("aab", told, strict=True)] == [True] * 3
    assert "line 2, frequency_mhz" in told[0]
    assert "line 3, frequency_mhz: zero" in told[1]
    assert "no frequency column" in told[2]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("name,frequency_mhz\nOne,90.5\n", ["no column town"]),
        (HEAD, ["the list holds no towns"]),
        ("", ["the list is empty"]),
        (HEAD + ",One,90.5,60\nFens,Two,x,60\n", ["line 2, town: no town", "line 3, frequency_mhz"]),
    ],
)
def test_a_list_without_towns_says_what_is_missing(tmp_path, text, words):
    path = tmp_path / "towns.csv"
    path.write_text(text, "utf-8")
    told = faults_of(path)
    assert len(told) == len(words)
    for fault, part in zip(told, words, strict=True):
        assert part in fault


def test_a_folder_without_lists_and_no_such_file_are_told(tmp_path):
    assert "no file .csv in this folder" in faults_of(tmp_path)[0]
    assert "there is no such file" in faults_of(tmp_path / "missing.csv")[0]
    assert faults_of("bad\0name")[0].startswith("bad")


def test_the_valley_of_the_demonstration_has_three_towns():
    towns = load_towns(DEMO / "valley.csv")
    assert {name: len(listed) for name, listed in towns.items()} == {
        "Lintrova": 6,
        "Drennalta": 6,
        "Tavelga": 5,
    }
