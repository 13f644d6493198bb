"""A board that is really installed and started: systemd as PID 1, its sandboxes, its broker, and no network.

Not shown here: pins (there is no gpiochip), udev, and whether packages can be fetched.
"""

import json
import re

import pytest

from support.booted import HERE, Board
from support.installed_board import ANNEXE, DATA, DRYDOWN, SERVICES, Installed, rows, until_it_records

pytestmark = pytest.mark.broker


def in_service(made: Board, unit: str) -> dict[str, str]:
    """What could be done in the place of a service, by the confinement of its unit."""
    text = (HERE / f"deploy/units/{unit}.service").read_text() if unit != "free" else FREE
    told = f"{DATA}/tried.json"
    tried = f"ExecStart=/srv/older/bin/python /srv/checkout/tests/support/confined.py {told}"
    text = re.sub("^ExecStart=.*$", tried, text, flags=re.MULTILINE)
    text = re.sub("^Type=.*$", "Type=oneshot", text, flags=re.MULTILINE)
    text = text.replace("Restart=always", "Restart=no")
    made.run("tee", f"/run/systemd/system/try-{unit}.service", text=text)
    made.run("systemctl", "daemon-reload")
    made.run("systemctl", "start", f"try-{unit}")
    return dict(json.loads(made.run("cat", told).stdout))


FREE = """\
[Service]
Type=oneshot
ExecStart=
"""
NEEDED = {
    "compute",
    "keep a store",
    "listen at a socket",
    "listen at a port",
    "start a thread",
    "read a probe",
}
MORE = {
    "drydown-watch": {"ask how the clock is kept", "start a conversion"},
    "drydown-serve": {"stand behind others"},
}


def test_it_records_without_a_network_and_its_check_finds_every_part_well(installed: Installed) -> None:
    made = installed.board
    assert made.run("ip", "-brief", "link").stdout.split()[0] == "lo"
    until_it_records(made)
    assert "all" in installed.bus.history, "it may start a conversion on all thermometers at once"
    ran = made.run("runuser", "-u", "drydown", "--", DRYDOWN, "check", "--json", check=False)
    found = {line["part"]: line for line in map(json.loads, ran.stdout.splitlines())}
    assert {part: line["message"] for part, line in found.items() if not line["works"]} == {}
    assert "takes and gives messages" in found["broker"]["message"]
    assert "They are at" in found["pages"]["message"]


@pytest.mark.parametrize("unit", [f"drydown-{name}" for name in (*SERVICES, "forward")])
def test_a_service_can_do_its_work_and_no_more(installed: Installed, unit: str) -> None:
    went = in_service(installed.board, unit)
    assert {name for name, why in went.items() if not why} == NEEDED | MORE.get(unit, set()), went


def test_without_the_units_confinement_all_of_it_can_be_done(installed: Installed) -> None:
    assert {name: why for name, why in in_service(installed.board, "free").items() if why} == {}


def test_no_secret_is_in_the_journal_or_the_list_of_processes(installed: Installed) -> None:
    made = installed.board
    until_it_records(made)
    secrets = [
        made.run("cat", f"/etc/drydown/broker/{name}.password").stdout.strip()
        for name in ("watch", "record", "check")
    ]
    token = re.search(r"^    (\S{32})$", installed.told, re.MULTILINE)
    assert token and len(set(secrets)) == 3
    journal = made.run("journalctl", "--no-pager").stdout
    listed = made.run("sh", "-c", "cat /proc/[0-9]*/cmdline /proc/[0-9]*/environ | tr '\\0' ' '").stdout
    kept = made.run("sh", "-c", f"cat {DATA}/tokens.json").stdout
    assert "watching heron" in journal and "drydown watch" in listed and "first phone" in kept
    for secret in (*secrets, token[1]):
        assert secret not in journal and secret not in listed and secret not in kept


def test_uninstalling_leaves_the_record_and_lets_other_boards_in(installed: Installed) -> None:
    made = installed.board
    told = made.run("/srv/checkout/deploy/install", "--uninstall").stderr
    assert "annexe" in told
    assert made.run("systemctl", "list-unit-files", "drydown-*", check=False).stdout.count("drydown") == 0
    assert rows(made) > 0
    assert made.run("cut", "-d:", "-f1", "/etc/mosquitto/drydown.passwords").stdout.split() == ["annexe"]
    script = ANNEXE.replace("while True:", "time.sleep(2)\nsys.exit(not client.is_connected())\nwhile True:")
    made.run("/srv/older/bin/python", "-c", script)
