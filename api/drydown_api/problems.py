"""Errors as problem details (RFC 9457) for programs and as pages for people, each saying what to do."""

from collections.abc import Mapping
from http import HTTPStatus
from typing import Any

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import HTMLResponse, JSONResponse, Response
from starlette.exceptions import HTTPException

from drydown.texts.language import later, say
from drydown_api.answers import ProblemAnswer
from drydown_pages import render

MEDIA_TYPE = "application/problem+json"

FOR_PROGRAMS = ("/api/", "/openapi.json", "/metrics")
"""Paths whose problems are read by programs; all others are pages."""

TITLES = {
    HTTPStatus.NOT_FOUND: later("There is nothing here"),
    HTTPStatus.SERVICE_UNAVAILABLE: later("The watcher is away"),
    HTTPStatus.FORBIDDEN: later("Forbidden"),
    HTTPStatus.CONFLICT: later("Conflict"),
    HTTPStatus.UNPROCESSABLE_ENTITY: later("Unprocessable Entity"),
    HTTPStatus.INTERNAL_SERVER_ERROR: later("Internal Server Error"),
}
"""What stands above a problem that is shown as a page."""

OWN_FAULT = later("This is a fault of drydown itself. Alarms do not depend on it. Try again, and report it.")


class ProblemError(Exception):
    """An error that the caller should read: `detail` says what happened and what to do.

    `title` stands above it on a page, where what the status means would not be true.
    """

    def __init__(self, status: HTTPStatus, detail: str, title: str = "") -> None:
        super().__init__(detail)
        self.status, self.detail, self.title = status, detail, title


def problem(path: str, status: int, detail: str, title: str = "") -> Response:
    """The answer to a request for `path` that cannot be met."""
    phrase = HTTPStatus(status).phrase
    if path.startswith(FOR_PROGRAMS):
        body = ProblemAnswer(title=phrase, status=status, detail=detail).model_dump()
        return JSONResponse(body, status, media_type=MEDIA_TYPE)
    wait_for = path if status == HTTPStatus.SERVICE_UNAVAILABLE else ""
    return HTMLResponse(render.problem_page(_heading(status, title), detail, wait_for), status)


def broken_off(error: ProblemError) -> str:
    """How a page ends in which this error came after it had begun."""
    return render.broken_off(_heading(error.status, error.title), error.detail)


def _heading(status: int, title: str) -> str:
    return say(title or TITLES.get(HTTPStatus(status), HTTPStatus(status).phrase))


Responses = dict[int | str, dict[str, Any]]
"""What a route may answer, for its description."""


def streamed(media_type: str) -> Responses:
    """An answer that comes piece by piece."""
    return {200: {"description": "as a stream", "content": {media_type: {"schema": {"type": "string"}}}}}


def documented(*statuses: HTTPStatus) -> Responses:
    """The problems that a route may answer with."""
    schema = {"$ref": "#/components/schemas/ProblemAnswer"}
    return {
        int(status): {"description": status.phrase, "content": {MEDIA_TYPE: {"schema": schema}}}
        for status in statuses
    }


def answer_with_problems(app: FastAPI) -> None:
    """Let every error of `app` leave as a problem."""
    app.add_exception_handler(ProblemError, _of_problem)
    app.add_exception_handler(HTTPException, _of_http)
    app.add_exception_handler(RequestValidationError, _of_validation)


async def _of_problem(request: Request, error: Exception) -> Response:
    assert isinstance(error, ProblemError)
    return problem(request.url.path, error.status, error.detail, error.title)


async def _of_http(request: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)
    headers = dict(error.headers or {})
    detail = str(error.detail)
    if error.status_code == HTTPStatus.NOT_FOUND:
        if request.url.path.startswith(FOR_PROGRAMS):
            detail = say("Nothing is at this address. /openapi.json lists what programs may ask for.")
        else:
            detail = say("Nothing is at this address: it is mistyped, or leads to what is no more.")
    elif error.status_code == HTTPStatus.BAD_REQUEST:
        detail = say("The body can't be read: it has to be JSON in UTF-8.")
    elif error.status_code == HTTPStatus.METHOD_NOT_ALLOWED:
        allowed = headers.get("Allow", "GET")
        detail = say(
            "{method} means nothing at this address; allowed is {allowed}.",
            method=request.method,
            allowed=allowed,
        )
    answer = problem(request.url.path, error.status_code, detail)
    answer.headers.update(headers)
    return answer


async def _of_validation(request: Request, error: Exception) -> Response:
    assert isinstance(error, RequestValidationError)
    faults = "; ".join(_fault(fault) for fault in error.errors())
    return problem(request.url.path, HTTPStatus.UNPROCESSABLE_ENTITY, f"{faults}.")


def _fault(fault: Mapping[str, Any]) -> str:
    field = ".".join(map(str, fault["loc"]))
    return f"{field}: {fault['msg'].removeprefix('Value error, ')}"
