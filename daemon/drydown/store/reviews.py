"""What came of a run, by the record: how it ended and when, what it began with, what people noted of it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from drydown.effects import Priority
from drydown.estimate.result import Spread
from drydown.run.movement import LevelKind
from drydown.run.stages import Stage
from drydown.store.read import Event, Run, StoreReader
from drydown.store.series import Series
from drydown.store.totals import ALL, LATEST, Totals, totals

KINDS = ("notice", "command")
METHANOL, LEFT, SHARE, EMISSION = "estimate/methanol", "vapour/left", "blower/flow_share", "estimate/emission"
ENDS = {"median": "", "low": "/low", "high": "/high"}
WORST = (Priority.EMERGENCY, Priority.HIGH, Priority.LOW)


class Outcome(StrEnum):
    """How a run ended, as far as anybody can tell without a test."""

    DRY = "dry"
    AIR_LIMITED = "air-limited"
    METHANOL_GONE = "methanol-gone"
    BROKEN_OFF = "broken-off"
    NOT_BLOWN = "not-blown"
    GOING_ON = "going-on"


@dataclass(frozen=True, slots=True)
class Review:
    """One run. Times in Unix s, lengths of time in s of bubbling, contents as mass fractions.

    `gone_after` and `dry_after` count the blower's run time until methanol, and until both, were sure enough
    to be within their limits; `dry_at` is when that was. `methanol` and `water` are what was left when the
    blower last stopped; `methanol_start` is that and what had been driven off. `flow_share` is what the
    blower gave of its usual air.
    """

    run: Run
    totals: Totals
    outcome: Outcome
    bubbled_at: float | None
    gone_after: float | None
    dry_after: float | None
    dry_at: float | None
    methanol_start: Spread | None
    methanol: Spread | None
    water: Spread | None
    flow_share: Spread | None
    notes: tuple[str, ...]

    @property
    def worst(self) -> Priority | None:
        """The most urgent priority of which an alarm was raised."""
        return next((one for one in WORST if self.totals.alarms.get(one)), None)

    @property
    def filled(self) -> Spread | None:
        """What came into the tank, m³ at 15 °C."""
        return self.totals.moved.get(LevelKind.FILLING)


def review(reader: StoreReader, run: Run) -> Review:
    """Look a run up, to its end or as far as it was recorded."""
    end = LATEST if run.end is None else run.end
    events = reader.events(run.tank, run.start, end, KINDS, ALL)
    passed = _milestones(events)
    added_up = totals(reader, run)
    first, last = _bubbling(run, end)
    methanol, water = (
        _last(reader, run.tank, f"estimate/{name}", first, last) if first is not None else None
        for name in ("methanol", "water")
    )
    return Review(
        run=run,
        totals=added_up,
        outcome=outcome(run, passed),
        bubbled_at=first,
        gone_after=_after(passed.get("methanol-gone")),
        dry_after=_after(passed.get("dry")),
        dry_at=passed["dry"].time if "dry" in passed else None,
        methanol_start=_start(reader, run.tank, first, last, added_up.methanol, methanol),
        methanol=methanol,
        water=water,
        flow_share=_usual(reader, run.tank, first, last),
        notes=tuple(one.body["text"] for one in events if one.body.get("command") == "note"),
    )


def outcome(run: Run, passed: Mapping[str, Event]) -> Outcome:
    """How it ended, from the milestones that it passed, by kind."""
    stages = [stage for _, stage in run.stages]
    if "dry" in passed:
        return Outcome.DRY
    if "methanol-gone" in passed and ("air-limited" in passed or "wetting" in passed):
        return Outcome.AIR_LIMITED
    if Stage.BUBBLING not in stages:
        return Outcome.NOT_BLOWN
    if run.end is None and stages[-1] in (Stage.BUBBLING, Stage.PAUSED):
        return Outcome.GOING_ON
    return Outcome.METHANOL_GONE if "methanol-gone" in passed else Outcome.BROKEN_OFF


def _milestones(events: Sequence[Event]) -> dict[str, Event]:
    """The first notice of each kind."""
    found: dict[str, Event] = {}
    for event in events:
        if event.kind == "notice":
            found.setdefault(str(event.body["notice"]), event)
    return found


def _after(passed: Event | None) -> float | None:
    after = passed.body["values"].get("run_time") if passed else None
    return float(after) if isinstance(after, int | float) else None


def _bubbling(run: Run, end: float) -> tuple[float | None, float]:
    """When it first began to bubble, and when it last ceased."""
    first, last = None, end
    for i, (time, stage) in enumerate(run.stages):
        if stage == Stage.BUBBLING:
            first = time if first is None else first
            last = run.stages[i + 1][0] if i + 1 < len(run.stages) else end
    return first, last


def _last(reader: StoreReader, tank: str, name: str, first: float, last: float) -> Spread | None:
    told = [reader.last(tank, name + tail, first, last) for tail in ENDS.values()]
    found = [one for one in told if one is not None]
    return Spread(*found) if len(found) == len(told) else None


def _start(
    reader: StoreReader,
    tank: str,
    first: float | None,
    last: float,
    driven_off: Spread | None,
    left: Spread | None,
) -> Spread | None:
    """What was driven off and what is left. The ends of both are taken to go together."""
    if first is None or driven_off is None or left is None:
        return None
    kilograms, content = (reader.last(tank, name, first, last) for name in (LEFT, METHANOL))
    if not kilograms or not content:
        return None
    fuel = kilograms / content
    return Spread(*(getattr(left, end) + getattr(driven_off, end) / fuel for end in ENDS))


def _usual(reader: StoreReader, tank: str, first: float | None, last: float) -> Spread | None:
    """The middle one of each end of what was told in a run of the blower's air."""
    if first is None:
        return None
    found = [reader.series(tank, SHARE + tail, first, last, ALL) for tail in ENDS.values()]
    told = [_middle(series) for series in found if series is not None and series.value]
    return Spread(*told) if len(told) == len(found) else None


def _middle(series: Series) -> float:
    return sorted(series.value)[len(series.value) // 2]
