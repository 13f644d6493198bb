"""At what temperature a blend of own fuel and diesel clouds, and what it gives of energy.

Below its cloud point wax crystals form in a fuel, which a filter catches until it is blocked.
"""

from drydown.estimate.result import Spread
from drydown.quantities import ZERO_CELSIUS as ZERO

CLOUD_POINTS = {
    "soy": Spread(ZERO + 0.0, ZERO - 2.0, ZERO + 3.0),
    "rapeseed": Spread(ZERO - 4.0, ZERO - 6.0, ZERO - 3.0),
    "used-cooking-oil": Spread(ZERO + 6.0, ZERO + 0.0, ZERO + 15.0),
    "palm": Spread(ZERO + 15.0, ZERO + 13.0, ZERO + 16.0),
    "tallow": Spread(ZERO + 14.0, ZERO + 12.0, ZERO + 19.0),
    "other": Spread(ZERO + 6.0, ZERO - 6.0, ZERO + 19.0),
}
"""Methyl esters by the names of the configuration's `feedstock`, K; from memory."""

MEASURED_ERROR = 2.0  # K: reproducibility of two laboratories, ASTM D2500 and ISO 3015; from memory about 4 K
RULE_ERROR = 2.0  # K by which Kay's rule may be too low for a blend; judgement, no source

TRACE = 0.001  # volume fraction; less own fuel than this changes nothing that a filter notices

ENERGY_LOST = Spread(0.085, 0.08, 0.09)
"""Share of diesel's energy that a litre of methyl esters lacks; from memory."""


def measured(cloud_point: float) -> Spread:
    """A cloud point that somebody measured, K, with its range."""
    return Spread(cloud_point, cloud_point - MEASURED_ERROR, cloud_point + MEASURED_ERROR)


def kay(share: float, own: float, diesel: float) -> float:
    """Cloud point of a blend in K: Kay's rule, in proportion to volume.

    `share` is the volume fraction of own fuel, the cloud points of the pure fuels are in K. A usable first
    estimate: Benjumea, Agudelo & Agudelo, Fuel 87:2069, 2008.
    """
    return share * own + (1.0 - share) * diesel


def blend_cloud_point(share: float, own: Spread, diesel: Spread) -> Spread:
    """Kay's rule with its range, K; as soon as own fuel is in it, the rule's own error comes to that."""
    error = RULE_ERROR if share > TRACE else 0.0
    return Spread(
        kay(share, own.median, diesel.median),
        kay(share, own.low, diesel.low) - error,
        kay(share, own.high, diesel.high) + error,
    )


def largest_share(coldest: float, own: Spread, diesel: Spread) -> float | None:
    """Volume fraction of own fuel up to which no plausible blend clouds above `coldest` (K).

    None where even diesel alone may cloud above it.
    """
    if diesel.high > coldest:
        return None
    to_spare = coldest - RULE_ERROR - diesel.high
    if to_spare < 0.0:
        return 0.0
    rise = own.high - diesel.high
    return 1.0 if rise <= to_spare else to_spare / rise


def energy(share: float) -> Spread:
    """Energy of a litre of the blend as a share of that of a litre of diesel."""
    return Spread(
        1.0 - ENERGY_LOST.median * share, 1.0 - ENERGY_LOST.high * share, 1.0 - ENERGY_LOST.low * share
    )
