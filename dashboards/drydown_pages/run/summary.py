"""A run in a few sentences, as somebody would tell it who had watched it."""

from collections.abc import Callable, Iterator
from datetime import tzinfo

from drydown.effects import Change, Priority
from drydown.estimate.result import Spread
from drydown.physics.vapour_limits import EXPOSURE_LIMIT, SHORT_EXPOSURE_LIMIT
from drydown.quality.results import results_of
from drydown.quantities import ZERO_CELSIUS
from drydown.texts import quality
from drydown.texts.amounts import (
    celsius,
    duration,
    litres,
    methanol_content,
    moment,
    parts_per_million,
    ranged,
    significant,
    water_content,
)
from drydown.texts.language import counted, later, say
from drydown.texts.notices import CONFIRM
from drydown.texts.reviews import alarms_of
from drydown.texts.words import together
from drydown_pages.run.record import Line, RunRecord

NOTHING = later("The blower has not run yet, so there is little to tell.")
COOLED_AND_WARMED = later(
    "Evaporation and the room cooled the fuel from {first} to {least}, at {time}; it was at {last} in the "
    "end."
)
UNBREATHABLE = later("{most}, at {time}: more than may be breathed even for 15 min ({limit}).")
COOLING = 1.0  # K by which the fuel has to have cooled before that is told

ENDINGS = {
    "dry": later("The fuel was dry by drydown’s reckoning from {time}."),
    "drying": later("At {time} it was still drying."),
    "air-limited": later("At {time} the methanol was gone and this air could dry it no further."),
    "wetting": later("At {time} the methanol was gone and the air was wetting the fuel."),
    "unknown": later("At {time} drydown could not tell how dry it was."),
}


def summary(run: RunRecord, zone: tzinfo) -> tuple[str, ...]:
    """In paragraphs: what was done, what is left in the fuel, its warmth, the room, what else happened."""
    paragraphs = (_done, _left, _warmth, _room, _happened)
    return tuple(filter(None, (" ".join(told(run, zone)) for told in paragraphs)))


def _done(run: RunRecord, zone: tzinfo) -> Iterator[str]:
    if not run.ran:
        yield say(NOTHING) if not run.ended else say("The blower has not run in this batch.")
        return
    first, last = run.ran[0], run.ran[-1]
    goes_on = not run.ended and last.end >= run.until
    breaks, end = len(run.ran) - 1, run.until if goes_on else last.end
    span = say(
        later("from {start} and ran on at {end}") if goes_on else later("from {start} until {end}"),
        start=moment(first.start, run.start, zone),
        end=moment(end, run.start, zone),
    )
    if breaks:
        pauses = counted("one break", "{count} breaks", breaks)
        span = say("{span}, with {breaks}", span=span, breaks=pauses)
    bubbled = duration(run.run_time)
    if run.volume:
        yield say(
            "The blower sent air through {volume} of fuel {span}: {bubbled} of bubbling.",
            volume=litres(run.volume),
            span=span,
            bubbled=bubbled,
        )
    else:
        yield say("The blower sent air {span}: {bubbled} of bubbling.", span=span, bubbled=bubbled)


def _left(run: RunRecord, zone: tzinfo) -> Iterator[str]:
    believed = run.believed
    if not run.ran:
        return
    if not believed:
        yield say("What is left in the fuel could not be told.")
    else:
        yield from _contents(run, believed, zone)


def _warmth(run: RunRecord, zone: tzinfo) -> Iterator[str]:
    if not run.ran:
        return
    yield from _cooling(run, zone)
    if run.driven_off is not None and run.driven_off.median > 0:
        yield say("About {mass} of methanol left with the air.", mass=ranged(run.driven_off, _kilograms))


def _contents(run: RunRecord, believed: list[Line], zone: tzinfo) -> Iterator[str]:
    began = next((one for one in believed if one["time"] >= run.ran[0].start), believed[-1])
    last = believed[-1]
    methanol, water = Spread(**last["methanol"]), Spread(**last["water"])
    limits = run.tank.fuel
    first = methanol_content(began["methanol"]["median"])
    yield say(
        "Methanol, first put at {first}, came to {last}; its limit is {limit}.",
        first=first,
        last=ranged(methanol, methanol_content),
        limit=methanol_content(limits.methanol_limit),
    )
    gone = first_time(run, methanol_gone)
    if gone is not None:
        yield say("At {time} it was sure enough to be within that.", time=moment(gone, run.start, zone))
    yield say(
        "Water came to {water}; its limit is {limit}.",
        water=ranged(water, water_content),
        limit=water_content(limits.water_limit),
    )
    since = first_time(run, dry) if last["verdict"] == "dry" else None
    yield say(
        ENDINGS[last["verdict"]], time=moment(last["time"] if since is None else since, run.start, zone)
    )
    if last["verdict"] == "dry":
        yield say(CONFIRM)


def _cooling(run: RunRecord, zone: tzinfo) -> Iterator[str]:
    fuel = run.ranges.get("fuel/temperature")
    if fuel is None:
        return
    first, least, last = (celsius(one + ZERO_CELSIUS) for one in (fuel.first, fuel.least, fuel.last))
    if fuel.first - fuel.least < COOLING:
        yield say("The fuel went from {first} to {last}.", first=first, last=last)
        return
    told = {"first": first, "least": least, "time": moment(fuel.least_at, run.start, zone)}
    if least == last:
        yield say("Evaporation and the room cooled the fuel from {first} to {least}, at {time}.", **told)
    else:
        yield say(COOLED_AND_WARMED, last=last, **told)


def _room(run: RunRecord, zone: tzinfo) -> Iterator[str]:
    measured, reckoned = (run.ranges.get(name) for name in ("vapour/methanol", "room/methanol"))
    room = measured or reckoned
    if room is None or not run.ran:
        return
    most = say(
        later("The room’s air held at most {most} of methanol")
        if measured
        else later("The room’s air held, by reckoning, at most {most} of methanol"),
        most=parts_per_million(room.most),
    )
    limit, time = parts_per_million(EXPOSURE_LIMIT), moment(room.most_at, run.start, zone)
    if room.most <= EXPOSURE_LIMIT:
        yield say("{most}, below the {limit} that may be breathed for a working day.", most=most, limit=limit)
    elif room.most <= SHORT_EXPOSURE_LIMIT:
        yield say(
            "{most}, at {time}: above the {limit} for a working day.", most=most, time=time, limit=limit
        )
    else:
        short = parts_per_million(SHORT_EXPOSURE_LIMIT)
        yield say(UNBREATHABLE, most=most, time=time, limit=short)


def _happened(run: RunRecord, zone: tzinfo) -> Iterator[str]:
    raised = [one for one in run.events if one["kind"] == "alarm" and one["change"] == Change.RAISED]
    counts = {priority: sum(one["priority"] == priority for one in raised) for priority in Priority}
    said = [alarms_of(priority, count) for priority, count in counts.items() if count]
    if said:
        yield counted(
            "An alarm came up, and stands below with its time: {alarms}.",
            "Alarms came up, and stand below with their times: {alarms}.",
            len(raised),
            alarms=together(said),
        )
    else:
        yield say("No alarm came up.")
    tests = results_of(one for one in run.events if one["kind"] == "command")
    if not tests:
        yield say("No test of the fuel was entered.")
    for one in tests:
        time = moment(one.time, run.start, zone)
        yield say("A test at {time} found: {found}.", time=time, found=quality.found(one))


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
