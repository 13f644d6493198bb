"""The page of one run, and what its charts are drawn from."""

from http import HTTPStatus
from typing import Annotated

from fastapi import APIRouter, Path, Request
from fastapi.responses import HTMLResponse, Response
from pydantic_core import to_json

from drydown.clock import zone
from drydown.config.model import Tank
from drydown.store.read import StoreReader
from drydown.texts.language import say
from drydown_api.answers import CourseAnswer
from drydown_api.history import PROBLEMS
from drydown_api.packing import packed, swift
from drydown_api.problems import ProblemError
from drydown_api.recorded import Reader
from drydown_api.run_record import find_run, record_of
from drydown_api.tanks import TankOf, VisitorOf
from drydown_pages import render
from drydown_pages.run.record import RunRecord
from drydown_pages.run.view import course_of, view_of_run

router = APIRouter()

Start = Annotated[float, Path(ge=0, le=1e11, description="when the run began, as listed")]


@router.get(
    "/api/v1/tanks/{tank}/runs/{start}/course",
    tags=["history"],
    response_model=CourseAnswer,
    responses=PROBLEMS,
)
def course(request: Request, tank: TankOf, reader: Reader, start: Start) -> Response:
    """What held when in a run, what happened, and what was believed at each moment, in words."""
    record = request.app.state.just_read.take(tank.name, start) or _record(reader, tank, start)
    body = to_json(course_of(record, zone()))
    return swift(request, packed(request, body))


@router.get("/tanks/{tank}/runs/{start}", include_in_schema=False)
def run_page(request: Request, tank: TankOf, reader: Reader, visitor: VisitorOf, start: Start) -> Response:
    """What happened in a run, and why."""
    record = _record(reader, tank, start)
    request.app.state.just_read.keep(tank.name, start, record)
    view = view_of_run(record, zone())
    return HTMLResponse(render.run_page(request.app.state.site.site, view, visitor))


def _record(reader: StoreReader, tank: Tank, start: float) -> RunRecord:
    found = find_run(reader, tank, start)
    if found is None:
        detail = say("No run of {tank} began then. Look among its runs.", tank=tank.name)
        raise ProblemError(HTTPStatus.NOT_FOUND, detail)
    run, name = found
    return record_of(reader, tank, run, name)
