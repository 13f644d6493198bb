"""What a person, or the watcher itself, can tell the core of a tank.

Commands are inputs like readings: recorded, and replayed.
"""

from dataclasses import dataclass
from enum import StrEnum

from drydown.logbook.entry import Entry
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
class Reset:
    """Somebody has looked into what latched the alarm, and lets it go."""

    alarm: str
    who: str


@dataclass(frozen=True, slots=True)
class RestoreSupply:
    """Somebody lets the blower run again that drydown has stopped; it starts by hand alone."""

    who: str


@dataclass(frozen=True, slots=True)
class CorrectStage:
    """The stage that the run is really in."""

    stage: Stage
    who: str


@dataclass(frozen=True, slots=True)
class BenchTest:
    """A measured content (mass fraction of "methanol" or "water") with its standard error.

    The sample was taken `ago` s before; `method` is one of `quality.kinds`, where it was said.
    """

    quantity: str
    value: float
    sigma: float
    who: str
    method: str = ""
    ago: float = 0.0


@dataclass(frozen=True, slots=True)
class Draw:
    """Somebody draws fuel through the standpipe, or is about to: until the level has rested for a while."""

    who: str


@dataclass(frozen=True, slots=True)
class Drain:
    """Somebody drains from the bottom, or is about to: until the level has rested for a while."""

    who: str


@dataclass(frozen=True, slots=True)
class Forget:
    """What runs taught of this tank and blower no longer holds: from now on nothing of it is used."""

    who: str


@dataclass(frozen=True, slots=True)
class Note:
    """What somebody wants to remember of this moment. It changes nothing."""

    text: str
    who: str


@dataclass(frozen=True, slots=True)
class ClockPutRight:
    """The board's clock stepped by so many s: it had been wrong by that. Lengths of time are untouched."""

    by: float


class Part(StrEnum):
    """The parts of drydown that can fail without taking the watcher with them."""

    BROKER = "broker"
    STORE = "store"
    DISK = "disk"
    NOTICES = "notices"
    CLOCK = "clock"
    BOARD = "board"
    ESTIMATE = "estimate"
    WATCH = "watch"  # watching itself failed, and began anew
    PROBES = "probes"  # somebody sends readings that cannot be used
    DOUBT = "doubt"  # probes that must agree do not
    FORWARD = "forward"  # the server that the record is sent on to does not take it


@dataclass(frozen=True, slots=True)
class Degraded:
    """A part does not do its work; `reason` says in words what is wrong. It holds until `Mended`."""

    part: Part
    reason: str


@dataclass(frozen=True, slots=True)
class Mended:
    """The part does its work again."""

    part: Part


Command = (
    Acknowledge
    | Shelve
    | Unshelve
    | Reset
    | CorrectStage
    | BenchTest
    | Draw
    | Drain
    | Forget
    | RestoreSupply
    | Note
    | Entry
    | ClockPutRight
    | Degraded
    | Mended
)
