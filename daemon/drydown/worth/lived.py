"""What a probe is worth: a run is estimated once as it was read, and once with or without each probe.

What is compared is how wide a range is: the logarithm of its upper end over its lower one.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from drydown.estimate.balance import Constants
from drydown.estimate.belief import Belief
from drydown.estimate.estimator import Estimator
from drydown.estimate.inputs import Sample, TankPriors
from drydown.estimate.lean import water_pressure
from drydown.estimate.lesson import Learned
from drydown.estimate.result import Estimate, Spread
from drydown.estimate.unknowns import INDEX
from drydown.quality.kinds import TESTS
from drydown.worth.gain import AIR, DISCHARGE, METHANOL_TEST, WATER_TEST, Gain

EARLY, LATER = 1200.0, 2400.0  # s of bubbling at which methanol's range is looked at; after a test of it
EVERY = 60.0  # s between two estimates
FITTED = 0.5  # of the samples while it bubbles that have to hold what a probe reads
TESTED = {METHANOL_TEST: ("methanol", "weighing"), WATER_TEST: ("water", "hydride")}


@dataclass(frozen=True, slots=True)
class Tested:
    """A bench test: when the sample was taken (s), of what, mass fraction and one standard error."""

    time: float
    quantity: str
    value: float
    sigma: float


@dataclass(frozen=True, slots=True)
class History:
    """A run: what was believably read from before the blower first started until it last stopped (s)."""

    priors: TankPriors
    learned: Learned | None
    samples: tuple[tuple[float, Sample], ...]
    tests: tuple[Tested, ...] = ()


@dataclass(frozen=True, slots=True)
class Ranges:
    """How wide the ranges were in a life: methanol early and later in the run, water at its end."""

    methanol: float | None
    methanol_later: float | None
    water: float | None


@dataclass(frozen=True, slots=True)
class Life:
    """A run as it was estimated; `early` is what was told at `EARLY`, `belief` is that at the end."""

    ranges: Ranges
    early: Estimate | None
    belief: Belief | None


Probe = Callable[[Sample, float], Sample]


def gains(history: History) -> tuple[Gain, ...]:
    """What each probe and each test changes; empty where the run was too short to tell.

    What a probe that is not there reads is what the estimate took for it: that it is known is what counts.
    """
    as_read = live(history)
    if as_read.ranges.methanol is None or as_read.belief is None:
        return ()
    probes = (_probe(history, as_read, AIR), _probe(history, as_read, DISCHARGE))
    done = {one.quantity for one in history.tests}
    tests = [_test(history, as_read, kind) for kind, (quantity, _) in TESTED.items() if quantity not in done]
    return (*probes, *tests)


def live(history: History) -> Life:
    """Estimate a run from its start to its end."""
    estimator = Estimator(history.priors, history.learned)
    early = later = last = None
    belief: Belief | None = None
    tests, due = sorted(history.tests, key=lambda one: one.time), -math.inf
    for time, sample in history.samples:
        estimator.observe(time, sample)
        if time < due:
            continue
        due = time + EVERY
        while tests and tests[0].time <= time:
            test = tests.pop(0)
            estimator.bench_test(test.time, test.quantity, test.value, test.sigma)
        found = estimator.estimate(time)
        if not sample.running or found.methanol is None:
            continue
        last, belief = found, estimator.belief
        early = early or (found if found.run_time >= EARLY else None)
        later = later or (found if found.run_time >= LATER else None)
    ranges = Ranges(
        _width(early.methanol if early else None),
        _width(later.methanol if later else None),
        _width(last.water if last else None),
    )
    return Life(ranges, early, belief)


def with_probe(history: History, probe: Probe) -> History:
    """The same run, each sample altered; a probe is told too for how many s the blower has been on."""
    changed, since = [], 0.0
    for i, (time, sample) in enumerate(history.samples):
        since = since + time - history.samples[i - 1][0] if i and sample.running else 0.0
        changed.append((time, probe(sample, since)))
    return replace(history, samples=tuple(changed))


def _probe(history: History, as_read: Life, kind: str) -> Gain:
    if is_read(history, kind):
        without = live(with_probe(history, REMOVED[kind])).ranges
        return _gain(kind, True, as_read.ranges, without)
    assert as_read.belief is not None
    fitted = live(with_probe(history, _imagined(kind, as_read.belief))).ranges
    return _gain(kind, False, fitted, as_read.ranges)


def _test(history: History, as_read: Life, kind: str) -> Gain:
    """What is left of a range later on, when a sample is taken early."""
    assert as_read.early is not None
    quantity, way = TESTED[kind]
    found: Spread | None = getattr(as_read.early, quantity)
    value = found.median if found else 0.0
    test = Tested(as_read.early.time, quantity, value, TESTS[quantity].methods[way].sigma(value))
    tested = live(replace(history, tests=(*history.tests, test))).ranges
    if quantity == "methanol":
        return Gain(kind, False, _ratio(tested.methanol_later, as_read.ranges.methanol_later), None)
    return Gain(kind, False, None, _ratio(tested.water, as_read.ranges.water))


def is_read(history: History, kind: str) -> bool:
    """Whether such a probe was there for most of the bubbling."""
    blown = [sample for _, sample in history.samples if sample.running]
    read = sum(None not in (getattr(sample, name) for name in READS[kind]) for sample in blown)
    return read > FITTED * len(blown)


READS = {AIR: ("air_temperature", "air_humidity"), DISCHARGE: ("discharge_temperature",)}


def _without_air(sample: Sample, _: float) -> Sample:
    return replace(sample, air_temperature=None, air_humidity=None)


def _without_discharge(sample: Sample, _: float) -> Sample:
    return replace(sample, discharge_temperature=None)


REMOVED: dict[str, Probe] = {AIR: _without_air, DISCHARGE: _without_discharge}


def _imagined(kind: str, belief: Belief) -> Probe:
    """A probe without noise that reads what the estimate takes for it, by its medians."""
    values = belief.cloud.values
    constants = Constants(values, belief.drive, belief.vessel)
    air = float(np.median(constants.air))
    rise, warm_up = (float(np.median(values[INDEX[name]])) for name in ("rise", "warm_up"))
    if kind == AIR:
        humidity = float(np.median(constants.brought / water_pressure(constants.air)))

        def around(sample: Sample, _: float) -> Sample:
            read = air if sample.air_temperature is None else sample.air_temperature
            damp = humidity if sample.air_humidity is None else sample.air_humidity
            return replace(sample, air_temperature=read, air_humidity=damp)

        return around

    def discharge(sample: Sample, since: float) -> Sample:
        if not sample.running:
            return sample
        warmed = rise * (1.0 - math.exp(-since / warm_up))
        intake = air if sample.air_temperature is None else sample.air_temperature
        return replace(sample, discharge_temperature=intake + warmed)

    return discharge


def _gain(kind: str, fitted: bool, with_it: Ranges, without: Ranges) -> Gain:
    return Gain(
        kind, fitted, _ratio(with_it.methanol, without.methanol), _ratio(with_it.water, without.water)
    )


def _width(found: Spread | None) -> float | None:
    return math.log(found.high / found.low) if found and found.low > 0.0 else None


def _ratio(with_it: float | None, without: float | None) -> float | None:
    return with_it / without if with_it is not None and without else None
