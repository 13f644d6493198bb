"""Runs laid over each other by the time since bubbling began, and what changed beside what that did."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from drydown.estimate.result import Spread
from drydown.quantities import ZERO_CELSIUS
from drydown.store.reviews import Review
from drydown.texts import reviews
from drydown.texts.amounts import celsius, duration, litres, methanol_content, ranged, water_content
from drydown.texts.differences import ABOUT, Share
from drydown.texts.language import later, say
from drydown_pages.runs.trends import flow

LEAST, MOST = 2, 6
EVERY = (300.0, 600.0, 900.0, 1800.0, 3600.0, 7200.0, 14400.0)  # s between two rows of the table
ROWS = 12

Course = Sequence[tuple[float, float]]
"""Seconds since bubbling began, and a value."""


@dataclass(frozen=True, slots=True)
class Laid:
    """One run. Courses by series in the unit sent; means while it bubbled: Celsius and % of humidity."""

    name: str
    review: Review
    courses: Mapping[str, Course]
    fuel: float | None = None
    air: float | None = None
    humidity: float | None = None
    flow: Spread | None = None


@dataclass(frozen=True, slots=True)
class Against:
    """What made a run take longer than the first; `shares` are empty where it cannot be told."""

    sentence: str
    most: str
    shares: tuple[Share, ...] = ()


@dataclass(frozen=True, slots=True)
class Comparison:
    """The page. `changes` and `table` are rows of cells with a heading; `drawn` is what a script draws."""

    tank: str
    runs: tuple[tuple[str, str, str], ...]  # letter, name, start
    changes: tuple[tuple[str, tuple[str, ...]], ...]
    against: tuple[Against, ...]
    table: tuple[tuple[str, tuple[str, ...]], ...]
    about: str
    drawn: Mapping[str, Any] = field(default_factory=dict)


def comparison(
    tank: str, laid: Sequence[Laid], limits: tuple[float, float], against: Sequence[Against]
) -> Comparison:
    """Two to six runs, the oldest first; limits of methanol and water as mass fractions."""
    letters = "ABCDEF"
    return Comparison(
        tank=tank,
        runs=tuple(
            (letter, one.name, f"{one.review.run.start:.3f}")
            for letter, one in zip(letters, laid, strict=False)
        ),
        changes=tuple(_changes(laid)),
        against=tuple(against),
        about=say(ABOUT),
        table=_table(laid),
        drawn={
            "limits": {"methanol": limits[0], "water": limits[1]},
            "runs": [
                {"letter": letter, "courses": {name: _columns(c) for name, c in one.courses.items()}}
                for letter, one in zip(letters, laid, strict=False)
            ],
        },
    )


def _changes(laid: Sequence[Laid]) -> list[tuple[str, tuple[str, ...]]]:
    def row(heading: str, told: Callable[[Laid], str]) -> tuple[str, tuple[str, ...]]:
        return say(heading), tuple(map(told, laid))

    def percent(value: float) -> str:
        return f"{value:.0f} %"

    def warm(value: float) -> str:
        return celsius(value + ZERO_CELSIUS)

    return [
        row(later("What came of it"), lambda one: say(reviews.OUTCOMES[one.review.outcome])),
        row(
            later("Methanol gone after"),
            lambda one: _or_not(one.review.gone_after, duration, later("not gone")),
        ),
        row(later("Dry after"), lambda one: _or_not(one.review.dry_after, duration, later("not dry"))),
        row(later("Methanol at the start"), lambda one: _spread(one.review.methanol_start, methanol_content)),
        row(later("Water in the end"), lambda one: _spread(one.review.water, water_content)),
        row(later("Fuel"), lambda one: _or_not(one.review.totals.volume, litres)),
        row(later("Fuel temperature"), lambda one: _or_not(one.fuel, warm)),
        row(later("Room air"), lambda one: _or_not(one.air, warm)),
        row(later("Humidity of the room"), lambda one: _or_not(one.humidity, percent)),
        row(later("Air of the blower"), lambda one: _spread(one.flow, flow)),
    ]


def _or_not(value: float | None, write: Callable[[float], str], without: str = reviews.NOT_TOLD) -> str:
    return say(without) if value is None else write(value)


def _spread(value: Spread | None, write: Callable[[float], str]) -> str:
    return say(reviews.NOT_TOLD) if value is None else ranged(value, write)


def _table(laid: Sequence[Laid]) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Methanol and the fuel's temperature, every so often."""
    longest = max((course[-1][0] for one in laid for course in one.courses.values() if course), default=0.0)
    every = next((one for one in EVERY if longest / one <= ROWS), EVERY[-1])
    times = [i * every for i in range(int(longest / every) + 1)]
    return tuple((duration(time) if time else "0 min", tuple(_cells(laid, time))) for time in times)


def _cells(laid: Sequence[Laid], time: float) -> list[str]:
    cells = []
    for one in laid:
        content = _at(one.courses.get("estimate/methanol", ()), time)
        warmth = _at(one.courses.get("fuel/temperature", ()), time)
        said = (
            None if content is None else methanol_content(content),
            None if warmth is None else celsius(warmth + ZERO_CELSIUS),
        )
        cells.append(", ".join(filter(None, said)) or "–")
    return cells


def _at(course: Course, time: float) -> float | None:
    """The value nearest to a time, if there is one within three minutes."""
    near = min(course, key=lambda point: abs(point[0] - time), default=None)
    return near[1] if near is not None and abs(near[0] - time) <= 180.0 else None


def _columns(course: Course) -> dict[str, list[float]]:
    return {"time": [round(t, 1) for t, _ in course], "value": [float(f"{v:.5g}") for _, v in course]}
