"""Where the answer goes: standard output, or a file that is written whole or not at all."""

from __future__ import annotations

import contextlib
import io
import os
import sys

import click

from freqplan.errors import FreqplanError
from freqplan.files import check_writable, save_whole

_ESCAPED = "backslashreplace"
"""What becomes of signs that UTF-8 cannot hold: parts of a file name that is no text, in a title."""


def deliver(content: str | bytes, output: str | None, *, utf8: bool = False) -> None:
    """Write `content` to the file `output`, or to standard output when it is None or ``-``.

    Parameters
    ----------
    content : str or bytes
        What to write.
    output : str or None
        File name.
    utf8 : bool
        Whether a text is UTF-8 on standard output too, as programs expect of json or csv; else it is what the
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
        click.echo(content, nl=False)
        return
    _check_name(output)
    save_whole(output, content if isinstance(content, bytes) else content.encode("utf-8", errors=_ESCAPED))


def check_output(output: str | None) -> None:
    """Refuse a file that cannot be written, so that nothing long is computed in vain.

    Raises
    ------
    FreqplanError
        As `deliver` does, as far as it can be known without writing.
    """
    if output is not None and not to_standard_output(output):
        _check_name(output)
        check_writable(output)


def _check_name(output: str) -> None:
    if not output:
        raise FreqplanError('--output "": no file name; write for example "--output answer.txt"')


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
