"""The pages, rendered here and kept live by events."""

from http import HTTPStatus
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import FileResponse, HTMLResponse, JSONResponse, RedirectResponse, Response

from drydown.clock import zone
from drydown.config.model import Site
from drydown.quantities import ZERO_CELSIUS
from drydown.texts.language import say
from drydown_api.events import tank_lines
from drydown_api.settling import settled_told
from drydown_api.tanks import LiveOf, TankOf, VisitorOf, plan, state_of
from drydown_pages import render
from drydown_pages.manifest import manifest
from drydown_pages.planned import COLDEST, PlanPage, range_told, typed_temperature
from drydown_pages.view import view_of

router = APIRouter(include_in_schema=False)


@router.get("/")
async def front(request: Request, live: LiveOf) -> Response:
    """The only tank's page, or the list of tanks."""
    site: Site = request.app.state.site
    if len(site.tank) == 1:
        return RedirectResponse(f"/tanks/{site.tank[0].name}", HTTPStatus.TEMPORARY_REDIRECT)
    await live.refresh()
    return HTMLResponse(render.front_page(site.site, tank_lines(site, live)))


@router.get("/tanks/{tank}")
async def tank_page(
    request: Request, tank: TankOf, live: LiveOf, visitor: VisitorOf, taken: str = ""
) -> Response:
    """What a gloved thumb opens first."""
    await live.refresh()
    site: Site = request.app.state.site
    view = view_of(site.site, tank, state_of(tank, live), zone())
    settled = await run_in_threadpool(settled_told, site, tank)
    said = say("The tank has taken it.") if taken else ""
    return HTMLResponse(render.tank_page(view, visitor, settled, said))


@router.get("/tanks/{tank}/plan")
async def plan_page(
    request: Request,
    tank: TankOf,
    live: LiveOf,
    visitor: VisitorOf,
    fuel: Annotated[str, Query(max_length=20)] = "",
) -> Response:
    """If the blower started now, and what if the fuel were at another temperature."""
    asked = typed_temperature(fuel)
    limit = tank.limits.fuel_temperature - ZERO_CELSIUS
    refused = bool(fuel.strip()) and (asked is None or not COLDEST <= asked <= limit)
    answer = await plan(tank, live, None if refused else asked)
    site: Site = request.app.state.site
    page = PlanPage(
        tank=tank.name,
        said=tuple(filter(None, answer.said)),
        typed=fuel,
        refused=range_told(COLDEST, limit) if refused else "",
        can_ask=answer.time is not None,
    )
    status = HTTPStatus.UNPROCESSABLE_ENTITY if refused else HTTPStatus.OK
    return HTMLResponse(render.plan_page(site.site, page, visitor), status)


@router.get("/static/drydown.webmanifest")
def app_manifest() -> Response:
    """Among what anybody may load: browsers ask for it without saying who they are."""
    return JSONResponse(manifest(), media_type="application/manifest+json")


@router.get("/worker.js")
async def worker() -> Response:
    """What keeps the last pages on a phone; it stands here because it reaches no page above its own place."""
    return FileResponse(render.STATIC / "worker.js", media_type="text/javascript")
