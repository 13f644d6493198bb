"""The life of an alarm, after IEC 62682 / ANSI/ISA-18.2: a table, and a few lines that walk it.

Rules beyond the table
----------------------
- A standing alarm that gets worse (a higher priority, or another thing gone wrong) is raised anew: it has to
  be acknowledged again, whatever was acknowledged before.
- An emergency can be neither shelved nor suppressed, and one that comes while its alarm is shelved or
  suppressed ends that.
- An alarm that leaves a shelf, a suppression or the state of being out of service while its condition stands
  is raised at once.
- An alarm that is low when it is over asks nobody to say that it was seen.
- A latching alarm does not become normal by itself: once it has returned and been acknowledged, somebody has
  to reset it. Neither a shelf nor a suppression makes it forget that.

Pure: no clock; delays and deadbands are upstream of it, in `alarm`.
"""

from enum import StrEnum

from drydown.effects import Change


class State(StrEnum):
    """Where an alarm stands."""

    NORMAL = "normal"
    UNACKNOWLEDGED = "unacknowledged"
    ACKNOWLEDGED = "acknowledged"
    RETURNED = "returned, unacknowledged"
    LATCHED = "latched"
    SHELVED = "shelved"
    SUPPRESSED = "suppressed by design"
    OUT_OF_SERVICE = "out of service"


class Event(StrEnum):
    """What can happen to it."""

    RAISE = "raise"
    RETURN = "return"
    ACKNOWLEDGE = "acknowledge"
    RESET = "reset"
    SHELVE = "shelve"
    UNSHELVE = "unshelve"
    SUPPRESS = "suppress"
    UNSUPPRESS = "unsuppress"
    REMOVE = "remove from service"
    RESTORE = "restore to service"


S, E = State, Event

TRANSITIONS: dict[tuple[State, Event], tuple[State, Change]] = {
    (S.NORMAL, E.RAISE): (S.UNACKNOWLEDGED, Change.RAISED),
    (S.UNACKNOWLEDGED, E.RAISE): (S.UNACKNOWLEDGED, Change.RAISED),
    (S.ACKNOWLEDGED, E.RAISE): (S.UNACKNOWLEDGED, Change.RAISED),
    (S.RETURNED, E.RAISE): (S.UNACKNOWLEDGED, Change.RAISED),
    (S.LATCHED, E.RAISE): (S.UNACKNOWLEDGED, Change.RAISED),
    (S.UNACKNOWLEDGED, E.ACKNOWLEDGE): (S.ACKNOWLEDGED, Change.ACKNOWLEDGED),
    (S.RETURNED, E.ACKNOWLEDGE): (S.NORMAL, Change.ACKNOWLEDGED),
    (S.UNACKNOWLEDGED, E.RETURN): (S.RETURNED, Change.RETURNED),
    (S.ACKNOWLEDGED, E.RETURN): (S.NORMAL, Change.RETURNED),
    (S.LATCHED, E.RESET): (S.NORMAL, Change.RESET),
    (S.SHELVED, E.UNSHELVE): (S.NORMAL, Change.UNSHELVED),
    (S.SUPPRESSED, E.UNSUPPRESS): (S.NORMAL, Change.UNSUPPRESSED),
    (S.OUT_OF_SERVICE, E.RESTORE): (S.NORMAL, Change.RESTORED),
    (S.NORMAL, E.REMOVE): (S.OUT_OF_SERVICE, Change.REMOVED),
    **{
        (state, event): (after, change)
        for state in (S.NORMAL, S.UNACKNOWLEDGED, S.ACKNOWLEDGED, S.RETURNED, S.LATCHED)
        for event, after, change in (
            (E.SHELVE, S.SHELVED, Change.SHELVED),
            (E.SUPPRESS, S.SUPPRESSED, Change.SUPPRESSED),
        )
    },
}
"""What is not here changes nothing."""

LATCHING: dict[tuple[State, Event], State] = {
    (S.ACKNOWLEDGED, E.RETURN): S.LATCHED,
    (S.RETURNED, E.ACKNOWLEDGE): S.LATCHED,
    (S.SHELVED, E.UNSHELVE): S.LATCHED,
    (S.SUPPRESSED, E.UNSUPPRESS): S.LATCHED,
}
"""Where a latching alarm goes instead."""

UNASKING: dict[tuple[State, Event], State] = {(S.UNACKNOWLEDGED, E.RETURN): S.NORMAL}
"""Where an alarm of low priority goes instead."""

ENDING = {S.SHELVED: E.UNSHELVE, S.SUPPRESSED: E.UNSUPPRESS, S.OUT_OF_SERVICE: E.RESTORE}
"""What ends each of the states in which an alarm cannot be raised."""


UNSEEN = (State.UNACKNOWLEDGED, State.RETURNED)
"""Where an emergency stays one, though it is raised again for less."""


class Life:
    """One alarm's way through the table.

    `standing`: its condition holds, whatever its state. `latching`: it latches, for something that it was
    raised for since it was last normal. An alarm that is never less than an emergency is not `shelvable`.
    """

    def __init__(self, *, shelvable: bool = True) -> None:
        self.state = State.NORMAL
        self.standing = False
        self.emergency = False  # the alarm, as last raised, is an emergency
        self.latching = False
        self.asks = True  # to be seen, though it is over
        self._shelvable = shelvable

    def rise(self, *, emergency: bool, latching: bool = False) -> list[Change]:
        """It is raised, or raised anew."""
        self.standing = True
        self.emergency = emergency or (self.emergency and self.state in UNSEEN)
        self.latching = latching or (self.latching and self.state is not State.NORMAL)
        if emergency and self.state in (State.SHELVED, State.SUPPRESSED):
            return self._walk(ENDING[self.state])
        return self._walk(Event.RAISE)

    def happen(self, event: Event) -> list[Change]:
        """What becomes of it by any other event; empty where that means nothing in its state."""
        if event is Event.RETURN:
            self.standing = False
        refused = {Event.SHELVE: not self.can_be_shelved, Event.SUPPRESS: self._is_emergency}
        return [] if refused.get(event, False) else self._walk(event)

    @property
    def can_be_shelved(self) -> bool:
        """Whether a person may keep it quiet now."""
        return self._shelvable and not self._is_emergency

    @property
    def _is_emergency(self) -> bool:
        return self.emergency and self.state is not State.NORMAL

    def _walk(self, event: Event) -> list[Change]:
        step = TRANSITIONS.get((self.state, event))
        if step is None:
            return []
        after, change = step
        if not self.asks:
            after = UNASKING.get((self.state, event), after)
        if self.latching:
            after = LATCHING.get((self.state, event), after)
        self.state = after
        if self.standing and after in (State.NORMAL, State.LATCHED):
            return [change, *self._walk(Event.RAISE)]
        self.latching = self.latching and after is not State.NORMAL
        return [change]


class Refusal(StrEnum):
    """Why a person's command changes nothing."""

    UNKNOWN = "unknown"
    EMERGENCY = "emergency"
    NOTHING = "nothing to do"
    STANDING = "what cut the supply still stands"
    NOT_CUT = "the supply is not cut"


def diagram() -> str:
    """The table as a Mermaid state diagram."""
    names = {state: state.name.lower() for state in State}
    steps = [(*key, after, "") for key, (after, _) in TRANSITIONS.items()]
    steps += [(*key, after, " (latching)") for key, after in LATCHING.items()]
    steps += [(*key, after, " (low)") for key, after in UNASKING.items()]
    titles = [f'    state "{state}" as {name}' for state, name in names.items()]
    arrows = [f"    {names[state]} --> {names[after]}: {event}{note}" for state, event, after, note in steps]
    return "\n".join(["stateDiagram-v2", *titles, f"    [*] --> {names[State.NORMAL]}", *arrows])
