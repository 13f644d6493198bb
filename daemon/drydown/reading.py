"""A reading: one value of one quantity at one time, and how far it can be trusted."""

from dataclasses import dataclass
from enum import StrEnum


class Quality(StrEnum):
    """What conditioning thinks of a reading. Bad ones are recorded but never used."""

    GOOD = "good"
    DOUBTFUL = "doubtful"
    BAD = "bad"


@dataclass(frozen=True, slots=True)
class Reading:
    """One value, in SI units (K, m, m³/s, fractions of one), on the core's clock.

    `time` is in seconds and only its differences mean anything to the core: on a board it is the boot
    clock, in a replay the Unix time of the recording. `value` is None when the probe gave none; `reason`
    then says why, in words a person can act on.
    """

    name: str
    time: float
    value: float | bool | None
    quality: Quality = Quality.GOOD
    reason: str = ""
