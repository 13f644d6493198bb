"""Batches from filling to last litre: a page to look through and print, the same for programs, a table."""

import csv
import io
from collections.abc import Iterator
from dataclasses import asdict
from http import HTTPStatus
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from drydown.batches.batch import Batch, batch_of, spans
from drydown.clock import zone
from drydown.config.model import Tank
from drydown.run.movement import LevelKind
from drydown.store.read import StoreReader
from drydown.texts.language import later, say
from drydown_api.answers import BatchAnswer, DrainedAnswer, ResultAnswer, SentAnswer, SpreadAnswer
from drydown_api.deeds import obey
from drydown_api.forms import name_of, typed_in
from drydown_api.problems import ProblemError, documented
from drydown_api.recorded import Reader
from drydown_api.reviewed import named_runs
from drydown_api.tanks import TankOf, VisitorOf
from drydown_pages import render
from drydown_pages.batches import batches_page
from drydown_pages.entering import FormError, entry_of_form
from drydown_pages.runs.chosen import Named

router = APIRouter()

LAST = 1e11  # Unix s
ALL = 1_000_000
KINDS = ("level", "command")
PROBLEMS = documented(HTTPStatus.NOT_FOUND, HTTPStatus.SERVICE_UNAVAILABLE)
COLUMNS = (
    "name",
    "start [Unix s]",
    "outcome",
    "filled [L at 15 °C]",
    "drained [L at 15 °C]",
    "drawn [L at 15 °C]",
    "sent [L]",
    "blower [h]",
    "electricity [kWh]",
    "methanol driven off [kg]",
    "released by",
    "went to",
)


@router.get("/tanks/{tank}/batches", include_in_schema=False)
def page(
    request: Request,
    tank: TankOf,
    reader: Reader,
    visitor: VisitorOf,
    words: Annotated[str, Query(max_length=200)] = "",
    taken: str = "",
) -> Response:
    """All batches, or those that words are told of."""
    site = request.app.state.site
    told = batches_page(site, tank, list(_batches(request, reader, tank)), words, zone())
    said = say("Taken into the record; it shows here within seconds.") if taken else ""
    return HTMLResponse(render.batches_page(site.site, told, visitor, said))


@router.post("/tanks/{tank}/logbook", include_in_schema=False)
async def enter(request: Request, tank: TankOf, visitor: VisitorOf) -> Response:
    """What was drained, where fuel went, what was looked after, from a form; then the page that shows it."""
    try:
        order = entry_of_form(await typed_in(request))
    except FormError as error:
        troubles = " ".join(error.troubles.values())
        detail = say("{troubles} Go back and put it right: nothing was written down.", troubles=troubles)
        raise ProblemError(HTTPStatus.UNPROCESSABLE_ENTITY, detail, later("Not taken")) from error
    await obey(request, tank, order | {"who": name_of(visitor)})
    shown = "upkeep" if order["entry"] == "upkeep" else "batches"
    return RedirectResponse(f"/tanks/{tank.name}/{shown}?taken=1", HTTPStatus.SEE_OTHER)


@router.get("/api/v1/tanks/{tank}/batches", tags=["logbook"], responses=PROBLEMS)
def batches(request: Request, tank: TankOf, reader: Reader) -> list[BatchAnswer]:
    """Every batch of the tank with what came of it and where it went, the newest first; SI units."""
    return [_answer(named, batch) for named, batch in _batches(request, reader, tank)]


@router.get(
    "/api/v1/tanks/{tank}/batches.csv",
    tags=["logbook"],
    response_class=Response,
    responses=PROBLEMS | {200: {"description": "a line a batch", "content": {"text/csv": {}}}},
)
def table(request: Request, tank: TankOf, reader: Reader) -> Response:
    """The same as a table for a spreadsheet, units in its first line."""
    text = io.StringIO()
    rows = csv.writer(text)
    rows.writerow(COLUMNS)
    rows.writerows(_row(named, batch) for named, batch in _batches(request, reader, tank))
    headers = {"Content-Disposition": f'attachment; filename="{tank.name}-batches.csv"'}
    return Response(text.getvalue(), media_type="text/csv; charset=utf-8", headers=headers)


def _batches(request: Request, reader: StoreReader, tank: Tank) -> Iterator[tuple[Named, Batch]]:
    runs = named_runs(request, reader, tank)
    by_start = {one.review.run.start: one for one in runs}
    for start, until in reversed(spans(sorted(by_start))):
        named = by_start[start]
        lines = [one.body for one in reader.events(tank.name, start, until or LAST, KINDS, ALL)]
        yield named, batch_of(start, until, lines, named.review.totals.run_time, tank.blower.power)


def _answer(named: Named, batch: Batch) -> BatchAnswer:
    return BatchAnswer(
        name=named.name,
        start=batch.start,
        until=batch.until,
        outcome=str(named.review.outcome),
        moved={
            str(kind): SpreadAnswer(median=volume.median, low=volume.low, high=volume.high)
            for kind in LevelKind
            if (volume := batch.volume(kind)).median > 0.0
        },
        drained=[DrainedAnswer(**asdict(one)) for one in batch.drained],
        sent=[SentAnswer(**asdict(one)) for one in batch.sent],
        tests=[ResultAnswer(**asdict(one)) for one in batch.tests],
        released_by=batch.released[-1][1] if batch.released else None,
        run_time=batch.run_time,
        energy=batch.energy,
    )


def _row(named: Named, batch: Batch) -> list[str | float]:
    methanol = named.review.totals.methanol
    kinds = (LevelKind.FILLING, LevelKind.DRAIN, LevelKind.DRAW)
    return [
        named.name,
        f"{batch.start:.0f}",
        str(named.review.outcome),
        *(f"{batch.volume(kind).median * 1000:.0f}" for kind in kinds),
        f"{batch.sent_volume * 1000:.0f}",
        f"{batch.run_time / 3600:.2f}",
        "" if batch.energy is None else f"{batch.energy / 3.6e6:.2f}",
        "" if methanol is None else f"{methanol.median:.2f}",
        batch.released[-1][1] if batch.released else "",
        "; ".join(one.to for one in batch.sent),
    ]
