"""Whole screens, sign by sign; `tests/screens/README.md` says how to write them anew."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from commandline import AM, DEMO, FM, STATIONS, UNKNOWN_SIDE, call
from thoroughness import some

from freqplan.screen import WIDTH, plain

SCREENS = Path(__file__).with_name("screens")
REFRESH = os.environ.get("FREQPLAN_REFRESH") == "1"

FILES = {
    "fm.toml": FM,
    "am.toml": AM,
    "unknown.toml": UNKNOWN_SIDE,
    "levels.toml": FM
    + """
[front_end]
circuits_before_mixer = 2
loaded_q = 20
gain = "20 dB"

[mixer]
kind = "measured"
reference = "-30 dBm"
suppression = [{m = 2, n = 2, db = 50}, {m = 3, n = 3, db = 70}]
""",
    "chain.toml": FM
    + """
bandwidth = "250 kHz"

[[conversion]]
intermediate = "455 kHz"
fixed_oscillator = "10.245 MHz"

[if_filter]
bandwidth = "150 kHz"

[synthesiser]
reference = "25 kHz"
sidebands = "60 dB"

[[clock]]
name = "display"
frequency = "7 MHz"
""",
    "town.csv": STATIONS,
    "loud.csv": "name,frequency_mhz,level_dbuv\nHigh Moor,101.2,96\nMill Lane,96.3,60\nLow Moor,95.8,50\nFar,100.1,\n",
    "class.csv": "student,problem,answer\n"
    "Ilva,1,96.66\nIlva,2a,1\nIlva,3,52 62.7 1\nTeso,1,96.3\nTeso,2a,-\nTeso,2c,ghost\n",
    "heard.toml": """
[[symptom]]
dial = "95.8 MHz"
heard = "programme"
programme_of = ["High Moor"]
aerial_out = "goes"

[[symptom]]
everywhere = true
heard = "whistle"
other_input_too = true
""",
    "readings.csv": "reads_mhz,is_mhz\n89.0,88.0\n95.0,94.1\n101.0,99.9\n107.0,106.0\n",
    "fens.csv": "name,frequency_mhz\nFen Radio,0.657\nHigh Moor,1.368\nMill Lane,0.909\n",
}

COMMANDS: dict[str, tuple[str, ...]] = {
    "help": ("--help",),
    "help-survey": ("survey", "--help"),
    "help-channel": ("channel", "--help"),
    "help-chart": ("chart", "--help"),
    "help-compare": ("compare", "--help"),
    "help-start": ("start", "--help"),
    "start": ("start",),
    "start-fm": ("start", "fm"),
    "survey-fm": ("survey", "fm.toml", "--orders", "2,2"),
    "survey-fm-stations": ("survey", "fm.toml", "--stations", "town.csv", "--orders", "3,3", "--limit", "8"),
    "survey-am": ("survey", "am.toml", "--orders", "3,2"),
    "survey-am-stations": ("survey", "am.toml", "--stations", "fens.csv", "--orders", "2,2", "--limit", "12"),
    "survey-unknown-side": ("survey", "unknown.toml", "--stations", "town.csv", "--orders", "2,2"),
    "survey-one-table": ("survey", "fm.toml", "--table", "birdies"),
    "channel-fm": ("channel", "fm.toml", "95.8 MHz", "--orders", "2,2"),
    "channel-fm-stations": ("channel", "fm.toml", "95.8 MHz", "--stations", "town.csv", "--orders", "3,3"),
    "channel-am": ("channel", "am.toml", "909 kHz", "--stations", "fens.csv", "--orders", "2,2"),
    "survey-fm-levels": (
        "survey",
        "levels.toml",
        "--stations",
        "loud.csv",
        "--orders",
        "3,3",
        "--limit",
        "8",
        "--pad",
        "10 dB",
    ),
    "channel-fm-levels": ("channel", "levels.toml", "95.8 MHz", "--stations", "loud.csv", "--orders", "3,3"),
    "changes-fm": (
        "survey",
        "levels.toml",
        "--stations",
        "loud.csv",
        "--orders",
        "3,3",
        "--notch",
        "101.2 MHz,30 dB",
        "--table",
        "changes",
    ),
    "survey-chain": ("survey", "chain.toml", "--stations", "town.csv", "--orders", "2,2", "--limit", "10"),
    "channel-chain": ("channel", "chain.toml", "98 MHz", "--stations", "town.csv", "--orders", "2,2"),
    "help-diagnose": ("diagnose", "--help"),
    "diagnose-fm": ("diagnose", "fm.toml", "heard.toml", "--stations", "town.csv"),
    "diagnose-fm-tests": (
        "diagnose",
        "unknown.toml",
        "heard.toml",
        "--stations",
        "town.csv",
        "--table",
        "tests",
    ),
    "help-dial": ("dial", "--help"),
    "dial-fm": ("dial", "fm.toml", "readings.csv"),
    "help-if-ranges": ("if-ranges", "--help"),
    "if-ranges-fm": ("if-ranges", "fm.toml", "--from", "5 MHz", "--to", "12 MHz", "--orders", "2,2"),
    "compare-weighed": (
        "compare",
        "levels.toml",
        "--stations",
        "loud.csv",
        "--weight",
        "heard=1",
        "--weight",
        "if-harmonics=1",
    ),
    "help-sweep": ("sweep", "--help"),
    "sweep-levels": (
        "sweep",
        "levels.toml",
        "--stations",
        "loud.csv",
        "--circuits",
        "2,3",
        "--draws",
        "3",
        "--tracking",
        "100 kHz",
    ),
    "help-receivers": ("receivers", "--help"),
    "help-page": ("page", "--help"),
    "receivers-two": ("receivers", "fm.toml", "unknown.toml", "--limit", "6"),
    "receivers-one": ("receivers", "fm.toml", "--limit", "4"),
    "circuits-fm": ("circuits", "levels.toml", "--stations", "loud.csv", "--reject", "70 dB"),
    "whistle-fm": ("whistle", "fm.toml"),
    "whistle-am": ("whistle", "am.toml", "--ratio", "-20 dB"),
    "whistle-pitch": ("whistle", "fm.toml", "--pitch", "8 kHz"),
    "help-report": ("report", "--help"),
    "help-circuits": ("circuits", "--help"),
    "help-whistle": ("whistle", "--help"),
    "help-lesson": ("lesson", "--help"),
    "lesson-half-if": ("lesson", "levels.toml", "half-if"),
    "lesson-am-side-unknown": ("lesson", "unknown.toml", "which-side"),
    "lesson-second-image": ("lesson", "chain.toml", "second-image"),
    "lesson-tracking-am": ("lesson", "am.toml", "tracking"),
    "explained-half-if": (
        "channel",
        "levels.toml",
        "95.8 MHz",
        "--stations",
        "town.csv",
        "--explain",
        "half-if",
    ),
    "help-sound": ("sound", "--help"),
    "help-exercise": ("exercise", "--help"),
    "exercise-one-step": ("exercise", "fm.toml", "--count", "8"),
    "exercise-am": ("exercise", "am.toml", "--level", "2", "--count", "8", "--table", "problems"),
    "exercise-several-steps": ("exercise", "unknown.toml", "--level", "3", "--count", "8", "--table", "key"),
    "exercise-marked": ("exercise", "fm.toml", "--seed", "3", "--count", "3", "--check", "class.csv"),
    "compare-fm": ("compare", "fm.toml"),
    "compare-am-six-ways": ("compare", "am.toml", "--intermediate", "1.6 MHz", "--intermediate", "45 MHz"),
}


@pytest.fixture(autouse=True)
def folder(tmp_path, monkeypatch):
    """The plans and lists that the screens are made from; help is laid out for 80 columns."""
    for name, text in FILES.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "80")


@pytest.mark.parametrize("name", COMMANDS)
def test_screen(name):
    answer = call(*COMMANDS[name])
    assert (answer.code, answer.err) == (0, "")
    golden = SCREENS / f"{name}.txt"
    if REFRESH:
        golden.write_text(answer.out, encoding="utf-8", newline="\n")
    assert answer.out == golden.read_text("utf-8")


def test_every_file_belongs_to_a_screen():
    assert {path.stem for path in SCREENS.glob("*.txt")} == set(COMMANDS)


@pytest.mark.parametrize("name", [name for name in COMMANDS if name not in ("start-fm", "changes-fm")])
def test_no_line_is_wider_than_the_screen(name):
    assert max(map(len, call(*COMMANDS[name]).out.splitlines())) <= WIDTH


@pytest.mark.parametrize(
    "plan", some(sorted(path.name for path in DEMO.glob("*.toml") if "heard" not in path.name))
)
@pytest.mark.parametrize(
    "options", [(), ("--stations", str(DEMO / "orvessa.csv")), ("--oscillator", "unknown")]
)
def test_no_line_of_a_whole_demonstration_is_wider_than_the_screen(plan, options):
    answer = call("survey", str(DEMO / plan), *options, "--limit", "500")
    assert max(map(len, answer.out.splitlines())) <= WIDTH


@pytest.mark.parametrize("name", COMMANDS)
def test_no_line_ends_in_blanks(name):
    assert [line for line in call(*COMMANDS[name]).out.splitlines() if line != line.rstrip()] == []


def test_wide_signs_keep_the_columns_in_line(tmp_path):
    # Places a terminal gives beyond one for each sign: to an ideogram and a picture one more, to an accent none.
    surplus = {"広播電台": 4, "Łódź": 0, "e\N{COMBINING ACUTE ACCENT}te": -1, "\N{RADIO} Radio": 1}
    rows = "".join(f"{name},{101.2 + 0.2 * i:.1f}\n" for i, name in enumerate(surplus))
    (tmp_path / "wide.csv").write_text(f"name,frequency_mhz\n{rows}", encoding="utf-8")
    answer = call("survey", "fm.toml", "--stations", "wide.csv", "--table", "ghosts")
    lines = [line for line in answer.out.splitlines() if " half-if " in line]
    starts = {name: line.index("half-if") for line in lines for name in surplus if line.startswith(name)}
    assert starts.keys() == surplus.keys()
    assert len({start + surplus[name] for name, start in starts.items()}) == 1


def test_a_name_cannot_command_the_terminal(tmp_path):
    evil = "Red\x1b[31m\x9b2J\N{RIGHT-TO-LEFT OVERRIDE}Radio"
    (tmp_path / "evil.csv").write_text(f"name,frequency_mhz\n{evil},101.2\n", encoding="utf-8")
    (tmp_path / "evil.toml").write_text(FM.replace("Kitchen set", r"Kit\u001b[2Jchen"), encoding="utf-8")
    for words in (("survey", "evil.toml"), ("channel", "evil.toml", "101.2 MHz")):
        answer = call(*words, "--stations", "evil.csv")
        assert answer.code == 0
        assert "Radio" in answer.out
        assert not {"\x1b", "\x9b", "\N{RIGHT-TO-LEFT OVERRIDE}"} & set(answer.out)


def test_plain_keeps_every_sign_that_is_only_text():
    assert (
        plain("Feldùna  مرحبا \N{RADIO}\N{ZERO WIDTH JOINER}x\n")
        == "Feldùna مرحبا \N{RADIO}\N{ZERO WIDTH JOINER}x"
    )
