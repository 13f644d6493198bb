"""What can be known at best: `PYTHONPATH=tests python tests/estimate/knowable.py [RUNS [FIRST_SEED]]`.

A linearised Bayes bound. Each run of `drydown.simulate` is simulated anew with every throw that made it (of
tank, batch, air, probes) pushed a little. The derivatives, the throws' own spreads and the probes' own noise
give the belief of somebody who knows exactly how such runs are made, minute by minute; its error follows from
the run's own throws and from fresh noise. Surges of the flow, draughts and the bend of the problem are left
out: the bound is a little kind. Takes a quarter of a minute a run.
"""

import math
import sys
from collections import Counter, defaultdict
from dataclasses import dataclass
from random import Random
from statistics import NormalDist, median

import numpy as np
from numpy.typing import NDArray

from drydown.physics.values import Array
from drydown.simulate.draw import KITS, drawn
from drydown.simulate.instruments import DS18B20_STEP, Instruments
from drydown.simulate.scene import Scenario, go_on, open_scene
from drydown.simulate.tank import observe

PUSH = 0.02  # standard deviations
# throws that the estimator is told (duration, rated flow, size, switches), or that are left out (surges)
TOLD = {"drawn 0", "drawn 2", "_vessel 0"}
TOLD_BY = {"_switches", "_surges"}
BLOCK = 30  # minutes of weather that are pushed together
SAMPLING, SAMPLES = 10.0, 6  # s, and of them in a minute
TARGETS = ("methanol", "water", "water_equilibrium", "emission")
GOALS = np.log([0.0020, 0.000500])  # ln of the limits of methanol and water
SURE, WAIT, LASTING, SETTLED = 0.95, 5, 20, 5  # probability, and minutes
MARKS = (10, 20, 40)  # minutes of bubbling
LEAST = math.log(5e-4)  # ln of methanol below which a ratio means little
FAINT = np.log([2e-5, 1e-9, 1e-9, 2e-6])  # ln of targets below which nothing is counted
SIDE = 1.645  # standard deviations to either end of the 90 % range
NORMAL = NormalDist()


class Dice(Random):
    """A seed's dice that note every throw as a normal score, by groups; one group is pushed."""

    getrandbits = Random.getrandbits  # or `choice` would throw otherwise than plain dice do

    def __init__(self, seed: int, pushed: str = "", size: int = 1) -> None:
        super().__init__(f"drydown {seed}")
        self.scores: defaultdict[str, list[float]] = defaultdict(list)
        self._pushed, self._push = pushed, PUSH / math.sqrt(size)
        self._thrown: Counter[str] = Counter()

    def gauss(self, mu: float = 0.0, sigma: float = 1.0) -> float:
        score = super().gauss(0.0, 1.0)
        return mu + sigma * (score + self._note(score, mu > 0.0))

    def uniform(self, a: float, b: float) -> float:
        return a + (b - a) * self._share(super().random())

    def random(self) -> float:
        by = sys._getframe(1).f_code.co_name
        return self._share(super().random()) if by.startswith("_") and by not in TOLD_BY else super().random()

    def _share(self, share: float) -> float:
        score = NORMAL.inv_cdf(share)
        push = self._note(score, False)
        return NORMAL.cdf(score + push) if push else share

    def _note(self, score: float, is_pressure: bool) -> float:
        """Note a throw of whoever asked for it; how far it is to be pushed."""
        frame = sys._getframe(2)
        while frame.f_code.co_name in ("_share", "uniform", "random", "gauss") and frame.f_back is not None:
            frame = frame.f_back
        by = frame.f_code.co_name
        number = self._thrown[by]
        self._thrown[by] += 1
        group = f"{by} {number}"
        if by == "wander":
            minute, kind = divmod(number, 3)
            group = "pressure" if is_pressure else f"weather {kind} {minute // BLOCK}" if kind < 2 else ""
        if not group or by in TOLD_BY or group in TOLD:
            return 0.0
        self.scores[group].append(score)
        return self._push if group == self._pushed else 0.0


@dataclass(frozen=True, slots=True)
class Course:
    """One simulation minute by minute: readings without noise, and ln of the targets."""

    readings: Array  # (minutes, probes)
    targets: Array  # (minutes, TARGETS)
    running: Array  # (minutes,)


def course_of(scenario: Scenario) -> Course:
    """The scenario played without noise."""
    probes, now, lagging = scenario.probes, open_scene(scenario), None
    readings, targets, running, minute = [], [], [], []
    for _ in range(int(scenario.duration / SAMPLING)):
        now = go_on(now, scenario.inputs(now.elapsed), SAMPLING)
        inputs = scenario.inputs(now.elapsed)
        true = observe(scenario.tank, now.state, inputs)
        goal = np.array([true.probe_layer_temperature, inputs.room_temperature, true.discharge_temperature])
        lags = np.array([probes.fuel_lag, probes.air_lag, probes.discharge_lag])
        lagging = goal if lagging is None else goal + (lagging - goal) * np.exp(-SAMPLING / lags)
        minute.append([lagging[0] + probes.fuel_offset, true.level + probes.level_offset,
                       lagging[1] + probes.air_offset, inputs.room_humidity + probes.humidity_offset,
                       lagging[2] + probes.discharge_offset])  # fmt: skip
        if len(minute) == SAMPLES:
            readings.append(np.mean(minute, axis=0))
            targets.append([math.log(max(getattr(true, name), 1e-12)) for name in TARGETS])
            running.append(inputs.blower_running)
            minute = []
    return Course(np.array(readings), np.array(targets), np.array(running))


def noise_of(probes: Instruments, running: Array) -> Array:
    """σ of a minute's mean of every probe, (minutes, probes); infinite for those that are not in the kit."""
    correlated = probes.eddy_time / 60.0
    eddies = 2.0 * correlated * (1.0 - correlated * (1.0 - math.exp(-1.0 / correlated))) * probes.eddies**2
    digital = (0.02**2 + DS18B20_STEP**2 / 12.0) / SAMPLES
    fuel = np.sqrt(digital + running * eddies)
    level = np.sqrt((probes.level_noise**2 + running * probes.splash**2) / SAMPLES)
    names = ("air/temperature", "air/humidity", "blower/discharge_temperature")
    sigmas = (math.sqrt(0.05**2 / SAMPLES), math.sqrt(0.004**2 / SAMPLES), math.sqrt(digital))
    others = [s if name in probes.kit else math.inf for name, s in zip(names, sigmas, strict=True)]
    return np.column_stack((fuel, level, np.tile(others, (len(running), 1))))


@dataclass(frozen=True, slots=True)
class Known:
    """What is known of one run minute by minute since the start, (minutes, TARGETS)."""

    true: Array  # ln
    error: Array  # of the belief's mean
    sigma: Array
    running: Array  # (minutes,)


def known_of(seed: int, kit: str) -> tuple[Known, Known] | None:
    """The belief over one run, with the level while it bubbles and without.

    None where its methanol was cut off, which no push can see.
    """
    dice = Dice(seed)
    scenario, _ = drawn(dice, kit)
    base = course_of(scenario)
    groups = {name: (float(sum(s)) / math.sqrt(len(s)), len(s)) for name, s in dice.scores.items()}
    pushed = [course_of(drawn(Dice(seed, name, size), kit)[0]) for name, (_, size) in groups.items()]
    by_reading = np.stack([(p.readings - base.readings) / PUSH for p in pushed], axis=-1)
    by_target = np.stack([(p.targets - base.targets) / PUSH for p in pushed], axis=-1)
    if not by_target[0, 0].any():
        return None
    scores = np.array([score for score, _ in groups.values()])
    sigma = noise_of(scenario.probes, base.running)
    thrown = np.random.Generator(np.random.PCG64(seed)).standard_normal(sigma.shape)
    resting = sigma.copy()
    resting[base.running, 1] = math.inf
    told = (_believed(base, by_reading / s[:, :, None], by_target, scores, thrown) for s in (sigma, resting))
    whole, without_level = told
    return whole, without_level


def _believed(base: Course, rows: Array, by_target: Array, scores: Array, thrown: Array) -> Known:
    """What whitened sensitivities of the readings, (minutes, probes, throws), make known of the targets."""
    information, pull = np.eye(len(scores)), -scores
    errors, sigmas = [], []
    for now, noise, targets in zip(rows, thrown, by_target, strict=True):
        information = information + now.T @ now
        pull = pull + now.T @ noise
        covariance = np.linalg.inv(information)
        errors.append(targets @ covariance @ pull)
        sigmas.append(np.sqrt(np.einsum("ij,jk,ik->i", targets, covariance, targets)))
    start = int(np.argmax(base.running))
    columns = (base.targets, np.array(errors), np.array(sigmas), base.running)
    return Known(*(column[start:] for column in columns))


def coverage(known: Known) -> list[float]:
    """Share of the minutes in which each target lies inside its 90 % range."""
    bubbled = np.cumsum(known.running) > SETTLED
    counted = bubbled[:, None] & (known.true > FAINT)
    counted[:, 3] &= known.running.astype(bool)
    inside = np.abs(known.error) <= SIDE * known.sigma
    kinds = range(len(TARGETS))
    return [float(inside[c, i].mean()) if (c := counted[:, i]).any() else math.nan for i in kinds]


@dataclass(frozen=True, slots=True)
class Claim:
    """That contents are within their limits: minutes until it is so and can be said; None: never."""

    true: float | None
    said: float | None
    is_false: bool
    lasted: bool  # long enough to have to be said


def claim(known: Known, kinds: int) -> Claim:
    """The claim about the first so many contents."""
    over = known.true[:, :kinds] - GOALS[:kinds]
    within: NDArray[np.bool_] = np.all(over <= 0.0, axis=1)
    score = -(over + known.error[:, :kinds]) / np.maximum(known.sigma[:, :kinds], 1e-9)
    sure = (score >= NORMAL.inv_cdf(SURE)).all(axis=1) & (np.cumsum(known.running) >= SETTLED)
    stood = np.convolve(sure, np.ones(WAIT + 1))[: len(sure)] >= WAIT + 0.5
    true, said = (int(np.argmax(found)) if found.any() else None for found in (within, stood))
    return Claim(
        true,
        said,
        is_false=said is not None and not within[said],
        lasted=true is not None and len(within) - true > LASTING,
    )


def print_coverage(every: list[Known]) -> None:
    """By target: the mean over runs, the worst run, and the worst of twenty."""
    shares = np.array([coverage(k) for k in every])
    dice = np.random.Generator(np.random.PCG64(1))
    for i, name in enumerate(TARGETS):
        worst = np.array([np.nanmin(dice.choice(shares[:, i], 20)) for _ in range(2000)])
        print(
            f"coverage {name}: mean {np.nanmean(shares[:, i]):.3f}, worst {np.nanmin(shares[:, i]):.2f}, "
            f"below 0.6 in {np.nanmean(shares[:, i] < 0.6):.0%} of runs; worst of twenty runs: "
            f"median {np.median(worst):.2f}, at least 0.6 in {np.mean(worst >= 0.6):.0%}"
        )


def print_errors(every: list[Known]) -> None:
    """Errors and width at the marks."""
    for mark in MARKS:
        places = [(k, int(np.argmax(np.cumsum(k.running) >= mark))) for k in every]
        at = [(k, i) for k, i in places if k.true[i, 0] > LEAST]
        methanol, water = (median(abs(k.error[i, j]) for k, i in at) for j in (0, 1))
        width = median(2.0 * SIDE * k.sigma[i, 0] for k, i in at)
        print(
            f"after {mark} min: |ln error| methanol {methanol:.3f}, water {water:.3f}, "
            f"ln(high/low) methanol {width:.2f} ({len(at)} runs)"
        )


def print_claims(every: list[Known]) -> None:
    """What can be said, and how late."""
    for what, kinds in (("methanol gone", 1), ("dry", 2)):
        claims = [claim(k, kinds) for k in every]
        right = [c for c in claims if not c.is_false]
        late = [c.said - c.true for c in right if c.said is not None and c.true is not None]
        quarters = np.percentile(late, (25, 50, 75)) if late else [math.nan] * 3
        lasting = [c for c in claims if c.lasted]
        print(
            f"{what}: said in {sum(c.said is not None for c in claims)}, "
            f"false {sum(c.is_false for c in claims)}, "
            f"missed {sum(c.said is None for c in lasting)} of {len(lasting)} that lasted {LASTING} min; "
            "delay: quarters " + ", ".join(f"{q:.0f}" for q in quarters) + " min"
        )


def main() -> None:
    """Print what the best belief would score, over all and by kit."""
    runs, first = (int(a) for a in (*sys.argv[1:], *("60", "12001")[len(sys.argv) - 1 :]))
    kits = list(KITS)
    found = [(kits[seed % len(kits)], seed) for seed in range(first, first + runs)]
    every = [(kit, known) for kit, seed in found if (known := known_of(seed, kit)) is not None]
    for i, what in enumerate(("with all", "without the level while it bubbles")):
        print(f"-- {what}: {len(every)} runs")
        print_coverage([known[i] for _, known in every])
        print_errors([known[i] for _, known in every])
        for name in ("all", *kits):
            some = [known[i] for kit, known in every if name in ("all", kit)]
            print(f"{name}, {len(some)} runs")
            print_claims(some)


if __name__ == "__main__":
    main()
