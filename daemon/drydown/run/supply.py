"""Whether the blower may have its supply: an alarm can take it away, and only a person gives it back."""

from collections.abc import Collection, Iterator

from drydown.alarms.lifecycle import Refusal
from drydown.effects import AlarmChanged, Change, NoticeDue, Priority, SupplyChanged


class Supply:
    """One tank's, as far as the relay in the blower's control circuit goes; it can't start the blower.

    `cuts_on` are the alarms that cut the supply when they are raised, whatever for: a probe that is lost may
    hide what the alarm is about. With none of them there is no relay.
    """

    def __init__(self, cuts_on: Collection[str]) -> None:
        self._cuts_on = frozenset(cuts_on)
        self.cut: SupplyChanged | None = None  # as it was cut, while it is

    @property
    def is_fitted(self) -> bool:
        """Whether there is a relay."""
        return bool(self._cuts_on)

    def look(self, changed: AlarmChanged) -> Iterator[SupplyChanged | NoticeDue]:
        """What a change of an alarm does to the supply."""
        if changed.change is not Change.RAISED or changed.alarm not in self._cuts_on or self.cut:
            return
        self.cut = SupplyChanged(changed.time, True, changed.alarm, "drydown")
        yield self.cut
        key = f"supply-cut/{changed.time:.3f}"
        values = {"alarm": changed.alarm, "cause": changed.cause, **changed.values}
        yield NoticeDue(changed.time, key, "supply-cut", Priority.HIGH, values)

    def refusal(self, standing: Collection[str]) -> Refusal | None:
        """Why the supply can't be given back while these alarms stand; None where it can."""
        if self.cut is None:
            return Refusal.NOT_CUT
        return None if self._cuts_on.isdisjoint(standing) else Refusal.STANDING

    def give_back(self, now: float, who: str, standing: Collection[str]) -> Iterator[SupplyChanged]:
        """A person lets the blower run again."""
        if self.cut and self.refusal(standing) is None:
            yield SupplyChanged(now, False, self.cut.alarm, who)
            self.cut = None
