"""The pages, rendered here and kept live by events."""

from http import HTTPStatus

from fastapi import APIRouter, Request
from fastapi.responses import FileResponse, HTMLResponse, RedirectResponse, Response

from drydown.clock import zone
from drydown.config.model import Site
from drydown_api.events import tank_lines
from drydown_api.tanks import LiveOf, TankOf, VisitorOf, state_of
from drydown_pages import render
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
async def tank_page(request: Request, tank: TankOf, live: LiveOf, visitor: VisitorOf) -> Response:
    """What a gloved thumb opens first."""
    await live.refresh()
    site: Site = request.app.state.site
    view = view_of(site.site, tank, state_of(tank, live), zone())
    return HTMLResponse(render.tank_page(view, visitor))


@router.get("/worker.js")
async def worker() -> Response:
    """What keeps the last pages on a phone; it stands here because it reaches no page above its own place."""
    return FileResponse(render.STATIC / "worker.js", media_type="text/javascript")
