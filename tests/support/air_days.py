"""A store in which the air of some days was recorded: cool and damp at night, warm and dry by day."""

import math
from pathlib import Path

from drydown.bus.intake import Row
from drydown.store.write import StoreWriter

HOUR, DAY = 3600.0, 86_400.0
STEP = 900.0  # s between two readings


def write_air(path: Path, now: float, days: float) -> None:
    """So many days of air up to `now` (Unix s), a reading every quarter of an hour; warmest at 14:00 UTC."""
    writer = StoreWriter(path)
    rows: list[Row] = []
    for k in range(round(days * DAY / STEP)):
        time = now - k * STEP
        wave = math.cos(2 * math.pi * (time % DAY - 14 * HOUR) / DAY)
        rows.append(("air/temperature", "Cel", "number", round(time * 1000), 14.0 + 5.0 * wave, None))
        rows.append(("air/humidity", "%RH", "number", round(time * 1000), 65.0 - 25.0 * wave, None))
    writer.add_rows("heron", rows)
    writer.commit({})
    writer.close()
