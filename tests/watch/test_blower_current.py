"""The motor's current from the kernel's files to the store, the state and `drydown check`."""

import subprocess
from pathlib import Path

import pytest

from drydown.store.read import StoreReader
from support.broker import Mosquitto, until
from support.fake_sysfs import FakeSysfs
from support.processes import DRYDOWN
from support.watched_place import place

METER = '\n[tank.probes."blower/current"]\nhwmon = "ina238"\nchannel = "curr1"\n'
PATIENCE = 120.0  # s: however busy the machine is


@pytest.mark.broker
def test_the_current_is_judged_recorded_and_shown(broker: Mosquitto, tmp_path: Path) -> None:
    with place(tmp_path, broker.port, METER) as made:
        FakeSysfs(tmp_path / "sys").add_hwmon(0, "ina238", curr1_input="2150")
        with made.command("record"), made.command("watch"):
            until(lambda: "blower/current" in made.state().get("readings", {}), PATIENCE)
            assert made.state()["readings"]["blower/current"]["value"] == 2.15
            until(lambda: recorded(made.site.store_path), PATIENCE)
            assert set(recorded(made.site.store_path)) == {2.15}
            ran = subprocess.run(
                [DRYDOWN, "check", "--config", made.config], capture_output=True, text=True, timeout=PATIENCE
            )
        (line,) = (line for line in ran.stdout.splitlines() if "blower/current" in line)
        assert "MEND" not in line
        assert "2.15 A" in line


def recorded(store: Path) -> list[object]:
    if not store.exists():
        return []
    with StoreReader(store) as reader:
        return [sample.value for sample in reader.samples("heron", 0, 1e11, ["blower/current"])]
