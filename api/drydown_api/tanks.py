"""Routes to the tanks as they are now, through the watcher's socket."""

from http import HTTPStatus
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Path, Query, Request

from drydown.bus.local_client import WatcherError
from drydown.config.model import Site, Tank
from drydown.estimate.result import Verdict
from drydown.lines import prospect_of
from drydown.quantities import ZERO_CELSIUS
from drydown.texts import plan as plans
from drydown.texts.language import say
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
    raise ProblemError(NONE, say("There is no tank of that name. There are: {names}.", names=names))


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


Warmth = Annotated[
    float | None, Query(ge=-10, le=100, description="of the fuel, in °C, at most its limit", examples=[40])
]


@router.get("/{tank}/plan", responses=documented(NONE, HTTPStatus.UNPROCESSABLE_ENTITY, AWAY))
async def plan(tank: TankOf, live: LiveOf, fuel_temperature: Warmth = None) -> PlanAnswer:
    """If the blower started now, and what warmer fuel or a wait would change, as last worked out.

    With `fuel_temperature`: now, and with the fuel that warm, worked out when it is asked.
    """
    await live.refresh()
    if fuel_temperature is not None:
        return await what_if(tank, live, fuel_temperature)
    state = state_of(tank, live)
    estimate = state["estimate"]
    if not estimate or not estimate["plan"]:
        return _no_plan(state)
    prospects = [prospect_of(line) for line in estimate["plan"]]
    said = [plans.started_now(prospects), *plans.changes(prospects)]
    return PlanAnswer(time=estimate["time"], prospects=estimate["plan"], said=said)


async def what_if(tank: Tank, live: Live, fuel_temperature: float) -> PlanAnswer:
    """A start now beside one with the fuel at so many °C. Raises ProblemError."""
    limit = tank.limits.fuel_temperature - ZERO_CELSIUS
    if fuel_temperature > limit:
        raise ProblemError(
            HTTPStatus.UNPROCESSABLE_ENTITY,
            f"fuel_temperature: {fuel_temperature:g} °C is more than this tank’s limit for its fuel; give at"
            f" most {limit:g}.",
        )
    state = state_of(tank, live)
    kelvin = fuel_temperature + ZERO_CELSIUS
    try:
        lines = await live.what_if(tank.name, kelvin)
    except WatcherError as error:
        raise ProblemError(AWAY, str(error)) from error
    if not lines:
        return _no_plan(state)
    prospects = [prospect_of(line) for line in lines]
    said = [plans.started_now(prospects), plans.at_temperature(prospects, kelvin)]
    return PlanAnswer.model_validate({"time": state["time"], "prospects": lines, "said": said})


def _no_plan(state: State) -> PlanAnswer:
    return PlanAnswer(time=None, prospects=[], said=[why_no_plan(state)])


def why_no_plan(state: State) -> str:
    """Why nothing can be said of a start of the blower."""
    if state["blower"]["running"]:
        return say("There is no plan: the blower runs. The tank’s page says when the fuel will be dry.")
    if state["estimate"] and state["estimate"]["verdict"] == Verdict.DRY:
        return say("There is no plan: the fuel is dry.")
    return say("There is no plan: too little is known of the fuel.")


def state_of(tank: Tank, live: Live) -> State:
    """The state as last looked at. Raises ProblemError where there is none."""
    refuse_when_away(live)
    if tank.name not in live.states:
        raise ProblemError(
            AWAY,
            say(
                "The watcher knows nothing of {tank}: start it again, so that it reads the configuration.",
                tank=tank.name,
            ),
        )
    return live.states[tank.name]


def refuse_when_away(live: Live) -> None:
    """Raises ProblemError while the watcher does not answer."""
    if live.trouble:
        raise ProblemError(AWAY, live.trouble)
