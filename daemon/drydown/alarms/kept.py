"""What is kept of alarms, so that a restart changes nothing."""

from collections.abc import Mapping
from dataclasses import dataclass

from drydown.alarms.lifecycle import State
from drydown.alarms.scene import Finding
from drydown.effects import AlarmChanged, Priority, SupplyChanged


@dataclass(frozen=True, slots=True)
class Kept:
    """One alarm, all but the delays that are running; see `alarm.Alarm`. Times in s on the core's clock."""

    state: State
    standing: bool
    emergency: bool
    latching: bool
    finding: Finding | None
    told: frozenset[str]
    rises: tuple[float, ...]
    shelved_until: float | None
    acknowledged_by: str
    acknowledged_at: float | None
    raised: AlarmChanged | None
    last: AlarmChanged | None


@dataclass(frozen=True, slots=True)
class First:
    """The alarm that came first of those that stand together, and what it was raised for."""

    alarm: str
    cause: str


@dataclass(frozen=True, slots=True)
class Memory:
    """The alarms of a tank by name, those that somebody was told of, with the priority told, how the blower's
    supply was cut, where it is, and which alarm came first.
    """

    alarms: Mapping[str, Kept]
    told: Mapping[str, Priority]
    cut: SupplyChanged | None = None
    first: First | None = None
