"""What holds for each alarm: how urgent it is, and within what time it has to come.

Without numpy, so that whoever only tells of alarms need not pay for finding them.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from drydown.commands import Part
from drydown.effects import Priority


@dataclass(frozen=True, slots=True, kw_only=True)
class Terms:
    """One alarm. Times in s; the keys of `deadlines` and `on_delays` are its causes.

    A deadline runs from the reading that shows the cause to the alarm; a rate needs no delay, as its filter
    lags by a minute. `deadband` is in the unit of the value that the condition looks at. The alarm is in
    service once one of `fitted_by` is there (nothing named: always); it `depends_on` readings without which
    it cannot tell, or where none of those is fitted, on those that it is `worked_out_from`.
    """

    name: str
    least: Priority
    deadlines: Mapping[str, float]
    on_delays: Mapping[str, float]
    off_delay: float
    deadband: float = 0.0
    latching: bool = False
    fitted_by: tuple[str, ...] = ()
    depends_on: tuple[str, ...] = ()
    worked_out_from: tuple[str, ...] = ()


ABSENT = 25.0  # s that a probe may be silent or wrong before it counts as lost; due within 30 s

TERMS = (
    Terms(
        name="vent-closed",
        least=Priority.EMERGENCY,
        deadlines={"value": 5, "lost": 5},
        on_delays={"value": 2, "lost": 3},
        off_delay=5,
        fitted_by=("vent/open",),
        depends_on=("vent/open", "blower/running"),
    ),
    Terms(
        name="vapour-high",
        least=Priority.HIGH,
        deadlines={"value": 5, "estimate": 60, "lost": 30},
        on_delays={"value": 2, "estimate": 20, "lost": ABSENT},
        off_delay=60,
        deadband=0.0006,  # mole fraction: 1 % of the lower flammable limit
        depends_on=("vapour/methanol",),
        worked_out_from=("fuel/temperature", "blower/running"),
    ),
    Terms(
        name="level-falling",
        least=Priority.EMERGENCY,
        deadlines={"rate": 180, "bubbling": 300, "lost": 30},
        on_delays={"rate": 0, "bubbling": 0, "lost": ABSENT},
        off_delay=120,
        depends_on=("fuel/level",),
    ),
    Terms(
        name="level-high",
        least=Priority.EMERGENCY,
        deadlines={"value": 5, "foam": 5, "lost": 30},
        on_delays={"value": 2, "foam": 2, "lost": ABSENT},
        off_delay=60,
        deadband=0.01,  # m
        depends_on=("fuel/level",),
    ),
    Terms(
        name="keep-out",
        least=Priority.LOW,
        deadlines={"value": 60, "estimate": 60},
        on_delays={"value": 10, "estimate": 50},  # until it is worked out when one may go in again
        off_delay=300,
        deadband=50e-6,  # mole fraction
    ),
    Terms(
        name="fuel-hot",
        least=Priority.HIGH,
        deadlines={"value": 5, "rate": 60, "lost": 30},
        on_delays={"value": 2, "rate": 0, "lost": ABSENT},
        off_delay=60,
        deadband=1.0,  # K
        depends_on=("fuel/temperature",),
    ),
    Terms(
        name="blower-hot",
        least=Priority.HIGH,
        deadlines={"value": 5, "rate": 60, "lost": 30},
        on_delays={"value": 2, "rate": 0, "lost": ABSENT},
        off_delay=60,
        deadband=3.0,  # K
        latching=True,  # a bearing that has cooled down is still a worn bearing
        fitted_by=("blower/discharge_temperature", "blower/motor_temperature"),
        depends_on=("blower/discharge_temperature", "blower/motor_temperature"),
    ),
    Terms(
        name="blower-overrun",
        least=Priority.HIGH,
        deadlines={"value": 5, "lost": 30},
        on_delays={"value": 0, "lost": ABSENT},
        off_delay=5,
        depends_on=("blower/running",),
    ),
    Terms(
        name="blower-weak",
        least=Priority.HIGH,
        deadlines={"estimate": 300, "lost": 30},
        on_delays={"estimate": 0, "lost": ABSENT},
        off_delay=120,
        depends_on=("fuel/level",),
    ),
    Terms(
        name="probe-fault",
        least=Priority.HIGH,
        deadlines={"lost": 30, "board": 5},
        on_delays={"lost": ABSENT, "board": 2},
        off_delay=30,
    ),
    Terms(
        name="air-damp",
        least=Priority.LOW,
        deadlines={"estimate": 900},
        on_delays={"estimate": 60},
        off_delay=600,
    ),
    Terms(
        name="watch-degraded",
        least=Priority.LOW,
        deadlines=dict.fromkeys(Part, 60),
        on_delays={**dict.fromkeys(Part, 30), Part.DISK: 0, Part.WATCH: 0},
        off_delay=30,
    ),
)
"""Every alarm, most urgent first."""
