"""The pages: rendered here from the templates, kept live by server-sent events."""

import dataclasses
from collections.abc import Callable
from http import HTTPStatus
from pathlib import Path
from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from jinja2 import Environment, FileSystemLoader, StrictUndefined

import drydown_pages
from drydown.clock import zone
from drydown.config.model import Site, Tank
from drydown_api.live import Live
from drydown_api.tanks import LiveOf, TankOf
from drydown_pages.view import view_of

FOLDER = Path(drydown_pages.__file__).parent

router = APIRouter(include_in_schema=False)

_templates = Environment(
    loader=FileSystemLoader(FOLDER / "templates"), autoescape=True, undefined=StrictUndefined
)


def shower(site: Site) -> Callable[[Tank, dict[str, Any]], dict[str, Any]]:
    """A function that turns a tank's state into what its page shows."""

    def show(tank: Tank, state: dict[str, Any]) -> dict[str, Any]:
        view = view_of(site.site, tank, state, zone())
        shown = dataclasses.asdict(view)
        del shown["alarms"]
        return shown | {"alarms_html": _templates.get_template("alarms.html").render(view=view)}

    return show


@router.get("/")
async def front(request: Request, live: LiveOf) -> Response:
    """The only tank's page, or the list of tanks."""
    site: Site = request.app.state.site
    if len(site.tank) == 1:
        return RedirectResponse(f"/tanks/{site.tank[0].name}", HTTPStatus.TEMPORARY_REDIRECT)
    await live.refresh()
    lines = [{"name": tank.name, "headline": _headline(site, tank, live)} for tank in site.tank]
    return HTMLResponse(_templates.get_template("tanks.html").render(site=site.site, tanks=lines))


@router.get("/tanks/{tank}")
async def tank_page(request: Request, tank: TankOf, live: LiveOf) -> Response:
    """What a gloved thumb opens first."""
    await live.refresh()
    if live.trouble or tank.name not in live.states:
        return problem_page(HTTPStatus.SERVICE_UNAVAILABLE, "The watcher is away", live.trouble)
    site: Site = request.app.state.site
    view = view_of(site.site, tank, live.states[tank.name], zone())
    return HTMLResponse(_templates.get_template("tank.html").render(view=view))


def problem_page(status: HTTPStatus, title: str, detail: str) -> HTMLResponse:
    """An error as a page."""
    page = _templates.get_template("problem.html").render(title=title, detail=detail)
    return HTMLResponse(page, status_code=status)


def _headline(site: Site, tank: Tank, live: Live) -> str:
    if live.trouble or tank.name not in live.states:
        return "The watcher does not answer: nothing is known of this tank."
    return view_of(site.site, tank, live.states[tank.name], zone()).headline
