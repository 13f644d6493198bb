"""faults.md: what can be wrong with a reading, how it is noticed, how soon, and what the user is told."""

from drydown.condition import table
from drydown.condition.words import said
from drydown.guide import markdown
from drydown.quantities import MEASURED

A_QUANTITY = {quantity.unit: name for name, quantity in reversed(MEASURED.items())}


def page() -> str:
    """The whole page."""
    return markdown.page(
        "When a reading can't be trusted",
        "## What each sensor can read",
        markdown.table(("sensor", "range", "source"), map(_sensor, (table.DS18B20, *table.SENSORS.values()))),
    )


def _sensor(sensor: table.Sensor) -> tuple[str, str, str]:
    ranges = (
        f"{said(A_QUANTITY[unit], bounds.low)} to {said(A_QUANTITY[unit], bounds.high)}"
        for unit, bounds in sensor.ranges.items()
    )
    return sensor.title, ", ".join(ranges), sensor.source
