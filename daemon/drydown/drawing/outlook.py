"""How long it takes to draw what is wanted, or all that can be drawn, from the fuel as it stands."""

from collections.abc import Sequence
from dataclasses import dataclass

from drydown.drawing.descent import Shape
from drydown.drawing.draws import LEAST, Draw
from drydown.drawing.hose import Hose
from drydown.estimate.result import Spread

NEWEST = 3  # draws that say how long the next one takes


@dataclass(frozen=True, slots=True)
class Stood:
    """The fuel at a Unix time (s): `drawable` in m³ at 15 °C, each of which is now `warm` m³."""

    time: float
    drawable: float
    warm: float


@dataclass(frozen=True, slots=True)
class Outlook:
    """Volumes in m³ at 15 °C. `flow` (m³/s) is what would run now, `whole` (s) how long until the standpipe.

    `takes` (s) is how long what was `asked` takes, or as much of it as there is. None where nobody can tell.
    """

    stood: Stood | None
    draws: int
    flow: Spread | None = None
    whole: Spread | None = None
    asked: float | None = None
    takes: Spread | None = None

    @property
    def is_enough(self) -> bool:
        """Whether as much stands above the standpipe as was asked."""
        return self.stood is None or self.asked is None or self.asked <= self.stood.drawable


def telling(draws: Sequence[Draw], changed: float) -> list[Draw]:
    """The newest that say how fast fuel runs: since the filter was changed (Unix s), if there are any."""
    large = [draw for draw in draws if draw.volume >= LEAST]
    return ([draw for draw in large if draw.start >= changed] or large)[-NEWEST:]


def outlook(
    shape: Shape, standpipe: float, draws: Sequence[Draw], stood: Stood | None, asked: float | None = None
) -> Outlook:
    """From `draws` with their levels; the standpipe stands so many m above the tank's lowest point."""
    told = [draw for draw in draws if draw.points]
    if stood is None or not told:
        return Outlook(stood, len(told), asked=asked)
    hose, mouth = Hose(shape, standpipe, told), shape.volume(standpipe)
    level = shape.level(mouth + stood.drawable * stood.warm)
    takes = None
    if asked is not None:
        left = max(0.0, stood.drawable - asked)
        takes = hose.time(level, shape.level(mouth + left * stood.warm))
    return Outlook(stood, len(told), hose.flow(level), hose.time(level, standpipe), asked, takes)
