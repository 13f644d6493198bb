"""A tank of the boathouse with the probes that a test wants."""

from collections.abc import Mapping
from typing import Any

from drydown.config.model import Tank


def tank_with(probes: Mapping[str, Mapping[str, Any]], name: str = "heron") -> Tank:
    """The tank, with a `probes` table as it stands in the file."""
    return Tank.model_validate(
        {
            "name": name,
            "shape": "vertical-cylinder",
            "diameter": 0.60,
            "height": 0.90,
            "standpipe": 0.152,
            "fuel": {"feedstock": "used-cooking-oil"},
            "blower": {"rated_flow": 0.015},
            "room": {"volume": 60.0, "fresh_air": 0.5},
            "probes": dict(probes),
        }
    )
