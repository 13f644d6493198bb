"""Stories about a simulated tank: what its probes read follows from what happens to it."""

from dataclasses import dataclass, field, replace
from typing import Any

from drydown.probes.simulated import LiveTank, scenario_of
from drydown.reading import Reading
from support.story import SILENT, Story

PROBES = ("fuel/temperature", "fuel/level", "blower/running", "blower/discharge_temperature",
          "blower/motor_temperature", "air/temperature", "air/humidity", "vent/open")  # fmt: skip


@dataclass
class Evening(Story):
    """The demo's batch in a tank, with what happens to it (fields of `Scenario`, such as surges or drawings).

    `at` overrides what a probe says, from then on; `spared` are the probes that the tank has.
    """

    happens: dict[str, Any] = field(default_factory=dict)
    probes: tuple[str, ...] = PROBES

    def __post_init__(self) -> None:
        scenario = replace(scenario_of(self.tank), **self.happens)
        self.scenario = replace(scenario, probes=replace(scenario.probes, kit=self.probes))
        self._live = LiveTank(self.scenario)

    def _readings(self, now: float) -> list[Reading]:
        said = super()._readings(now)
        names = {one.name for one in said}
        read = self._live.look(now).readings
        silent = {name for name, value in self.values.items() if value is SILENT}
        time = self.beginning + now
        own = [Reading(name, time, read[name]) for name in self.probes if name not in names | silent]
        return own + said
