"""Routes to what was recorded: series and runs, from the store, read only."""

import gzip
import json
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from http import HTTPStatus
from itertools import islice
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Query, Request
from fastapi.responses import Response, StreamingResponse
from pydantic_core import to_json

from drydown.config.model import Site
from drydown.store.lines import recorded_lines
from drydown.store.read import StoreReader
from drydown.store.schema import StoreError, explain
from drydown_api.answers import RunAnswer, SeriesAnswer
from drydown_api.problems import ProblemError, documented, streamed
from drydown_api.reviewed import named_runs, run_answer
from drydown_api.tanks import TankOf

router = APIRouter(prefix="/api/v1/tanks/{tank}", tags=["history"])

PROBLEMS = documented(HTTPStatus.NOT_FOUND, HTTPStatus.UNPROCESSABLE_ENTITY, HTTPStatus.SERVICE_UNAVAILABLE)
LINES = streamed("application/x-ndjson")
NO_RECORD = "The record can’t be read"
AT_ONCE = 500  # lines that are sent in one piece

Name = Annotated[str, Query(min_length=1, max_length=100)]
UnixTime = Annotated[float, Query(ge=0, le=1e11, description="Unix time, s")]


def open_store(request: Request) -> Iterator[StoreReader]:
    """The store, opened for one request."""
    with reading_store(request.app.state.site) as reader:
        yield reader


Reader = Annotated[StoreReader, Depends(open_store)]


@router.get("/series", response_model=list[SeriesAnswer], responses=PROBLEMS)
def series(
    request: Request,
    tank: TankOf,
    reader: Reader,
    name: Annotated[
        list[Name],
        Query(description="names of series", examples=[["fuel/temperature"]], min_length=1, max_length=50),
    ],
    start: UnixTime = 0,
    end: UnixTime = 1e11,
    points: Annotated[int, Query(ge=2, le=20000, description="at most so many points a series")] = 2000,
) -> Response:
    """Recorded series, thinned to `points` points that keep the extremes; unknown names are left out."""
    found = (reader.series(tank.name, wanted, start, end, points) for wanted in name)
    answer = [one for one in found if one is not None]
    return swift(request, to_json(answer))


def swift(request: Request, body: bytes) -> Response:
    """Many numbers: packed here, and lightly, because packing them well takes longer than finding them."""
    if "gzip" not in request.headers.get("Accept-Encoding", ""):
        return Response(body, media_type="application/json")
    headers = {"Content-Encoding": "gzip", "Vary": "Accept-Encoding"}
    return Response(gzip.compress(body, 1), media_type="application/json", headers=headers)


@router.get("/lines", response_class=StreamingResponse, responses=LINES | PROBLEMS)
def lines(request: Request, tank: TankOf, start: UnixTime, end: UnixTime) -> StreamingResponse:
    """Everything recorded in a span, one JSON object a line, as `drydown replay --json` prints it."""
    site: Site = request.app.state.site
    with reading_store(site):
        pass  # what is wrong with the store has to be said before the first line

    def said() -> Iterator[str]:
        with reading_store(site) as reader:
            found = (json.dumps(line) + "\n" for line in recorded_lines(reader, tank.name, start, end))
            while piece := "".join(islice(found, AT_ONCE)):
                yield piece

    return StreamingResponse(said(), media_type="application/x-ndjson")


@router.get("/happenings", responses=PROBLEMS)
def happenings(
    tank: TankOf,
    reader: Reader,
    start: UnixTime = 0,
    end: UnixTime = 1e11,
    kind: Annotated[list[Name], Query(description="only these kinds", max_length=20)] = [],  # noqa: B006
    limit: Annotated[int, Query(ge=1, le=10000)] = 1000,
) -> list[dict[str, Any]]:
    """What happened: stages, alarms, notices, commands, tests and notes; the newest `limit`, oldest first."""
    return [event.body for event in reader.events(tank.name, start, end, kind, limit)]


@router.get("/runs", responses=PROBLEMS)
def runs(
    request: Request,
    tank: TankOf,
    reader: Reader,
    limit: Annotated[int, Query(ge=1, le=1000, description="at most so many, the newest")] = 100,
) -> list[RunAnswer]:
    """The runs of this tank, the newest first."""
    return [run_answer(one) for one in named_runs(request, reader, tank)[:limit]]


@contextmanager
def reading_store(site: Site) -> Iterator[StoreReader]:
    """The store of a site. Raises ProblemError, also for what goes wrong while it is read."""
    try:
        with StoreReader(site.store_path) as reader:
            yield reader
    except StoreError as error:
        raise ProblemError(HTTPStatus.SERVICE_UNAVAILABLE, str(error), NO_RECORD) from error
    except sqlite3.Error as error:
        detail = explain(error, site.store_path)
        raise ProblemError(HTTPStatus.SERVICE_UNAVAILABLE, detail, NO_RECORD) from error
