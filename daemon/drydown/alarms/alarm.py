"""One alarm of one tank: holds what its condition finds against the delays, and walks the alarm's life."""

from collections.abc import Iterator, Mapping
from dataclasses import replace

from drydown.alarms.catalogue import Kind
from drydown.alarms.kept import First, Kept
from drydown.alarms.lifecycle import Event, Life, State
from drydown.alarms.scene import Finding, Scene
from drydown.effects import AlarmChanged, Change, Priority

LONGEST_SHELF = 86400.0  # s: nothing stays quiet for longer than a day without a fresh decision

CHATTERING = 3  # times raised within CHATTER_WINDOW; ISA-18.2 counts three or more in a minute (from memory),
# which delays of seconds already prevent
CHATTER_WINDOW = 600.0  # s; then it counts as over only once it has been quiet for as long

URGENCY = {Priority.LOW: 0, Priority.HIGH: 1, Priority.EMERGENCY: 2}


class Alarm:
    """An alarm of the catalogue with its state. All times are in s on the core's clock."""

    def __init__(self, kind: Kind) -> None:
        self.kind = kind
        self.raised: AlarmChanged | None = None  # as last raised
        self.last: AlarmChanged | None = None  # whatever last happened to it
        self.finding: Finding | None = None  # what it was last raised or suppressed for
        self.acknowledged_by = ""
        self.acknowledged_at: float | None = None
        self.shelved_until: float | None = None
        self._life = Life(shelvable=kind.least is not Priority.EMERGENCY)
        self._told: frozenset[str] = frozenset()  # all that it was raised for since it stands
        self._rises: tuple[float, ...] = ()  # when it began to stand, within CHATTER_WINDOW
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
    def is_chattering(self) -> bool:
        """Whether it came and went so often that it is held."""
        return len(self._rises) >= CHATTERING

    @property
    def rose(self) -> float | None:
        """When it last began to stand."""
        return self._rises[-1] if self._rises else None

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
        if self.shelved_until is not None:
            self.shelved_until = min(self.shelved_until, now + LONGEST_SHELF)  # though clocks be set back
            if now >= self.shelved_until:
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
            if scene.is_past_known and scene.unheard.isdisjoint({*self.kind.depends_on, *self._told}):
                yield from self._clear(now)  # but what is not known yet clears nothing
        else:
            self._going = None
            yield from self._hold(now, finding)

    def acknowledge(self, now: float, who: str) -> Iterator[AlarmChanged]:
        """Somebody has seen it."""
        for changed in self._happen(now, Event.ACKNOWLEDGE, who):
            self.acknowledged_by, self.acknowledged_at = who, now
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

    def came_after(self, first: First, raised: AlarmChanged) -> AlarmChanged:
        """What was just told of its being raised, with the alarm that came before it."""
        values = {**raised.values, "after": first.alarm, "after_cause": first.cause}
        self.raised = self.last = changed = replace(raised, values=values)
        return changed

    def kept(self) -> Kept:
        """What has to outlive a restart."""
        life = self._life
        return Kept(
            life.state,
            life.standing,
            life.emergency,
            life.latching,
            self.finding,
            self._told,
            self._rises,
            self.shelved_until,
            self.acknowledged_by,
            self.acknowledged_at,
            self.raised,
            self.last,
        )

    def recall(self, kept: Kept) -> None:
        """Be what an alarm was; only delays that were running begin again."""
        life = self._life
        life.state, life.standing = kept.state, kept.standing
        life.emergency, life.latching = kept.emergency, kept.latching
        self.finding, self._told, self._rises = kept.finding, kept.told, kept.rises
        self.shelved_until = kept.shelved_until
        self.acknowledged_by, self.acknowledged_at = kept.acknowledged_by, kept.acknowledged_at
        self.raised, self.last = kept.raised, kept.last

    def _is_over_limit(self) -> bool:
        return self.standing and self.finding is not None and self.finding.cause in ("value", "estimate")

    def _hold(self, now: float, finding: Finding) -> Iterator[AlarmChanged]:
        if self._is_known(finding):
            self._coming = None
            return
        if self._coming is None:
            self._coming = now
        ripe = self._coming + self.kind.on_delays[finding.cause]
        if now < ripe:
            self._due = ripe
            return
        self._coming = None
        yield from self._suppress(now, finding) if finding.explained_by else self._raise(now, finding)

    def _is_known(self, finding: Finding) -> bool:
        if self.state is State.SUPPRESSED:
            return finding.subjects <= self._told
        if finding.explained_by and self.state is not State.NORMAL:
            return True
        return self.standing and not self._is_worse(finding)

    def _suppress(self, now: float, finding: Finding) -> Iterator[AlarmChanged]:
        self.finding, self._told = finding, finding.subjects
        return self._happen(now, Event.SUPPRESS)

    def _raise(self, now: float, finding: Finding) -> Iterator[AlarmChanged]:
        if self.state is State.SUPPRESSED:
            yield from self._happen(now, Event.UNSUPPRESS)
        if not self.standing:
            self._told = frozenset()
            self._rises = (*(time for time in self._rises if now - time < CHATTER_WINDOW), now)
        self._told |= finding.subjects
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
        is_suppressed = self.state is State.SUPPRESSED
        if not self.standing and not is_suppressed:
            return
        if self._going is None:
            self._going = now
        ripe = self._going + (
            max(CHATTER_WINDOW, self.kind.off_delay) if self.is_chattering else self.kind.off_delay
        )
        if now < ripe:
            self._due = ripe
            return
        self._going = None
        self._life.asks = self.priority is not Priority.LOW
        yield from self._happen(now, Event.UNSUPPRESS if is_suppressed else Event.RETURN)

    def _happen(self, now: float, event: Event, who: str = "") -> Iterator[AlarmChanged]:
        return self._changed(now, self._life.happen(event), who)

    def _changed(self, now: float, changes: list[Change], who: str = "") -> Iterator[AlarmChanged]:
        for change in changes:
            cause = self.finding.cause if self.finding else ""
            self.last = AlarmChanged(
                now, self.kind.name, self.priority, change, cause, self._values(change), who
            )
            if change is Change.RAISED:
                self.raised = self.last
                self.acknowledged_by, self.acknowledged_at = "", None
            elif change is Change.UNSHELVED:
                self.shelved_until = None
            yield self.last

    def _values(self, change: Change) -> Mapping[str, float | str]:
        if self.finding is None:
            return {}
        values = dict(self.finding.values)
        if change is Change.RAISED and self.is_chattering:
            values["times"] = float(len(self._rises))
        if change is Change.SUPPRESSED:
            values["explained_by"] = self.finding.explained_by
        return values
