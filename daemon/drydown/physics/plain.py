"""What is reckoned with where numpy is too dear as well: plain numbers, without it."""

from dataclasses import dataclass

STANDARD_GRAVITY = 9.80665  # m/s², ISO 80000-3, exact
STANDARD_TEMPERATURE = 288.15  # K, 15 °C, at which fuel volumes are stated (EN 14214, ISO 5024)
GLYCEROL_DENSITY = 1261.0  # kg/m³ at 20 °C, pure; the glycerol phase is about 1260

DENSITY_SLOPE = -0.72  # kg/(m³ K), from memory of Pratas et al., J. Chem. Eng. Data 55:3983, 2010

VISCOSITY_REFERENCE = 313.15  # K, 40 °C
VOGEL_B, VOGEL_C = 740.1, 130.46  # K; `fuel.dynamic_viscosity` says where they come from


@dataclass(frozen=True, slots=True)
class Feedstock:
    """Typical fuel made from one oil; all from memory."""

    density: float  # kg/m³ at 15 °C
    molar_mass: float  # kg/mol
    viscosity: float  # m²/s, kinematic at 40 °C


FEEDSTOCKS = {
    "used-cooking-oil": Feedstock(density=878.0, molar_mass=0.293, viscosity=4.6e-6),
    "soy": Feedstock(density=885.0, molar_mass=0.292, viscosity=4.1e-6),
    "rapeseed": Feedstock(density=883.0, molar_mass=0.297, viscosity=4.4e-6),
    "palm": Feedstock(density=874.0, molar_mass=0.285, viscosity=4.5e-6),
    "tallow": Feedstock(density=874.0, molar_mass=0.287, viscosity=4.8e-6),
    "other": Feedstock(density=880.0, molar_mass=0.292, viscosity=4.5e-6),
}
"""By the names of the configuration's `feedstock`."""
