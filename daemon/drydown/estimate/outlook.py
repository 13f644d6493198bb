"""What lies ahead: fixed draws from the belief, followed until methanol and water are within limits."""

from typing import NamedTuple

import numpy as np

from drydown.estimate.balance import (
    FUEL,
    LN_METHANOL,
    LN_WATER,
    Constants,
    Drive,
    Vessel,
    advance,
    rates,
    soluble,
)
from drydown.estimate.unknowns import COUNT, physical
from drydown.physics import water
from drydown.physics.values import Array

DRAWS = 96
FOLLOWED = 64  # of them, of those that are followed ahead
HORIZON = 36000.0  # s
STANDSTILL = 0.01 / 3600.0  # 1/s: water that falls no faster has come to this air's floor
FIRST_STEP, GROWTH, LONGEST_STEP = 60.0, 1.3, 3600.0  # s


def _standard_draws(count: int) -> Array:
    """Fixed draws of a standard normal vector, in pairs and of exactly unit covariance, (count, COUNT)."""
    half = np.random.Generator(np.random.PCG64(20)).standard_normal((count // 2, COUNT))
    draws = np.vstack((half, -half))
    values, vectors = np.linalg.eigh(draws.T @ draws / count)
    result: Array = draws @ (vectors / np.sqrt(values)) @ vectors.T
    return result


STANDARD = _standard_draws(DRAWS)


class Cloud(NamedTuple):
    """Draws from the belief: θ less the fit, parameters (COUNT, DRAWS, 1), states now (STATES, DRAWS, 1)."""

    offsets: Array
    values: Array
    states: Array


def cloud_of(theta: Array, step: Array, covariance: Array, state: Array, by_theta: Array) -> Cloud:
    """Draws about the mean theta + step; state is the mean's, by_theta its sensitivities (STATES, COUNT)."""
    factor = np.linalg.cholesky(covariance + 1e-12 * np.eye(COUNT))
    deviations = STANDARD @ factor.T
    offsets = step + deviations
    states = state[:, None] + by_theta @ deviations.T
    states[LN_METHANOL] = np.clip(states[LN_METHANOL], -18.0, -1.2)
    states[LN_WATER] = np.clip(states[LN_WATER], -13.0, -3.0)
    states[FUEL] = np.clip(states[FUEL], 230.0, 370.0)
    return Cloud(offsets, physical(theta + offsets).T[:, :, None], states[:, :, None])


class Present(NamedTuple):
    """Of each draw now: emission (kg/s), the water this air allows, and the rise of water (1/s)."""

    emission: Array
    floor: Array
    wetting: Array


def present(cloud: Cloud, drive: Drive, vessel: Vessel) -> Present:
    """The rates and the floor of each draw."""
    c = Constants(cloud.values, drive, vessel)
    lm, lw, fuel, wall, rise = cloud.states[:5]
    r = rates(lm, np.exp(lw), fuel, wall, rise, c)
    humidity = np.minimum(c.brought / water.vapour_pressure(fuel), 1.0)
    floor = soluble(fuel, c.line) * humidity ** (1.0 / c.isotherm)
    return Present(r.methanol[:, 0], floor[:, 0], -r.water[:, 0])


class Ends(NamedTuple):
    """Seconds from now, of each draw, until methanol is within its limit, and water too; inf: never."""

    methanol: Array
    dry: Array


def ends(
    cloud: Cloud, drive: Drive, vessel: Vessel, past: tuple[Array, Array, Array], limits: tuple[float, float]
) -> Ends:
    """Crossings of the limits, in the past (times ≤ 0; ln methanol and ln water, (draws, times)) or ahead."""
    goals = np.log(np.array(limits))
    back, methanol, water = past
    times, over_methanol, over_water = [*back], [methanol - goals[0]], [water - goals[1]]
    state, elapsed, h = cloud.states, 0.0, FIRST_STEP
    c = Constants(cloud.values, drive, vessel)
    while elapsed < HORIZON:
        c.length = np.array([h])
        state, _ = advance(state, c, 1)
        elapsed += h
        times.append(elapsed)
        over_methanol.append(state[LN_METHANOL] - goals[0])
        over_water.append(state[LN_WATER] - goals[1])
        stopped = over_water[-2][:, -1:] - over_water[-1] < STANDSTILL * h
        if ((over_methanol[-1] <= 0.0) & ((over_water[-1] <= 0.0) | stopped)).all():
            break
        h = min(h * GROWTH, LONGEST_STEP)
    t = np.array(times)
    m, w = np.hstack(over_methanol), np.hstack(over_water)
    return Ends(_crossing(t, m), _crossing(t, np.maximum(m, w)))


_SOME = np.concatenate((np.arange(FOLLOWED // 2), DRAWS // 2 + np.arange(FOLLOWED // 2)))


def followed(cloud: Cloud) -> Cloud:
    """Fewer draws for the way ahead: still pairs about the mean."""
    return Cloud(cloud.offsets[_SOME], cloud.values[:, _SOME], cloud.states[:, _SOME])


def _crossing(times: Array, over: Array) -> Array:
    """When each row first comes to zero or below, by straight lines; inf where never."""
    under = over <= 0.0
    at = under.argmax(axis=1)
    before = np.maximum(at - 1, 0)
    row = np.arange(len(over))
    a, b = over[row, before], over[row, at]
    share = np.where(at > 0, a / np.maximum(a - b, 1e-12), 0.0)
    found = times[before] + share * (times[at] - times[before])
    result: Array = np.where(under.any(axis=1), found, np.inf)
    return result
