"""What an installed board goes through: kills, a watcher standing still, an upgrade and back, a power cut."""

import time
from pathlib import Path

import pytest

from support.broker import until
from support.installed_board import (
    ANNEXE,
    DATA,
    DRYDOWN,
    SERVICES,
    SITE,
    Installed,
    rows,
    until_it_records,
    until_running,
)

pytestmark = pytest.mark.broker


def test_services_that_are_killed_come_back(installed: Installed) -> None:
    made = installed.board
    units = [f"drydown-{name}" for name in SERVICES]
    before = {"0", *(made.show(unit, "MainPID") for unit in units)}
    made.run("systemctl", "kill", "--signal=KILL", "--kill-whom=main", *units)
    until(lambda: before.isdisjoint(made.show(unit, "MainPID") for unit in units), what="other processes")
    until_running(made)
    until_it_records(made)


@pytest.mark.long
def test_a_watcher_that_stands_still_is_started_anew(installed: Installed) -> None:
    made, unit = installed.board, "drydown-watch"
    patience = f"/run/systemd/system/{unit}.service.d/patience.conf"
    made.run("mkdir", "-p", str(Path(patience).parent))
    made.run("tee", patience, text="[Service]\nWatchdogSec=4\n")  # in the place of the unit's 60 s
    made.run("systemctl", "daemon-reload")
    made.run("systemctl", "restart", unit)
    until_running(made)
    before = made.show(unit, "MainPID")
    time.sleep(6)  # longer than the watchdog's patience, which the watcher's signs of life keep
    assert made.show(unit, "MainPID") == before
    made.run("systemctl", "kill", "--signal=STOP", "--kill-whom=main", unit)
    until(lambda: made.show(unit, "Result") == "watchdog", what="that systemd's patience ends")
    until(lambda: made.show(unit, "MainPID") not in ("0", before), what="another process")
    until_running(made)
    made.run("rm", patience)
    made.run("systemctl", "daemon-reload")
    made.run("systemctl", "restart", unit)
    until_running(made)


def test_services_end_in_good_order(installed: Installed) -> None:
    made = installed.board
    units = [f"drydown-{name}" for name in SERVICES]
    made.run("systemctl", "stop", *units)
    assert {made.show(unit, "Result") for unit in units} == {"success"}
    made.run("systemctl", "start", *units)
    until_running(made)


@pytest.mark.long
def test_an_upgrade_keeps_the_record_and_can_be_taken_back(installed: Installed) -> None:
    made = installed.board
    before = until_it_records(made)
    accounts = made.run("cat", "/etc/mosquitto/drydown.passwords").stdout
    for words in (("--environment", "/srv/newer"), ("--rollback",)):
        was = made.run("readlink", "-f", "/opt/drydown/current").stdout
        told = made.run("/srv/checkout/deploy/install", *words)
        assert "token of" not in told.stdout, "one was made when it was installed"
        assert made.run("readlink", "-f", "/opt/drydown/current").stdout != was
        made.run("systemctl", "restart", *(f"drydown-{name}" for name in SERVICES))
        until_running(made)
        assert until_it_records(made) >= before
    assert made.run("cat", "/etc/mosquitto/drydown.passwords").stdout == accounts
    assert made.run("cat", "/etc/drydown/site.toml").stdout == SITE
    copies = made.run("ls", f"{DATA}/backups").stdout.split()
    assert len(copies) == 1, "the record was copied before the upgrade"
    command = ("runuser", "-u", "drydown", "--", DRYDOWN, "restore", f"{DATA}/backups/{copies[0]}")
    made.run("systemctl", "stop", "drydown-record", "drydown-serve")
    made.run(*command)
    assert rows(made) >= before
    made.run("systemctl", "start", "drydown-record", "drydown-serve")


def test_after_a_power_cut_it_starts_by_itself_and_has_kept_what_it_had(installed: Installed) -> None:
    made = installed.board
    before = until_it_records(made)
    made.cut_power()
    made.start("multi-user.target")
    until_running(made)
    assert rows(made) >= before
    made.begin("/srv/older/bin/python", "-c", ANNEXE)
    until_it_records(made)
