"""What the estimator is told: the tank as it is configured, and one sample of its readings."""

import math
from dataclasses import dataclass

from drydown.config.model import Tank


@dataclass(frozen=True, slots=True)
class Sample:
    """What was believably read at one moment, in SI units; None where it is absent or doubtful.

    `level_volume` (m³) is the tank's volume up to the surface, bubbles included.
    """

    fuel_temperature: float | None = None
    level_volume: float | None = None
    running: bool | None = None
    discharge_temperature: float | None = None
    air_temperature: float | None = None
    air_humidity: float | None = None


@dataclass(frozen=True, slots=True)
class TankPriors:
    """What is known of a tank before anything is read, in SI units."""

    cross_section: float  # m², where the fuel's surface usually is
    rated_flow: float  # m³/s of air through the fuel
    feedstock: str
    methanol_limit: float  # mass fraction
    water_limit: float  # mass fraction


def priors_of(tank: Tank) -> TankPriors:
    """The priors that stand in a tank's configuration."""
    return TankPriors(
        cross_section=_cross_section(tank),
        rated_flow=tank.blower.rated_flow,
        feedstock=tank.fuel.feedstock,
        methanol_limit=tank.fuel.methanol_limit,
        water_limit=tank.fuel.water_limit,
    )


def _cross_section(tank: Tank) -> float:
    if tank.table is not None:
        (low, below), (high, above) = tank.table[0], tank.table[-1]
        return (above - below) / (high - low)
    diameter = tank.diameter or 0.0
    if tank.shape == "horizontal-cylinder":
        return 0.9 * diameter * (tank.length or 0.0)  # the surface between a quarter and three quarters full
    return math.pi * diameter**2 / 4
