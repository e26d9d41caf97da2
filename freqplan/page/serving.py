"""The page comes up on this machine and nowhere else, on the first free port, and ends with Ctrl-C."""

from __future__ import annotations

import os
import socket
import threading
import webbrowser
from collections.abc import Callable
from contextlib import suppress
from importlib import import_module
from importlib.util import find_spec
from typing import TYPE_CHECKING, Any

from freqplan.errors import FreqplanError, MissingExtraError
from freqplan.page.guard import LARGEST_BODY

if TYPE_CHECKING:
    from freqplan.page.answers import Measured
    from freqplan.page.state import Bench

PORT, TRIES = 8107, 20
"""Where the page is looked for first, and how many ports are tried."""

THREADS = 24
"""Questions answered at once; a few of them compute, see `remembered`."""

LARGEST_TAKEN = 8 * LARGEST_BODY
"""Bytes that are read of what is too large, so that it is refused with a page; all of it stays in memory."""

LARGEST_HEAD = 131_072
"""Bytes: an address of the greatest length, and once more where it is named as the page before."""

MOST_CONNECTIONS, IDLE_S = 200, 30
"""Connections held open, fewer than the files that any system lets a program open, and how long one may idle [s]."""

LARGEST_ANSWER = 64_000_000
"""Bytes of an answer that wait in memory while a browser is slow."""

ENGINE = (
    "surveys",
    "channels",
    "comparisons",
    "diagnoses",
    "dials",
    "planfile",
    "stations",
    "questions",
    "screen",
    "tables",
    "listening",
)
HOW_TO_GET = 'the page needs flask and waitress: pip install "freqplan[web]"'


def serve(
    first: Bench | None = None,
    measured: Measured | None = None,
    *,
    port: int = PORT,
    browser: bool = True,
    tell: Callable[[str], None],
) -> None:
    """Answer until somebody presses Ctrl-C.

    Parameters
    ----------
    first : Bench, optional
        What to begin with.
    measured : Measured, optional
        The measured response that its plan names.
    port : int
        The port to begin with; a busy one moves on to the next.
    browser : bool
        Whether to open the page in the browser.
    tell : callable
        Says the address.

    Raises
    ------
    MissingExtraError
        A library is not installed.
    FreqplanError
        There is no free port.
    """
    if find_spec("flask") is None or find_spec("waitress") is None:
        raise MissingExtraError(HOW_TO_GET)
    server, address = start(first, measured, port=port)
    tell(f"the page is at {address} on this machine; Ctrl-C ends it")
    threading.Thread(target=_warm_up, daemon=True).start()
    if browser:
        threading.Thread(target=webbrowser.open, args=(address,), daemon=True).start()
    try:
        server.run()
    except KeyboardInterrupt:
        tell("ended")
    finally:
        server.close()


def start(
    first: Bench | None = None, measured: Measured | None = None, *, port: int = PORT
) -> tuple[Any, str]:
    """Return a server that listens, and its address; it answers when it is run.

    Raises
    ------
    FreqplanError
        There is no free port.
    """
    from waitress.server import create_server

    from freqplan.page.app import create_app

    listener = listening(port)
    taken = listener.getsockname()[1]
    app = create_app(taken, first=first, measured=measured)
    server = create_server(
        app, sockets=[listener], threads=THREADS, clear_untrusted_proxy_headers=True, ident="freqplan",
        max_request_body_size=LARGEST_TAKEN, inbuf_overflow=2 * LARGEST_TAKEN, outbuf_overflow=LARGEST_ANSWER,
        max_request_header_size=LARGEST_HEAD, connection_limit=MOST_CONNECTIONS, channel_timeout=IDLE_S,
    )  # fmt: skip
    return server, f"http://127.0.0.1:{taken}/"


def listening(port: int) -> socket.socket:
    """Return a socket that listens on this machine alone, on a port or, where it is busy, on one of the next.

    Raises
    ------
    FreqplanError
        All of them are busy.
    """
    last = min(port + TRIES, 65_536) if port else 1
    for number in range(port, last):
        listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        if os.name == "posix":
            # So that a program started anew gets its port back at once, and bookmarks hold; elsewhere the option
            # would let two programs share a port.
            listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        with suppress(OSError):
            listener.bind(("127.0.0.1", number))
            listener.listen()
            return listener
        listener.close()
    raise FreqplanError(f"no free port from {port} to {last - 1}; give another one with --port")


def _warm_up() -> None:
    """Import what the answers need while the first page is being read."""
    for name in ENGINE:
        import_module(f"freqplan.{name}")
