"""What the core of a tank decides: everything that leaves `step`, in the order in which it was decided."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from drydown.estimate.lesson import Lesson
from drydown.estimate.result import Estimate, Spread
from drydown.reading import Reading
from drydown.run.movement import LevelKind
from drydown.run.stages import Stage


class Priority(StrEnum):
    """How soon somebody must act (IEC 62682): at once, soon, today."""

    EMERGENCY = "emergency"
    HIGH = "high"
    LOW = "low"


class Change(StrEnum):
    """What happened to an alarm in its life cycle (after IEC 62682)."""

    RAISED = "raised"
    ACKNOWLEDGED = "acknowledged"
    RETURNED = "returned"
    SHELVED = "shelved"
    UNSHELVED = "unshelved"
    SUPPRESSED = "suppressed"
    UNSUPPRESSED = "unsuppressed"
    RESET = "reset"
    REMOVED = "removed"  # from service: nothing is fitted that could tell
    RESTORED = "restored"


@dataclass(frozen=True, slots=True)
class Conditioned:
    """A reading, judged: goes to the store whatever its quality."""

    reading: Reading


@dataclass(frozen=True, slots=True)
class Derived:
    """A quantity worked out from the readings; see `quantities.DERIVED`."""

    reading: Reading


@dataclass(frozen=True, slots=True)
class Estimated:
    """A fresh estimate: one a minute and at every change of verdict."""

    estimate: Estimate


@dataclass(frozen=True, slots=True)
class StageChanged:
    """The batch entered a stage; `by` is "drydown" or the person who corrected it."""

    time: float
    stage: Stage
    by: str


@dataclass(frozen=True, slots=True)
class LevelEvent:
    """A change of the level that has ended, from `start` to `time` (s): what it was and what it came to.

    `volume` in m³ at 15 °C, with its 90 % range. `by` is who declared a draw or drain, where anybody did.
    """

    time: float
    kind: LevelKind
    start: float
    volume: Spread
    by: str = ""


@dataclass(frozen=True, slots=True)
class Taught:
    """A run is over, and this is now known of tank and blower: what the next one's estimate begins with."""

    time: float
    lesson: Lesson


@dataclass(frozen=True, slots=True)
class SupplyChanged:
    """The relay took the blower's supply away, because of an alarm, or somebody (`by`) gave it back."""

    time: float
    cut: bool
    alarm: str
    by: str


@dataclass(frozen=True, slots=True)
class AlarmChanged:
    """An alarm changed its state. `values` are the SI numbers that its text is made of."""

    time: float
    alarm: str
    priority: Priority
    change: Change
    cause: str  # "value", "rate", "lost", …
    values: Mapping[str, float | str] = field(default_factory=dict)
    who: str = ""


@dataclass(frozen=True, slots=True)
class NoticeDue:
    """Somebody should be told: `kind` is "alarm", "methanol-gone", "dry", "air-limited", …

    `key` is the same for the same happening, however often it is worked out: one message a key.
    """

    time: float
    key: str
    kind: str
    priority: Priority
    values: Mapping[str, float | str] = field(default_factory=dict)


Effect = (
    Conditioned
    | Derived
    | Estimated
    | StageChanged
    | LevelEvent
    | Taught
    | SupplyChanged
    | AlarmChanged
    | NoticeDue
)
