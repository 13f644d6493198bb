"""Server-sent events that keep the pages live: each part of a page, ready to show, when it may differ.

An event's id is the tank's time of what it shows. Whoever comes back with a `Last-Event-ID` gets the whole
page as it is now, as everybody does who comes, and nothing of what came between: the page holds every alarm
that stands, and every urgent one that is over and that nobody has seen, so nothing is missed that still
calls. A program that wants the rest asks for the happenings since that time.
"""

import json
from collections.abc import AsyncIterator, Callable
from http import HTTPStatus
from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import StreamingResponse

from drydown.clock import zone
from drydown.config.model import Site
from drydown.texts.liking import LIKING
from drydown_api.access import Access, Visitor
from drydown_api.live import Live
from drydown_api.problems import ProblemError, documented, streamed
from drydown_api.tanks import LiveOf, TankOf, VisitorOf, refuse_when_away, state_of
from drydown_pages import render
from drydown_pages.front import TankLine, line_of
from drydown_pages.view import view_of

router = APIRouter(prefix="/api/v1", tags=["events"])

STREAM = streamed("text/event-stream")

Show = Callable[[], dict[str, Any]]


@router.get(
    "/tanks/{tank}/events",
    response_class=StreamingResponse,
    responses=STREAM | documented(HTTPStatus.NOT_FOUND),
)
async def tank_events(request: Request, tank: TankOf, live: LiveOf, visitor: VisitorOf) -> StreamingResponse:
    """Says `view`, all parts of a tank's page, whenever it was looked at; `away` while the watcher is."""
    site: Site = request.app.state.site

    def show() -> dict[str, Any]:
        view = view_of(site.site, tank, state_of(tank, live), zone())
        return {"title": view.title, "at": view.at, "parts": render.tank_parts(view)}

    return _stream(_while_let_in(request, live, visitor), live, tank.name, show)


@router.get("/events", response_class=StreamingResponse, responses=STREAM)
async def events(request: Request, live: LiveOf, visitor: VisitorOf) -> StreamingResponse:
    """The same for the list of tanks."""
    site: Site = request.app.state.site

    def show() -> dict[str, Any]:
        lines = tank_lines(site, live)
        newest = max((state["time"] for state in live.states.values()), default=0.0)
        return {"at": newest, "parts": render.front_parts(lines)}

    return _stream(_while_let_in(request, live, visitor), live, "", show)


def tank_lines(site: Site, live: Live) -> list[TankLine]:
    """A line for each tank of the site. Raises ProblemError while the watcher is away."""
    refuse_when_away(live)
    return [line_of(tank, live.states.get(tank.name), zone()) for tank in site.tank]


async def _while_let_in(request: Request, live: Live, visitor: Visitor) -> AsyncIterator[None]:
    """Every look at the state, until the token that let the visitor in is revoked."""
    access: Access = request.app.state.access
    async for _ in live.looks():
        if not access.still_counts(visitor):
            return
        yield


def _stream(looks: AsyncIterator[None], live: Live, page: str, show: Show) -> StreamingResponse:
    async def said() -> AsyncIterator[str]:
        async for _ in looks:
            yield live.once((page, LIKING.get()), lambda: _event(show))

    return StreamingResponse(said(), media_type="text/event-stream")


def _event(show: Show) -> str:
    try:
        view = show()
    except ProblemError as error:
        return f"event: away\ndata: {json.dumps(error.detail)}\n\n"
    return f"id: {view['at']}\nevent: view\ndata: {json.dumps(view)}\n\n"
