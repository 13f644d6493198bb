"""A store in which a tank like `heron` was filled, dried and drawn from, through a filter that fades."""

import json
from collections.abc import Iterator, Mapping
from pathlib import Path
from random import Random

from drydown.bus.intake import Happening, Row
from drydown.store.write import StoreWriter
from support.drawn import AREA, falling

HOUR, DAY = 3600.0, 86_400.0
OUTLET, COEFFICIENT = -0.3, 3e-4  # m, m^2.5/s
SHARES = (1.0, 0.97, 0.55, 0.5)  # of the flow, in the draws since the filter was changed
DRAWABLE = 0.060  # m³, in the end


def write_draws(path: Path, now: float) -> None:
    """Ten days up to `now` (Unix s): 22 hours of bubbling, a new filter, four draws of 20 cm each."""
    writer = StoreWriter(path)
    begun = now - 10 * DAY
    stages = {0.0: "settling", HOUR: "bubbling", 23 * HOUR: "resting", 2 * DAY: "ready"}
    for after, stage in stages.items():
        _tell(writer, begun + after, {"kind": "stage", "stage": stage, "by": "drydown"})
    entry = {
        "kind": "command",
        "command": "entry",
        "entry": "upkeep",
        "values": {"part": "filter"},
        "who": "Wren",
    }
    _tell(writer, begun + 2 * DAY, entry)
    rows = [_row(begun + 23 * HOUR, "blower/run_time", "s", 22 * HOUR)]
    rows += [
        _row(begun + 3 * DAY, "fuel/temperature", "Cel", 15.0),
        _row(now - 60, "fuel/drawable", "m3", DRAWABLE),
    ]
    for day, share in enumerate(SHARES, 3):
        rows += _drawn(writer, begun + day * DAY, COEFFICIENT * share)
    writer.add_rows("heron", rows)
    writer.commit({})
    writer.close()


def _drawn(writer: StoreWriter, start: float, coefficient: float) -> Iterator[Row]:
    after = 0.0
    for after, level in falling(0.7, 0.5, OUTLET, coefficient, 0.001, Random(f"drawn {start}")):
        yield _row(start + after, "fuel/level", "m", level)
    volume = {"median": 0.2 * AREA, "low": 0.19 * AREA, "high": 0.21 * AREA}
    drawn = {"kind": "level", "level": "draw", "start": start, "volume": volume, "by": "Wren"}
    _tell(writer, start + after, drawn)


def _tell(writer: StoreWriter, time: float, body: Mapping[str, object]) -> None:
    kind, milliseconds = str(body["kind"]), round(time * 1000)
    told = json.dumps({"time": time, **body})
    writer.add_event("heron", Happening(0, 0, kind, milliseconds, f"{kind}/{milliseconds}", told))


def _row(time: float, name: str, unit: str | None, value: float) -> Row:
    return name, unit, "number", round(time * 1000), value, None
