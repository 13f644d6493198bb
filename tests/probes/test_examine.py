"""What `drydown check` can say of each probe."""

import time
from pathlib import Path

from drydown.condition.judge import new_state
from drydown.probes.examine import Finding, examine
from drydown.probes.find import Attachments, find_probes
from support.fake_sysfs import FakeSysfs
from support.probed_tank import tank_with

FUEL, DISCHARGE, MOTOR = "28-0000071c2a3b", "28-0000071c2a4c", "28-0000071c2a5d"


def findings(sysfs: FakeSysfs) -> dict[str, Finding]:
    tank = tank_with(
        {
            "fuel/temperature": {"w1": FUEL},
            "blower/discharge_temperature": {"w1": DISCHARGE},
            "blower/motor_temperature": {"w1": MOTOR},
            "air/humidity": {"hwmon": "sht3x", "channel": "humidity1"},
        }
    )
    probes = find_probes(tank, Attachments("boathouse", sysfs=sysfs.root))
    found = examine(probes, new_state(tank.probes), time.monotonic, patience=0.5)
    assert [finding.name for finding in found] == list(tank.probes)
    return {finding.name: finding for finding in found}


def test_each_probe_is_told_of(tmp_path: Path) -> None:
    sysfs = FakeSysfs(tmp_path)
    sysfs.add_thermometer(FUEL, 33.5)
    sysfs.add_thermometer(DISCHARGE).hang()
    sysfs.add_hwmon(0, "sht3x", humidity1_input="103000")
    found = findings(sysfs)

    fuel = found["fuel/temperature"]
    assert (fuel.works, fuel.what, fuel.says) == (True, f"DS18B20 {FUEL}", "33.5 °C")

    hangs = found["blower/discharge_temperature"]
    assert not hangs.works
    assert f"DS18B20 {DISCHARGE} has not answered" in hangs.says

    missing = found["blower/motor_temperature"]
    assert not missing.works
    assert f"{MOTOR} is not on the 1-Wire bus (there: {FUEL}, {DISCHARGE})" in missing.says

    humid = found["air/humidity"]
    assert humid.works
    assert humid.says.startswith("103 %RH, 103 %RH is outside what a SHT3x can read")
