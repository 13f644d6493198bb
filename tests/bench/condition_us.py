"""condition_us: how long it takes to judge one reading, at worst but for 1 %."""

import time

from bench.figure import Figure, Measured
from bench.percentile import percentile
from bench.workbench import Workbench
from drydown.condition.judge import condition, new_state
from drydown.reading import Quality
from support import faulty_day

HOURS = 12.0  # of the day of faults, the blower's hours and the night's beginning among them


def measure(_bench: Workbench) -> Measured:
    """The readings of half a day with every kind of fault, one by one as a board reads them."""
    state = new_state(faulty_day.tank().probes)
    times, faults = list[float](), 0
    for now, given in faulty_day.with_faults(seed=1):
        if now > HOURS * 3600.0:
            break
        for reading, _ in given:
            begun = time.perf_counter()
            judged = condition(now, (reading,), state)
            times.append(1e6 * (time.perf_counter() - begun))
            faults += judged[0].quality is not Quality.GOOD
    assert faults > 100, f"only {faults} of {len(times)} readings were found wrong"
    return Measured(
        percentile(times, 0.99),
        f"{len(times)} readings, {faults} of them with a fault; half take {percentile(times, 0.5):.1f} µs, "
        f"the longest {max(times):.0f} µs",
    )


FIGURE = Figure("condition_us", "µs", 200, "at most", measure)
"""Microseconds a reading."""
