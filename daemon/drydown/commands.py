"""What a person can tell the core of a tank. Commands are inputs like readings: recorded, and replayed."""

from dataclasses import dataclass

from drydown.run.stages import Stage


@dataclass(frozen=True, slots=True)
class Acknowledge:
    """Somebody has seen the alarm."""

    alarm: str
    who: str


@dataclass(frozen=True, slots=True)
class Shelve:
    """Keep an alarm quiet for `duration` seconds. Emergency alarms can't be shelved."""

    alarm: str
    who: str
    duration: float


@dataclass(frozen=True, slots=True)
class Unshelve:
    """End a shelving early."""

    alarm: str
    who: str


@dataclass(frozen=True, slots=True)
class CorrectStage:
    """The stage that the run is really in."""

    stage: Stage
    who: str


@dataclass(frozen=True, slots=True)
class BenchTest:
    """A measured content (mass fraction of "methanol" or "water") with its standard error."""

    quantity: str
    value: float
    sigma: float
    who: str


Command = Acknowledge | Shelve | Unshelve | CorrectStage | BenchTest
