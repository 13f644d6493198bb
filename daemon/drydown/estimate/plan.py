"""If the blower started now: when methanol and water would be gone, how much vapour, what would change it.

Draws from the belief are followed through the balances of bubbling, for several starts at once: as it is,
with warmer fuel, after a wait. Nothing is decided here that the estimate would not know.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from drydown.estimate.balance import FUEL, LN_METHANOL, LN_WATER, PROBE, WALL, Constants, Drive
from drydown.estimate.balance import advance as follow
from drydown.estimate.belief import Belief
from drydown.estimate.outlook import FIRST_STEP, Cloud, followed
from drydown.estimate.result import LONGEST_START, Prospect, Spread
from drydown.estimate.worlds import Source, worlds
from drydown.physics import methanol, room, vapour_limits
from drydown.physics.values import Array

GROWTH, LONGEST_STEP = 1.4, 3600.0  # how the steps ahead grow, and until how long (s)
WAIT, WAIT_STEPS = 3600.0, 6  # s; longer steps do for fuel at rest
WARMINGS = (0.0, 5.0, 10.0, 15.0)  # K
ROOM = 293.15  # K, of the vapour's concentration in the room


@dataclass(frozen=True, slots=True)
class Start:
    """A start that one may think of: fuel so many K warmer, after a wait (s), air so many times as humid."""

    warmer_by: float = 0.0
    wait: float = 0.0
    humidity: float = 1.0


@dataclass(frozen=True, slots=True)
class Course:
    """What follows of starts, arrays of shape (draws, starts).

    Seconds of bubbling until methanol is within its limit and until water is too, infinite where not within
    the horizon; the least water (mass fraction); the most methanol given off (kg/s); how warm the fuel was at
    the end (K).
    """

    methanol_gone: Array
    dry: Array
    water_least: Array
    emission_peak: Array
    warmth: Array


def starts(fuel_temperature: float, hottest: float, humidity_later: float) -> tuple[Start, ...]:
    """What is compared: now, warmer as far as `hottest` (K) allows, and an hour later in air of that hour."""
    warm = [Start(k) for k in WARMINGS if k == 0.0 or fuel_temperature + k <= hottest]
    return (*warm, Start(wait=WAIT, humidity=humidity_later))


def plan(
    belief: Belief, among: tuple[Start, ...], limits: tuple[float, float], mixing_factor: Spread
) -> tuple[tuple[Prospect, ...], Course]:
    """What each start would bring. Limits of methanol and water as mass fractions."""
    found = ahead(belief, among, limits)
    return tuple(prospect(start, found, i, mixing_factor) for i, start in enumerate(among)), found


def ahead(belief: Belief, among: tuple[Start, ...], limits: tuple[float, float]) -> Course:
    """Follow every start until both are within their limits in all draws, or to the horizon."""
    cloud, vessel = followed(belief.cloud), belief.vessel
    state = _begun(cloud, belief, among)
    waits = np.array([start.wait for start in among])
    drive = repeated(belief.drive, len(among))
    # a probe in the outlet of a blower at rest says nothing of how warm its air will be
    drive = drive._replace(
        metered=drive.running * drive.metered,
        running=np.ones(len(among)),
        humidity=drive.humidity * np.array([start.humidity for start in among]),
        air_gap=drive.air_gap + waits / 3600.0,
        humidity_gap=drive.humidity_gap + waits / 3600.0,
    )
    constants = Constants(cloud.values, drive, vessel)
    return course(state, lambda _: constants, limits, vessel.mass)


def course(
    state: Array, constants_at: Callable[[float], Constants], limits: tuple[float, float], mass: float
) -> Course:
    """The same from states of shape (STATES, draws, starts) on, of so many kg of fuel.

    `constants_at` gives what holds so many seconds after the start.
    """
    goals = np.log(np.array(limits))
    times, h = [0.0], FIRST_STEP
    path = [state[[LN_METHANOL, LN_WATER]]]
    while times[-1] < LONGEST_START:
        constants = constants_at(times[-1] + 0.5 * h)
        constants.length = np.array([h])
        state, _ = follow(state, constants, 1)
        times.append(times[-1] + h)
        path.append(state[[LN_METHANOL, LN_WATER]])
        if (path[-1] <= goals[:, None, None]).all():
            break
        h = min(h * GROWTH, LONGEST_STEP)
    t, contents = np.array(times), np.array(path)
    over = contents - goals[:, None, None]
    lost = -np.diff(np.exp(contents[:, 0]), axis=0) / np.diff(t)[:, None, None]
    return Course(
        methanol_gone=_crossing(t, over[:, 0]),
        dry=_crossing(t, over.max(axis=1)),
        water_least=np.exp(contents[:, 1].min(axis=0)),
        emission_peak=mass * np.maximum(lost.max(axis=0), 0.0),
        warmth=state[FUEL],
    )


def _begun(cloud: Cloud, belief: Belief, among: tuple[Start, ...]) -> Array:
    """The states from which each start begins: shape (STATES, draws, starts)."""
    state = np.repeat(cloud.states, len(among), axis=2)
    warmer = np.array([start.warmer_by for start in among])
    for part in (FUEL, WALL, PROBE):
        state[part] += warmer
    for i, start in enumerate(among):
        if start.wait > 0.0:
            drive = repeated(belief.drive, 1)._replace(running=np.zeros(1), length=np.array([start.wait]))
            at_rest = Constants(cloud.values, drive, belief.vessel)
            state[:, :, i : i + 1], _ = follow(state[:, :, i : i + 1], at_rest, WAIT_STEPS)
    return state


def repeated(drive: Drive, count: int) -> Drive:
    return Drive(*(np.repeat(column[-1:], count) for column in drive))


def _crossing(times: Array, over: Array) -> Array:
    """When each comes to zero or below, by straight lines along the first axis; infinite where never."""
    under = over <= 0.0
    at = under.argmax(axis=0)
    before = np.maximum(at - 1, 0)
    a = np.take_along_axis(over, before[None], axis=0)[0]
    b = np.take_along_axis(over, at[None], axis=0)[0]
    share = np.where(at > 0, a / np.maximum(a - b, 1e-12), 0.0)
    found = times[before] + share * (times[at] - times[before])
    result: Array = np.where(under.any(axis=0), found, np.inf)
    return result


def prospect(start: Start, course: Course, i: int, mixing_factor: Spread) -> Prospect:
    """What the i-th start of a course would bring."""
    peak = _range(course.emission_peak[:, i])
    vapour = worlds(peak, Source.EMISSION)
    mixing = worlds(mixing_factor, Source.MIXING)

    def air_for(mole_fraction: float) -> Spread:
        concentration = methanol.concentration(mole_fraction, ROOM)
        return _range(room.fresh_air_needed(vapour, concentration, mixing))

    against_fire = vapour_limits.SAFE_SHARE_OF_LOWER_LIMIT * vapour_limits.LOWER_FLAMMABLE_LIMIT
    return Prospect(
        start.warmer_by,
        start.wait,
        methanol_gone_in=_time(course.methanol_gone[:, i]),
        dry_in=_time(course.dry[:, i]),
        water_least=_range(course.water_least[:, i]),
        emission_peak=peak,
        fresh_air=air_for(vapour_limits.EXPOSURE_LIMIT),
        fresh_air_against_fire=air_for(against_fire),
    )


def _range(values: Array) -> Spread:
    low, median, high = (float(x) for x in np.quantile(values, (0.05, 0.5, 0.95)))
    return Spread(median, low, high)


def _time(seconds: Array) -> Spread | None:
    """None where the middle of the draws does not come to it within the horizon."""
    found = _range(np.minimum(seconds, LONGEST_START))
    return None if found.median >= LONGEST_START else found
