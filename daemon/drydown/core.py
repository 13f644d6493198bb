"""The core of one tank: readings and commands in, decisions out. No I/O, no clock.

Live, demo and replay differ only in who calls `step`. The same input always gives the same output, to the
byte. What is done, in this order:

    readings → judged → what is worked out from them → stage and run → alarms → notices → estimate

and after an estimate alarms and notices once more. In a step that tells of an alarm, or just before one may
be due, nothing is estimated: that comes a moment later.
"""

from collections.abc import Iterable, Iterator
from functools import partial
from zlib import crc32

from drydown.airing import Airing
from drydown.alarms.kept import Memory
from drydown.alarms.lifecycle import Refusal
from drydown.alarms.panel import Panel
from drydown.alarms.telling import Telling
from drydown.blowing import Blowing
from drydown.commands import (
    Acknowledge,
    BenchTest,
    ClockPutRight,
    Command,
    CorrectStage,
    Degraded,
    Drain,
    Draw,
    Forget,
    Mended,
    Part,
    Reset,
    RestoreSupply,
    Shelve,
    Unshelve,
)
from drydown.condition.filing import Filing
from drydown.condition.judge import condition, new_state
from drydown.config.model import Tank
from drydown.counsel import Counsel
from drydown.effects import (
    AlarmChanged,
    Change,
    Conditioned,
    Derived,
    Effect,
    Estimated,
    LevelEvent,
    NoticeDue,
    Priority,
    StageChanged,
    SupplyChanged,
    Taught,
)
from drydown.estimate.belief import Belief
from drydown.estimate.estimator import Estimator
from drydown.estimate.inputs import priors_of
from drydown.estimate.lesson import Lesson
from drydown.estimate.result import Estimate, Prospect
from drydown.faults import Faults
from drydown.outlook.air import AirAhead
from drydown.outlook.ranking import Outlook
from drydown.picture import Picture
from drydown.reading import Reading
from drydown.run.batch import Batch
from drydown.run.milestones import Milestones
from drydown.run.movement import LevelKind
from drydown.run.stages import Stage
from drydown.run.supply import Supply
from drydown.schooling import Schooling
from drydown.telling import unknown

ESTIMATE_EVERY = 60.0  # s
GIVES_WAY = 0.1  # s by which estimate and advice let an alarm go first
OWN = "drydown"  # who enters a stage that nobody corrects


def own_share(name: str) -> float:
    """A share of a minute, above 0 and at most 1, by which tanks take turns at estimating."""
    return (crc32(name.encode()) % 60 + 1) / 60


def _is_raised(effect: Effect) -> bool:
    return isinstance(effect, AlarmChanged) and effect.change is Change.RAISED


def nothing() -> tuple[Derived, ...]:
    """Where a mistake was made in working something out."""
    return ()


class Core:
    """One tank. Times are in s on the core's clock, everything else in SI units."""

    def __init__(self, tank: Tank, lesson: Lesson | None = None) -> None:
        """`lesson` is what earlier runs taught of this tank and its blower."""
        self.tank = tank
        self.picture = Picture(tank)
        self.scene, self.timer = self.picture.scene, self.picture.timer
        self.batch = Batch(self.picture.rest)
        self.panel = Panel()
        self.supply = Supply(tank.relay.cuts_on if tank.relay else ())
        self._telling = Telling()
        self.faults = Faults(self.scene)
        self.estimate: Estimate | None = None
        self._condition = new_state(tank.probes)
        self._filing = Filing()
        self._priors = priors_of(tank)
        self._schooling = Schooling(tank, lesson)
        self._estimator = Estimator(self._priors, self._schooling.prior)
        self._counsel = Counsel()
        self._airing = Airing()
        self._blowing = Blowing(self._priors.cross_section)
        self._milestones = Milestones()
        self._put_off = float("inf")
        self._estimate_at(float("-inf"))

    @property
    def due(self) -> float:
        """When `step` has something to do even without readings, in s; infinite while it has nothing."""
        return min(self.panel.due, self._put_off)

    def step(
        self, now: float, readings: Iterable[Reading], commands: Iterable[Command]
    ) -> tuple[Effect, ...]:
        """Take in what has come since the last step; what follows from it, in order.

        `now` never goes back. Readings carry their own times, at or before `now`.
        """
        self.picture.begin(now)
        return tuple(self._steps(now, readings, commands))

    def go_on_from(self, failed: "Core") -> None:
        """Take over what a core that failed in the middle of a step knew of alarms and of drydown itself."""
        self.panel, self._telling, self.supply = failed.panel, failed._telling, failed.supply
        self.scene.degraded |= failed.scene.degraded

    def refusal(self, command: Command) -> Refusal | None:
        """Why a command would change nothing now; None where it would do something."""
        match command:
            case Acknowledge() | Shelve() | Unshelve() | Reset():
                return self.panel.refusal(command)
            case RestoreSupply():
                return self.supply.refusal(self.panel.standing)
        return None

    def listen_anew(self, now: float) -> None:
        """Give every probe its usual time to be heard: nobody has listened before now (s)."""
        self._condition.listen_anew(now)
        self.picture.listen_anew(now)

    def kept(self) -> Memory:
        """What has to be known of the alarms after a restart."""
        return Memory(self.panel.kept(), dict(self._telling.told), self.supply.cut, self.panel.first)

    def recall(self, memory: Memory) -> None:
        """Stand where the alarms stood before a restart."""
        self.panel.recall(memory.alarms)
        self.panel.first = memory.first
        self._telling = Telling(memory.told)
        self.supply.cut = memory.cut if self.supply.is_fitted else None

    @property
    def told_of_run(self) -> tuple[NoticeDue, ...]:
        """What somebody was to be told of this run so far."""
        return tuple(self._milestones.passed.values())

    @property
    def lesson(self) -> Lesson | None:
        """What runs taught of this tank and its blower: what the estimate of the next fuel begins with."""
        return self._schooling.lesson

    @lesson.setter
    def lesson(self, lesson: Lesson | None) -> None:
        self._schooling.lesson = lesson

    def begin_with(self, lesson: Lesson | None) -> None:
        """Begin the estimate anew, with what earlier runs taught."""
        self.lesson = lesson
        self._afresh()

    def _steps(
        self, now: float, readings: Iterable[Reading], commands: Iterable[Command]
    ) -> Iterator[Effect]:
        judged = condition(now, readings, self._condition)
        for reading in judged:
            yield Conditioned(self._filing.place(now, reading))
            yield from self.faults.tried(partial(self._take, reading), nothing)
        self._note_doubts()
        for command in commands:
            yield from self._obey(now, command)
        self.picture.advance()
        self.faults.tried(self._air, self._air_afresh)
        for stage in self.batch.observe(now, self.timer, self.picture.level, self.picture.movements):
            yield from self._enter(now, stage, OWN)
        if judged:
            self.faults.tried(partial(self._estimator.observe, now, self.picture.sample()), self._afresh)
        urgent = tuple(self._tell(self.panel.look(self.scene)))
        yield from urgent
        if any(map(_is_raised, urgent)) or self.panel.due - now < GIVES_WAY:
            self._put_off = now + GIVES_WAY
            return
        self._put_off = float("inf")
        if now < self._next_estimate:
            self.faults.tried(partial(self._counsel.look, self.scene), self._counsel_afresh)
        else:
            yield from self._believe(now)
            yield from self._tell(self.panel.look(self.scene))

    def _obey(self, now: float, command: Command) -> Iterator[Effect]:
        match command:
            case Acknowledge() | Shelve() | Unshelve() | Reset():
                yield from self._tell(self.panel.obey(now, command))
            case RestoreSupply(who=who):
                yield from self.supply.give_back(now, who, self.panel.standing)
            case CorrectStage(stage=stage, who=who):
                if self.batch.correct(now, stage, self.timer):
                    yield from self._enter(now, stage, who)
            case Draw(who=who):
                self.picture.declare(now, LevelKind.DRAW, who)
            case Drain(who=who):
                self.picture.declare(now, LevelKind.DRAIN, who)
            case BenchTest(quantity=quantity, value=value, sigma=sigma, ago=ago):
                test = partial(self._estimator.bench_test, now - ago, quantity, value, sigma)
                self.faults.tried(test, self._afresh)
                self._estimate_at(now)
            case Forget():
                if self._schooling.forget():
                    self._afresh()
                    self._estimate_at(now)
            case ClockPutRight(by=by):
                yield NoticeDue(now, f"clock/{now:.3f}", "clock", Priority.LOW, {"wrong_by": by})
            case Degraded(part=part, reason=reason):
                self.scene.degraded[part] = reason
            case Mended(part=part):
                self.scene.degraded.pop(part, None)

    def _enter(self, now: float, stage: Stage, by: str) -> Iterator[Effect]:
        yield StageChanged(now, stage, by)
        turn = self._schooling.enter(stage)
        if turn.run_over:
            lesson = self.faults.tried(partial(self._learn, now), lambda: None)
            if lesson:
                yield Taught(now, lesson)
        if turn.anew:
            self._afresh()
        if stage is Stage.READY and by == OWN:
            drawable = self.picture.level.drawable
            yield from self._milestones.end_rest(now, self.batch.run_started, self.batch.rest, drawable)
        self._estimate_at(now)

    def _estimate_at(self, now: float) -> None:
        """Out of turn; the next one after it comes when it is this tank's turn."""
        self._next_estimate, self._gap = now, own_share(self.tank.name) * ESTIMATE_EVERY

    def _learn(self, now: float) -> Lesson | None:
        return self._schooling.end_run(now, self._estimator.learned(), self.timer.run)

    def _believe(self, now: float) -> Iterator[Effect]:
        self._next_estimate, self._gap = now + self._gap, ESTIMATE_EVERY
        self.faults.begin_round()
        found = self.faults.tried(partial(self._estimate, now), partial(self._nothing, now))
        blown = self.faults.tried(partial(self._blown, found), self._unblown)
        self.estimate = found = self.faults.tried(
            partial(self._advised, found), partial(self._unadvised, found)
        )
        self.scene.verdict = found.verdict
        self.scene.water_floor = found.water_floor.median if found.water_floor else None
        yield Estimated(found)
        yield from blown
        yield from self.faults.tried(partial(self._aired, found), self._unaired)
        yield from self._milestones.pass_by(found, self.batch.run_started, bool(self.scene.running))

    def _estimate(self, now: float) -> Estimate:
        found = self._estimator.estimate(now)
        return unknown(now, found.run_time) if self.picture.is_empty else found

    def _advised(self, found: Estimate) -> Estimate:
        return self._counsel.add(self.scene, found, self._belief())

    def _belief(self) -> Belief | None:
        return None if self.picture.is_empty else self._estimator.belief

    def what_if(self, fuel_temperature: float) -> tuple[Prospect, ...]:
        """Two starts of the blower: as the fuel is, and at so many K; empty where nothing can be told.

        It changes nothing, and may be asked from any thread.
        """
        return self._counsel.what_if(self.scene, fuel_temperature)

    def outlook(self, air: AirAhead) -> Outlook | None:
        """What a start at each hour of the day ahead would bring; None where nothing is told."""
        return self._counsel.outlook(self.scene, air)

    def _blown(self, found: Estimate) -> tuple[Derived, ...]:
        volume = self.picture.level.surface_volume
        return tuple(self._blowing.tell(self.scene, volume, found, self._belief()))

    def _unblown(self) -> tuple[Derived, ...]:
        self._blowing = Blowing(self._priors.cross_section)
        return ()

    def _note_doubts(self) -> None:
        """That probes contradict each other is told, since nothing else would tell of it."""
        reason = self._condition.pairs.reason
        if reason:
            self.scene.degraded[Part.DOUBT] = reason
        else:
            self.scene.degraded.pop(Part.DOUBT, None)

    def _take(self, reading: Reading) -> tuple[Derived | LevelEvent, ...]:
        return tuple(self.picture.take(reading, self.batch.stage))

    def _unadvised(self, found: Estimate) -> Estimate:
        self._counsel_afresh()
        return found

    def _aired(self, found: Estimate) -> tuple[Derived, ...]:
        return tuple(self._airing.tell(self.scene, found))

    def _unaired(self) -> tuple[Derived, ...]:
        self._air_afresh()
        return ()

    def _air(self) -> None:
        self._airing.advance(self.scene, self.estimate)

    def _nothing(self, now: float) -> Estimate:
        self._afresh()
        return unknown(now, self.timer.run)

    def _afresh(self) -> None:
        """Another fuel; or the estimator failed, and may fail for ever."""
        self._estimator = Estimator(self._priors, self._schooling.prior)

    def _counsel_afresh(self) -> None:
        self._counsel = Counsel()

    def _air_afresh(self) -> None:
        self._airing = Airing()

    def _tell(self, changes: Iterator[AlarmChanged]) -> Iterator[AlarmChanged | NoticeDue | SupplyChanged]:
        for changed in changes:
            yield changed
            notice = self._telling.notice(changed)
            if notice:
                yield notice
            yield from self.supply.look(changed)
