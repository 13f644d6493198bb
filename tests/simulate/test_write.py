"""Simulated runs on file: SenML, the tank's configuration and the truth."""

import csv
import json
import subprocess
import sys
import tomllib
from itertools import pairwise
from pathlib import Path

import pytest

from drydown.simulate.draw import KITS
from drydown.simulate.write import write_run

COLUMNS = [
    "time",
    "methanol",
    "water",
    "fuel_temperature_c",
    "emission_kg_s",
    "offgas_mole_fraction",
    "water_equilibrium",
]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("runs")
    for kit in KITS:
        write_run(made, kit, seed=3, kit=kit)
    return made


@pytest.mark.parametrize("kit", KITS)
def test_readings_are_senml(folder: Path, kit: str) -> None:
    """RFC 8428: base name and base time hold until the next; one value a record; its own unit symbols."""
    records = json.loads(folder.joinpath(f"{kit}.senml").read_text())
    assert records[0]["bn"] == "boathouse/heron/"
    units = {"fuel/temperature": "Cel", "fuel/level": "m", "air/temperature": "Cel", "air/humidity": "%RH"}
    units["blower/discharge_temperature"] = "Cel"
    for record in records:
        assert ("v" in record) != ("vb" in record)
        assert record.get("u") == units.get(record["n"])
    names = [record["n"] for record in records]
    assert names[: len(KITS[kit])] == list(KITS[kit])
    times = [record["bt"] for record in records if "bt" in record]
    assert len(times) * len(KITS[kit]) == len(records)
    assert {later - earlier for earlier, later in pairwise(times)} == {10.0}


def test_truth_is_told_every_minute_of_the_same_run(folder: Path) -> None:
    records = json.loads(folder.joinpath("air.senml").read_text())
    with folder.joinpath("air.truth.csv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    assert list(rows[0]) == COLUMNS
    times = [float(row["time"]) for row in rows]
    assert times[0] == records[0]["bt"]
    assert {later - earlier for earlier, later in pairwise(times)} == {60.0}
    assert float(rows[-1]["methanol"]) < float(rows[0]["methanol"])
    shown = [r["v"] for r in records if r["n"] == "fuel/temperature"][::6]
    differences = [abs(v - float(row["fuel_temperature_c"])) for v, row in zip(shown, rows, strict=True)]
    assert max(differences) < 4.0


def test_truth_does_not_depend_on_the_kit(folder: Path) -> None:
    truths = {folder.joinpath(f"{kit}.truth.csv").read_text() for kit in KITS}
    assert len(truths) == 1


def test_configuration_describes_the_tank(folder: Path) -> None:
    told = tomllib.loads(folder.joinpath("basic.toml").read_text())
    assert told["tank"]["shape"] == "vertical-cylinder"
    assert 0.45 < told["tank"]["diameter"] < 0.72
    assert 0.010 <= told["blower"]["rated_flow"] <= 0.028


def test_command_writes_the_same_bytes_every_time(tmp_path: Path, folder: Path) -> None:
    command = [sys.executable, "-m", "drydown.simulate", str(tmp_path), "--runs", "1", "--first-seed", "3"]
    subprocess.run(command, check=True, capture_output=True)
    assert sorted(path.name for path in tmp_path.iterdir()) == [
        "run-0003.senml",
        "run-0003.toml",
        "run-0003.truth.csv",
    ]
    kit = list(KITS)[3 % len(KITS)]
    for kind in ("senml", "toml", "truth.csv"):
        assert (
            tmp_path.joinpath(f"run-0003.{kind}").read_bytes()
            == folder.joinpath(f"{kit}.{kind}").read_bytes()
        )
