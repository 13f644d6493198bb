"""Writes simulated runs as files: readings (.senml), the tank (.toml) and the truth (.truth.csv)."""

import json
from collections.abc import Iterator
from pathlib import Path

from drydown.quantities import MEASURED, ZERO_CELSIUS
from drydown.simulate.draw import KITS, draw
from drydown.simulate.scene import Moment, play

SAMPLING = 10.0  # s
FIRST_DAY = 1789200000.0  # Unix s; each seed has a day of its own
TRUTH_EVERY = 60.0  # s
DIGITS = {"Cel": 4, "m": 4, "%RH": 1}
COLUMNS = "time,methanol,water,fuel_temperature_c,emission_kg_s,offgas_mole_fraction,water_equilibrium"

TANK_FILE = """\
site = "boathouse"

[tank]
name = "heron"
shape = "{shape}"
diameter = {diameter}          # m, inside
height = {height}            # m
standpipe = 0.152         # m above the bottom
material = "steel"

[fuel]
feedstock = "used-cooking-oil"

[blower]
rated_flow = {rated_flow:.4f}       # m3/s of air through the fuel, as its maker's curve says: rarely true

[room]
volume = 60.0             # m3
fresh_air = 0.5           # m3/s with the door open
"""


def write_run(folder: Path, name: str, seed: int, kit: str) -> None:
    """Draw the run of a seed with the probes of a kit, and write its three files into a folder."""
    scenario, rated_flow = draw(seed, kit)
    start = FIRST_DAY + 86400.0 * seed
    records: list[str] = []
    rows = [COLUMNS]
    for moment in play(scenario, seed, SAMPLING):
        records += [json.dumps(record, separators=(",", ":")) for record in senml(moment, start)]
        if moment.elapsed % TRUTH_EVERY == 0.0:
            rows.append(_row(moment, start))
    vessel = scenario.tank.vessel
    tank_file = TANK_FILE.format(
        shape=vessel.shape, diameter=vessel.diameter, height=vessel.height, rated_flow=rated_flow
    )
    folder.joinpath(f"{name}.senml").write_text("[\n" + ",\n".join(records) + "\n]\n", encoding="utf-8")
    folder.joinpath(f"{name}.truth.csv").write_text("\n".join(rows) + "\n", encoding="utf-8")
    folder.joinpath(f"{name}.toml").write_text(tank_file, encoding="utf-8")


def write_runs(folder: Path, seeds: range) -> Iterator[str]:
    """Write the run of every seed, with each kit in turn; yields each name once it is written."""
    folder.mkdir(parents=True, exist_ok=True)
    kits = tuple(KITS)
    for seed in seeds:
        name = f"run-{seed:04d}"
        write_run(folder, name, seed, kits[seed % len(kits)])
        yield name


def senml(moment: Moment, start: float) -> Iterator[dict[str, object]]:
    """The readings of a moment as SenML records (RFC 8428); base values stand on the first."""
    base: dict[str, object] = {"bt": start + moment.elapsed}
    if moment.elapsed == 0.0:
        base = {"bn": "boathouse/heron/", **base}
    for name, value in moment.readings.items():
        quantity = MEASURED[name]
        if quantity.is_boolean:
            yield {**base, "n": name, "vb": value}
        else:
            sent = round(quantity.from_si(value), DIGITS.get(quantity.unit or "", 6))
            yield {**base, "n": name, "u": quantity.unit, "v": sent}
        base = {}


def _row(moment: Moment, start: float) -> str:
    t = moment.truth
    return (
        f"{start + moment.elapsed},{t.methanol:.6g},{t.water:.6g},{t.fuel_temperature - ZERO_CELSIUS:.3f},"
        f"{t.emission:.5g},{t.offgas_mole_fraction:.5g},{t.water_equilibrium:.6g}"
    )
