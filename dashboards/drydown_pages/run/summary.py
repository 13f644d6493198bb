"""A run in a few sentences, as somebody would tell it who had watched it."""

from collections.abc import Callable, Iterator
from datetime import tzinfo

from drydown.effects import Change, Priority
from drydown.estimate.result import Spread
from drydown.physics.vapour_limits import EXPOSURE_LIMIT, SHORT_EXPOSURE_LIMIT
from drydown.quality.results import Result, results_of
from drydown.quantities import ZERO_CELSIUS
from drydown.texts import quality
from drydown.texts.amounts import (
    celsius,
    clock,
    duration,
    litres,
    methanol_content,
    parts_per_million,
    ranged,
    significant,
    water_content,
)
from drydown_pages.run.record import Line, RunRecord

NOTHING = "The blower has not run yet, so there is little to tell."
CONFIRM = "Confirm it by a test before the fuel is used."
COOLING = 1.0  # K by which the fuel has to have cooled before that is told

ALARMS = {
    Priority.EMERGENCY: ("one emergency", "{} emergencies"),
    Priority.HIGH: ("one alarm to act on soon", "{} alarms to act on soon"),
    Priority.LOW: ("one alarm for the day", "{} alarms for the day"),
}
ENDINGS = {
    "dry": "the fuel was dry by drydown’s reckoning",
    "drying": "it was still drying",
    "air-limited": "the methanol was gone and this air could dry it no further",
    "wetting": "the methanol was gone and the air was wetting the fuel",
    "unknown": "drydown could not tell how dry it was",
}


def summary(run: RunRecord, zone: tzinfo) -> tuple[str, ...]:
    """In paragraphs: what was done, what is left in the fuel, its warmth, the room, what else happened."""
    paragraphs = (_done, _left, _warmth, _room, _happened)
    return tuple(filter(None, (" ".join(told(run, zone)) for told in paragraphs)))


def _done(run: RunRecord, zone: tzinfo) -> Iterator[str]:
    if not run.ran:
        yield NOTHING if not run.ended else "The blower has not run in this batch."
        return
    first, last = run.ran[0], run.ran[-1]
    goes_on = not run.ended and last.end >= run.until
    until = f"and ran on at {clock(run.until, zone)}" if goes_on else f"until {clock(last.end, zone)}"
    fuel = f"through {litres(run.volume)} of fuel " if run.volume else ""
    breaks = len(run.ran) - 1
    pauses = "" if not breaks else ", with one break" if breaks == 1 else f", with {breaks} breaks"
    said = f"from {clock(first.start, zone)} {until}{pauses}"
    yield f"The blower sent air {fuel}{said}: {duration(run.run_time)} of bubbling."


def _left(run: RunRecord, zone: tzinfo) -> Iterator[str]:
    believed = run.believed
    if not run.ran:
        return
    if not believed:
        yield "What is left in the fuel could not be told."
    else:
        yield from _contents(run, believed, zone)


def _warmth(run: RunRecord, zone: tzinfo) -> Iterator[str]:
    if not run.ran:
        return
    yield from _cooling(run, zone)
    if run.driven_off is not None and run.driven_off.median > 0:
        yield f"About {ranged(run.driven_off, _kilograms)} of methanol left with the air."


def _contents(run: RunRecord, believed: list[Line], zone: tzinfo) -> Iterator[str]:
    began = next((one for one in believed if one["time"] >= run.ran[0].start), believed[-1])
    last = believed[-1]
    methanol, water = Spread(**last["methanol"]), Spread(**last["water"])
    limits = run.tank.fuel
    first = methanol_content(began["methanol"]["median"])
    yield (
        f"Methanol, first put at {first}, came to {ranged(methanol, methanol_content)}; its limit is "
        f"{methanol_content(limits.methanol_limit)}."
    )
    gone = first_time(run, methanol_gone)
    if gone is not None:
        yield f"At {clock(gone, zone)} it was sure enough to be within that."
    yield f"Water came to {ranged(water, water_content)}; its limit is {water_content(limits.water_limit)}."
    yield f"At {clock(last['time'], zone)} {ENDINGS[last['verdict']]}."
    if last["verdict"] == "dry":
        yield CONFIRM


def _cooling(run: RunRecord, zone: tzinfo) -> Iterator[str]:
    fuel = run.ranges.get("fuel/temperature")
    if fuel is None:
        return
    first, least, last = (celsius(one + ZERO_CELSIUS) for one in (fuel.first, fuel.least, fuel.last))
    if fuel.first - fuel.least < COOLING:
        yield f"The fuel went from {first} to {last}."
        return
    end = "" if least == last else f"; it was at {last} in the end"
    cooled = f"cooled the fuel from {first} to {least}, at {clock(fuel.least_at, zone)}"
    yield f"Evaporation and the room {cooled}{end}."


def _room(run: RunRecord, zone: tzinfo) -> Iterator[str]:
    measured, reckoned = (run.ranges.get(name) for name in ("vapour/methanol", "room/methanol"))
    room = measured or reckoned
    if room is None or not run.ran:
        return
    how = "" if measured else ", by reckoning,"
    most = f"The room’s air held{how} at most {parts_per_million(room.most)} of methanol"
    limit = parts_per_million(EXPOSURE_LIMIT)
    if room.most <= EXPOSURE_LIMIT:
        yield f"{most}, below the {limit} that may be breathed for a working day."
    elif room.most <= SHORT_EXPOSURE_LIMIT:
        yield f"{most}, at {clock(room.most_at, zone)}: above the {limit} for a working day."
    else:
        short = parts_per_million(SHORT_EXPOSURE_LIMIT)
        yield f"{most}, at {clock(room.most_at, zone)}: more than may be breathed even for 15 min ({short})."


def _happened(run: RunRecord, zone: tzinfo) -> Iterator[str]:
    raised = [one for one in run.events if one["kind"] == "alarm" and one["change"] == Change.RAISED]
    counts = {priority: sum(one["priority"] == priority for one in raised) for priority in Priority}
    said = [_counted(ALARMS[priority], count) for priority, count in counts.items() if count]
    if said:
        names = said[0] if len(said) == 1 else f"{', '.join(said[:-1])} and {said[-1]}"
        below = "it stands below with its time" if len(raised) == 1 else "they stand below with their times"
        yield f"{names[0].upper()}{names[1:]} came up; {below}."
    else:
        yield "No alarm came up."
    tests = results_of(one for one in run.events if one["kind"] == "command")
    yield " ".join(_test(one, zone) for one in tests) if tests else "No test of the fuel was entered."


def _counted(forms: tuple[str, str], count: int) -> str:
    one, several = forms
    return one if count == 1 else several.format(count)


def _test(one: Result, zone: tzinfo) -> str:
    return f"A test at {clock(one.time, zone)} found {quality.found(one)}."


def methanol_gone(estimate: Line) -> bool:
    """Whether an estimate says so."""
    return bool(estimate["methanol_done"])


def dry(estimate: Line) -> bool:
    """Whether an estimate says so."""
    return bool(estimate["verdict"] == "dry")


def first_time(run: RunRecord, is_so: Callable[[Line], bool]) -> float | None:
    """When estimates first said it, since the last one that did not."""
    found = None
    for one in run.estimates:
        if not is_so(one):
            found = None
        elif found is None:
            found = float(one["time"])
    return found


def _kilograms(mass: float) -> str:
    return f"{significant(mass, 2)} kg"
