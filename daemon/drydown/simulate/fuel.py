"""What dissolves in a simulated fuel, how heavy, how warm and how thick it is."""

import math
from dataclasses import dataclass

from drydown.physics import values
from drydown.simulate.activity import Activity, Table, table_of
from drydown.simulate.facts import GAS_CONSTANT, METHANOL_MASS, saturation_fregolente, saturation_he

REFERENCE = values.REFERENCE_TEMPERATURE  # where sensible heat is counted from
METHANOL_DENSITY, WATER_DENSITY = 787.0, 997.0  # kg/m³ at 25 °C (NIST WebBook)
METHANOL_HEAT, WATER_HEAT = 2530.0, 4181.0  # J/(kg K), liquid, at 25 °C (NIST WebBook)
LEAST_SATURATION = 100e-6  # mass fraction: the straight lines were measured above 4 °C


@dataclass(frozen=True, slots=True)
class Fuel:
    """One tank's methyl esters.

    `saturation_blend` goes from the line of He et al. 2007 (0) to that of Fregolente et al. 2012 (1) and
    `saturation_scale` multiplies it; `bend` makes the water isotherm convex (below 0) or concave;
    `cosolvency` is the relative rise of saturation a unit mass fraction of methanol.
    """

    activity: Activity
    density_15: float = 880.0  # kg/m³ at 15 °C
    expansion: float = 0.72  # kg/(m³ K)
    heat: float = 2000.0  # J/(kg K) at 25 °C
    heat_slope: float = 2.2  # J/(kg K²)
    viscosity_40: float = 0.0040  # Pa s at 40 °C
    saturation_blend: float = 0.5
    saturation_scale: float = 1.0
    bend: float = 0.0
    cosolvency: float = 0.0

    def table(self) -> Table:
        """The activity of methanol in this fuel, for look-up."""
        return table_of(self.activity)

    def heat_capacity(self, temperature: float) -> float:
        """Specific heat capacity of the esters, J/(kg K)."""
        return self.heat + self.heat_slope * (temperature - REFERENCE)

    def sensible_heat(self, temperature: float) -> float:
        """Heat (J/kg) that the esters hold above 25 °C: the integral of their heat capacity."""
        above = temperature - REFERENCE
        return above * (self.heat + 0.5 * self.heat_slope * above)

    def viscosity(self, temperature: float) -> float:
        """Dynamic viscosity, Pa s: an Arrhenius line with the slope of methyl oleate (2 300 K, memory)."""
        return self.viscosity_40 * math.exp(2300.0 * (1.0 / temperature - 1.0 / 313.15))

    def volume(self, ester: float, methanol: float, water: float, temperature: float) -> float:
        """Volume (m³) of so many kg of each, taken as additive."""
        density = self.density_15 - self.expansion * (temperature - 288.15)
        return ester / density + methanol / METHANOL_DENSITY + water / WATER_DENSITY

    def saturation(self, temperature: float, methanol: float) -> float:
        """Mass fraction of water that dissolves, beside a mass fraction of methanol."""
        return self._saturation(temperature) * (1.0 + self.cosolvency * methanol)

    def heat_of_solution(self, temperature: float) -> float:
        """Heat taken up when water dissolves, J/mol: R T² d ln w_sat / dT (van 't Hoff)."""
        value = self._saturation(temperature)
        slope = self._saturation(temperature + 0.5) - self._saturation(temperature - 0.5)  # 1/K
        return GAS_CONSTANT * temperature**2 * slope / value

    def water_activity(self, share: float) -> float:
        """Activity of dissolved water at a share of its saturation; 1 above it, where free water lies."""
        s = min(max(share, 0.0), 1.0)
        return s * (1.0 + self.bend) / (1.0 + self.bend * s)

    def share_at_activity(self, activity: float) -> float:
        """The share of saturation that has this activity (inverse of `water_activity`), 1 at most."""
        a = min(max(activity, 0.0), 1.0)
        return a / (1.0 + self.bend - self.bend * a)

    def methanol_share(self, ester: float, methanol: float) -> float:
        """Mole fraction of methanol among methanol and esters, from their masses (kg)."""
        moles = methanol / METHANOL_MASS
        return moles / (moles + ester / self.activity.ester.molar_mass())

    def _saturation(self, temperature: float) -> float:
        he, fregolente = saturation_he(temperature), saturation_fregolente(temperature)
        blended = self.saturation_scale * (he + self.saturation_blend * (fregolente - he))
        return max(blended, LEAST_SATURATION)
