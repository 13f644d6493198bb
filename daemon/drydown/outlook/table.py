"""An hourly table of the air ahead that somebody pastes: time, temperature in °C, relative humidity in %.

With or without a line of headings; separated by commas, semicolons or tabs, with decimal commas where commas
do not separate. What cannot be read is told by line and column, and what is allowed there.
"""

import csv
import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta, tzinfo
from itertools import pairwise

from drydown.errors import UserError
from drydown.outlook.air import HOUR, HOURS, STARTS, AirAhead, Foreseen, Hour, between, next_full_hour
from drydown.quantities import ZERO_CELSIUS
from drydown.texts.language import later, say

MOST_LINES = 1000
LONGEST_GAP = 3 * HOUR
SHORTEST = 3 * HOUR  # of air ahead, without which nothing is told
DOUBT = 1.5  # h of wandering, about 1.5 K and 6 % of humidity: a forecast's usual error; from memory
COLUMNS = (later("time"), later("temperature"), later("humidity"))
TEMPERATURES, HUMIDITIES = (-40.0, 60.0), (2.0, 100.0)  # °C, %
LONGEST_SHOWN = 24

_NUMBER = re.compile(r"[+-]?\d{1,6}(?:[.,]\d{1,9})?")
_DAY_FIRST = re.compile(r"(\d{1,2})\.(\d{1,2})\.(\d{4})[ ,T]+(\d{1,2})[:.](\d{2})(?::\d{2})?")
_TIME_OF_DAY = re.compile(r"(\d{1,2})[:.](\d{2})(?::\d{2})?")


class TableError(UserError):
    """The table can't be used; the text says where and why."""


@dataclass(frozen=True, slots=True)
class Line:
    """One line: Unix s, and what the air is like."""

    time: float
    air: Hour


def air_of_table(lines: list[Line], now: float, zone: tzinfo) -> Foreseen:
    """The full hours from now on, between the lines where need be. Raises TableError."""
    last = lines[-1].time
    first = next_full_hour(max(now, lines[0].time), zone)
    if lines[0].time > now + STARTS * HOUR:
        raise TableError(say("The table begins more than a day from now: paste one that begins sooner."))
    if last < first + SHORTEST:
        raise TableError(
            say(
                "The table ends too soon: it has to reach at least {count} hours ahead of now.",
                count=round(SHORTEST / HOUR) + 1,
            )
        )
    times = [first + k * HOUR for k in range(HOURS) if first + k * HOUR <= last]
    course = tuple(_at(lines, time) for time in times)
    return Foreseen(AirAhead(first - now, (course,), (DOUBT,) * len(course)), first, last=times[-1])


def read_table(text: str, now: float, zone: tzinfo) -> list[Line]:
    """The lines of a table, in order; times without a date are those next to `now`. Raises TableError."""
    found: list[Line] = []
    for number, cells in _rows(text):
        if not found and _is_heading(cells):
            continue
        if len(found) == MOST_LINES:
            raise TableError(say("The table may have {most} lines, not more.", most=MOST_LINES))
        _check_columns(number, cells)
        before = found[-1].time if found else None
        time = _time(number, cells[0], before, now, zone)
        warm = _number(number, cells, 1, "°C", TEMPERATURES)
        damp = _number(number, cells, 2, "%", HUMIDITIES)
        _check_order(number, before, time)
        found.append(Line(time, Hour(warm + ZERO_CELSIUS, damp / 100.0)))
    if len(found) < 2:
        raise TableError(
            say("There is no table here: paste a line for each hour, such as “2026-11-26 14:00, 8.5, 71”.")
        )
    return found


def _rows(text: str) -> Iterator[tuple[int, list[str]]]:
    """Number and cells of each line that holds any."""
    lines = [(number, line.strip("\ufeff \r")) for number, line in enumerate(text.split("\n"), 1)]
    told = [(number, line) for number, line in lines if line.strip()]
    all_told = "\n".join(line for _, line in told)
    separator = next((one for one in ";\t" if one in all_told), ",")
    for number, line in told:
        try:
            cells = [
                cell.strip() for cell in next(csv.reader([line], delimiter=separator, skipinitialspace=True))
            ]
        except (csv.Error, StopIteration) as error:
            raise TableError(say("Line {line} can’t be read as a line of a table.", line=number)) from error
        yield number, cells[:-1] if len(cells) == len(COLUMNS) + 1 and not cells[-1] else cells


def _is_heading(cells: list[str]) -> bool:
    return not cells[0][:1].isdigit() and not any(_NUMBER.fullmatch(cell) for cell in cells)


def _check_columns(number: int, cells: list[str]) -> None:
    if len(cells) != len(COLUMNS):
        raise TableError(
            say(
                "Line {line} has {count} columns; it needs three: time, temperature in °C, relative humidity "
                "in %. Numbers with decimal commas need semicolons between the columns.",
                line=number,
                count=len(cells),
            )
        )


def _number(number: int, cells: list[str], column: int, unit: str, allowed: tuple[float, float]) -> float:
    typed = cells[column].replace("\N{MINUS SIGN}", "-").removesuffix(unit).strip()
    value = float(typed.replace(",", ".")) if _NUMBER.fullmatch(typed) else None
    if value is None or not allowed[0] <= value <= allowed[1]:
        raise TableError(
            say(
                "Line {line}, column {column} ({name}): “{typed}” is no number from {least} to {most} "
                "{unit}.",
                line=number,
                column=column + 1,
                name=say(COLUMNS[column]),
                typed=_shown(cells[column]),
                least=f"{allowed[0]:g}".replace("-", "\N{MINUS SIGN}"),
                most=f"{allowed[1]:g}",
                unit=unit,
            )
        )
    return value


def _time(number: int, typed: str, before: float | None, now: float, zone: tzinfo) -> float:
    try:
        then = _dated(typed)
        if then is None:
            return _undated(typed, before, now, zone)
        return _unix(then, before, zone)
    except (ValueError, OverflowError) as error:
        raise TableError(
            say(
                "Line {line}, column 1 (time): “{typed}” is no time such as 2026-11-26 14:00, 26.11.2026 "
                "14:00 or 14:00.",
                line=number,
                typed=_shown(typed),
            )
        ) from error


def _dated(typed: str) -> datetime | None:
    """None where no date stands there. Raises ValueError for what is no time."""
    if found := _DAY_FIRST.fullmatch(typed):
        day, month, year, hour, minute = map(int, found.groups())
        return datetime(year, month, day, hour, minute)
    if _TIME_OF_DAY.fullmatch(typed):
        return None
    if ":" not in typed and "T" not in typed:
        raise ValueError(typed)
    return datetime.fromisoformat(typed)


def _undated(typed: str, before: float | None, now: float, zone: tzinfo) -> float:
    """The next such time after the line before; for the first line, the one that is nearest to now."""
    found = _TIME_OF_DAY.fullmatch(typed)
    assert found
    hour, minute = map(int, found.groups())
    about = datetime.fromtimestamp(now if before is None else before, zone)
    same_day = about.replace(hour=hour, minute=minute, second=0, microsecond=0, tzinfo=None, fold=0)
    near = [_unix(same_day + timedelta(days=days), before, zone) for days in (-1, 0, 1)]
    if before is None:
        return min(near, key=lambda time: abs(time - now))
    return next(time for time in near if time > before)


def _unix(then: datetime, before: float | None, zone: tzinfo) -> float:
    if then.tzinfo is not None:
        return then.timestamp()
    time = then.replace(tzinfo=zone).timestamp()
    if before is not None and time <= before:  # the hour that comes twice when summer time ends
        return then.replace(tzinfo=zone, fold=1).timestamp()
    return time


def _check_order(number: int, before: float | None, time: float) -> None:
    if before is None:
        return
    if time <= before:
        raise TableError(
            say(
                "Line {line}, column 1 (time): it is not later than the line before; times have to rise.",
                line=number,
            )
        )
    if time - before > LONGEST_GAP:
        raise TableError(
            say(
                "Line {line}, column 1 (time): more than {hours} hours after the line before; fill the gap.",
                line=number,
                hours=round(LONGEST_GAP / HOUR),
            )
        )


def _at(lines: list[Line], time: float) -> Hour:
    for before, after in pairwise(lines):
        if before.time <= time <= after.time:
            return between(before.air, after.air, (time - before.time) / (after.time - before.time))
    raise ValueError(f"{time} is not within the table")


def _shown(typed: str) -> str:
    text = "".join(character if character.isprintable() else "?" for character in typed)
    return text if len(text) <= LONGEST_SHOWN else text[: LONGEST_SHOWN - 1] + "…"
