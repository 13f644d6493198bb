"""Drawing and upkeep: a page with a button for each part that was looked after, and the same for programs."""

import time
from dataclasses import asdict
from http import HTTPStatus
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, Response

from drydown.clock import zone
from drydown.drawing.upkeep import Upkeep
from drydown.estimate.result import Spread
from drydown.texts import drawing as texts
from drydown.texts.language import say
from drydown_api.answers import SpreadAnswer
from drydown_api.problems import documented
from drydown_api.recorded import Reader
from drydown_api.tanks import TankOf, VisitorOf
from drydown_api.tending_answers import DrawingAnswer, FilterAnswer, PartAnswer, UpkeepAnswer
from drydown_pages import render
from drydown_pages.upkeep import asked, upkeep_page

router = APIRouter()

NONE, WRONG, AWAY = HTTPStatus.NOT_FOUND, HTTPStatus.UNPROCESSABLE_ENTITY, HTTPStatus.SERVICE_UNAVAILABLE


@router.get("/tanks/{tank}/upkeep", include_in_schema=False)
def page(
    request: Request,
    tank: TankOf,
    reader: Reader,
    visitor: VisitorOf,
    volume: Annotated[str, Query(max_length=20)] = "",
    taken: str = "",
) -> Response:
    """How long a draw takes, how the filter does, and what is to be looked after."""
    from drydown_api import drawn  # here, so that other pages do without numpy

    wanted, found = asked(volume), drawn.care(reader, tank, time.time())
    told = upkeep_page(
        tank.name,
        drawn.drawing(reader, tank, wanted.volume),
        wanted,
        (found.changed, found.element),
        found.parts,
        zone(),
    )
    said = say("Taken into the record; it shows here within seconds.") if taken else ""
    status = WRONG if wanted.trouble else HTTPStatus.OK
    return HTMLResponse(render.upkeep_page(request.app.state.site.site, told, visitor, said), status)


@router.get("/api/v1/tanks/{tank}/drawing", tags=["logbook"], responses=documented(NONE, WRONG, AWAY))
def drawing(
    tank: TankOf,
    reader: Reader,
    volume: Annotated[float | None, Query(ge=0.0, le=2.0, description="to draw, m3 at 15 °C")] = None,
) -> DrawingAnswer:
    """How long it takes to draw `volume`, and all that stands above the standpipe, by the newest draws."""
    from drydown_api import drawn

    found = drawn.drawing(reader, tank, volume)
    return DrawingAnswer(
        time=found.stood.time if found.stood else None,
        drawable=found.stood.drawable if found.stood else None,
        draws=found.draws,
        flow=_spread(found.flow),
        whole=_spread(found.whole),
        asked=found.asked,
        takes=_spread(found.takes),
        enough=found.is_enough,
        said=f"{texts.headline(found)} {texts.answer(found)}",
    )


@router.get("/api/v1/tanks/{tank}/upkeep", tags=["logbook"], responses=documented(NONE, AWAY))
def upkeep(tank: TankOf, reader: Reader) -> UpkeepAnswer:
    """What the filter's element let through since it was changed, and which parts are due for a look."""
    from drydown_api import drawn

    found = drawn.care(reader, tank, time.time())
    through = found.element
    return UpkeepAnswer(
        filter=FilterAnswer(
            changed=found.changed.time if found.changed else None,
            by=found.changed.who if found.changed else None,
            drawn=through.drawn,
            lasted=through.lasted,
            left=_spread(through.left),
            reasons=[str(reason) for reason in through.reasons],
            said=texts.advice(through),
        ),
        parts=[_part(one) for one in found.parts],
    )


def _part(one: Upkeep) -> PartAnswer:
    return PartAnswer(
        part=one.part,
        last=one.last.time if one.last else None,
        by=one.last.who if one.last else None,
        blown=one.blown,
        every_blown=one.interval.blown,
        lasted=one.lasted,
        every=one.interval.lasted,
        due=one.is_due,
    )


def _spread(found: Spread | None) -> SpreadAnswer | None:
    return SpreadAnswer(**asdict(found)) if found else None
