"""The shape of a tank's state, of a plan and of the alarms' sheets, as the API answers them.

Times are Unix seconds. Readings are in the unit named beside them, all else is in SI.
"""

from typing import Literal

from pydantic import ConfigDict

from drydown.effects import Change, Priority
from drydown.estimate.result import Verdict
from drydown.reading import Quality
from drydown.run.movement import LevelKind
from drydown.run.stages import Stage
from drydown_api.answers import Answer, SpreadAnswer


class ReadingAnswer(Answer):
    """The last reading of a quantity; `quality` and `reason` stand only where it is not good."""

    kind: Literal["reading"]
    time: float
    name: str
    value: bool | float | None
    unit: str | None
    quality: Quality = Quality.GOOD
    reason: str = ""


class AdviceAnswer(Answer):
    """What would help, with the numbers that it rests on."""

    model_config = ConfigDict(frozen=True, extra="allow")
    __pydantic_extra__: dict[str, float]
    kind: str


class ProspectAnswer(Answer):
    """What a start of the blower would bring, `wait` s from now, with fuel warmer by so many K.

    `methanol_gone_in` and `dry_in` (s of bubbling) are null where the end does not come. `water_least` is a
    mass fraction, `emission_peak` in kg/s. `fresh_air` (m3/s) keeps the room fit to breathe in while most
    vapour comes, `fresh_air_against_fire` below a quarter of what can burn.
    """

    warmer_by: float
    wait: float
    methanol_gone_in: SpreadAnswer | None
    dry_in: SpreadAnswer | None
    water_least: SpreadAnswer
    emission_peak: SpreadAnswer
    fresh_air: SpreadAnswer
    fresh_air_against_fire: SpreadAnswer


class EstimateAnswer(Answer):
    """How dry, how sure, when: mass fractions, kg/s (`emission`), times; null where nothing can be told."""

    kind: Literal["estimate"]
    time: float
    run_time: float
    methanol: SpreadAnswer | None
    water: SpreadAnswer | None
    water_floor: SpreadAnswer | None
    emission: SpreadAnswer | None
    methanol_done_at: SpreadAnswer | None
    dry_at: SpreadAnswer | None
    methanol_done: bool
    verdict: Verdict
    advice: list[AdviceAnswer]
    plan: list[ProspectAnswer]


class MovementAnswer(Answer):
    """What the fuel does as its level tells: `rate` and `sigma` in m3/s, `volume` in m3, `headroom` in m."""

    kind: LevelKind | None
    rate: float | None
    sigma: float | None
    bubbling: bool
    since: float | None
    volume: float
    who: str
    headroom: float | None


class LearnedFromAnswer(Answer):
    """In how many runs the estimate's beginning was learned, and when that began."""

    runs: int
    since: float


class BlowerAnswer(Answer):
    """Whether the blower runs (null: nobody can tell), and its hours in s: this stretch, this run, ever."""

    running: bool | None
    stretch: float
    run: float
    total: float
    starts: int


class StandingAlarmAnswer(Answer):
    """An alarm as last raised, where it stands in its life, and who has seen it when."""

    kind: Literal["alarm"]
    time: float
    alarm: str
    priority: Priority
    change: Change
    cause: str
    message: str
    values: dict[str, float | str]
    state: Literal[
        "unacknowledged",
        "acknowledged",
        "returned-unacknowledged",
        "latched",
        "shelved",
        "suppressed-by-design",
    ]
    who: str
    seen_at: float | None


class SupplyCutAnswer(Answer):
    """That the relay holds the blower off, and because of which alarm."""

    kind: Literal["supply"]
    time: float
    cut: bool
    alarm: str
    by: str


class TankAnswer(Answer):
    """Everything known of a tank now. `degraded` names parts of the watch that do not work, and why."""

    time: float
    stage: Stage
    stage_since: float | None
    movement: MovementAnswer
    learned: LearnedFromAnswer | None
    readings: dict[str, ReadingAnswer]
    estimate: EstimateAnswer | None
    blower: BlowerAnswer
    alarms: list[StandingAlarmAnswer]
    supply_cut: SupplyCutAnswer | None
    not_watched: list[str]
    degraded: dict[str, str]


class PlanAnswer(Answer):
    """What a start of the blower would bring: now first, then with what would change it; and in sentences.

    `time` is when it was worked out. There is a plan only while the blower rests.
    """

    time: float | None
    prospects: list[ProspectAnswer]
    said: list[str]


class SheetAnswer(Answer):
    """What is told when an alarm comes for this cause; names in {braces} stand for what was found.

    `priority` is the least it is raised with: what is found may make it more urgent. It comes within
    `deadline` s of the reading that shows the cause.
    """

    alarm: str
    cause: str
    priority: Priority
    deadline: float
    title: str
    happened: str
    leads_to: str
    do: str
    within: str
