"""What a probe is to the rest of drydown: a thing with a name that can be read, and that says what it is."""

from typing import Protocol

from drydown.reading import Quality, Reading


class Probe(Protocol):
    """One source of one quantity. A probe may block for as long as it likes: see `poll`."""

    @property
    def name(self) -> str:
        """The quantity it gives, a key of `quantities.MEASURED`."""

    def read(self, now: float) -> Reading | None:
        """Ask it once. `now` is the core's clock, in s; the value is in SI units.

        A probe that has no value to give returns a reading of None whose reason says what happened and what
        to do. A probe that has nothing new may return the reading it gave before, with the same time. None is
        not for a fault: nothing can have come so soon.
        """

    def describe(self) -> str:
        """What it is and where it is attached, in words, without asking the hardware."""


def no_value(name: str, now: float, reason: str) -> Reading:
    """The reading of a probe that has nothing to say, and why."""
    return Reading(name, now, None, Quality.BAD, reason)
