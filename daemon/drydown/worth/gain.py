"""What a probe or a test changes, as it is handed on."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any

AIR, DISCHARGE, METHANOL_TEST, WATER_TEST = "air", "discharge", "methanol-test", "water-test"
LEAST = 0.1  # of a range that has to go before it is worth a word


@dataclass(frozen=True, slots=True)
class Gain:
    """How wide ranges are with a probe or test over how wide they are without; None where nothing is told.

    `fitted`: the run that this was found on had it.
    """

    kind: str
    fitted: bool
    methanol: float | None
    water: float | None

    @property
    def best(self) -> float:
        """The narrower of both; 1 where it changes nothing."""
        return min(1.0, *(one for one in (self.methanol, self.water, 1.0) if one is not None))

    @property
    def is_worth_a_word(self) -> bool:
        """Whether it makes a range narrower by a tenth at least."""
        return self.best <= 1.0 - LEAST


@dataclass(frozen=True, slots=True)
class Worth:
    """What was found on the run that began at `start` (Unix s)."""

    start: float
    gains: tuple[Gain, ...]


def line_of(worth: Worth) -> dict[str, Any]:
    """As JSON has it."""
    return asdict(worth)


def worth_of(line: Mapping[str, Any]) -> Worth:
    """The inverse of `line_of`. Raises KeyError and TypeError."""
    return Worth(line["start"], tuple(Gain(**one) for one in line["gains"]))
