"""What changes over months: the blower's air, hours, methanol at the start and the time until it is gone."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import tzinfo
from itertools import accumulate

from drydown.estimate.result import Spread
from drydown.run.movement import LevelKind
from drydown.store.reviews import Review
from drydown.texts.amounts import date, duration, litres, methanol_content, significant, span
from drydown.texts.language import counted, later, say
from drydown.texts.trends import Wording, sentence
from drydown.trend import Line, line_through
from drydown_pages.runs.chosen import Named
from drydown_pages.runs.small_chart import Chart, Point, Unit, chart_of

AIR, SHARE, MINUTES, HOURS = Unit("m³/s", 1.0), Unit("%", 100.0), Unit("min", 1 / 60), Unit("h", 1 / 3600)

ADDED_UP = later("Since {date} the blower ran {time} in {runs} and dried {fuel} of fuel.")
ADDED_UP_DRAWN = later(
    "Since {date} the blower ran {time} in {runs} and dried {fuel} of fuel; {drawn} was seen to be drawn."
)

Flows = Mapping[float, Spread]
"""The blower's air (m³/s) by the start of the run."""


@dataclass(frozen=True, slots=True)
class Trend:
    """One quantity over the months: a sentence, a chart of it, and the same in rows, the newest first."""

    title: str
    about: str
    sentence: str
    chart: Chart | None
    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


def flow(value: float) -> str:
    """Air from a blower: "0.0142 m³/s"."""
    return f"{significant(value, 3)} m³/s"


def trends(runs: Sequence[Named], flows: Flows, zone: tzinfo) -> tuple[Trend, ...]:
    """Of all runs in which the blower ran, in any order."""
    blown = sorted(
        (one.review for one in runs if one.review.totals.run_time > 0), key=lambda review: review.run.start
    )
    air = [(one, flows[one.run.start]) for one in blown if one.run.start in flows]
    start = [(one, one.methanol_start) for one in blown if one.methanol_start is not None]
    gone = [(one, Spread(*[one.gone_after] * 3)) for one in blown if one.gone_after is not None]
    about = say("What the blower gives, reckoned from gas in the fuel and from how the runs before went.")
    return (
        _trend(say("Air through the fuel"), about, Wording(say("The blower’s air"), flow), AIR, air, zone),
        _trend(
            say("Methanol at the start"),
            say("What was driven off and what was left."),
            Wording(say("Methanol at the start"), methanol_content),
            SHARE,
            start,
            zone,
        ),
        _trend(
            say("Bubbling until the methanol was gone"),
            say("Only runs in which it came so far: the time of the blower’s running."),
            Wording(say("The time until the methanol was gone"), duration),
            MINUTES,
            gone,
            zone,
        ),
        _added_up(blown, zone),
    )


def _trend(
    title: str, about: str, wording: Wording, unit: Unit, found: Sequence[tuple[Review, Spread]], zone: tzinfo
) -> Trend:
    points = [Point(one.run.start, value.median, value.low, value.high) for one, value in found]
    line = line_through([(point.time, point.value) for point in points])
    first, last = (points[0].time, points[-1].time) if points else (0.0, 0.0)
    has_range = any(value.low < value.high for _, value in found)
    rows = (_row(one, value, wording.write, zone) for one, value in reversed(found))
    return Trend(
        title=title,
        about=about,
        sentence=sentence(wording, line, first, last, zone),
        chart=_chart(points, line if line and line.is_trend else None, unit, zone),
        headings=(say("Run"), title, say("Nine times in ten")) if has_range else (say("Run"), title),
        rows=tuple(rows),
    )


def _row(review: Review, value: Spread, write: Callable[[float], str], zone: tzinfo) -> tuple[str, ...]:
    cells = (date(review.run.start, zone), write(value.median))
    return (*cells, span(write(value.low), write(value.high))) if value.low < value.high else cells


def _added_up(blown: Sequence[Review], zone: tzinfo) -> Trend:
    hours = list(accumulate(one.totals.run_time for one in blown))
    fuel = list(accumulate(one.totals.volume or 0.0 for one in blown))
    drawn = list(accumulate(_drawn(one) for one in blown))
    points = [Point(one.run.start, hour) for one, hour in zip(blown, hours, strict=True)]
    said = say("No run yet.")
    if blown:
        said = say(
            ADDED_UP_DRAWN if drawn[-1] else ADDED_UP,
            date=date(blown[0].run.start, zone),
            time=duration(hours[-1]),
            runs=counted("1 run", "{count} runs", len(blown)),
            fuel=litres(fuel[-1]),
            drawn=litres(drawn[-1]),
        )
    rows = zip(blown, hours, fuel, drawn, strict=True)
    return Trend(
        title=say("Hours and litres, added up"),
        about=say("The blower’s running, and the fuel that was in the tank when it first blew."),
        sentence=said,
        chart=_chart(points, None, HOURS, zone),
        headings=(say("Up to the run of"), say("Blower"), say("Fuel"), say("Drawn")),
        rows=tuple(
            (date(one.run.start, zone), duration(hour), litres(volume), litres(out))
            for one, hour, volume, out in list(rows)[::-1]
        ),
    )


def _drawn(review: Review) -> float:
    draw = review.totals.moved.get(LevelKind.DRAW)
    return draw.median if draw else 0.0


def _chart(points: Sequence[Point], line: Line | None, unit: Unit, zone: tzinfo) -> Chart | None:
    return chart_of(points, line, unit, zone) if len(points) > 1 else None
