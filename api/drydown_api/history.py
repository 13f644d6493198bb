"""Routes to what was recorded: series and runs, from the store, read only."""

import json
from collections.abc import Iterator
from http import HTTPStatus
from typing import Annotated

from fastapi import APIRouter, Depends, Query, Request
from fastapi.responses import StreamingResponse

from drydown.config.model import Site
from drydown.store.lines import recorded_lines
from drydown.store.read import StoreReader
from drydown.store.schema import StoreError
from drydown_api.answers import RunAnswer, SeriesAnswer, StageAnswer
from drydown_api.problems import ProblemError
from drydown_api.tanks import TankOf

router = APIRouter(prefix="/api/v1/tanks/{tank}", tags=["history"])


def store_of(request: Request) -> Iterator[StoreReader]:
    """The store, opened for one request."""
    site: Site = request.app.state.site
    try:
        reader = StoreReader(site.store_path)
    except StoreError as error:
        raise ProblemError(HTTPStatus.SERVICE_UNAVAILABLE, "No history", str(error)) from error
    with reader:
        yield reader


Reader = Annotated[StoreReader, Depends(store_of)]


@router.get("/series")
def series(
    tank: TankOf,
    reader: Reader,
    name: Annotated[list[str], Query(description="names of series, e.g. fuel/temperature", max_length=50)],
    start: Annotated[float, Query(ge=0, le=1e11, description="Unix time, s")] = 0,
    end: Annotated[float, Query(ge=0, le=1e11, description="Unix time, s")] = 1e11,
    points: Annotated[int, Query(ge=2, le=20000, description="at most so many points a series")] = 2000,
) -> list[SeriesAnswer]:
    """Recorded series, thinned to `points` points that keep the extremes; unknown names are left out."""
    if end < start:
        raise ProblemError(
            HTTPStatus.UNPROCESSABLE_ENTITY, "Not valid", "query.end: must not lie before start"
        )
    found = (reader.series(tank.name, wanted, start, end, points) for wanted in name)
    return [SeriesAnswer.model_validate(one, from_attributes=True) for one in found if one is not None]


@router.get("/lines", response_class=StreamingResponse)
def lines(
    tank: TankOf,
    reader: Reader,
    start: Annotated[float, Query(ge=0, le=1e11, description="Unix time, s")],
    end: Annotated[float, Query(ge=0, le=1e11, description="Unix time, s")],
) -> StreamingResponse:
    """Everything recorded in a span, one JSON object a line, as `drydown replay --json` prints it."""
    said = (json.dumps(line) + "\n" for line in recorded_lines(reader, tank.name, start, end))
    return StreamingResponse(said, media_type="application/x-ndjson")


@router.get("/runs")
def runs(tank: TankOf, reader: Reader) -> list[RunAnswer]:
    """The runs of this tank, the newest first."""
    return [
        RunAnswer(
            start=run.start,
            end=run.end,
            stages=[StageAnswer(time=time, stage=stage) for time, stage in run.stages],
        )
        for run in reader.runs(tank.name)
    ]
