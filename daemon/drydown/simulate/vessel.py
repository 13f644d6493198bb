"""The inside of a simulated tank: how high a volume stands in it."""

import math
from dataclasses import dataclass
from typing import Literal

Shape = Literal["vertical-cylinder", "cone-bottom", "horizontal-cylinder"]


@dataclass(frozen=True, slots=True)
class Vessel:
    """A tank's inside, m. `height` of a cone-bottom tank is without its cone; a lying one has a length."""

    shape: Shape
    diameter: float
    height: float = 0.0
    cone_height: float = 0.0
    length: float = 0.0

    def volume(self, level: float) -> float:
        """Volume (m³) below a level (m above the lowest point)."""
        radius = self.diameter / 2.0
        area = math.pi * radius**2
        if self.shape == "vertical-cylinder":
            return area * level
        if self.shape == "cone-bottom":
            if level >= self.cone_height:
                return area * (self.cone_height / 3.0 + level - self.cone_height)
            return area * (level / self.cone_height) ** 2 * level / 3.0
        inside = min(max(level, 0.0), self.diameter)
        chord = math.sqrt(max(inside * (self.diameter - inside), 0.0))
        segment = radius**2 * math.acos(1.0 - inside / radius) - (radius - inside) * chord
        return segment * self.length

    def level(self, volume: float) -> float:
        """Level (m above the lowest point) of a volume (m³); no volume stands higher than a lying tank."""
        area = math.pi * self.diameter**2 / 4.0
        if self.shape == "vertical-cylinder":
            return volume / area
        if self.shape == "cone-bottom":
            cone = area * self.cone_height / 3.0
            if volume >= cone:
                return self.cone_height + (volume - cone) / area
            return float(self.cone_height * (max(volume, 0.0) / cone) ** (1.0 / 3.0))
        low, high = 0.0, self.diameter
        for _ in range(50):  # halves to far below a nanometre
            middle = (low + high) / 2.0
            low, high = (middle, high) if self.volume(middle) < volume else (low, middle)
        return low
