"""Routes to the tanks as they are now, and what a person may tell them: through the watcher's socket."""

from http import HTTPStatus
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Path, Request
from pydantic import AfterValidator, BaseModel, ConfigDict, Field

from drydown.bus.local_client import WatcherAwayError, WatcherError, ask_async
from drydown.config.model import Site, Tank
from drydown.orders import LONGEST_NAME
from drydown.texts.sheets import SHEETS
from drydown_api.access import Visitor
from drydown_api.answers import DoneAnswer
from drydown_api.live import Live, State
from drydown_api.problems import ProblemError, documented

AWAY, NONE, WRONG = HTTPStatus.SERVICE_UNAVAILABLE, HTTPStatus.NOT_FOUND, HTTPStatus.UNPROCESSABLE_ENTITY

router = APIRouter(prefix="/api/v1/tanks", tags=["tanks"])

REFUSALS = documented(HTTPStatus.BAD_REQUEST, NONE, HTTPStatus.CONFLICT, WRONG, AWAY)

ALARMS = sorted({alarm for alarm, _ in SHEETS})


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


def alarm_of(alarm: Annotated[str, Path(description="an alarm's name", examples=["vent-closed"])]) -> str:
    """The name of an alarm that there is."""
    if alarm not in ALARMS:
        raise ProblemError(NONE, f"There is no alarm of that name. There are: {', '.join(ALARMS)}.")
    return alarm


def _printable(who: str) -> str:
    return "".join(char if char.isprintable() else "\N{REPLACEMENT CHARACTER}" for char in who)


Who = Annotated[
    str, Field(min_length=1, max_length=LONGEST_NAME, examples=["Wren"]), AfterValidator(_printable)
]


class WhoBody(BaseModel):
    """Who did it: a name that stands in the log; what can't be printed of it is replaced."""

    model_config = ConfigDict(extra="forbid")
    who: Who


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


@router.post("/{tank}/alarms/{alarm}/acknowledge", responses=REFUSALS)
async def acknowledge(
    request: Request, tank: TankOf, alarm: Annotated[str, Depends(alarm_of)], body: WhoBody
) -> DoneAnswer:
    """Somebody has seen the alarm. It goes on standing until its cause is gone."""
    order = {"command": "acknowledge", "alarm": alarm, "who": body.who}
    return await _obey(request.app.state.site, tank, order)


@router.post("/{tank}/alarms/{alarm}/reset", responses=REFUSALS)
async def reset(
    request: Request, tank: TankOf, alarm: Annotated[str, Depends(alarm_of)], body: WhoBody
) -> DoneAnswer:
    """Somebody has looked into what latched the alarm, and lets it go."""
    return await _obey(request.app.state.site, tank, {"command": "reset", "alarm": alarm, "who": body.who})


@router.post("/{tank}/supply/restore", responses=REFUSALS)
async def restore_supply(request: Request, tank: TankOf, body: WhoBody) -> DoneAnswer:
    """Somebody lets the blower run again that drydown has stopped. It starts by its own switch alone."""
    return await _obey(request.app.state.site, tank, {"command": "restore-supply", "who": body.who})


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


async def _obey(site: Site, tank: Tank, order: dict[str, str]) -> DoneAnswer:
    try:
        await ask_async(site.socket_path, "command", tank=tank.name, command=order)
    except WatcherAwayError as error:
        raise ProblemError(AWAY, str(error)) from error
    except WatcherError as error:
        detail = f"{error} It may be over, or somebody was faster: look at the page again."
        raise ProblemError(HTTPStatus.CONFLICT, detail) from error
    return DoneAnswer(done=True)
