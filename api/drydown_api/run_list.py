"""The page that lists a tank's runs, and finds some of them."""

from datetime import date
from http import HTTPStatus
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, Response

from drydown.clock import zone
from drydown.store.reviews import Outcome
from drydown.texts.language import say
from drydown_api.problems import ProblemError
from drydown_api.recorded import Reader
from drydown_api.reviewed import named_runs
from drydown_api.tanks import TankOf, VisitorOf
from drydown_pages import render
from drydown_pages.runs.chosen import Choice, chosen
from drydown_pages.runs.lines import list_of

router = APIRouter(include_in_schema=False)

LONGEST = 200  # characters that are looked for


@router.get("/tanks/{tank}/runs")
def run_list(
    request: Request,
    tank: TankOf,
    reader: Reader,
    visitor: VisitorOf,
    since: str = "",
    until: str = "",
    ended: str = "",
    alarms: str = "",
    words: Annotated[str, Query(max_length=LONGEST)] = "",
    first: Annotated[int, Query(ge=0, le=1_000_000)] = 0,
) -> Response:
    """The runs that are asked for; a form that was left empty asks for all."""
    choice = Choice(_day("since", since), _day("until", until), _ending(ended), bool(alarms), words.strip())
    runs = named_runs(request, reader, tank)
    found = list(chosen(runs, choice, zone()))
    page = list_of(tank.name, found, len(runs), choice, first, zone())
    return HTMLResponse(render.runs_page(request.app.state.site.site, page, visitor))


def _day(name: str, said: str) -> date | None:
    try:
        return date.fromisoformat(said) if said else None
    except ValueError:
        detail = say("{name} is no day: give it as year-month-day, like 2026-05-14.", name=name)
        raise ProblemError(HTTPStatus.UNPROCESSABLE_ENTITY, detail) from None


def _ending(said: str) -> Outcome | None:
    try:
        return Outcome(said) if said else None
    except ValueError:
        allowed = ", ".join(Outcome)
        detail = say("ended may be one of: {allowed}.", allowed=allowed)
        raise ProblemError(HTTPStatus.UNPROCESSABLE_ENTITY, detail) from None
