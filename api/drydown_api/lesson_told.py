"""A lesson as the API tells it: in sentences, and number by number."""

from drydown.clock import zone
from drydown.config.model import Tank
from drydown.estimate.lesson_use import UNKNOWNS
from drydown.estimate.schooled import quantities
from drydown.store.lessons import Kept, kept_lesson
from drydown.store.read import StoreReader
from drydown.texts import learned as texts
from drydown.texts.language import say
from drydown_api.answers import LearnedAnswer, LearnedQuantityAnswer

FOR_EVER = 1e11  # Unix s


def told(reader: StoreReader, tank: Tank) -> LearnedAnswer:
    """What the store holds of it, used or not."""
    kept = kept_lesson(reader, tank.name, FOR_EVER)
    if kept is None:
        return LearnedAnswer(used=False, said=[say(texts.NOTHING)])
    return LearnedAnswer(
        used=kept.serves(tank),
        runs=kept.lesson.runs,
        since=kept.lesson.since,
        last=kept.time,
        said=list(_said(kept, tank)),
        quantities=_quantities(kept, tank),
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
