"""Routes that hand out what was recorded, to keep or for other programs: SenML, CSV, a run in one file."""

import tempfile
from collections.abc import Iterator
from datetime import datetime
from http import HTTPStatus
from typing import IO, Annotated

from fastapi import APIRouter, Path, Query, Request
from fastapi.responses import StreamingResponse

from drydown.archive import write_archive
from drydown.bus.senml import SenmlError
from drydown.bus.senml_json import encode_stream
from drydown.clock import zone
from drydown.config.model import Site
from drydown.store.export import columns, csv_rows, records_of_samples
from drydown.store.read import Run, StoreReader
from drydown_api.history import Name, UnixTime
from drydown_api.problems import ProblemError, documented, streamed
from drydown_api.recorded import Reader, stream
from drydown_api.tanks import TankOf

router = APIRouter(prefix="/api/v1/tanks/{tank}", tags=["export"])

PROBLEMS = documented(HTTPStatus.NOT_FOUND, HTTPStatus.UNPROCESSABLE_ENTITY, HTTPStatus.SERVICE_UNAVAILABLE)
SENSML, CSV, ZIP = "application/sensml+json", "text/csv", "application/zip"
IN_MEMORY = 4_000_000  # bytes of a run's file; what is larger waits on disk to be sent

Names = Annotated[list[Name], Query(description="only these series", max_length=50)]


@router.get("/readings.sensml", response_class=StreamingResponse, responses=streamed(SENSML) | PROBLEMS)
def senml(
    request: Request,
    tank: TankOf,
    start: UnixTime,
    end: UnixTime,
    name: Names = [],  # noqa: B006 (FastAPI copies it)
) -> StreamingResponse:
    """Everything recorded in a span as a SenML stream (RFC 8428), a record a line; bad readings too."""
    site: Site = request.app.state.site
    base_name = f"{site.site}/{tank.name}/"

    def lines(reader: StoreReader) -> Iterator[bytes]:
        samples = reader.samples(tank.name, start, end, name or None)
        return encode_stream(records_of_samples(samples, base_name), base_name)

    return stream(site, lines, SENSML, _named(f"{tank.name}-readings.sensml"))


@router.get("/readings.csv", response_class=StreamingResponse, responses=streamed(CSV) | PROBLEMS)
def table(
    request: Request,
    tank: TankOf,
    start: UnixTime,
    end: UnixTime,
    name: Names = [],  # noqa: B006
) -> StreamingResponse:
    """A table for a spreadsheet: a line a second, a column a series, units in its first line.

    A cell is the last value of that second; it is empty where none came, or none that could be believed.
    """

    def lines(reader: StoreReader) -> Iterator[bytes]:
        chosen = columns(reader, tank.name, name)
        samples = reader.samples(tank.name, start, end, [column for column, _ in chosen])
        return (row.encode() for row in csv_rows(samples, chosen))

    headers = _named(f"{tank.name}-readings.csv")
    return stream(request.app.state.site, lines, f"{CSV}; charset=utf-8", headers)


@router.get("/runs/{start}/archive", response_class=StreamingResponse, responses=streamed(ZIP) | PROBLEMS)
def archive(
    request: Request,
    tank: TankOf,
    reader: Reader,
    start: Annotated[float, Path(ge=0, le=1e11, description="when the run began, as listed")],
) -> StreamingResponse:
    """A run in one file, which `drydown replay` goes through once more."""
    site: Site = request.app.state.site
    run = _run_of(reader.runs(tank.name, 10_000), start)
    file: IO[bytes] = tempfile.SpooledTemporaryFile(IN_MEMORY)  # noqa: SIM115 (closed when it is sent)
    try:
        write_archive(file, reader, site, tank, run.start, run.end or 1e11)
    except SenmlError as error:
        file.close()
        detail = f"What was recorded of this run has no form in SenML: {error}. Its lines can still be had."
        raise ProblemError(HTTPStatus.SERVICE_UNAVAILABLE, detail) from error
    file.seek(0)
    when = datetime.fromtimestamp(run.start, zone()).strftime("%Y-%m-%d-%H%M")
    return StreamingResponse(_sent(file), media_type=ZIP, headers=_named(f"{tank.name}-{when}.zip"))


def _run_of(runs: list[Run], start: float) -> Run:
    for run in runs:
        if abs(run.start - start) < 0.001:
            return run
    raise ProblemError(HTTPStatus.NOT_FOUND, "No run of this tank began then. Its runs stand at …/runs.")


def _sent(file: IO[bytes]) -> Iterator[bytes]:
    with file:
        while piece := file.read(65_536):
            yield piece


def _named(name: str) -> dict[str, str]:
    return {"Content-Disposition": f'attachment; filename="{name}"'}
