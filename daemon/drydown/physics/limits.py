"""What finished fuel has to meet: the limits of EN 14214 and ASTM D6751 for what drydown deals with.

Limits differ by edition and country: these are the ones that configuration starts from, not a substitute for
the standard in force.
"""

from dataclasses import dataclass

CELSIUS_ZERO = 273.15  # K; here, so that pages that hold tests against limits do without numpy


@dataclass(frozen=True, slots=True)
class Limit:
    """One property's allowed range in `unit`; None where a side is open."""

    unit: str
    low: float | None = None
    high: float | None = None

    def allows(self, value: float) -> bool:
        """Whether a value in the limit's unit lies within it; the bounds themselves are allowed."""
        return (self.low is None or value >= self.low) and (self.high is None or value <= self.high)


EN_14214 = {
    "methanol": Limit("kg/kg", high=0.0020),
    "flash point": Limit("K", low=CELSIUS_ZERO + 101.0),
    "water": Limit("kg/kg", high=500e-6),
    "density at 15 °C": Limit("kg/m³", low=860.0, high=900.0),
    "kinematic viscosity at 40 °C": Limit("m²/s", low=3.5e-6, high=5.0e-6),
    "free glycerol": Limit("kg/kg", high=0.0002),
    "total glycerol": Limit("kg/kg", high=0.0025),
    "acid value": Limit("kg KOH/kg", high=0.50e-3),
    "sodium and potassium": Limit("kg/kg", high=5e-6),
}
"""EN 14214:2012+A1:2014, as in a fuel trader's published product specification (total glycerol from the DIN
edition of 2003, as published by a biodiesel works)."""

ASTM_D6751 = {
    "methanol": Limit("kg/kg", high=0.0020),
    "flash point": Limit("K", low=CELSIUS_ZERO + 93.0),
    "water and sediment": Limit("m³/m³", high=0.00050),
    "kinematic viscosity at 40 °C": Limit("m²/s", low=1.9e-6, high=6.0e-6),
    "free glycerol": Limit("kg/kg", high=0.00020),
    "total glycerol": Limit("kg/kg", high=0.00240),
    "acid value": Limit("kg KOH/kg", high=0.50e-3),
    "sodium and potassium": Limit("kg/kg", high=5e-6),
}
"""ASTM D6751-09, as summarised by the United States' trade association for biodiesel."""

ASTM_FLASH_POINT_INSTEAD_OF_METHANOL = Limit("K", low=CELSIUS_ZERO + 130.0)
"""ASTM D6751-09: fuel that meets this needs no measurement of methanol."""
