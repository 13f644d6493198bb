"""year_false_alarms: high and emergency alarms in a simulated year of weekly runs that nothing called for."""

from bench.figure import Figure, Measured
from bench.workbench import Workbench
from support.year import WEEKS, told, week

MOST = 2.0  # alarms a run of any priority, on average


def measure(_bench: Workbench) -> Measured:
    """Every run in virtual time, through the whole core."""
    weeks = [week(seed) for seed in range(1, WEEKS + 1)]
    false = [f"run {one.seed}: {alarm.alarm} {alarm.cause}" for one in weeks for alarm in one.false]
    mean = sum(len(one.raised) for one in weeks) / WEEKS
    assert mean <= MOST, f"{mean:.2f} alarms a run: {MOST:g} are the most that anybody heeds"
    return Measured(float(len(false)), "; ".join([told(weeks), *false]))


FIGURE = Figure("year_false_alarms", "", 0, "at most", measure)
