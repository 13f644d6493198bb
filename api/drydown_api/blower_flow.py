"""The air that a tank's blower gave in each run: the share of its usual, times what was usual then."""

from bisect import bisect_left
from collections.abc import Sequence

from drydown.config.model import Tank
from drydown.estimate.lesson import lesson_of
from drydown.estimate.lesson_use import fits, learned_flow
from drydown.estimate.result import Spread
from drydown.store.read import EVER, StoreReader
from drydown.store.reviews import Review
from drydown.store.totals import ALL, LATEST


def flows(reader: StoreReader, tank: Tank, reviews: Sequence[Review]) -> dict[float, Spread]:
    """In m³/s by the start of the run; only runs in which it could be told.

    Usual is what the runs before had taught. Where they had not taught it yet, the share may be of no more
    than how that run began, so that nothing is told.
    """
    times: list[float] = []
    ratios: list[float | None] = []
    for event in reader.events(tank.name, EVER, LATEST, ["taught"], ALL):
        try:
            lesson = lesson_of(event.body, float)
        except (KeyError, TypeError, ValueError):
            continue  # of another make
        if fits(lesson, tank):
            times.append(event.time)
            ratios.append(learned_flow(lesson.learned))
    found = {}
    for review in reviews:
        share = review.flow_share
        before = bisect_left(times, review.run.start)
        usual = ratios[before - 1] if before else None
        if share is not None and usual is not None:
            flow = usual * tank.blower.rated_flow
            found[review.run.start] = Spread(share.median * flow, share.low * flow, share.high * flow)
    return found
