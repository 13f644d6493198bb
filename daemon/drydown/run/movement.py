"""What the fuel in a tank does at this moment, as its level tells: comes in, goes out, foams, or rests."""

from dataclasses import dataclass
from enum import StrEnum

NOTABLE = 0.005  # m³; less is no filling or drawing that moves a batch along


class LevelKind(StrEnum):
    """What a change of the level is."""

    FILLING = "filling"
    DRAW = "draw"  # through the standpipe, by a person
    DRAIN = "drain"  # from the bottom, by a person
    LEAK = "leak"  # nobody lets it out: a leak, or a drain left open
    FOAM = "foam"


@dataclass(frozen=True, slots=True)
class Movement:
    """The present change of the level. Times in s on the core's clock, volumes in m³ without bubbles.

    `kind` is None while nothing moves, or while it is too early to say what does. `rate` (m³/s, above zero
    where the level rises) and `sigma`, its standard error, are None until the level has been watched for long
    enough since the blower went on or off. `volume` is what has moved since `since`, never below zero. `who`
    declared it, where anybody did.
    """

    kind: LevelKind | None = None
    rate: float | None = None
    sigma: float | None = None
    bubbling: bool = False
    since: float | None = None
    volume: float = 0.0
    who: str = ""
    headroom: float | None = None  # m from the surface up to the brim


AT_REST = Movement()
