"""--output: the whole answer in place, or nothing touched."""

from __future__ import annotations

import errno
import os
import stat
import subprocess
import sys

import pytest
from commandline import FM, ROOT, call, process, refused

from freqplan.cli import output as out


@pytest.fixture(autouse=True)
def folder(tmp_path, monkeypatch):
    """A folder with a plan, which the commands are run from."""
    (tmp_path / "fm.toml").write_text(FM, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def files(folder):
    return sorted(path.name for path in folder.iterdir())


def expected():
    return call("survey", "fm.toml").out


@pytest.mark.parametrize("option", ["-o", "--output"])
def test_the_file_holds_what_the_screen_would(option, folder):
    assert call("survey", "fm.toml", option, "answer.txt") == (0, "", "")
    assert (folder / "answer.txt").read_text("utf-8") == expected()
    assert files(folder) == ["answer.txt", "fm.toml"]


@pytest.mark.parametrize("form", ["table", "markdown", "csv", "json", "html", "latex"])
def test_every_format_can_be_written_to_a_file(form, folder):
    call("survey", "fm.toml", "--format", form, "-o", "answer")
    assert (folder / "answer").read_text("utf-8") == call("survey", "fm.toml", "--format", form).out


@pytest.mark.parametrize(
    "words",
    [
        ("survey", "missing.toml"),
        ("survey", "fm.toml", "--stations", "missing.csv"),
        ("survey", "fm.toml", "--table", "nothing"),
        ("survey", "fm.toml", "--orders", "0,0"),
        ("channel", "fm.toml", "200 MHz"),
        ("start", "nothing"),
    ],
)
def test_a_failure_leaves_no_file_and_an_old_one_as_it_was(words, folder):
    refused(call(*words, "-o", "new.txt"))
    assert files(folder) == ["fm.toml"]
    (folder / "old.txt").write_text("old", encoding="utf-8")
    refused(call(*words, "-o", "old.txt"))
    assert (folder / "old.txt").read_text("utf-8") == "old"
    assert files(folder) == ["fm.toml", "old.txt"]


def test_an_old_file_is_replaced_whole_and_keeps_its_permissions(folder):
    old = folder / "answer.txt"
    old.write_text("x" * 100_000, encoding="utf-8")
    old.chmod(0o604)
    assert call("survey", "fm.toml", "-o", "answer.txt").code == 0
    assert old.read_text("utf-8") == expected()
    assert stat.S_IMODE(old.stat().st_mode) == 0o604


def test_a_new_file_gets_the_permissions_of_any_other(folder):
    before = os.umask(0o027)
    try:
        call("survey", "fm.toml", "-o", "answer.txt")
        assert os.umask(0o027) == 0o027
    finally:
        os.umask(before)
    assert stat.S_IMODE((folder / "answer.txt").stat().st_mode) == 0o640


@pytest.mark.parametrize("there", [True, False])
def test_a_symbolic_link_is_followed(there, folder):
    (folder / "kept").mkdir()
    real, link = folder / "kept" / "real.txt", folder / "link.txt"
    if there:
        real.write_text("old", encoding="utf-8")
    link.symlink_to(real)
    assert call("survey", "fm.toml", "-o", "link.txt").code == 0
    assert link.is_symlink()
    assert real.read_text("utf-8") == expected()
    assert files(folder / "kept") == ["real.txt"]


@pytest.mark.parametrize(
    ("name", "reason"),
    [
        ("sub", "it is a directory"),
        (".", "it is a directory"),
        ("missing/answer.txt", "there is no folder"),
        ("fm.toml/answer.txt", "there is no folder"),
        ("nul\0.txt", "null"),
        ("x" * 300, "name too long"),
        ("", "no file name"),
    ],
)
def test_a_place_that_cannot_be_written_is_refused(name, reason, folder):
    (folder / "sub").mkdir()
    answer = call("survey", "fm.toml", "-o", name)
    refused(answer)
    assert reason.lower() in answer.err.lower()
    assert answer.err.count("\n") == 1
    assert files(folder) == ["fm.toml", "sub"]
    assert files(folder / "sub") == []


@pytest.mark.parametrize("step", ["fsync", "replace", "chmod"])
@pytest.mark.parametrize("old", ["old content", None])
def test_a_failure_in_the_middle_leaves_what_was_there(step, old, folder, monkeypatch):
    if old is not None:
        (folder / "answer.txt").write_text(old, encoding="utf-8")
    before = files(folder)

    def full(*_):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(out.os, step, full)
    refused(
        call("survey", "fm.toml", "-o", "answer.txt"),
        "answer.txt: cannot be written",
        "No space left on device",
    )
    assert files(folder) == before
    if old is not None:
        assert (folder / "answer.txt").read_text("utf-8") == old


def test_an_interruption_leaves_no_temporary_file(folder, monkeypatch):
    def interrupted(*_):
        raise KeyboardInterrupt

    monkeypatch.setattr(out.os, "fsync", interrupted)
    assert call("survey", "fm.toml", "-o", "answer.txt").code != 0
    assert files(folder) == ["fm.toml"]


@pytest.mark.parametrize("name", ["-", "/dev/stdout"])
@pytest.mark.parametrize("words", [("survey", "plans_demo/pantry.toml"), ("start", "fm")])
def test_standard_output_can_be_named(name, words):
    plain, named = process(*words), process(*words, "-o", name)
    assert (named.returncode, named.stderr) == (0, b"")
    assert named.stdout == plain.stdout != b""


@pytest.mark.skipif(not os.path.exists("/dev/stdout"), reason="needs /dev/stdout")
def test_dev_stdout_in_a_file_that_is_added_to_keeps_what_stood_there(folder):
    log = folder / "log.txt"
    log.write_text("first\n", encoding="utf-8")
    with log.open("ab") as end:
        words = [sys.executable, "-m", "freqplan", "start", "-o", "/dev/stdout", "fm"]
        subprocess.run(words, stdout=end, cwd=ROOT, timeout=60, check=True)
    assert log.read_text("utf-8").startswith("first\n# FM")


def test_a_named_pipe_is_written_to_and_not_replaced(folder):
    os.mkfifo(folder / "pipe")
    with subprocess.Popen(["cat", "pipe"], cwd=folder, stdout=subprocess.PIPE) as reader:
        assert call("survey", "fm.toml", "-o", "pipe").code == 0
        assert reader.communicate(timeout=30)[0].decode("utf-8") == expected()
    assert stat.S_ISFIFO((folder / "pipe").stat().st_mode)


def test_two_runs_at_once_do_not_mix(folder):
    words = [
        sys.executable,
        "-m",
        "freqplan",
        "survey",
        str(folder / "fm.toml"),
        "-o",
        str(folder / "answer.txt"),
    ]
    forms = ("json", "html")
    runs = [subprocess.Popen([*words, "--format", form], cwd=ROOT) for form in forms * 3]
    assert [run.wait(timeout=60) for run in runs] == [0] * 6
    whole = {call("survey", "fm.toml", "--format", form).out for form in forms}
    assert (folder / "answer.txt").read_text("utf-8") in whole
    assert files(folder) == ["answer.txt", "fm.toml"]


@pytest.mark.parametrize("name", ["fm.toml", "./fm.toml", "link.toml"])
def test_a_file_that_is_read_is_never_written_onto(folder, name):
    (folder / "link.toml").symlink_to("fm.toml")
    before = (folder / "fm.toml").read_bytes()
    answer = call("survey", "fm.toml", "-o", name)
    assert answer.code == 2
    assert "is read by this command and stays as it is" in answer.err
    assert (folder / "fm.toml").read_bytes() == before


def test_links_in_a_circle_are_refused(folder):
    (folder / "circle").symlink_to("circle")
    answer = call("survey", "fm.toml", "-o", "circle")
    assert answer.code == 2
    assert "circle: cannot be written" in answer.err
