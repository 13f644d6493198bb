"""What bubbling drives out of the fuel: from the belief while it bubbles, by Raoult's law before it does."""

from dataclasses import dataclass

import numpy as np

from drydown.estimate.result import Spread
from drydown.estimate.worlds import Source, spread_of, worlds
from drydown.physics import bubbling, methanol, solution
from drydown.physics.humid_air import molar_density

FLOW_FACTOR = 1.5  # true flow against the rated one, 90 %: log-normal ±25 % (1 σ); judgement
ESCAPE = Spread(0.875, 0.675, 1.135)
"""Vapour in the off-gas against equilibrium by the middle of the activity models: an approach evenly between
0.75 and 1, times the partition's ±9 % between the models and ±10 % beyond (1 σ); judgement."""
MOST = 0.9  # mole fraction of the off-gas: fuel near the boiling point of methanol would exceed it


@dataclass(frozen=True, slots=True)
class Vapour:
    """Methanol on its way out: the forecast that ventilation needs. At rest: as if the blower started now.

    `emission` in kg/s; `off_gas` its mole fraction in the gas that leaves the fuel; `left` the kg that are
    still in the fuel. The emission is taken to fall in proportion to what is left.
    """

    emission: Spread
    off_gas: Spread
    left: Spread


def rated(flow: float) -> Spread:
    """What a blower of this rated flow (m³/s) really gives."""
    return Spread(flow, flow / FLOW_FACTOR, flow * FLOW_FACTOR)


def bubbling_vapour(
    emission: Spread, content: Spread, mass: float, flow: Spread, air_temperature: float
) -> Vapour:
    """While it bubbles, from the emission (kg/s) and the content (mass fraction) that are believed.

    `mass` of the fuel in kg, `flow` in m³/s of air at `air_temperature` (K).
    """
    air = worlds(flow, Source.FLOW) * molar_density(air_temperature)
    picked_up = worlds(emission, Source.EMISSION) / (methanol.MOLAR_MASS * air)
    return Vapour(emission, spread_of(picked_up / (1.0 + picked_up)), _left(content, mass))


def starting_vapour(
    content: Spread, mass: float, fuel_temperature: float, flow: Spread, air_temperature: float
) -> Vapour:
    """What would come if the blower started now; units as in `bubbling_vapour`."""
    x = solution.mole_fraction(worlds(content, Source.METHANOL))
    equilibrium = bubbling.off_gas_mole_fraction(x, fuel_temperature)
    share = np.minimum(worlds(ESCAPE, Source.ESCAPE) * equilibrium, MOST)
    emission = bubbling.emission(worlds(flow, Source.FLOW), air_temperature, share)
    return Vapour(spread_of(emission), spread_of(share), _left(content, mass))


def _left(content: Spread, mass: float) -> Spread:
    return Spread(content.median * mass, content.low * mass, content.high * mass)
