"""The page of a batch's tests, its forms, and the same for programs: results and what a release can claim."""

from http import HTTPStatus
from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from drydown.clock import zone
from drydown.config.model import Tank
from drydown.estimate.result import Spread
from drydown.quality.kinds import limits_of
from drydown.quality.results import Result, results_of
from drydown.store.read import StoreReader
from drydown.texts import quality as texts
from drydown.texts.language import say
from drydown_api.answers import EstimatedAnswer, ReleaseAnswer, ResultAnswer, SpreadAnswer
from drydown_api.deeds import obey
from drydown_api.forms import name_of, typed_in
from drydown_api.problems import documented
from drydown_api.recorded import Reader, reading_store
from drydown_api.tanks import TankOf, VisitorOf
from drydown_api.tested import commands_told, found_of, worked_out
from drydown_pages import render
from drydown_pages.entering import FormError, order_of_form
from drydown_pages.quality import quality_page

router = APIRouter()

NONE, WRONG, AWAY = HTTPStatus.NOT_FOUND, HTTPStatus.UNPROCESSABLE_ENTITY, HTTPStatus.SERVICE_UNAVAILABLE


@router.get("/tanks/{tank}/tests", include_in_schema=False)
def page(request: Request, tank: TankOf, reader: Reader, visitor: VisitorOf, taken: str = "") -> Response:
    """What was found of the batch that is in the tank, or was last."""
    return _page(request, tank, reader, visitor, taken=say("Taken into the record.") if taken else "")


@router.post("/tanks/{tank}/tests", include_in_schema=False)
async def enter(request: Request, tank: TankOf, visitor: VisitorOf) -> Response:
    """Take a form in; what is wrong with it is said beside it, with nothing lost that was typed."""
    typed = await typed_in(request)
    try:
        order = order_of_form(typed)
    except FormError as error:
        with reading_store(request.app.state.site) as reader:
            answer = _page(request, tank, reader, visitor, typed=typed, troubles=error.troubles)
        answer.status_code = WRONG
        return answer
    await obey(request, tank, order | {"who": name_of(visitor)})
    return RedirectResponse(f"/tanks/{tank.name}/tests?taken=1", HTTPStatus.SEE_OTHER)


@router.post("/tanks/{tank}/release", include_in_schema=False)
async def release_it(request: Request, tank: TankOf, visitor: VisitorOf) -> Response:
    """Somebody says that the fuel may be used; nothing is refused, all that was found stays on record."""
    await obey(
        request, tank, {"command": "entry", "entry": "released", "values": {}, "who": name_of(visitor)}
    )
    return RedirectResponse(f"/tanks/{tank.name}/tests?taken=1", HTTPStatus.SEE_OTHER)


@router.get("/api/v1/tanks/{tank}/tests", tags=["logbook"], responses=documented(NONE, AWAY))
def tests(tank: TankOf, reader: Reader) -> list[ResultAnswer]:
    """The tests of the batch that is in the tank, or was last, in the order in which samples were taken."""
    return [_answer(one) for one in results_of(commands_told(reader, tank))]


@router.get("/api/v1/tanks/{tank}/release", tags=["logbook"], responses=documented(NONE, AWAY))
def claim(tank: TankOf, reader: Reader) -> ReleaseAnswer:
    """What can be said of the batch: measured, only estimated, missing. drydown has not tested any fuel."""
    limits, found = limits_of(tank.fuel), found_of(reader, tank)
    return ReleaseAnswer(
        clear=found.is_clear,
        said=f"{texts.verdict(found)} {texts.step(found)} {texts.NOT_TESTED_HERE}",
        measured=[_answer(one) for one in found.measured],
        estimated=[
            EstimatedAnswer(kind=one.kind, content=_spread(one.content), within=one.is_within(limits))
            for one in found.estimated
        ],
        missing=list(found.missing),
        against=list(found.against),
        unlooked=list(found.unlooked),
    )


def _page(request: Request, tank: Tank, reader: StoreReader, visitor: VisitorOf, **more: Any) -> HTMLResponse:
    commands = commands_told(reader, tank)
    results, estimates = results_of(commands), worked_out(reader, tank)
    told = quality_page(
        tank.name, tank.fuel, results, estimates, zone(), released=_released(commands), **more
    )
    return HTMLResponse(render.quality_page(request.app.state.site.site, told, visitor))


def _released(commands: list[dict[str, Any]]) -> str:
    last = next((one for one in reversed(commands) if one.get("entry") == "released"), None)
    return texts.released(last["who"], last["time"], zone()) if last else ""


def _answer(one: Result) -> ResultAnswer:
    return ResultAnswer(
        kind=one.kind, value=one.value, sigma=one.sigma, method=one.method, who=one.who, time=one.time
    )


def _spread(spread: Spread) -> SpreadAnswer:
    return SpreadAnswer(median=spread.median, low=spread.low, high=spread.high)
