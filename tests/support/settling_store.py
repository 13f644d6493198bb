"""A store in which one tank like `heron` was filled and settles, one rests after bubbling, one has rested."""

import json
from collections.abc import Mapping
from pathlib import Path

from drydown.bus.intake import Happening, Row
from drydown.store.write import StoreWriter

HOUR = 3600.0
LEVEL, CELSIUS = 0.60, 25.0
FILLED, STOPPED = 5 * HOUR, 20 * HOUR  # before now


def write_settling(path: Path, now: float) -> None:
    """Up to `now` (Unix s): `heron` filled until 5 h before, `plover` with its blower off for 20 h.

    That one was drained three times since. `teal` is like it, has rested, and has one test.
    """
    writer = StoreWriter(path)
    volume = {"median": 0.1, "low": 0.09, "high": 0.11}
    begun, filled = now - FILLED - HOUR, now - FILLED
    tell(writer, "heron", begun, {"kind": "stage", "stage": "settling", "by": "drydown"})
    filling = {"kind": "level", "level": "filling", "start": begun, "volume": volume, "by": ""}
    tell(writer, "heron", filled, filling)
    stages = {30: "settling", 25: "bubbling", 20: "paused", 19: "resting"}
    for hours, stage in stages.items():
        for tank in ("plover", "teal"):
            tell(writer, tank, now - hours * HOUR, {"kind": "stage", "stage": stage, "by": "drydown"})
    tell(writer, "teal", now - HOUR, {"kind": "stage", "stage": "ready", "by": "drydown"})
    looked = {"entry": "appearance-test", "values": {"result": "bright"}, "who": "Wren"}
    tell(writer, "teal", now - HOUR / 2, {"kind": "command", "command": "entry", **looked})
    for tank, hours in (("heron", 6), ("plover", 30), ("teal", 30)):
        rows: list[Row] = []
        for minute in range(0, hours * 60 + 1, 2):
            time = round((now - hours * HOUR + minute * 60.0) * 1000)
            rows.append(("fuel/temperature", "Cel", "number", time, CELSIUS, None))
            rows.append(("fuel/level", "m", "number", time, LEVEL, None))
        writer.add_rows(tank, rows)
    for hours, seen in {12: "dark", 6: "milky", 3: "clear"}.items():
        entry = {"entry": "drained", "values": {"seen": seen}, "who": "Wren"}
        tell(writer, "plover", now - hours * HOUR, {"kind": "command", "command": "entry", **entry})
    writer.commit({})
    writer.close()


def tell(writer: StoreWriter, tank: str, time: float, body: Mapping[str, object]) -> None:
    """Something that happened to a tank."""
    kind, milliseconds = str(body["kind"]), round(time * 1000)
    told = json.dumps({"time": time, **body})
    writer.add_event(tank, Happening(0, 0, kind, milliseconds, f"{tank}/{kind}/{milliseconds}", told))
