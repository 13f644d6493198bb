"""Routes for what a person may tell a tank: it goes to the watcher, which records it and obeys at once."""

from http import HTTPStatus
from typing import Annotated, Any, Literal

from fastapi import APIRouter, Depends, Path, Request
from pydantic import AfterValidator, BaseModel, ConfigDict, Field

from drydown.bus.local_client import WatcherAwayError, WatcherError, ask_async
from drydown.config.model import Tank
from drydown.orders import GREATEST_CONTENT, LONGEST_AGO, LONGEST_NAME, LONGEST_NOTE, LONGEST_SHELVING, Order
from drydown.run.stages import Stage
from drydown.texts.language import say
from drydown.texts.sheets import SHEETS
from drydown_api.answers import DoneAnswer
from drydown_api.problems import ProblemError, documented
from drydown_api.tanks import TankOf

NONE, AWAY, WRONG = HTTPStatus.NOT_FOUND, HTTPStatus.SERVICE_UNAVAILABLE, HTTPStatus.UNPROCESSABLE_ENTITY

router = APIRouter(
    prefix="/api/v1/tanks/{tank}",
    tags=["deeds"],
    responses=documented(HTTPStatus.BAD_REQUEST, NONE, HTTPStatus.CONFLICT, WRONG, AWAY),
)

ALARMS = sorted({alarm for alarm, _ in SHEETS})


def alarm_of(alarm: Annotated[str, Path(description="an alarm's name", examples=["vent-closed"])]) -> str:
    """The name of an alarm that there is."""
    if alarm not in ALARMS:
        raise ProblemError(
            NONE, say("There is no alarm of that name. There are: {names}.", names=", ".join(ALARMS))
        )
    return alarm


AlarmOf = Annotated[str, Depends(alarm_of)]


def printable(text: str) -> str:
    """The same in one line, with a mark for each character that can't be shown."""
    line = " ".join(text.splitlines())
    return "".join(char if char.isprintable() else "\N{REPLACEMENT CHARACTER}" for char in line)


Who = Annotated[
    str, Field(min_length=1, max_length=LONGEST_NAME, examples=["Wren"]), AfterValidator(printable)
]
Content = Annotated[float, Field(ge=0, le=GREATEST_CONTENT, allow_inf_nan=False)]


class WhoBody(BaseModel):
    """Who did it: a name that stands in the log; what can't be printed of it is replaced."""

    model_config = ConfigDict(extra="forbid")
    who: Who


class ShelveBody(WhoBody):
    """How long an alarm is to keep quiet, in s."""

    duration: Annotated[float, Field(ge=1, le=LONGEST_SHELVING, examples=[3600])]


class StageBody(WhoBody):
    """The stage that the batch is really in."""

    stage: Stage


class BenchTestBody(WhoBody):
    """What a test found in the fuel: a mass fraction with its standard error."""

    quantity: Literal["methanol", "water"]
    value: Annotated[Content, Field(examples=[0.0015])]
    sigma: Annotated[Content, Field(gt=1e-9, examples=[0.0003])]
    method: Annotated[
        str, Field(max_length=LONGEST_NAME, examples=["karl-fischer"]), AfterValidator(printable)
    ] = ""
    ago: Annotated[float, Field(ge=0, le=LONGEST_AGO, description="s since the sample was taken")] = 0.0


class NoteBody(WhoBody):
    """Something to remember of this moment."""

    text: Annotated[
        str,
        Field(min_length=1, max_length=LONGEST_NOTE, examples=["opened the window"]),
        AfterValidator(printable),
    ]


@router.post("/alarms/{alarm}/acknowledge")
async def acknowledge(request: Request, tank: TankOf, alarm: AlarmOf, body: WhoBody) -> DoneAnswer:
    """Somebody has seen the alarm. It goes on standing until its cause is gone."""
    return await obey(request, tank, {"command": "acknowledge", "alarm": alarm, "who": body.who})


@router.post("/alarms/{alarm}/shelve")
async def shelve(request: Request, tank: TankOf, alarm: AlarmOf, body: ShelveBody) -> DoneAnswer:
    """Keep an alarm quiet for a while. An emergency cannot be."""
    order = {"command": "shelve", "alarm": alarm, "who": body.who, "duration": body.duration}
    return await obey(request, tank, order)


@router.post("/alarms/{alarm}/unshelve")
async def unshelve(request: Request, tank: TankOf, alarm: AlarmOf, body: WhoBody) -> DoneAnswer:
    """End a shelving early."""
    return await obey(request, tank, {"command": "unshelve", "alarm": alarm, "who": body.who})


@router.post("/alarms/{alarm}/reset")
async def reset(request: Request, tank: TankOf, alarm: AlarmOf, body: WhoBody) -> DoneAnswer:
    """Somebody has looked into what latched the alarm, and lets it go."""
    return await obey(request, tank, {"command": "reset", "alarm": alarm, "who": body.who})


@router.post("/supply/restore")
async def restore_supply(request: Request, tank: TankOf, body: WhoBody) -> DoneAnswer:
    """Somebody lets the blower run again that drydown has stopped. It starts by its own switch alone."""
    return await obey(request, tank, {"command": "restore-supply", "who": body.who})


@router.post("/stage")
async def correct_stage(request: Request, tank: TankOf, body: StageBody) -> DoneAnswer:
    """Say which stage the batch is really in."""
    return await obey(request, tank, {"command": "correct-stage", "stage": body.stage, "who": body.who})


@router.post("/tests")
async def bench_test(request: Request, tank: TankOf, body: BenchTestBody) -> DoneAnswer:
    """Enter what a test of the fuel found, as of now: the estimate goes on from it."""
    told = body.model_dump(exclude_defaults=True)
    return await obey(request, tank, {"command": "bench-test", **told})


@router.post("/draws")
async def draw(request: Request, tank: TankOf, body: WhoBody) -> DoneAnswer:
    """Somebody draws fuel through the standpipe, or is about to: a falling level is then no leak."""
    return await obey(request, tank, {"command": "draw", "who": body.who})


@router.post("/drains")
async def drain(request: Request, tank: TankOf, body: WhoBody) -> DoneAnswer:
    """Somebody drains from the bottom, or is about to: a falling level is then no leak."""
    return await obey(request, tank, {"command": "drain", "who": body.who})


@router.post("/notes")
async def note(request: Request, tank: TankOf, body: NoteBody) -> DoneAnswer:
    """Write something down beside this moment of the run."""
    return await obey(request, tank, {"command": "note", "text": body.text, "who": body.who})


@router.post("/learned/forget")
async def forget(request: Request, tank: TankOf, body: WhoBody) -> DoneAnswer:
    """Nothing of what runs taught is used any more: for another blower, or when the estimate goes astray.

    While the blower runs the estimate begins anew at once, and needs some minutes to know something again.
    """
    return await obey(request, tank, {"command": "forget", "who": body.who})


async def obey(request: Request, tank: Tank, order: Order) -> DoneAnswer:
    """Have the watcher do it. Raises ProblemError when it is away, or it would do nothing."""
    asked: dict[str, Any] = {"tank": tank.name, "command": order}
    try:
        await ask_async(request.app.state.site.socket_path, "command", **asked)
    except WatcherAwayError as error:
        raise ProblemError(AWAY, str(error)) from error
    except WatcherError as error:
        detail = say(
            "{trouble} It may be over, or somebody was faster: look at the page again.", trouble=str(error)
        )
        raise ProblemError(HTTPStatus.CONFLICT, detail) from error
    return DoneAnswer(done=True)
