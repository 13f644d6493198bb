"""What has settled in a tank at rest: sentences for its page, and the same for programs."""

from dataclasses import asdict
from http import HTTPStatus
from typing import Annotated

from fastapi import APIRouter, Query

from drydown.clock import zone
from drydown.config.model import Site, Tank
from drydown.estimate.result import Spread
from drydown.run.stages import Stage
from drydown.settling.fall import TYPICAL
from drydown.store.read import StoreReader
from drydown.store.still import Still, recorded_stillness
from drydown.texts import settling as texts
from drydown.texts.language import say
from drydown.texts.quality import verdict
from drydown_api.answers import SpreadAnswer
from drydown_api.problems import ProblemError, documented
from drydown_api.recorded import Reader, reading_store
from drydown_api.tanks import TankOf
from drydown_api.tending_answers import SettlingAnswer
from drydown_api.tested import found_of

router = APIRouter()

PROBLEMS = documented(HTTPStatus.NOT_FOUND, HTTPStatus.UNPROCESSABLE_ENTITY, HTTPStatus.SERVICE_UNAVAILABLE)

Size = Annotated[float, Query(ge=1e-6, le=200e-6, description="of a drop, its diameter in m; the tank's own")]


@router.get("/api/v1/tanks/{tank}/settling", tags=["tanks"], responses=PROBLEMS)
def settling(tank: TankOf, reader: Reader, size: Size | None = None) -> SettlingAnswer:
    """Which drops have fallen below the standpipe, when those of `size` will have, when to drain first."""
    still = recorded_stillness(reader, tank)
    size = tank.fuel.settled_drop if size is None else size
    said = list(sentences(reader, still, tank))
    fall = still.fall
    if fall is None:
        return SettlingAnswer(stage=still.stage, settles=still.is_at_rest, size=size, said=said)
    return SettlingAnswer(
        stage=still.stage,
        settles=still.is_at_rest,
        size=size,
        time=fall.now,
        since=fall.since,
        height=fall.height,
        smallest=_spread(fall.smallest(fall.height)),
        fallen=_spread(fall.fallen(size)),
        down_at=_spread(fall.reached(size, fall.height)),
        drain_at=_spread(fall.reached(TYPICAL, fall.surface)),
        counsel=still.drained.counsel if still.drained else None,
        drain_again_at=still.drained.at if still.drained else None,
        said=said,
    )


def settled_told(site: Site, tank: Tank) -> tuple[str, ...]:
    """For the tank's page, which is whole without: none while nothing settles, or the record is away."""
    try:
        with reading_store(site) as reader:
            return _told(reader, tank)
    except ProblemError:
        return ()


def sentences(reader: StoreReader, still: Still, tank: Tank) -> tuple[str, ...]:
    """What there is to say; of fuel that has rested also what has to be found out before it is used."""
    if still.fall is None:
        return (say(texts.NOT_RECORDED if still.is_at_rest else texts.NOT_AT_REST),)
    told = texts.told(still.fall, tank.fuel.settled_drop, still.drained, zone())
    found = found_of(reader, tank)
    return told if still.stage != Stage.READY or found.is_clear else (*told, verdict(found))


def _told(reader: StoreReader, tank: Tank) -> tuple[str, ...]:
    still = recorded_stillness(reader, tank)
    return sentences(reader, still, tank) if still.is_at_rest else ()


def _spread(found: Spread | None) -> SpreadAnswer | None:
    return SpreadAnswer(**asdict(found)) if found else None
