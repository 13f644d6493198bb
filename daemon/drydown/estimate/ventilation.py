"""How much air it takes: what the vapour does to the room, the fresh air needed, and when one may go in."""

from dataclasses import dataclass

import numpy as np

from drydown.estimate.result import Spread
from drydown.estimate.vapour import Vapour
from drydown.estimate.worlds import Source, spread_of, worlds
from drydown.physics import bubbling, methanol, room, vapour_limits
from drydown.physics.values import Array

LONGEST = 86400.0  # s, beyond which no time is told
LEAST_AIR = 1e-9  # m³/s: less is none
FASTEST = 1.0  # 1/s, of the emission's decay
TINY = 1e-12  # share of a limit: less is nothing
LOOKS = np.concatenate(([0.0], 5.0 * 1.28 ** np.arange(41)))  # s ahead, a little over a day


@dataclass(frozen=True, slots=True)
class RoomState:
    """A room as it is now: m³, K, what comes in and goes round, and the vapour in it.

    `fresh_air` is in m³/s; `effective_air` (the part that dilutes, m³/s), `mixing_factor` and `concentration`
    (kg/m³ of methanol) have one value a world.
    """

    volume: float
    temperature: float
    fresh_air: Spread
    effective_air: Array
    mixing_factor: Array
    concentration: Array


@dataclass(frozen=True, slots=True)
class Ventilation:
    """The answer, each with its 90 % range. None where a thing cannot be told, or does not come in a day.

    At rest, all but `room`, `fresh_air` and `enter_after` are what would be if the blower started now.
    """

    room: Spread  # mole fraction of methanol in the room's air
    fresh_air: Spread  # m³/s that come in
    enter_after: Spread | None  # s from the blower's stop until the room is below the short-term limit
    off_gas: Spread | None = None  # share of the lower flammable limit in the gas that leaves the fuel
    left: Spread | None = None  # kg of methanol that are still to come
    needed: Spread | None = None  # m³/s of fresh air that keep the room below the exposure limit
    needed_against_fire: Spread | None = None  # m³/s that keep it below 25 % of the lower flammable limit
    clears_after: Spread | None = None  # s of bubbling until the room stays below the exposure limit


def ventilation(state: RoomState, vapour: Vapour | None) -> Ventilation:
    """What the room and the vapour come to; without the latter only what the room tells."""
    now = methanol.mole_fraction(state.concentration, state.temperature)
    told = Ventilation(spread_of(now), state.fresh_air, _time(_purged(state)))
    return told if vapour is None else _with_vapour(told, state, vapour)


def _with_vapour(told: Ventilation, state: RoomState, vapour: Vapour) -> Ventilation:
    emission = worlds(vapour.emission, Source.EMISSION)
    gas, left = vapour.off_gas, vapour.left
    shares = (bubbling.share_of_lower_limit(share) for share in (gas.median, gas.low, gas.high))
    safe = vapour_limits.SAFE_SHARE_OF_LOWER_LIMIT * vapour_limits.LOWER_FLAMMABLE_LIMIT
    return Ventilation(
        told.room,
        told.fresh_air,
        told.enter_after,
        off_gas=Spread(*map(float, shares)),
        left=left,
        needed=_needed(emission, state, vapour_limits.EXPOSURE_LIMIT),
        needed_against_fire=_needed(emission, state, safe),
        clears_after=_time(_cleared(emission, worlds(left, Source.METHANOL), state)),
    )


def _needed(emission: Array, state: RoomState, limit: float) -> Spread:
    """Fresh air that holds this emission, should it last, at a mole fraction in the room."""
    concentration = methanol.concentration(limit, state.temperature)
    return spread_of(room.fresh_air_needed(emission, concentration, state.mixing_factor))


def _purged(state: RoomState) -> Array:
    """Seconds until the short-term limit, if nothing more comes."""
    limit = methanol.concentration(vapour_limits.SHORT_EXPOSURE_LIMIT, state.temperature)
    air = np.maximum(state.effective_air, LEAST_AIR)
    return room.purge_time(np.maximum(state.concentration, limit), limit, air, state.volume)


def _cleared(emission: Array, left: Array, state: RoomState) -> Array:
    """Seconds until the room stays below the exposure limit as the emission dies away; inf: not in a day."""
    limit = methanol.concentration(vapour_limits.EXPOSURE_LIMIT, state.temperature)
    falling = np.minimum(emission, FASTEST * left)
    decay = np.divide(falling, left, out=np.zeros_like(left), where=left > 0.0)
    ahead = room.concentration_after(
        LOOKS[:, None],
        state.concentration,
        emission,
        state.effective_air,
        state.volume,
        decay,
    )
    above = ahead > limit
    last = len(LOOKS) - 1 - np.argmax(above[::-1], axis=0)  # the last look at which it is above
    after = np.minimum(last + 1, len(LOOKS) - 1)
    world = np.arange(len(last))
    over = np.log(np.maximum(ahead / limit, TINY))  # straight between two looks, where it falls by itself
    high, low = over[last, world], over[after, world]
    share = np.divide(high, high - low, out=np.ones_like(high), where=high > low)
    when = LOOKS[last] + share * (LOOKS[after] - LOOKS[last])
    never = np.where(above[-1], np.inf, when)
    return np.where(above.any(axis=0), never, 0.0)


def _time(seconds: Array) -> Spread | None:
    found = spread_of(np.minimum(seconds, LONGEST))
    return None if found.median >= LONGEST else found
