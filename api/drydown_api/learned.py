"""What runs taught of a tank and its blower, and what another probe would bring: a page, and for programs."""

from http import HTTPStatus

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from drydown.clock import zone
from drydown.config.model import Tank
from drydown.store.read import StoreReader
from drydown.texts import worth as texts
from drydown.texts.amounts import date
from drydown.texts.language import say
from drydown.worth.choice import chosen_run
from drydown.worth.gain import line_of
from drydown_api.answers import LearnedAnswer, WorthAnswer
from drydown_api.problems import documented
from drydown_api.recorded import Reader
from drydown_api.tanks import TankOf, VisitorOf
from drydown_api.worths import Answer, State
from drydown_pages import render
from drydown_pages.learned import LearnedPage

router = APIRouter()

PROBLEMS = documented(HTTPStatus.NOT_FOUND, HTTPStatus.SERVICE_UNAVAILABLE)
SAID = {State.NO_RUN: texts.NOT_YET, State.WORKING: texts.WORKING, State.FAILED: texts.FAILED}


@router.get("/tanks/{tank}/learned", include_in_schema=False)
def page(request: Request, tank: TankOf, reader: Reader, visitor: VisitorOf) -> Response:
    """What was learned in words, and what would improve it most."""
    found, helpful = learned(tank, reader), _worth(request, reader, tank)
    told = LearnedPage(
        tank=tank.name,
        said=tuple(found.said),
        is_used=found.used,
        worth=tuple(helpful.said),
        is_awaited=helpful.state == "working",
    )
    return HTMLResponse(render.learned_page(request.app.state.site.site, told, visitor))


@router.get("/api/v1/tanks/{tank}/learned", tags=["learned"], responses=PROBLEMS)
def learned(tank: TankOf, reader: Reader) -> LearnedAnswer:
    """What earlier runs taught of the tank and its blower, in words and as numbers with their ranges."""
    from drydown_api.lesson_told import told  # here, so that the pages do without numpy until somebody asks

    return told(reader, tank)


@router.get("/api/v1/tanks/{tank}/learned/worth", tags=["learned"], responses=PROBLEMS)
def worth(request: Request, tank: TankOf, reader: Reader) -> WorthAnswer:
    """What another probe or a test would bring, by the last run: asked for the first time it is begun.

    It takes some seconds, in which `state` is "working"; ask again.
    """
    return _worth(request, reader, tank)


def _worth(request: Request, reader: StoreReader, tank: Tank) -> WorthAnswer:
    run = chosen_run(reader, tank.name)
    found = request.app.state.worths.ask(tank, run) if run else Answer(State.NO_RUN)
    if found.worth is None:
        return WorthAnswer.model_validate({"state": found.state, "said": [say(SAID[found.state])]})
    source = say("By the run of {day}:", day=date(found.worth.start, zone()))
    said = [source, *texts.told(found.worth, tank.probes)]
    return WorthAnswer.model_validate({"state": found.state, "said": said} | line_of(found.worth))
