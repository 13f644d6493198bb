"""One tank's estimate: methanol, water, what this air allows, emission, ends and verdict, with ranges."""

import math

import numpy as np

from drydown.estimate import ranges
from drydown.estimate.balance import LN_METHANOL, LN_WATER, Drive, Vessel
from drydown.estimate.beginnings import Carried, joined
from drydown.estimate.belief import Belief
from drydown.estimate.claims import Claims, Evidence
from drydown.estimate.fuel_amount import FuelAmount
from drydown.estimate.gathering import Gatherer, Minute
from drydown.estimate.inputs import Sample, TankPriors
from drydown.estimate.leaning import Leaning, leaning
from drydown.estimate.learned import Learned, learned_of, prior_of
from drydown.estimate.lesson_use import learned_flow
from drydown.estimate.outlook import Cloud, Ends, Present, cloud_of, ends, followed, present
from drydown.estimate.result import Estimate, Spread, Verdict
from drydown.estimate.smoother import Hint, Interval, Posterior, Smoother
from drydown.estimate.unknowns import COUNT
from drydown.physics.values import Array

LEAST_MASS = 5.0  # kg: less is an empty tank
LONG_REST = 3600.0  # s of rest that end a run
LONG_GAP = 900.0  # s without a reading after which the fit starts anew
IDLE_KEPT = 20  # intervals before the blower first runs
EARLY = 3600.0  # s before the first thing remembered: a test from then still tells of this fuel
WORTH_LEARNING = 900.0  # s of bubbling before a run teaches anything
GUESSED_AIR, GUESSED_HUMIDITY = 287.5, 0.55  # K, fraction; where never measured
LEAST_SIGMA = 0.04  # of ln content: no belief is sharper than the model
SLACK = 1.03  # of methanol's σ: what the linearised belief leaves out (simulated runs)
FADING = 0.12  # of the fall in ln below the limit: how well a long decay is known
EMISSION = ranges.Sides(below=1.24, above=SLACK)
GUSTS = 0.06  # of ln emission: surges, and drops that fall back from a cold lid
MIXING = 0.06  # K, what the first minutes of mixing do beside the model
TIMING = 2.5  # s, by which a steep reading may be early or late beside its lag
QUIET, IDLE, RESTING, RESTARTING = 0.03, 0.06, 0.15, 0.15  # K, noise of a minute's mean: bubbling; at rest
AT_FLOOR = 0.15  # of ln water: so near to this air's floor there is nothing more to gain while it stays
TRACE = 0.02 / 3600.0  # 1/s, of the water there is: a slower rise is none
NO_EMISSION = Spread(0.0, 0.0, 2e-6)  # kg/s while the blower rests; what leaves the still surface is a trace
AGED, OLD = 150.0, 330.0  # s; predicted ends are worked out anew when there is time, or at once
UNEXPLAINED = 3.0  # strain of the fit beyond which nothing is said
GIVEN_UP = 1200.0  # s of that, after which the fit starts anew


class Estimator:
    """Feed `observe` with every reading, ask `estimate` once a minute. Deterministic; no clock of its own."""

    def __init__(self, tank: TankPriors, learned: Learned | None = None) -> None:
        self._tank = tank
        self._mean, self._covariance = prior_of(learned)
        self._gatherer = Gatherer()
        self._smoother: Smoother | None = None
        self._posterior: Posterior | None = None
        self._belief: Belief | None = None
        self._learned_flow = learned_flow(learned)
        self._idle: list[Minute] = []
        self._amount = FuelAmount(tank)
        self._run_time = self._rested = 0.0
        self._since_start = 0.0  # s of bubbling since the blower last started
        self._since_fit = 0
        self._busy = False  # this minute has had its share of work
        self._paused = False
        self._drawn = False  # from, since the blower stopped
        self._carried: Carried | None = None
        self._before = math.nan  # the fuel probe's last mean
        self._air: tuple[float, float] | None = None  # temperature, and when
        self._humidity: tuple[float, float] | None = None
        self._ends: tuple[float, Ends] | None = None
        self._strained_since = math.inf
        self._claims = Claims()
        self._last_reading = self._now = -math.inf

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
        busy = False
        for minute in self._gatherer.take(now):
            busy = self._take(minute) or busy
        self._busy = self._fit(now, busy) or busy
        self._belief = None
        if self._smoother is None or self._posterior is None:
            return self._nothing(now)
        return self._tell(now, self._smoother, self._posterior)

    @property
    def intervals(self) -> int:
        """Rows of history that the fit holds; bounded."""
        return 0 if self._smoother is None else self._smoother.count

    @property
    def belief(self) -> Belief | None:
        """What stands behind the last estimate; None where there was nothing to tell."""
        return self._belief

    def bench_test(self, now: float, quantity: str, value: float, sigma: float) -> None:
        """A test of the fuel as it was at `now` (s): quantity "methanol" or "water", mass fraction and 1 σ.

        Of fuel from before what is remembered nothing is learned.
        """
        smoother = self._smoother
        if smoother is None or self._now - now > smoother.times_back()[0] + EARLY:
            return
        state = {"methanol": LN_METHANOL, "water": LN_WATER}[quantity]
        value = max(value, 1e-6)
        spread = math.sqrt(math.log1p((sigma / value) ** 2))
        place = int(np.abs(smoother.times_back() - (self._now - now)).argmin())
        smoother.hints.append(Hint(state, place, math.log(value), max(spread, 0.01)))

    def learned(self) -> Learned:
        """The belief about what stays the same of tank and blower."""
        mean, covariance = self._mean, self._covariance
        taught = self._run_time > WORTH_LEARNING and self._explained()
        if taught and self._smoother is not None and self._posterior is not None:
            mean, covariance = self._smoother.theta + self._posterior.step, self._widened()
        return learned_of(mean, covariance)

    # -- taking readings in

    def _take(self, minute: Minute) -> bool:
        """Take in an interval; whether that was much work."""
        running = minute.running
        new_run = running and self._rested > LONG_REST and self._run_time > 0.0
        if minute.length > LONG_GAP or new_run:
            self._restart()
            self._run_time = 0.0 if new_run else self._run_time
        self._run_time += minute.length if running else 0.0
        self._paused = self._run_time > 0.0 and (self._paused or not running)
        self._rested = 0.0 if running else self._rested + minute.length
        before = self._amount.mass
        if self._amount.take(minute, self._rested, self._since_start):
            # what is drawn leaves the rest as it is: only how it bubbles on will differ
            now, settled = self._amount.mass, self._run_time > 0.0 and not running
            self._drawn = settled and before is not None and now is not None and now < before
            if not self._drawn:
                self._restart()
        elif running and self._drawn:
            self._drawn = False
            self._restart()
        if self._smoother is None:
            self._begin(minute)
        if self._smoother is None:
            return False
        self._smoother.flow_hint = self._amount.flow_told()
        merged = self._smoother.append(self._interval(minute))
        self._since_start = self._since_start + minute.length if running else 0.0
        if self._run_time == 0.0:
            self._idle = [*self._idle[1 - IDLE_KEPT // 2 :], minute]
            if self._smoother.count > IDLE_KEPT:
                self._forget_idle()
                merged = True
        self._since_fit += 1
        return merged

    def _fit(self, now: float, busy: bool) -> bool:
        """The belief from all that was taken in; whether the whole stretch had to be fitted anew."""
        if self._smoother is None:
            return False
        due = self._since_fit >= self._patience() and not busy
        if due:
            self._smoother.refit()
            self._since_fit = 0
        self._posterior = self._smoother.posterior()
        if self._explained():
            self._strained_since = math.inf
        elif self._strained_since == math.inf:
            self._strained_since = now
        elif now - self._strained_since >= GIVEN_UP:
            self._restart()
        return due

    def _explained(self) -> bool:
        """Whether the model can follow the readings."""
        return self._posterior is not None and self._posterior.strain <= UNEXPLAINED

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
        if self._rested > 600.0:
            return 10
        return 1 + int(ran > 2400.0) + int(ran > 5400.0) + 2 * int(ran > 10800.0) + 5 * int(ran > 21600.0)

    def _begin(self, minute: Minute) -> None:
        if minute.fuel != minute.fuel or self._amount.mass is None or self._amount.mass < LEAST_MASS:
            return
        begun = minute.running or self._run_time > 0.0
        vessel = Vessel(self._amount.mass, self._tank.rated_flow)
        mean, covariance = self._mean.copy(), self._covariance.copy()
        if self._carried is not None:
            self._carried.into(mean, covariance, minute.fuel)
            self._carried = None
        elif begun:
            joined(mean, covariance)
        self._smoother = Smoother(vessel, mean, covariance, minute.fuel, minute.running)
        self._posterior = None

    def _restart(self) -> None:
        """Forgets the fit. What belongs to tank and blower stays, and methanol is carried over as a hint."""
        known = self._run_time > 300.0 and self._explained()
        if known and self._smoother is not None and self._posterior is not None:
            state, by_theta = self._smoother.now(self._posterior.step)
            sigmas = [ranges.sigma_of(by_theta[i], self._widened()) for i in (LN_METHANOL, LN_WATER)]
            self._carried = Carried(float(state[LN_METHANOL]), sigmas[0], float(state[LN_WATER]), sigmas[1])
        if self._run_time > WORTH_LEARNING:
            self._mean, self._covariance = prior_of(self.learned())
        self._smoother, self._posterior, self._ends = None, None, None
        self._strained_since = math.inf
        self._claims.withdraw()

    def _interval(self, minute: Minute) -> Interval:
        if minute.air == minute.air:
            self._air = minute.air, minute.end
        if minute.humidity == minute.humidity:
            self._humidity = minute.humidity, minute.end
        air, air_unknown, air_gap = self._last_seen(self._air, GUESSED_AIR, minute)
        humidity, humidity_unknown, humidity_gap = self._last_seen(self._humidity, GUESSED_HUMIDITY, minute)
        metered = float(minute.discharge == minute.discharge)
        drive = (minute.length, float(minute.running), self._amount.flow, air, humidity, air_unknown,
                 humidity_unknown, air_gap, humidity_gap, minute.discharge if metered else 0.0,
                 metered)  # fmt: skip
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

    def _last_seen(
        self, seen: tuple[float, float] | None, guess: float, minute: Minute
    ) -> tuple[float, float, float]:
        """A value of the air, whether it is a guess, and for how many hours nobody has looked."""
        if seen is None:
            return guess, 1.0, self._run_time / 3600.0
        value, when = seen
        return value, 0.0, (minute.end - when) / 3600.0

    # -- telling

    def _widened(self) -> Array:
        """The covariance, larger when the model does not explain the readings."""
        assert self._posterior is not None
        result: Array = self._posterior.covariance * max(1.0, self._posterior.strain)
        return result

    def _tell(self, now: float, smoother: Smoother, posterior: Posterior) -> Estimate:
        covariance = self._widened()
        state, by_theta = smoother.now(posterior.step)
        cloud = cloud_of(smoother.theta, posterior.step, covariance, state, by_theta)
        drive = Drive(*(column[smoother.count - 1 : smoother.count] for column in smoother.drives))
        self._belief = Belief(cloud, drive, smoother.vessel, self._learned_flow)
        running = bool(drive.running[0] > 0.0)
        bubbling = drive._replace(running=np.ones(1))
        at_once = present(cloud, bubbling, smoother.vessel)
        fading = FADING * max(math.log(self._tank.methanol_limit) - float(state[LN_METHANOL]), 0.0)
        sides = self._leaning(smoother)
        sigmas = [ranges.sigma_of(by_theta[i], covariance) for i in (LN_METHANOL, LN_WATER)]
        methanol = float(state[LN_METHANOL]), math.hypot(SLACK * sigmas[0], LEAST_SIGMA, fading)
        water = float(state[LN_WATER]), math.hypot(sigmas[1], LEAST_SIGMA)
        emission = ranges.stretched(at_once.emission, EMISSION, math.hypot(GUSTS, fading))
        age = math.inf if self._ends is None else now - self._ends[0]
        if self._ends is None or age >= OLD or (age >= AGED and not self._busy):
            self._ends = (now, self._look_ahead(cloud, bubbling))
        then, found = self._ends
        self._claims.weigh(now, self._evidence(now, at_once, found, cloud, methanol, water, sides))
        return Estimate(
            time=now,
            run_time=self._run_time,
            methanol=ranges.content(*methanol, sides.methanol),
            water=ranges.content(*water, sides.water),
            water_floor=ranges.of_draws(ranges.stretched(at_once.floor, sides.floor)),
            emission=ranges.of_draws(emission) if running else NO_EMISSION,
            methanol_done_at=ranges.moment(then, found.methanol),
            dry_at=ranges.moment(then, found.dry),
            methanol_done=self._claims.methanol_done(now),
            verdict=self._claims.verdict,
        )

    def _leaning(self, smoother: Smoother) -> Leaning:
        seen = Drive(*smoother.drives[:, : smoother.count])
        either_unknown = np.maximum(seen.air_unknown, seen.humidity_unknown)
        return leaning(1.0 - float(either_unknown.mean()), float(seen.metered.mean()))

    def _evidence(
        self,
        now: float,
        at_once: Present,
        found: Ends,
        cloud: Cloud,
        methanol: tuple[float, float],
        water: tuple[float, float],
        sides: Leaning,
    ) -> Evidence:
        assert self._posterior is not None
        contents = np.exp(cloud.states[LN_WATER, :, 0])
        distance = math.log(ranges.middle(contents) / ranges.middle(at_once.floor))
        return Evidence(
            run_time=self._run_time,
            silence=now - self._last_reading,
            explained=self._explained(),
            methanol_within=ranges.chance_within(self._tank.methanol_limit, *methanol, sides.methanol),
            water_within=ranges.chance_within(self._tank.water_limit, *water, sides.water),
            # the blower warms the fuel, and the floor falls: this air may do yet
            never_within=float(
                min((at_once.floor > self._tank.water_limit).mean(), np.isinf(found.dry).mean())
            ),
            at_floor=abs(distance) < AT_FLOOR,
            falling=ranges.middle(-at_once.wetting / contents),
            rising=float((at_once.wetting > TRACE * contents).mean()),
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

    def _nothing(self, now: float) -> Estimate:
        return Estimate(now, self._run_time, None, None, None, None, None, None, False, Verdict.UNKNOWN)
