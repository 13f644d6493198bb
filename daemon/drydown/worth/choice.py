"""Which run of a tank tells what a probe is worth: the last that is over and bubbled for long enough."""

from itertools import pairwise

from drydown.run.stages import Stage
from drydown.store.read import Run, StoreReader

LEAST, MOST = 2700.0, 43_200.0  # s of bubbling; s from its first to its last
LOOKED_AT = 20  # runs


def chosen_run(reader: StoreReader, tank: str) -> Run | None:
    """None where there is none yet."""
    return next(filter(_is_fit, reader.runs(tank, LOOKED_AT)), None)


def blown_span(run: Run) -> tuple[float, float]:
    """When a run first began to bubble, and when it last ceased (s); it has to have bubbled and stopped."""
    spells = _spells(run)
    return spells[0][0], spells[-1][1]


def _is_fit(run: Run) -> bool:
    spells = _spells(run)
    is_over = run.end is not None or run.stages[-1][1] in (Stage.RESTING, Stage.READY)
    if not is_over or sum(end - start for start, end in spells) < LEAST:
        return False
    return spells[-1][1] - spells[0][0] <= MOST


def _spells(run: Run) -> list[tuple[float, float]]:
    return [(start, end) for (start, stage), (end, _) in pairwise(run.stages) if stage == Stage.BUBBLING]
