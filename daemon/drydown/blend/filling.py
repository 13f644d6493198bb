"""How many litres of what go into a vehicle's tank, so that the blend does not cloud in the coming cold.

Own fuel is kept so little that filling the tank's last room with diesel is enough if it turns colder yet.
"""

from dataclasses import dataclass

from drydown.blend.cloud import blend_cloud_point, energy, largest_share
from drydown.estimate.result import Spread

ROUNDING = 1e-9


@dataclass(frozen=True, slots=True)
class VehicleTank:
    """What is in it now: volumes in m³, `share` of own fuel as a volume fraction."""

    size: float
    holds: float
    share: float

    @property
    def own(self) -> float:
        """Own fuel in it, m³."""
        return self.holds * self.share


@dataclass(frozen=True, slots=True)
class Weather:
    """The coldest that is foretold (K), how far to stay above it, and how much colder it may yet turn (K)."""

    low: float
    margin: float
    colder: float


@dataclass(frozen=True, slots=True)
class Filling:
    """What to do, in this order: take out, then add diesel and own fuel (m³). Then it holds `after`."""

    take_out: float
    diesel: float
    own: float
    after: VehicleTank
    cloud_point: Spread  # K
    energy: Spread  # of a litre, as a share of diesel's
    is_safe: bool  # no plausible blend clouds in the foretold cold, margin and all
    bears: float  # K: no plausible blend clouds above it once the room that is left is filled with diesel


def cloud_point_now(tank: VehicleTank, own: Spread, diesel: Spread) -> Spread:
    """Of what is in the tank, K."""
    return blend_cloud_point(tank.share, own, diesel)


def fill(tank: VehicleTank, up_to: float, weather: Weather, own: Spread, diesel: Spread) -> Filling | None:
    """As much own fuel as the cold allows, the rest diesel, up to a volume in m³.

    None where diesel itself may cloud: no mixing of the two helps.
    """
    coldest = weather.low - weather.margin
    most = largest_share(coldest, own, diesel)
    if most is None:
        return None
    if tank.own > 0.0 and tank.share > most + ROUNDING:
        return _thinned(tank, up_to, most, coldest, own, diesel)
    if_colder = largest_share(coldest - weather.colder, own, diesel) or 0.0
    room = max(0.0, min(up_to, tank.size) - tank.holds)
    allowed = min(most * (tank.holds + room), if_colder * tank.size) - tank.own
    own_in = min(room, max(0.0, allowed))
    return _told(tank, 0.0, room - own_in, own_in, coldest, own, diesel)


def _thinned(
    tank: VehicleTank, up_to: float, most: float, coldest: float, own: Spread, diesel: Spread
) -> Filling:
    """Too much own fuel in it for this cold: diesel goes in, after taking out what there is no room for."""
    kept = min(tank.holds, most * tank.size / tank.share)
    enough = kept * tank.share / most if most > 0.0 else tank.size
    whole = min(tank.size, max(enough, up_to))
    return _told(tank, tank.holds - kept, whole - kept, 0.0, coldest, own, diesel)


def _told(
    tank: VehicleTank,
    out: float,
    diesel_in: float,
    own_in: float,
    coldest: float,
    own: Spread,
    diesel: Spread,
) -> Filling:
    holds = tank.holds - out + diesel_in + own_in
    share = ((tank.holds - out) * tank.share + own_in) / holds if holds > 0.0 else 0.0
    after = VehicleTank(tank.size, holds, share)
    cloud = blend_cloud_point(share, own, diesel)
    bears = blend_cloud_point(after.own / tank.size, own, diesel).high
    return Filling(out, diesel_in, own_in, after, cloud, energy(share), cloud.high <= coldest + 1e-6, bears)
