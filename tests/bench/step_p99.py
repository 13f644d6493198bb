"""step_p99: how long the cores of a site with twelve probes think about one second, at worst but for 1 %."""

import time
from dataclasses import replace

from bench.boathouse import PROBES
from bench.figure import Figure, Measured
from bench.percentile import percentile
from bench.workbench import Workbench
from drydown.config.model import Tank
from drydown.core import Core
from drydown.effects import Effect, Estimated
from drydown.probes.simulated import scenario_of
from drydown.reading import Reading
from drydown.simulate.scene import play

LENGTH = 4500.0  # s of simulated time
STARTS = 300.0  # s from the start: the blower


def measure(bench: Workbench) -> Measured:
    """The steps of all tanks in one second, added up: twelve readings, and the estimates that fall due."""
    cores = [_Core(tank) for tank in bench.boathouse.site.tank]
    ticks = [sum(times) for times in zip(*(core.step_times() for core in cores), strict=True)]
    estimates = sum(core.estimates for core in cores)
    minutes = LENGTH / 60
    assert estimates >= minutes * len(cores), f"{estimates} estimates in {minutes:g} min: one a minute is due"
    return Measured(
        1000 * percentile(ticks, 0.99),
        f"{len(ticks)} simulated seconds of {PROBES} series, {estimates} estimates; "
        f"half take {1000 * percentile(ticks, 0.5):.2f} ms, the longest {1000 * max(ticks):.1f} ms",
    )


class _Core:
    """A core with all that its tank's probes will read."""

    def __init__(self, tank: Tank) -> None:
        self._core = Core(tank)
        whole = scenario_of(tank)
        scenario = replace(
            whole,
            duration=LENGTH,
            switches=(STARTS,),
            vent_openings=(),
            probes=replace(whole.probes, kit=tuple(tank.probes)),
        )
        self._moments = [
            (
                moment.elapsed,
                [Reading(name, moment.elapsed, value) for name, value in moment.readings.items()],
            )
            for moment in play(scenario, seed=1, interval=1.0)
        ]
        self.estimates = 0

    def step_times(self) -> list[float]:
        """Seconds of thought for every second of the run."""
        return [self._think(now, readings) for now, readings in self._moments]

    def _think(self, now: float, readings: list[Reading]) -> float:
        begun = time.perf_counter()
        effects: list[Effect] = []
        while self._core.due < now:
            effects += self._core.step(self._core.due, (), ())
        effects += self._core.step(now, readings, ())
        seconds = time.perf_counter() - begun
        self.estimates += sum(isinstance(effect, Estimated) for effect in effects)
        return seconds


FIGURE = Figure("step_p99", "ms", 10, "at most", measure)
