"""Values as a person reads them."""

from drydown.quantities import MEASURED

UNITS = {"Cel": "°C", "%RH": "%", "m3/s": "m³/s"}


def said(name: str, value: float | bool) -> str:
    """A value (SI units) of a measured quantity, as a person reads it: "33.5 °C", "300 ppm", "yes"."""
    quantity = MEASURED[name]
    if quantity.is_boolean:
        return "yes" if value else "no"
    unit = quantity.unit or ""
    if unit == "/":
        return f"{value * 1e6:.4g} ppm"
    return f"{quantity.from_si(value):.4g} {UNITS.get(unit, unit)}".rstrip()


def said_difference(kelvin: float) -> str:
    """A difference of two temperatures, as a person reads it: "2.1 K"."""
    return f"{kelvin:.1f} K"
