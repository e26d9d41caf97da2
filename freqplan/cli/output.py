"""Where the answer goes: standard output, or a file that is written whole or not at all."""

from __future__ import annotations

import contextlib
import io
import os
import stat
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import click

from freqplan.errors import FreqplanError

_ESCAPED = "backslashreplace"
"""What becomes of signs that UTF-8 cannot hold: parts of a file name that is no text, in a title."""


def deliver(text: str, output: str | None, *, utf8: bool = False) -> None:
    """Write `text` to the file `output`, or to standard output when it is None or ``-``.

    Parameters
    ----------
    text : str
        What to write.
    output : str or None
        File name.
    utf8 : bool
        Whether it is UTF-8 on standard output too, as programs expect of json or csv; else it is what the
        terminal can show.  A file is always UTF-8.

    Raises
    ------
    FreqplanError
        The file cannot be written; then whatever stood there before stands there still.
    """
    if output is None or to_standard_output(output):
        if utf8 and isinstance(sys.stdout, io.TextIOWrapper):
            sys.stdout.reconfigure(encoding="utf-8", errors=_ESCAPED)
        if sys.stdout is None:
            raise FreqplanError("standard output is closed; name a file with --output")
        click.echo(text, nl=False)
        return
    with _told(output):
        write_whole(Path(output), text)


def check_output(output: str | None) -> None:
    """Refuse a file that cannot be written, so that nothing long is computed in vain.

    Raises
    ------
    FreqplanError
        As `deliver` does, as far as it can be known without writing.
    """
    if output is not None and not to_standard_output(output):
        with _told(output):
            _target(Path(output))


@contextlib.contextmanager
def _told(output: str) -> Iterator[None]:
    """Turn what hinders writing into one message."""
    if not output:
        raise FreqplanError('--output "": no file name; write for example "--output answer.txt"')
    try:
        yield
    except (OSError, ValueError, RuntimeError) as error:  # RuntimeError: symbolic links in a circle
        reason = getattr(error, "strerror", None) or str(error)
        raise FreqplanError(f"{output}: cannot be written: {reason}") from None


def keep_inputs(output: str | None, *inputs: str | None) -> None:
    """Refuse to write onto a file that is read.

    Raises
    ------
    FreqplanError
        `output` is one of the `inputs`, by whatever name.
    """
    for given in inputs:
        with contextlib.suppress(OSError, ValueError):
            if output and given and os.path.samefile(output, given):
                raise FreqplanError(
                    f"{output}: is read by this command and stays as it is; choose another name"
                )


def to_standard_output(output: str) -> bool:
    """Return whether `output` names standard output."""
    return output in ("-", "/dev/stdout", "/dev/fd/1")


def write_whole(path: Path, text: str) -> None:
    """Write a file under another name beside it and put it in place in one step.

    A symbolic link is followed; what is no plain file, such as a pipe, is written to directly.
    """
    target = _target(path)
    if target is None:
        path.write_text(text, encoding="utf-8", errors=_ESCAPED)
        return
    handle, name = tempfile.mkstemp(prefix=f".{target.name}.", dir=target.parent)
    try:
        with os.fdopen(handle, "w", encoding="utf-8", errors=_ESCAPED, newline="\n") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(name, _mode(target))
        os.replace(name, target)
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(name)
        raise


def _target(path: Path) -> Path | None:
    """Return where a file is to be put, links followed, or None where it is written to directly; or raise why not."""
    if path.is_dir():
        raise IsADirectoryError(None, "it is a directory")
    if path.exists() and not path.is_file():
        return None
    target = path.resolve()
    if target.is_symlink():  # from Python 3.13 on, what cannot be resolved is returned as it stands
        raise OSError(None, "its links go round in a circle")
    if not target.parent.is_dir():
        raise FileNotFoundError(None, f"there is no folder {target.parent}")
    if target.exists() and not os.access(target, os.W_OK):
        raise PermissionError(None, "the file is protected against writing")
    if not os.access(target.parent, os.W_OK):
        raise PermissionError(None, f"nothing can be written in the folder {target.parent}")
    return target


def _mode(target: Path) -> int:
    """Return the permissions the file has, or would get from this process."""
    if target.exists():
        return stat.S_IMODE(target.stat().st_mode)
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask
