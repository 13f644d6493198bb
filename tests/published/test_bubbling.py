"""Bubbling against `fluids`, a published hold-up correlation, and the trade's figures."""

import numpy as np
import pytest
from fluids.compressible import isentropic_T_rise_compression

from drydown.physics import bubbling, fuel, solution


@pytest.mark.parametrize("efficiency", [0.4, 0.7, 1.0])
@pytest.mark.parametrize("depth", [0.5, 1.0])
def test_compression_warms_the_air_as_an_ideal_gas(depth: float, efficiency: float) -> None:
    discharge = 101325.0 + 880.0 * 9.80665 * depth
    # fluids: isentropic compression of an ideal gas, κ = 1.4
    expected = isentropic_T_rise_compression(293.15, 101325.0, discharge, 1.4, efficiency) - 293.15
    rise = bubbling.discharge_rise(293.15, 101325.0, discharge, efficiency)
    assert rise == pytest.approx(expected, rel=2e-3)  # 0.286 stands for 2/7


def test_a_spa_blower_warms_the_air_by_some_kelvin() -> None:
    # common practice, no source: discharge 5 to 20 K above intake at the back-pressure of 0.5 to 1 m of fuel
    discharge = 101325.0 + 880.0 * 9.80665 * np.array([0.5, 0.5, 1.0, 1.0])
    rise = bubbling.discharge_rise(293.15, 101325.0, discharge, np.array([0.4, 0.7, 0.4, 0.7]))
    assert ((rise > 4.5) & (rise < 20.0)).all()


def hikita(velocity: float, viscosity: float, density: float, tension: float) -> float:
    """Hikita et al., Chem. Eng. J. 20:59, 1980, for air at 20 °C; from memory."""
    capillary = velocity * viscosity / tension
    morton: float = viscosity**4 * 9.80665 / (density * tension**3)
    gas = (1.2 / density) ** 0.062 * (1.8e-5 / viscosity) ** 0.107
    holdup: float = 0.672 * capillary**0.578 * morton**-0.131 * gas
    return holdup


@pytest.mark.parametrize("velocity", [0.02, 0.04, 0.06, 0.08, 0.10])
def test_holdup_lies_within_its_spread_of_a_published_correlation(velocity: float) -> None:
    holdup = bubbling.gas_holdup(velocity)
    expected = hikita(velocity, viscosity=6.5e-3, density=880.0, tension=0.031)  # tension from memory
    assert holdup == pytest.approx(expected, rel=bubbling.HOLDUP_SPREAD)


def test_holdup_is_several_per_cent() -> None:
    # common practice, no source: superficial velocity of 2 to 10 cm/s
    low, high = bubbling.gas_holdup(bubbling.superficial_velocity(np.array([0.00566, 0.0283]), 0.283))
    assert low == pytest.approx(0.02 / 0.34, rel=1e-3)
    assert high == pytest.approx(0.10 / 0.50, rel=1e-3)


def test_two_hours_clear_150_litres_at_25_celsius() -> None:
    # own arithmetic with K of the two models' middle: a time constant of 21 min
    tau = bubbling.decay_time(0.150, 0.010, 0.0118)
    assert tau / 60.0 == pytest.approx(21.0, abs=0.3)
    # common practice, no source: about two hours; removes 99.7 %
    assert bubbling.remaining(1.0, 7200.0, tau) == pytest.approx(0.003, abs=5e-4)


def test_decay_time_from_the_partition_of_the_models() -> None:
    # the same, from γ of thermo and p° of NIST
    middle = solution.partition_coefficient(0.0, 298.15, fuel.density(298.15))
    assert middle == pytest.approx(0.0118, rel=0.03)


@pytest.mark.parametrize(("methanol", "share"), [(0.01, 0.05), (0.03, 0.10)])
def test_off_gas_of_the_first_minutes(methanol: float, share: float) -> None:
    # own arithmetic with both models at 25 °C: about 5 and 10 % by volume at an approach of 0.75 to 1
    x = solution.mole_fraction(methanol)
    off_gas = bubbling.off_gas_mole_fraction(x, 298.15, np.array([0.0, 1.0])[:, None], np.array([0.75, 1.0]))
    assert off_gas.min() < share < off_gas.max()
    assert off_gas == pytest.approx(share, rel=0.35)


def test_off_gas_of_rich_fuel_can_burn() -> None:
    # NIOSH Pocket Guide: 6 to 36 % by volume
    assert bubbling.share_of_lower_limit(0.06) == pytest.approx(1.0)
    assert bubbling.share_of_lower_limit(0.015) == pytest.approx(0.25)
    rich = bubbling.off_gas_mole_fraction(solution.mole_fraction(0.03), 298.15)
    assert bubbling.share_of_lower_limit(rich) > 1.0


def test_emission_is_some_tenths_to_some_grams_a_second() -> None:
    # own arithmetic: 10 to 30 L/s of air with 4 to 10 % methanol: 0.5 to 3 g/s and a little beyond
    emission = bubbling.emission(np.array([0.010, 0.020, 0.030]), 298.15, np.array([0.04, 0.05, 0.075]))
    assert emission * 1e3 == pytest.approx([0.546, 1.378, 3.187], rel=2e-3)


@pytest.mark.parametrize(("lost", "kelvin"), [(0.01, 5.0), (0.03, 15.0)])
def test_evaporating_methanol_cools_the_fuel(lost: float, kelvin: float) -> None:
    # common practice and own arithmetic: 1 % cools by about 5 K, 3 % by more than 10 K
    heat = solution.heat_of_desorption(solution.mole_fraction(lost / 2.0), 293.15)
    dip = bubbling.dip(lost, heat, fuel.heat_capacity(293.15))
    assert dip == pytest.approx(kelvin, rel=0.07)
