"""Routes to the tanks as they are now, through the watcher's socket."""

from http import HTTPStatus
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Path, Request

from drydown.config.model import Site, Tank
from drydown_api.access import Visitor
from drydown_api.live import Live, State
from drydown_api.problems import ProblemError, documented

AWAY, NONE = HTTPStatus.SERVICE_UNAVAILABLE, HTTPStatus.NOT_FOUND

router = APIRouter(prefix="/api/v1/tanks", tags=["tanks"])


def tank_of(request: Request, tank: Annotated[str, Path(description="a tank's name")]) -> Tank:
    """The configured tank of that name."""
    site: Site = request.app.state.site
    for one in site.tank:
        if one.name == tank:
            return one
    names = ", ".join(one.name for one in site.tank)
    raise ProblemError(NONE, f"There is no tank of that name. There are: {names}.")


TankOf = Annotated[Tank, Depends(tank_of)]


def live_of(request: Request) -> Live:
    """What the watcher says."""
    live: Live = request.app.state.live
    return live


def visitor_of(request: Request) -> Visitor:
    """Who asks."""
    visitor: Visitor = request.state.visitor
    return visitor


VisitorOf = Annotated[Visitor, Depends(visitor_of)]


LiveOf = Annotated[Live, Depends(live_of)]


@router.get("", responses=documented(AWAY))
async def tanks(live: LiveOf) -> dict[str, dict[str, Any]]:
    """The state of every tank, by name."""
    await live.refresh()
    refuse_when_away(live)
    return live.states


@router.get("/{tank}", responses=documented(NONE, AWAY))
async def tank(tank: TankOf, live: LiveOf) -> dict[str, Any]:
    """The state of one tank: last readings, estimate, stage, standing alarms, what is not watched."""
    await live.refresh()
    return state_of(tank, live)


def state_of(tank: Tank, live: Live) -> State:
    """The state as last looked at. Raises ProblemError where there is none."""
    refuse_when_away(live)
    if tank.name not in live.states:
        raise ProblemError(
            AWAY,
            f"The watcher knows nothing of {tank.name}: start it again, so that it reads the configuration.",
        )
    return live.states[tank.name]


def refuse_when_away(live: Live) -> None:
    """Raises ProblemError while the watcher does not answer."""
    if live.trouble:
        raise ProblemError(AWAY, live.trouble)
