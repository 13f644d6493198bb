"""What was believed at each moment of a run, in words, beside what came."""

from bisect import bisect_right
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import tzinfo
from functools import partial

from drydown.estimate.result import Spread
from drydown.texts.amounts import duration, methanol_content, moment, ranged, water_content
from drydown.texts.language import later, say
from drydown.texts.words import VERDICTS
from drydown_pages.headline import headline
from drydown_pages.run.record import Line, RunRecord, Stretch, stretches
from drydown_pages.run.summary import dry, first_time, methanol_gone

MOST = 720  # beliefs that a page takes: one a minute of twelve hours
CANNOT = later("cannot tell")
LATER_WITHIN = later("{time} later than expected then, within the range")
LATER_OUTSIDE = later("{time} later than expected then, outside the range")
SOONER_WITHIN = later("{time} sooner than expected then, within the range")
SOONER_OUTSIDE = later("{time} sooner than expected then, outside the range")
PUNCTUAL = 90.0  # s by which an end may be off and still have come as expected


@dataclass(frozen=True, slots=True)
class End:
    """An end as it was foreseen: in words, its ends in Unix s, and how what came compares."""

    said: str
    median: float | None = None
    low: float | None = None
    high: float | None = None
    came: str = ""


@dataclass(frozen=True, slots=True)
class Belief:
    """What the page of the tank said at `time` (Unix s; `at` as a time of day), and the numbers below it."""

    time: float
    at: str
    sentence: str
    step: str
    verdict: str
    methanol: str
    water: str
    gone: End
    dry: End


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came: contents as they were believed last, and when both ends were told."""

    methanol: str
    water: str
    gone: str
    dry: str
    verdict: str


def beliefs(run: RunRecord, zone: tzinfo) -> tuple[Belief, ...]:
    """One for each estimate; of very many every so-manieth, and each at which the verdict changed."""
    gone, dried = first_time(run, methanol_gone), first_time(run, dry)
    at = partial(moment, first=run.start, zone=zone)
    return tuple(
        Belief(
            time=one["time"],
            at=at(one["time"]),
            sentence=(said := headline(_stage(run, one["time"]), one, zone))[0],
            step=said[1],
            verdict=say(VERDICTS[one["verdict"]]),
            methanol=_content(one["methanol"], methanol_content),
            water=_content(one["water"], water_content),
            gone=_end(one, "methanol_done_at", methanol_gone(one), gone, at),
            dry=_end(one, "dry_at", dry(one), dried, at),
        )
        for one in _chosen(run.estimates)
    )


def outcome(run: RunRecord, zone: tzinfo) -> Outcome:
    """What came of the run as far as it was recorded."""
    last = run.believed[-1] if run.believed else None
    not_yet = say("not in this run") if run.ended else say("not yet")
    gone, dried = first_time(run, methanol_gone), first_time(run, dry)
    at = partial(moment, first=run.start, zone=zone)
    return Outcome(
        methanol=_content(last["methanol"] if last else None, methanol_content),
        water=_content(last["water"] if last else None, water_content),
        gone=not_yet if gone is None else say("told at {time}", time=at(gone)),
        dry=not_yet if dried is None else say("told at {time}", time=at(dried)),
        verdict=say(VERDICTS[last["verdict"]] if last else CANNOT),
    )


def verdicts(run: RunRecord) -> tuple[Stretch, ...]:
    """The verdict's history."""
    said = ((one["time"], str(one["verdict"])) for one in run.estimates)
    return stretches(said, run.until)


def _chosen(estimates: Sequence[Line]) -> list[Line]:
    spacing = -(-len(estimates) // MOST) or 1
    turned = {i for i in range(1, len(estimates)) if estimates[i]["verdict"] != estimates[i - 1]["verdict"]}
    last = len(estimates) - 1
    return [one for i, one in enumerate(estimates) if i % spacing == 0 or i in turned or i == last]


def _stage(run: RunRecord, time: float) -> str:
    at = bisect_right(run.stages, time, key=lambda entered: entered[0])
    return run.stages[max(at - 1, 0)][1]


def _content(spread: Mapping[str, float] | None, write: Callable[[float], str]) -> str:
    return say(CANNOT) if spread is None else ranged(Spread(**spread), write)


def _end(estimate: Line, name: str, is_there: bool, came: float | None, at: Callable[[float], str]) -> End:
    if is_there:
        return End(say("is so"))
    found = estimate[name]
    if found is None:
        return End(say("no end in sight"))
    low, median, high = found["low"], found["median"], found["high"]
    said = say(
        "about {middle} ({low} to {high})",
        middle=at(median),
        low=at(low),
        high=at(high),
    )
    return End(said, median, low, high, _compared(came, low, median, high) if came else "")


def _compared(came: float, low: float, median: float, high: float) -> str:
    """How the end that came compares with the one foreseen."""
    if abs(came - median) <= PUNCTUAL:
        return say("as expected then")
    time, is_within = duration(abs(came - median)), low <= came <= high
    if came > median:
        said = LATER_WITHIN if is_within else LATER_OUTSIDE
    else:
        said = SOONER_WITHIN if is_within else SOONER_OUTSIDE
    return say(said, time=time)
