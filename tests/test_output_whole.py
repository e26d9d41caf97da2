"""Output files stay whole on a full disk and when the process is killed, and nothing else is touched."""

from __future__ import annotations

import ast
import errno
import os
import re
import signal
import stat
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest
from commandline import FM, ROOT, call, refused

from freqplan import FreqplanError, files, load_plan, sound

OLD = b"old content\n"
LARGE = bytes(range(256)) * 4096
"""More than one write to a file takes, a megabyte."""


@pytest.fixture(autouse=True)
def folder(tmp_path, monkeypatch):
    """A folder with a plan, which the commands are run from."""
    (tmp_path / "fm.toml").write_text(FM, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def contents(folder):
    return {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file()}


COMMANDS = {
    "survey": ("survey", "fm.toml"),
    "chart": ("chart", "fm.toml", "response-map"),
    "report": ("report", "fm.toml"),
    "sound": ("sound", "fm.toml", "--offset", "3 kHz", "--seconds", "1"),
    "exercise": ("exercise", "fm.toml", "--count", "1"),
}


# --- a disk that is full --------------------------------------------------------------------------


ON_A_TINY_DISK = """
import os, sys
from freqplan import FreqplanError, files
old = sys.argv[1].encode()
os.chdir(sys.argv[2])
if old:
    files.save_whole("answer", old)
try:
    files.save_whole("answer", bytes(1_000_000))
except FreqplanError as error:
    print(error)
print({name: open(name, "rb").read() for name in os.listdir()})
files.save_whole("answer", b"fits")
print({name: open(name, "rb").read() for name in os.listdir()})
"""
IN_A_PLACE_OF_ITS_OWN = 'mount -t tmpfs -o size=64k tmpfs "$2" && echo mounted && exec "$0" -c "$3" "$1" "$2"'
"""The file system ends with the process that has made it, however that ends."""


@pytest.mark.parametrize("old", ["old content", ""])
def test_a_real_disk_that_is_full_leaves_what_was_there(old, folder):
    disk = folder / "disk"
    disk.mkdir()
    own = ["unshare", "--mount", "sh", "-c", IN_A_PLACE_OF_ITS_OWN]
    try:
        done = subprocess.run(
            [*own, sys.executable, old, str(disk), ON_A_TINY_DISK], cwd=ROOT, capture_output=True, text=True,
            timeout=60, env={**os.environ, "PYTHONPATH": str(ROOT)},
        )  # fmt: skip
    except OSError:
        pytest.skip("no file system of its own can be made here")
    if not done.stdout.startswith("mounted\n"):
        pytest.skip("no file system can be mounted here")
    assert done.stdout.splitlines()[1:] == [
        "answer: cannot be written: No space left on device",
        repr({"answer": old.encode()} if old else {}),
        repr({"answer": b"fits"}),
    ]
    assert list(disk.iterdir()) == []


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_says_that_the_disk_is_full_and_leaves_the_old_file(command, folder, monkeypatch):
    (folder / "answer").write_bytes(OLD)
    before = contents(folder)

    class Full:
        """A file on which half of what is written has room."""

        def __init__(self, handle, mode):
            self._file = os.fdopen(handle, mode)

        def __enter__(self):
            return self

        def __exit__(self, *_):
            self._file.close()

        def write(self, content):
            self._file.write(content[: len(content) // 2])
            self._file.flush()
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    class System:
        """The operating system with such files."""

        fdopen = Full

        def __getattr__(self, name):
            return getattr(os, name)

    monkeypatch.setattr(files, "os", System())
    refused(call(*COMMANDS[command], "-o", "answer"), "answer: cannot be written: No space left on device")
    assert contents(folder) == before


# --- a process that is killed ---------------------------------------------------------------------

KILLED = """
import os, signal, sys
from freqplan import files
step, name, size = sys.argv[1:]
def die(*_):
    os.kill(os.getpid(), signal.SIGKILL)
if step == "write":
    whole = os.fdopen
    def half(handle, mode):
        os.write(handle, b"n" * (int(size) // 2))
        die()
    os.fdopen = half
else:
    setattr(os, step, die)
files.save_whole(name, b"n" * int(size))
"""


@pytest.mark.parametrize("step", ["write", "fsync", "chmod", "replace"])
@pytest.mark.parametrize("old", [OLD, None])
def test_a_process_that_is_killed_leaves_no_half_file_under_the_name(step, old, folder):
    if old is not None:
        (folder / "answer").write_bytes(old)
    before = contents(folder)
    words = [sys.executable, "-c", KILLED, step, str(folder / "answer"), "1000000"]
    done = subprocess.run(words, cwd=ROOT, timeout=60)
    assert done.returncode == -signal.SIGKILL
    # Nobody can clear up after such an end: what had been written lies beside it under a hidden name.
    (left,) = set(contents(folder)) - set(before)
    assert left.startswith(".answer.")
    (folder / left).unlink()
    assert contents(folder) == before


def test_killed_just_after_the_file_is_in_place_it_is_whole(folder):
    (folder / "answer").write_bytes(OLD)
    text = KILLED.replace(
        "setattr(os, step, die)", "put = os.replace\n    os.replace = lambda *a: (put(*a), die())"
    )
    done = subprocess.run([sys.executable, "-c", text, "after", str(folder / "answer"), "1000000"], cwd=ROOT)
    assert done.returncode == -signal.SIGKILL
    assert contents(folder)["answer"] == b"n" * 1_000_000


# --- places ---------------------------------------------------------------------------------------


def test_a_chain_of_links_is_followed_to_the_file_and_every_link_stays(folder):
    (folder / "real").write_bytes(OLD)
    (folder / "one").symlink_to("real")
    (folder / "two").symlink_to("one")
    files.save_whole("two", LARGE)
    assert [(folder / name).is_symlink() for name in ("one", "two", "real")] == [True, True, False]
    assert (folder / "real").read_bytes() == LARGE


def test_a_second_name_of_the_same_file_keeps_the_old_content(folder):
    """Whole or not at all means a new file in its place, so a hard link is let go."""
    (folder / "answer").write_bytes(OLD)
    os.link("answer", "kept")
    files.save_whole("answer", LARGE)
    assert ((folder / "answer").read_bytes(), (folder / "kept").read_bytes()) == (LARGE, OLD)


def test_a_link_to_a_folder_is_a_folder(folder):
    (folder / "sub").mkdir()
    (folder / "link").symlink_to("sub")
    refused(call("survey", "fm.toml", "-o", "link"), "it is a directory")
    assert list((folder / "sub").iterdir()) == []


@pytest.mark.parametrize("by_link", [False, True])
def test_dev_null_takes_everything_and_stays_what_it_is(by_link, folder):
    (folder / "nowhere").symlink_to(os.devnull)
    assert call("survey", "fm.toml", "-o", "nowhere" if by_link else os.devnull) == (0, "", "")
    assert stat.S_ISCHR(os.stat(os.devnull).st_mode)
    assert sorted(path.name for path in folder.iterdir()) == ["fm.toml", "nowhere"]


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="needs /dev/full")
def test_a_device_that_is_full_is_told():
    refused(
        call("survey", "fm.toml", "-o", "/dev/full"), "/dev/full: cannot be written: No space left on device"
    )


def as_nobody(words):
    """Run a command without the rights of root, which may write anywhere; return exit code and standard error."""
    read, write = os.pipe()
    child = os.fork()
    if not child:
        if os.getuid() == 0:
            os.setgroups([])
            os.setgid(65534)
            os.setuid(65534)
        answer = call(*words)
        os.write(write, f"{answer.code}\n{answer.err}".encode())
        os._exit(0)
    os.close(write)
    with os.fdopen(read, encoding="utf-8") as said:
        code, _, err = said.read().partition("\n")
    os.waitpid(child, 0)
    return int(code), err


@pytest.mark.parametrize("what", ["file", "folder"])
def test_without_permission_it_is_refused_before_anything_is_touched(what, monkeypatch):
    call("survey", "fm.toml")  # what is loaded on first use is loaded: nobody may not read it
    with tempfile.TemporaryDirectory() as name:
        place = Path(name)
        place.chmod(0o777)
        (place / "fm.toml").write_text(FM, encoding="utf-8")
        (place / "answer").write_bytes(OLD)
        (place / "fm.toml").chmod(0o644)
        (place / "answer").chmod(0o444 if what == "file" else 0o666)
        place.chmod(0o777 if what == "file" else 0o555)
        monkeypatch.chdir(place)
        code, err = as_nobody(("survey", "fm.toml", "-o", "answer"))
        reason = "protected against writing" if what == "file" else "nothing can be written in the folder"
        assert code == 2
        assert err.startswith("freqplan: answer: cannot be written: ")
        assert reason in err
        assert (place / "answer").read_bytes() == OLD
        monkeypatch.undo()
        place.chmod(0o777)


# --- one way out ----------------------------------------------------------------------------------


def test_while_three_write_the_same_file_a_reader_always_finds_one_whole(folder):
    """Large contents, so that one is at it while another ends."""
    code = (
        "import sys\nfrom freqplan import files\n"
        "for _ in range(20): files.save_whole('answer', sys.argv[1].encode() * 3_000_000)"
    )
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    runs = [
        subprocess.Popen([sys.executable, "-c", code, letter], cwd=folder, env=environment)
        for letter in "abc"
    ]
    seen = set()
    while any(run.poll() is None for run in runs):
        if (folder / "answer").exists():
            seen.add((folder / "answer").read_bytes())
    assert [run.wait(timeout=60) for run in runs] == [0] * 3
    assert {(len(content), len(set(content))) for content in seen} == {(3_000_000, 1)}
    assert sorted(contents(folder)) == ["answer", "fm.toml"]


def test_a_sound_saved_from_python_goes_the_same_way(folder, monkeypatch):
    (folder / "a.wav").write_bytes(OLD)
    made = sound(load_plan("fm.toml"), offset_hz=3_000, seconds=1)

    def full(*_):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(files.os, "fsync", full)
    with pytest.raises(FreqplanError, match="No space left"):
        made.save(folder / "a.wav")
    assert contents(folder)["a.wav"] == OLD


WRITERS = {"write_text", "write_bytes", "savefig", "tofile", "savetxt", "mkdir", "rename", "unlink"}


MODE = re.compile("[rbt+]*[wax+][rbt+]*")


def writing_calls(tree):
    """Yield the lines that write, make or remove a file."""
    for node in ast.walk(tree):
        if not isinstance(node, ast.Call):
            continue
        name = getattr(node.func, "attr", getattr(node.func, "id", ""))
        given = [*node.args[:2], *(word.value for word in node.keywords if word.arg == "mode")]
        modes = [one.value for one in given if isinstance(one, ast.Constant) and isinstance(one.value, str)]
        if name in WRITERS or (name in ("open", "fdopen") and any(MODE.fullmatch(mode) for mode in modes)):
            yield node.lineno


INTO_MEMORY = {("sounds.py", "wave.open(whole, 'wb')"), ("charts/drawing.py", "figure.savefig(file")}


def test_files_are_written_in_one_place_only():
    package = ROOT / "freqplan"
    found = set()
    for path in sorted(package.rglob("*.py")):
        name, source = path.relative_to(package).as_posix(), path.read_text("utf-8")
        if not any(f"{writer}(" in source for writer in (*WRITERS, "open")):
            continue
        lines = source.splitlines()
        for line in writing_calls(ast.parse(source)):
            text = lines[line - 1].strip().replace('"', "'")
            if not any(name == module and start in text for module, start in INTO_MEMORY):
                found.add(name)
    assert found == {"files.py"}


def test_a_second_place_that_writes_would_be_found():
    for text in (
        "open(name, 'w')",
        "path.open('x', 'wb')",
        "path.write_text(a)",
        "os.fdopen(h, 'a')",
        "np.savetxt(a)",
    ):
        assert list(writing_calls(ast.parse(text))) == [1], text
    assert list(writing_calls(ast.parse("open(name, 'rb'); read(a)"))) == []
