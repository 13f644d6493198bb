"""Each start of the day ahead followed through its hours' air, by the balances that the estimate rests on.

Until it starts, the fuel rests and follows the air; from then on it is bubbled with the air of each hour.
Each draw from the belief meets one of the courses that the air may take.
"""

import numpy as np

from drydown.estimate.balance import FUEL, PROBE, WALL, Constants, Drive, advance
from drydown.estimate.belief import Belief
from drydown.estimate.outlook import Cloud, followed
from drydown.estimate.plan import WARMINGS, Course, Start, course, prospect, repeated
from drydown.estimate.result import Spread
from drydown.estimate.unknowns import INDEX
from drydown.outlook.air import HOUR, AirAhead
from drydown.outlook.ranking import Outlook, Warming, chief
from drydown.physics import fuel as esters
from drydown.physics.values import Array

REST_PARTS = 2  # of an hour: fuel at rest changes slowly


def outlook(
    belief: Belief, air: AirAhead, limits: tuple[float, float], mixing_factor: Spread, hottest: float
) -> Outlook:
    """What each start would bring, and the best with warmer fuel as far as `hottest` (K) allows.

    Limits of methanol and water as mass fractions.
    """
    way = _Way(belief, air, limits)
    among = [Start(wait=wait) for wait in air.starts]
    states = way.rested(air.starts)
    found = way.bubbled(states, among)
    starts = tuple(prospect(start, found, i, mixing_factor) for i, start in enumerate(among))
    best = starts.index(chief(starts))
    warmth = float(np.median(states[FUEL, :, best]))
    warmer = [Start(k, among[best].wait) for k in WARMINGS if k > 0.0 and warmth + k <= hottest]
    if not warmer:
        return Outlook(starts, ())
    found = way.bubbled(_warmed(states[:, :, best : best + 1], warmer), warmer)
    warmings = (
        Warming(prospect(start, found, i, mixing_factor), way.heat(warmth, start.warmer_by))
        for i, start in enumerate(warmer)
    )
    return Outlook(starts, tuple(warmings))


class _Way:
    """The fuel's way through rest and bubbling, in air that changes by the hour."""

    def __init__(self, belief: Belief, air: AirAhead, limits: tuple[float, float]) -> None:
        self._cloud: Cloud = followed(belief.cloud)
        self._belief, self._limits = belief, limits
        courses = np.array(air.courses)  # (courses, hours, 2)
        meets = np.arange(self._cloud.values.shape[1]) % len(courses)
        self._temperature, self._humidity = courses[meets, :, 0], courses[meets, :, 1]
        self._doubt, self._first = np.array(air.doubt), air.first

    def rested(self, waits: tuple[float, ...]) -> Array:
        """The states after each wait (s, rising) without bubbles: shape (STATES, draws, waits)."""
        state, time, found = self._cloud.states, 0.0, []
        for wait in waits:
            while time < wait:
                length = min(HOUR, wait - time)
                drive = self._drive(np.array([time + 0.5 * length]), 0.0)._replace(length=np.array([length]))
                state, _ = advance(state, self._constants(drive), REST_PARTS)
                time += length
            found.append(state)
        return np.concatenate(found, axis=2)

    def bubbled(self, states: Array, among: list[Start]) -> Course:
        """What follows of starts with these states."""
        waits = np.array([start.wait for start in among])

        def constants_at(since: float) -> Constants:
            return self._constants(self._drive(waits + since, 1.0))

        return course(states, constants_at, self._limits, self._belief.vessel.mass)

    def heat(self, warmth: float, warmer_by: float) -> float:
        """What it takes (J) to make the fuel warmer by so many K, from so many K on."""
        ordinary = float(np.median(self._cloud.values[INDEX["heat_capacity"]]))
        middle = float(esters.heat_capacity(warmth + 0.5 * warmer_by, ordinary))
        return self._belief.vessel.mass * middle * warmer_by

    def _constants(self, drive: Drive) -> Constants:
        return Constants(self._cloud.values, drive, self._belief.vessel)

    def _drive(self, times: Array, running: float) -> Drive:
        """What drives at so many seconds from now; the air's columns have the shape (draws, times)."""
        place = np.clip((times - self._first) / HOUR, 0.0, len(self._doubt) - 1.0)
        before = np.floor(place).astype(int)
        after = np.minimum(before + 1, len(self._doubt) - 1)
        share = place - before

        def at(hours: Array) -> Array:
            found: Array = hours[..., before] * (1.0 - share) + hours[..., after] * share
            return found

        none, doubt = np.zeros(len(times)), at(self._doubt)
        return repeated(self._belief.drive, len(times))._replace(
            running=none + running,
            air=at(self._temperature),
            humidity=at(self._humidity),
            air_unknown=none,
            humidity_unknown=none,
            air_gap=doubt,
            humidity_gap=doubt,
            discharge=none,
            metered=none,  # by a probe in the outlet of a blower at rest
        )


def _warmed(state: Array, among: list[Start]) -> Array:
    warmer = np.repeat(state, len(among), axis=2)
    for part in (FUEL, WALL, PROBE):
        warmer[part] += np.array([start.warmer_by for start in among])
    return warmer
