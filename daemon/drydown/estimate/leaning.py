"""How far ranges reach below and above the median, by what is measured; from the tails of simulated runs.

What the fuel's probe sees is heat, which goes with the content and not with its logarithm, so the belief in
ln leans to the low side. Without air, temperature and humidity enter as a product and the tails are long.
With the blown air measured the belief is sharpest, and what the model leaves out counts for most.
"""

from typing import NamedTuple

from drydown.estimate.ranges import Sides


class Leaning(NamedTuple):
    """Factors on σ of ln methanol, ln water and ln floor."""

    methanol: Sides
    water: Sides
    floor: Sides


AIR_UNKNOWN = Leaning(Sides(1.20, 1.00), Sides(1.35, 1.10), Sides(1.60, 1.25))
AIR_MEASURED = Leaning(Sides(1.05, 0.80), Sides(1.10, 0.90), Sides())
BLOWN_AIR_MEASURED = Leaning(Sides(1.20, 0.95), Sides(1.10, 0.95), Sides())


def leaning(air_measured: float, blown_air_measured: float) -> Leaning:
    """The factors, from the shares of the time for which each was measured."""
    if air_measured < 0.5:
        return AIR_UNKNOWN
    return BLOWN_AIR_MEASURED if blown_air_measured > 0.5 else AIR_MEASURED
