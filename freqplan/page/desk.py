"""Between the web library and the views: visits in, replies out, and a page for whatever goes wrong."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from http import HTTPStatus
from typing import TYPE_CHECKING

from freqplan.errors import FreqplanError
from freqplan.page.answers import Answers
from freqplan.page.faults import faults_of
from freqplan.page.guard import METHODS, TOKEN, TOO_LARGE, Guard, RefusedError, StaleFormError
from freqplan.page.remembered import BusyError
from freqplan.page.state import Bench, BenchError, BenchGoneError, Shelf
from freqplan.page.views import VIEWS
from freqplan.page.visit import Download, Moved, Page, Reply, Upload, View, Visit

if TYPE_CHECKING:
    from flask import Response

BENCH = "/bench/<packed>/"
NAVIGATION = tuple((view.path, view.label) for view in VIEWS if view.label)

_ANEW = "Begin anew on the start page."
AGAIN_S = 3
"""After how long a page that has to wait asks again [s]."""

_BUSY = (
    "Still computing.",
    "This page comes back by itself as soon as there is an answer. Lower orders and fewer stations take less time.",
)
_OURS = (
    "Something went wrong in the program itself: it is no fault of yours, and nothing is lost.",
    "Go back and ask for something else. What happened is told where the program was started.",
)
_TOLD: Mapping[HTTPStatus, tuple[str, ...]] = {
    HTTPStatus.NOT_FOUND: ("There is no such page.", "Go back, or begin on the start page."),
    HTTPStatus.METHOD_NOT_ALLOWED: (
        "This address cannot be asked for in this way.",
        "Go back and use the form.",
    ),
    HTTPStatus.REQUEST_ENTITY_TOO_LARGE: TOO_LARGE,
    HTTPStatus.BAD_REQUEST: ("This could not be read.", "Go back and send it once more."),
}


class Desk:
    """Between the web library and the views: visits in, replies out."""

    def __init__(self, guard: Guard, answers: Answers, shelf: Shelf, first: Bench | None) -> None:
        self.guard, self.answers, self.shelf, self.first = guard, answers, shelf, first

    def guarded(self) -> None:
        """Check a request before any view sees it."""
        from flask import request

        self.guard.check(
            request.method,
            dict(request.headers),
            query=request.query_string.decode("latin-1"),
            length=request.content_length or 0,
        )
        if request.method == "POST":
            self.guard.check_token(request.form.get(TOKEN, ""))

    def answering(self, view: View, answer: Callable[[Visit], Reply]) -> Callable[..., Response]:
        """Return what the web library calls for a view."""

        def respond(**parts: str) -> Response:
            visit = self._visit(parts)
            return self.response(answer(visit), view=view, visit=visit)

        return respond

    def _visit(self, parts: dict[str, str]) -> Visit:
        from flask import request

        packed = parts.pop("packed", None)
        form = request.form if request.method == "POST" else {}
        files = request.files if request.method == "POST" else {}
        chosen = {
            name: Upload(file.filename or "", file.read()) for name, file in files.items() if file.filename
        }
        return Visit(
            self.answers,
            self.shelf,
            bench=self.first if packed is None else self.shelf.bench(packed),
            segment=packed or "",
            up=_up(request.path) if packed is not None else "",
            query=_query(),
            form={name: request.form.getlist(name) for name in form},
            files=chosen,
            parts=parts,
        )

    def response(self, reply: Reply, *, view: View | None = None, visit: Visit | None = None) -> Response:
        """Turn what a view hands back into what goes over the line."""
        from flask import make_response, redirect, render_template

        if isinstance(reply, Moved):
            return make_response(redirect(reply.to, HTTPStatus.SEE_OTHER))
        if isinstance(reply, Download):
            response = make_response(reply.text)
            response.headers["Content-Type"] = reply.kind
            if reply.name:
                response.headers["Content-Disposition"] = f'attachment; filename="{reply.name}"'
            return response
        text = render_template(
            reply.template,
            **reply.content,
            visit=visit,
            view=view,
            navigation=NAVIGATION,
            token=self.guard.token,
        )
        return make_response(text, reply.status)

    def trouble(self, error: Exception) -> Response:
        """Answer whatever went wrong with a calm page."""
        from flask import current_app
        from werkzeug.exceptions import HTTPException

        if isinstance(error, StaleFormError):
            return self._stale(error)
        if isinstance(error, RefusedError):
            return self._refused(error)
        if isinstance(error, BusyError):
            return self._busy()
        if isinstance(error, BenchError):
            gone = isinstance(error, BenchGoneError)
            text = str(error)
            return self._message(
                HTTPStatus.GONE if gone else HTTPStatus.NOT_FOUND, f"{text[:1].upper()}{text[1:]}.", _ANEW
            )
        if isinstance(error, FreqplanError):
            page = Page("faults.html", {"faults": faults_of(error)}, HTTPStatus.UNPROCESSABLE_ENTITY)
            return self.response(page, visit=self._visit_at_fault())
        if isinstance(error, HTTPException) and error.code != HTTPStatus.INTERNAL_SERVER_ERROR:
            status = HTTPStatus(error.code or HTTPStatus.BAD_REQUEST)
            return self._message(
                status, *_TOLD.get(status, (f"{status.phrase}.", _ANEW)), visit=self._visit_at_fault()
            )
        current_app.logger.error(
            "a fault of the program, which should be told to those who write it", exc_info=error
        )
        return self._message(HTTPStatus.INTERNAL_SERVER_ERROR, *_OURS, visit=self._visit_at_fault())

    def _busy(self) -> Response:
        response = self._message(HTTPStatus.SERVICE_UNAVAILABLE, *_BUSY, visit=self._visit_at_fault())
        response.headers["Refresh"] = str(AGAIN_S)
        return response

    def _refused(self, error: RefusedError) -> Response:
        response = self._message(error.status, *error.texts)
        if error.status == HTTPStatus.METHOD_NOT_ALLOWED:
            response.headers["Allow"] = ", ".join(METHODS)
        return response

    def _message(self, status: HTTPStatus, *texts: str, visit: Visit | None = None) -> Response:
        content = {"title": status.phrase, "texts": texts}
        return self.response(Page("message.html", content, status), visit=visit)

    def _stale(self, error: StaleFormError) -> Response:
        from flask import request

        fields = [
            (name, value) for name in request.form if name != TOKEN for value in request.form.getlist(name)
        ]
        content = {"texts": error.texts, "fields": fields}
        return self.response(Page("stale.html", content, error.status))

    def _visit_at_fault(self) -> Visit | None:
        """Return the bench on which something went wrong, so that its page keeps the way back."""
        from flask import request

        packed = (request.view_args or {}).get("packed")
        if packed is None:
            return None
        try:
            bench = self.shelf.bench(packed)
        except BenchError:
            return None
        return Visit(
            self.answers, self.shelf, bench=bench, segment=packed, up=_up(request.path), query=_query()
        )


def _up(path: str) -> str:
    """Return the way from a view back to where the views of its bench stand."""
    return "../" * (path.count("/") - BENCH.count("/"))


def _query() -> dict[str, list[str]]:
    """Return what the address of the request holds."""
    from flask import request

    return {name: request.args.getlist(name) for name in request.args}
