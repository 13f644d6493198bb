"""The page on which runs are laid over each other."""

from collections.abc import Sequence
from http import HTTPStatus
from itertools import pairwise
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, Response

from drydown.config.model import Tank
from drydown.estimate.result import Spread
from drydown.run.stages import Stage
from drydown.store.read import StoreReader
from drydown.store.reviews import Review
from drydown.store.totals import LATEST
from drydown.texts.language import say
from drydown_api.blower_flow import flows
from drydown_api.problems import ProblemError
from drydown_api.recorded import Reader
from drydown_api.reviewed import named_runs
from drydown_api.tanks import TankOf, VisitorOf
from drydown_pages import render
from drydown_pages.runs.chosen import Named
from drydown_pages.runs.compare import LEAST, MOST, Course, Laid, comparison

router = APIRouter(include_in_schema=False)

COURSES = ("estimate/methanol", "estimate/water", "fuel/temperature")
POINTS = 240


@router.get("/tanks/{tank}/compare")
def compare_page(
    request: Request,
    tank: TankOf,
    reader: Reader,
    visitor: VisitorOf,
    run: Annotated[list[float], Query(max_length=100)] = [],  # noqa: B006 (FastAPI copies it)
) -> Response:
    """Two to six runs, named by when they began."""
    from drydown_api.explained import against  # here, so that other pages do without numpy

    known = named_runs(request, reader, tank)
    chosen = _chosen(known, run)
    air = flows(reader, tank, [one.review for one in chosen])
    laid = [_laid(reader, tank, one, air.get(one.review.run.start)) for one in chosen]
    why = [against(laid[0], one, tank.fuel.methanol_limit) for one in laid[1:]]
    page = comparison(tank.name, laid, (tank.fuel.methanol_limit, tank.fuel.water_limit), why)
    return HTMLResponse(render.compare_page(request.app.state.site.site, page, visitor))


def _chosen(known: Sequence[Named], starts: Sequence[float]) -> list[Named]:
    """The oldest first. Raises ProblemError."""
    found = [
        one
        for one in reversed(known)
        if one.review.bubbled_at is not None and any(abs(one.review.run.start - at) < 0.001 for at in starts)
    ]
    if not LEAST <= len(found) <= MOST:
        detail = say(
            "{count} runs are chosen in which the blower ran; {least} to {most} can be laid over each "
            "other. Go back to the list of runs and tick as many.",
            count=len(found),
            least=LEAST,
            most=MOST,
        )
        raise ProblemError(HTTPStatus.UNPROCESSABLE_ENTITY, detail)
    return found


def _laid(reader: StoreReader, tank: Tank, named: Named, flow: Spread | None) -> Laid:
    review = named.review
    end = _last_stop(review)

    def course(name: str) -> Course:
        found = reader.series(tank.name, name, review.bubbled_at or 0.0, end, POINTS)
        if found is None:
            return ()
        return [
            (time + found.step / 2 - (review.bubbled_at or 0.0), value)
            for time, value in zip(found.time, found.value, strict=True)
        ]

    fuel, air, humidity = (
        _mean_while_bubbling(reader, review, name)
        for name in ("fuel/temperature", "air/temperature", "air/humidity")
    )
    courses = {name: course(name) for name in COURSES}
    return Laid(named.name, review, courses, fuel, air, humidity, flow)


def _last_stop(review: Review) -> float:
    spans = list(_bubbling(review))
    return spans[-1][1] if spans else LATEST


def _bubbling(review: Review) -> list[tuple[float, float]]:
    end = LATEST if review.run.end is None else review.run.end
    entered = [*review.run.stages, (end, "")]
    return [(time, then) for (time, stage), (then, _) in pairwise(entered) if stage == Stage.BUBBLING]


def _mean_while_bubbling(reader: StoreReader, review: Review, name: str) -> float | None:
    """The mean of what could be believed, in the unit it was sent in, until the methanol was gone."""
    total, count, left = 0.0, 0, review.gone_after or LATEST
    for start, end in _bubbling(review):
        found = reader.series(review.run.tank, name, start, min(end, start + left), POINTS)
        if found is not None:
            total += sum(value * many for value, many in zip(found.value, found.count, strict=True))
            count += sum(found.count)
        left -= end - start
        if left <= 0:
            break
    return total / count if count else None
