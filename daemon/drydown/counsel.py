"""What to tell people beyond the estimate: what would help, and what a start of the blower would bring.

Looking ahead costs several milliseconds, and so does an estimate: each has a step of the core to itself.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from drydown.alarms.room_air import mixing_of
from drydown.alarms.scene import Scene
from drydown.estimate.advice import (
    AirAndFuel,
    drier_air,
    open_inlet,
    open_vent,
    warm_fuel,
    warm_sooner,
    with_waits,
)
from drydown.estimate.air_record import AirRecord
from drydown.estimate.balance import FUEL, Constants
from drydown.estimate.belief import Belief, anchored
from drydown.estimate.outlook import followed
from drydown.estimate.plan import WAIT, Start, ahead, plan, starts
from drydown.estimate.result import LONGEST_START, Advice, Estimate, Prospect, Verdict
from drydown.outlook import follow
from drydown.outlook.air import AirAhead
from drydown.outlook.ranking import Outlook
from drydown.physics.humid_air import vapour_pressure
from drydown.physics.values import Array

LOOK_EVERY = 600.0  # s
LATEST = 780.0  # s since the last look, after which it shares a step with the estimate
WARMED = 10.0  # K by which the fuel is warmed in thought while it bubbles
BELOW_ALARM = 3.0  # K below the fuel's temperature limit to which it is warmed in thought
LEAST_EMISSION = 1e-9  # kg/s: less is none
HELPLESS = (Verdict.AIR_LIMITED, Verdict.WETTING)


@dataclass(frozen=True, slots=True)
class _Look:
    """What a look ahead found, when (s) and whether the blower ran."""

    time: float
    running: bool
    plan: tuple[Prospect, ...] = ()
    sooner: Advice | None = None
    warmth: Array | None = None  # K, of the fuel at last, one a draw


class Counsel:
    """One tank's. Ask `add` with every estimate, and `look` in the steps between."""

    def __init__(self) -> None:
        self._air = AirRecord()
        self._belief: Belief | None = None
        self._estimate: Estimate | None = None
        self._look: _Look | None = None

    def add(self, scene: Scene, estimate: Estimate, belief: Belief | None) -> Estimate:
        """The estimate with what there is to advise."""
        warmth = scene.number("fuel/temperature")
        if belief is not None and warmth is not None:
            belief = anchored(belief, warmth)
        self._belief, self._estimate = belief, estimate
        self._note(scene)
        if self._look is not None and (belief is None or self._look.running is not scene.running):
            self._look = None
        if belief is None or estimate.verdict is Verdict.DRY:
            return estimate
        if self._look is not None and scene.now - self._look.time > LATEST:
            self._look = self._look_ahead(scene, belief, estimate)
        advice = tuple(self._advice(scene, estimate, belief))
        return replace(estimate, advice=advice, plan=self._look.plan if self._look else ())

    def look(self, scene: Scene) -> None:
        """Look ahead, if it is time to; for a step that has no estimate to make."""
        belief, estimate = self._belief, self._estimate
        if belief is None or estimate is None or scene.running is None:
            return
        if self._look is None or scene.now - self._look.time >= LOOK_EVERY:
            self._look = self._look_ahead(scene, belief, estimate)

    def what_if(self, scene: Scene, fuel_temperature: float) -> tuple[Prospect, ...]:
        """What a start now would bring, and one with the fuel at so many K.

        Empty while the blower runs, the fuel is dry, or too little is known of it.
        """
        belief = self._before_a_start(scene)
        if belief is None:
            return ()
        warmth = float(np.median(belief.cloud.states[FUEL]))
        among = (Start(), Start(fuel_temperature - warmth))
        return plan(belief, among, _limits(scene), mixing_of(scene.tank.room.mixing_factor))[0]

    def outlook(self, scene: Scene, air: AirAhead) -> Outlook | None:
        """What a start at each hour of the day ahead would bring; None where `what_if` tells nothing."""
        belief = self._before_a_start(scene)
        if belief is None:
            return None
        hottest = scene.tank.limits.fuel_temperature - BELOW_ALARM
        return follow.outlook(belief, air, _limits(scene), mixing_of(scene.tank.room.mixing_factor), hottest)

    def _before_a_start(self, scene: Scene) -> Belief | None:
        """What is believed of fuel that somebody may think of bubbling."""
        estimate = self._estimate
        is_dry = estimate is None or estimate.verdict is Verdict.DRY
        return None if is_dry or scene.running is not False else self._belief

    def _note(self, scene: Scene) -> None:
        air, humidity = scene.number("air/temperature"), scene.number("air/humidity")
        if air is not None and humidity:
            self._air.add(scene.now, float(vapour_pressure(air, humidity)))

    def _look_ahead(self, scene: Scene, belief: Belief, estimate: Estimate) -> _Look:
        running = bool(scene.running)
        if estimate.verdict is Verdict.DRY:
            return _Look(scene.now, running)
        limits = _limits(scene)
        warmth = float(np.median(belief.cloud.states[FUEL]))
        hottest = scene.tank.limits.fuel_temperature - BELOW_ALARM
        if not running:
            among = starts(warmth, hottest, self._air.later(WAIT, scene.now))
            found, course = plan(belief, among, limits, mixing_of(scene.tank.room.mixing_factor))
            return _Look(scene.now, running, found, warmth=course.warmth[:, 0])
        course = ahead(belief, (Start(), Start(WARMED)), limits)
        sooner = None
        if not estimate.methanol_done and warmth + WARMED <= hottest:
            gone = np.minimum(course.methanol_gone, LONGEST_START)
            peak = np.maximum(course.emission_peak, LEAST_EMISSION)
            sooner = warm_sooner(WARMED, gone[:, 0] - gone[:, 1], peak[:, 1] / peak[:, 0])
        return _Look(scene.now, running, sooner=sooner, warmth=course.warmth[:, 0])

    def _advice(self, scene: Scene, estimate: Estimate, belief: Belief) -> Iterator[Advice]:
        look = self._look
        if estimate.verdict in HELPLESS or (look is not None and _never_dries(scene, estimate)):
            yield from self._against_damp(scene, belief)
        if scene.running:
            if scene.values.get("vent/open") is False:
                yield open_vent()
            inlet = open_inlet(scene.flow_share) if scene.flow_share else None
            if inlet:
                yield inlet
            if look is not None and look.sooner is not None and not estimate.methanol_done:
                yield look.sooner

    def _against_damp(self, scene: Scene, belief: Belief) -> Iterator[Advice]:
        now = _air_and_fuel(belief, self._look.warmth if self._look else None)
        limit = scene.tank.fuel.water_limit
        warm = warm_fuel(now, limit, scene.tank.limits.fuel_temperature)
        if warm:
            yield warm
        air = scene.number("air/temperature")
        drier = drier_air(now, limit, None if air is None else scene.number("air/humidity"))
        if drier:
            at = drier.values["air_temperature"] if air is None else air
            goals = (float(vapour_pressure(at, drier.values[name])) for name in ("humidity", "likely"))
            yield with_waits(drier, *(self._air.falls_below(goal, scene.now) for goal in goals))


def _limits(scene: Scene) -> tuple[float, float]:
    """Of methanol and water, mass fractions."""
    return scene.tank.fuel.methanol_limit, scene.tank.fuel.water_limit


def _never_dries(scene: Scene, estimate: Estimate) -> bool:
    """Whether water is what stands in the way, as far as the estimate looks ahead."""
    floor = estimate.water_floor
    told = estimate.verdict is not Verdict.UNKNOWN or not scene.running
    return told and estimate.dry_at is None and floor is not None


def _air_and_fuel(belief: Belief, at_last: Array | None) -> AirAndFuel:
    """Plausible truths now; the fuel as cool as it is, or as it will be at last if that is cooler (K)."""
    cloud = followed(belief.cloud)
    constants = Constants(cloud.values, belief.drive._replace(running=np.ones(1)), belief.vessel)
    warmth = cloud.states[FUEL, :, 0]
    return AirAndFuel(
        vapour_pressure=constants.brought[:, 0],
        air_temperature=constants.air[:, 0],
        fuel_temperature=warmth if at_last is None else np.minimum(warmth, at_last),
        line=constants.line[:, 0],
        exponent=constants.isotherm[:, 0],
    )
