"""The services' units, held against systemd's own two programs; no running systemd is needed for them."""

import re
import shutil
import subprocess
from pathlib import Path

import pytest

UNITS = sorted((Path(__file__).parents[2] / "deploy" / "units").glob("*.service"))
MOST_EXPOSED = 2.0  # of 10, by systemd-analyze(1)
ANALYZE = shutil.which("systemd-analyze")

needs_systemd = pytest.mark.skipif(ANALYZE is None, reason="systemd-analyze (Debian: systemd) is not here")


def analyze(*words: str) -> subprocess.CompletedProcess[str]:
    assert ANALYZE is not None
    return subprocess.run([ANALYZE, *words], capture_output=True, text=True, timeout=60, check=False)


def test_there_is_a_unit_for_each_service() -> None:
    services = ("forward", "record", "serve", "watch")
    assert [unit.stem for unit in UNITS] == [f"drydown-{name}" for name in services]


@needs_systemd
@pytest.mark.parametrize("unit", UNITS, ids=lambda unit: unit.stem)
def test_unit_exposure(unit: Path) -> None:
    told = analyze("security", "--offline=true", "--no-pager", str(unit)).stdout
    found = re.search(r"exposure level for \S+: ([0-9.]+)", told)
    assert found, told
    print(f"unit_exposure {unit.stem} {found[1]}")
    assert float(found[1]) <= MOST_EXPOSED


@needs_systemd
def test_systemd_has_nothing_to_say_against_the_units(tmp_path: Path) -> None:
    for unit in UNITS:  # the program that is started has to exist for the check
        text = unit.read_text().replace("/opt/drydown/current/bin/drydown", "/bin/true")
        (tmp_path / unit.name).write_text(text)
    done = analyze("verify", "--man=no", *(str(tmp_path / unit.name) for unit in UNITS))
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")


@pytest.mark.parametrize("unit", UNITS, ids=lambda unit: unit.stem)
def test_a_unit_never_gives_up_and_waits_for_no_network(unit: Path) -> None:
    lines = unit.read_text().splitlines()
    assert {"Restart=always", "StartLimitIntervalSec=0"} <= set(lines)
    assert not any("network" in line and line.startswith(("After", "Wants", "Requires")) for line in lines)
