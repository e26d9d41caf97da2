"""Evidence that the command diagnose cannot use: each fault in one line, nothing written, and no traceback."""

from __future__ import annotations

import json

import pytest
from commandline import call, refused, write_inputs

from freqplan.cli.options import FORMATS
from freqplan.evidence import MOST_SYMPTOMS
from freqplan.tomlfile import LARGEST_FILE

HEARD = """\
[[symptom]]
dial = "95.85 MHz"
heard = "programme"
programme_of = ["101.2 MHz"]
aerial_out = "goes"
"""


@pytest.fixture(autouse=True)
def folder(tmp_path, monkeypatch):
    """A folder with plans, a station list and evidence, which the commands are run from."""
    write_inputs(tmp_path)
    (tmp_path / "heard.toml").write_text(HEARD, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def faulty(folder, text):
    (folder / "bad.toml").write_text(text, encoding="utf-8")
    answer = call("diagnose", "fm.toml", "bad.toml", "--stations", "town.csv", "-o", "never.txt")
    refused(answer)
    assert not (folder / "never.txt").exists()
    return answer.err.splitlines()


def test_every_fault_is_one_line_with_file_line_and_key(folder):
    lines = faulty(
        folder,
        '[set]\noscillator = "above"\n\n[[symptom]]\ndial = "95,85 MHz"\nheard = "musik"\nsingle = "yes"\npad = 10\n',
    )
    places = [(2, "set.oscillator"), (5, "symptom[0].dial"), (6, "symptom[0].heard"), (7, "symptom[0].single"),
              (8, "symptom[0].pad")]  # fmt: skip
    for line, (number, key) in zip(lines, places, strict=True):
        assert line.startswith(f"freqplan: bad.toml, line {number}, {key}: ")
        assert "; " in line


def test_what_does_not_go_with_set_and_list_is_told_at_once_in_the_order_of_the_file(folder):
    lines = faulty(
        folder,
        '[set]\noscillator = "sum"\n[[symptom]]\ndial = "98 kHz"\non_station = "Lower Fenn"\n'
        'programme_of = ["Mill Lane", "Nobody"]\n',
    )
    starts = [line.partition(": ")[2].split(":")[0] for line in lines]
    assert starts == [
        "bad.toml, line 2, set.oscillator", "bad.toml, line 5, symptom[0].on_station",
        "bad.toml, line 6, symptom[0].programme_of[1]",
    ]  # fmt: skip
    assert '"Lower Fen" on 90.5 MHz' in lines[1]


def test_dial_and_wanted_station_off_the_band_are_refused(folder):
    lines = faulty(folder, '[[symptom]]\ndial = "98 kHz"\n[[symptom]]\non_station = "Approach"\n')
    assert [line.partition(": ")[2].split(":")[0] for line in lines] == [
        "bad.toml, line 2, symptom[0].dial", "bad.toml, line 4, symptom[1].on_station",
    ]  # fmt: skip
    assert all("lies off the band 87.50-108.00 MHz" in line for line in lines)


@pytest.mark.parametrize(
    ("dial", "error", "refused_it"),
    [
        ("109 MHz", None, False),
        ("110 MHz", None, True),
        ("110 MHz", "3 MHz", False),
        ("118 MHz", "3 MHz", True),
    ],
)
def test_a_dial_that_is_read_badly_may_lie_farther_off_the_band(dial, error, refused_it, folder):
    read = f'reading_error = "{error}"\n' if error else ""
    (folder / "read.toml").write_text(
        f'[[symptom]]\nheard = "noise"\ndial = "{dial}"\n{read}', encoding="utf-8"
    )
    answer = call("diagnose", "fm.toml", "read.toml")
    assert ("lies off the band" in answer.err) == refused_it
    assert (answer.code == 2) == refused_it


def test_a_name_needs_a_list_and_a_frequency_does_not(folder):
    (folder / "named.toml").write_text(HEARD.replace("101.2 MHz", "High Moor"), encoding="utf-8")
    refused(
        call("diagnose", "fm.toml", "named.toml"),
        "named.toml, line 4, symptom[0].programme_of[0]: a name needs a station list", "--stations",
    )  # fmt: skip
    assert call("diagnose", "fm.toml", "named.toml", "--stations", "town.csv").code == 0
    assert call("diagnose", "fm.toml", "heard.toml").code == 0


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "symptom"),
        ("heard = 'programme'\n", "symptom"),
        ("[[symptom]\n", "line 1"),
        ("[symptom]\nheard = 'programme'\n", "symptom"),
        ("\x00\x01\x02", ""),
        ("[[symptom]]\n" * (MOST_SYMPTOMS + 1), "symptom"),
        ("[[symptom]]\nheard = 'programme'\nvolume = 11\n", "symptom[0].volume"),
        ("[[symptom]]\nprogramme_of = [" + "'98 MHz', " * 30 + "]\n", "programme_of"),
        ("[[symptom]]\non_station = '" + "x" * 300 + "'\n", "on_station"),
        ("[[symptom]]\ndial = '98 MHz\\u001b[31m'\n", ""),
        ("[[symptom]]\nx = " + "[" * 500 + "]" * 500 + "\n", ""),
    ],
)
def test_files_that_are_no_evidence_are_refused_in_few_words(folder, text, words):
    lines = faulty(folder, text)
    assert all(line.startswith("freqplan: bad.toml") for line in lines)
    assert any(words in line for line in lines)
    assert all(len(line) < 500 and line.isprintable() for line in lines)


def test_a_huge_file_is_refused_unread(folder):
    (folder / "bad.toml").write_bytes(b"#" * (LARGEST_FILE + 1))
    refused(call("diagnose", "fm.toml", "bad.toml"), "bad.toml")


def test_the_most_symptoms_that_may_be_told_are_answered(folder):
    (folder / "many.toml").write_text(
        "".join(
            f'[[symptom]]\ndial = "{88 + place / 5:.1f} MHz"\nheard = "whistle"\n'
            for place in range(MOST_SYMPTOMS)
        ),
        encoding="utf-8",
    )
    told = json.loads(
        call("diagnose", "fm.toml", "many.toml", "--stations", "town.csv", "--format", "json").out
    )
    assert len(told["symptoms"]) == MOST_SYMPTOMS


@pytest.mark.parametrize("place", [0, 1])
@pytest.mark.parametrize("name", ["none.toml", ".", "town.csv"])
def test_files_that_are_none_are_refused_in_one_line(place, name):
    words = ["fm.toml", "heard.toml"]
    words[place] = name
    answer = call("diagnose", *words)
    refused(answer, f"freqplan: {name}")
    assert answer.err.count("\n") == 1


# Names that a terminal would obey


@pytest.mark.parametrize("form", FORMATS)
def test_signs_that_a_terminal_would_obey_do_not_reach_it(folder, form):
    name = "Red \x1b[31mAlert\x07\u202e"
    (folder / "evil.csv").write_text(f"name,frequency_mhz\n{name},101.2\n", encoding="utf-8")
    (folder / "evil.toml").write_text(
        HEARD.replace("101.2 MHz", "Red \\u001b[31mAlert\\u0007\\u202e"), encoding="utf-8"
    )
    answer = call("diagnose", "fm.toml", "evil.toml", "--stations", "evil.csv", "--format", form)
    assert answer.code == 0
    if form == "table":
        assert all(line.isprintable() for line in answer.out.splitlines())
    assert "\x1b" not in answer.out
