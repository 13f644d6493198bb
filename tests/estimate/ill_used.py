"""Ill-used tanks: `PYTHONPATH=tests python tests/estimate/ill_used.py [TANKS [CASE ...]]`, a row a case.

The share of estimates, after five minutes of bubbling, whose range misses the truth while something is said;
the median width of methanol's range; the share of `unknown`; and false claims.
"""

import math
import sys
from collections.abc import Callable
from dataclasses import dataclass, replace
from statistics import mean, median

from drydown.estimate.estimator import Estimator
from drydown.estimate.inputs import Sample
from drydown.estimate.result import Verdict
from drydown.simulate.draw import KITS
from drydown.simulate.scene import Scenario
from estimate.test_whole_runs import SETTLED, blocked, drawn, false_claims, heated, lost, outside, poured
from support.simulated import (
    Change,
    Meddle,
    Row,
    batch,
    estimates,
    nobody_meddles,
    nothing_changed,
    with_samples,
)

FIRST_SEED = 7101
EVER, MINUTE = 1e9, 60.0  # s
Rows = tuple[Row, ...]


def as_read(rows: Rows) -> Rows:
    """The readings as they are."""
    return rows


@dataclass(frozen=True, slots=True)
class Case:
    """What is done to scenario, tank and readings."""

    read: Callable[[Rows], Rows] = as_read
    change: Change = nothing_changed
    meddle: Meddle = nobody_meddles


def without(begin: float, end: float, **readings: None) -> Case:
    """Readings that are missing between two minutes after the start."""
    return Case(lambda rows: with_samples(rows, lost(MINUTE * begin, MINUTE * end, **readings)))


def without_rows(begin: float, end: float) -> Case:
    """Nothing at all between two minutes after the start."""
    return Case(lambda rows: tuple(r for r in rows if not begin <= r.since_start / MINUTE < end))


def lying(name: str, by: Callable[[float], float]) -> Case:
    """A probe that is off by so much, by the seconds since the start."""

    def lie(at: float, sample: Sample) -> Sample:
        value = getattr(sample, name)
        return sample if value is None else replace(sample, **{name: value + by(at)})

    return Case(lambda rows: with_samples(rows, lie))


def stopped(scenario: Scenario) -> Scenario:
    """It rests for ten minutes from half an hour after the start on."""
    start = scenario.switches[0]
    return replace(scenario, switches=(start, start + 30.0 * MINUTE, start + 40.0 * MINUTE))


def long(scenario: Scenario) -> Scenario:
    """Twelve hours."""
    return replace(scenario, duration=12 * 3600.0)


AIR: dict[str, None] = {"air_temperature": None, "air_humidity": None}
CASES = {
    "plain": Case(),
    "no air": without(-EVER, EVER, **AIR),
    "no air temperature": without(-EVER, EVER, air_temperature=None),
    "no humidity": without(-EVER, EVER, air_humidity=None),
    "no discharge": without(-EVER, EVER, discharge_temperature=None),
    "air drops 30-60": without(30, 60, **AIR),
    "air comes at 20": without(-EVER, 20, **AIR),
    "discharge drops 20-50": without(20, 50, discharge_temperature=None),
    "fuel drops 10-25": without(10, 25, fuel_temperature=None),
    "level lost at 20": without(20, EVER, level_volume=None),
    "running unknown 20-40": without(20, 40, running=None),
    "joined at start": without_rows(-EVER, 0),
    "joined 15 min in": without_rows(-EVER, 15),
    "joined 60 min in": without_rows(-EVER, 60),
    "gap of 8 min": without_rows(25, 33),
    "gap of 30 min": without_rows(25, 55),
    "gap hides a stop": replace(without_rows(25, 45), change=stopped),
    "fuel +2 K": lying("fuel_temperature", lambda _: 2.0),
    "fuel -2 K": lying("fuel_temperature", lambda _: -2.0),
    "fuel +2 K from 30": lying("fuel_temperature", lambda at: 2.0 * (at > 30 * MINUTE)),
    "fuel drifts 2 K/h": lying("fuel_temperature", lambda at: 2.0 * max(at, 0.0) / 3600.0),
    "air +2 K": lying("air_temperature", lambda _: 2.0),
    "air -2 K": lying("air_temperature", lambda _: -2.0),
    "humidity +15 %": lying("air_humidity", lambda _: 0.15),
    "discharge +2 K": lying("discharge_temperature", lambda _: 2.0),
    "discharge -2 K": lying("discharge_temperature", lambda _: -2.0),
    "heated 10 K": Case(meddle=heated),
    "poured 20 %": Case(meddle=poured),
    "drawn 25 % bubbling": Case(change=drawn),
    "intake blocked to 40 %": Case(change=blocked),
    "12 h": Case(change=long),
}


def row_of(name: str, tanks: int) -> str:
    """What one case comes to, as a row of a table."""
    case, kits = CASES[name], list(KITS)
    methanol, water, widths, unknown, false = [], [], [], [], 0
    for seed in range(FIRST_SEED, FIRST_SEED + tanks):
        tank, rows = batch(seed, kits[seed % len(kits)], case.change, case.meddle)
        told = list(estimates(Estimator(tank), case.read(rows)))
        bubbled = [one for one in told if one.estimate.run_time >= SETTLED]
        methanol.append(outside(told, "methanol"))
        water.append(outside(told, "water"))
        spreads = [one.estimate.methanol for one in bubbled if one.estimate.methanol is not None]
        widths += [math.log(s.high / s.low) for s in spreads]
        unknown.append(mean(one.estimate.verdict is Verdict.UNKNOWN for one in bubbled))
        false += false_claims(told) > 0
    shares = " | ".join(f"{x:.2f}" for x in (mean(methanol), mean(water), median(widths), mean(unknown)))
    return f"| {name} | {shares} | {false} |"


def main() -> None:
    """Print the table."""
    tanks = int(sys.argv[1]) if len(sys.argv) > 1 else 12
    for name in sys.argv[2:] or CASES:
        print(row_of(name, tanks), flush=True)


if __name__ == "__main__":
    main()
