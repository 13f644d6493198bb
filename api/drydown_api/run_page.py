"""The page of one run, and what its charts are drawn from."""

import logging
from collections.abc import Iterator
from functools import cache
from http import HTTPStatus
from typing import Annotated

from fastapi import APIRouter, Path, Request
from fastapi.responses import Response
from pydantic_core import to_json

from drydown.clock import zone
from drydown.config.model import Tank
from drydown.store.read import StoreReader
from drydown.texts.language import say
from drydown_api.answers import CourseAnswer
from drydown_api.history import PROBLEMS
from drydown_api.packing import flowing, packed, swift
from drydown_api.problems import OWN_FAULT, ProblemError, broken_off
from drydown_api.recorded import Reader, reading_store
from drydown_api.run_record import FoundRun, find_run, record_of
from drydown_api.tanks import TankOf, VisitorOf
from drydown_pages import render
from drydown_pages.run.record import RunRecord
from drydown_pages.run.view import course_of, head_of_run, view_of_run

router = APIRouter()

Start = Annotated[float, Path(ge=0, le=1e11, description="when the run began, as listed")]

log = logging.getLogger(__name__)


@router.get(
    "/api/v1/tanks/{tank}/runs/{start}/course",
    tags=["history"],
    response_model=CourseAnswer,
    responses=PROBLEMS,
)
def course(request: Request, tank: TankOf, reader: Reader, start: Start) -> Response:
    """What held when in a run, what happened, and what was believed at each moment, in words."""
    record = record_of(reader, tank, _found(reader, tank, start))
    return swift(request, packed(request, to_json(course_of(record, zone()))))


@router.get("/tanks/{tank}/runs/{start}", include_in_schema=False)
def run_page(request: Request, tank: TankOf, reader: Reader, visitor: VisitorOf, start: Start) -> Response:
    """What happened in a run, and why. Its head is sent before the rest is read."""
    found = _found(reader, tank, start)
    site = request.app.state.site

    @cache
    def record() -> RunRecord:
        with reading_store(site) as store:
            return record_of(store, tank, found)

    def pieces() -> Iterator[str]:
        try:
            yield from render.run_page(
                site.site,
                head_of_run(tank.name, found.name, found.run.start, found.until),
                lambda: view_of_run(record(), zone()),
                lambda: to_json(course_of(record(), zone())),
                visitor,
            )
        except ProblemError as problem:
            yield broken_off(problem)
        except Exception:
            log.exception("%s failed; please report this", request.url.path)
            yield broken_off(ProblemError(HTTPStatus.INTERNAL_SERVER_ERROR, say(OWN_FAULT)))

    return flowing(request, pieces())


def _found(reader: StoreReader, tank: Tank, start: float) -> FoundRun:
    found = find_run(reader, tank, start)
    if found is None:
        detail = say("No run of {tank} began then. Look among its runs.", tank=tank.name)
        raise ProblemError(HTTPStatus.NOT_FOUND, detail)
    return found
