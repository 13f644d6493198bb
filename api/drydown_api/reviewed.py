"""Every run of a tank with what came of it; what is over is looked up once and kept in memory."""

from dataclasses import asdict

from fastapi import Request

from drydown.clock import zone
from drydown.config.model import Tank
from drydown.store.read import Run, StoreReader
from drydown.store.reviews import Review, review
from drydown.texts.runs import names
from drydown_api.answers import RunAnswer, StageAnswer
from drydown_pages.runs.chosen import Named

MOST_RUNS = 1_000_000  # of one tank
MOST_KEPT = 5000

SAME = ("outcome", "bubbled_at", "gone_after", "dry_after", "dry_at", "worst")
"""What an answer has as a review has it."""

Kept = dict[Run, Review]


def named_runs(request: Request, reader: StoreReader, tank: Tank) -> list[Named]:
    """All runs of the tank, the newest first.

    What is recorded of a run reaches the store in order, so that nothing is added once its end is there;
    where times are put right later, it becomes another run in here.
    """
    kept: Kept = request.app.state.reviews
    if len(kept) > MOST_KEPT:
        kept.clear()
    runs = reader.runs(tank.name, MOST_RUNS)
    called = names(tank.name, (run.start for run in reversed(runs)), zone())
    return [
        Named(name, _looked_up(kept, reader, run)) for run, name in zip(runs, reversed(called), strict=True)
    ]


def run_answer(named: Named) -> RunAnswer:
    """The same for other programs."""
    review, run = named.review, named.review.run
    start = review.methanol_start
    return RunAnswer.model_validate(
        {"name": named.name, "start": run.start, "end": run.end}
        | {"stages": [StageAnswer(time=at, stage=stage) for at, stage in run.stages]}
        | asdict(review.totals)
        | {name: getattr(review, name) for name in SAME}
        | {"methanol_start": asdict(start) if start else None, "notes": list(review.notes)}
    )


def _looked_up(kept: Kept, reader: StoreReader, run: Run) -> Review:
    found = kept.get(run)
    if found is None:
        found = review(reader, run)
        if run.end is not None:
            kept[run] = found
    return found
