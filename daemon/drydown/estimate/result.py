"""What the estimator answers: how dry, how sure, when, and whether at all."""

from dataclasses import dataclass
from enum import StrEnum


class Verdict(StrEnum):
    """The state of the fuel in one word."""

    UNKNOWN = "unknown"
    DRYING = "drying"
    DRY = "dry"
    AIR_LIMITED = "air-limited"
    WETTING = "wetting"


@dataclass(frozen=True, slots=True)
class Spread:
    """A median with the 5 % and 95 % points: the truth is believed to lie between with 90 % probability."""

    median: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Estimate:
    """The belief at one moment. None stands where a thing cannot be told, or never comes.

    methanol, water and water_floor are mass fractions (water_floor: the content at equilibrium with this
    air), emission is in kg/s, the two times are in s on the core's clock.
    """

    time: float
    run_time: float
    methanol: Spread | None
    water: Spread | None
    water_floor: Spread | None
    emission: Spread | None
    methanol_done_at: Spread | None
    dry_at: Spread | None
    methanol_done: bool
    verdict: Verdict
