"""The quantities drydown reads and derives: their names, their SenML units, and how to get to SI and back.

Units are symbols of the SenML registry (RFC 8428 section 12.1). A quantity that the registry has no unit for
is sent without one.
"""

from dataclasses import dataclass

ZERO_CELSIUS = 273.15  # K, exact by definition of the Celsius scale (SI Brochure, 9th edition)


@dataclass(frozen=True, slots=True)
class Quantity:
    """One named quantity. SI value = sent value × `scale` + `offset`; booleans have no scale."""

    name: str
    unit: str | None
    scale: float = 1.0
    offset: float = 0.0
    is_boolean: bool = False

    def to_si(self, sent: float) -> float:
        """From the unit on the wire to SI."""
        return sent * self.scale + self.offset

    def from_si(self, value: float) -> float:
        """From SI to the unit on the wire."""
        return (value - self.offset) / self.scale


def _celsius(name: str) -> Quantity:
    return Quantity(name, "Cel", offset=ZERO_CELSIUS)


MEASURED = {
    q.name: q
    for q in (
        _celsius("fuel/temperature"),
        Quantity("fuel/level", "m"),
        Quantity("blower/running", None, is_boolean=True),
        _celsius("blower/discharge_temperature"),
        _celsius("blower/motor_temperature"),
        Quantity("blower/current", "A"),
        _celsius("air/temperature"),
        Quantity("air/humidity", "%RH", scale=0.01),
        Quantity("vent/open", None, is_boolean=True),
        Quantity("vent/flow", "m3/s"),
        Quantity("vapour/methanol", "/"),
    )
}
"""What a probe can read."""

REQUIRED = ("fuel/temperature", "fuel/level", "blower/running")
"""What a tank cannot be watched without."""


def _ranged(name: str, unit: str) -> tuple[Quantity, ...]:
    return tuple(Quantity(name + end, unit) for end in ("", "/low", "/high"))


DERIVED = {
    q.name: q
    for q in (
        Quantity("fuel/volume", "m3"),
        Quantity("fuel/drawable", "m3"),
        Quantity("blower/run_time", "s"),
        *_ranged("blower/flow_share", "/"),  # of its usual air, while it bubbles
        *_ranged("room/methanol", "/"),
        *_ranged("room/fresh_air", "m3/s"),
        *_ranged("room/fresh_air_needed", "m3/s"),  # to stay below the exposure limit
        *_ranged("room/fresh_air_needed_against_fire", "m3/s"),  # to stay below 25 % of the flammable limit
        *_ranged("room/enter_after", "s"),  # from the blower's stop, until the short-term limit
        *_ranged("room/clears_after", "s"),  # of bubbling, until the exposure limit
        *_ranged("vapour/off_gas", "/"),  # of the lower flammable limit, as it leaves the fuel
        *_ranged("vapour/left", "kg"),  # methanol that is still in the fuel
    )
}
"""What the core works out and publishes beside the readings; /low and /high are the 5 % and 95 % points.

At rest what has to do with emission says what would be if the blower started now.
"""
