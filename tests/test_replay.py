"""Replay: a recorded run through the core, as lines and as a report."""

import argparse
import json
import os
import subprocess
import sys
import time
from collections import Counter
from pathlib import Path

import pytest
from rich.console import Console

from drydown import replay
from drydown.errors import UserError
from drydown.simulate.write import write_run


@pytest.fixture(scope="module")
def run(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A simulated run with probes of fuel and room."""
    folder = tmp_path_factory.mktemp("runs")
    write_run(folder, "evening", 2, "air")
    return folder / "evening.senml"


def arguments(run: Path, *, tank: str | None = None, as_json: bool = True) -> argparse.Namespace:
    return argparse.Namespace(run=run, config=run.with_suffix(".toml"), tank=tank, json=as_json, plot=None)


def test_lines_are_those_of_the_design(run: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert replay.main(arguments(run)) == 0
    lines = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert {line["kind"] for line in lines} >= {"reading", "estimate", "stage"}
    records = json.loads(run.read_text())
    readings = Counter(line["name"] for line in lines if line["kind"] == "reading")
    assert readings["fuel/temperature"] == sum(record["n"] == "fuel/temperature" for record in records)
    first = next(line for line in lines if line["kind"] == "reading" and line["name"] == "fuel/temperature")
    recorded = next(record for record in records if record["n"] == "fuel/temperature")
    assert (first["value"], first["unit"]) == (recorded["v"], "Cel")
    estimates = [line for line in lines if line["kind"] == "estimate"]
    told = {"methanol", "water", "water_floor", "emission", "methanol_done_at", "dry_at", "verdict"}
    assert told <= estimates[-1].keys()
    assert len(estimates) >= (lines[-1]["time"] - lines[0]["time"]) // 60


def test_the_same_run_gives_the_same_bytes_in_every_process(run: Path) -> None:
    def printed(seed: str) -> bytes:
        """With another seed for the order of sets, which may not show."""
        command = [sys.executable, "-m", "drydown", "replay", "--json", str(run)]
        environment = os.environ | {"PYTHONHASHSEED": seed}
        config = ["--config", str(run.with_suffix(".toml"))]
        return subprocess.run([*command, *config], env=environment, stdout=subprocess.PIPE, check=True).stdout

    assert printed("1") == printed("2") != b""


def test_the_report_reads_like_one(run: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert replay.main(arguments(run, as_json=False)) == 0
    out = capsys.readouterr().out
    assert "Run of heron" in out
    assert "What was believed (90 % range)" in out
    assert "most methanol in the room:" in out
    assert "The vent is not watched" in out
    assert "no safety system" in out
    assert max(map(len, out.splitlines())) <= Console().width


def test_a_tank_that_is_not_there_is_named(run: Path) -> None:
    with pytest.raises(UserError, match="has no tank 'plover'; it has: heron"):
        replay.main(arguments(run, tank="plover"))


def test_the_core_replays_far_faster_than_real_time(run: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A generous bound, for a busy machine; `deploy/bench` measures the real figure."""
    began = time.process_time()
    replay.main(arguments(run))
    took = time.process_time() - began
    lines = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert (lines[-1]["time"] - lines[0]["time"]) / took > 1000
