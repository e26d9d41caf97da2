"""Files that are written whole or not at all."""

from __future__ import annotations

import contextlib
import os
import stat
import tempfile
from collections.abc import Iterator
from pathlib import Path

from freqplan.errors import FreqplanError


def save_whole(name: str, content: bytes) -> None:
    """Write a file whole or not at all.

    Parameters
    ----------
    name : str
        Its name.
    content : bytes
        All of it.

    Raises
    ------
    FreqplanError
        It cannot be written; then whatever stood there before stands there still.
    """
    with _told(name):
        write_whole(Path(name), content)


def check_writable(name: str) -> None:
    """Refuse a file that cannot be written, so that nothing long is computed in vain.

    Raises
    ------
    FreqplanError
        As `save_whole` does, as far as it can be known without writing.
    """
    with _told(name):
        _target(Path(name))


@contextlib.contextmanager
def _told(name: str) -> Iterator[None]:
    """Turn what hinders writing into one message."""
    if not name:
        raise FreqplanError('file name "": empty; write for example "answer.txt"')
    try:
        yield
    except (OSError, ValueError, RuntimeError) as error:  # RuntimeError: symbolic links in a circle
        reason = getattr(error, "strerror", None) or str(error)
        raise FreqplanError(f"{name}: cannot be written: {reason}") from None


def write_whole(path: Path, content: bytes) -> None:
    """Write a file under another name beside it and put it in place in one step.

    A symbolic link is followed; what is no plain file, such as a pipe, is written to directly.
    """
    target = _target(path)
    if target is None:
        path.write_bytes(content)
        return
    handle, name = tempfile.mkstemp(prefix=f".{target.name}.", dir=target.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
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
