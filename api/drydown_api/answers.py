"""The shapes of what the API answers. Times are Unix seconds; values stand in the unit named beside them."""

from typing import Literal

from pydantic import BaseModel, ConfigDict


class Answer(BaseModel):
    """A body of the API."""

    model_config = ConfigDict(frozen=True)


class ProblemAnswer(Answer):
    """Why a request could not be met (RFC 9457): `title` is the status in words, `detail` says what to do."""

    type: Literal["about:blank"] = "about:blank"
    title: str
    status: int
    detail: str


class HealthAnswer(Answer):
    """Whether watcher and store can be reached; where not, `watcher` and `store` say why."""

    well: bool
    watcher: str
    store: str


class SeriesAnswer(Answer):
    """A stretch of one series as columns of the same length.

    `step` is 0 when every reading is there. Otherwise each point stands for the readings of so many seconds
    from its `time`: `count` of them, with their mean (`value`) and their extremes.
    """

    name: str
    unit: str | None
    step: float
    time: list[float]
    value: list[float]
    low: list[float]
    high: list[float]
    count: list[int]


class EntryAnswer(Answer):
    """An entry of the logbook: its kind, its values in SI units and words, and who made it when."""

    time: float
    entry: str
    values: dict[str, float | str]
    who: str


class StageAnswer(Answer):
    """When a batch entered a stage."""

    time: float
    stage: str


class SpreadAnswer(Answer):
    """A median with its 5 % and 95 % points."""

    median: float
    low: float
    high: float


class ResultAnswer(Answer):
    """A test's result: a number in its SI unit, or a word. `time` is when the sample was taken."""

    kind: str
    value: float | str
    sigma: float | None
    method: str
    who: str
    time: float


class EstimatedAnswer(Answer):
    """A content (mass fraction) that was worked out; `within` its limit is null where it may be either."""

    kind: str
    content: SpreadAnswer
    within: bool | None


class ReleaseAnswer(Answer):
    """What can be said of a batch: kinds of tests that are `missing`, `against` it, and `unlooked` at."""

    clear: bool
    said: str
    measured: list[ResultAnswer]
    estimated: list[EstimatedAnswer]
    missing: list[str]
    against: list[str]
    unlooked: list[str]


class DrainedAnswer(Answer):
    """What somebody saw come out of the drain; `volume` in m3 where they said it."""

    time: float
    seen: str
    volume: float | None
    who: str


class SentAnswer(Answer):
    """Where fuel went, by somebody's word; `volume` in m3."""

    time: float
    volume: float
    to: str
    who: str


class BatchAnswer(Answer):
    """A batch from its filling to the next one's, `until`, which is null for the last.

    `moved` is by the level, in m3 at 15 °C: filling, draw, drain, leak, foam. `run_time` is the blower's (s),
    `energy` its electricity (J), null where its power is not configured.
    """

    name: str
    start: float
    until: float | None
    outcome: str
    moved: dict[str, SpreadAnswer]
    drained: list[DrainedAnswer]
    sent: list[SentAnswer]
    tests: list[ResultAnswer]
    released_by: str | None
    run_time: float
    energy: float | None


class FillingAnswer(Answer):
    """What goes into a vehicle's tank, and what it then holds (m3), the volume share of own fuel in that, and
    its cloud point (K).

    `bears` is the coldest (K) once the room that is left is filled with diesel. Where nothing is `possible`,
    diesel itself may cloud and the rest is null.
    """

    possible: bool
    take_out: float | None = None
    diesel: float | None = None
    own: float | None = None
    holds: float | None = None
    share: float | None = None
    cloud_point: SpreadAnswer | None = None
    bears: float | None = None


class RunAnswer(Answer):
    """One batch, with what it came to; `end` is null while it lasts.

    `outcome` is one of dry, air-limited, methanol-gone, broken-off, not-blown, going-on. `gone_after` and
    `dry_after` count s of the blower's run time from its first start, at `bubbled_at`; `dry_at` is Unix time.
    `methanol_start` (mass fraction) is what was driven off and what is left. `worst` is the most urgent
    priority of its alarms.

    `run_time` is the blower's (s); `volume` (m3 at 15 °C) what was in the tank when it first blew; `methanol`
    (kg) what was driven off; `moved` (m3 at 15 °C) what came in and went out: filling, draw, drain, leak,
    foam; `alarms` how often one was raised, by priority.
    """

    name: str
    start: float
    end: float | None
    stages: list[StageAnswer]
    run_time: float
    volume: float | None
    methanol: SpreadAnswer | None
    moved: dict[str, SpreadAnswer]
    alarms: dict[str, int]
    outcome: str
    bubbled_at: float | None
    gone_after: float | None
    dry_after: float | None
    dry_at: float | None
    methanol_start: SpreadAnswer | None
    worst: str | None
    notes: list[str]


class HeldAnswer(Answer):
    """Something that held for a while: `what` by name, `said` in words."""

    start: float
    end: float
    what: str
    said: str


class RowAnswer(Answer):
    """What held when, of one thing: the stage, the blower, the vent, the verdict."""

    name: str
    stretches: list[HeldAnswer]


class HappeningAnswer(Answer):
    """Something that happened, or stood until `end`; `at` is `time` as a time of day."""

    time: float
    end: float
    sign: str
    kind: str
    said: str
    at: str


class TestAnswer(Answer):
    """What a test of the fuel found: a mass fraction with its standard error."""

    time: float
    quantity: str
    value: float
    sigma: float


class EndAnswer(Answer):
    """An end as it was foreseen, in words and with its range, and how what came compares."""

    said: str
    median: float | None
    low: float | None
    high: float | None
    came: str


class BeliefAnswer(Answer):
    """What the tank's page said at a moment, and the amounts below it, in words."""

    time: float
    at: str
    sentence: str
    step: str
    verdict: str
    methanol: str
    water: str
    gone: EndAnswer
    dry: EndAnswer


class OutcomeAnswer(Answer):
    """What came of a run, in words."""

    methanol: str
    water: str
    gone: str
    dry: str
    verdict: str


class DayAnswer(Answer):
    """A day of a run, which began at `start`, in words."""

    start: float
    said: str


class CourseAnswer(Answer):
    """A run as its page tells it, without its series.

    Limits are mass fractions (methanol, water), Celsius (fuel) and mole fractions (breathe, fire); `ahead`
    is how many seconds the tank's time of day is ahead of UTC.
    """

    start: float
    until: float
    ahead: float
    days: list[DayAnswer]
    limits: dict[str, float]
    rows: list[RowAnswer]
    marks: list[HappeningAnswer]
    tests: list[TestAnswer]
    beliefs: list[BeliefAnswer]
    outcome: OutcomeAnswer


class DoneAnswer(Answer):
    """A command reached the watcher."""

    done: bool


class LearnedQuantityAnswer(Answer):
    """One thing that was learned, in SI units, with its 90 % range, and in words.

    `narrowed` is the share of the first guess's variance that runs took away; below 0 they widened it.
    """

    name: str
    said: str
    median: float
    low: float
    high: float
    narrowed: float


class LearnedAnswer(Answer):
    """What runs taught, in sentences and one by one; `used` tells whether the next run begins with it.

    It was learned in so many `runs`, the first of which ended at `since` and the last at `last`.
    """

    used: bool
    runs: int = 0
    since: float | None = None
    last: float | None = None
    said: list[str]
    quantities: list[LearnedQuantityAnswer] = []


class GainAnswer(Answer):
    """How wide a range is with a probe or test, over how wide it is without: of methanol after 20 min of
    bubbling (after 40 where it is a test of it), and of water at the end.

    `fitted` tells whether the run that it was found on had it.
    """

    kind: Literal["air", "discharge", "methanol-test", "water-test"]
    fitted: bool
    methanol: float | None
    water: float | None


class WorthAnswer(Answer):
    """What another probe or a test would bring, by the run that began at `start`."""

    state: Literal["no-run", "working", "told", "failed"]
    start: float | None = None
    said: list[str]
    gains: list[GainAnswer] = []
