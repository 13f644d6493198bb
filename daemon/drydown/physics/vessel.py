"""From level to volume and back for the shapes a finishing tank has, and from pressure or echo to level.

Every shape becomes one strapping table, so that all of them are read, inverted and tested alike. The table of
a cone or cylinder comes from `fluids.geometry.TANK` and is fine enough to be exact for any gauge.
"""

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, cast

import numpy as np

from drydown.physics.plain import STANDARD_GRAVITY
from drydown.physics.values import CELSIUS_ZERO, Array, Values

if TYPE_CHECKING:
    from fluids.geometry import TANK

_POINTS = 1025  # of the table of a cone or cylinder: errs by less than 1e-5 of the capacity


@dataclass(frozen=True, slots=True, eq=False)
class Vessel:
    """A tank as a strapping table: levels in m above its lowest point, and the volumes up to them in m³."""

    levels: Array
    volumes: Array

    @property
    def height(self) -> float:
        """The highest level of the table, m."""
        return float(self.levels[-1])

    @property
    def capacity(self) -> float:
        """The volume up to it, m³."""
        return float(self.volumes[-1])

    def volume(self, level: Values) -> Array:
        """Volume in m³ up to a level in m; a level outside the table counts as its nearest end."""
        return cast(Array, np.interp(level, self.levels, self.volumes))

    def level(self, volume: Values) -> Array:
        """Level in m that a volume in m³ reaches; the inverse of `volume`."""
        return cast(Array, np.interp(volume, self.volumes, self.levels))

    def surface(self, level: Values) -> Array:
        """Area of the liquid's surface at a level, m²."""
        cell = np.clip(np.searchsorted(self.levels, level, side="right"), 1, len(self.levels) - 1)
        rise = self.volumes[cell] - self.volumes[cell - 1]
        area: Array = rise / (self.levels[cell] - self.levels[cell - 1])
        return area

    def drawable(self, level: Values, standpipe: Values) -> Array:
        """Volume in m³ above the standpipe's mouth, which stands this high (m) above the lowest point."""
        above: Array = np.maximum(self.volume(level) - self.volume(standpipe), 0.0)
        return above


def vertical_cylinder(diameter: float, height: float) -> Vessel:
    """A flat-bottomed upright drum; inside measures in m."""
    return cone_bottom(diameter, height, 0.0)


def cone_bottom(diameter: float, height: float, cone_height: float) -> Vessel:
    """An upright cylinder of this height on a cone that points down; inside measures in m."""
    from fluids.geometry import TANK  # here, so that who only needs other physics does not load it

    _check_measures(diameter, height)
    return _strapped(TANK(D=diameter, L=height, horizontal=False, sideA="conical", sideA_a=cone_height))


def horizontal_cylinder(diameter: float, length: float) -> Vessel:
    """A drum lying on its side, with flat ends; inside measures in m."""
    from fluids.geometry import TANK

    _check_measures(diameter, length)
    return _strapped(TANK(D=diameter, L=length, horizontal=True))


def strapping_table(points: tuple[tuple[float, float], ...]) -> Vessel:
    """A tank of any shape, measured as (level in m, volume in m³), both rising.

    Below the first point it is taken to narrow to nothing at level 0 in a straight line.

    Raises ValueError where there are fewer than two points, a point is not finite or below zero, or a level
    or volume does not rise.
    """
    if len(points) < 2:
        raise ValueError("a strapping table needs two or more points (level, volume)")
    table = np.array(points, dtype=np.float64)
    if table.shape != (len(points), 2) or not np.isfinite(table).all() or (table < 0.0).any():
        raise ValueError("a strapping table's points are pairs of a level and a volume, none below zero")
    if not (np.diff(table, axis=0) > 0.0).all():
        raise ValueError("each level and each volume of a strapping table must be above the one before")
    if table[0, 0] > 0.0 < table[0, 1]:
        table = np.vstack([[0.0, 0.0], table])
    return _frozen(table[:, 0], table[:, 1])


@lru_cache(maxsize=64)
def of_shape(
    shape: str,
    *,
    diameter: float | None = None,
    height: float | None = None,
    cone_height: float | None = None,
    length: float | None = None,
    table: tuple[tuple[float, float], ...] | None = None,
) -> Vessel:
    """The vessel of a shape by its name in the configuration: what that shape does not need may be None.

    Raises ValueError for an unknown shape or a missing measure.
    """
    if shape == "table" and table is not None:
        return strapping_table(table)
    if shape == "vertical-cylinder" and diameter and height:
        return vertical_cylinder(diameter, height)
    if shape == "cone-bottom" and diameter and height and cone_height:
        return cone_bottom(diameter, height, cone_height)
    if shape == "horizontal-cylinder" and diameter and length:
        return horizontal_cylinder(diameter, length)
    raise ValueError(f"shape {shape!r} with these measures: allowed are {_ALLOWED}")


_ALLOWED = (
    "'vertical-cylinder' (diameter, height), 'cone-bottom' (diameter, height, cone_height), "
    "'horizontal-cylinder' (diameter, length), 'table' (table)"
)


def hydrostatic_level(pressure: Values, density: Values) -> Array:
    """Level in m above a gauge from its overpressure in Pa and the liquid's density in kg/m³: p/(ρ g)."""
    return cast(Array, pressure / (density * STANDARD_GRAVITY))


def hydrostatic_pressure(level: Values, density: Values) -> Array:
    """Overpressure in Pa below a level in m of liquid of this density in kg/m³."""
    return cast(Array, level * density * STANDARD_GRAVITY)


def speed_of_sound(temperature: Values) -> Array:
    """Speed of sound in dry air, m/s, at temperature in K: 331.3 √(T/273.15 K), any acoustics textbook.

    Vapour of methanol and water above the fuel and its temperature bend it.
    """
    speed: Array = 331.3 * np.sqrt(temperature / CELSIUS_ZERO)
    return speed


def echo_distance(flight_time: Values, temperature: Values) -> Array:
    """Distance in m to the surface from the time in s until its echo, in air of this temperature (K)."""
    return 0.5 * flight_time * speed_of_sound(temperature)


def _check_measures(*measures: float) -> None:
    if not all(0.0 < measure < np.inf for measure in measures):
        raise ValueError("a tank's measures must be above zero")


def _strapped(tank: "TANK") -> Vessel:
    turn = np.linspace(0.0, np.pi, _POINTS)  # close together at the ends, where round walls start steeply
    levels = 0.5 * tank.h_max * (1.0 - np.cos(turn))
    return _frozen(levels, np.array([tank.V_from_h(level) for level in levels.tolist()]))


def _frozen(levels: Array, volumes: Array) -> Vessel:
    levels.flags.writeable = volumes.flags.writeable = False
    return Vessel(levels, volumes)
