"""One alarm of one tank: holds what its condition finds against the delays, and walks the alarm's life."""

from collections.abc import Iterator
from dataclasses import replace

from drydown.alarms.catalogue import Kind
from drydown.alarms.lifecycle import Event, Life, State
from drydown.alarms.scene import Finding, Scene
from drydown.effects import AlarmChanged, Change, Priority

LONGEST_SHELF = 86400.0  # s: nothing stays quiet for longer than a day without a fresh decision

URGENCY = {Priority.LOW: 0, Priority.HIGH: 1, Priority.EMERGENCY: 2}


class Alarm:
    """An alarm of the catalogue with its state. All times are in s on the core's clock."""

    def __init__(self, kind: Kind) -> None:
        self.kind = kind
        self.raised: float | None = None  # when it was last raised
        self.finding: Finding | None = None  # what it was last raised for
        self.acknowledged_by = ""
        self.shelved_until: float | None = None
        self._life = Life(shelvable=kind.least is not Priority.EMERGENCY)
        self._told: frozenset[str] = frozenset()  # all that it was raised for since it stands
        self._coming: float | None = None  # since when there is something to raise it for
        self._going: float | None = None  # since when it stands with nothing wrong any more
        self._due = float("inf")

    @property
    def state(self) -> State:
        """Where it is in its life."""
        return self._life.state

    @property
    def standing(self) -> bool:
        """Whether its condition holds, whatever its state."""
        return self._life.standing

    @property
    def can_be_shelved(self) -> bool:
        """Whether a person may keep it quiet now."""
        return self._life.can_be_shelved

    @property
    def priority(self) -> Priority:
        """As it was last raised; before that the least that it can be."""
        return self.finding.priority if self.finding else self.kind.least

    @property
    def due(self) -> float:
        """When a delay or a shelving runs out; infinite while none is running."""
        return self._due if self.shelved_until is None else min(self._due, self.shelved_until)

    def look(self, scene: Scene) -> Iterator[AlarmChanged]:
        """Look at the tank; tell what has changed."""
        now = scene.now
        self._due = float("inf")
        if self.shelved_until is not None and now >= self.shelved_until:
            yield from self._happen(now, Event.UNSHELVE)
        if not self.kind.is_fitted(scene):
            if not self.standing:
                yield from self._happen(now, Event.REMOVE)
            return
        if self.state is State.OUT_OF_SERVICE:
            yield from self._happen(now, Event.RESTORE)
        finding = self.kind.find(scene, self.kind.deadband if self._is_over_limit() else 0.0)
        if finding is None:
            self._coming = None
            if scene.unheard.isdisjoint(self.kind.depends_on):  # what is not known yet clears nothing
                yield from self._clear(now)
        else:
            self._going = None
            yield from self._hold(now, finding)

    def acknowledge(self, now: float, who: str) -> Iterator[AlarmChanged]:
        """Somebody has seen it."""
        for changed in self._happen(now, Event.ACKNOWLEDGE, who):
            self.acknowledged_by = who
            yield changed

    def reset(self, now: float, who: str) -> Iterator[AlarmChanged]:
        """Somebody lets a latched alarm go."""
        return self._happen(now, Event.RESET, who)

    def shelve(self, now: float, who: str, duration: float) -> Iterator[AlarmChanged]:
        """Keep it quiet for a while, in s; at most for LONGEST_SHELF."""
        for changed in self._happen(now, Event.SHELVE, who):
            self.shelved_until = now + min(max(duration, 0.0), LONGEST_SHELF)
            yield changed

    def unshelve(self, now: float, who: str) -> Iterator[AlarmChanged]:
        """End a shelving early."""
        return self._happen(now, Event.UNSHELVE, who)

    def _is_over_limit(self) -> bool:
        return self.standing and self.finding is not None and self.finding.cause in ("value", "estimate")

    def _hold(self, now: float, finding: Finding) -> Iterator[AlarmChanged]:
        if self.standing and not self._is_worse(finding):
            self._coming = None
            return
        if self._coming is None:
            self._coming = now
        ripe = self._coming + self.kind.on_delays[finding.cause]
        if now < ripe:
            self._due = ripe
            return
        self._told = finding.subjects | (self._told if self.standing else frozenset())
        self._coming = None
        self.finding = finding = self._no_less(finding)
        changes = self._life.rise(
            emergency=finding.priority is Priority.EMERGENCY,
            latching=self.kind.latching and finding.cause != "lost",
        )
        yield from self._changed(now, changes)

    def _no_less(self, finding: Finding) -> Finding:
        """A lost probe makes nothing less urgent: what stood may be as bad as before."""
        if finding.cause != "lost" or not self.standing or not self._is_more_urgent_than(finding):
            return finding
        return replace(finding, priority=self.priority)

    def _is_more_urgent_than(self, finding: Finding) -> bool:
        return URGENCY[self.priority] > URGENCY[finding.priority]

    def _is_worse(self, finding: Finding) -> bool:
        return URGENCY[finding.priority] > URGENCY[self.priority] or not finding.subjects <= self._told

    def _clear(self, now: float) -> Iterator[AlarmChanged]:
        if not self.standing:
            return
        if self._going is None:
            self._going = now
        ripe = self._going + self.kind.off_delay
        if now < ripe:
            self._due = ripe
            return
        self._going = None
        yield from self._happen(now, Event.RETURN)

    def _happen(self, now: float, event: Event, who: str = "") -> Iterator[AlarmChanged]:
        return self._changed(now, self._life.happen(event), who)

    def _changed(self, now: float, changes: list[Change], who: str = "") -> Iterator[AlarmChanged]:
        for change in changes:
            if change is Change.RAISED:
                self.raised = now
                self.acknowledged_by = ""
            elif change is Change.UNSHELVED:
                self.shelved_until = None
            cause, values = (self.finding.cause, self.finding.values) if self.finding else ("", {})
            yield AlarmChanged(now, self.kind.name, self.priority, change, cause, values, who)
