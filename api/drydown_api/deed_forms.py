"""What a person tells a tank, as plain forms: for pages whose scripts have not loaded yet, or never do."""

from http import HTTPStatus
from typing import Literal

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse

from drydown.config.model import Tank
from drydown.orders import Order, OrderError, command_of
from drydown.texts.language import later, say
from drydown_api.access import Visitor
from drydown_api.deeds import AlarmOf, obey, printable
from drydown_api.forms import name_of, typed_in
from drydown_api.problems import ProblemError
from drydown_api.tanks import TankOf, VisitorOf
from drydown_pages.tell import QUIET

router = APIRouter(prefix="/tanks/{tank}", include_in_schema=False)

AboutAlarms = Literal["acknowledge", "shelve", "unshelve", "reset"]

COMMANDS = {"draws": "draw", "drains": "drain", "supply/restore": "restore-supply"}


@router.post("/alarms/{alarm}/{deed}")
async def about_alarm(
    request: Request, tank: TankOf, alarm: AlarmOf, deed: AboutAlarms, visitor: VisitorOf
) -> RedirectResponse:
    """A button on an alarm. What is kept quiet is quiet as long as the page's button says."""
    order: Order = {"command": deed, "alarm": alarm}
    return await _tell(request, tank, visitor, order | ({"duration": QUIET} if deed == "shelve" else {}))


@router.post("/draws")
@router.post("/drains")
@router.post("/supply/restore")
async def by_name_alone(request: Request, tank: TankOf, visitor: VisitorOf) -> RedirectResponse:
    """A button that says it all."""
    deed = request.url.path.removeprefix(f"/tanks/{tank.name}/")
    return await _tell(request, tank, visitor, {"command": COMMANDS[deed]})


@router.post("/notes")
async def note(request: Request, tank: TankOf, visitor: VisitorOf) -> RedirectResponse:
    """Something to remember of this moment."""
    text = (await typed_in(request)).get("text", "")
    return await _tell(request, tank, visitor, {"command": "note", "text": printable(text)})


@router.post("/stage")
async def stage(request: Request, tank: TankOf, visitor: VisitorOf) -> RedirectResponse:
    """The stage that the batch is really in."""
    chosen = (await typed_in(request)).get("stage", "")
    return await _tell(request, tank, visitor, {"command": "correct-stage", "stage": chosen})


async def _tell(request: Request, tank: Tank, visitor: Visitor, order: Order) -> RedirectResponse:
    """Have it done, and lead back to the page. Raises ProblemError."""
    order |= {"who": name_of(visitor)}
    try:
        command_of(order)
    except OrderError as error:
        detail = say("{trouble}. Go back and put it right: nothing has changed.", trouble=str(error))
        raise ProblemError(HTTPStatus.UNPROCESSABLE_ENTITY, detail, later("Not taken")) from error
    await obey(request, tank, order)
    return RedirectResponse(f"/tanks/{tank.name}?taken=1", HTTPStatus.SEE_OTHER)
