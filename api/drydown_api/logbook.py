"""Routes to the logbook: what people enter about a batch that no probe tells."""

from collections.abc import Mapping
from http import HTTPStatus
from typing import Annotated, Any, Literal, Union

from fastapi import APIRouter, Body, Query, Request
from pydantic import AfterValidator, BaseModel, ConfigDict, Field, create_model

from drydown.logbook import kinds
from drydown.logbook.kinds import KINDS, Choice, Number
from drydown_api.answers import DoneAnswer, EntryAnswer
from drydown_api.deeds import WhoBody, obey, printable
from drydown_api.history import UnixTime
from drydown_api.problems import documented
from drydown_api.recorded import Reader
from drydown_api.tanks import TankOf

NONE, AWAY, WRONG = HTTPStatus.NOT_FOUND, HTTPStatus.SERVICE_UNAVAILABLE, HTTPStatus.UNPROCESSABLE_ENTITY

router = APIRouter(prefix="/api/v1/tanks/{tank}", tags=["logbook"])


def _values_of(kind: str, fields: Mapping[str, kinds.Field]) -> type[BaseModel]:
    """The values of one kind of entry as a type, so that they are described and checked."""
    typed: dict[str, Any] = {
        name: (_type_of(field) if field.needed else _type_of(field) | None, ... if field.needed else None)
        for name, field in fields.items()
    }
    strict = ConfigDict(extra="forbid")
    return create_model(f"{_title(kind)}Values", __config__=strict, **typed)


def _type_of(field: kinds.Field) -> Any:
    match field:
        case Number(unit=unit, least=least, most=most):
            described = "without a unit" if unit == "1" else f"in {unit}"
            return Annotated[float, Field(ge=least, le=most, description=described)]
        case Choice(allowed=words):
            return Literal[words]
    return Annotated[str, Field(min_length=1, max_length=kinds.LONGEST_NAME), AfterValidator(printable)]


def _body_of(kind: str, fields: Mapping[str, kinds.Field]) -> Any:
    values = _values_of(kind, fields)
    holds: Any = (values, ...) if any(field.needed for field in fields.values()) else (values, values())
    entry: Any = Literal[kind]
    return create_model(f"{_title(kind)}Body", __base__=WhoBody, entry=(entry, ...), values=holds)


def _title(kind: str) -> str:
    return "".join(part.title() for part in kind.split("-"))


_BODIES: Any = Union[tuple(_body_of(kind, fields) for kind, fields in KINDS.items())]  # noqa: UP007
EntryBody = Annotated[_BODIES, Body(discriminator="entry")]


@router.post("/logbook", responses=documented(NONE, HTTPStatus.BAD_REQUEST, HTTPStatus.CONFLICT, WRONG, AWAY))
async def enter(request: Request, tank: TankOf, body: EntryBody) -> DoneAnswer:
    """Enter something about the batch as of now: a test, what was drained, where fuel went, upkeep."""
    order = body.model_dump(exclude_none=True)
    return await obey(request, tank, {"command": "entry", **order})


@router.get("/logbook", responses=documented(NONE, WRONG, AWAY))
def logbook(
    tank: TankOf,
    reader: Reader,
    start: UnixTime = 0,
    end: UnixTime = 1e11,
    limit: Annotated[int, Query(ge=1, le=10000)] = 1000,
) -> list[EntryAnswer]:
    """What was entered in a span; the newest `limit`, oldest first. Values are in SI units."""
    told = reader.entries(tank.name, start, end, limit)
    return [
        EntryAnswer(time=one.time, entry=one.body["entry"], values=one.body["values"], who=one.body["who"])
        for one in told
    ]
