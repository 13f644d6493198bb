"""All alarms of one tank, and what a person may do to them."""

from collections.abc import Iterator, Mapping

from drydown.alarms.alarm import Alarm
from drydown.alarms.catalogue import KINDS
from drydown.alarms.kept import First, Kept
from drydown.alarms.lifecycle import TRANSITIONS, Event, Refusal, State
from drydown.alarms.scene import Scene
from drydown.commands import Acknowledge, Reset, Shelve, Unshelve
from drydown.effects import AlarmChanged, Change, Priority

AlarmCommand = Acknowledge | Shelve | Unshelve | Reset

EVENTS = {
    Acknowledge: Event.ACKNOWLEDGE,
    Shelve: Event.SHELVE,
    Unshelve: Event.UNSHELVE,
    Reset: Event.RESET,
}


OF_DRYDOWN_ITSELF = "watch-degraded"  # nothing that happens to a tank follows from it


class Panel:
    """The alarms by name.

    `first` is the alarm that came first of those that stand together (first-out, ANSI/ISA-18.2): the others
    name it when they are raised, since they may follow from it. It stays the first until all are over.
    """

    def __init__(self) -> None:
        self.alarms = {kind.name: Alarm(kind) for kind in KINDS}
        self.first: First | None = None

    @property
    def due(self) -> float:
        """When the next delay or shelving runs out, in s on the core's clock; infinite while none runs."""
        return min(alarm.due for alarm in self.alarms.values())

    @property
    def not_watched(self) -> tuple[str, ...]:
        """The alarms that nothing fitted could raise."""
        return tuple(name for name, alarm in self.alarms.items() if alarm.state is State.OUT_OF_SERVICE)

    @property
    def standing(self) -> frozenset[str]:
        """The alarms whose conditions hold, whatever their states."""
        return frozenset(name for name, alarm in self.alarms.items() if alarm.standing)

    def look(self, scene: Scene) -> Iterator[AlarmChanged]:
        """What has changed with any of them."""
        for alarm in self.alarms.values():
            for changed in alarm.look(scene):
                yield self._in_order(alarm, changed)

    def kept(self) -> Mapping[str, Kept]:
        """What has to outlive a restart."""
        return {name: alarm.kept() for name, alarm in self.alarms.items()}

    def recall(self, kept: Mapping[str, Kept]) -> None:
        """Be what a panel was. Alarms that are not known here are left out."""
        for name in kept.keys() & self.alarms.keys():
            self.alarms[name].recall(kept[name])

    def refusal(self, command: AlarmCommand) -> Refusal | None:
        """Why a command would change nothing now, or None where it would do something."""
        alarm = self.alarms.get(command.alarm)
        if alarm is None:
            return Refusal.UNKNOWN
        if isinstance(command, Shelve) and not alarm.can_be_shelved:
            return Refusal.EMERGENCY
        if (alarm.state, EVENTS[type(command)]) not in TRANSITIONS:
            return Refusal.NOTHING
        return None

    def obey(self, now: float, command: AlarmCommand) -> Iterator[AlarmChanged]:
        """Do what a person wants; nothing where it cannot be done."""
        alarm = self.alarms.get(command.alarm)
        if alarm is None:
            return
        match command:
            case Acknowledge(who=who):
                yield from alarm.acknowledge(now, who)
            case Reset(who=who):
                yield from alarm.reset(now, who)
            case Shelve(who=who, duration=duration):
                yield from alarm.shelve(now, who, duration)
            case Unshelve(who=who):
                yield from alarm.unshelve(now, who)

    def _in_order(self, alarm: Alarm, changed: AlarmChanged) -> AlarmChanged:
        """A change, with the alarm that came first where one that is raised is not the first."""
        if changed.change is not Change.RAISED or not _may_follow(alarm):
            return changed
        stands_with_others = any(
            one.standing and _may_follow(one) for one in self.alarms.values() if one is not alarm
        )
        if self.first is None or not stands_with_others:
            self.first = First(changed.alarm, changed.cause)
        if self.alarms[self.first.alarm].rose == changed.time:
            return changed  # it is the first, or nobody can tell
        return alarm.came_after(self.first, changed)


def _may_follow(alarm: Alarm) -> bool:
    return alarm.priority is not Priority.LOW and alarm.kind.name != OF_DRYDOWN_ITSELF
