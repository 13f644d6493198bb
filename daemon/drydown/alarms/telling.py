"""Which changes of alarms somebody is told of: one notice for one cause, and its end where it was told."""

from drydown.alarms.catalogue import is_told_by_probe_fault
from drydown.effects import AlarmChanged, Change, NoticeDue, Priority


class Telling:
    """One tank's. Remembers which alarms somebody was told of."""

    def __init__(self) -> None:
        self._told: set[str] = set()

    def notice(self, changed: AlarmChanged) -> NoticeDue | None:
        """The notice that goes with a change of an alarm, if somebody has to be told."""
        alarm = changed.alarm
        if changed.change is Change.RETURNED and alarm in self._told:
            self._told.discard(alarm)
            return _notice(changed)
        is_news = changed.change is Change.RAISED and changed.priority is not Priority.LOW
        if not is_news or is_told_by_probe_fault(alarm, changed.cause):
            return None
        self._told.add(alarm)
        return _notice(changed)


def _notice(changed: AlarmChanged) -> NoticeDue:
    key = f"alarm/{changed.alarm}/{changed.change}/{changed.time:.3f}"
    about = {"alarm": changed.alarm, "change": str(changed.change), "cause": changed.cause}
    return NoticeDue(changed.time, key, "alarm", changed.priority, {**about, **changed.values})
