"""Methyl ester fuel against the esters' equations of state, REFPROP's viscosities and the fuel standards."""

import numpy as np
import pytest
from thermo import HeatCapacityLiquid, ViscosityLiquid

from drydown.physics import fuel, limits
from support.coolprop import props_si

pytestmark = pytest.mark.filterwarnings("ignore:The 'float_precision' argument")  # pandas, in chemicals

ESTERS = ("MethylOleate", "MethylLinoleate", "MethylPalmitate")  # Huber et al., Energy Fuels 23:3790, 2009
OLEATE_DENSITY, OLEATE_KINEMATIC_AT_40 = 877.5, 4.559e-6  # the same, and REFPROP: kg/m³ at 15 °C, m²/s


@pytest.mark.parametrize("ester", ESTERS)
def test_density_falls_as_that_of_the_pure_esters(ester: str) -> None:
    warm, cold = props_si("D", "T", [333.15, 278.15], "P", 101325.0, ester)
    slope = (warm - cold) / 55.0
    assert slope == pytest.approx(fuel.DENSITY_SLOPE, abs=fuel.DENSITY_SLOPE_SPREAD)


@pytest.mark.parametrize("celsius", [5, 15, 25, 40, 60])
@pytest.mark.parametrize("ester", ESTERS)
def test_density_keeps_to_the_pure_esters(ester: str, celsius: float) -> None:
    at_15 = props_si("D", "T", fuel.STANDARD_TEMPERATURE, "P", 101325.0, ester)
    reference = props_si("D", "T", celsius + 273.15, "P", 101325.0, ester)
    ours = fuel.density(celsius + 273.15, at_15)
    assert ours == pytest.approx(reference, rel=2e-3)
    assert fuel.volume_correction(celsius + 273.15, at_15) == pytest.approx(reference / at_15, rel=2e-3)


def test_density_correlation_over_many_esters() -> None:
    # Ramírez-Verduzco, Renew. Sustain. Energy Rev. 19:652, 2013, in g/cm³; from memory; deviates 0.43 %
    temperature = np.array([278.15, 288.15, 298.15, 313.15, 333.15])
    reference = 1e3 * (1.069 + 3.575 / 296.49 + 0.0113 - 7.41e-4 * temperature)  # methyl oleate
    assert fuel.density(temperature, OLEATE_DENSITY) == pytest.approx(reference, rel=4.3e-3)


def test_expansion() -> None:
    # from memory, cross-checked on Pratas et al., J. Chem. Eng. Data 55:3983, 2010: about 0.00083 per K
    assert fuel.expansion(298.15) == pytest.approx(0.00083, abs=0.00003)
    reference = props_si("isobaric_expansion_coefficient", "T", 298.15, "P", 101325.0, "MethylOleate")
    assert fuel.expansion(298.15, OLEATE_DENSITY) == pytest.approx(reference, rel=0.04)


@pytest.mark.parametrize("celsius", [0, 10, 20, 30, 40])
def test_volume_correction_lies_by_the_petroleum_table(celsius: float) -> None:
    # ASTM D1250 / API MPMS 11.1, table 54B for fuel oils, made for mineral oil; constants from memory:
    # exp(−α Δt (1 + 0.8 α Δt)), α = 186.9696/ρ² + 0.4862/ρ
    density, step = 880.0, celsius - 15.0
    alpha = 186.9696 / density**2 + 0.4862 / density
    table = np.exp(-alpha * step * (1.0 + 0.8 * alpha * step))
    assert fuel.volume_correction(celsius + 273.15, density) == pytest.approx(table, abs=1e-3)


@pytest.mark.parametrize(
    ("feedstock", "low", "high"),
    # density at 15 °C, kg/m³; from memory
    [("soy", 885, 885), ("rapeseed", 883, 883), ("used-cooking-oil", 875, 880), ("palm", 870, 877)],
)
def test_density_by_feedstock(feedstock: str, low: float, high: float) -> None:
    assert low <= fuel.FEEDSTOCKS[feedstock].density <= high


@pytest.mark.parametrize("feedstock", fuel.FEEDSTOCKS)
def test_every_feedstock_makes_fuel_within_the_standard(feedstock: str) -> None:
    made = fuel.FEEDSTOCKS[feedstock]
    assert limits.EN_14214["density at 15 °C"].allows(made.density)
    assert limits.EN_14214["kinematic viscosity at 40 °C"].allows(made.viscosity)
    # from memory: 4 to 5 mm²/s at 40 °C, and 0.285 to 0.297 kg/mol
    assert 4.0e-6 <= made.viscosity <= 5.0e-6
    assert 0.285 <= made.molar_mass <= 0.297


def test_heat_capacity() -> None:
    # from memory, cross-checked on the literature of esters: 1.9 to 2.1 kJ/(kg K) near 25 °C
    span = np.sqrt(3.0) * fuel.HEAT_CAPACITY_SPREAD
    assert fuel.heat_capacity(298.15) - span == pytest.approx(1900.0, abs=10.0)
    assert fuel.heat_capacity(298.15) + span == pytest.approx(2100.0, abs=10.0)


def test_heat_capacity_rises_as_that_of_an_ester() -> None:
    # methyl palmitate, spline of Zábranský & Růžička as given by thermo; 0.27045 kg/mol
    palmitate = HeatCapacityLiquid(CASRN="112-39-0", MW=270.45)
    cold, warm = (palmitate.calculate(t, "ZABRANSKY_SPLINE_C") / 0.27045 for t in (293.15, 333.15))
    rise = fuel.heat_capacity(333.15) - fuel.heat_capacity(293.15)
    assert rise == pytest.approx(warm - cold, rel=0.15)
    assert fuel.heat_capacity(313.15) == pytest.approx((warm + cold) / 2.0, rel=0.05)


@pytest.mark.parametrize("celsius", [-5, 5, 15, 25, 40, 55, 70])
def test_viscosity_follows_methyl_oleate(celsius: float) -> None:
    temperature = celsius + 273.15
    oleate = ViscosityLiquid(CASRN="112-62-9", MW=296.49)  # NIST REFPROP as fitted by thermo
    reference = oleate.calculate(temperature, "REFPROP_FIT")
    ours = fuel.dynamic_viscosity(temperature, OLEATE_DENSITY, OLEATE_KINEMATIC_AT_40)
    assert ours == pytest.approx(reference, rel=3e-3)


def test_viscosity_of_unsaturated_fuel_bends_less() -> None:
    linoleate = ViscosityLiquid(CASRN="112-63-0", MW=294.47)  # NIST REFPROP as fitted by thermo
    cold, warm = (linoleate.calculate(t, "REFPROP_FIT") for t in (288.15, 313.15))
    ours = fuel.dynamic_viscosity(288.15) / fuel.dynamic_viscosity(313.15)
    assert cold / warm == pytest.approx(0.92 * ours, rel=0.02)


def test_viscosity_at_room_temperature() -> None:
    # from memory: about 6 to 7 mPa s at 20 to 25 °C
    assert 6e-3 < fuel.dynamic_viscosity(293.15, 878.0, 4.6e-6) < 7e-3
    # Knothe & Steidley, Fuel 84:1059, 2005, from memory: methyl oleate 4.51 mm²/s at 40 °C
    assert pytest.approx(4.51e-6, rel=0.015) == OLEATE_KINEMATIC_AT_40
    assert fuel.kinematic_viscosity(313.15, 880.0, 4.51e-6) == pytest.approx(4.51e-6, rel=1e-12)
