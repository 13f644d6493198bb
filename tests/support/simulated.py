"""Simulated batches fed straight to an estimator, with the truth beside each reading."""

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from random import Random

from drydown.estimate.estimator import Estimator
from drydown.estimate.inputs import Sample, TankPriors
from drydown.estimate.result import Estimate
from drydown.simulate import scene
from drydown.simulate.draw import draw
from drydown.simulate.parts import Truth
from drydown.simulate.scene import Scenario, Scene

SAMPLING = 10.0  # s
Change = Callable[[Scenario], Scenario]
Meddle = Callable[[Scene, float], Scene]


@dataclass(frozen=True, slots=True)
class Row:
    """One moment: s since the blower first starts, what the probes read, and what is true."""

    since_start: float
    sample: Sample
    truth: Truth


@dataclass(frozen=True, slots=True)
class Told:
    """An estimate and the truth of its time."""

    since_start: float
    estimate: Estimate
    truth: Truth


def nothing_changed(scenario: Scenario) -> Scenario:
    """The scenario as drawn."""
    return scenario


def nobody_meddles(now: Scene, _: float) -> Scene:
    """The tank left to itself."""
    return now


@lru_cache(maxsize=64)
def batch(
    seed: int,
    kit: str,
    change: Change = nothing_changed,
    meddle: Meddle = nobody_meddles,
    noise: int = 0,
) -> tuple[TankPriors, tuple[Row, ...]]:
    """The tank of a seed with the probes of a kit: `change` alters the scenario, `meddle` every moment.

    `noise` seeds the probes' own noise.
    """
    scenario, rated = draw(seed, kit)
    scenario = change(scenario)
    area = math.pi * (scenario.tank.vessel.diameter or 0.0) ** 2 / 4
    start, dice = scenario.switches[0], Random(f"batch {seed} {noise}")
    now, moment = scene.look(scene.open_scene(scenario), scenario.inputs(0.0), 0.0, dice)
    rows = []
    while moment.elapsed < scenario.duration:
        rows.append(Row(moment.elapsed - start, _sample(moment.readings, area), moment.truth))
        now, moment = scene.step(meddle(now, moment.elapsed - start), SAMPLING, dice)
    return TankPriors(area, rated, "used-cooking-oil", 0.0020, 0.000500), tuple(rows)


def _sample(readings: dict[str, float | bool], area: float) -> Sample:
    return Sample(
        fuel_temperature=readings["fuel/temperature"],
        level_volume=readings["fuel/level"] * area,
        running=bool(readings["blower/running"]),
        discharge_temperature=readings.get("blower/discharge_temperature"),
        air_temperature=readings.get("air/temperature"),
        air_humidity=readings.get("air/humidity"),
    )


def estimates(estimator: Estimator, rows: tuple[Row, ...]) -> Iterator[Told]:
    """What the estimator tells once a minute, and when the blower switches."""
    due, was = -math.inf, None
    for row in rows:
        estimator.observe(row.since_start, row.sample)
        if row.sample.running is not None and row.sample.running is not was:
            due, was = row.since_start, row.sample.running
        if row.since_start >= due:
            due = row.since_start + 60.0
            yield Told(row.since_start, estimator.estimate(row.since_start), row.truth)


def with_samples(rows: tuple[Row, ...], change: Callable[[float, Sample], Sample]) -> tuple[Row, ...]:
    """The rows with every sample altered."""
    return tuple(replace(row, sample=change(row.since_start, row.sample)) for row in rows)
