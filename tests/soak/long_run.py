"""By how many bytes a day a core grows, through three simulated days with two runs each."""

import gc
import tracemalloc
from dataclasses import replace

from drydown.core import Core
from drydown.probes.simulated import LiveTank, scenario_of
from drydown.reading import Reading
from drydown.simulate.instruments import EVERYTHING
from support.boathouse import heron

STEP = 5.0  # s
HOURS, COUNTED_FROM = 72, 24
RUNS = tuple(3600.0 * (24 * day + hour) for day in range(3) for hour in (6, 9, 20, 22))
"""s at which the blower is switched on or off: two runs a day"""


def growth() -> float:
    """Bytes a day, from the second day on."""
    tank = heron()
    scenario = replace(scenario_of(tank), switches=RUNS, duration=HOURS * 3600.0)
    live = LiveTank(replace(scenario, probes=replace(scenario.probes, kit=EVERYTHING)))
    core, sizes = Core(tank), {}
    tracemalloc.start()
    for hour in range(HOURS):
        for second in range(int(3600 / STEP)):
            now = 3600.0 * hour + STEP * second
            read = live.look(now).readings
            core.step(now, [Reading(name, now, value) for name, value in read.items()], ())
        if hour + 1 in (COUNTED_FROM, HOURS):
            gc.collect()
            sizes[hour + 1] = tracemalloc.get_traced_memory()[0]
    tracemalloc.stop()
    return (sizes[HOURS] - sizes[COUNTED_FROM]) / (HOURS - COUNTED_FROM) * 24
