"""What the alarms look at: everything known of a tank at one moment, and what a look at it can find."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from drydown.commands import Part
from drydown.config.model import Tank
from drydown.effects import Priority
from drydown.estimate.result import Spread, Verdict
from drydown.run.movement import AT_REST, Movement

Values = dict[str, float | str]
"""The numbers and names that a text is made of."""


@dataclass(frozen=True, slots=True)
class Loss:
    """A probe that says nothing that can be believed: since when (s), and why."""

    since: float
    reason: str


@dataclass(slots=True)
class Scene:
    """The tank as the core sees it in one step. The core fills it in; conditions only read it.

    SI units. `values` holds the last believable value of each quantity whose probe is not lost; `rates` how
    fast it rises, a second, over the last minute. What stands in `fitted` was configured or has been seen.
    """

    tank: Tank
    now: float = 0.0
    fitted: set[str] = field(default_factory=set)
    values: dict[str, float | bool] = field(default_factory=dict)
    lost: dict[str, Loss] = field(default_factory=dict)
    rates: dict[str, float] = field(default_factory=dict)
    stretch: float = 0.0  # s that the blower has run without a stop
    volume: float | None = None  # m³ of fuel
    movement: Movement = AT_REST  # of the level
    rise: float = 0.0  # m of bubbling fuel above where it ever stood in this stretch
    wander: float = 0.0  # m³ by which bubbles alone may have let the level fall
    stirred_until: float = float("-inf")  # s: fuel comes in, or the bubbles have just lifted the level
    room_methanol: float | None = None  # mole fraction in the room's air, worked out from the emission
    room_methanol_likely: float | None = None  # what it is at least, two times in three
    enter_after: float | None = None  # s from the blower's stop until one may surely go in
    verdict: Verdict = Verdict.UNKNOWN  # on the fuel, as last estimated
    water_floor: float | None = None  # mass fraction that this air would leave at last
    flow_share: Spread | None = None  # what the blower gives of its usual air, where that can be told
    degraded: dict[Part, str] = field(default_factory=dict)  # with the reason
    needs: Mapping[str, frozenset[str]] = field(default_factory=dict)  # by alarm: readings it depends on
    is_past_known: bool = True  # whether what went before the watch began has been gone through

    @property
    def running(self) -> bool | None:
        """Whether the blower runs; None where that cannot be told."""
        running = self.values.get("blower/running")
        return None if running is None else bool(running)

    @property
    def is_blind(self) -> bool:
        """Whether every probe is lost, of several: the board or what feeds them."""
        return len(self.lost) > 1 and self.fitted <= self.lost.keys()

    @property
    def unheard(self) -> set[str]:
        """What is fitted and has said nothing so far."""
        return self.fitted - self.values.keys() - self.lost.keys()

    def number(self, name: str) -> float | None:
        """The value of a quantity, or None where it is not fitted or lost."""
        value = self.values.get(name)
        return None if value is None else float(value)


@dataclass(frozen=True, slots=True)
class Finding:
    """A condition holds: how bad, why, and the numbers for the text.

    `subjects` are the things that are wrong. A standing alarm that finds one more is raised anew. Where the
    alarm `explained_by` is raised for the same cause, this one is suppressed: one cause, one alarm.
    """

    priority: Priority
    cause: str
    values: Mapping[str, float | str] = field(default_factory=dict)
    subjects: frozenset[str] = frozenset()
    explained_by: str = ""
