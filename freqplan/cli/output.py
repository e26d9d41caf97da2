"""Where the answer goes: standard output, or a file that is written whole or not at all."""

from __future__ import annotations

import contextlib
import os
import stat
import tempfile
from pathlib import Path

import click

from freqplan.errors import FreqplanError


def deliver(text: str, output: str | None) -> None:
    """Write `text` to the file `output`, or to standard output when it is None or ``-``.

    Raises
    ------
    FreqplanError
        The file cannot be written; then whatever stood there before stands there still.
    """
    if output in (None, "-"):
        click.echo(text, nl=False)
        return
    try:
        write_whole(Path(str(output)), text)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise FreqplanError(f"{output}: cannot be written: {reason}") from None


def write_whole(path: Path, text: str) -> None:
    """Write a file under another name beside it and put it in place in one step.

    A symbolic link is followed; what is no plain file, such as /dev/stdout, is written to directly.
    """
    target = path.resolve()
    if target.exists() and not target.is_dir() and not stat.S_ISREG(target.stat().st_mode):
        target.write_text(text, encoding="utf-8")
        return
    if target.is_dir():
        raise IsADirectoryError(None, "it is a directory")
    handle, name = tempfile.mkstemp(prefix=f".{target.name}.", dir=target.parent)
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(name, _mode(target))
        os.replace(name, target)
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(name)
        raise


def _mode(target: Path) -> int:
    """Return the permissions the file has, or would get from this process."""
    if target.exists():
        return stat.S_IMODE(target.stat().st_mode)
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask
