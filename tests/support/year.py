"""A year of weekly runs in which nothing is wrong, each of another tank, week and fuel, through the core."""

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from random import Random

from drydown.config.model import Tank
from drydown.core import Core
from drydown.effects import AlarmChanged, Change, Effect, Priority
from drydown.physics.methanol import mole_fraction
from drydown.physics.vapour_limits import LOWER_FLAMMABLE_LIMIT
from drydown.reading import Reading
from drydown.simulate.draw import KITS, draw
from drydown.simulate.scene import Moment, Scenario, open_scene, step

WEEKS = 52
SAMPLING, AT_REST = 10.0, 60.0  # s, while the run goes on and after it
REST = 2 * 3600.0  # s after it
NEAR = 0.9  # of a threshold: where the truth came so near, an alarm by reckoning is no false one
SHARES = {Priority.HIGH: 0.10, Priority.EMERGENCY: 0.25}  # of the lower flammable limit, as they are promised


@dataclass(frozen=True)
class Week:
    """One run and the hours after it: the alarms that were raised, and those of them that were false."""

    seed: int
    raised: list[AlarmChanged]
    false: list[AlarmChanged]


def week(seed: int) -> Week:
    """The run of a seed. Its room is as the configuration says; its blower, as ever, is not."""
    drawn, rated_flow = draw(seed, list(KITS)[seed % len(KITS)])
    scenario = _stopped(drawn)
    core, highest = Core(_tank(scenario, rated_flow)), 0.0
    effects: list[Effect] = []
    for moment in _moments(scenario, seed):
        effects += _step(core, moment)
        share = float(mole_fraction(moment.room_methanol, 293.15)) / LOWER_FLAMMABLE_LIMIT
        highest = max(highest, share)
    raised = [one for one in effects if isinstance(one, AlarmChanged) and one.change is Change.RAISED]
    return Week(seed, raised, [one for one in raised if _is_false(one, highest)])


def _stopped(scenario: Scenario) -> Scenario:
    """With a person who stops the blower at the end."""
    runs_on = len(scenario.switches) % 2 == 1
    return replace(scenario, switches=(*scenario.switches, scenario.duration)) if runs_on else scenario


def _tank(scenario: Scenario, rated_flow: float) -> Tank:
    vessel, room = scenario.tank.vessel, scenario.room
    return Tank.model_validate(
        {
            "name": "heron",
            "shape": vessel.shape,
            "diameter": vessel.diameter,
            "height": vessel.height,
            "standpipe": 0.152,
            "fuel": {"feedstock": "used-cooking-oil"},
            "blower": {"rated_flow": rated_flow},
            "room": {
                "volume": room.volume,
                "fresh_air": room.fresh_open,
                "mixing_factor": room.mixing_factor,
            },
        }
    )


def _moments(scenario: Scenario, seed: int) -> Iterator[Moment]:
    dice = Random(f"year {seed}")  # a string seeds the same on every platform
    scene, moment = step(open_scene(scenario), 0.0, dice)
    while scene.elapsed < scenario.duration + REST:
        yield moment
        scene, moment = step(scene, SAMPLING if scene.elapsed < scenario.duration else AT_REST, dice)


def _step(core: Core, moment: Moment) -> Iterator[Effect]:
    now = moment.elapsed
    while core.due < now:
        yield from core.step(core.due, (), ())
    yield from core.step(now, [Reading(name, now, value) for name, value in moment.readings.items()], ())


def _is_false(raised: AlarmChanged, highest: float) -> bool:
    """Whether it is urgent, and nothing in the tank or its room calls for it."""
    if raised.priority is Priority.LOW:
        return False
    match raised.alarm:
        case "blower-overrun":
            return not float(raised.values["stretch"]) > 14400.0
        case "vapour-high":
            return raised.cause == "lost" or highest < NEAR * SHARES[raised.priority]
    return True


def told(weeks: list[Week]) -> str:
    """What was raised, in a few words."""
    total = sum(len(one.raised) for one in weeks)
    names: dict[str, int] = {}
    for one in weeks:
        for raised in one.raised:
            names[raised.alarm] = names.get(raised.alarm, 0) + 1
    each = ", ".join(f"{name} {count}" for name, count in sorted(names.items()))
    mean = total / len(weeks) if weeks else math.nan
    return f"{len(weeks)} runs, {mean:.2f} alarms a run of any priority ({each})"
