"""The filter's element since it was changed: what it let through, how its flow fades, when to change it."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from drydown.drawing.descent import Shape
from drydown.drawing.draws import LEAST, Draw
from drydown.drawing.hose import Hose
from drydown.estimate.result import Spread

FADED = 0.60  # of the flow it had when it was new, below which a change is due; common practice, no source
MOST = 1.0  # m³ that an element lets through; common practice, no source
COMPARED = 3  # draws at either end, at most


class Reason(StrEnum):
    """Why the element should be changed."""

    FADED = "faded"
    LITRES = "litres"


@dataclass(frozen=True, slots=True)
class Element:
    """`drawn` (m³ at 15 °C) in so many s; `left` of the flow it had when new, None while nobody can tell."""

    drawn: float
    lasted: float
    draws: int
    left: Spread | None

    @property
    def reasons(self) -> tuple[Reason, ...]:
        """Why it should be changed now; none while it need not be."""
        faded = self.left is not None and self.left.median < FADED
        found = ((Reason.FADED, faded), (Reason.LITRES, self.drawn >= MOST))
        return tuple(reason for reason, holds in found if holds)

    @property
    def may_have_faded(self) -> bool:
        """Whether the flow may have fallen that far, though it more likely has not."""
        return self.left is not None and self.left.low < FADED <= self.left.median


def compared(draws: Sequence[Draw], whole_since: float) -> tuple[Sequence[Draw], Sequence[Draw]]:
    """The first and the last of the draws since the change that are large enough to tell the flow.

    None from before `whole_since` (Unix s), when levels were thinned: there a pause looks like a slow flow.
    """
    large = [draw for draw in draws if draw.volume >= LEAST and draw.start >= whole_since]
    count = min(COMPARED, len(large) // 2)
    return large[:count], large[len(large) - count :]


def element(
    shape: Shape, standpipe: float, draws: Sequence[Draw], first: Sequence[Draw], last: Sequence[Draw]
) -> Element:
    """Of all draws since the change; `first` and `last` are those to compare, with what their levels told."""
    told = [[draw for draw in part if draw.points] for part in (first, last)]
    left = Hose(shape, standpipe, [*told[0], *told[1]]).left(*map(len, told)) if all(told) else None
    return Element(
        drawn=sum(draw.volume for draw in draws),
        lasted=sum(draw.end - draw.start for draw in draws),
        draws=len(draws),
        left=left,
    )
