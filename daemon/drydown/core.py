"""The core of one tank: readings and commands in, decisions out. No I/O, no clock.

Live, demo and replay differ only in who calls `step`. The same input always gives the same output, to the
byte. What is done, in this order:

    readings → judged → what is worked out from them → stage and run → estimate → alarms → notices
"""

from collections.abc import Iterable, Iterator

from drydown.alarms.catalogue import VITAL
from drydown.alarms.panel import Panel
from drydown.alarms.rates import FILLING, STIRRED, WARM_UP, Rate
from drydown.alarms.room_air import RoomAir
from drydown.alarms.scene import Loss, Scene
from drydown.commands import (
    Acknowledge,
    BenchTest,
    Command,
    CorrectStage,
    Degraded,
    Mended,
    Reset,
    Shelve,
    Unshelve,
)
from drydown.condition.judge import condition, new_state
from drydown.config.model import Tank
from drydown.effects import (
    AlarmChanged,
    Conditioned,
    Derived,
    Effect,
    Estimated,
    NoticeDue,
    StageChanged,
)
from drydown.estimate.estimator import Estimator, Learned
from drydown.estimate.inputs import Sample, priors_of
from drydown.estimate.result import Estimate
from drydown.quantities import REQUIRED
from drydown.reading import Quality, Reading
from drydown.run.batch import Batch
from drydown.run.blower_timer import BlowerTimer
from drydown.run.fuel_level import FuelLevel
from drydown.run.milestones import Milestones, alarm_notice
from drydown.run.stages import Stage

ESTIMATE_EVERY = 60.0  # s
NEVER_HEARD = 30.0  # s from the first step until a probe that has said nothing counts as lost


class Core:
    """One tank. Times are in s on the core's clock, everything else in SI units."""

    def __init__(self, tank: Tank, learned: Learned | None = None) -> None:
        """`learned` is what earlier runs taught of this tank and its blower."""
        self.tank = tank
        self.timer = BlowerTimer()
        self.level = FuelLevel(tank)
        self.batch = Batch()
        self.panel = Panel()
        self.estimate: Estimate | None = None
        self.scene = Scene(tank, fitted={*REQUIRED, *tank.probes}, vital=VITAL)
        self._condition = new_state(tank.probes)
        self._priors = priors_of(tank)
        self._estimator = Estimator(self._priors, learned)
        self._rates = {name: Rate() for name in ("fuel/temperature", "fuel/level", *WARM_UP)}
        self._room = RoomAir()
        self._milestones = Milestones()
        self._doubtful: set[str] = set()
        self._has_bubbled = False  # the fuel that is in the tank
        self._started: float | None = None
        self._next_estimate = float("-inf")

    @property
    def due(self) -> float:
        """When `step` has something to do even without readings, in s; infinite while it has nothing."""
        return self.panel.due

    def step(
        self, now: float, readings: Iterable[Reading], commands: Iterable[Command]
    ) -> tuple[Effect, ...]:
        """Take in what has come since the last step; what follows from it, in order.

        `now` never goes back. Readings carry their own times, at or before `now`.
        """
        self.scene.now = now
        if self._started is None:
            self._started = now
        return tuple(self._steps(now, readings, commands))

    def learned(self) -> Learned:
        """What the readings so far taught of this tank and its blower."""
        return self._estimator.learned()

    def _steps(
        self, now: float, readings: Iterable[Reading], commands: Iterable[Command]
    ) -> Iterator[Effect]:
        taken = False
        for reading in condition(now, readings, self._condition):
            yield Conditioned(reading)
            yield from self._take(reading)
            taken = True
        self._miss_the_silent(now)
        for command in commands:
            yield from self._obey(now, command)
        self._work_out(now)
        yield from self._follow_batch(now)
        if taken:
            self._estimator.observe(now, self._sample())
        yield from self._believe(now)
        yield from self._tell(self.panel.look(self.scene))

    def _take(self, reading: Reading) -> Iterator[Effect]:
        """Keep a judged reading, and work out what rests on it."""
        name, time, value = reading.name, reading.time, reading.value
        scene = self.scene
        scene.fitted.add(name)
        if reading.quality is Quality.BAD or value is None:
            self._lose(name, time, reading.reason)
            return
        scene.lost.pop(name, None)
        scene.values[name] = value
        if reading.quality is Quality.DOUBTFUL:
            self._doubtful.add(name)
        else:
            self._doubtful.discard(name)
        rate = self._rates[name].add(time, value) if name in self._rates else None
        if rate is not None:
            scene.rates[name] = rate
            if name == "fuel/level" and rate > FILLING:
                scene.stirred_until = time + STIRRED
        if name == "blower/running":
            self.timer.observe(time, bool(value))
            yield Derived(Reading("blower/run_time", time, self.timer.run))
        elif name == "fuel/level":
            yield from self._take_level(time, float(value))

    def _take_level(self, time: float, level: float) -> Iterator[Effect]:
        self.level.observe(time, level, self.timer.running)
        volume, drawable = self.level.volume, self.level.drawable
        if volume is None or drawable is None:
            return
        self.scene.volume = volume
        temperature = self.scene.number("fuel/temperature")
        if temperature is not None:
            volume = self.level.at_standard(volume, temperature)
            drawable = self.level.at_standard(drawable, temperature)
        yield Derived(Reading("fuel/volume", time, volume))
        yield Derived(Reading("fuel/drawable", time, drawable))

    def _lose(self, name: str, time: float, reason: str) -> None:
        scene = self.scene
        since = scene.lost[name].since if name in scene.lost else time
        scene.lost[name] = Loss(since, reason)
        scene.values.pop(name, None)
        scene.rates.pop(name, None)
        if name in self._rates:
            self._rates[name].clear()

    def _miss_the_silent(self, now: float) -> None:
        """A probe that should be there and has never said anything is lost too."""
        scene, started = self.scene, self._started
        if started is None or now - started < NEVER_HEARD:
            return
        if len(scene.fitted) == len(scene.values) + len(scene.lost):
            return
        for name in scene.fitted - scene.values.keys() - scene.lost.keys():
            scene.lost[name] = Loss(
                started, "nothing has ever come from it: check its plug and its configuration"
            )

    def _obey(self, now: float, command: Command) -> Iterator[Effect]:
        match command:
            case Acknowledge() | Shelve() | Unshelve() | Reset():
                yield from self._tell(self.panel.obey(now, command))
            case CorrectStage(stage=stage, who=who):
                if self.batch.correct(now, stage, self.timer):
                    yield self._enter(now, stage, who)
            case BenchTest(quantity=quantity, value=value, sigma=sigma):
                self._estimator.bench_test(now, quantity, value, sigma)
                self._next_estimate = now
            case Degraded(part=part, reason=reason):
                self.scene.degraded[part] = reason
            case Mended(part=part):
                self.scene.degraded.pop(part, None)

    def _work_out(self, now: float) -> None:
        """What goes on between readings too: the hours of the blower, and the air in the room."""
        self.timer.advance(now)
        self.scene.stretch = self.timer.stretch
        emission = self._emission()
        if emission is None:
            self.scene.room_methanol = None
            return
        self.scene.room_methanol = self._room.advance(self.scene, emission)

    def _emission(self) -> float | None:
        """kg/s of methanol into the room now; None while nobody can tell."""
        if self.scene.running is False:
            return 0.0
        believed = self.estimate.emission if self.estimate else None
        return None if believed is None else believed.median

    def _follow_batch(self, now: float) -> Iterator[Effect]:
        for stage in self.batch.observe(now, self.timer, self.level):
            yield self._enter(now, stage, "drydown")

    def _enter(self, now: float, stage: Stage, by: str) -> StageChanged:
        if stage is Stage.BUBBLING:
            self._has_bubbled = True
        elif stage is Stage.SETTLING and self._has_bubbled:
            self._estimator = Estimator(
                self._priors, self._estimator.learned()
            )  # another fuel, the same tank
            self._has_bubbled = False
        self._next_estimate = now
        return StageChanged(now, stage, by)

    def _sample(self) -> Sample:
        return Sample(
            fuel_temperature=self._good("fuel/temperature"),
            level_volume=self.level.surface_volume if self._good("fuel/level") is not None else None,
            running=self.scene.running,
            discharge_temperature=self._good("blower/discharge_temperature"),
            air_temperature=self._good("air/temperature"),
            air_humidity=self._good("air/humidity"),
        )

    def _good(self, name: str) -> float | None:
        return None if name in self._doubtful else self.scene.number(name)

    def _believe(self, now: float) -> Iterator[Effect]:
        if now < self._next_estimate:
            return
        self._next_estimate = now + ESTIMATE_EVERY
        self.estimate = self._estimator.estimate(now)
        yield Estimated(self.estimate)
        if self.scene.room_methanol is not None:
            yield Derived(Reading("room/methanol", now, self.scene.room_methanol))
        yield from self._milestones.pass_by(self.estimate, self.batch.run_started)

    def _tell(self, changes: Iterator[AlarmChanged]) -> Iterator[AlarmChanged | NoticeDue]:
        for changed in changes:
            yield changed
            notice = alarm_notice(changed)
            if notice:
                yield notice
