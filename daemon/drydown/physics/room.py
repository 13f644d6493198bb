"""Vapour in a well-mixed room: how high it gets, how fast it clears, how much fresh air keeps it low.

V dC/dt = G − Q' C, with Q' the fresh air divided by a mixing factor of 3 to 10 for how badly rooms mix
(ACGIH, *Industrial Ventilation*). Concentrations are in kg/m³, emission G in kg/s, air in m³/s, volume in m³,
time in s.
"""

from typing import cast

import numpy as np

from drydown.physics.values import Array, Values


def effective_air(fresh_air: Values, mixing_factor: Values) -> Array:
    """The part of the fresh air that dilutes, m³/s."""
    return cast(Array, fresh_air / mixing_factor)


def steady_concentration(emission: Values, effective_air: Values) -> Array:
    """Concentration that a lasting emission leads to, kg/m³. Needs some air."""
    return cast(Array, emission / effective_air)


def concentration_after(
    time: Values,
    start: Values,
    emission: Values,
    effective_air: Values,
    volume: Values,
    decay: Values = 0.0,
) -> Array:
    """Concentration after a time, from that at the start and an emission that falls as exp(−decay · time).

    decay in 1/s; 0 is a steady emission. Without any air and any decay it rises by emission · time / volume.
    """
    changes = effective_air * time / volume  # air changes
    fading = decay * time
    slower, apart = np.minimum(changes, fading), np.abs(changes - fading)
    some = np.where(apart == 0.0, 1.0, apart)
    filling = np.where(apart == 0.0, 1.0, -np.expm1(-some) / some)
    concentration: Array = start * np.exp(-changes) + emission * time / volume * np.exp(-slower) * filling
    return concentration


def purge_time(start: Values, end: Values, effective_air: Values, volume: Values) -> Array:
    """Time in which clean air brings the concentration from start down to end; 0 where it is lower."""
    changes: Array = np.maximum(np.log(start / end), 0.0)
    return volume / effective_air * changes


def fresh_air_needed(emission: Values, concentration: Values, mixing_factor: Values) -> Array:
    """Fresh air that holds a lasting emission at this concentration, m³/s."""
    return cast(Array, emission * mixing_factor / concentration)
