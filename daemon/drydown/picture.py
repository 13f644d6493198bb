"""The picture that a core has of its tank: judged readings, and what is worked out from them."""

from collections.abc import Iterator

from drydown.alarms.catalogue import dependents
from drydown.alarms.rates import FILLING, STIRRED, WARM_UP, Rate
from drydown.alarms.scene import Loss, Scene
from drydown.alarms.wander import Crest, Wander
from drydown.condition.table import EARLY, EMPTY, SILENCE, patience_with
from drydown.config.model import Tank
from drydown.effects import Derived, LevelEvent
from drydown.estimate.inputs import Sample
from drydown.physics.plain import FEEDSTOCKS
from drydown.quantities import REQUIRED
from drydown.reading import Quality, Reading
from drydown.run.blower_timer import BlowerTimer
from drydown.run.fuel_level import FuelLevel
from drydown.run.level_watch import LevelWatch
from drydown.run.movement import LevelKind, Movement
from drydown.run.stages import Stage
from drydown.settling.rest import Rest

NEVER_HEARD = "nothing has come from it: check its plug and its configuration"
WATCHED_RATES = ("fuel/temperature", "fuel/level", *WARM_UP)


class Picture:
    """Keeps `scene`, `timer` and `level` in step with the readings. Times in s on the core's clock."""

    def __init__(self, tank: Tank) -> None:
        self.scene = Scene(tank, fitted={*REQUIRED, *tank.probes})
        self.scene.needs = dependents(self.scene.fitted)
        self.timer = BlowerTimer()
        self.level = FuelLevel(tank)
        self.watch = LevelWatch(tank)
        self.rest = Rest(FEEDSTOCKS[tank.fuel.feedstock], tank.standpipe, tank.fuel.settled_drop)
        self._bubbles, self._crest = Wander(), Crest()
        self.movements: list[Movement] = []  # of the level in this step
        self._rates = {name: Rate() for name in WATCHED_RATES}
        self._heard: dict[str, float] = {}
        self._doubtful: set[str] = set()
        self._began: float | None = None
        self._fuel_temperature: float | None = None  # K, as last known

    def begin(self, now: float) -> None:
        """A step begins."""
        self.scene.now = now
        self.movements.clear()
        if self._began is None:
            self._began = now

    def take(self, reading: Reading, stage: Stage) -> Iterator[Derived | LevelEvent]:
        """Keep a judged reading, and work out what rests on it in this stage of the batch."""
        name, time, value = reading.name, reading.time, reading.value
        if name not in self.scene.fitted:
            self.scene.fitted.add(name)
            self.scene.needs = dependents(self.scene.fitted)
        if not self._heard.get(name, float("-inf")) < time <= self.scene.now + EARLY:
            return  # late, double or ahead of time: it says nothing about the probe now
        self._heard[name] = time
        if reading.quality is Quality.BAD or value is None:
            self._lose(name, time, reading.reason)
        else:
            self._keep(name, time, value, doubtful=reading.quality is Quality.DOUBTFUL)
            yield from self._derive(name, time, value, stage)

    def advance(self) -> None:
        """Take in the time that has passed: hours of the blower, and probes that have never said anything."""
        scene = self.scene
        self.timer.advance(scene.now)
        scene.stretch = self.timer.stretch
        if self._began is None or scene.now - self._began < SILENCE:
            return
        if len(scene.fitted) > len(scene.values) + len(scene.lost):
            for name in sorted(scene.unheard):
                if scene.now - self._began >= patience_with(scene.tank.probes.get(name)):
                    scene.lost[name] = Loss(self._began, NEVER_HEARD)

    def listen_anew(self, now: float) -> None:
        """Whether a probe is lost is not known any more: nobody could hear it before now."""
        self._began = now
        self.scene.lost.clear()

    def declare(self, now: float, kind: LevelKind, who: str) -> None:
        """Somebody says that the level falls, or will, because of a draw or a drain."""
        self.watch.declare(now, kind, who)
        self.scene.movement = self.watch.movement

    @property
    def is_empty(self) -> bool:
        """Whether the level says that there is nothing in the tank, true or not."""
        level = self.scene.number("fuel/level")
        return level is not None and level < EMPTY

    def sample(self) -> Sample:
        """What the estimator is told: nothing that is lost or doubtful."""
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

    def _keep(self, name: str, time: float, value: float | bool, *, doubtful: bool) -> None:
        scene = self.scene
        scene.lost.pop(name, None)
        scene.values[name] = value
        if doubtful:
            self._doubtful.add(name)
        else:
            self._doubtful.discard(name)
        rate = self._rates[name].add(time, value) if name in self._rates else None
        if rate is not None:
            scene.rates[name] = rate
            if name == "fuel/level" and rate > FILLING:
                scene.stirred_until = time + STIRRED

    def _lose(self, name: str, time: float, reason: str) -> None:
        scene = self.scene
        since = scene.lost[name].since if name in scene.lost else time
        scene.lost[name] = Loss(since, reason)
        scene.values.pop(name, None)
        scene.rates.pop(name, None)
        if name in self._rates:
            self._rates[name].clear()

    def _derive(
        self, name: str, time: float, value: float | bool, stage: Stage
    ) -> Iterator[Derived | LevelEvent]:
        if name == "blower/running":
            self.timer.observe(time, bool(value))
            yield Derived(Reading("blower/run_time", time, self.timer.run))
        elif name == "fuel/temperature":
            self.rest.feel(time, float(value))
        elif name == "fuel/level":
            self.rest.see(time, float(value))
            self.level.observe(time, float(value), self.timer.running)
            temperature = self.scene.number("fuel/temperature")
            for event in self.watch.observe(time, float(value), self.level, temperature, stage):
                self.movements.append(Movement(event.kind, since=event.start, volume=event.volume.median))
                yield event
            self.movements.append(self.watch.movement)
            self.scene.movement = self.watch.movement
            self.level.is_foaming = self.watch.movement.kind is LevelKind.FOAM
            self.scene.volume = self.level.volume
            self._wander(time, float(value))
            yield from self._volumes(time)

    def _wander(self, time: float, level: float) -> None:
        self.scene.rise = self._crest.rise(time, self.timer.running, level)
        volume, surface = self.level.unbubbled_volume, self.level.surface_volume
        if volume is not None and surface is not None:
            running = self.timer.running
            self.scene.wander = self._bubbles.explained(time, running, volume, surface - volume)

    def _volumes(self, time: float) -> Iterator[Derived]:
        """At 15 °C, by the temperature (K) last known; before the first, as they stand."""
        temperature = self.scene.number("fuel/temperature")
        self._fuel_temperature = temperature = self._fuel_temperature if temperature is None else temperature
        for name, volume in (("fuel/volume", self.level.volume), ("fuel/drawable", self.level.drawable)):
            if volume is not None:
                told = volume if temperature is None else self.level.at_standard(volume, temperature)
                yield Derived(Reading(name, time, told))
