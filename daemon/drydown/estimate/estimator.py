"""A first estimator: plausible tanks, each carried along by the balances and weighed by its temperature.

Every draw is one set of what is not known of a tank (starting contents, flow, partition, approach, warmth of
the blower, heat loss, air). Each goes a minute at a time through the mass and energy balance of bubbling, and
loses weight as its temperature leaves the measured one. The weights never rest on fewer than a fifth of the
draws: the ranges are wide rather than wrong.
"""

import math
from dataclasses import dataclass

import numpy as np

from drydown.estimate.inputs import Sample, TankPriors
from drydown.estimate.result import Estimate, Spread, Verdict
from drydown.physics import bubbling, fuel, humid_air, solution, water
from drydown.physics.values import Array

DRAWS = 192
FIT = 0.4  # K, what the balances may be off by in temperature
LEAST_SHARE = 0.2  # of the draws that always carry weight
SURE = 0.95  # probability of being within a limit before it is said
HOLD = 300.0  # s for which it has to stay so
SUBSTEP = 30.0  # s
LONGEST_AHEAD = 86400.0  # s, beyond which no end is told
PRIMES = (2, 3, 5, 7, 11, 13, 17, 19, 23)


@dataclass(frozen=True, slots=True)
class Learned:
    """What runs teach of tank and blower: true over rated flow, as its median and the σ of its logarithm."""

    flow: float = 1.0
    spread: float = 0.25


class Estimator:
    """The belief about one batch. Times in s on the core's clock."""

    def __init__(self, tank: TankPriors, learned: Learned | None = None) -> None:
        self._tank = tank
        self._draws = _draws(learned or Learned(), tank)
        self._sample = Sample()
        self._volume: float | None = None  # m³ of fuel, from the level at rest
        self._contents: _Contents | None = None
        self._time: float | None = None
        self._run_time = 0.0
        self._misfit = np.zeros(DRAWS)  # sum of squares over FIT², one a minute of bubbling
        self._sure_since: dict[str, float] = {}

    def observe(self, now: float, sample: Sample) -> None:
        """Take in what was read now."""
        if self._time is None:
            self._time = now
        self._sample = sample
        if sample.running is False and sample.level_volume:
            kept = self._volume or sample.level_volume
            self._volume = kept + 0.1 * (sample.level_volume - kept)

    def bench_test(self, now: float, quantity: str, value: float, sigma: float) -> None:
        """Somebody has measured "methanol" or "water": a mass fraction with its standard error."""
        self._advance(now)
        if self._contents is None:
            return
        content = self._contents.methanol if quantity == "methanol" else self._contents.water
        self._misfit = self._misfit + ((content - value) / max(sigma, 0.02 * value, 1e-6)) ** 2

    def learned(self) -> Learned:
        """What this batch taught of tank and blower."""
        weights = self._weights()
        logs = np.log(self._draws.flow / self._tank.rated_flow)
        mean = float(weights @ logs)
        spread = math.sqrt(float(weights @ (logs - mean) ** 2))
        return Learned(math.exp(mean), max(spread, 0.05))

    def estimate(self, now: float) -> Estimate:
        """The belief now."""
        self._advance(now)
        contents = self._contents
        if contents is None or self._sample.fuel_temperature is None:
            return _nothing(now, self._run_time)
        weights = self._weights()
        running = bool(self._sample.running)
        floor = self._floor(contents.temperature)
        rate = contents.emission if running else np.zeros(DRAWS)
        done = self._holds("methanol", now, float(weights @ (contents.methanol <= self._tank.methanol_limit)))
        dry = self._holds("water", now, float(weights @ (contents.water <= self._tank.water_limit)))
        ends = self._ends(contents, floor) if running else None
        return Estimate(
            now,
            self._run_time,
            methanol=_spread(contents.methanol, weights),
            water=_spread(contents.water, weights),
            water_floor=_spread(floor, weights),
            emission=_spread(rate, weights),
            methanol_done_at=_when(now, ends[0], weights) if ends else None,
            dry_at=_when(now, ends[1], weights) if ends else None,
            methanol_done=done,
            verdict=self._verdict(contents, floor, weights, running, done, done and dry),
        )

    def _verdict(
        self, contents: "_Contents", floor: Array, weights: Array, running: bool, done: bool, dry: bool
    ) -> Verdict:
        if dry:
            return Verdict.DRY
        if not running:
            return Verdict.UNKNOWN
        if done and weights @ (floor > self._tank.water_limit) >= SURE:
            rising = weights @ (floor > 1.1 * contents.water) >= SURE
            return Verdict.WETTING if rising else Verdict.AIR_LIMITED
        return Verdict.DRYING

    def _holds(self, what: str, now: float, probability: float) -> bool:
        if probability < SURE or self._run_time == 0.0:
            self._sure_since.pop(what, None)
            return False
        return now - self._sure_since.setdefault(what, now) >= HOLD

    def _advance(self, now: float) -> None:
        before, sample = self._time, self._sample
        if before is None or now <= before:
            return
        self._time = now
        if sample.fuel_temperature is None or not self._volume:
            return
        if self._contents is None:
            self._contents = _Contents.start(sample.fuel_temperature, self._draws)
        if not sample.running:
            self._contents.temperature = np.full(DRAWS, sample.fuel_temperature)
            return
        steps = max(1, min(round((now - before) / SUBSTEP), 20))
        for _ in range(steps):
            self._run_time += (now - before) / steps
            self._balance((now - before) / steps)
        if self._run_time > 180.0:
            self._misfit = self._misfit + ((self._contents.temperature - sample.fuel_temperature) / FIT) ** 2
        self._contents.temperature += 0.1 * (sample.fuel_temperature - self._contents.temperature)

    def _air(self) -> tuple[Array, Array]:
        """Temperature (K) and vapour pressure (Pa) of the room's air in each draw."""
        sample, draws = self._sample, self._draws
        known = sample.air_temperature
        temperature = draws.air_temperature if known is None else known + draws.air_offset
        humidity = sample.air_humidity
        relative = (
            draws.humidity if humidity is None else np.clip(humidity + draws.humidity_offset, 0.02, 1.0)
        )
        return temperature, humid_air.vapour_pressure(temperature, relative)

    def _floor(self, temperature: Array) -> Array:
        return water.equilibrium_content(self._air()[1], temperature, self._draws.line)

    def _balance(self, seconds: float) -> None:
        """One step of the mass and energy balance of all draws."""
        contents, draws = self._contents, self._draws
        assert contents is not None and self._volume is not None
        warmth = contents.temperature
        mass = self._volume * fuel.density(warmth)
        air, damp = self._air()
        known = self._sample.discharge_temperature
        warm_up = 1.0 - math.exp(-self._run_time / 720.0)
        hot = air + draws.rise * warm_up if known is None else np.full(DRAWS, known)
        gas = draws.flow * humid_air.molar_density(air)  # mol/s
        x = solution.mole_fraction(contents.methanol)
        leaving = np.minimum(bubbling.off_gas_mole_fraction(x, warmth, draws.mixing, draws.approach), 0.9)
        contents.emission = bubbling.emission(draws.flow, air, leaving)
        wet = water.equilibrium_pressure(contents.water, warmth, draws.line)
        drying = gas * water.MOLAR_MASS * draws.approach * (wet - damp) / 101325.0
        heat = gas * humid_air.MOLAR_MASS * humid_air.HEAT_CAPACITY * (hot - warmth)
        heat -= contents.emission * solution.heat_of_desorption(x, warmth, draws.mixing)
        heat -= drying * water.heat_of_vaporisation(warmth) + draws.loss * (warmth - air)
        contents.temperature = warmth + seconds * heat / (mass * fuel.heat_capacity(warmth))
        contents.methanol = contents.methanol * np.exp(
            -seconds * contents.emission / (mass * contents.methanol)
        )
        contents.water = np.maximum(contents.water - seconds * drying / mass, 1e-6)
        contents.drying = drying / mass

    def _ends(self, contents: "_Contents", floor: Array) -> tuple[Array, Array]:
        """Seconds until methanol, and then water too, is within its limit; infinite where it never is."""
        assert self._volume is not None
        mass = self._volume * fuel.density(contents.temperature)
        pace = np.maximum(contents.emission / (mass * contents.methanol), 1e-9)
        gone = np.maximum(np.log(contents.methanol / self._tank.methanol_limit), 0.0) / pace
        above = np.maximum(contents.water - floor, 1e-9)
        target = self._tank.water_limit - floor
        pace = np.maximum(contents.drying / above, 1e-9)
        dried = np.where(
            target > 0, np.log(np.maximum(above / np.maximum(target, 1e-12), 1.0)) / pace, np.inf
        )
        dried = np.where(contents.water <= self._tank.water_limit, 0.0, dried)
        return gone, np.maximum(gone, dried)

    def _weights(self) -> Array:
        """Weights of the draws: by their misfit, tempered until enough of them carry weight."""
        worse = self._misfit - self._misfit.min()
        for sharpness in 0.5 * 0.7 ** np.arange(40):
            weights: Array = np.exp(-sharpness * worse)
            weights /= weights.sum()
            if 1.0 / (weights @ weights) >= LEAST_SHARE * DRAWS:
                return weights
        return np.full(DRAWS, 1.0 / DRAWS)


@dataclass(slots=True)
class _Contents:
    """The changing state of every draw: mass fractions, K, kg/s, and 1/s of water leaving."""

    methanol: Array
    water: Array
    temperature: Array
    emission: Array
    drying: Array

    @classmethod
    def start(cls, temperature: float, draws: "_Draws") -> "_Contents":
        saturated = water.saturation(temperature, draws.line)
        none = np.zeros(DRAWS)
        return cls(draws.methanol, draws.wetness * saturated, np.full(DRAWS, temperature), none, none)


@dataclass(frozen=True, slots=True)
class _Draws:
    """What is not known, once a draw; spreads from the project's sheet of judgements about tanks."""

    methanol: Array
    wetness: Array
    flow: Array
    mixing: Array
    approach: Array
    rise: Array
    loss: Array
    air_temperature: Array
    air_offset: Array
    humidity: Array
    humidity_offset: Array
    line: Array


def _draws(learned: Learned, tank: TankPriors) -> _Draws:
    u = np.array([[_radical_inverse(i, prime) for i in range(1, DRAWS + 1)] for prime in PRIMES])
    normal = _normal(u)
    return _Draws(
        methanol=0.012 * 2.0 ** normal[0],
        wetness=0.3 + 0.65 * u[1],
        flow=tank.rated_flow * learned.flow * np.exp(learned.spread * normal[2]),
        mixing=-0.3 + 1.6 * u[3],
        approach=0.75 + 0.25 * u[4],
        rise=4.0 + 16.0 * u[5],
        loss=2.0 + 13.0 * u[6],
        air_temperature=289.0 + 8.0 * normal[7],
        air_offset=0.4 * normal[7],
        humidity=0.3 + 0.65 * u[8],
        humidity_offset=0.03 * normal[8],
        line=1.0 - u[3],
    )


def _radical_inverse(index: int, base: int) -> float:
    """Van der Corput: the index's digits, mirrored at the point; a prime a dimension is Halton's lattice."""
    value, place = 0.0, 1.0 / base
    while index:
        index, digit = divmod(index, base)
        value += digit * place
        place /= base
    return value


def _normal(uniform: Array) -> Array:
    """Standard normal quantiles, by the logistic approximation (1.702; within 0.01 in probability)."""
    quantiles: Array = np.log(uniform / (1.0 - uniform)) / 1.702
    return quantiles


def _nothing(now: float, run_time: float) -> Estimate:
    return Estimate(
        now,
        run_time,
        methanol=None,
        water=None,
        water_floor=None,
        emission=None,
        methanol_done_at=None,
        dry_at=None,
        methanol_done=False,
        verdict=Verdict.UNKNOWN,
    )


def _spread(values: Array, weights: Array) -> Spread:
    order = np.argsort(values, kind="stable")
    reached = np.cumsum(weights[order])
    low, median, high = (
        float(values[order[min(int(np.searchsorted(reached, p)), DRAWS - 1)]]) for p in (0.05, 0.5, 0.95)
    )
    return Spread(median, low, high)


def _when(now: float, ahead: Array, weights: Array) -> Spread | None:
    found = _spread(np.minimum(ahead, LONGEST_AHEAD), weights)
    if found.median >= LONGEST_AHEAD:
        return None
    return Spread(now + found.median, now + found.low, now + found.high)
