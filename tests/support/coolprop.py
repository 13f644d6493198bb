"""CoolProp's two functions, loaded at the first call: loading takes two seconds, which few workers need."""

from typing import Any


def props_si(*asked: Any) -> Any:
    """Properties of fluids in SI units: `CoolProp.CoolProp.PropsSI`."""
    from CoolProp.CoolProp import PropsSI

    return PropsSI(*asked)


def humid_air_si(*asked: Any) -> Any:
    """Properties of humid air in SI units: `CoolProp.CoolProp.HAPropsSI`."""
    from CoolProp.CoolProp import HAPropsSI

    return HAPropsSI(*asked)
