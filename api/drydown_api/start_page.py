"""The list before a start: a page to tick it on, and the same for programs."""

from http import HTTPStatus

from fastapi import APIRouter, Request
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from drydown.clock import zone
from drydown.config.model import Site, Tank
from drydown.logbook.start_list import FRESH, Look, items_of, looks
from drydown.texts.language import say
from drydown_api.deeds import obey
from drydown_api.forms import name_of, typed_in
from drydown_api.live import State
from drydown_api.problems import ProblemError, documented
from drydown_api.recorded import reading_store
from drydown_api.tanks import LiveOf, TankOf, VisitorOf, state_of
from drydown_api.tending_answers import CheckAnswer, LookAnswer, StartListAnswer
from drydown_pages import render
from drydown_pages.entering import entry_of_form
from drydown_pages.start import QUESTIONS, checks_of, reads_vent, start_page

router = APIRouter()

LATEST, ALL = 1e11, 1000  # Unix s, later than anything; entries


@router.get("/tanks/{tank}/start", include_in_schema=False)
async def page(request: Request, tank: TankOf, live: LiveOf, visitor: VisitorOf, taken: str = "") -> Response:
    """What can be read, and what is to be looked at."""
    await live.refresh()
    state = state_of(tank, live)
    site: Site = request.app.state.site
    looked = await run_in_threadpool(_looked, site, tank, state)
    said = say("Taken into the record; it shows here within seconds.") if taken else ""
    return HTMLResponse(
        render.start_page(site.site, start_page(tank.name, state, looked, zone(), said), visitor)
    )


@router.post("/tanks/{tank}/start", include_in_schema=False)
async def tick(request: Request, tank: TankOf, visitor: VisitorOf) -> Response:
    """Every item that was ticked is an entry of the logbook."""
    typed = await typed_in(request)
    ticked = [item for item in QUESTIONS if typed.get(item) == "yes"]
    for item in ticked:
        order = entry_of_form({"entry": "checked", "item": item, "answer": "yes"})
        await obey(request, tank, order | {"who": name_of(visitor)})
    return RedirectResponse(f"/tanks/{tank.name}/start{'?taken=1' if ticked else ''}", HTTPStatus.SEE_OTHER)


@router.get(
    "/api/v1/tanks/{tank}/start-list",
    tags=["tanks"],
    responses=documented(HTTPStatus.NOT_FOUND, HTTPStatus.SERVICE_UNAVAILABLE),
)
async def start_list(request: Request, tank: TankOf, live: LiveOf) -> StartListAnswer:
    """What to go through before the blower is started; it holds nothing back. Tick an item by the logbook."""
    await live.refresh()
    state = state_of(tank, live)
    looked = await run_in_threadpool(_looked, request.app.state.site, tank, state)
    return StartListAnswer(
        time=state["time"],
        read=[CheckAnswer(name=one.name, sign=one.sign, said=one.said) for one in checks_of(state)],
        asked=[
            LookAnswer(item=one.item, said=say(QUESTIONS[one.item]), time=one.time, who=one.who)
            for one in looked
        ],
    )


def _looked(site: Site, tank: Tank, state: State) -> tuple[Look, ...]:
    """Nobody looked at anything, as far as is known, while the record is away."""
    items, now = items_of(tank, reads_vent(state)), state["time"]
    try:
        with reading_store(site) as reader:
            entries = reader.entries(tank.name, now - FRESH, LATEST, ALL)
    except ProblemError:
        entries = []
    return looks(items, (one.body for one in entries), now)
