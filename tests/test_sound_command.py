"""The command sound: a WAV file, whole or not at all, and in words what is heard."""

from __future__ import annotations

import wave

import pytest
from commandline import AM, DEMO, FM, ROOT, call, process, refused

import freqplan

PANTRY = str(DEMO / "pantry.toml")


@pytest.fixture(autouse=True)
def folder(tmp_path, monkeypatch):
    """A folder with two plans, which the commands are run from."""
    (tmp_path / "fm.toml").write_text(FM, encoding="utf-8")
    (tmp_path / "am.toml").write_text(AM, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_the_file_is_that_of_the_function_and_its_words_are_printed(folder):
    answer = call(
        "sound", "fm.toml", "--offset", "30 kHz", "--to", "46 kHz", "--ratio", "-20 dB", "--stereo", "--decoder",
        "switching", "--seconds", "1", "--tone", "1 kHz", "--as-heard", "-o", "fold.wav",
    )  # fmt: skip
    expected = freqplan.sound(
        freqplan.load_plan("fm.toml"), offset_hz=30_000, to_hz=46_000, ratio_db=-20, stereo=True, decoder="switching",
        seconds=1, tone_hz=1000, as_heard=True,
    )  # fmt: skip
    assert (answer.code, answer.err) == (0, "")
    assert " ".join(answer.out.split()) == " ".join(expected.told)
    assert max(map(len, answer.out.splitlines())) <= 100
    assert (folder / "fold.wav").read_bytes() == expected.to_wav()


def test_a_mechanism_with_its_numbers_and_another_if(folder):
    words = (
        "sound",
        "fm.toml",
        "--mechanism",
        "if-harmonic",
        "--k",
        "9",
        "--tuning",
        "1 kHz",
        "--seconds",
        "0.5",
    )
    answer = call(*words, "--intermediate", "10.67 MHz", "--oscillator", "low", "-o", "nine.wav")
    assert "(k 9), oscillator low: the dial goes from 1 kHz below zero beat" in answer.out
    with wave.open("nine.wav") as file:
        assert file.getnframes() == 24_000
    answer = call(
        "sound",
        "fm.toml",
        "--mechanism",
        "harmonic-mixing",
        "--m",
        "3",
        "--n",
        "2",
        "--e",
        "1",
        "-o",
        "x.wav",
    )
    assert "(m 3 n 2 e 1)" in answer.out


def test_am_by_its_envelope():
    answer = call("sound", "am.toml", "--offset", "3 kHz", "--seconds", "0.5", "-o", "am.wav")
    assert "3.0 kHz (beat)" in answer.out


def test_to_standard_output_the_words_go_beside():
    done = process("sound", PANTRY, "--offset", "2 kHz", "--seconds", "0.5", "-o", "-")
    assert done.returncode == 0
    assert done.stdout[:4] == b"RIFF"
    assert done.stderr.startswith(b"The set stands on the wanted carrier")


@pytest.mark.parametrize(
    ("words", "message"),
    [
        ((), "either an offset or a mechanism"),
        (("--offset", "2"), '--offset \'2\': unit missing; write "2 MHz" or "2 kHz"'),
        (("--offset", "2 kHz", "--ratio", "0 dB"), "of two equal carriers neither takes over"),
        (("--offset", "2 kHz", "--ratio", "-20"), "--ratio"),
        (("--offset", "2 kHz", "--seconds", "600"), "give 0.5 to 60 seconds"),
        (("--offset", "2 kHz", "--seconds", "nan"), "give 0.5 to 60 seconds"),
        (("--mechanism", "x" * 500), "is not on this dial"),
        (("--mechanism", "image", "--orders", "0,0"), "--orders"),
        (("--offset", "2 kHz", "--decoder", "switching"), "in stereo only"),
    ],
)
def test_bad_input_gives_one_line_and_no_file(words, message, folder):
    answer = call("sound", "fm.toml", *words, "-o", "new.wav")
    refused(answer, message)
    assert all(len(line) < 700 for line in answer.err.splitlines())
    assert not (folder / "new.wav").exists()


def test_a_plan_is_not_written_upon_and_a_place_that_cannot_be_written_is_told_first(folder):
    refused(call("sound", "fm.toml", "--offset", "2 kHz", "-o", "fm.toml"), "is read by this command")
    refused(call("sound", "fm.toml", "--offset", "2 kHz", "-o", "none/new.wav"), "there is no folder")
    assert (folder / "fm.toml").read_text("utf-8") == FM


def test_the_words_shown_in_the_readme_are_those_of_the_command():
    readme = (ROOT / "README.md").read_text("utf-8")
    words = ("--mechanism", "image", "--ratio", "-20 dB", "-o", "image.wav")
    assert 'freqplan sound plans_demo/pantry.toml --mechanism image --ratio "-20 dB" -o image.wav' in readme
    assert call("sound", PANTRY, *words).out in readme
