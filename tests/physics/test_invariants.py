"""What must hold of methanol, water, air, fuel, bubbles and drops whatever the numbers."""

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from drydown.physics import bubbling, fuel, humid_air, methanol, room, settling, solution, water
from drydown.physics.values import GAS_CONSTANT

temperatures = st.floats(253.15, 363.15)
steps = st.floats(0.01, 30.0)
mixings = st.floats(0.0, 1.0)
mole_fractions = st.floats(0.0, 0.999)
mass_fractions = st.floats(0.0, 1.0)
lines = st.floats(0.0, 1.0)
humidities = st.floats(0.01, 1.0)


@given(temperatures, steps)
def test_vapour_pressures_rise_with_temperature(temperature: float, step: float) -> None:
    for substance in (methanol, water):
        assert 0.0 < substance.vapour_pressure(temperature) < substance.vapour_pressure(temperature + step)
        assert substance.heat_of_vaporisation(temperature) > substance.heat_of_vaporisation(
            temperature + step
        )


@given(st.floats(253.15, 333.15))
def test_vapour_pressures_rise_as_clausius_and_clapeyron_say(temperature: float) -> None:
    for substance in (methanol, water):
        below, above = substance.vapour_pressure(np.array([temperature - 0.01, temperature + 0.01]))
        rise = np.log(above / below) / 0.02
        expected = (
            substance.heat_of_vaporisation(temperature)
            * substance.MOLAR_MASS
            / (GAS_CONSTANT * temperature**2)
        )
        assert rise == pytest.approx(expected, rel=0.08)  # the vapour is real, the equation of state is not


@given(temperatures)
def test_dew_point_is_the_inverse_of_the_vapour_pressure(temperature: float) -> None:
    assert water.dew_point(water.vapour_pressure(temperature)) == pytest.approx(temperature, abs=1e-6)


@given(st.floats(0.0, 1.0), temperatures, st.floats(80e3, 110e3))
def test_concentration_and_mole_fraction_are_inverse(
    share: float, temperature: float, pressure: float
) -> None:
    there = methanol.concentration(share, temperature, pressure)
    assert methanol.mole_fraction(there, temperature, pressure) == pytest.approx(share, rel=1e-12, abs=1e-300)


@given(mass_fractions, st.floats(0.27, 0.30))
def test_mass_and_mole_fraction_are_inverse(mass_fraction: float, ester: float) -> None:
    x = solution.mole_fraction(mass_fraction, ester)
    assert mass_fraction - 1e-12 <= x <= 1.0 + 1e-12  # methanol is the lighter
    assert solution.mass_fraction(x, ester) == pytest.approx(mass_fraction, rel=1e-9, abs=1e-12)


@given(temperatures, mixings)
def test_pure_methanol_is_ideal(temperature: float, mixing: float) -> None:
    assert solution.activity_coefficient(1.0, temperature, mixing) == pytest.approx(1.0)
    assert solution.excess_enthalpy(1.0, temperature, mixing) == pytest.approx(0.0)
    assert solution.partial_pressure(1.0, temperature, mixing) == pytest.approx(
        methanol.vapour_pressure(temperature)
    )


@given(st.floats(0.0, 0.5), st.floats(263.15, 343.15), mixings)
def test_methanol_would_rather_be_alone(x: float, temperature: float, mixing: float) -> None:
    # positive deviations that fall with temperature, and more methanol always pushes harder: one liquid phase
    assert solution.log_activity_coefficient(x, temperature, mixing) > 0.0
    assert solution.excess_enthalpy(x, temperature, mixing) > 0.0
    assert solution.partial_pressure(x + 0.01, temperature, mixing) > solution.partial_pressure(
        x, temperature, mixing
    )


@given(st.floats(0.0, 0.9), st.floats(258.15, 353.15), mixings)
def test_excess_enthalpy_is_the_slope_of_the_activity(x: float, temperature: float, mixing: float) -> None:
    # Gibbs and Helmholtz: h = −R T² ∂ln γ/∂T
    below, above = solution.log_activity_coefficient(
        x, np.array([temperature - 0.01, temperature + 0.01]), mixing
    )
    slope = -GAS_CONSTANT * temperature**2 * (above - below) / 0.02
    assert solution.excess_enthalpy(x, temperature, mixing) == pytest.approx(slope, rel=1e-4, abs=0.1)


@given(st.floats(1e-6, 0.2), temperatures, mixings)
def test_partition_is_what_it_says(mass_fraction: float, temperature: float, mixing: float) -> None:
    density = fuel.density(temperature)
    x = solution.mole_fraction(mass_fraction)
    vapour = solution.partial_pressure(x, temperature, mixing)
    gas = methanol.concentration(vapour, temperature, 1.0)
    expected = gas / (mass_fraction * density)
    ours = solution.partition_coefficient(mass_fraction, temperature, density, mixing)
    assert ours == pytest.approx(expected, rel=1e-9)


@given(temperatures, lines, lines)
def test_saturation_lies_between_its_lines_and_above_zero(
    temperature: float, line: float, other: float
) -> None:
    low, high = sorted(
        [float(water.saturation(temperature, water.HE)), float(water.saturation(temperature, 1.0))]
    )
    assert 0.0 < low <= water.saturation(temperature, line) * (1 + 1e-12) <= high * (1 + 1e-9)
    assert water.saturation(temperature + 1.0, other) > water.saturation(temperature, other)


@given(st.floats(0.001, 1.0), temperatures, lines, st.floats(0.9, 1.15))
def test_content_and_activity_are_inverse(
    humidity: float, temperature: float, line: float, exponent: float
) -> None:
    air = humid_air.vapour_pressure(temperature, humidity)
    content = water.equilibrium_content(air, temperature, line, exponent)
    assert 0.0 < content <= water.saturation(temperature, line)
    assert water.activity(content, temperature, line, exponent) == pytest.approx(humidity, rel=1e-9)
    assert water.equilibrium_pressure(content, temperature, line, exponent) == pytest.approx(air, rel=1e-9)


@given(st.floats(1.0, 50.0), temperatures, lines)
def test_free_water_is_as_wet_as_water(times: float, temperature: float, line: float) -> None:
    wet = times * water.saturation(temperature, line)
    assert water.activity(wet, temperature, line) == pytest.approx(1.0)
    beyond = times * water.vapour_pressure(temperature)
    assert water.equilibrium_content(beyond, temperature, line) == water.saturation(temperature, line)


@given(st.floats(258.15, 328.15), humidities)
def test_dew_point_wet_bulb_and_temperature_stand_in_order(temperature: float, humidity: float) -> None:
    dew = humid_air.dew_point(temperature, humidity)
    wet = humid_air.wet_bulb(temperature, humidity)
    assert dew <= wet + 1e-6 <= temperature + 2e-6


@given(st.floats(258.15, 328.15), humidities, st.floats(85e3, 108e3))
def test_wet_bulb_solves_its_equation(temperature: float, humidity: float, pressure: float) -> None:
    # ASHRAE Handbook—Fundamentals 2017, chapter 1, equation 33, in °C and kJ/kg
    wet = float(humid_air.wet_bulb(temperature, humidity, pressure)) - 273.15
    dry = temperature - 273.15
    saturated = humid_air.humidity_ratio(water.vapour_pressure(wet + 273.15), pressure)
    ratio = ((2501 - 2.326 * wet) * saturated - 1.006 * (dry - wet)) / (2501 + 1.86 * dry - 4.186 * wet)
    air = humid_air.humidity_ratio(humid_air.vapour_pressure(temperature, humidity), pressure)
    assert ratio == pytest.approx(air, rel=1e-6, abs=1e-8)


@given(st.floats(258.15, 328.15), st.floats(0.0, 0.99))
def test_damper_air_holds_more_heat_and_weighs_less(temperature: float, humidity: float) -> None:
    dry = humid_air.vapour_pressure(temperature, humidity)
    damp = humid_air.vapour_pressure(temperature, humidity + 0.01)
    assert humid_air.density(temperature, damp) < humid_air.density(temperature, dry)
    ratio, more = humid_air.humidity_ratio(dry), humid_air.humidity_ratio(damp)
    assert humid_air.enthalpy(temperature, more) > humid_air.enthalpy(temperature, ratio)


@given(temperatures, st.floats(860.0, 900.0), steps)
def test_warm_fuel_is_light_and_thin(temperature: float, standard: float, step: float) -> None:
    assert fuel.density(temperature + step, standard) < fuel.density(temperature, standard)
    thick, thin = fuel.dynamic_viscosity(temperature), fuel.dynamic_viscosity(temperature + step)
    assert thick > thin > 0.0
    assert fuel.kinematic_viscosity(temperature, standard) * fuel.density(
        temperature, standard
    ) == pytest.approx(fuel.dynamic_viscosity(temperature, standard))


@given(temperatures, st.floats(860.0, 900.0))
def test_standard_volume_weighs_the_same(temperature: float, standard: float) -> None:
    at_15 = fuel.volume_correction(temperature, standard)
    assert at_15 * standard == pytest.approx(fuel.density(temperature, standard))
    assert (at_15 < 1.0) == (temperature > fuel.STANDARD_TEMPERATURE) or at_15 == 1.0


@given(st.floats(0.0, 1.0))
def test_holdup_is_a_share_below_a_half_and_gives_its_velocity_back(velocity: float) -> None:
    holdup = bubbling.gas_holdup(velocity)
    assert 0.0 <= holdup < 0.5
    assert bubbling.velocity_of_holdup(holdup) == pytest.approx(velocity, rel=1e-9, abs=1e-12)


@given(st.floats(1e-6, 0.3), st.floats(263.15, 333.15), mixings, st.floats(0.5, 1.0))
def test_emission_is_what_the_off_gas_carries(
    x: float, temperature: float, mixing: float, approach: float
) -> None:
    share = bubbling.off_gas_mole_fraction(x, temperature, mixing, approach)
    assume(share < 0.9)
    emission = bubbling.emission(0.01, temperature, share)
    methanol_moles = emission / methanol.MOLAR_MASS
    air_moles = 0.01 * humid_air.molar_density(temperature)
    assert methanol_moles / (methanol_moles + air_moles) == pytest.approx(share, rel=1e-9)


@given(st.floats(0.0, 0.1), st.floats(100.0, 1e5), st.floats(0.0, 1e5), st.floats(0.0, 1e5))
def test_what_leaves_never_comes_back(start: float, tau: float, first: float, second: float) -> None:
    left = bubbling.remaining(start, first, tau)
    assert 0.0 <= left <= start
    assert bubbling.remaining(left, second, tau) == pytest.approx(
        bubbling.remaining(start, first + second, tau), rel=1e-9, abs=1e-300
    )


@given(
    st.floats(0.0, 0.1), st.floats(0.0, 5e-3), st.floats(0.0, 10.0), st.floats(0.0, 1e5), st.floats(0.0, 1e5)
)
def test_room_may_be_computed_in_two_steps(
    start: float, emission: float, air: float, first: float, second: float
) -> None:
    halfway = room.concentration_after(first, start, emission, air, 60.0)
    there = room.concentration_after(second, halfway, emission, air, 60.0)
    assert there >= 0.0
    assert there == pytest.approx(
        room.concentration_after(first + second, start, emission, air, 60.0), rel=1e-8, abs=1e-15
    )


@given(st.floats(1e-6, 5e-3), st.floats(1e-3, 10.0))
def test_room_settles_where_air_takes_what_comes(emission: float, air: float) -> None:
    steady = room.steady_concentration(emission, air)
    assert room.concentration_after(1e4, steady, emission, air, 60.0) == pytest.approx(steady, rel=1e-9)
    assert room.fresh_air_needed(emission, steady, 1.0) == pytest.approx(air)


@given(st.floats(1e-6, 0.1), st.floats(1e-6, 0.1), st.floats(1e-3, 10.0))
def test_purge_ends_where_it_says(start: float, end: float, air: float) -> None:
    time = room.purge_time(start, end, air, 60.0)
    assert time >= 0.0
    assert room.concentration_after(time, start, 0.0, air, 60.0) == pytest.approx(min(start, end), rel=1e-9)


@given(st.floats(1e-6, 3e-4), st.floats(1.0, 400.0), st.floats(1e-3, 2e-2), st.floats(1.0, 1e6))
def test_drops_fall_by_the_square_of_their_size(
    diameter: float, difference: float, viscosity: float, time: float
) -> None:
    speed = settling.stokes_velocity(diameter, difference, viscosity)
    assert settling.stokes_velocity(2.0 * diameter, difference, viscosity) == pytest.approx(4.0 * speed)
    assert settling.stokes_velocity(diameter, -difference, viscosity) == -speed  # lighter drops rise
    height = speed * time
    assert settling.fall_time(height, diameter, difference, viscosity) == pytest.approx(time)
    assert settling.smallest_settled(time, height, difference, viscosity) == pytest.approx(diameter)
