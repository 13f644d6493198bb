"""Water against IAPWS, and its solubility in methyl esters against both published lines."""

import numpy as np
import pytest
from chemicals.iapws import iapws95_Psat

from drydown.physics import humid_air, water
from drydown.physics.values import CELSIUS_ZERO
from support.coolprop import props_si


@pytest.mark.parametrize(
    ("temperature", "megapascal"),
    # IAPWS R7-97(2012), Table 35: values for checking a program
    [(300.0, 0.353658941e-2), (500.0, 0.263889776e1), (600.0, 0.123443146e2)],
)
def test_vapour_pressure_gives_the_check_values_of_the_formulation(
    temperature: float, megapascal: float
) -> None:
    assert water.vapour_pressure(temperature) / 1e6 == pytest.approx(megapascal, rel=1e-8)


@pytest.mark.parametrize(
    ("megapascal", "temperature"),
    # IAPWS R7-97(2012), Table 36
    [(0.1, 0.372755919e3), (1.0, 0.453035632e3), (10.0, 0.584149488e3)],
)
def test_dew_point_gives_the_check_values_of_the_formulation(megapascal: float, temperature: float) -> None:
    assert water.dew_point(megapascal * 1e6) == pytest.approx(temperature, rel=1e-8)


@pytest.mark.parametrize("celsius", [0.5, *range(5, 66, 5)])
def test_vapour_pressure_is_that_of_the_scientific_formulation(celsius: float) -> None:
    temperature = celsius + CELSIUS_ZERO
    # IAPWS-95 as computed by chemicals and by CoolProp
    pressure = iapws95_Psat(temperature)  # type: ignore[no-untyped-call]
    assert water.vapour_pressure(temperature) == pytest.approx(pressure, rel=5e-4)
    assert water.vapour_pressure(temperature) == pytest.approx(
        props_si("P", "T", temperature, "Q", 0, "Water"), rel=5e-4
    )


@pytest.mark.parametrize(
    ("celsius", "kilopascal"),
    # IAPWS-95 by CoolProp, rounded
    [(0, 0.611), (10, 1.228), (20, 2.339), (25, 3.170), (30, 4.247), (40, 7.385)],
)
def test_vapour_pressure_table(celsius: float, kilopascal: float) -> None:
    assert water.vapour_pressure(celsius + CELSIUS_ZERO) / 1e3 == pytest.approx(kilopascal, abs=6e-4)


@pytest.mark.parametrize("celsius", [-20, -10, -5])
def test_vapour_pressure_continues_over_supercooled_water(celsius: float) -> None:
    # over supercooled water, Murphy & Koop, Q. J. R. Meteorol. Soc. 131:1539, 2005, equation 10; from memory
    t = celsius + CELSIUS_ZERO
    reference = np.exp(
        54.842763
        - 6763.22 / t
        - 4.210 * np.log(t)
        + 0.000367 * t
        + np.tanh(0.0415 * (t - 218.8)) * (53.878 - 1331.22 / t - 9.44523 * np.log(t) + 0.014025 * t)
    )
    assert water.vapour_pressure(t) == pytest.approx(reference, rel=5e-3)


@pytest.mark.parametrize("celsius", [1, 10, 20, 30, 40, 50, 60, 70])
def test_heat_of_vaporisation_is_that_of_the_scientific_formulation(celsius: float) -> None:
    temperature = celsius + CELSIUS_ZERO
    vapour = props_si("H", "T", temperature, "Q", 1, "Water")  # CoolProp, IAPWS-95
    liquid = props_si("H", "T", temperature, "Q", 0, "Water")
    assert water.heat_of_vaporisation(temperature) == pytest.approx(vapour - liquid, rel=2e-4)


@pytest.mark.parametrize(
    ("line", "celsius", "content"),
    [
        # He, Thompson, Routt, Van Gerpen, Appl. Eng. Agric. 23:71, 2007, as told by the technical note of the
        # USDA National Biodiesel Education Program: 1,000 to 1,700 ppm over 4 °C to 35 °C
        (water.HE, 4, 1000e-6),
        (water.HE, 35, 1700e-6),
        # Fregolente, Fregolente, Wolf Maciel, J. Chem. Eng. Data 57:1817, 2012
        (water.FREGOLENTE, 10, 1500e-6),
        (water.FREGOLENTE, 50, 1980e-6),
    ],
)
def test_saturation_lines(line: float, celsius: float, content: float) -> None:
    assert water.saturation(celsius + CELSIUS_ZERO, line) == pytest.approx(content, abs=10e-6)


def test_saturation_rises_as_measured() -> None:
    # the same note: 22.2 ppm/°C
    rise = water.saturation(293.15, water.HE) - water.saturation(292.15, water.HE)
    assert rise == pytest.approx(22.2e-6, rel=1e-9)


@pytest.mark.parametrize(("celsius", "humidity"), [(10, 0.44), (20, 0.37), (30, 0.32), (40, 0.28)])
def test_what_air_a_limit_of_500_needs(celsius: float, humidity: float) -> None:
    # own arithmetic from the line of He et al.
    temperature = celsius + CELSIUS_ZERO
    assert water.activity(500e-6, temperature, water.HE) == pytest.approx(humidity, abs=0.005)
    needed = humid_air.vapour_pressure(temperature, humidity)
    assert water.equilibrium_content(needed, temperature, water.HE) == pytest.approx(500e-6, abs=8e-6)


def test_air_with_a_dew_point_at_the_fuels_temperature_saturates_it() -> None:
    # consequence of the isotherm as first order: a relative humidity of one at the fuel's temperature
    air = humid_air.vapour_pressure(303.15, 0.9)
    cold_fuel = float(water.dew_point(air)) - 5.0
    assert water.equilibrium_content(air, cold_fuel) == pytest.approx(water.saturation(cold_fuel))


def test_warm_fuel_in_cool_air_dries_far_below_the_limit() -> None:
    # consequence of the isotherm: 40 °C fuel in air of 10 °C and 60 %
    air = humid_air.vapour_pressure(283.15, 0.6)
    content = water.equilibrium_content(air, 313.15, np.array([water.HE, water.FREGOLENTE]))
    assert (content < 200e-6).all()
