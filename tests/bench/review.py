"""A run of four hours to look back on: twelve series once a second in the store, and its estimates."""

import math
import random
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

from bench.boathouse import Boathouse
from drydown.bus.intake import Happening, Row
from drydown.quantities import DERIVED, MEASURED
from drydown.store.write import StoreWriter
from support.broker import free_port

HOURS = 4
SECONDS = HOURS * 3600
START = 1_767_268_800  # Unix s
TANK = "heron"

READ = {
    "fuel/temperature": (22.0, 0.0625),
    "air/temperature": (14.0, 0.01),
    "air/humidity": (55.0, 0.01),
    "blower/discharge_temperature": (31.0, 0.0625),
    "blower/motor_temperature": (38.0, 0.0625),
    "fuel/level": (0.62, 0.0005),
    "fuel/volume": (0.18, 0.00015),
    "fuel/drawable": (0.15, 0.00015),
    "vapour/methanol": (0.0002, 1e-6),
    "room/fresh_air": (0.9, 0.001),
    "room/fresh_air_needed": (0.4, 0.001),
    "vapour/left": (3.0, 0.0005),
}
"""Twelve series: where each begins, and its last digit."""


def reviewed(folder: Path) -> Boathouse:
    """A boathouse of its own, whose store holds the run; what the probes say wanders from digit to digit."""
    folder.mkdir()
    boathouse = Boathouse(folder, free_port(), free_port())
    path = boathouse.site.store_path
    path.parent.mkdir(parents=True, exist_ok=True)
    chance = random.Random(7)
    with closing(StoreWriter(path)) as store:
        for name, (value, digit) in READ.items():
            refused = store.add_rows(TANK, list(_wandering(name, value, digit, chance)))
            assert not refused, refused
        store.add_rows(TANK, list(_running()))
        store.add_rows(TANK, list(_believed()))
        for at, stage in ((0, "settling"), (600, "bubbling"), (SECONDS - 600, "resting")):
            body = f'{{"kind": "stage", "time": {START + at}, "stage": "{stage}", "by": "drydown"}}'
            store.add_event(TANK, Happening(1, 1, "stage", (START + at) * 1000, f"stage-{at}", body))
        store.commit({})
    return boathouse


def _wandering(name: str, value: float, digit: float, chance: random.Random) -> Iterator[Row]:
    quantity = MEASURED.get(name) or DERIVED[name]
    for second in range(SECONDS):
        value += digit * chance.choice((-1, 0, 0, 1))
        sent = round(value / digit) * digit
        yield (name, quantity.unit, "number", (START + second) * 1000, float(f"{sent:.9g}"), None)


def _running() -> Iterator[Row]:
    for second in range(SECONDS):
        on = 600 <= second < SECONDS - 600
        yield ("blower/running", None, "boolean", (START + second) * 1000, on, None)


def _believed() -> Iterator[Row]:
    for second in range(660, SECONDS - 600, 60):
        share = second / SECONDS
        middles = {
            "methanol": 0.03 * math.exp(-7 * share),
            "water": 0.0014 * math.exp(-1.2 * share),
            "water_floor": 0.0003,
            "emission": 2e-4 * math.exp(-7 * share),
            "methanol_done_at": START + SECONDS * (0.4 + 0.05 * share),
            "dry_at": START + SECONDS * (0.8 + 0.05 * share),
        }
        time = (START + second) * 1000
        for name, middle in middles.items():
            wide = 600 if name.endswith("_at") else middle * 0.2
            for end, value in (("", middle), ("/low", middle - wide), ("/high", middle + wide)):
                yield (f"estimate/{name}{end}", None, "number", time, value, None)
        yield ("estimate/run_time", "s", "number", time, second - 600.0, None)
        yield ("estimate/methanol_done", None, "boolean", time, share > 0.42, None)
        yield ("estimate/verdict", None, "text", time, None, "drying" if share < 0.85 else "dry")
