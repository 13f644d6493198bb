"""What is fuzzed: where right inputs come from, and what takes an input in."""

from collections.abc import Callable, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol


class Feed(Protocol):
    """A part of drydown that stands ready. Whatever either raises is a fault that was found."""

    def feed(self, payload: bytes) -> None:
        """Have the part take in one input, as its adapter would."""

    def check(self) -> None:
        """Whether all that it should still do goes."""


@dataclass(frozen=True, slots=True)
class Target:
    """One door that wrong input comes in by.

    `opened` makes the part in an empty folder, the only one that it may write to. Of a thousand inputs
    `share` go here, `few` in the tests.
    """

    name: str
    seeds: Callable[[], Sequence[bytes]]
    opened: Callable[[Path], AbstractContextManager[Feed]]
    share: int
    few: int
