"""What `drydown check` lists of the 1-Wire buses, on live fake ones."""

import os
import re
import subprocess
import sys
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

from drydown.check.finding import Finding
from drydown.check.wire import wire_findings
from drydown.config.model import Site
from drydown.probes import w1_thermometer
from drydown.probes.w1 import OneWire
from support.fake_sysfs import FakeSysfs
from support.live_w1 import LiveBus
from support.probed_tank import tank_with

FUEL, MOTOR, NEW = "28-0000071c2a3b", "28-0000071c2a4c", "28-0000071c2a5d"
QUICK = 0.1  # s
SITE = Site(site="boathouse", tank=(tank_with({"fuel/temperature": {"w1": FUEL}}),))
UNPRIVILEGED = ["setpriv", "--bounding-set=-dac_override,-dac_read_search"] if os.geteuid() == 0 else []


@pytest.fixture
def sysfs(tmp_path: Path) -> FakeSysfs:
    return FakeSysfs(tmp_path)


@pytest.fixture
def bus(sysfs: FakeSysfs) -> Iterator[LiveBus]:
    with LiveBus(sysfs) as bus:
        yield bus


def found(sysfs: FakeSysfs, site: Site = SITE) -> dict[str, Finding]:
    return {one.part: one for one in wire_findings(site, OneWire(sysfs.w1_devices))}


def test_each_probe_is_listed_with_its_line_or_the_line_to_paste(sysfs: FakeSysfs, bus: LiveBus) -> None:
    bus.add(FUEL, 31.5, conversion=QUICK)
    bus.add(NEW, 12.25, supply=False, conversion=QUICK)
    rows = found(sysfs)
    assert all(row.works for row in rows.values())
    assert rows["1-wire w1_bus_master1"].message == "2 DS18B20 convert all at once, in 0.1 s."
    assert (
        rows[f"1-wire {FUEL}"].message
        == '31.5 °C, 12 bits, with a supply of its own. It is heron "fuel/temperature".'
    )
    new = rows[f"1-wire {NEW}"].message
    assert new.startswith("12.2 °C, 12 bits, on parasite power")
    (line,) = re.findall(r'"[a-z/_]+" = \{.*\}', new)
    assert line == f'"blower/discharge_temperature" = {{ w1 = "{NEW}" }}'


def test_a_probe_that_its_watcher_is_reading_is_asked_again(sysfs: FakeSysfs) -> None:
    """The first read and its repetition give nothing, as while another program converts."""
    slave = sysfs.add_thermometer(FUEL, 31.5).folder / "w1_slave"
    told = slave.read_bytes()
    slave.unlink()
    os.mkfifo(slave)

    def give() -> None:
        for answer in (b"", b"", told):
            with slave.open("wb") as pipe:
                following = slave.with_suffix(".next")
                os.mkfifo(following)
                following.rename(slave)  # so that the next read meets the next answer
                pipe.write(answer)

    kernel = threading.Thread(target=give, daemon=True)
    kernel.start()
    assert found(sysfs)[f"1-wire {FUEL}"].message.startswith("31.5 °C")
    kernel.join()


def test_one_probe_of_two_tanks_names_both(sysfs: FakeSysfs, bus: LiveBus) -> None:
    bus.add(FUEL, conversion=QUICK)
    tanks = tuple(tank_with({"air/temperature": {"w1": FUEL}}, name) for name in ("heron", "plover"))
    row = found(sysfs, Site(site="boathouse", tank=tanks))[f"1-wire {FUEL}"]
    assert 'It is heron "air/temperature" and plover "air/temperature".' in row.message


def test_without_a_conversion_for_all_it_is_told_what_that_costs(sysfs: FakeSysfs) -> None:
    with LiveBus(sysfs, bulk=False) as bus:
        for serial in (FUEL, MOTOR):
            bus.add(serial, conversion=0.2)
        row = found(sysfs)["1-wire w1_bus_master1"]
        assert row.works
        assert "no slower, since they have supplies of their own" in row.message
        for serial in (FUEL, MOTOR):
            (sysfs.w1_devices / serial / "ext_power").write_text("0\n")
        row = found(sysfs)["1-wire w1_bus_master1"]
        assert not row.works
        assert "a round takes 0.4 s instead of 0.2 s" in row.message
        assert row.message.endswith("Give them a supply of their own by their third wire.")


def test_who_may_not_write_is_told_how_to_mend_it(sysfs: FakeSysfs, bus: LiveBus) -> None:
    bus.add(FUEL, 20.3, bits=9, conversion=QUICK)
    bus.add(MOTOR, conversion=QUICK)
    for file in (sysfs.master() / "therm_bulk_read", sysfs.w1_devices / FUEL / "resolution"):
        file.chmod(0o444)
    script = (
        "import sys, pathlib\n"
        "from drydown.check.wire import wire_findings\n"
        "from drydown.config.model import Site\n"
        "from drydown.probes.w1 import OneWire\n"
        "site = Site.model_construct(site='boathouse', tank=())\n"
        "for one in wire_findings(site, OneWire(pathlib.Path(sys.argv[1]))): print(one.works, one.message)\n"
    )
    command = [*UNPRIVILEGED, sys.executable, "-c", script, str(sysfs.w1_devices)]
    said = subprocess.run(command, capture_output=True, text=True, timeout=60, check=True).stdout.splitlines()
    assert said[0].startswith(f"False This user may not write {sysfs.root}/devices/w1_bus_master1/therm_bulk")
    assert "each converts by itself: no slower" in said[0]
    assert "deploy/udev/60-drydown-w1.rules" in said[0]
    assert said[1].startswith("False 20.0 °C, 9 bits, with a supply of its own.")
    assert "steps of 0.5 °C: this user may not set 12 bits" in said[1]
    assert said[2].startswith("True 20.0 °C, 12 bits")
    assert sorted(bus.history)[:2] == [FUEL, FUEL]


def test_a_coarse_probe_is_set_while_check_looks_or_named(sysfs: FakeSysfs, bus: LiveBus) -> None:
    bus.add(FUEL, 20.3, bits=9, conversion=QUICK)
    bus.add(MOTOR, 20.3, bits=10, obeys=False, conversion=QUICK)
    rows = found(sysfs)
    assert rows[f"1-wire {FUEL}"].message.startswith("20.3 °C, 12 bits")
    assert not rows[f"1-wire {MOTOR}"].works
    assert "steps of 0.25 °C: told to use 12 bits, it does not" in rows[f"1-wire {MOTOR}"].message


@pytest.mark.usefixtures("bus")
def test_what_is_no_ds18b20_is_named_for_what_it_is(sysfs: FakeSysfs) -> None:
    for serial in ("10-000802b4ba0e", "00-400000000000", "01-000017f0a3c2"):
        (sysfs.master() / serial).mkdir()
    rows = found(sysfs)
    assert rows["1-wire w1_bus_master1"].message.startswith("No DS18B20 answers")
    assert "A DS18S20" in rows["1-wire 10-000802b4ba0e"].message
    assert not rows["1-wire 00-400000000000"].works
    assert "4.7 kΩ" in rows["1-wire 00-400000000000"].message
    assert rows["1-wire 01-000017f0a3c2"].works


def test_a_bus_that_hangs_is_listed_as_such(
    sysfs: FakeSysfs, bus: LiveBus, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(w1_thermometer, "PATIENCE", 0.3)
    bus.add(FUEL, conversion=QUICK)
    bus.hang()
    row = found(sysfs)[f"1-wire {FUEL}"]
    assert not row.works
    assert row.message.startswith("The 1-Wire bus w1_bus_master1 has not answered for")
    assert row.message.endswith('It is heron "fuel/temperature".')


def test_where_there_is_no_bus_there_is_no_row(sysfs: FakeSysfs) -> None:
    assert found(sysfs) == {}
