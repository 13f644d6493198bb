"""What two runs had, and what explains that one took longer; without numpy, for those who only tell it."""

from dataclasses import dataclass

from drydown.estimate.result import Spread


@dataclass(frozen=True, slots=True)
class Conditions:
    """What a run had: methanol at the start (mass fraction), K in the mean, m³ at 15 °C, m³/s.

    `flow` is None where it could not be told. `took` is how long it bubbled until the methanol was gone, s.
    """

    methanol: Spread
    fuel_temperature: float
    volume: float
    flow: Spread | None
    took: float


@dataclass(frozen=True, slots=True)
class Explained:
    """Seconds by which the second run took longer for each cause, with 90 % ranges, and what is left over.

    `flow` is None where the air of one of them could not be told; then it is within `rest`.
    """

    methanol: Spread
    fuel_temperature: Spread
    volume: Spread
    flow: Spread | None
    rest: Spread
