"""Routes to the tanks as they are now, and what a person may tell them: through the watcher's socket."""

import json
from collections.abc import AsyncIterator
from http import HTTPStatus
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Path, Request
from fastapi.responses import StreamingResponse
from pydantic import BaseModel, ConfigDict, Field

from drydown.bus.local_client import WatcherAwayError, WatcherError, ask_async
from drydown.config.model import Site, Tank
from drydown_api.answers import DoneAnswer
from drydown_api.live import Live
from drydown_api.problems import ProblemError

router = APIRouter(prefix="/api/v1/tanks", tags=["tanks"])


def tank_of(request: Request, tank: Annotated[str, Path(description="a tank's name", max_length=32)]) -> Tank:
    """The configured tank of that name."""
    site: Site = request.app.state.site
    for one in site.tank:
        if one.name == tank:
            return one
    names = ", ".join(one.name for one in site.tank)
    raise ProblemError(HTTPStatus.NOT_FOUND, "No such tank", f"There is no tank {tank}. There are: {names}.")


TankOf = Annotated[Tank, Depends(tank_of)]


def live_of(request: Request) -> Live:
    """What the watcher says."""
    live: Live = request.app.state.live
    return live


LiveOf = Annotated[Live, Depends(live_of)]


class WhoBody(BaseModel):
    """Who did it: a name that stands in the log."""

    model_config = ConfigDict(extra="forbid")
    who: Annotated[str, Field(min_length=1, max_length=64, pattern=r"^[^\x00-\x1f\x7f]+$")]


@router.get("")
async def tanks(live: LiveOf) -> dict[str, dict[str, Any]]:
    """The state of every tank, by name."""
    await live.refresh()
    _refuse_when_away(live)
    return live.states


@router.get("/{tank}")
async def tank(tank: TankOf, live: LiveOf) -> dict[str, Any]:
    """The state of one tank: last readings, estimate, stage, standing alarms, what is not watched."""
    await live.refresh()
    _refuse_when_away(live)
    return live.states[tank.name]


@router.get("/{tank}/events", response_class=StreamingResponse)
async def events(request: Request, tank: TankOf, live: LiveOf) -> StreamingResponse:
    """Server-sent events. `view`: everything on the page, ready to show. `away`: the watcher is gone."""
    show = request.app.state.show

    async def stream() -> AsyncIterator[str]:
        async for _ in live.changes():
            if live.trouble or tank.name not in live.states:
                yield f"event: away\ndata: {json.dumps(live.trouble)}\n\n"
            else:
                yield f"event: view\ndata: {json.dumps(show(tank, live.states[tank.name]))}\n\n"

    return StreamingResponse(stream(), media_type="text/event-stream", headers={"Cache-Control": "no-store"})


@router.post("/{tank}/alarms/{alarm}/acknowledge")
async def acknowledge(
    request: Request, tank: TankOf, alarm: Annotated[str, Path(max_length=64)], body: WhoBody
) -> DoneAnswer:
    """Somebody has seen the alarm. It goes on standing until its cause is gone."""
    order = {"command": "acknowledge", "alarm": alarm, "who": body.who}
    site: Site = request.app.state.site
    try:
        answer = await ask_async(site.socket_path, "command", tank=tank.name, command=order)
    except WatcherAwayError as error:
        raise ProblemError(HTTPStatus.SERVICE_UNAVAILABLE, "The watcher is away", str(error)) from error
    except WatcherError as error:
        raise ProblemError(HTTPStatus.UNPROCESSABLE_ENTITY, "Not valid", str(error)) from error
    if not answer["lines"]:
        raise ProblemError(
            HTTPStatus.CONFLICT,
            "Nothing to acknowledge",
            f"{alarm} is not waiting to be seen on {tank.name}: it is over, or somebody has seen it already.",
        )
    return DoneAnswer(done=True)


def _refuse_when_away(live: Live) -> None:
    if live.trouble:
        raise ProblemError(HTTPStatus.SERVICE_UNAVAILABLE, "The watcher is away", live.trouble)
