"""Routes to the tanks as they are now, through the watcher's socket."""

from http import HTTPStatus
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Path, Request

from drydown.config.model import Site, Tank
from drydown.lines import prospect_of
from drydown.texts import plan as plans
from drydown_api.access import Visitor
from drydown_api.live import Live, State
from drydown_api.problems import ProblemError, documented
from drydown_api.state_answers import PlanAnswer, TankAnswer

AWAY, NONE = HTTPStatus.SERVICE_UNAVAILABLE, HTTPStatus.NOT_FOUND

AS_TOLD: Any = {"response_model_exclude_unset": True}  # what the watcher leaves out stays out

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


@router.get("", response_model=dict[str, TankAnswer], responses=documented(AWAY), **AS_TOLD)
async def tanks(live: LiveOf) -> dict[str, State]:
    """The state of every tank, by name."""
    await live.refresh()
    refuse_when_away(live)
    return live.states


@router.get("/{tank}", response_model=TankAnswer, responses=documented(NONE, AWAY), **AS_TOLD)
async def tank(tank: TankOf, live: LiveOf) -> State:
    """The state of one tank: last readings, estimate, stage, standing alarms, what is not watched."""
    await live.refresh()
    return state_of(tank, live)


@router.get("/{tank}/plan", responses=documented(NONE, AWAY))
async def plan(tank: TankOf, live: LiveOf) -> PlanAnswer:
    """If the blower started now, and what warmer fuel or a wait would change, as last worked out."""
    await live.refresh()
    state = state_of(tank, live)
    estimate = state["estimate"]
    if not estimate or not estimate["plan"]:
        why = "the blower runs" if state["blower"]["running"] else "too little is known of the fuel"
        return PlanAnswer(time=None, prospects=[], said=[f"There is no plan: {why}."])
    prospects = [prospect_of(line) for line in estimate["plan"]]
    said = [plans.started_now(prospects), *plans.changes(prospects)]
    return PlanAnswer(time=estimate["time"], prospects=estimate["plan"], said=said)


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
