"""When to bubble: the day ahead by the record of the air or by a pasted table, as a page and for programs."""

from dataclasses import dataclass
from http import HTTPStatus
from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import HTMLResponse, Response
from pydantic import BaseModel, ConfigDict, Field

from drydown.bus.local_client import WatcherError, ask
from drydown.clock import zone
from drydown.config.model import Site, Tank
from drydown.outlook.air import HOUR, Foreseen, Hour, next_full_hour
from drydown.outlook.course import LOOK_BACK, by_days, hourly
from drydown.outlook.lines import air_line, outlook_of
from drydown.outlook.ranking import best
from drydown.outlook.table import TableError, air_of_table, read_table
from drydown.quantities import MEASURED
from drydown.store.read import StoreReader
from drydown.texts import when as texts
from drydown.texts.language import say
from drydown_api.forms import typed_in
from drydown_api.live import State
from drydown_api.outlook_answers import AirAnswer, OutlookAnswer
from drydown_api.problems import ProblemError, documented
from drydown_api.recorded import Reader
from drydown_api.tanks import LiveOf, TankOf, VisitorOf, state_of, why_no_plan
from drydown_pages import render
from drydown_pages.when import Pasted, when_page

router = APIRouter()

NONE, WRONG, AWAY = HTTPStatus.NOT_FOUND, HTTPStatus.UNPROCESSABLE_ENTITY, HTTPStatus.SERVICE_UNAVAILABLE
AIR = ("air/temperature", "air/humidity")
POINTS = LOOK_BACK * 6  # of each series: one in ten minutes
LONGEST = 60_000  # characters


async def looked(tank: TankOf, live: LiveOf) -> State:
    """The tank's state now. Raises ProblemError where there is none."""
    await live.refresh()
    return state_of(tank, live)


async def pasted(request: Request) -> str:
    """What was put into the page's form."""
    return (await typed_in(request)).get("table", "")[:LONGEST]


StateOf = Annotated[State, Depends(looked)]


class TableBody(BaseModel):
    """An hourly table: time, temperature in °C, relative humidity in %, a line an hour."""

    model_config = ConfigDict(extra="forbid")
    table: str = Field(max_length=LONGEST, examples=["2026-11-26 14:00, 8.5, 71\n2026-11-26 15:00, 8.1, 74"])


@dataclass(frozen=True, slots=True)
class DayAhead:
    """The air ahead, what the watcher made of it, or `why` there is nothing of either."""

    foreseen: Foreseen | None
    line: State | None
    why: str


@router.get("/tanks/{tank}/when", include_in_schema=False)
def page(request: Request, tank: TankOf, state: StateOf, reader: Reader, visitor: VisitorOf) -> Response:
    """The day ahead by the tank's own record of the air."""
    site: Site = request.app.state.site
    return _page(site, tank, state, visitor, by_record(site, tank, state, reader))


@router.post("/tanks/{tank}/when", include_in_schema=False)
def page_of_table(
    request: Request,
    tank: TankOf,
    state: StateOf,
    reader: Reader,
    visitor: VisitorOf,
    table: Annotated[str, Depends(pasted)],
) -> Response:
    """The day ahead by a table; what is wrong with that stands beside it, below the day by the record."""
    site: Site = request.app.state.site
    try:
        found = by_table(site, tank, state, table)
    except TableError as error:
        found = by_record(site, tank, state, reader)
        return _page(site, tank, state, visitor, found, Pasted(table, str(error)))
    return _page(site, tank, state, visitor, found, Pasted(table))


@router.get("/api/v1/tanks/{tank}/outlook", tags=["tanks"], responses=documented(NONE, AWAY))
def outlook(request: Request, tank: TankOf, state: StateOf, reader: Reader) -> OutlookAnswer:
    """What a start at each hour of the day ahead would bring, by the daily course of the recorded air."""
    return _answer(state, by_record(request.app.state.site, tank, state, reader))


@router.post(
    "/api/v1/tanks/{tank}/outlook",
    tags=["tanks"],
    responses=documented(NONE, HTTPStatus.BAD_REQUEST, WRONG, AWAY),
)
def outlook_by_table(request: Request, tank: TankOf, state: StateOf, body: TableBody) -> OutlookAnswer:
    """The same by an hourly table of the air ahead, of which nothing is kept."""
    try:
        return _answer(state, by_table(request.app.state.site, tank, state, body.table))
    except TableError as error:
        raise ProblemError(WRONG, f"table: {error}") from error


def by_table(site: Site, tank: Tank, state: State, text: str) -> DayAhead:
    """Raises TableError."""
    now = state["time"]
    return _asked(site, tank, state, air_of_table(read_table(text, now, zone()), now, zone()))


def by_record(site: Site, tank: Tank, state: State, reader: StoreReader) -> DayAhead:
    """By as many of the last days as were seen whole."""
    now = state["time"]
    first = next_full_hour(now, zone())
    warm, damp = (_points(reader, tank, name, now) for name in AIR)
    foreseen = by_days(hourly(warm, damp, first), first, now)
    if foreseen is None:
        has_probes = tank.probes.keys() >= set(AIR)
        return DayAhead(None, None, say(texts.SHORT_RECORD if has_probes else texts.NO_PROBES))
    return _asked(site, tank, state, foreseen)


def _asked(site: Site, tank: Tank, state: State, foreseen: Foreseen) -> DayAhead:
    """By the watcher, who knows the fuel."""
    try:
        answer = ask(site.socket_path, "outlook", tank=tank.name, air=air_line(foreseen.air))
    except WatcherError as error:
        raise ProblemError(AWAY, str(error)) from error
    line = answer["outlook"]
    return DayAhead(foreseen, line, "" if line else why_no_plan(state))


def _points(reader: StoreReader, tank: Tank, name: str, now: float) -> list[tuple[float, float]]:
    """Times, in the middle of what a point stands for, and SI values."""
    found = reader.series(tank.name, name, now - (LOOK_BACK + 2) * HOUR, now, POINTS)
    if found is None:
        return []
    to_si, middle = MEASURED[name].to_si, 0.5 * found.step
    return [(time + middle, to_si(value)) for time, value in zip(found.time, found.value, strict=True)]


def _page(
    site: Site,
    tank: Tank,
    state: State,
    visitor: VisitorOf,
    found: DayAhead,
    given: Pasted = Pasted(),  # noqa: B008
) -> Response:
    told = outlook_of(found.line) if found.line else None
    shown = when_page(tank.name, found.foreseen, told, state["time"], zone(), found.why, given)
    return HTMLResponse(
        render.when_page(site.site, shown, visitor), WRONG if given.trouble else HTTPStatus.OK
    )


def _answer(state: State, found: DayAhead) -> OutlookAnswer:
    now, foreseen = state["time"], found.foreseen
    answer = {
        "time": now,
        "source": "table" if foreseen and foreseen.last else "record",
        "first": foreseen.first if foreseen else None,
        "days": foreseen.days if foreseen else (),
        "last": foreseen.last if foreseen else None,
        "courses": [_course(one) for one in foreseen.air.courses] if foreseen else (),
        "starts": (),
        "best": (),
        "warmings": (),
        "said": [found.why],
    }
    if foreseen and found.line:
        told = outlook_of(found.line)
        begin = foreseen.first - foreseen.air.first
        answer |= found.line | {
            "best": [begin + start.wait for start in best(told.starts)],
            "said": texts.told(told, foreseen, now, zone()),
        }
    return OutlookAnswer.model_validate(answer)


def _course(hours: tuple[Hour, ...]) -> AirAnswer:
    return AirAnswer(
        temperature=[hour.temperature for hour in hours], humidity=[hour.humidity for hour in hours]
    )
