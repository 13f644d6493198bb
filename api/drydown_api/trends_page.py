"""The page that tells what changes over the months."""

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from drydown.clock import zone
from drydown_api.blower_flow import flows
from drydown_api.recorded import Reader
from drydown_api.reviewed import named_runs
from drydown_api.tanks import TankOf, VisitorOf
from drydown_pages import render
from drydown_pages.runs.trends import trends

router = APIRouter(include_in_schema=False)


@router.get("/tanks/{tank}/trends")
def trends_page(request: Request, tank: TankOf, reader: Reader, visitor: VisitorOf) -> Response:
    """One small chart for each thing that may change."""
    runs = named_runs(request, reader, tank)
    air = flows(reader, tank, [one.review for one in runs])
    page = trends(runs, air, zone())
    return HTMLResponse(render.trends_page(request.app.state.site.site, tank.name, page, visitor))
