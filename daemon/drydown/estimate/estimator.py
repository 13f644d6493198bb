"""One tank's estimate: methanol, water, what this air allows, emission, ends and verdict, with ranges."""

import math

import numpy as np

from drydown.estimate.balance import LN_METHANOL, LN_WATER, Drive, Vessel
from drydown.estimate.gathering import Gatherer, Minute
from drydown.estimate.inputs import Sample, TankPriors
from drydown.estimate.learned import Learned, learned_of, prior_of
from drydown.estimate.outlook import Cloud, Ends, Present, cloud_of, ends, followed, present
from drydown.estimate.result import Estimate, Spread, Verdict
from drydown.estimate.smoother import Hint, Interval, Posterior, Smoother
from drydown.estimate.unknowns import COUNT, INDEX, PARAMETERS
from drydown.physics.values import Array

DENSITY_15, EXPANSION = 880.0, 0.72  # kg/m³, kg/(m³ K)
NORMAL_90, SURE, DOUBT = 1.645, 0.95, 0.80
STEADY = 300.0  # s that a claim must have held
LONG_REST = 3600.0  # s of rest that end a run
LONG_GAP = 900.0  # s without a reading after which the fit starts anew
IDLE_KEPT = 20  # intervals before the blower first runs
CARRIED_SIGMA = 0.8  # of ln methanol, over a change of the fuel, a long gap or a long rest
GUESSED_AIR = 287.5  # K, unmeasured
# the correlation of Hikita et al. 1980 asks for about 1.3 times the first cut's velocity: half way
HOLD_UP_SHIFT = 1.15
HOLD_UP_SIGMA = 0.35  # of ln hold-up: what its correlation is worth (docs/physics, bubbling)
GASSED = 0.88  # share of fuel in bubbling fuel, where it was never seen at rest
CHANGED_VOLUME = 0.03  # share of the fuel: more than level noise, less than a bucket
LEAST_SIGMA = 0.04  # of ln content: no belief is sharper than the model
GUSTS = 0.06  # of ln emission: surges, and drops that fall back from a cold lid
MIXING = 0.06  # K, what the first minutes of mixing do beside the model
TIMING = 2.5  # s, by which a steep reading may be early or late beside its lag
QUIET, IDLE, RESTING, RESTARTING = 0.03, 0.06, 0.15, 0.15  # K, noise of a minute's mean: bubbling; at rest


class Estimator:
    """Feed `observe` with every reading, ask `estimate` once a minute. Deterministic; no clock of its own."""

    def __init__(self, tank: TankPriors, learned: Learned | None = None) -> None:
        self._tank = tank
        self._mean, self._covariance = prior_of(learned)
        self._gatherer = Gatherer()
        self._smoother: Smoother | None = None
        self._posterior: Posterior | None = None
        self._idle: list[Minute] = []
        self._volume: float | None = None
        self._run_time = self._rested = 0.0
        self._since_start = 0.0  # s of bubbling since the blower last started
        self._since_fit = 0
        self._paused = False
        self._carried: tuple[float, float] | None = None  # ln methanol and its σ, from before a new beginning
        self._before = math.nan  # the fuel probe's last mean
        self._air: tuple[float, float, float] | None = None  # temperature, humidity, when
        self._hold_up: list[float] = []
        self._ends: tuple[float, Ends] | None = None
        self._clear = {"methanol": math.inf, "dry": math.inf}  # since when the claim has held
        self._said = self._new_verdict = Verdict.UNKNOWN
        self._verdict_since = -math.inf
        self._last_reading = -math.inf
        self._now = -math.inf

    def observe(self, now: float, sample: Sample) -> None:
        """Takes the readings of one moment; those older than the last are left out."""
        if now < self._now:
            return
        self._now = now
        if sample.fuel_temperature is not None:
            self._last_reading = now
        self._gatherer.add(now, sample)

    def estimate(self, now: float) -> Estimate:
        """The belief now; call about once a minute."""
        for minute in self._gatherer.take(now):
            self._take(minute)
        if self._smoother is None or self._smoother.count == 0:
            return self._nothing(now)
        return self._tell(now)

    def bench_test(self, now: float, quantity: str, value: float, sigma: float) -> None:
        """A test of the fuel: quantity "methanol" or "water", mass fraction and its 1 σ."""
        smoother = self._smoother
        if smoother is None:
            return
        state = {"methanol": LN_METHANOL, "water": LN_WATER}[quantity]
        value = max(value, 1e-6)
        spread = math.sqrt(math.log1p((sigma / value) ** 2))
        place = int(np.abs(smoother.times_back() - (self._now - now)).argmin())
        smoother.hints.append(Hint(state, place, math.log(value), max(spread, 0.01)))

    def learned(self) -> Learned:
        """The belief about what stays the same of tank and blower."""
        mean, covariance = self._mean, self._covariance
        if self._smoother is not None and self._posterior is not None and self._run_time > 900.0:
            mean, covariance = self._smoother.theta + self._posterior.step, self._widened()
        return learned_of(mean, covariance)

    # -- taking readings in

    def _take(self, minute: Minute) -> None:
        running = minute.running
        new_run = running and self._rested > LONG_REST and self._run_time > 0.0
        if minute.length > LONG_GAP or new_run:
            self._restart()
            self._run_time = 0.0
        self._run_time += minute.length if running else 0.0
        self._paused = self._run_time > 0.0 and (self._paused or not running)
        self._rested = 0.0 if running else self._rested + minute.length
        self._follow_level(minute)
        if self._smoother is None:
            self._begin(minute)
        if self._smoother is None:
            return
        self._smoother.append(self._interval(minute))
        self._since_start = self._since_start + minute.length if running else 0.0
        if self._run_time == 0.0:
            self._idle = [*self._idle[1 - IDLE_KEPT // 2 :], minute]
            if self._smoother.count > IDLE_KEPT:
                self._forget_idle()
        self._since_fit += 1
        if self._since_fit >= self._patience():
            self._smoother.refit()
            self._since_fit = 0
        self._posterior = self._smoother.posterior()

    def _forget_idle(self) -> None:
        """Begins again at a later moment of the rest before the blower runs."""
        self._smoother = None
        self._begin(self._idle[0])
        if self._smoother is not None:
            for minute in self._idle:
                self._smoother.append(self._interval(minute))

    def _patience(self) -> int:
        """Minutes between fits: every one while the run is young, then ever fewer."""
        ran = self._run_time
        return 1 + int(ran > 2400.0) + int(ran > 5400.0) + 2 * int(ran > 10800.0) + 5 * int(ran > 21600.0)

    def _begin(self, minute: Minute) -> None:
        if minute.fuel != minute.fuel or self._volume is None:
            return
        density = DENSITY_15 - EXPANSION * (minute.fuel - 288.15)
        joined = minute.running
        vessel = Vessel(self._volume * density, self._tank.rated_flow)
        mean, covariance = self._mean.copy(), self._covariance.copy()
        if joined:  # some of the methanol may be gone, and the fuel is mixed
            at = INDEX["methanol"]
            mean[at], covariance[at, at] = -1.2, 2.5
            covariance[INDEX["layer"], INDEX["layer"]] = 0.01
            covariance[INDEX["water"], INDEX["water"]] = 6.0
            covariance[INDEX["heat_capacity"], INDEX["heat_capacity"]] = 9.0  # so is the volume
        if self._carried is not None:
            at, (value, sigma) = INDEX["methanol"], self._carried
            prior = PARAMETERS[at]
            mean[at] = min(max((value - math.log(prior.a)) / prior.b, -6.0), 3.0)
            covariance[at, at] = (sigma**2 + CARRIED_SIGMA**2) / prior.b**2
            covariance[INDEX["water"], INDEX["water"]] = 6.0
            self._carried = None
        self._smoother = Smoother(vessel, mean, covariance, minute.fuel, joined)
        self._posterior = None
        if self._hold_up:
            self._hint_flow()

    def _restart(self) -> None:
        """Forgets the fit. What belongs to tank and blower stays, and methanol is carried over as a hint."""
        if self._smoother is not None and self._posterior is not None and self._run_time > 300.0:
            state, by_theta = self._smoother.now(self._posterior.step)
            row = by_theta[LN_METHANOL]
            self._carried = float(state[LN_METHANOL]), math.sqrt(max(float(row @ self._widened() @ row), 0.0))
        if self._run_time > 900.0:
            self._mean, self._covariance = prior_of(self.learned())
        self._smoother, self._posterior, self._ends = None, None, None
        self._clear = dict.fromkeys(self._clear, math.inf)

    def _interval(self, minute: Minute) -> Interval:
        if minute.air == minute.air and minute.humidity == minute.humidity:
            self._air = (minute.air, minute.humidity, minute.end)
        if self._air is not None:
            air, humidity, when = self._air
            unknown, gap = 0.0, (minute.end - when) / 3600.0
        else:
            air, humidity, unknown, gap = GUESSED_AIR, 0.55, 1.0, self._run_time / 3600.0
        metered = float(minute.discharge == minute.discharge)
        drive = (minute.length, float(minute.running), 1.0, air, humidity, unknown, gap,
                 minute.discharge if metered else 0.0, metered)  # fmt: skip
        if not minute.running:
            sigma = RESTING if self._run_time > 0.0 else IDLE
        else:
            fresh = math.exp(-self._since_start / 60.0)
            steep = abs(minute.fuel - self._before) / minute.length if self._since_start > 0.0 else 0.0
            steep = steep if steep < 0.1 else 0.0
            sigma = math.hypot(QUIET, (RESTARTING if self._paused else MIXING) * fresh, TIMING * steep)
        self._before = minute.fuel
        sigma *= math.sqrt(max(60.0 / max(minute.length, 5.0), 1.0))
        return Interval(drive, minute.fuel, sigma)

    def _follow_level(self, minute: Minute) -> None:
        """Fuel volume while at rest; gas hold-up while it bubbles."""
        volume, known = minute.volume, self._volume
        if volume != volume or volume <= 0.0:
            return
        if known is None:
            self._volume = volume * (GASSED if minute.running else 1.0)
        elif not minute.running and self._rested > 90.0:
            if abs(volume / known - 1.0) > CHANGED_VOLUME:
                self._restart()
                self._volume = volume
            else:
                self._volume = known + 0.1 * (volume - known)
        elif minute.running and self._since_start > 180.0:
            self._hold_up = [*self._hold_up[-29:], 1.0 - known / volume]
            if len(self._hold_up) in (3, 10, 20):
                self._hint_flow()

    def _hint_flow(self) -> None:
        """Hold-up as a poor measure of the flow: ε = u/(0.3 m/s + 2u)."""
        held = min(max(sorted(self._hold_up)[len(self._hold_up) // 2], 0.01), 0.35)
        velocity = HOLD_UP_SHIFT * 0.3 * held / (1.0 - 2.0 * held)
        ratio = velocity * self._tank.cross_section / self._tank.rated_flow
        sigma = HOLD_UP_SIGMA / (1.0 - 2.0 * held)  # d ln ε / d ln u is 1 − 2ε
        if self._smoother is not None:
            self._smoother.flow_hint = (min(max(math.log(ratio), -1.0), 1.0), sigma)

    # -- telling

    def _widened(self) -> Array:
        """The covariance, larger when the model does not explain the readings."""
        assert self._posterior is not None
        result: Array = self._posterior.covariance * max(1.0, self._posterior.misfit)
        return result

    def _tell(self, now: float) -> Estimate:
        smoother = self._smoother
        assert smoother is not None
        posterior = self._posterior or smoother.posterior()
        self._posterior = posterior
        covariance = self._widened()
        state, by_theta = smoother.now(posterior.step)
        cloud = cloud_of(smoother.theta, posterior.step, covariance, state, by_theta)
        drive = Drive(*(column[smoother.count - 1 : smoother.count] for column in smoother.drives))
        running = bool(drive.running[0] > 0.0)
        bubbling = drive._replace(running=np.ones(1))
        at_once = present(cloud, bubbling, smoother.vessel)
        methanol = _log_spread(state[LN_METHANOL], by_theta[LN_METHANOL], covariance)
        water = _log_spread(state[LN_WATER], by_theta[LN_WATER], covariance)
        floor = _spread(at_once.floor)
        emission = _spread(_gusty(at_once.emission)) if running else Spread(0.0, 0.0, 2e-6)
        age = math.inf if self._ends is None else now - self._ends[0]
        if age >= 400.0 or (age >= 240.0 and self._since_fit > 0):  # rather not in the minute of a fit
            self._ends = (now, self._look_ahead(cloud, bubbling))
        assert self._ends is not None
        methanol_in = _chance(
            self._tank.methanol_limit, state[LN_METHANOL], by_theta[LN_METHANOL], covariance
        )
        water_in = _chance(self._tank.water_limit, state[LN_WATER], by_theta[LN_WATER], covariance)
        self._note(now, "methanol", methanol_in)
        self._note(now, "dry", min(methanol_in, water_in))
        done = now - self._clear["methanol"] >= STEADY
        verdict = self._settled(now, self._verdict(now, done, water_in, at_once, cloud))
        then, found = self._ends
        return Estimate(
            time=now,
            run_time=self._run_time,
            methanol=methanol,
            water=water,
            water_floor=floor,
            emission=emission,
            methanol_done_at=_when(then, found.methanol),
            dry_at=_when(then, found.dry),
            methanol_done=done,
            verdict=verdict,
        )

    def _look_ahead(self, cloud: Cloud, drive: Drive) -> Ends:
        smoother = self._smoother
        assert smoother is not None
        cloud = followed(cloud)
        n = smoother.count
        every = slice(0, n + 1, max(1, n // 60))
        joint, path = smoother.joint[every], smoother.path[every]
        offsets = cloud.offsets.T
        ln_methanol = (path[:, LN_METHANOL, None] + joint[:, LN_METHANOL, :COUNT] @ offsets).T
        ln_water = (path[:, LN_WATER, None] + joint[:, LN_WATER, :COUNT] @ offsets).T
        times = -smoother.times_back()[every]
        # only from the start of bubbling, and before the present that the draws start from
        use = (times < 0.0) & (times >= -self._run_time - self._rested - 600.0)
        past = (np.append(times[use], 0.0),
                np.hstack((ln_methanol[:, use], cloud.states[LN_METHANOL])),
                np.hstack((ln_water[:, use], cloud.states[LN_WATER])))  # fmt: skip
        limits = (self._tank.methanol_limit, self._tank.water_limit)
        return ends(cloud, drive, smoother.vessel, past, limits)

    def _note(self, now: float, claim: str, chance: float) -> None:
        """Follows since when a claim has been sure; one that was made stands until it is in real doubt."""
        made = now - self._clear[claim] >= STEADY
        if chance < (DOUBT if made else SURE) or self._run_time < 300.0:
            self._clear[claim] = math.inf
        elif self._clear[claim] == math.inf:
            self._clear[claim] = now

    def _settled(self, now: float, verdict: Verdict) -> Verdict:
        """The verdict that has stood for a while; unknown, dry and the first word are said at once."""
        if verdict != self._new_verdict:
            self._new_verdict, self._verdict_since = verdict, now
        at_once = verdict in (Verdict.UNKNOWN, Verdict.DRY) or self._said in (Verdict.UNKNOWN, Verdict.DRY)
        if at_once or now - self._verdict_since >= STEADY:
            self._said = verdict
        return self._said

    def _verdict(self, now: float, done: bool, water_in: float, at_once: Present, cloud: Cloud) -> Verdict:
        assert self._posterior is not None
        if self._run_time < 180.0 or now - self._last_reading > 600.0 or self._posterior.misfit > 9.0:
            return Verdict.UNKNOWN
        if now - self._clear["dry"] >= STEADY:
            return Verdict.DRY
        if not done:
            return Verdict.DRYING
        water = np.exp(cloud.states[LN_WATER, :, 0])
        if float((at_once.wetting > 0.02 * water / 3600.0).mean()) >= 0.9:
            return Verdict.WETTING
        limited = (at_once.floor > self._tank.water_limit).mean() >= 0.9 and water_in < 0.5
        if limited and abs(math.log(float(np.median(water) / np.median(at_once.floor)))) < 0.15:
            return Verdict.AIR_LIMITED
        return Verdict.DRYING

    def _nothing(self, now: float) -> Estimate:
        return Estimate(now, self._run_time, None, None, None, None, None, None, False, Verdict.UNKNOWN)


def _log_spread(mean: float, row: Array, covariance: Array) -> Spread:
    sigma = math.hypot(math.sqrt(max(float(row @ covariance @ row), 0.0)), LEAST_SIGMA)
    low, middle, high = (math.exp(min(mean + z * sigma, 0.0)) for z in (-NORMAL_90, 0.0, NORMAL_90))
    return Spread(middle, low, high)


def _chance(limit: float, mean: float, row: Array, covariance: Array) -> float:
    """Probability that the state lies at or below the limit."""
    sigma = math.hypot(math.sqrt(max(float(row @ covariance @ row), 0.0)), LEAST_SIGMA)
    return 0.5 * math.erfc((mean - math.log(limit)) / (sigma * math.sqrt(2.0)))


def _gusty(emission: Array) -> Array:
    """Emission of draws, wider by what the flow of one minute differs from its mean."""
    logs = np.log(np.maximum(emission, 1e-12))
    middle = np.median(logs)
    spread = max(float(logs.std()), 1e-6)
    result: Array = np.exp(middle + (logs - middle) * math.hypot(1.0, GUSTS / spread))
    return result


def _spread(values: Array) -> Spread:
    """Quantiles by interpolation between sorted draws."""
    ordered = np.sort(values)
    low, middle, high = (_quantile(ordered, q) for q in (0.05, 0.5, 0.95))
    return Spread(middle, low, high)


def _quantile(ordered: Array, share: float) -> float:
    place = share * (len(ordered) - 1)
    i = min(int(place), len(ordered) - 2)
    a, b = float(ordered[i]), float(ordered[i + 1])
    return a if a == b else a + (place - i) * (b - a)


def _when(then: float, after: Array) -> Spread | None:
    ordered = np.sort(np.minimum(after, 86400.0))
    low, middle, high = (_quantile(ordered, q) for q in (0.05, 0.5, 0.95))
    if middle >= 43200.0:
        return None
    return Spread(then + middle, then + low, then + high)
