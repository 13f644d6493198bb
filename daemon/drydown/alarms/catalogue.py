"""The alarms: what each is raised for, how urgent it is, and within what time it has to come."""

from collections.abc import Callable, Mapping, Set
from dataclasses import dataclass

from drydown.alarms import conditions, levels
from drydown.alarms.scene import Finding, Scene
from drydown.commands import Part
from drydown.effects import Priority


@dataclass(frozen=True, slots=True)
class Kind:
    """One alarm. Times in s; the keys of `deadlines` and `on_delays` are its causes.

    A deadline runs from the reading that shows the cause to the alarm; a rate needs no delay, as its filter
    lags by a minute. `deadband` is in the unit of the value that the condition looks at. The alarm is in
    service once one of `fitted_by` is there (nothing named: always); it `depends_on` readings without which
    it cannot tell, or where none of those is fitted, on those that it is `worked_out_from`.
    """

    name: str
    find: Callable[[Scene, float], Finding | None]
    least: Priority
    deadlines: Mapping[str, float]
    on_delays: Mapping[str, float]
    off_delay: float
    deadband: float = 0.0
    latching: bool = False
    fitted_by: tuple[str, ...] = ()
    depends_on: tuple[str, ...] = ()
    worked_out_from: tuple[str, ...] = ()

    def is_fitted(self, scene: Scene) -> bool:
        """Whether anything is there that could raise it."""
        return not self.fitted_by or not scene.fitted.isdisjoint(self.fitted_by)

    def needs(self, fitted: Set[str]) -> tuple[str, ...]:
        """The readings without which it cannot tell, where these are fitted."""
        if self.fitted_by and fitted.isdisjoint(self.fitted_by):
            return ()
        measured = tuple(name for name in self.depends_on if name in fitted)
        return measured or self.worked_out_from


ABSENT = 25.0  # s that a probe may be silent or wrong before it counts as lost; due within 30 s

KINDS = (
    Kind(
        name="vent-closed",
        find=conditions.vent_closed,
        least=Priority.EMERGENCY,
        deadlines={"value": 5, "lost": 5},
        on_delays={"value": 2, "lost": 3},
        off_delay=5,
        fitted_by=("vent/open",),
        depends_on=("vent/open", "blower/running"),
    ),
    Kind(
        name="vapour-high",
        find=conditions.vapour_high,
        least=Priority.HIGH,
        deadlines={"value": 5, "estimate": 60, "lost": 30},
        on_delays={"value": 2, "estimate": 20, "lost": ABSENT},
        off_delay=60,
        deadband=0.0006,  # mole fraction: 1 % of the lower flammable limit
        depends_on=("vapour/methanol",),
        worked_out_from=("fuel/temperature", "blower/running"),
    ),
    Kind(
        name="level-falling",
        find=levels.level_falling,
        least=Priority.EMERGENCY,
        deadlines={"rate": 180, "bubbling": 300, "lost": 30},
        on_delays={"rate": 0, "bubbling": 0, "lost": ABSENT},
        off_delay=120,
        depends_on=("fuel/level",),
    ),
    Kind(
        name="level-high",
        find=levels.level_high,
        least=Priority.EMERGENCY,
        deadlines={"value": 5, "foam": 5, "lost": 30},
        on_delays={"value": 2, "foam": 2, "lost": ABSENT},
        off_delay=60,
        deadband=0.01,  # m
        depends_on=("fuel/level",),
    ),
    Kind(
        name="keep-out",
        find=conditions.keep_out,
        least=Priority.LOW,
        deadlines={"value": 60, "estimate": 60},
        on_delays={"value": 10, "estimate": 50},  # until it is worked out when one may go in again
        off_delay=300,
        deadband=50e-6,  # mole fraction
    ),
    Kind(
        name="fuel-hot",
        find=conditions.fuel_hot,
        least=Priority.HIGH,
        deadlines={"value": 5, "rate": 60, "lost": 30},
        on_delays={"value": 2, "rate": 0, "lost": ABSENT},
        off_delay=60,
        deadband=1.0,  # K
        depends_on=("fuel/temperature",),
    ),
    Kind(
        name="blower-hot",
        find=conditions.blower_hot,
        least=Priority.HIGH,
        deadlines={"value": 5, "rate": 60, "lost": 30},
        on_delays={"value": 2, "rate": 0, "lost": ABSENT},
        off_delay=60,
        deadband=3.0,  # K
        latching=True,  # a bearing that has cooled down is still a worn bearing
        fitted_by=("blower/discharge_temperature", "blower/motor_temperature"),
        depends_on=("blower/discharge_temperature", "blower/motor_temperature"),
    ),
    Kind(
        name="blower-overrun",
        find=conditions.blower_overrun,
        least=Priority.HIGH,
        deadlines={"value": 5, "lost": 30},
        on_delays={"value": 0, "lost": ABSENT},
        off_delay=5,
        depends_on=("blower/running",),
    ),
    Kind(
        name="blower-weak",
        find=levels.blower_weak,
        least=Priority.HIGH,
        deadlines={"estimate": 300, "lost": 30},
        on_delays={"estimate": 0, "lost": ABSENT},
        off_delay=120,
        depends_on=("fuel/level",),
    ),
    Kind(
        name="probe-fault",
        find=conditions.probe_fault,
        least=Priority.HIGH,
        deadlines={"lost": 30, "board": 5},
        on_delays={"lost": ABSENT, "board": 2},
        off_delay=30,
    ),
    Kind(
        name="air-damp",
        find=conditions.air_damp,
        least=Priority.LOW,
        deadlines={"estimate": 900},
        on_delays={"estimate": 60},
        off_delay=600,
    ),
    Kind(
        name="watch-degraded",
        find=conditions.watch_degraded,
        least=Priority.LOW,
        deadlines=dict.fromkeys(Part, 60),
        on_delays={**dict.fromkeys(Part, 30), Part.DISK: 0, Part.WATCH: 0},
        off_delay=30,
    ),
)
"""Every alarm, most urgent first."""


def dependents(fitted: Set[str]) -> dict[str, frozenset[str]]:
    """Each alarm with the readings without which it cannot tell, in a tank where these are fitted."""
    return {kind.name: frozenset(kind.needs(fitted)) for kind in KINDS}


def is_told_by_probe_fault(alarm: str, cause: str) -> bool:
    """Whether `probe-fault` comes for the same reason at the same time, so that one notice does for both."""
    return cause == "lost" and any(
        kind.name == alarm and kind.depends_on and kind.on_delays["lost"] == ABSENT for kind in KINDS
    )
