"""Pure methanol against NIST, NIOSH, the National Academies and CoolProp."""

import numpy as np
import pytest

from drydown.physics import methanol, vapour_limits
from drydown.physics.values import CELSIUS_ZERO
from support.coolprop import props_si


@pytest.mark.parametrize(
    ("celsius", "kilopascal"),
    # Antoine equation of Ambrose & Sprake 1970 with the constants of the NIST Chemistry WebBook
    [(0, 4.03), (10, 7.41), (20, 13.00), (25, 16.94), (30, 21.86), (40, 35.43), (50, 55.54), (60, 84.5)],
)
def test_vapour_pressure_is_that_of_ambrose_and_sprake(celsius: float, kilopascal: float) -> None:
    pressure = methanol.vapour_pressure(celsius + CELSIUS_ZERO)
    assert pressure / 1e3 == pytest.approx(kilopascal, rel=1.5e-3)  # as many digits as the table has


@pytest.mark.parametrize("celsius", range(0, 66, 5))
def test_vapour_pressure_lies_just_below_the_reference_equation(celsius: float) -> None:
    temperature = celsius + CELSIUS_ZERO
    reference = props_si("P", "T", temperature, "Q", 0, "Methanol")  # CoolProp, de Reuck & Craven 1993
    assert 1.002 < reference / methanol.vapour_pressure(temperature) < 1.0075


def test_it_boils_at_the_normal_boiling_point() -> None:
    # NIST Chemistry WebBook: 64.7 °C
    assert pytest.approx(64.7, abs=0.01) == methanol.BOILING_POINT - CELSIUS_ZERO
    assert methanol.vapour_pressure(methanol.BOILING_POINT) == pytest.approx(101325.0, rel=0.01)


@pytest.mark.parametrize(
    ("celsius", "kilojoule"),
    [(10, 1191), (25, 1169), (40, 1145), (60, 1110)],  # CoolProp, rounded
)
def test_heat_of_vaporisation_table(celsius: float, kilojoule: float) -> None:
    heat = methanol.heat_of_vaporisation(celsius + CELSIUS_ZERO)
    assert heat / 1e3 == pytest.approx(kilojoule, abs=0.8)


@pytest.mark.parametrize("celsius", range(-10, 71, 10))
def test_heat_of_vaporisation_follows_the_reference_equation(celsius: float) -> None:
    temperature = celsius + CELSIUS_ZERO
    vapour = props_si("H", "T", temperature, "Q", 1, "Methanol")  # CoolProp, de Reuck & Craven 1993
    liquid = props_si("H", "T", temperature, "Q", 0, "Methanol")
    assert methanol.heat_of_vaporisation(temperature) == pytest.approx(vapour - liquid, rel=5e-4)


def test_heat_of_vaporisation_a_mole() -> None:
    # NIST Chemistry WebBook, Majer & Svoboda 1985: 37.4 kJ/mol at 298 K, 35.21 at the boiling point
    at_25 = methanol.heat_of_vaporisation(298.15) * methanol.MOLAR_MASS
    boiling = methanol.heat_of_vaporisation(methanol.BOILING_POINT) * methanol.MOLAR_MASS
    assert at_25 / 1e3 == pytest.approx(37.4, abs=0.1)
    assert boiling / 1e3 == pytest.approx(35.21, abs=0.2)


def test_molar_mass() -> None:
    # IUPAC atomic weights, abridged: C 12.011, H 1.008, O 15.999
    assert pytest.approx((12.011 + 4 * 1.008 + 15.999) / 1e3, abs=1e-6) == methanol.MOLAR_MASS


def test_limits_are_those_of_the_pocket_guide() -> None:
    # NIOSH Pocket Guide to Chemical Hazards, methyl alcohol; IDLH documentation 67-56-1 of NIOSH, 1994
    assert vapour_limits.LOWER_FLAMMABLE_LIMIT == 0.06
    assert vapour_limits.UPPER_FLAMMABLE_LIMIT == 0.36
    assert vapour_limits.EXPOSURE_LIMIT == 200e-6
    assert vapour_limits.SHORT_EXPOSURE_LIMIT == 250e-6
    assert vapour_limits.DANGER_TO_LIFE == 6000e-6
    # 52 °F to 54 °F closed cup
    assert 11.0 <= vapour_limits.FLASH_POINT - CELSIUS_ZERO <= 12.0


def test_danger_to_life_is_a_tenth_of_the_lower_limit() -> None:
    # IDLH documentation of NIOSH: "LEL 6.0 % (10 % LEL, 6,000 ppm)"
    assert pytest.approx(0.1 * vapour_limits.LOWER_FLAMMABLE_LIMIT) == vapour_limits.DANGER_TO_LIFE


def test_odour_lies_near_the_exposure_limit_and_so_cannot_warn() -> None:
    # Prudent Practices in the Laboratory, National Academy Press 1995: 4 to 6000 ppm, mean 160 ppm
    assert vapour_limits.ODOUR_THRESHOLD == 160e-6


@pytest.mark.parametrize(
    ("ppm", "milligram"),
    [(1, 1.31), (200, 262), (250, 328)],  # NIOSH Pocket Guide; ACGIH TLV-TWA and STEL as quoted by NIOSH
)
def test_ppm_to_milligrams_at_25_celsius(ppm: float, milligram: float) -> None:
    assert methanol.concentration(ppm * 1e-6, 298.15) * 1e6 == pytest.approx(milligram, rel=2e-3)
    assert methanol.mole_fraction(milligram * 1e-6, 298.15) * 1e6 == pytest.approx(ppm, rel=2e-3)


def test_saturated_vapour_is_as_dense_as_the_reference_equation_says() -> None:
    temperature = np.array([283.15, 298.15, 313.15])
    saturated = methanol.concentration(methanol.vapour_pressure(temperature), temperature, 1.0)
    reference = props_si("D", "T", temperature, "Q", 1, "Methanol")  # CoolProp; its vapour associates
    assert ((reference > saturated) & (reference < 1.04 * saturated)).all()
