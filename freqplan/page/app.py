"""The page as a web application: each view put to its address, with the guard before all of them."""

from __future__ import annotations

import io
from typing import IO, TYPE_CHECKING, Any

from freqplan.page.answers import Answers, Measured
from freqplan.page.desk import BENCH, Desk
from freqplan.page.guard import HEADERS, LARGEST_BODY, Guard
from freqplan.page.state import Bench, Shelf
from freqplan.page.views import VIEWS

if TYPE_CHECKING:
    from flask import Flask, Response


def create_app(
    port: int, *, first: Bench | None = None, measured: Measured | None = None, token: str | None = None
) -> Flask:
    """Make the application.

    Parameters
    ----------
    port : int
        Where it listens: no other is answered under.
    first : Bench, optional
        What to begin with instead of the start page.
    measured : Measured, optional
        The measured response that the first plan names.
    token : str, optional
        Of the forms, for tests; by default a random one.
    """
    from flask import Flask
    from jinja2 import StrictUndefined

    app = Flask(__name__, static_url_path="/static")
    app.config.update(
        MAX_CONTENT_LENGTH=LARGEST_BODY, MAX_FORM_MEMORY_SIZE=LARGEST_BODY, PROVIDE_AUTOMATIC_OPTIONS=False
    )
    app.request_class = _request_in_memory()
    app.jinja_env.undefined = StrictUndefined
    app.jinja_env.trim_blocks = app.jinja_env.lstrip_blocks = True
    guard = Guard(port) if token is None else Guard(port, token)
    desk = Desk(guard, Answers(measured), Shelf(), first)
    app.before_request(desk.guarded)
    app.after_request(_with_headers)
    app.register_error_handler(Exception, desk.trouble)
    for view in VIEWS:
        rule = view.path if view.path.startswith("/") else BENCH + view.path
        for method, answer in (("GET", view.show), ("POST", view.send)):
            if answer is not None:
                app.add_url_rule(rule, f"{method} {rule}", desk.answering(view, answer), methods=[method])
    return app


def _request_in_memory() -> Any:
    from flask import Request

    class InMemory(Request):
        """A request whose files stay in memory: they are small, and nothing is to be left on a disk."""

        def _get_file_stream(self, *_: object, **__: object) -> IO[bytes]:
            return io.BytesIO()

    return InMemory


def _with_headers(response: Response) -> Response:
    response.headers.update(HEADERS)
    return response
