"""What would help a fuel that this air cannot dry: how warm it must be, how dry the air.

Everything is worked out in each of a set of plausible draws from the belief, and told so that it holds in 95
of 100 of them: advice that is followed shall work. The kinds of advice and their values (SI):

    "warm-fuel"      temperature, likely (K): the fuel's, at which the water in balance with this air is low
                     enough: in 95 and in 50 of 100 draws
    "drier-air"      humidity, likely (of one), air_temperature (K): what the air must stay below, at its
                     temperature now, in 95 and in 50 of 100 draws; wait, likely_wait (s), where the air's own
                     record says when it is likely below each
    "open-inlet"     share, share_high (of one): what the blower gives of what it gave
    "open-vent"      closed (1): the moist air stays in the room
    "warm-sooner"    warmer_by (K), sooner, sooner_least (s), vapour (of one): how much earlier the methanol
                     would be gone, and how many times the vapour it would give off meanwhile
"""

from dataclasses import dataclass

import numpy as np

from drydown.estimate.result import Advice, Spread
from drydown.physics import water
from drydown.physics.values import Array, Values

MARGIN = 0.10  # of the limit: water comes within it in hours only if its balance lies well below
SURE = 0.95
COLDEST, HOTTEST = 253.15, 373.15  # K, of fuel that anything is worked out for
HALVINGS = 24  # of those 120 K: to 0.01 mK
BELOW_ALARM = 5.0  # K that stay between advised warmth and the fuel's temperature limit
WORTH_WARMING = 0.5  # K
DRIEST = 0.15  # relative humidity: nobody waits for drier air
FADED = 0.75  # of the blower's flow, in 95 of 100: what lies above may be no more than noise
WORTH_HEATING = 1200.0  # s that warmer fuel must at least save before it is spoken of


@dataclass(frozen=True, slots=True)
class AirAndFuel:
    """Plausible truths, one a draw: of the air that is blown in, and of the fuel. Arrays of one shape.

    Vapour pressure of water in Pa, temperatures in K; `line` and `exponent` as in `physics.water`.
    """

    vapour_pressure: Array
    air_temperature: Array
    fuel_temperature: Array
    line: Array
    exponent: Array


def warm_enough(
    vapour_pressure: Values, content: Values, line: Values = 0.5, exponent: Values = 1.0
) -> Array:
    """The fuel's temperature (K) at which this air (Pa of water) leaves it so much water (mass fraction).

    The inverse of `physics.water.equilibrium_content`, by halving: the warmer the fuel, the less stays in it.
    Held between −20 and 100 °C.
    """
    shape = np.broadcast(vapour_pressure, content, line, exponent).shape
    low, high = np.full(shape, COLDEST), np.full(shape, HOTTEST)
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        is_wet = water.equilibrium_content(vapour_pressure, middle, line, exponent) > content
        low, high = np.where(is_wet, middle, low), np.where(is_wet, high, middle)
    return high


def dry_enough(
    fuel_temperature: Values, content: Values, line: Values = 0.5, exponent: Values = 1.0
) -> Array:
    """The water vapour in air (Pa) that leaves so much water (mass fraction) in fuel at this temperature (K).

    Held between −20 and 100 °C, beyond which nobody has measured what dissolves.
    """
    warm = np.clip(fuel_temperature, COLDEST, HOTTEST)
    return water.equilibrium_pressure(content, warm, line, exponent)


def warm_fuel(now: AirAndFuel, water_limit: float, hottest: float) -> Advice | None:
    """How warm to make the fuel; None where it is warm enough, or would come too near `hottest` (K)."""
    goal = (1.0 - MARGIN) * water_limit
    needed = warm_enough(now.vapour_pressure, goal, now.line, now.exponent)
    temperature, likely = (float(np.quantile(needed, share)) for share in (SURE, 0.5))
    if temperature > hottest - BELOW_ALARM or temperature < np.median(now.fuel_temperature) + WORTH_WARMING:
        return None
    return Advice("warm-fuel", {"temperature": temperature, "likely": likely})


def drier_air(now: AirAndFuel, water_limit: float, humidity: float | None) -> Advice | None:
    """How humid the air may be for fuel as warm as it is; None where it is dry enough, or no air is so dry.

    `humidity` is what the probe says, so that the answer is in the probe's own terms; None without a probe.
    """
    needed = dry_enough(now.fuel_temperature, (1.0 - MARGIN) * water_limit, now.line, now.exponent)
    if humidity is None:
        enough = needed / water.vapour_pressure(now.air_temperature)
    else:
        enough = humidity * needed / now.vapour_pressure
    driest, likely = (float(np.quantile(enough, share)) for share in (1.0 - SURE, 0.5))
    air_now = 1.0 if humidity is None else humidity
    if not DRIEST <= driest < air_now:
        return None
    air = float(np.median(now.air_temperature))
    return Advice("drier-air", {"humidity": driest, "likely": min(likely, air_now), "air_temperature": air})


def with_waits(drier: Advice, wait: float | None, likely_wait: float | None) -> Advice:
    """Drier air with how long (s) it is likely to take to each of its humidities, where that can be told."""
    waits = {"wait": wait, "likely_wait": likely_wait}
    return Advice(drier.kind, {**drier.values, **{name: x for name, x in waits.items() if x is not None}})


def open_inlet(share: Spread) -> Advice | None:
    """That the blower gives less than it gave, if that is beyond doubt."""
    if share.high >= FADED:
        return None
    return Advice("open-inlet", {"share": share.median, "share_high": share.high})


def open_vent() -> Advice:
    """That what leaves the fuel stays in the room, and comes back with the air."""
    return Advice("open-vent", {"closed": 1.0})


def warm_sooner(warmer_by: float, sooner: Array, vapour: Array) -> Advice | None:
    """How much earlier warmer fuel would be rid of its methanol: seconds and times the vapour, one a draw."""
    least = float(np.quantile(sooner, 1.0 - SURE))
    if least < WORTH_HEATING:
        return None
    values = {
        "warmer_by": warmer_by,
        "sooner": float(np.median(sooner)),
        "sooner_least": least,
        "vapour": float(np.median(vapour)),
    }
    return Advice("warm-sooner", values)
