"""The air ahead and the outlook as JSON, for the watcher's socket, and back."""

import math
from collections.abc import Mapping
from typing import Any

from drydown.errors import UserError
from drydown.lines import Line, prospect_line, prospect_of
from drydown.outlook.air import COLDEST, HOTTEST, HOUR, HOURS, MOST_COURSES, STARTS, AirAhead, Hour
from drydown.outlook.ranking import Outlook, Warming

MOST_DOUBT = 24.0  # h
ALLOWED = (
    '"outlook" needs "tank", a name, and "air": "first" (s), "courses" (K and humidity of one, an hour each)'
    ' and "doubt" (h)'
)


def air_line(air: AirAhead) -> Line:
    """The inverse of `air_of`."""
    courses = [[[round(warm, 2), round(damp, 4)] for warm, damp in course] for course in air.courses]
    return {"first": air.first, "courses": courses, "doubt": list(air.doubt)}


def air_of(line: object) -> AirAhead:
    """Raises UserError for what is no air, or more of it than is looked at."""
    try:
        return _air_of(line)
    except (TypeError, ValueError, KeyError, OverflowError) as error:
        raise UserError(ALLOWED) from error


def outlook_line(outlook: Outlook) -> Line:
    """The inverse of `outlook_of`."""
    return {
        "starts": [prospect_line(start) for start in outlook.starts],
        "warmings": [
            {"prospect": prospect_line(one.prospect), "energy": one.energy} for one in outlook.warmings
        ],
    }


def outlook_of(line: Mapping[str, Any]) -> Outlook:
    """An outlook as the watcher told it."""
    return Outlook(
        tuple(map(prospect_of, line["starts"])),
        tuple(Warming(prospect_of(one["prospect"]), one["energy"]) for one in line["warmings"]),
    )


def _air_of(line: Any) -> AirAhead:
    doubt = tuple(_within(one, 0.0, MOST_DOUBT) for one in line["doubt"])
    courses = tuple(
        tuple(Hour(_within(warm, COLDEST, HOTTEST), _within(damp, 0.0, 1.0)) for warm, damp in course)
        for course in line["courses"]
    )
    if not 1 <= len(courses) <= MOST_COURSES or not 1 <= len(doubt) <= HOURS:
        raise ValueError(len(courses), len(doubt))
    if any(len(course) != len(doubt) for course in courses):
        raise ValueError("lengths")
    return AirAhead(_within(line["first"], 0.0, (STARTS + 1) * HOUR), courses, doubt)


def _within(value: object, least: float, most: float) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise ValueError(value)
    if not least <= value <= most:
        raise ValueError(value)
    return float(value)
