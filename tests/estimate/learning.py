"""What runs teach: `PYTHONPATH=tests python tests/estimate/learning.py [TANKS]` measures it on simulations.

Five batches in each tank, each estimated with what the earlier ones taught and with nothing. Tank, blower,
probes and kind of oil stay; batch, filling and weather change. The fifth has the first's batch and weather
again with other noise, so that both can be held against each other.
"""

import math
import sys
from dataclasses import replace
from statistics import mean, median

from drydown.estimate.estimator import Estimator
from drydown.estimate.learned import Learned
from drydown.simulate.draw import KITS, draw
from drydown.simulate.scene import Scenario
from support.simulated import batch, estimates

BATCHES, TOLD_AT, TAUGHT_FOR = 5, 600.0, 7200.0  # s of bubbling
LEAST = 5e-4  # mass fraction of methanol below which a ratio means little


def filled_with(tank_seed: int, batch_seed: int, kit: str) -> Scenario:
    """Another batch and day in the same tank."""
    home, other = draw(tank_seed, kit)[0], draw(batch_seed, kit)[0]
    start, usual = other.start, home.start
    amount = usual.esters + usual.methanol + usual.water
    scale = amount / (start.esters + start.methanol + start.water)
    fuel = replace(other.tank.fuel, activity=home.tank.fuel.activity)
    filling = replace(
        start, esters=scale * start.esters, methanol=scale * start.methanol, water=scale * start.water
    )
    return replace(other, tank=replace(home.tank, fuel=fuel), probes=home.probes, start=filling)


def error(tank_seed: int, number: int, kit: str, known: Learned | None) -> tuple[float | None, Learned]:
    """|ln error| of methanol after ten minutes of bubbling, and what the run taught."""
    scenario = filled_with(tank_seed, 30_000 + 10 * tank_seed + number % (BATCHES - 1), kit)
    tank, rows = batch(tank_seed, kit, lambda _: scenario, noise=number)
    estimator, found = Estimator(tank, known), None
    for told in estimates(estimator, rows):
        content, true = told.estimate.methanol, told.truth.methanol
        if found is None and told.estimate.run_time >= TOLD_AT and content is not None:
            found = abs(math.log(content.median / true)) if true > LEAST else math.nan
        if told.estimate.run_time > TAUGHT_FOR:
            break
    return (None if found is None or math.isnan(found) else found), estimator.learned()


def main() -> None:
    """Print mean and median error by batch, taught and untaught."""
    tanks = int(sys.argv[1]) if len(sys.argv) > 1 else 36
    taught: list[list[float]] = [[] for _ in range(BATCHES)]
    untaught: list[list[float]] = [[] for _ in range(BATCHES)]
    for seed in range(20_001, 20_001 + tanks):
        kit, learned = list(KITS)[seed % len(KITS)], None
        for number in range(BATCHES):
            with_it, learned = error(seed, number, kit, learned)
            without, _ = error(seed, number, kit, None)
            if with_it is not None and without is not None:
                taught[number].append(with_it)
                untaught[number].append(without)
    for name, errors in (("taught", taught), ("untaught", untaught)):
        print(name, *(f"{mean(e):.3f} ({median(e):.3f})" for e in errors))


if __name__ == "__main__":
    main()
