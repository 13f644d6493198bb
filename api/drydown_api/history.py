"""Routes to what was recorded: series and runs, from the store, read only."""

import json
from collections.abc import Iterator, Sequence
from http import HTTPStatus
from typing import Annotated, Any

from fastapi import APIRouter, Query, Request
from fastapi.responses import Response, StreamingResponse

from drydown.store.lines import recorded_lines
from drydown.store.read import StoreReader
from drydown_api.answers import RunAnswer, SeriesAnswer
from drydown_api.kept import KeptAnswers, headers, is_known, tag_of, unchanged
from drydown_api.packing import Piece, in_one, piece, swift, takes_packed
from drydown_api.problems import documented, streamed
from drydown_api.recorded import Reader, reading_store, side_by_side, stream
from drydown_api.reviewed import named_runs, run_answer
from drydown_api.tanks import TankOf

router = APIRouter(prefix="/api/v1/tanks/{tank}", tags=["history"])

PROBLEMS = documented(HTTPStatus.NOT_FOUND, HTTPStatus.UNPROCESSABLE_ENTITY, HTTPStatus.SERVICE_UNAVAILABLE)
LINES = streamed("application/x-ndjson")

Name = Annotated[str, Query(min_length=1, max_length=100)]
UnixTime = Annotated[float, Query(ge=0, le=1e11, description="Unix time, s")]


@router.get("/series", response_model=list[SeriesAnswer], responses=PROBLEMS)
def series(
    request: Request,
    tank: TankOf,
    name: Annotated[
        list[Name],
        Query(description="names of series", examples=[["fuel/temperature"]], min_length=1, max_length=50),
    ],
    start: UnixTime = 0,
    end: UnixTime = 1e11,
    points: Annotated[int, Query(ge=2, le=20000, description="at most so many points a series")] = 2000,
) -> Response:
    """Recorded series, thinned to `points` points that keep the extremes; unknown names are left out.

    An answer is kept until anything is recorded within its span; its entity tag tells.
    """
    site = request.app.state.site
    asked = (tank.name, tuple(name), start, end, points, takes_packed(request))
    with reading_store(site) as reader:
        tag = tag_of((asked, reader.fingerprint(tank.name, name, start, end)))
    if is_known(request, tag):
        return unchanged(tag)

    def read(reader: StoreReader, some: Sequence[str]) -> Piece:
        found = (reader.series_json(tank.name, one, start, end, points) for one in some)
        return piece(",".join(one for one in found if one).encode())

    def made() -> bytes:
        found = [one for one in side_by_side(site, name, read) if one.plain]
        pieces = [part for nth, one in enumerate(found) for part in (piece(b"," if nth else b"["), one)]
        pieces.append(piece(b"]" if found else b"[]"))
        return in_one(pieces) if takes_packed(request) else b"".join(one.plain for one in pieces)

    answers: KeptAnswers = request.app.state.kept
    return swift(request, answers.get(asked, tag, made), headers(tag))


@router.get("/lines", response_class=StreamingResponse, responses=LINES | PROBLEMS)
def lines(request: Request, tank: TankOf, start: UnixTime, end: UnixTime) -> StreamingResponse:
    """Everything recorded in a span, one JSON object a line, as `drydown replay --json` prints it."""

    def said(reader: StoreReader) -> Iterator[bytes]:
        found = recorded_lines(reader, tank.name, start, end)
        return (json.dumps(line).encode() + b"\n" for line in found)

    return stream(request.app.state.site, said, "application/x-ndjson")


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
