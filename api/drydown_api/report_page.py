"""The report of a run as a page to print."""

import time
from http import HTTPStatus

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from drydown.clock import zone
from drydown.quantities import MEASURED
from drydown.store.read import Run, StoreReader
from drydown.store.reports import stored_report
from drydown.store.totals import ALL
from drydown.texts.language import say
from drydown_api.problems import ProblemError
from drydown_api.recorded import Reader
from drydown_api.reviewed import named_runs
from drydown_api.run_page import Start
from drydown_api.tanks import TankOf, VisitorOf
from drydown_pages import render
from drydown_pages.runs.report import report_page

router = APIRouter(include_in_schema=False)


@router.get("/tanks/{tank}/runs/{start}/report")
def report(request: Request, tank: TankOf, reader: Reader, visitor: VisitorOf, start: Start) -> Response:
    """To keep, or to hand over with the fuel."""
    for named in named_runs(request, reader, tank):
        run = named.review.run
        if abs(run.start - start) < 0.001:
            break
    else:
        detail = say("No run of {tank} began then. Look among its runs.", tank=tank.name)
        raise ProblemError(HTTPStatus.NOT_FOUND, detail)
    until = run.end or _last_moment(reader, run)
    commands = [one.body for one in reader.events(tank.name, run.start, until, ["command"], ALL)]
    measured = {name for name in MEASURED if reader.last(tank.name, name, run.start, until) is not None}
    gathered = stored_report(reader, run, until)
    page = report_page(tank, named, gathered, commands, measured, time.time(), zone())
    return HTMLResponse(render.report_page(request.app.state.site.site, page, visitor))


def _last_moment(reader: StoreReader, run: Run) -> float:
    latest = (sample.time for sample in reader.latest(run.tank).values())
    return max((run.stages[-1][0], *latest))
