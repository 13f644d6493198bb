"""Which changes of alarms somebody is told of: one notice for one cause, and its end where it was told."""

from collections.abc import Mapping

from drydown.alarms.alarm import URGENCY
from drydown.alarms.catalogue import is_told_by_probe_fault
from drydown.effects import AlarmChanged, Change, NoticeDue, Priority

TOLD_ONCE = ("watch-degraded",)  # another part that fails is no other message, unless it is more urgent


class Telling:
    """One tank's. `told`: the alarms that somebody was told of, and how urgent they were then."""

    def __init__(self, told: Mapping[str, Priority] | None = None) -> None:
        self.told = dict(told or {})

    def notice(self, changed: AlarmChanged) -> NoticeDue | None:
        """The notice that goes with a change of an alarm, if somebody has to be told."""
        alarm = changed.alarm
        if changed.change is Change.RETURNED and alarm in self.told:
            del self.told[alarm]
            return _notice(changed)
        if changed.change is not Change.RAISED or not self._is_news(changed):
            return None
        self.told[alarm] = changed.priority
        return _notice(changed)

    def _is_news(self, changed: AlarmChanged) -> bool:
        alarm, priority = changed.alarm, changed.priority
        if priority is Priority.LOW or is_told_by_probe_fault(alarm, changed.cause):
            return False
        before = self.told.get(alarm)
        return before is None or alarm not in TOLD_ONCE or URGENCY[priority] > URGENCY[before]


def _notice(changed: AlarmChanged) -> NoticeDue:
    key = f"alarm/{changed.alarm}/{changed.change}/{changed.time:.3f}"
    about = {"alarm": changed.alarm, "change": str(changed.change), "cause": changed.cause}
    return NoticeDue(changed.time, key, "alarm", changed.priority, {**about, **changed.values})
