"""Who may ask: this machine, by its own name; and who may send something in: a form of this very page."""

from __future__ import annotations

import hmac
import secrets
from collections.abc import Mapping
from dataclasses import dataclass, field
from http import HTTPStatus
from urllib.parse import urlsplit

LARGEST_BODY = 1_000_000
"""Bytes that a form may send."""

LONGEST_QUERY = 16_000
"""Signs of a question in an address."""

TOO_LARGE = (
    "What was sent is larger than 1 MB.",
    "Go back, and cut the station list down to the stations that can be heard here.",
)
"""What is said of a body that is larger, whoever notices it first."""

_FORGED = (
    "This was not sent by a form of this page, so nothing was done with it.",
    "fill in the form there",
)
_UNSEEN = ("Another page has asked for this unseen, so nothing was computed.", "ask there")

METHODS = ("GET", "HEAD", "POST")
TOKEN = "token"
"""The hidden field of every form that sends something in."""

_POLICY = {
    "default-src": "'none'",
    "style-src": "'self'",
    "script-src": "'self'",
    "img-src": "'self'",
    "connect-src": "'self'",
    "form-action": "'self'",
    "base-uri": "'none'",
    "frame-ancestors": "'none'",
}
HEADERS: Mapping[str, str] = {
    "Content-Security-Policy": "; ".join(f"{name} {value}" for name, value in _POLICY.items()),
    "X-Content-Type-Options": "nosniff",
    # Not "no-referrer": with that, browsers send the Origin of a form as "null".
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cache-Control": "no-store",
}
"""What goes with every answer."""


class RefusedError(Exception):
    """A question is not answered.

    Attributes
    ----------
    status : HTTPStatus
        Why, in numbers.
    texts : tuple of str
        Why, and what to do, in sentences.
    """

    def __init__(self, status: HTTPStatus, *texts: str) -> None:
        super().__init__(texts[0])
        self.status, self.texts = status, texts


class StaleFormError(RefusedError):
    """A form of this page was sent that an earlier run of the program had made."""


@dataclass(frozen=True)
class Guard:
    """What is let in.

    Attributes
    ----------
    port : int
        Where the page listens.
    token : str
        What a form has to bring back; another one each time the program starts.
    """

    port: int
    token: str = field(default_factory=lambda: secrets.token_urlsafe(24), repr=False)

    @property
    def hosts(self) -> tuple[str, ...]:
        """Return the names under which the page may be asked for."""
        names = ("127.0.0.1", "localhost", "[::1]")
        bare = names if self.port == 80 else ()
        return (*(f"{name}:{self.port}" for name in names), *bare)

    def check(self, method: str, headers: Mapping[str, str], *, query: str, length: int) -> None:
        """Refuse what is no plain question from this machine, and what another page has sent or asks for unseen.

        Parameters
        ----------
        method : str
            Of the request.
        headers : mapping
            By name, such as ``Sec-Fetch-Site``.
        query : str
            The address behind the question mark.
        length : int
            Bytes of the body.

        Raises
        ------
        RefusedError
            With the page to show.
        """
        host = headers.get("Host", "")
        if host.lower() not in self.hosts:
            raise RefusedError(
                HTTPStatus.MISDIRECTED_REQUEST,
                "This page answers under the name of this machine only.",
                f"Open http://127.0.0.1:{self.port}/ in the browser.",
            )
        if method not in METHODS:
            raise RefusedError(HTTPStatus.METHOD_NOT_ALLOWED, "This is not something that can be asked here.")
        if len(query) > LONGEST_QUERY:
            raise RefusedError(
                HTTPStatus.REQUEST_URI_TOO_LONG,
                "This question is too long.",
                "Go back and ask for less at once.",
            )
        if length > LARGEST_BODY:
            raise RefusedError(HTTPStatus.REQUEST_ENTITY_TOO_LARGE, *TOO_LARGE)
        self._check_sender(method, host.lower(), headers)

    def _check_sender(self, method: str, host: str, headers: Mapping[str, str]) -> None:
        """Refuse what another page sends in, and what it asks for unseen, which could keep the program busy."""
        from_here = headers.get("Sec-Fetch-Site", "same-origin") in ("same-origin", "none")
        sends = method == "POST"
        is_ours = _sender(headers) == host if sends or "Origin" in headers else True
        if is_ours and (from_here or (_is_followed(headers) and not sends)):
            return
        what, how = _FORGED if sends else _UNSEEN
        address = f"Open http://127.0.0.1:{self.port}/ in the browser"
        raise RefusedError(HTTPStatus.FORBIDDEN, what, f"{address} and {how}.")

    def check_token(self, given: str) -> None:
        """Refuse a form that this run of the program has not made.

        Raises
        ------
        StaleFormError
            The token is not the one of this run.
        """
        if not hmac.compare_digest(given.encode("utf-8", "replace"), self.token.encode("ascii")):
            raise StaleFormError(
                HTTPStatus.FORBIDDEN,
                "This form was opened before the program was started, so nothing was done with it yet.",
                "What you filled in is still here: send it once more. A file has to be chosen anew.",
            )


def _is_followed(headers: Mapping[str, str]) -> bool:
    """Return whether somebody follows a link, so that the answer fills the window."""
    return headers.get("Sec-Fetch-Mode") == "navigate" and headers.get("Sec-Fetch-Dest") == "document"


def _sender(headers: Mapping[str, str]) -> str:
    """Return host and port of the page that has sent a form or asks, in lower case; empty where it cannot be told."""
    told = headers.get("Origin") or headers.get("Referer", "")
    try:
        parts = urlsplit(told)
    except ValueError:
        return ""
    return parts.netloc.lower() if parts.scheme == "http" else ""
