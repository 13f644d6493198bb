"""A run's page as it reads, and what its charts are drawn from."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta, tzinfo
from functools import partial
from urllib.parse import urlencode

from drydown.estimate.result import Verdict
from drydown.physics.vapour_limits import EXPOSURE_LIMIT, LOWER_FLAMMABLE_LIMIT
from drydown.quantities import ZERO_CELSIUS
from drydown.texts.amounts import clock, day, moment, span
from drydown.texts.language import say
from drydown.texts.words import VERDICTS
from drydown_pages.run.beliefs import Belief, Outcome, beliefs, outcome, verdicts
from drydown_pages.run.happened import Happening, happened
from drydown_pages.run.record import RunRecord
from drydown_pages.run.rows import Row, rows
from drydown_pages.run.summary import summary

FIRE = 0.25  # of the lower flammable limit: what a room should stay below (NFPA 69 and others)


POINTS = 360  # of a series at first: of 4 h one in 40 s; whoever looks closer gets as many again
BANDS = ("estimate/methanol", "estimate/water", "estimate/emission", "room/methanol")
LINES = (
    "estimate/water_floor",
    "fuel/temperature",
    "air/temperature",
    "blower/discharge_temperature",
    "blower/motor_temperature",
    "air/humidity",
    "fuel/volume",
    "vapour/methanol",
)
CHARTED = urlencode(
    [("points", POINTS)]
    + [("name", name + end) for name in BANDS for end in ("", "/low", "/high")]
    + [("name", name) for name in LINES]
)
"""The series that `static/run/panels.js` draws, as they are asked for."""


@dataclass(frozen=True, slots=True)
class Test:
    """What a test of the fuel found, a mass fraction with its standard error, at a Unix time (s)."""

    time: float
    quantity: str
    value: float
    sigma: float


@dataclass(frozen=True, slots=True)
class Day:
    """A day of a run, which began at a Unix time (s): "14 May"."""

    start: float
    said: str


@dataclass(frozen=True, slots=True)
class Course:
    """What the charts need beside the series. Times in Unix s; limits in the units that are drawn.

    `ahead` (s) is how far the tank's clock on the wall is ahead of UTC.
    """

    start: float
    until: float
    ahead: float
    days: tuple[Day, ...]
    limits: dict[str, float]
    rows: tuple[Row, ...]
    marks: tuple[Happening, ...]
    tests: tuple[Test, ...]
    beliefs: tuple[Belief, ...]
    outcome: Outcome


@dataclass(frozen=True, slots=True)
class RunHead:
    """What is known before the run is read. `series` is the address of what its charts draw."""

    tank: str
    name: str
    series: str


@dataclass(frozen=True, slots=True)
class RunView:
    """The page before any chart is drawn."""

    report: str
    span: str
    going_on: str
    summary: tuple[str, ...]
    happened: tuple[Happening, ...]
    verdicts: tuple[tuple[str, str], ...]
    outcome: Outcome
    downloads: tuple[tuple[str, str], ...]


def head_of_run(tank: str, name: str, start: float, until: float) -> RunHead:
    """For the page's head; times in Unix s."""
    return RunHead(tank, name, f"{_address(tank)}/series?{_asked(start, until)}&{CHARTED}")


def course_of(run: RunRecord, zone: tzinfo) -> Course:
    """For the charts."""
    ahead = datetime.fromtimestamp(run.start, zone).utcoffset()
    return Course(
        start=run.start,
        until=run.until,
        ahead=ahead.total_seconds() if ahead else 0.0,
        days=tuple(_days(run, zone)),
        limits={
            "methanol": run.tank.fuel.methanol_limit,
            "water": run.tank.fuel.water_limit,
            "fuel": run.tank.limits.fuel_temperature - ZERO_CELSIUS,
            "breathe": EXPOSURE_LIMIT,
            "fire": FIRE * LOWER_FLAMMABLE_LIMIT,
        },
        rows=rows(run),
        marks=happened(run, zone),
        tests=tuple(_tests(run)),
        beliefs=beliefs(run, zone),
        outcome=outcome(run, zone),
    )


def view_of_run(run: RunRecord, zone: tzinfo) -> RunView:
    """For the page."""
    at = partial(moment, first=run.start, zone=zone)
    history = tuple(
        (span(at(one.start), at(one.end)), say(VERDICTS[Verdict(one.what)])) for one in verdicts(run)
    )
    address, asked = _address(run.tank.name), _asked(run.start, run.until)
    return RunView(
        report=f"/tanks/{run.tank.name}/runs/{run.start:.3f}/report",
        span=_span(run, zone),
        going_on=_going_on(run, zone),
        summary=summary(run, zone),
        happened=happened(run, zone),
        verdicts=history,
        outcome=outcome(run, zone),
        downloads=(
            (say("A table for a spreadsheet (CSV)"), f"{address}/readings.csv?{asked}"),
            (say("All readings for other programs (SenML)"), f"{address}/readings.sensml?{asked}"),
            (say("The run in one file, for drydown replay"), f"{address}/runs/{run.start:.3f}/archive"),
        ),
    )


def _address(tank: str) -> str:
    return f"/api/v1/tanks/{tank}"


def _asked(start: float, until: float) -> str:
    return urlencode({"start": f"{start:.3f}", "end": f"{until:.3f}"})


def _days(run: RunRecord, zone: tzinfo) -> Iterator[Day]:
    then = datetime.fromtimestamp(run.start, zone).replace(hour=0, minute=0, second=0, microsecond=0)
    while (start := then.timestamp()) <= run.until:
        yield Day(start, day(start, zone))
        then += timedelta(days=1)


def _tests(run: RunRecord) -> Iterator[Test]:
    for line in run.events:
        if line["kind"] == "command" and line["command"] == "bench-test":
            yield Test(line["time"], line["quantity"], line["value"], line["sigma"])


def _span(run: RunRecord, zone: tzinfo) -> str:
    return span(clock(run.start, zone), moment(run.until, run.start, zone))


def _going_on(run: RunRecord, zone: tzinfo) -> str:
    if run.ended:
        return ""
    return say("It goes on; this page tells it until {time}.", time=moment(run.until, run.start, zone))
