"""Humid air against CoolProp (real gas) and psychrolib (ASHRAE Handbook)."""

import psychrolib
import pytest

from drydown.physics import humid_air, water
from drydown.physics.values import CELSIUS_ZERO, STANDARD_PRESSURE
from support.coolprop import humid_air_si

STATES = [(celsius, humidity) for celsius in (-5, 5, 20, 35, 50) for humidity in (0.1, 0.5, 0.9, 1.0)]
THAWED = [
    (celsius, humidity)
    for celsius, humidity in STATES
    if humidity * water.vapour_pressure(celsius + 273.15) > 650
]
"""Those with a dew point above 0 °C: below it both references turn to ice, which our humidity does not."""


@pytest.fixture(autouse=True, scope="module")
def _si() -> None:
    psychrolib.SetUnitSystem(psychrolib.SI)


@pytest.mark.parametrize(
    ("celsius", "humidity", "ratio", "dew", "wet", "kilojoule"),
    # CoolProp HAPropsSI at 101 325 Pa, rounded; where None stands, none was computed
    [
        (20, 0.50, 0.00729, 9.3, 13.8, 38.6),
        (25, 0.60, 0.01195, 16.7, 19.5, 55.6),
        (30, 0.90, 0.02449, 28.2, None, None),
    ],
)
def test_humid_air_table(
    celsius: float, humidity: float, ratio: float, dew: float, wet: float | None, kilojoule: float | None
) -> None:
    temperature = celsius + CELSIUS_ZERO
    our_ratio = humid_air.humidity_ratio(humid_air.vapour_pressure(temperature, humidity))
    assert our_ratio == pytest.approx(ratio, rel=5.5e-3)
    assert humid_air.dew_point(temperature, humidity) - CELSIUS_ZERO == pytest.approx(dew, abs=0.05)
    if wet is not None:
        assert humid_air.wet_bulb(temperature, humidity) - CELSIUS_ZERO == pytest.approx(wet, abs=0.06)
    if kilojoule is not None:
        assert humid_air.enthalpy(temperature, our_ratio) / 1e3 == pytest.approx(kilojoule, abs=0.2)


@pytest.mark.parametrize(("celsius", "humidity"), THAWED)
def test_real_gas_departs_by_no_more_than_its_enhancement(celsius: float, humidity: float) -> None:
    temperature = celsius + CELSIUS_ZERO
    state = ("T", temperature, "P", STANDARD_PRESSURE, "R", humidity)  # CoolProp
    pressure = humid_air.vapour_pressure(temperature, humidity)
    ratio = humid_air.humidity_ratio(pressure)
    assert ratio == pytest.approx(humid_air_si("W", *state), rel=8e-3)
    assert humid_air.dew_point(temperature, humidity) == pytest.approx(humid_air_si("D", *state), abs=0.05)
    assert humid_air.wet_bulb(temperature, humidity) == pytest.approx(humid_air_si("B", *state), abs=0.1)
    assert humid_air.enthalpy(temperature, ratio) == pytest.approx(humid_air_si("H", *state), abs=1600.0)
    volume = humid_air_si("Vha", *state)  # m³ per kg of humid air
    assert humid_air.density(temperature, pressure) == pytest.approx(1.0 / volume, rel=1.5e-3)


@pytest.mark.parametrize("pressure", [95000.0, STANDARD_PRESSURE])
@pytest.mark.parametrize(("celsius", "humidity"), THAWED)
def test_dew_point_and_wet_bulb_are_those_of_the_handbook(
    celsius: float, humidity: float, pressure: float
) -> None:
    temperature = celsius + CELSIUS_ZERO
    # psychrolib 2.5: ASHRAE Handbook—Fundamentals 2017, chapter 1
    assert humid_air.dew_point(temperature, humidity) - CELSIUS_ZERO == pytest.approx(
        psychrolib.GetTDewPointFromRelHum(celsius, humidity), abs=0.03
    )
    assert humid_air.wet_bulb(temperature, humidity, pressure) - CELSIUS_ZERO == pytest.approx(
        psychrolib.GetTWetBulbFromRelHum(celsius, humidity, pressure), abs=0.02
    )


@pytest.mark.parametrize("pressure", [95000.0, STANDARD_PRESSURE])
@pytest.mark.parametrize(("celsius", "humidity"), STATES)
def test_mixture_is_that_of_the_handbook(celsius: float, humidity: float, pressure: float) -> None:
    temperature = celsius + CELSIUS_ZERO
    # psychrolib 2.5: ASHRAE Handbook—Fundamentals 2017, chapter 1
    partial = humidity * psychrolib.GetSatVapPres(celsius)
    expected_ratio = psychrolib.GetHumRatioFromVapPres(partial, pressure)
    ratio = humid_air.humidity_ratio(partial, pressure)
    assert ratio == pytest.approx(expected_ratio, rel=1e-6)
    assert humid_air.pressure_of_ratio(expected_ratio, pressure) == pytest.approx(partial, rel=1e-6)
    assert humid_air.enthalpy(temperature, expected_ratio) == pytest.approx(
        psychrolib.GetMoistAirEnthalpy(celsius, expected_ratio), rel=1e-6, abs=1.0
    )
    assert humid_air.density(temperature, partial, pressure) == pytest.approx(
        psychrolib.GetMoistAirDensity(celsius, expected_ratio, pressure), rel=5e-4
    )


def test_molar_masses() -> None:
    # ASHRAE Handbook 2017: dry air 28.966 g/mol; IUPAC atomic weights for water: 18.015 g/mol
    assert humid_air.MOLAR_MASS == 0.028966
    assert pytest.approx(0.621945, rel=1e-4) == water.MOLAR_MASS / humid_air.MOLAR_MASS


def test_a_litre_of_air_holds_this_many_moles() -> None:
    # molar volume of an ideal gas at 0 °C and 101 325 Pa, CODATA 2018: 22.413 969 54 L/mol
    assert 1.0 / humid_air.molar_density(CELSIUS_ZERO) == pytest.approx(22.41396954e-3, rel=1e-9)
