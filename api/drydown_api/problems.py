"""Errors of the API as problem details (RFC 9457): what happened, what it means, what to do next."""

from http import HTTPStatus

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse
from starlette.exceptions import HTTPException


class ProblemError(Exception):
    """An error that the caller should read: `title` is the kind, `detail` says what to do."""

    def __init__(self, status: HTTPStatus, title: str, detail: str) -> None:
        super().__init__(detail)
        self.status, self.title, self.detail = status, title, detail


def problem_response(status: int, title: str, detail: str) -> JSONResponse:
    """The problem as a response of its own media type."""
    body = {"type": "about:blank", "status": int(status), "title": title, "detail": detail}
    return JSONResponse(body, status_code=int(status), media_type="application/problem+json")


async def _of_problem(_request: Request, error: Exception) -> JSONResponse:
    assert isinstance(error, ProblemError)
    return problem_response(error.status, error.title, error.detail)


async def _of_http(_request: Request, error: Exception) -> JSONResponse:
    assert isinstance(error, HTTPException)
    detail = str(error.detail)
    if error.status_code == HTTPStatus.NOT_FOUND:
        detail = "There is nothing at this address. /openapi.json lists what there is."
    answer = problem_response(error.status_code, HTTPStatus(error.status_code).phrase, detail)
    answer.headers.update(error.headers or {})
    return answer


async def _of_validation(_request: Request, error: Exception) -> JSONResponse:
    assert isinstance(error, RequestValidationError)
    faults = [f"{'.'.join(map(str, fault['loc']))}: {fault['msg']}" for fault in error.errors()]
    return problem_response(HTTPStatus.UNPROCESSABLE_ENTITY, "Not valid", "; ".join(faults))


def answer_with_problems(app: FastAPI) -> None:
    """Let every error of `app` leave as a problem."""
    app.add_exception_handler(ProblemError, _of_problem)
    app.add_exception_handler(HTTPException, _of_http)
    app.add_exception_handler(RequestValidationError, _of_validation)
