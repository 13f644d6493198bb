"""Values as a person reads them."""

from drydown.quantities import MEASURED

UNITS = {"Cel": "°C", "m3/s": "m³/s", "/": ""}


def said(name: str, value: float | bool) -> str:
    """A value (SI units) of a measured quantity, in the unit on the wire: "33.5 °C", "yes"."""
    quantity = MEASURED[name]
    if quantity.is_boolean:
        return "yes" if value else "no"
    unit = quantity.unit or ""
    return f"{quantity.from_si(value):.4g} {UNITS.get(unit, unit)}".rstrip()
