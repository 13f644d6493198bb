"""Routes to what runs taught of a tank and its blower: told from the store, forgotten by the watcher."""

from http import HTTPStatus

from fastapi import APIRouter

from drydown.clock import zone
from drydown.config.model import Tank
from drydown.estimate.lesson import UNKNOWNS, quantities
from drydown.store.lessons import Kept, kept_lesson
from drydown.texts import learned as texts
from drydown_api.answers import LearnedAnswer, LearnedQuantityAnswer
from drydown_api.history import Reader
from drydown_api.problems import documented
from drydown_api.tanks import TankOf

router = APIRouter(prefix="/api/v1/tanks/{tank}/learned", tags=["learned"])

NONE, WRONG, AWAY = HTTPStatus.NOT_FOUND, HTTPStatus.UNPROCESSABLE_ENTITY, HTTPStatus.SERVICE_UNAVAILABLE
FOR_EVER = 1e11  # Unix s


@router.get("", responses=documented(NONE, AWAY))
def learned(tank: TankOf, reader: Reader) -> LearnedAnswer:
    """What earlier runs taught of the tank and its blower, in words and as numbers with their ranges."""
    kept = kept_lesson(reader, tank.name, FOR_EVER)
    if kept is None:
        return LearnedAnswer(used=False, said=[texts.NOTHING])
    return LearnedAnswer(
        used=kept.serves(tank),
        runs=kept.lesson.runs,
        since=kept.lesson.since,
        last=kept.time,
        said=list(_said(kept, tank)),
        quantities=list(_quantities(kept, tank)),
    )


def _said(kept: Kept, tank: Tank) -> tuple[str, ...]:
    if kept.forgotten_at is not None:
        return (texts.forgotten(kept.lesson.runs, kept.forgotten_at, kept.forgotten_by, zone()),)
    if not kept.serves(tank):
        return (texts.outgrown(kept.lesson, tank),)
    return (texts.source(kept.lesson, zone()), *texts.told(kept.lesson, tank))


def _quantities(kept: Kept, tank: Tank) -> list[LearnedQuantityAnswer]:
    if kept.lesson.unknowns != UNKNOWNS:
        return []
    return [
        LearnedQuantityAnswer(
            name=one.name,
            said=texts.sentence(one, tank),
            median=one.value.median,
            low=one.value.low,
            high=one.value.high,
            narrowed=one.narrowed,
        )
        for one in quantities(kept.lesson)
    ]
