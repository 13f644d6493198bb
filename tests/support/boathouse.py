"""The tank of the boathouse and its everyday readings."""

from typing import Any

from drydown.config.model import Tank
from drydown.physics.plain import FEEDSTOCKS
from drydown.settling.rest import Rest

CELSIUS = 273.15  # K

AIRY = {"volume": 60.0, "fresh_air": 30.0}
"""A room so well aired that the vapour in it is nobody's business."""


def heron(**changes: Any) -> Tank:
    """The tank `heron`, with nothing configured that need not be; `changes` replace whole tables."""
    tables: dict[str, Any] = {
        "name": "heron",
        "shape": "vertical-cylinder",
        "diameter": 0.60,
        "height": 0.90,
        "standpipe": 0.152,
        "fuel": {"feedstock": "used-cooking-oil"},
        "blower": {"rated_flow": 0.015},
        "room": {"volume": 60.0, "fresh_air": 0.5},
    }
    return Tank.model_validate(tables | changes)


def resting(drop: float = 15e-6) -> Rest:
    """What tells when its fuel has rested, by drops of so many m; of which nothing is known yet."""
    return Rest(FEEDSTOCKS["used-cooking-oil"], heron().standpipe, drop)


def at_rest(**more: Any) -> dict[str, Any]:
    """Readings (SI) of a tank at rest with fuel at 25 °C; names in `more` have __ for a slash."""
    named = {name.replace("__", "/"): value for name, value in more.items()}
    return {"fuel/temperature": 25 + CELSIUS, "fuel/level": 0.60, "blower/running": False} | named
