"""A board that is installed by deploy/install and started: what of it the tests of it share."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import partial

from support.booted import Board, board
from support.broker import until
from support.fake_sysfs import FakeSysfs
from support.live_w1 import LiveBus

SERVICES = ("watch", "record", "serve")
DRYDOWN = "/opt/drydown/current/bin/drydown"
DATA = "/var/lib/drydown"
SITE = """\
site = "boathouse"

[[tank]]
name = "heron"
shape = "vertical-cylinder"
diameter = 0.60
height = 0.90
standpipe = 0.152
fuel = { feedstock = "used-cooking-oil" }
blower = { rated_flow = 0.015 }
room = { volume = 60.0, fresh_air = 0.5 }

[tank.probes]
"fuel/temperature" = { w1 = "28-0000071c2a3b" }
"air/temperature" = { w1 = "28-0000071c2a3c" }
"fuel/level" = { iio = "ads1115", channel = "in_voltage0" }
"blower/running" = { mqtt = "annexe" }
"""
ANNEXE = """\
import sys, time
from paho.mqtt.client import Client, CallbackAPIVersion
client = Client(CallbackAPIVersion.VERSION2)
client.username_pw_set("annexe", "tern")
client.connect_async("127.0.0.1")
client.loop_start()
while True:
    client.publish("drydown/boathouse/heron/probe/annexe", '[{"n": "blower/running", "vb": false}]', 1)
    time.sleep(0.5)
"""
ADD_ANNEXE = """\
set -e
echo annexe:tern >/tmp/annexe
mosquitto_passwd -U /tmp/annexe
cat /tmp/annexe >>/etc/mosquitto/drydown.passwords
systemctl restart mosquitto
"""


@dataclass
class Installed:
    """The board, its 1-Wire bus, and what the installation printed."""

    board: Board
    bus: LiveBus
    told: str


@contextmanager
def installed_board() -> Iterator[Installed]:
    """A board that was installed, told what is fitted, and started."""
    with board() as made:
        sysfs = FakeSysfs(made.sysfs)
        gauge = sysfs.add_iio(0, "ads1115", in_voltage0_raw="600", in_voltage_scale="1")
        older, _ = made.add_environment("older"), made.add_environment("newer")
        with LiveBus(sysfs) as bus:
            bus.add("28-0000071c2a3b", 30.0)
            bus.add("28-0000071c2a3c", 15.0)
            made.start("sysinit.target")
            told = made.run("/srv/checkout/deploy/install", "--environment", older)
            for file in (gauge / "name", sysfs.master() / "therm_bulk_read"):
                file.chmod(0o666)  # the latter's right is the udev rule's work
            made.run("tee", "/etc/drydown/site.toml", text=SITE)
            made.run("sh", "-c", ADD_ANNEXE)
            start(made)
            yield Installed(made, bus, told.stdout + told.stderr)


def start(made: Board) -> None:
    """All that is enabled, and the other board."""
    made.run("systemctl", "start", "multi-user.target")
    made.begin("/srv/older/bin/python", "-c", ANNEXE)
    until_running(made)


def until_running(made: Board) -> None:
    for name in SERVICES:
        until(partial(is_running, made, f"drydown-{name}"), what=name)


def is_running(made: Board, unit: str) -> bool:
    return made.show(unit, "SubState") == "running"


def rows(made: Board) -> int:
    """How many readings the record holds."""
    command = ("/srv/older/bin/python", "-c", COUNT)
    return int(made.run("runuser", "-u", "drydown", "--", *command, check=False).stdout or 0)


COUNT = f"""\
import sqlite3
store = sqlite3.connect("file:{DATA}/drydown.sqlite3?mode=ro", uri=True)
print(store.execute("SELECT count(*) FROM reading").fetchone()[0])
"""


def until_it_records(made: Board) -> int:
    before = rows(made)
    until(lambda: rows(made) > before + 5, what="more readings in the record")
    return before
