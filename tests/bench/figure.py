"""What a figure is: its name, its goal, and how it is measured."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from bench.workbench import Workbench


@dataclass(frozen=True, slots=True)
class Measured:
    """A value, what it was held against if it is a ratio, and in a few words how it came about."""

    value: float
    how: str
    baseline: float | None = None


@dataclass(frozen=True, slots=True)
class Figure:
    """One line of the bench. `measure` may raise AssertionError or OSError; the text says what failed."""

    name: str
    unit: str
    goal: float
    wanted: Literal["at least", "at most"]
    measure: Callable[[Workbench], Measured]

    def is_met(self, value: float) -> bool:
        """Whether a value reaches the goal."""
        return value >= self.goal if self.wanted == "at least" else value <= self.goal
