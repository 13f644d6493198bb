"""The udev rule that lets drydown convert on all 1-Wire probes at once does to a bus what it says."""

import os
import re
import shlex
import subprocess
from pathlib import Path

import pytest

from support.fake_sysfs import FakeSysfs
from support.live_w1 import LiveBus

RULES = Path(__file__).parents[2] / "deploy/udev/60-drydown-w1.rules"
SERIAL = "28-0000071c2a3b"


def rule() -> str:
    """The one line that is no comment."""
    (line,) = [line for line in RULES.read_text().splitlines() if line and not line.startswith("#")]
    return line


def command(sysfs: Path, device: str) -> list[str]:
    """What udev would run, with its substitutions (systemd, man udev) and this user's own group."""
    found = re.search(r'RUN\+="(.*)"$', rule())
    assert found
    text = found[1].replace("%S", str(sysfs)).replace("%p", device).replace("$$", "$")
    assert text.count("chgrp drydown ") == 1
    return shlex.split(text.replace("chgrp drydown ", f"chgrp {os.getgid()} "))


@pytest.mark.parametrize("bulk", [True, False])
def test_it_opens_two_files_to_the_group_and_no_other(tmp_path: Path, bulk: bool) -> None:
    sysfs = FakeSysfs(tmp_path)
    with LiveBus(sysfs, bulk=bulk) as bus:
        folder = bus.add(SERIAL).folder
        files = [file for file in [*folder.iterdir(), *folder.parent.iterdir()] if not file.is_dir()]
        for file in files:
            file.chmod(0o644)
        subprocess.run(command(tmp_path, f"/devices/w1_bus_master1/{SERIAL}"), check=True, timeout=10)
        opened = {file.name for file in files if file.stat().st_mode & 0o020}
    assert opened == {"resolution", *(["therm_bulk_read"] if bulk else [])}
    assert not any(file.stat().st_mode & 0o002 for file in files)


def test_it_is_for_thermometers_that_come() -> None:
    # Linux drivers/w1/w1.c: the bus type is "w1", a slave is named FAMILY-NUMBER and announced by "add"
    assert rule().startswith('SUBSYSTEM=="w1", KERNEL=="28-*", ACTION!="remove", ')
