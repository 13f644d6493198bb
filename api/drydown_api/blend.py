"""What a vehicle's tank takes in the cold: the page, and the same worked out for programs."""

from http import HTTPStatus
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, Response

from drydown.blend.cloud import CLOUD_POINTS, measured
from drydown.blend.filling import VehicleTank, Weather, fill
from drydown.config.model import Site
from drydown_api.answers import FillingAnswer, SpreadAnswer
from drydown_api.problems import documented
from drydown_api.tanks import VisitorOf
from drydown_pages import render
from drydown_pages.blend import blend_page

router = APIRouter()

Volume = Annotated[float, Query(ge=0.0, le=1.0, description="m3")]
Share = Annotated[float, Query(ge=0.0, le=1.0, description="of the volume")]
Warmth = Annotated[float, Query(ge=213.15, le=323.15, description="K")]
Difference = Annotated[float, Query(ge=0.0, le=30.0, description="K")]


@router.get("/blend", include_in_schema=False)
def page(request: Request, visitor: VisitorOf) -> Response:
    """The questions and the answer; the address holds all of it, so that it can be kept."""
    site: Site = request.app.state.site
    found = blend_page(_feedstock(site), dict(request.query_params))
    return HTMLResponse(render.blend_page(site.site, found, visitor))


@router.get("/api/v1/blend", tags=["blend"], responses=documented(HTTPStatus.UNPROCESSABLE_ENTITY))
def blend(
    request: Request,
    size: Annotated[float, Query(ge=0.001, le=1.0, description="of the vehicle's tank, m3")],
    low: Warmth,
    diesel: Annotated[Warmth, Query(description="the diesel's cloud point, K")],
    holds: Volume = 0.0,
    share: Share = 0.0,
    up_to: Share = 0.8,
    cloud: Annotated[Warmth | None, Query(description="own fuel's cloud point, measured, K")] = None,
    margin: Difference = 3.0,
    colder: Difference = 5.0,
) -> FillingAnswer:
    """What to take out and add, so that the blend does not cloud in the cold, if that is `possible`.

    `up_to` is how full to make it. Room is kept for weather that turns `colder` than `low`.
    """
    own = CLOUD_POINTS[_feedstock(request.app.state.site)] if cloud is None else measured(cloud)
    tank = VehicleTank(size, min(holds, size), share)
    found = fill(tank, size * up_to, Weather(low, margin, colder), own, measured(diesel))
    if found is None:
        return FillingAnswer(possible=False)
    point = found.cloud_point
    return FillingAnswer(
        possible=True,
        take_out=found.take_out,
        diesel=found.diesel,
        own=found.own,
        holds=found.after.holds,
        share=found.after.share,
        cloud_point=SpreadAnswer(median=point.median, low=point.low, high=point.high),
        bears=found.bears,
    )


def _feedstock(site: Site) -> str:
    return site.tank[0].fuel.feedstock
